/** Small scores made for the tests of readers and writers. */
import { makeNote, type NoteInput, sortNotes } from "../../lib/score/build.ts";
import type { Bar, Part, Score } from "../../lib/score/model.ts";

/** Ticks to a quarter in these scores. */
export const QUARTER = 480;

/** A bar: time signature, and length in quarters where it differs. */
export type BarText = Partial<Omit<Bar, "startTicks" | "durationTicks">> & { readonly quarters?: number };

/** A note with times in quarters. */
export type NoteText = Partial<NoteInput> & {
  readonly at: number;
  readonly length: number;
  readonly pitch: number;
};

/** A part that plays an instrument of the catalogue. */
export function partOf(name: string, more: Partial<Part> = {}): Part {
  return {
    id: name.replace(/\W/g, "_"),
    name,
    instrument: "flute",
    instrumentFrom: "given",
    players: 1,
    transposeSemitones: 0,
    transposeSteps: 0,
    ...more,
  };
}

/**
 * A score from bars, parts and notes.
 *
 * @param bars bars, 4/4 in C unless they say otherwise
 * @param options parts (one flute by default), notes, and anything else of a score
 */
export function scoreOf(
  bars: readonly BarText[],
  options:
    & { readonly parts?: readonly Part[]; readonly notes: readonly NoteText[] }
    & Partial<Omit<Score, "bars" | "notes">>,
): Score {
  let startTicks = 0;
  const { notes, parts = [partOf("Flute")], ...rest } = options;
  return {
    title: "Test",
    source: "test",
    ticksPerQuarter: QUARTER,
    tempos: [{ onsetTicks: 0, quartersPerMinute: 90, origin: "marked" }],
    chords: [],
    notices: [],
    parts,
    ...rest,
    bars: bars.map(({ quarters, ...bar }, i) => {
      const { beats = 4, beatUnit = 4 } = bar;
      const durationTicks = (quarters ?? beats * 4 / beatUnit) * QUARTER;
      const made = {
        number: String(i + 1),
        keyFifths: 0,
        ...bar,
        beats,
        beatUnit,
        startTicks,
        durationTicks,
      };
      startTicks += durationTicks;
      return made;
    }),
    notes: sortNotes(notes.map(({ at, length, pitch, ...more }) =>
      makeNote({
        part: 0,
        ...more,
        onsetTicks: Math.round(at * QUARTER),
        durationTicks: Math.round(length * QUARTER),
        soundingPitch: pitch,
      })
    )),
  };
}

/** Notes one after another, for example `[[1, 60], [0.5, 62]]` as length and pitch; no pitch is a rest. */
export function line(
  values: readonly (readonly [length: number, pitch?: number])[],
  more: Partial<NoteInput> & { readonly from?: number } = {},
): NoteText[] {
  const { from = 0, ...rest } = more;
  let at = from;
  return values.flatMap(([length, pitch]) => {
    const note = pitch === undefined ? [] : [{ ...rest, at, length, pitch }];
    at += length;
    return note;
  });
}

