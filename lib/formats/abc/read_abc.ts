/** ABC tunes, as sketches are written in it. */
import { A_TEXT, checkArgument, checkOptions, TEXT_OR_BYTES } from "../../base/arguments.ts";
import { commonDivisor } from "../../base/common_divisor.ts";
import { refusals } from "../../base/errors.ts";
import { findInstrument } from "../../instruments/names/find_instrument.ts";
import type { Part, Score } from "../../score/model.ts";
import { readMusicLine } from "./abc_music.ts";
import { compare, type Fraction } from "./abc_fraction.ts";
import { abcError, type AbcTune, readField, readInstruction } from "./abc_tune.ts";
import { type AbcVoice, barOf } from "./abc_voice.ts";
import { readKey } from "./abc_fields.ts";
import { assembleScore } from "../assemble/assemble_score.ts";
import { decodeText } from "../files/decode.ts";
import { noticeList } from "../assemble/notice_list.ts";
import type { RawBar, RawScore } from "../assemble/raw_score.ts";

/** How an ABC tune is read. */
export interface ReadAbcOptions {
  /** Name of the file, for messages and for `score.source`. */
  readonly file?: string;
}

/** Largest tune accepted, in characters or bytes. */
const MAX_SIZE = 10e6;
/** Finest grid accepted, in ticks to a quarter. */
const MAX_TICKS_PER_QUARTER = 1e7;

const FIELD_LINE = /^([A-Za-z+]):(.*)$/;

/**
 * Reads a tune in ABC, standard 2.1: head (X, T, C, M, L, Q, K, V, P), notes with accidentals that last as
 * the standard says (to the end of the bar, in all octaves), lengths, broken rhythm, tuplets, ties, slurs,
 * chords, grace notes, rests, bar lines, chord symbols, dynamics, hairpins and other decorations, several
 * voices, and fields inside the music. Parts are named after their voices; music without `V:` is the part
 * `tune`. A part is a piano unless its voice has `name="…"` with an instrument's name.
 *
 * Bars are numbered from 1, a pickup is 0. Every bar must fill its metre, except a pickup, the last, and those
 * that a repeat or double bar line cuts in two. Repeats are kept once, as printed;
 * `unfoldRepeats` writes them out. Only the first tune of a file is read.
 *
 * @param source the tune's text, or its bytes
 * @param options name of the file
 * @returns the score
 * @throws {InputError} for what is not ABC, with line and column, for a bar that does not fill its metre, and
 *   when there are no notes
 *
 * @example A tune with chord symbols
 * ```ts
 * import { readAbc } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const score = readAbc(`X:1\nT:Ebb\nM:3/4\nL:1/4\nQ:1/4=96\nK:F\n"F" A2 c | "C7" _e3 |]\n`);
 * assertEquals(score.notes.map((n) => n.soundingPitch), [69, 72, 75]);
 * assertEquals(score.chords.map((c) => c.symbol), ["F", "C7"]);
 * ```
 */
export function readAbc(source: string | Uint8Array, options: ReadAbcOptions = {}): Score {
  checkArgument("read the ABC tune", source, TEXT_OR_BYTES);
  checkOptions("read the ABC tune", options, { file: A_TEXT });
  const { file } = options;
  const refuse = refusals("read the ABC tune", { file });
  if (source.length > MAX_SIZE) throw refuse(`it is larger than ${MAX_SIZE / 1e6} MB`, "Give one tune");
  const tune: AbcTune = {
    file,
    notices: noticeList(file),
    title: "",
    composer: "",
    inBody: false,
    head: { key: readKey("C")!, metre: { beats: 4, beatUnit: 4 }, unit: undefined },
    voices: new Map(),
    voice: undefined,
    accidentalsReach: "pitch",
    metres: new Map(),
    rehearsals: new Map(),
    tempos: [],
    chords: [],
    bends: [],
    lastRow: 1,
  };
  readLines(tune, decodeText(source, { file }));
  for (const voice of tune.voices.values()) {
    for (const _ of voice.pauses) {
      tune.notices.add("pause: kept; the tempo stays steady unless pauses are asked for", voice.name);
    }
  }
  if (!tune.inBody) throw refuse("it has no key field", "End the tune's head with a line such as K:C");
  return assembleScore(rawScoreOf(tune), { notices: tune.notices, file });
}

