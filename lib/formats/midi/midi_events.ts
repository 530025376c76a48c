/** Standard MIDI files taken apart into events: nothing is interpreted here, and nothing damaged stops it early. */
import { refusals } from "../../base/errors.ts";

/** An event of a track, at its time. */
export type MidiEvent =
  & {
    /** Ticks from the start of the track. */
    readonly ticks: number;
    readonly track: number;
  }
  & (
    | { readonly kind: "note on"; readonly channel: number; readonly key: number; readonly velocity: number }
    | { readonly kind: "note off"; readonly channel: number; readonly key: number }
    | {
      readonly kind: "controller";
      readonly channel: number;
      readonly controller: number;
      readonly value: number;
    }
    | { readonly kind: "program"; readonly channel: number; readonly program: number }
    | { readonly kind: "tempo"; readonly microseconds: number }
    | { readonly kind: "metre"; readonly beats: number; readonly beatUnit: number }
    | { readonly kind: "key"; readonly fifths: number }
    | { readonly kind: "text"; readonly type: number; readonly text: string }
    | { readonly kind: "port"; readonly port: number }
  );

/** One track. */
export interface MidiTrack {
  readonly events: readonly MidiEvent[];
  readonly endTicks: number;
  /** Whether it was read up to its end. */
  readonly complete: boolean;
}

/** A file taken apart. */
export interface MidiFile {
  /** 0 one track, 1 tracks played together, 2 tracks played one after another. */
  readonly format: 0 | 1 | 2;
  /** Ticks to a quarter note, or undefined where the file counts in seconds. */
  readonly ticksPerQuarter: number | undefined;
  /** Ticks to a second, where the file counts in seconds (SMPTE frames). */
  readonly ticksPerSecond: number | undefined;
  readonly tracks: readonly MidiTrack[];
  /** Whether every track was read up to its end. */
  readonly complete: boolean;
}

/** Largest file accepted, in bytes; a symphony takes a few hundred thousand. */
export const MAX_MIDI_BYTES = 16e6;
/** Longest text kept, in bytes. */
const MAX_TEXT_BYTES = 1000;

/** Data bytes after a channel message, by its upper four bits. */
const DATA_BYTES: Readonly<Record<number, number>> = { 8: 2, 9: 2, 10: 2, 11: 2, 12: 1, 13: 1, 14: 2 };
/** Data bytes after a system message that has no place in a file. */
const SYSTEM_DATA_BYTES: Readonly<Record<number, number>> = { 0xf1: 1, 0xf2: 2, 0xf3: 1 };

/** Text of a MIDI file: UTF-8 where it is that, else Windows-1252, which covers Latin-1. */
function decodeText(bytes: Uint8Array): string {
  const kept = bytes.subarray(0, MAX_TEXT_BYTES);
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(kept);
  } catch {
    return new TextDecoder("windows-1252").decode(kept);
  }
}

const EXPORT_AGAIN = "Export the file again from the program it comes from";

/** A track while it is read. */
interface TrackReading {
  readonly bytes: Uint8Array;
  readonly track: number;
  readonly count: (what: string) => void;
  readonly events: MidiEvent[];
  at: number;
  ticks: number;
  isDamaged: boolean;
  hasEnd: boolean;
}

/** Reads one track; damage ends the track and is counted. */
function readTrack(bytes: Uint8Array, track: number, count: (what: string) => void): MidiTrack {
  const reading: TrackReading = {
    ...{ bytes, track, count },
    ...{ events: [], at: 0, ticks: 0, isDamaged: false, hasEnd: false },
  };
  let running = 0;
  while (!reading.hasEnd && !reading.isDamaged && reading.at < bytes.length) {
    const delta = variableLengthAt(reading);
    const status = bytes[reading.at];
    if (delta === undefined) {
      damage(reading);
      break;
    }
    reading.ticks += delta;
    if (status !== undefined && status >= 0x80) reading.at++;
    if (status === undefined || (status < 0x80 && running === 0)) damage(reading);
    else if (status === 0xff) readMeta(reading);
    else if (status >= 0xf0) readSystem(reading, status);
    else {
      if (status >= 0x80) running = status;
      readChannelMessage(reading, running);
    }
  }
  const { events, ticks: endTicks, isDamaged, hasEnd } = reading;
  if (!hasEnd && !isDamaged) count("track without an end: taken to end with its last event");
  return { events, endTicks, complete: hasEnd };
}

function damage(reading: TrackReading): void {
  reading.isDamaged = true;
  reading.count("damaged track: what stands after the damage is not read");
}

function variableLengthAt(reading: TrackReading): number | undefined {
  let value = 0;
  for (let i = 0; i < 4; i++) {
    const byte = reading.bytes[reading.at++];
    if (byte === undefined) return undefined;
    value = value * 128 + (byte & 0x7f);
    if (byte < 0x80) return value;
  }
  return undefined;
}

/** Goes past so many bytes, and gives the place of the first; undefined, and the track damaged, where they are not there. */
function goPast(reading: TrackReading, length: number | undefined): number | undefined {
  const start = reading.at;
  if (length === undefined || start + length > reading.bytes.length) return void damage(reading);
  reading.at += length;
  return start;
}

