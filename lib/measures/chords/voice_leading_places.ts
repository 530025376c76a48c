/** Single places in the course of a pad that a teacher of harmony would mark. */
import type { Ticks } from "../../base/units.ts";
import { firstIndex } from "../../base/first_index.ts";
import { modulo, pitchClassOf } from "../../base/modulo.ts";
import { soundingNotes } from "../../score/build.ts";
import type { SymbolChord } from "../../score/chord_symbol.ts";
import type { Note, Score } from "../../score/model.ts";
import { spelledName } from "../../score/spelled_name.ts";
import type { VoiceLeadingKind } from "./chord_results.ts";
import type { PadCourse, PadMoment, PadVoice } from "./pad_voices.ts";

/** One place, before those of the same voices are gathered. */
export interface VoiceLeadingPlace {
  readonly kind: VoiceLeadingKind;
  readonly ticks: Ticks;
  /** Indexes of the parts. */
  readonly parts: readonly number[];
  readonly what: string;
  readonly semitones: number | null;
  /** Semitones by which a hole is wider than it may be where it lies. */
  readonly beyond?: number;
}

interface PlacesContext {
  readonly score: Score;
  /** Widest gaps without a hole, in semitones. */
  readonly limits: { readonly overBass: number; readonly apart: number };
  /** Notes that sound at a place, from low to high. */
  readonly sounding: (ticks: Ticks) => readonly Note[];
}

/** All places of one pad, in the order of time. */
export function voiceLeadingPlaces(course: PadCourse, context: PlacesContext): readonly VoiceLeadingPlace[] {
  const { moments } = course;
  const doublings = doublingsOf(course);
  return moments.flatMap((here, m) => {
    const before = moments[m - 1];
    return [
      ...(before ? parallelPlaces([before, here], course, { doublings }) : []),
      ...holePlaces(here, course, context),
      ...thirdPlaces(here, course, context),
      ...doubledPlaces(here, course),
      ...(before ? danglingPlaces([before, here], course) : []),
    ];
  });
}

/** Two moments, one after the other. */
type Step = readonly [before: PadMoment, here: PadMoment];

/** Voices of one choir, or one of a pad with the bass. */
function isPair(a: PadVoice, b: PadVoice): boolean {
  return a.isBass !== b.isBass || (!a.isBass && a.choir === b.choir);
}

/** All pairs of voices between which parallels count. */
function pairsOf({ voices }: PadCourse): readonly (readonly [number, number])[] {
  return voices.flatMap((a, i) => voices.flatMap((b, j) => j > i && isPair(a, b) ? [[i, j] as const] : []));
}

/** Share of moments in octaves or in unison from which two voices are one, doubled. */
const DOUBLED_SHARE = 0.5;

/** Pairs of voices that go together in unison or octaves most of the time. */
function doublingsOf(course: PadCourse): ReadonlySet<string> {
  const { moments } = course;
  return new Set(
    pairsOf(course).flatMap(([i, j]) => {
      const both = moments.filter((m) => m.pitches[i] !== undefined && m.pitches[j] !== undefined);
      const together = both.filter((m) => modulo(m.pitches[i]! - m.pitches[j]!, 12) === 0);
      return both.length > 1 && together.length > DOUBLED_SHARE * both.length ? [`${i} ${j}`] : [];
    }),
  );
}

function parallelPlaces(
  [before, here]: Step,
  course: PadCourse,
  { doublings }: { readonly doublings: ReadonlySet<string> },
): readonly VoiceLeadingPlace[] {
  return pairsOf(course).flatMap(([i, j]): readonly VoiceLeadingPlace[] => {
    const [a, b, c, d] = [before.pitches[i], before.pitches[j], here.pitches[i], here.pitches[j]];
    if (a === undefined || b === undefined || c === undefined || d === undefined) return [];
    if (a === c || b === d || (c > a) !== (d > b) || (a === b && c === d)) return [];
    const [first, second] = [Math.abs(a - b) % 12, Math.abs(c - d) % 12];
    if (first !== second || (second !== 7 && second !== 0)) return [];
    if (doublings.has(`${i} ${j}`)) return [];
    const kind = second === 7 ? "parallel fifths" : "parallel octaves";
    const parts = [course.voices[i]!.part, course.voices[j]!.part];
    return [{ kind, ticks: here.ticks, parts, what: kind, semitones: null }];
  });
}

/** Voices of a pad from which a hole in it is heard. */
const FEWEST_VOICES = 3;

/** Holes in all that sounds while a pad holds a chord. */
function holePlaces(
  { ticks, pitches }: PadMoment,
  { voices }: PadCourse,
  { score, limits, sounding }: PlacesContext,
): readonly VoiceLeadingPlace[] {
  const own = voices.flatMap((v, i) => v.isBass || pitches[i] === undefined ? [] : [pitches[i]!]);
  const bass = voices.flatMap((v, i) => v.isBass && pitches[i] !== undefined ? [pitches[i]!] : []);
  if (own.length < FEWEST_VOICES || bass.length === 0) return [];
  const top = Math.max(...own);
  const notes = sounding(ticks);
  return notes.slice(1).flatMap((above, k): readonly VoiceLeadingPlace[] => {
    const below = notes[k]!;
    const semitones = above.soundingPitch - below.soundingPitch;
    const limit = bass.includes(below.soundingPitch) ? limits.overBass : limits.apart;
    if (semitones <= limit || below.soundingPitch >= top) return [];
    const names = [below, above].map((n) => spelledName(score, { ...n, onsetTicks: ticks }));
    return [{
      kind: "hole",
      ticks,
      parts: [below.part, above.part],
      what: `nothing between ${names.join(" and ")}, ${semitones} semitones`,
      semitones,
      beyond: semitones - limit,
    }];
  });
}

