/** The lines of a sketch as a table, one row per note, to be corrected by hand and read again. */
import { A_SKETCH, A_TEXT, checkArgument, checkOptions } from "../../base/arguments.ts";
import { pitchOf } from "../../base/units.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { readRows, type TableFields, type TableKind } from "../../instruments/table_rows.ts";
import { makeNote } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { spelledName } from "../../score/spelled_name.ts";
import { spellAs } from "../../score/spelling.ts";
import { barBeatOf, endTicksOf } from "../../score/time.ts";
import { barIn, beatIn, numberIn } from "./row_places.ts";
import { type Sketch, sketchOver } from "./sketch.ts";
import { BASS_LINE, INNER_VOICE, lineNamed, namedLines, scoreOfLines, TUNE } from "./sketch_lines.ts";

const COLUMNS = ["line", "bar", "beat", "quarters", "pitch", "slur"] as const;
type LineColumn = (typeof COLUMNS)[number];

const LINES: TableKind<LineColumn> = {
  action: "read the lines",
  noun: "a table of lines",
  each: "note",
  columns: COLUMNS,
  required: ["line", "bar", "beat", "quarters", "pitch"],
};

/** What stands in the column of slurs where one begins, ends, or ends and another begins. */
const SLURS = { begins: "begins", ends: "ends", both: "ends, begins" } as const;

/** Digits of beats and lengths: triplets are thirds. */
const DIGITS = 1e4;

/**
 * The lines of a sketch as a table (CSV): tune, inner voices from the highest, and bass line, one row per note with `line`, printed `bar`,
 * `beat` in units of the metre's lower figure, length in `quarters`, sounding `pitch`, and `slur` (begins, ends). For
 * correcting by hand what was read; `readSketchLines` reads it again.
 *
 * @param sketch the sketch
 * @returns the table
 *
 * @example
 * ```ts
 * import { demoSketch } from "ripieno";
 * import { writeSketchLines } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * assertEquals(writeSketchLines(demoSketch()).split("\n").slice(0, 2), ["line,bar,beat,quarters,pitch,slur", "tune,1,1,3,D4,"]);
 * ```
 */
export function writeSketchLines(sketch: Sketch): string {
  checkArgument("write the lines", sketch, A_SKETCH);
  const { score } = sketch;
  const rounded = (x: number) => Math.round(x * DIGITS) / DIGITS;
  const rows = namedLines(sketch).flatMap(([line, notes]) =>
    notes.map((n) => {
      const { bar, beat } = barBeatOf(score, n.onsetTicks);
      const slur = n.slurStart ? (n.slurStop ? SLURS.both : SLURS.begins) : n.slurStop ? SLURS.ends : "";
      return {
        line,
        bar,
        beat: rounded(beat),
        quarters: rounded(n.durationTicks / score.ticksPerQuarter),
        pitch: spelledName(score, n),
        slur,
      };
    })
  );
  return Papa.unparse(rows, { columns: [...COLUMNS], newline: "\n" }) + "\n";
}

/** Options of {@linkcode readSketchLines}. */
export interface ReadSketchLinesOptions {
  /** The sketch the lines belong to: bars, metre, tempos and chords stay. */
  readonly sketch: Sketch;
  /** Name of the file, for messages. */
  readonly file?: string;
}

/**
 * Reads the lines of a sketch from a table as `writeSketchLines` writes it, with notes corrected, taken out or put in. The lines of the
 * table are those of the new sketch, `tune`, `inner voice 1` and so on, and `bass line`; a tune that it does not have stays.
 *
 * @param text the table
 * @param options the sketch, name of the file
 * @returns the sketch with these lines
 * @throws {InputError} with row and column, for lines, bars, beats and pitches that there are none of, and for two notes at once in a line
 *
 * @example
 * ```ts
 * import { demoSketch } from "ripieno";
 * import { readSketchLines } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const table = "line,bar,beat,quarters,pitch\ninner voice 1,1,1,2,F4\ninner voice 1,1,3,2,E4\nbass line,1,1,4,D3\n";
 * const sketch = readSketchLines(table, { sketch: demoSketch() });
 * assertEquals(sketch.innerVoices[0]?.map((n) => n.soundingPitch), [65, 64]);
 * ```
 */