/** Cuts a remark off; a percent sign after a backslash is kept. */
function withoutRemark(line: string): string {
  return line.replace(/(^|[^\\])%.*$/, "$1");
}

function readLines(tune: AbcTune, text: string): void {
  const lines = text.split(/\r\n|\r|\n/);
  let started = false;
  for (let i = 0; i < lines.length; i++) {
    const row = i + 1;
    const full = lines[i]!;
    if (full.startsWith("%%")) {
      readInstruction(tune, full.slice(2));
      continue;
    }
    const line = withoutRemark(full);
    if (line.trim() === "") continue;
    const field = FIELD_LINE.exec(line);
    if (field && field[1] === "X") {
      if (started) {
        tune.notices.add("further tunes in the file: not read");
        return;
      }
      started = true;
    }
    if (field && field[1] === "+") tune.notices.add("continued field (+:): not used");
    else if (field) {
      started ||= field[1] === "T" || field[1] === "K";
      readField(tune, { letter: field[1]!, value: field[2]! }, { row, column: 1 });
    } else if (tune.inBody) {
      tune.lastRow = row;
      readMusicLine(tune, line.trimEnd(), row);
    } else if (started) {
      throw abcError(tune, { row, column: 1 }, {
        problem: "music begins before the key is given",
        remedy: "End the tune's head with a line such as K:C",
      });
    }
  }
}

/** Bars of a voice with the unfinished last one, checked against the metre. */
function finishBars(tune: AbcTune, voice: AbcVoice, pickup: boolean): void {
  if (voice.begun) {
    const last = barOf(voice, voice.longest, { row: tune.lastRow, column: 1 });
    voice.bars.push({ ...last, mayBeShort: true });
  }
  voice.bars.forEach((bar, index) => {
    const { wanted, length } = bar;
    if (!wanted) return;
    const difference = compare(length, wanted);
    const mayBeShort = bar.mayBeShort || index === 0 || index === voice.bars.length - 1;
    if (difference === 0 || (difference < 0 && mayBeShort)) return;
    tune.voice = voice;
    throw abcError(tune, { row: bar.row, column: bar.column }, {
      problem: `the bar is too ${difference < 0 ? "short" : "long"}: it lasts ${inWords(length)}, not ${
        metreInWords(bar.metre)
      }`,
      remedy: "Correct its note lengths, or the time signature",
      bar: barNumber(index, pickup),
    });
  });
}

/** A length as a fraction of a whole note, the way a time signature is said. */
function inWords(length: Fraction): string {
  return length.bottom < 4 ? `${length.top * 4 / length.bottom}/4` : `${length.top}/${length.bottom}`;
}

function metreInWords(metre: AbcVoice["metre"]): string {
  return metre === "free" ? "free" : `${metre.beats}/${metre.beatUnit}`;
}

function barNumber(index: number, pickup: boolean): string {
  return String(pickup ? index : index + 1);
}

/** True when the first bar of the tune is shorter than its metre and others follow. */
function hasPickup(voices: readonly AbcVoice[]): boolean {
  return voices.some(({ bars }) =>
    bars.length > 1 && bars[0]!.wanted !== undefined && compare(bars[0]!.length, bars[0]!.wanted) < 0
  );
}

function rawScoreOf(tune: AbcTune): RawScore {
  const voices = [...tune.voices.values()].filter((v) => v.bars.length > 0 || v.begun);
  const pickup = hasPickup(voices);
  for (const voice of voices) finishBars(tune, voice, pickup);
  const ticksPerQuarter = gridOf(tune, voices);
  const ticks = (length: Fraction) => length.top * 4 * ticksPerQuarter / length.bottom;
  const bars = barsOf(tune, voices, { ticks, pickup });
  const at = (place: { readonly barIndex: number; readonly offset: Fraction }) => ({
    barIndex: Math.min(place.barIndex, bars.length - 1),
    offsetTicks: ticks(place.offset),
  });
  return {
    title: tune.title,
    composer: tune.composer,
    source: tune.file ?? "ABC",
    ticksPerQuarter,
    bars,
    parts: voices.map((voice) => ({
      part: partOf(voice),
      notes: voice.notes.map(({ note, offset, length }) => {
        note.offsetTicks = ticks(offset);
        note.durationTicks = ticks(length);
        return note;
      }),
      marks: voice.marks.map((m) => ({ ...m.what, ...at(m), staff: 0 })),
      keys: voice.keys,
      playing: voice.playing.map((p) => ({ ...p.what, ...at(p) })),
      instrumentChanges: [],
    })),
    bends: [
      ...tune.bends.map((b) => ({ ...b.what, ...at(b), lengthTicks: 0 })),
      ...voices.flatMap((v) => v.pauses).map(({ note, offset, length }) => ({
        kind: "pause" as const,
        words: "",
        ...at({ barIndex: note.barIndex, offset }),
        lengthTicks: ticks(length),
      })),
    ],
    tempos: tune.tempos.map((t) => ({ ...t.what, ...at(t) })),
    chords: tune.chords.map((c) => ({ symbol: c.what, ...at(c) })),
  };
}