/** Whether a third belongs to a chord. */
function thirdOf(chord: SymbolChord | undefined): number | undefined {
  const [root, third] = chord?.tones ?? [];
  if (!root || !third) return undefined;
  return [3, 4].includes(modulo(third.pitchClass - root.pitchClass, 12)) ? third.pitchClass : undefined;
}

/** Chords of two voices and more without their third in anything that sounds. */
function thirdPlaces(
  { ticks, chord, pitches }: PadMoment,
  { voices }: PadCourse,
  { sounding }: PlacesContext,
): readonly VoiceLeadingPlace[] {
  const third = thirdOf(chord);
  const own = voices.flatMap((v, i) => v.isBass || pitches[i] === undefined ? [] : [v.part]);
  if (third === undefined || own.length < 2) return [];
  if (sounding(ticks).some((n) => pitchClassOf(n.soundingPitch) === third)) return [];
  const name = chord!.tones[1]!.name;
  return [{
    kind: "no third",
    ticks,
    parts: own,
    what: `no ${name}, the third of the chord`,
    semitones: null,
  }];
}

/** Leading note and seventh of a chord of the dominant seventh. */
function tendenciesOf(chord: SymbolChord | undefined) {
  const [root, third, , seventh] = chord?.tones ?? [];
  if (!root || !third || !seventh) return undefined;
  const isDominant = modulo(third.pitchClass - root.pitchClass, 12) === 4 &&
    modulo(seventh.pitchClass - root.pitchClass, 12) === 10;
  return isDominant ? { leading: third, seventh } : undefined;
}

function doubledPlaces(
  { ticks, chord, pitches }: PadMoment,
  { voices }: PadCourse,
): readonly VoiceLeadingPlace[] {
  const found = tendenciesOf(chord);
  if (found === undefined) return [];
  const tones = [["doubled leading note", found.leading], ["doubled seventh", found.seventh]] as const;
  return tones.flatMap(([kind, { pitchClass, name }]) => {
    const having = voices.flatMap((v, i) =>
      !v.isBass && pitches[i] !== undefined && pitchClassOf(pitches[i]!) === pitchClass ? [v] : []
    );
    return [...Map.groupBy(having, (v) => v.choir).values()].flatMap((own): readonly VoiceLeadingPlace[] => {
      if (own.length < 2) return [];
      const what = `${name}, the ${kind.replace("doubled ", "")}, in ${own.length} voices of a choir`;
      return [{ kind, ticks, parts: [...new Set(own.map((v) => v.part))], what, semitones: null }];
    });
  });
}

/** Leading notes and sevenths that are left otherwise than by step, where the next chord has the tone they lead to. */
function danglingPlaces([before, here]: Step, { voices }: PadCourse): readonly VoiceLeadingPlace[] {
  const found = tendenciesOf(before.chord);
  const next = here.chord?.tones.map((t) => t.pitchClass) ?? [];
  if (found === undefined || before.chord === here.chord) return [];
  return voices.flatMap(({ part, isBass }, i): readonly VoiceLeadingPlace[] => {
    const [from, to] = [before.pitches[i], here.pitches[i]];
    if (isBass || from === undefined || to === undefined || from === to) return [];
    const { leading, seventh } = found;
    const place = { ticks: here.ticks, parts: [part], semitones: null };
    const tone = pitchClassOf(from);
    if (tone === leading.pitchClass && to - from !== 1 && next.includes(modulo(tone + 1, 12))) {
      return [{
        ...place,
        kind: "leading note left",
        what: `${leading.name}, the leading note, does not rise`,
      }];
    }
    const falls = [1, 2].some((step) => next.includes(modulo(tone - step, 12)));
    if (tone === seventh.pitchClass && falls && to - from !== -1 && to - from !== -2) {
      return [{
        ...place,
        kind: "seventh left",
        what: `${seventh.name}, the seventh, does not fall by step`,
      }];
    }
    return [];
  });
}

/** Pitched notes that sound at a place, from low to high, unisons once; asked in any order. */
export function pitchesAt(score: Score): (ticks: Ticks) => readonly Note[] {
  const notes = soundingNotes(score).filter((n) => !n.unpitched);
  const longest = Math.max(0, ...Map.groupBy(notes, (n) => n.durationTicks).keys());
  const known = new Map<Ticks, readonly Note[]>();
  return (ticks) => {
    let found = known.get(ticks);
    if (found === undefined) {
      const sounding: Note[] = [];
      for (
        let i = firstIndex(notes.length, (k) => notes[k]!.onsetTicks >= ticks - longest);
        i < notes.length && notes[i]!.onsetTicks <= ticks;
        i++
      ) {
        if (notes[i]!.onsetTicks + notes[i]!.durationTicks > ticks) sounding.push(notes[i]!);
      }
      const byPitch = new Map(sounding.map((n) => [n.soundingPitch, n]));
      found = [...byPitch.values()].sort((a, b) => a.soundingPitch - b.soundingPitch);
      known.set(ticks, found);
    }
    return found;
  };
}
