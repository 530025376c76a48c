/** Peaks of roughness as warnings. */
import { instrumentById } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { spelledName } from "../../score/spelled_name.ts";
import { barBeatOf } from "../../score/time.ts";
import type { SoundingNote } from "./chord_partials.ts";
import { notePartials } from "./chord_partials.ts";
import { partsInWords } from "../layer_words.ts";
import { runsOf } from "../runs.ts";
import type { BalanceWarning } from "../balance/balance_results.ts";
import type { RoughBar } from "./chord_results.ts";
import { type InstantReader, instantReader, roughnessOf } from "./rough_bars.ts";

/**
 * Roughness of a bare semitone of pure tones at middle C, by Hutchinson and Knopoff: from here on a bar counts as
 * rough. Source: Mashinter, Empirical Musicology Review 1 (2006) 65-84; that it should be the limit is a model
 * assumption.
 */
const ROUGH_FROM = 0.5;

/** A way out has to take this much of the roughness to be named. Model assumption. */
const WORTH_SAYING = 0.1;

/** All notes of one pitch at an instant. */
interface Tone {
  readonly pitch: number;
  readonly notes: readonly SoundingNote[];
}

/** A change of one pitch, with the roughness it leaves. */
interface Smoothing {
  readonly what: string;
  readonly after: number;
}

/** Where roughness is looked for. */
interface RoughPlace {
  readonly texture: Texture;
  /** Stretches that are told of at the most. */
  readonly most: number;
}

/**
 * The roughest stretches, each with the two notes that beat most at its peak, and what it would give to move or leave out
 * one of them that no lead has: nobody takes a note from a tune for a clash.
 */
export function roughWarnings(
  score: Score,
  rows: readonly RoughBar[],
  { texture, most }: RoughPlace,
): readonly BalanceWarning[] {
  const rough = rows.filter((row) => row.roughness !== null && row.roughness >= ROUGH_FROM);
  const stretches = runsOf(rough, (before, row) => before.barIndex === row.barIndex - 1);
  const worstOf = (bars: readonly RoughBar[]) => bars.reduce((a, b) => b.roughness! > a.roughness! ? b : a);
  const read = instantReader(score);
  return stretches.toSorted((a, b) => worstOf(b).roughness! - worstOf(a).roughness!).slice(0, most)
    .sort((a, b) => a[0]!.barIndex - b[0]!.barIndex)
    .map((bars): BalanceWarning => {
      const worst = worstOf(bars);
      const first = bars[0]!;
      return {
        kind: "rough",
        fromBarIndex: first.barIndex,
        toBarIndex: bars.at(-1)!.barIndex,
        bar: worst.bar,
        beat: worst.peakBeat!,
        ...told(score, worst, { read, texture }),
        figure: worst.roughness!,
        limit: ROUGH_FROM,
        unit: "roughness after Hutchinson and Knopoff",
      };
    });
}

/** What is said where no change of one note of a clash helps. */
const [AGAINST_LEAD, SPACED] = [
  "It is a note of the lead against the chord",
  "Space the chord more widely where it lies low",
];