function partOf(voice: AbcVoice): Part {
  const match = voice.givenName === undefined ? undefined : findInstrument({ names: [voice.givenName] });
  const known = match !== undefined && match.from === "name";
  return {
    id: voice.id,
    name: voice.name,
    instrument: known ? match.instrument.id : "piano",
    instrumentFrom: known ? "name" : "given",
    players: known ? match.instrument.sectionPlayers : 1,
    transposeSemitones: voice.transpose,
    transposeSteps: Math.round(voice.transpose * 7 / 12),
  };
}

/** Least grid on which every start and length is a whole number of ticks. */
function gridOf(tune: AbcTune, voices: readonly AbcVoice[]): number {
  let grid = 1;
  const fit = ({ bottom }: Fraction) => {
    const needed = bottom / commonDivisor(bottom, 4);
    grid *= needed / commonDivisor(needed, grid);
  };
  for (const voice of voices) {
    for (const { offset, length } of voice.notes) {
      fit(offset);
      fit(length);
    }
    for (const bar of voice.bars) fit(bar.length);
    for (const { offset } of voice.marks) fit(offset);
    for (const { offset } of voice.playing) fit(offset);
  }
  for (const { offset } of [...tune.tempos, ...tune.chords, ...tune.bends]) fit(offset);
  for (const metre of tune.metres.values()) fit({ top: 1, bottom: metre.beatUnit });
  if (!(grid <= MAX_TICKS_PER_QUARTER)) {
    const problem = "its note lengths have no common measure that is not absurdly small";
    throw refusals("read the ABC tune", { file: tune.file })(problem, "Use plainer tuplets");
  }
  return grid;
}

function barsOf(
  tune: AbcTune,
  voices: readonly AbcVoice[],
  options: { readonly ticks: (length: Fraction) => number; readonly pickup: boolean },
): RawBar[] {
  const { ticks, pickup } = options;
  const count = Math.max(0, ...voices.map((v) => v.bars.length));
  return Array.from({ length: count }, (_, index): RawBar => {
    const present = voices.filter((v) => index < v.bars.length);
    const longest = present.reduce((best, v) =>
      compare(v.bars[index]!.length, best.bars[index]!.length) > 0 ? v : best
    );
    for (const voice of present) {
      const bar = voice.bars[index]!;
      if (index === voice.bars.length - 1 || compare(bar.length, longest.bars[index]!.length) === 0) continue;
      tune.voice = voice;
      throw abcError(tune, { row: bar.row, column: bar.column }, {
        problem: `the bar lasts ${inWords(bar.length)} here and ${
          inWords(longest.bars[index]!.length)
        } in voice ${longest.name}`,
        remedy: "Give all voices equally long bars, pickups included",
        bar: barNumber(index, pickup),
      });
    }
    const metre = tune.metres.get(index);
    const rehearsal = tune.rehearsals.get(index);
    const repeat = Object.assign({}, ...voices.map((v) => v.repeats.get(index) ?? {}));
    return {
      number: barNumber(index, pickup),
      contentTicks: ticks(longest.bars[index]!.length),
      filledTicks: [],
      ...(metre ? { metre } : {}),
      ...(rehearsal ? { rehearsal } : {}),
      ...(Object.keys(repeat).length > 0 ? { repeat } : {}),
      ...(voices.some((v) => v.bars[index]?.doubleBar) ? { doubleBar: true as const } : {}),
    };
  });
}
