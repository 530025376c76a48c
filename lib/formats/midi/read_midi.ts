/** Scores out of standard MIDI files. */
import { A_TEXT, BYTES, checkArgument, checkOptions } from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import { greatestOf } from "../../base/extremes.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { findInstrument } from "../../instruments/names/find_instrument.ts";
import { makeNote, sortNotes } from "../../score/build.ts";
import type { Bar, Note, Part, Score, Technique, Tempo } from "../../score/model.ts";
import { sharedSections } from "../../score/seat_strings.ts";
import { barIndexOf } from "../../score/time.ts";
import { DEFAULT_QUARTERS_PER_MINUTE, MOST_PARTS, refuseEndless } from "../assemble/assemble_score.ts";
import { midiBars } from "./midi_bars.ts";
import { dynamicOfVelocity } from "./midi_dynamics.ts";
import { readMidiEvents } from "./midi_events.ts";
import { collectPlayed } from "./midi_lines.ts";
import type { MidiNote, PlayedLine } from "./midi_notes.ts";
import { PROGRAM_MANNERS } from "./midi_programs.ts";
import { playersOf } from "../../instruments/names/players_of.ts";
import { noticeList } from "../assemble/notice_list.ts";
import { quantise, QUANTISED_TICKS_PER_QUARTER } from "./quantise.ts";

/** How a MIDI file is read. */
export interface ReadMidiOptions {
  /** Name of the file, for messages and for `score.source`. */
  readonly file?: string;
}

/** Every MIDI file is silent on this, and findings on tongue and bow hang on it. */
const NO_SLURS =
  "slurs: a MIDI file holds none, so every note counts as tongued or bowed anew; speeds reported as too fast may be easy under a slur";

/** Lines that are one instrument's. */
interface JoinedLines {
  readonly line: PlayedLine;
  readonly notes: (MidiNote & { readonly technique: Technique })[];
}

/** A part, and what its notes are made from. */
interface MidiPart {
  readonly part: Part;
  readonly instrument: Instrument;
  readonly unpitched: boolean;
  readonly notes: JoinedLines["notes"];
}

/** Lines that differ only in a way of playing (pizzicato, mute) become one part; other programs stay apart. */
function joinedLines(lines: readonly PlayedLine[]): readonly JoinedLines[] {
  const joined: JoinedLines[] = [];
  for (const line of lines) {
    const { program } = line;
    const manner = program === undefined ? undefined : PROGRAM_MANNERS.get(program);
    const technique: Technique = manner?.technique ?? "ordinario";
    const notes = line.notes.map((n) => ({ ...n, technique }));
    const at = joined.findIndex(({ line: { track, address, program: other } }) =>
      track === line.track && address === line.address && other !== undefined && program !== undefined &&
      (manner?.of.includes(other) || PROGRAM_MANNERS.get(other)?.of.includes(program))
    );
    const host = joined[at];
    if (!host) joined.push({ line, notes });
    else {
      for (const note of notes) host.notes.push(note);
      if (!manner) joined[at] = { line, notes: host.notes };
    }
  }
  return joined;
}

/** Names, each once: a track that gives several parts names the instrument, then a number. */
function uniqueNames(wanted: readonly { readonly name: string; readonly instrument: string }[]): string[] {
  const used = new Set<string>();
  const numbers = new Map<string, number>();
  return wanted.map(({ name, instrument }) => {
    let unique = name;
    if (used.has(unique) && name !== instrument) unique = `${name} (${instrument})`;
    let number = numbers.get(name) ?? 2;
    for (; used.has(unique); number++) unique = `${name} ${number}`;
    numbers.set(name, number);
    used.add(unique);
    return unique;
  });
}

/** Name without folder and ending. */
function plainFileName(file: string | undefined): string {
  return file === undefined ? "" : file.replace(/^.*[\\/]/, "").replace(/\.\w+$/, "");
}

function outsideRange(note: Note, instrument: Instrument): boolean {
  const { low, high } = instrument.rangeExtreme;
  return !note.unpitched && (note.soundingPitch < low || note.soundingPitch > high);
}

/**
 * Reads a standard MIDI file of format 0, 1 or 2. In format 2, whose tracks are pieces of their own, each track
 * begins at the bar line after the one before.
 *
 * Parts are named by their tracks; a track that uses several channels or programs becomes several parts, except
 * that plucked strings and muted trumpets stay with their instrument as a technique. Velocity, channel volume
 * and expression together give the dynamic, in tenths of a step. Onsets and ends are moved to a musical grid;
 * how many and how far is said in `score.notices`, and so is everything that was not used. Without a metre
 * bars are 4/4; without a tempo it is 120, marked `assumed`; a file that counts in seconds (SMPTE) is read at
 * 120 too. A whole file that holds no notes is a score of rests where its tracks choose instruments, as
 * `writeMidi` writes a score of cues.
 *
 * @param bytes the file
 * @param options name of the file
 * @returns the score
 * @throws {InputError} when it is empty, not MIDI, damaged beyond use, holds no notes, or lasts beyond reason
 *
 * Source of the format: MIDI Manufacturers Association, Standard MIDI Files 1.0 (1988).
 *
 * @example
 * ```ts
 * import { demoScore, writeMidi } from "ripieno";
 * import { readMidi } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * assertEquals(readMidi(writeMidi(score)).bars.length, score.bars.length);
 * ```
 */