function readMeta(reading: TrackReading): void {
  const { events, ticks, track, count } = reading;
  const type = reading.bytes[reading.at++];
  const start = goPast(reading, variableLengthAt(reading));
  if (type === undefined || start === undefined) return;
  const data = reading.bytes.subarray(start, reading.at);
  const [a = 0, b = 0, c = 0] = data;
  const place = { ticks, track };
  if (type === 0x2f) reading.hasEnd = true;
  else if (type === 0x51 && data.length === 3) {
    events.push({ ...place, kind: "tempo", microseconds: a * 65536 + b * 256 + c });
  } else if (type === 0x58 && data.length >= 2) {
    events.push({ ...place, kind: "metre", beats: a, beatUnit: 2 ** b });
  } else if (type === 0x59 && data.length >= 1) {
    events.push({ ...place, kind: "key", fifths: a > 127 ? a - 256 : a });
  } else if (type === 0x21 && data.length === 1) events.push({ ...place, kind: "port", port: a });
  else if (type === 3 || type === 4 || type === 6) {
    events.push({ ...place, kind: "text", type, text: decodeText(data) });
  } else if (type >= 1 && type <= 15) count(type === 5 ? "lyrics: not used" : "text: not used");
  else if (type === 0x54) count("SMPTE offset: not used");
  else if (type !== 0x20 && type !== 0x00 && type !== 0x7f) count("unknown meta event: not used");
}

function readSystem(reading: TrackReading, status: number): void {
  if (status === 0xf0 || status === 0xf7) {
    const start = goPast(reading, variableLengthAt(reading));
    if (start !== undefined) reading.count("system exclusive message: not used");
  } else {
    reading.at += SYSTEM_DATA_BYTES[status] ?? 0;
    reading.count("system message that has no place in a file: passed over");
  }
}

function readChannelMessage(reading: TrackReading, status: number): void {
  const { bytes, events, ticks, track, count } = reading;
  const type = status >> 4;
  const size = DATA_BYTES[type];
  const start = goPast(reading, size);
  if (start === undefined) return;
  const [first, second] = [bytes[start]!, size === 2 ? bytes[start + 1]! : 0];
  if (first > 127 || second > 127) return damage(reading);
  const channel = status & 0x0f;
  if (type === 9 && second > 0) {
    events.push({ ticks, track, kind: "note on", channel, key: first, velocity: second });
  } else if (type === 8 || type === 9) events.push({ ticks, track, kind: "note off", channel, key: first });
  else if (type === 11) {
    events.push({ ticks, track, kind: "controller", channel, controller: first, value: second });
  } else if (type === 12) events.push({ ticks, track, kind: "program", channel, program: first });
  else count(type === 14 ? "pitch bend: not used" : "aftertouch: not used");
}

/** Frames a second that a SMPTE division names; 29 stands for 30 drop-frame. */
function framesPerSecond(code: number): number | undefined {
  return { 24: 24, 25: 25, 29: 30000 / 1001, 30: 30 }[code];
}

/**
 * Takes a standard MIDI file apart, plain or inside a RIFF wrapper. Unknown chunks are skipped, as the
 * standard asks; a track that is cut off or damaged is read up to the damage; running status survives meta
 * and system exclusive events, which the standard forbids writers to rely on and many files do.
 */
export function readMidiEvents(
  bytes: Uint8Array,
  { file, count }: { readonly file: string | undefined; readonly count: (what: string) => void },
): MidiFile {
  const refuse = refusals("read the MIDI file", { file });
  if (bytes.length === 0) throw refuse("it is empty", EXPORT_AGAIN);
  if (bytes.length > MAX_MIDI_BYTES) {
    throw refuse(
      `it has ${Math.round(bytes.length / 1e6)} million bytes`,
      `Give a file of at most ${MAX_MIDI_BYTES / 1e6} million bytes`,
    );
  }
  const tracks: MidiTrack[] = [];
  let header: { readonly format: number; readonly announced: number; readonly division: number } | undefined;
  for (const { name, data, isWhole } of chunksOf(bytes)) {
    if (name === "MThd" && data.length >= 6) {
      const view = new DataView(data.buffer, data.byteOffset);
      header ??= { format: view.getUint16(0), announced: view.getUint16(2), division: view.getUint16(4) };
    } else if (!header || name === "MThd") break;
    else if (name === "MTrk") {
      if (!isWhole) count("file cut off: its last track is not complete");
      const track = readTrack(data, tracks.length, count);
      tracks.push({ ...track, complete: track.complete && isWhole });
    } else count("chunk of an unknown kind: skipped");
  }
  if (!header) throw refuse("it is not a standard MIDI file", "Give a file that begins with MThd");
  const { format, announced, division } = header;
  if (format > 2) throw refuse(`its format is ${format}`, "Formats 0, 1 and 2 are read");
  if (tracks.length === 0) throw refuse("it has no tracks", EXPORT_AGAIN);
  if (tracks.length < announced) count("track announced by the header and missing");
  const inSeconds = division >= 0x8000;
  const frames = inSeconds ? framesPerSecond(256 - (division >> 8)) : undefined;
  const ticksPerFrame = division & 0xff;
  if (division === 0 || (inSeconds && (frames === undefined || ticksPerFrame === 0))) {
    throw refuse("its header does not say how long a tick is", EXPORT_AGAIN);
  }
  return {
    format: format as 0 | 1 | 2,
    ticksPerQuarter: inSeconds ? undefined : division,
    ticksPerSecond: frames === undefined ? undefined : frames * ticksPerFrame,
    tracks,
    complete: tracks.every((t) => t.complete) && tracks.length >= announced,
  };
}

/** The chunks of a file, plain or inside a RIFF wrapper; the last may be cut off. */
function* chunksOf(bytes: Uint8Array) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const nameAt = (at: number) => String.fromCharCode(...bytes.subarray(at, at + 4));
  let at = nameAt(0) === "RIFF" && nameAt(8) === "RMID" ? 20 : 0;
  while (at + 8 <= bytes.length) {
    const [start, length] = [at + 8, view.getUint32(at + 4)];
    const data = bytes.subarray(start, start + length);
    yield { name: nameAt(at), data, isWhole: start + length <= bytes.length };
    at = start + length;
  }
}