/** What stands between which parts, and ways out. */
function told(
  score: Score,
  bar: RoughBar,
  { read, texture }: { readonly read: InstantReader; readonly texture: Texture },
): Pick<BalanceWarning, "what" | "remedy" | "parts"> {
  const notes = read(bar.barIndex, ticksOf(score, bar));
  const tones = [...Map.groupBy(notes, (n) => n.note.soundingPitch)]
    .map(([pitch, notes]): Tone => ({ pitch, notes })).sort((a, b) => a.pitch - b.pitch);
  const pair = roughestPair(tones);
  const figure = `in bar ${bar.bar} the sound has a roughness of ${
    bar.roughness!.toFixed(2)
  } (a bare semitone: ${ROUGH_FROM.toFixed(2)})`;
  const meant = "If the clash is meant, let it stand";
  if (!pair) return { what: figure, remedy: meant };
  const [low, high] = pair;
  const now = roughnessOf(notes, "hutchinson_knopoff");
  const leads = ({ note }: SoundingNote) =>
    texture.cells[bar.barIndex * score.parts.length + note.part]!.role === "lead";
  const free = ([[low, -1], [high, 1]] as const).filter(([tone]) => !tone.notes.some(leads));
  const ways = [
    ...free.map(([tone, octaves]) => wayOut(score, { notes, tone, octaves })),
    ...free.slice(-1).map(([tone]) => resting(score, notes, tone)),
  ].filter((w) => w !== undefined).filter((w) => w.after < now * (1 - WORTH_SAYING))
    .sort((a, b) => a.after - b.after).slice(0, 2);
  const place = `beat ${Number(bar.peakBeat!.toFixed(2))}`;
  return {
    what: `${figure}, above all between ${namesOf(score, low)} (${
      spelledName(score, low.notes[0]!.note)
    }) and ${namesOf(score, high)} (${spelledName(score, high.notes[0]!.note)})`,
    remedy: ways.length === 0
      ? `${free.length < 2 ? AGAINST_LEAD : SPACED}. ${meant}`
      : `At its peak on ${place} it is ${now.toFixed(2)}; with ${
        ways.map((w) => `${w.what} ${w.after.toFixed(2)}`).join(", with ")
      }. ${meant}`,
    parts: pair.flatMap((tone) => tone.notes.map((n) => n.note.part)),
  };
}

function ticksOf(score: Score, { barIndex, peakBeat }: RoughBar): number {
  const { startTicks, beatUnit } = score.bars[barIndex]!;
  const beatTicks = score.ticksPerQuarter * 4 / beatUnit;
  return startTicks + (peakBeat! - barBeatOf(score, startTicks).beat) * beatTicks;
}

/** The two pitches whose partials beat most against each other. */
function roughestPair(tones: readonly Tone[]): readonly [Tone, Tone] | undefined {
  const own = tones.map((t) => beating(t.notes));
  let most = 0;
  let pair: readonly [Tone, Tone] | undefined;
  for (let i = 0; i < tones.length; i++) {
    for (let j = i + 1; j < tones.length; j++) {
      const shared = beating([...tones[i]!.notes, ...tones[j]!.notes]) - own[i]! - own[j]!;
      if (shared > most) [most, pair] = [shared, [tones[i]!, tones[j]!]];
    }
  }
  return pair;
}

/** Roughness times power: a sum over pairs of partials, so that what two notes share can be told apart. */
function beating(notes: readonly SoundingNote[]): number {
  const power = notes.reduce((sum, n) => sum + n.partials.amplitudes.reduce((acc, a) => acc + a * a, 0), 0);
  return roughnessOf(notes, "hutchinson_knopoff") * power;
}

function without(notes: readonly SoundingNote[], tone: Tone): readonly SoundingNote[] {
  return notes.filter((n) => !tone.notes.includes(n));
}

/** The roughness of the same instant without one pitch. */
function resting(score: Score, notes: readonly SoundingNote[], tone: Tone): Smoothing {
  return {
    what: `${namesOf(score, tone)} resting`,
    after: roughnessOf(without(notes, tone), "hutchinson_knopoff"),
  };
}

/** The roughness of the same instant with one pitch moved, where all who play it have the note at ease. */
function wayOut(
  score: Score,
  { notes, tone, octaves }: {
    readonly notes: readonly SoundingNote[];
    readonly tone: Tone;
    readonly octaves: number;
  },
): Smoothing | undefined {
  const moved = tone.notes.map(({ note }) => {
    const { instrument, players } = score.parts[note.part]!;
    const there = { ...note, soundingPitch: note.soundingPitch + 12 * octaves };
    const { comfortable } = registerOf(instrumentById(instrument), there.soundingPitch);
    return { comfortable, note: there, partials: notePartials(there, instrumentById(instrument), players) };
  });
  if (!moved.every((m) => m.comfortable)) return undefined;
  return {
    what: `${namesOf(score, tone)} an octave ${octaves > 0 ? "up" : "down"}`,
    after: roughnessOf([...without(notes, tone), ...moved], "hutchinson_knopoff"),
  };
}

function namesOf(score: Score, tone: Tone): string {
  return partsInWords(score, tone.notes.map((n) => n.note.part), 3);
}