/** A score with one of everything the writers know, for ten parts. */
export function fullScore(): Score {
  const horn = partOf("Horns 1 2", {
    instrument: "horn in F",
    players: 2,
    transposeSemitones: -7,
    transposeSteps: -4,
  });
  const parts = [
    partOf("Flute"),
    partOf("Clarinet in B♭", { instrument: "clarinet in Bb", transposeSemitones: -2, transposeSteps: -1 }),
    horn,
    partOf("Timpani", { instrument: "timpani" }),
    partOf("Percussion", { instrument: "cymbals" }),
    partOf("Harp", { instrument: "harp" }),
    partOf("Violins I", { instrument: "violin", players: 12 }),
    partOf("Violas", { instrument: "viola", players: 8 }),
    partOf("Cellos", { instrument: "cello", players: 8 }),
    partOf("Double basses", {
      instrument: "double bass",
      players: 6,
      transposeSemitones: -12,
      transposeSteps: -7,
    }),
  ];
  const flat = { keyFifths: -3 };
  const bars: BarText[] = [
    { ...flat, number: "0", quarters: 1 },
    { ...flat, number: "1", rehearsal: "Calm" },
    { ...flat, number: "2" },
    { ...flat, number: "3", beats: 5, rehearsal: "Rapids" },
    { ...flat, number: "4", beats: 6, beatUnit: 8 },
    { keyFifths: 2, number: "5", beats: 6, beatUnit: 8 },
    { keyFifths: 2, number: "6", beats: 3 },
    { keyFifths: 2, number: "7", beats: 3 },
  ];
  const notes: NoteText[] = [
    { at: 0, length: 0.5, pitch: 72, dynamic: 3, slurStart: true },
    { at: 0.5, length: 0.5, pitch: 74, dynamic: 3, slurred: true, slurStop: true },
    { at: 1, length: 0.5, pitch: 75, dynamic: 3, articulations: ["staccato"] },
    { at: 1.5, length: 1, pitch: 77, dynamic: 3.25 },
    { at: 2.5, length: 0.5, pitch: 78, dynamic: 3.75, articulations: ["accent"] },
    { at: 3, length: 1.5, pitch: 79, dynamic: 4 },
    { at: 4.5, length: 2.5, pitch: 80, dynamic: 4 },
    ...[0, 1, 2].map((i) => ({
      at: 7 + i / 3,
      length: 1 / 3,
      pitch: 79 + i,
      dynamic: 5,
      slurStart: i === 0,
      slurred: i > 0,
      slurStop: i === 2,
    })),
    ...[0, 1, 2].map((i) => ({ at: 8 + i * 2 / 3, length: 2 / 3, pitch: 84 - i })),
    ...[0, 1, 2, 3, 4].map((i) => ({ at: 10 + i / 5, length: 1 / 5, pitch: 72 + i * 2 })),
    { at: 11, length: 1.75, pitch: 76, trill: true },
    ...line([[0.5, 79], [0.5, 81], [0.5, 83], [1, 84], [0.5, 86]], { from: 14, dynamic: 6 }),
    ...line([[1, 79], [0.25, 79], [0.25, 78], [1, 76]], { from: 17, dynamic: 6 }),
    { at: 20, length: 0, pitch: 78, grace: true, dynamic: 6, slurStart: true },
    { at: 20, length: 3, pitch: 79, dynamic: 6, slurStop: true },
    { at: 23, length: 3, pitch: 79, dynamic: 7 },
    ...line([[4, 70], [3, 68]], { part: 1, from: 1, dynamic: 3 }),
    { part: 1, at: 9, length: 5, pitch: 67 },
    { part: 1, at: 14, length: 3, pitch: 66, tremoloSlashes: 2 },
    ...line([[1.5, 66], [1.5, 69]], { part: 1, from: 17, tremoloSlashes: 3, tremoloAlternates: true }),
    ...[53, 57].flatMap((pitch): NoteText[] => [
      { part: 2, at: 1, length: 4, pitch, dynamic: 3 },
      { part: 2, at: 9, length: 2, pitch, dynamic: 3, technique: "stopped" },
      { part: 2, at: 20, length: 6, pitch: pitch + 1, technique: "con sordino", dynamic: 2 },
    ]),
    { part: 3, at: 1, length: 4, pitch: 43, tremoloSlashes: 3, dynamic: 2 },
    { part: 4, at: 9, length: 1, pitch: 49, unpitched: true, dynamic: 7 },
    { part: 4, at: 10, length: 1, pitch: 38, unpitched: true },
    ...Array.from({ length: 16 }, (_, i) => ({
      part: 5,
      at: 1 + i / 4,
      length: 0.25,
      pitch: [36, 43, 48, 52, 55, 60, 64, 67][i % 8]!,
    })),
    { part: 6, at: 1, length: 4, pitch: 79, voice: 1 },
    ...line([[1, 67], [1, 68], [2, 70]], { part: 6, from: 1, voice: 2 }),
    { part: 6, at: 9, length: 5, pitch: 74 },
    { part: 7, at: 1, length: 1, pitch: 60, technique: "pizzicato" },
    { part: 7, at: 3, length: 1, pitch: 60, technique: "pizzicato" },
    { part: 7, at: 5, length: 1, pitch: 60 },
    { part: 7, at: 7, length: 1, pitch: 60, technique: "sul ponticello" },
    {
      part: 8,
      at: 1,
      length: 4,
      pitch: 48,
      glissandi: [{ kind: "slide", semitones: 7, lengthTicks: 4 * QUARTER }],
    },
    { part: 8, at: 5, length: 4, pitch: 55 },
    { part: 9, at: 1, length: 4, pitch: 36 },
    { part: 9, at: 9, length: 5, pitch: 38 },
  ];
  return scoreOf(bars, {
    title: "Spate & “more” <1>",
    composer: "Nobody",
    parts,
    notes,
    tempos: [
      { onsetTicks: 0, quartersPerMinute: 84, origin: "marked" },
      { onsetTicks: 14 * QUARTER, quartersPerMinute: 150, origin: "marked" },
    ],
    chords: [
      { onsetTicks: QUARTER, symbol: "Cm7" },
      { onsetTicks: 5 * QUARTER, symbol: "F/A" },
      { onsetTicks: 9 * QUARTER, symbol: "Bb13" },
      { onsetTicks: 11 * QUARTER, symbol: "N.C." },
    ],
  });
}

/** Twenty-four pitched parts, so that one port does not do. */
export function manyParts(): Score {
  const parts = Array.from(
    { length: 24 },
    (_, i) => partOf(`Violin ${i + 1}`, { instrument: i < 12 ? "violin" : "viola" }),
  );
  return scoreOf([{}, {}], {
    parts,
    notes: parts.flatMap((_, part) => [{ part, at: part / 4, length: 1, pitch: 60 + part }]),
  });
}
