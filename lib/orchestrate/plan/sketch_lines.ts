/** The lines of a sketch as parts of its score: the tune, the inner voices, the bass line. */
import { makeNote, sortNotes } from "../../score/build.ts";
import type { Note, Part, Score } from "../../score/model.ts";
import { slurEnds } from "../../score/slur_ends.ts";

/** The lines of a sketch, as notes of any score. */
export interface SketchLines {
  /** The tune, one note at a time. */
  readonly tune: readonly Note[];
  /** The inner voices as they are written, from the highest, each one note at a time; none where there are none. */
  readonly innerVoices: readonly (readonly Note[])[];
  /** The bass line as it is written, one note at a time; empty where there is none. */
  readonly bassLine: readonly Note[];
}

/** What the lines of a sketch are called, as parts of its score and in its table. */
export const TUNE = "tune";
export const BASS_LINE = "bass line";
export const INNER_VOICE = /^inner voice ([1-9])$/;
const innerVoice = (number: number): string => `inner voice ${number}`;

/** What a line is called that a table may name; undefined for other words. */
export function lineNamed(words: string): string | undefined {
  const name = words.trim().toLowerCase();
  return name === TUNE || name === BASS_LINE || INNER_VOICE.test(name) ? name : undefined;
}

/** The lines of a sketch with what each is called. */
export function namedLines(
  { tune, innerVoices, bassLine }: SketchLines,
): readonly (readonly [name: string, notes: readonly Note[]])[] {
  return [
    [TUNE, tune],
    ...innerVoices.map((notes, i) => [innerVoice(i + 1), notes] as const),
    ...(bassLine.length > 0 ? [[BASS_LINE, bassLine] as const] : []),
  ];
}

/** Lines beside the tune of a score that {@linkcode scoreOfLines} has made; none of another. */
export function linesIn({ parts, notes }: Score): Omit<SketchLines, "tune"> {
  const having = (id: string) => {
    const part = parts.findIndex((p) => p.id === id);
    return part < 1 ? [] : notes.filter((n) => n.part === part);
  };
  return {
    innerVoices: parts.filter((p) => INNER_VOICE.test(p.id)).map((p) => having(p.id)),
    bassLine: having(BASS_LINE),
  };
}

/** Whether a score holds the lines of a sketch, and nothing else. */
export function isOfLines({ parts }: Score): boolean {
  return parts.length > 1 && parts.slice(1).every((p) => lineNamed(p.id) !== undefined);
}

/** A score with the lines of a sketch as its parts, at concert pitch with nothing printed; the first is the tune. */
export function scoreOfLines(score: Score, lines: SketchLines, tunePart: Part): Score {
  const { layers: _layers, partGroups: _groups, tempoBends: _bends, ...rest } = score;
  const named = namedLines(lines);
  const parts = named.map(([id, notes], i) => {
    const from = i === 0 ? tunePart : score.parts[notes[0]!.part]!;
    return i === 0 ? plainPart(from) : { ...plainPart(from), id, name: capital(id) };
  });
  return { ...rest, parts, notes: sortNotes(named.flatMap(([, notes], part) => plainLine(notes, part))) };
}

function plainPart({ id, name, instrument, instrumentFrom, players }: Part): Part {
  return { id, name, instrument, instrumentFrom, players, transposeSemitones: 0, transposeSteps: 0 };
}

const capital = (words: string): string => words[0]!.toUpperCase() + words.slice(1);

/** A line without what belongs to its part: staves, ways of playing, slurs to notes of other lines. */
function plainLine(line: readonly Note[], part: number): readonly Note[] {
  const joined = line.map((n, i) => {
    const before = line[i - 1];
    return n.slurred && before !== undefined && before.onsetTicks + before.durationTicks === n.onsetTicks &&
      before.part === n.part && before.staff === n.staff && before.voice === n.voice;
  });
  const ends = slurEnds(joined, (i) => line[i]!.slurStart);
  return line.map(({ onsetTicks, durationTicks, soundingPitch, spelling, dynamic, articulations }, i) =>
    makeNote({
      part,
      onsetTicks,
      durationTicks,
      soundingPitch,
      ...(spelling ? { spelling } : {}),
      dynamic,
      articulations: articulations.filter((sign) => sign !== "breath"),
      ...ends[i]!,
    })
  );
}
