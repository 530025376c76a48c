/** Where a note that an instrument does not have could go: other octaves, other instruments. */
import type { SoundingPitch } from "../../base/units.ts";
import { capitalised } from "../../base/words.ts";
import { allInstruments, type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import { orchestra } from "../../instruments/orchestra.ts";
import { registerOf } from "../../instruments/registers.ts";
import { stopOn, stringsOf } from "../../instruments/special/stops.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Note } from "../../score/model.ts";
import {
  type NamedNote,
  nameOfSpelling,
  octavesAway,
  spelledName,
  spellingOf,
} from "../../score/spelled_name.ts";
import { transposeSpelling } from "../../score/spelling.ts";
import type { Judge } from "./judge.ts";

/** Octaves to look through: MIDI has no more. */
const MOST_OCTAVES = 10;

/**
 * Practices of notation in which a note sounds an octave higher than a reader takes it: what lies an octave below the
 * range is likelier read wrongly than asked for. Horns: hornmatters.com, Transposition tricks (2008); bass clarinets:
 * J. Alder, A guide to understanding bass clarinet clef notation (2020), and answers on music.stackexchange.
 */
const READ_AN_OCTAVE_LOW: Readonly<Record<string, string>> = {
  "horn": "in the old bass clef horns sound an octave higher than read here",
  "bass clarinet":
    "in German parts the bass clef sounds a second or a third lower, an octave higher than read here",
};

/**
 * How loud a register is asked to play beyond what it gives, in dynamic steps: negative where it is asked to play
 * softer than it speaks. A marking is a step wide, and a step too loud is let pass as the constants say. 0 where it
 * speaks.
 */
export function stepsBeyond(
  instrument: Instrument,
  note: Pick<Note, "soundingPitch" | "dynamic">,
  { settings }: Pick<Judge, "settings">,
): number {
  const { register } = registerOf(instrument, note.soundingPitch);
  if (register === null || register.softestDynamic === register.loudestDynamic) return 0;
  const soft = note.dynamic - register.softestDynamic;
  if (soft < -0.5) return soft;
  const loud = note.dynamic - register.loudestDynamic - settings.coveredSteps;
  return loud >= 0.5 ? loud : 0;
}

/**
 * The octaves a note can be moved by, nearest first: into the range, where no other note of its chord stands already,
 * and on strings of one player where the chord can still be stopped.
 */
export function octavesInRange(
  note: Note,
  judge: Pick<Judge, "instrument" | "players">,
  options: { readonly chord: readonly Note[]; readonly direction: 1 | -1 },
): readonly { readonly octaves: number; readonly soundingPitch: SoundingPitch }[] {
  const { instrument, players } = judge;
  const others = options.chord.filter((n) => n !== note && !n.unpitched).map((n) => n.soundingPitch);
  const stopped = players === 1 && stringsOf(instrument).length > 0 && others.length > 0;
  return Array.from({ length: MOST_OCTAVES }, (_, i) => (i + 1) * options.direction)
    .map((octaves) => ({ octaves, soundingPitch: note.soundingPitch + 12 * octaves }))
    .filter(({ soundingPitch: pitch }) =>
      pitch >= instrument.rangeExtreme.low && pitch <= instrument.rangeExtreme.high &&
      !others.includes(pitch) &&
      (!stopped || stopOn(instrument, [...others, pitch]).possible)
    );
}

/** Another model of an instrument, fingered and written alike, that has a note: a flute with B foot. */
export function otherModel(instrument: Instrument, pitch: SoundingPitch): Instrument | null {
  return allInstruments().find((each) =>
    each.id !== instrument.id && each.kind === instrument.kind &&
    each.transposeSemitones === instrument.transposeSemitones && each.family === instrument.family &&
    each.sectionPlayers === instrument.sectionPlayers && registerOf(each, pitch).inRange
  ) ?? null;
}

/** A pitch in words, written pitch beside it where the part transposes. For example `C6, written C5`. */
export function pitchWords(note: NamedNote, judge: Pick<Judge, "written" | "instrument" | "score">): string {
  const written = writtenName(note, judge);
  const sounding = spelledName(judge.score, note);
  return written === null ? sounding : `${sounding}, written ${written}`;
}

/** The written name of a sounding note, or null where the part does not transpose. */
export function writtenName(
  note: NamedNote,
  { written, instrument, score }: Pick<Judge, "written" | "instrument" | "score">,
): string | null {
  const { transposeSemitones, transposeSteps } = written.instrument === instrument.id ? written : instrument;
  if (transposeSemitones === 0) return null;
  return nameOfSpelling(
    transposeSpelling(spellingOf(score, note), { semitones: -transposeSemitones, steps: -transposeSteps }),
  );
}

/** Said where a part is judged by the range of an instrument in another key: a trumpet in F by that in C. */
export function judgedByWords(
  { at, written, instrument }: Pick<Judge, "at" | "written" | "instrument">,
): string {
  const isOwn = written.instrument !== instrument.id ||
    (written.transposeSemitones - instrument.transposeSemitones) % 12 === 0;
  return isOwn ? "" : `, by which ${at.partName} is judged`;
}

/**
 * What to do about a note outside the range: the octaves it takes, seen against the range and against what the
 * register gives at its dynamic; else an instrument that has it.
 */
export function rangeRemedy(note: Note, judge: Judge, chord: readonly Note[]): string {
  const { instrument } = judge;
  const below = note.soundingPitch < instrument.rangeExtreme.low;
  const ways = octavesInRange(note, judge, { chord, direction: below ? 1 : -1 });
  const speaks = (pitch: SoundingPitch) =>
    stepsBeyond(instrument, { soundingPitch: pitch, dynamic: note.dynamic }, judge) === 0;
  const near = ways[0];
  const best = ways.find((way) => speaks(way.soundingPitch)) ?? near;
  const other = instrumentFor(note, judge);
  const give = other === null ? "leave it out" : `give it to the ${other.id}`;
  const practice = below && near?.octaves === 1 ? READ_AN_OCTAVE_LOW[instrument.kind] : undefined;
  const check = practice ? `Check the file: ${practice}. Else ` : "";
  const model = otherModel(instrument, note.soundingPitch);
  const ask = model ? `Ask for a ${model.id}, or ` : "";
  const start = (words: string) => `${check}${ask}${check || ask ? words : capitalised(words)}`;
  if (!best || !near) {
    const doubled = chord.some((n) => n !== note && (n.soundingPitch - note.soundingPitch) % 12 === 0);
    return start(doubled ? `leave it out: the chord has it in another octave; or ${give}` : give);
  }
  const move = `move it ${below ? "up" : "down"} ${octaveWords(best.octaves)} (${
    pitchWords(octavesAway(note, best.octaves), judge)
  })`;
  const passed = best === near || speaks(near.soundingPitch)
    ? ""
    : `, as ${spelledName(judge.score, octavesAway(note, near.octaves))} does not give ${
      dynamicMark(note.dynamic)
    }`;
  const weak = speaks(best.soundingPitch) ? "" : `, which does not give ${dynamicMark(note.dynamic)}`;
  return `${start(move)}${passed}${weak}, or ${give}`;
}

const OCTAVES = ["", "an octave", "two octaves", "three octaves", "four octaves"];

/** Octaves in words. */
export function octaveWords(octaves: number): string {
  return OCTAVES[Math.abs(octaves)] ?? `${Math.abs(octaves)} octaves`;
}

/**
 * The nearest instrument that has a note at ease and speaks there: of the same family in the score, in the symphony
 * orchestra, in the catalogue; else of another family.
 */
function instrumentFor(note: Note, judge: Judge): Instrument | null {
  const { instrument, score } = judge;
  const has = (each: Instrument) =>
    each.id !== instrument.id && !each.unpitched && registerOf(each, note.soundingPitch).comfortable &&
    stepsBeyond(each, note, judge) === 0;
  // What shares its kind, or figures, or sounds alike.
  const distance = (each: Instrument) =>
    (each.kind === instrument.kind ? 0 : 1) + (each.figuresLike === instrument.figuresLike ? 0 : 1) +
    (each.soundProduction === instrument.soundProduction ? 0 : 2);
  const nearest = (list: readonly Instrument[]) =>
    list.filter(has).toSorted((a, b) => distance(a) - distance(b))[0] ?? null;
  const ofFamily = (list: readonly Instrument[]) =>
    nearest(list.filter((each) => each.family === instrument.family));
  const idsOf = (parts: readonly { readonly instrument: string }[]) =>
    [...new Set(parts.map((part) => part.instrument))].map(instrumentById);
  const inScore = idsOf(score.parts);
  const inOrchestra = idsOf(orchestra());
  return ofFamily(inScore) ?? ofFamily(inOrchestra) ?? ofFamily(allInstruments()) ?? nearest(inScore) ??
    nearest(inOrchestra);
}