export function readSketchLines(text: string, options: ReadSketchLinesOptions): Sketch {
  checkArgument(LINES.action, text, A_TEXT);
  checkOptions(LINES.action, options, { sketch: A_SKETCH, file: A_TEXT });
  const { sketch, file } = options;
  checkArgument(LINES.action, sketch, A_SKETCH);
  const read = Map.groupBy(
    readRows(text, LINES, file).map((row) => ({ row, ...noteOf(row, sketch) })),
    ({ line }) => line,
  );
  const lineOf = (name: string): readonly Note[] => {
    const own = (read.get(name) ?? []).toSorted((a, b) => a.note.onsetTicks - b.note.onsetTicks);
    own.forEach(({ row, note }, i) => {
      const before = own[i - 1]?.note;
      if (before === undefined || before.onsetTicks + before.durationTicks <= note.onsetTicks) return;
      throw row.error(
        "beat",
        `the note before in the ${name} still sounds`,
        "Make that shorter, or this later",
      );
    });
    return slursClosed(own.map(({ note }) => note));
  };
  const tune = read.has(TUNE) ? lineOf(TUNE) : sketch.tune;
  const voices = [...read.keys()].filter((name) => INNER_VOICE.test(name)).sort();
  const lines = { tune, innerVoices: voices.map(lineOf), bassLine: lineOf(BASS_LINE) };
  return sketchOver(scoreOfLines(sketch.score, lines, sketch.score.parts[0]!));
}

/** A note with the name of its line. */
interface RowNote {
  readonly line: string;
  readonly note: Note;
}

function noteOf(row: TableFields<LineColumn>, sketch: Sketch): RowNote {
  const { field, error } = row;
  const line = lineNamed(field("line"));
  if (line === undefined) {
    const remedy = `Write ${TUNE}, inner voice 1, inner voice 2 … or ${BASS_LINE}`;
    throw error("line", `"${field("line")}" is not a line of a sketch`, remedy);
  }
  const { onsetTicks, endTicks } = placeIn(row, sketch.score);
  const durationTicks = Math.round(numberIn(row, "quarters") * sketch.score.ticksPerQuarter);
  if (durationTicks <= 0) {
    throw error("quarters", `"${field("quarters")}" is no length`, "Write quarter notes, such as 1.5");
  }
  if (onsetTicks + durationTicks > endTicks) {
    throw error("quarters", "the note lasts beyond the end of the sketch", "Make it shorter");
  }
  const name = field("pitch").trim();
  const soundingPitch = pitchOf(name);
  if (soundingPitch === undefined) {
    throw error("pitch", `"${name}" is not a pitch`, "Write it as for example Bb3 or F#4; C4 is middle C");
  }
  const slur = field("slur").trim().toLowerCase();
  if (slur !== "" && !Object.values<string>(SLURS).includes(slur)) {
    const remedy = `Write ${Object.values(SLURS).map((s) => `"${s}"`).join(" or ")}, or leave it empty`;
    throw error("slur", `"${slur}" says nothing of a slur`, remedy);
  }
  const spelling = spellAs(
    name.replace(/[-−]?\d+$/, "").replaceAll("♯", "#").replaceAll("♭", "b"),
    soundingPitch,
  );
  return {
    line,
    note: makeNote({
      part: 0,
      onsetTicks,
      durationTicks,
      soundingPitch,
      spelling,
      slurStart: slur === SLURS.begins || slur === SLURS.both,
      slurStop: slur === SLURS.ends || slur === SLURS.both,
      ...signsAt(sketch, line, onsetTicks),
    }),
  };
}

/** What a note of a line had, besides its pitch and length. */
function signsAt(sketch: Sketch, line: string, at: number): Partial<Pick<Note, "articulations" | "dynamic">> {
  const found = namedLines(sketch).find(([name]) => name === line)?.[1].find((n) => n.onsetTicks === at);
  return found === undefined ? {} : { articulations: found.articulations, dynamic: found.dynamic };
}

/** Where a row's note begins, and where the sketch ends. */
function placeIn(
  row: TableFields<LineColumn>,
  score: Score,
): { readonly onsetTicks: number; readonly endTicks: number } {
  const bar = score.bars[barIn(row, "bar", score)]!;
  const within = beatIn(row, "beat", { score, bar });
  if (within < 0 || within >= bar.durationTicks) {
    const { beat } = barBeatOf(score, bar.startTicks);
    throw row.error("beat", `bar ${bar.number} has no beat ${row.field("beat")}`, `Its first is ${beat}`);
  }
  return { onsetTicks: bar.startTicks + within, endTicks: endTicksOf(score) };
}

/** A line whose notes are slurred from where a slur begins to where it ends. */
function slursClosed(line: readonly Note[]): readonly Note[] {
  let isOpen = false;
  return line.map((n) => {
    const slurred = isOpen;
    isOpen = n.slurStart || isOpen && !n.slurStop;
    return { ...n, slurred };
  });
}