export function readMidi(bytes: Uint8Array, options: ReadMidiOptions = {}): Score {
  checkArgument("read the MIDI file", bytes, BYTES);
  checkOptions("read the MIDI file", options, { file: A_TEXT });
  const { file } = options;
  const notices = noticeList(file);
  const count = (what: string) => notices.add(what);
  const played = collectPlayed(readMidiEvents(bytes, { file, count }), count);
  refuseUnusable(played.lines, file);
  const grid = QUANTISED_TICKS_PER_QUARTER;
  const found = partsOf(played.lines);
  const notes = sortNotes(notesOf(found, played.halfTickQuarters, count));
  count(NO_SLURS);
  const endTicks = greatestOf(
    notes.map((n) => n.onsetTicks + n.durationTicks),
    Math.round(played.restQuarters * grid),
  );
  const bars = midiBars({ ...played, ticksPerQuarter: grid, endTicks }, { file, count });
  refuseEndless(endTicks / grid, file);
  const last = bars.at(-1)!;
  const inside = played.tempos.filter((t) => t.quarters * grid < last.startTicks + last.durationTicks);
  for (let i = inside.length; i < played.tempos.length; i++) count("tempo after the last bar: not used");
  reportRange(notes, { found, bars, add: notices.add });
  return {
    title: played.title || plainFileName(file) || "Untitled",
    source: file ?? "MIDI",
    ticksPerQuarter: grid,
    bars,
    tempos: temposOf(inside, grid),
    parts: sharedSections(found.map((p) => p.part), notes),
    notes,
    chords: [],
    notices: notices.list(),
  };
}

function refuseUnusable(lines: readonly PlayedLine[], file: string | undefined): void {
  const refuse = refusals("read the MIDI file", { file });
  if (lines.length === 0) throw refuse("it holds no notes", "Give a file with at least one note in it");
  if (lines.length <= MOST_PARTS) return;
  const problem = `it has ${lines.length} parts: every track, channel and program is one`;
  throw refuse(problem, `Give a file of at most ${MOST_PARTS} parts`);
}

/** Parts with their instruments, in the order of the tracks. */
function partsOf(lines: readonly PlayedLine[]): readonly MidiPart[] {
  const found = joinedLines(lines).map(({ line, notes }) => {
    const { track, instrument } = line.names;
    const keys = new Set(line.notes.map((n) => n.key));
    const match = findInstrument({
      names: [track, instrument].filter((n) => n !== ""),
      midiProgram: line.percussion ? undefined : line.program,
      percussionChannel: line.percussion,
      percussionKey: line.percussion && keys.size === 1 ? [...keys][0] : undefined,
    });
    return { line, notes, match, name: track || instrument || match.instrument.id };
  });
  const names = uniqueNames(found.map(({ name, match }) => ({ name, instrument: match.instrument.id })));
  return found.map(({ line, notes, match: { instrument, from } }, i): MidiPart => ({
    notes,
    instrument,
    unpitched: line.percussion,
    part: {
      id: `P${i + 1}`,
      name: names[i]!,
      instrument: instrument.id,
      instrumentFrom: from,
      players: playersOf(names[i]!, instrument.sectionPlayers),
      transposeSemitones: instrument.transposeSemitones,
      transposeSteps: instrument.transposeSteps,
    },
  }));
}

/** Notes of all parts on the musical grid. */
function notesOf(
  parts: readonly MidiPart[],
  halfTickQuarters: number,
  count: (what: string) => void,
): readonly Note[] {
  let moved = 0;
  let farthest = 0;
  const notes = parts.flatMap(({ notes, unpitched }, part) => {
    const spans = quantise(
      notes.map(({ fromQuarters: from, toQuarters: to }) => ({ from, to })),
      halfTickQuarters,
    );
    return notes.map(({ key, velocity, technique }, i) => {
      const { onsetTicks, durationTicks, movedQuarters } = spans[i]!;
      if (movedQuarters > 0) moved++;
      farthest = Math.max(farthest, movedQuarters);
      const dynamic = dynamicOfVelocity(velocity);
      return makeNote({ part, onsetTicks, durationTicks, soundingPitch: key, dynamic, technique, unpitched });
    });
  });
  const what = `note moved to the musical grid, by at most ${farthest.toFixed(3)} of a quarter note`;
  for (let i = 0; i < moved; i++) count(what);
  return notes;
}

/** Says which notes no player of the instrument has; in MIDI they are often switches between sounds. */
function reportRange(
  notes: readonly Note[],
  { found, bars, add }: {
    readonly found: readonly MidiPart[];
    readonly bars: readonly Bar[];
    readonly add: (what: string, part?: string, bar?: string) => void;
  },
): void {
  for (const note of notes) {
    const { part, instrument } = found[note.part]!;
    if (part.instrumentFrom === "fallback" || !outsideRange(note, instrument)) continue;
    const bar = bars[barIndexOf({ bars }, note.onsetTicks)]?.number;
    add(
      `note outside the range of the ${instrument.id}, perhaps a switch between sounds: kept`,
      part.name,
      bar,
    );
  }
}

function temposOf(
  found: readonly { readonly quarters: number; readonly microseconds: number }[],
  ticksPerQuarter: number,
): readonly Tempo[] {
  const byTicks = new Map<number, Tempo>();
  for (const { quarters, microseconds } of found) {
    const onsetTicks = Math.round(quarters * ticksPerQuarter);
    // Whole microseconds are coarser than the figure they were made from.
    const quartersPerMinute = Math.round(60e9 / microseconds) / 1000;
    byTicks.set(onsetTicks, { onsetTicks, quartersPerMinute, origin: "marked" });
  }
  const tempos = [...byTicks.values()].sort((a, b) => a.onsetTicks - b.onsetTicks)
    .filter((t, i, all) => i === 0 || t.quartersPerMinute !== all[i - 1]!.quartersPerMinute);
  if (tempos[0]?.onsetTicks !== 0) {
    tempos.unshift({ onsetTicks: 0, quartersPerMinute: DEFAULT_QUARTERS_PER_MINUTE, origin: "assumed" });
  }
  return tempos;
}
