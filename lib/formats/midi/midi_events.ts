/** Standard MIDI files taken apart into events: nothing is interpreted here, and nothing damaged stops it early. */
import { InputError } from "../../base/errors.ts";

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
  /** What was met and not kept, with counts. */
  readonly unused: ReadonlyMap<string, number>;
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

function refuse(problem: string, remedy: string, file: string | undefined): InputError {
  return new InputError({ action: "read the MIDI file", problem, where: { file }, remedy });
}

const EXPORT_AGAIN = "Export the file again from the program it comes from";

/** Reads one track; damage ends the track and is counted. */
function readTrack(bytes: Uint8Array, track: number, count: (what: string) => void): MidiTrack {
  const events: MidiEvent[] = [];
  let at = 0;
  let ticks = 0;
  let running = 0;
  let ended = false;
  const variable = (): number | undefined => {
    let value = 0;
    for (let i = 0; i < 4; i++) {
      const byte = bytes[at++];
      if (byte === undefined) return undefined;
      value = value * 128 + (byte & 0x7f);
      if (byte < 0x80) return value;
    }
    return undefined;
  };
  let complete = true;
  const damaged = () => {
    ended = true;
    complete = false;
    count("damaged track: what stands after the damage is not read");
  };
  const meta = () => {
    const type = bytes[at++];
    const length = variable();
    if (type === undefined || length === undefined || at + length > bytes.length) return damaged();
    const data = bytes.subarray(at, at + length);
    at += length;
    if (type === 0x2f) ended = true;
    else if (type === 0x51 && length === 3) {
      events.push({
        ticks,
        track,
        kind: "tempo",
        microseconds: data[0]! * 65536 + data[1]! * 256 + data[2]!,
      });
    } else if (type === 0x58 && length >= 2) {
      events.push({ ticks, track, kind: "metre", beats: data[0]!, beatUnit: 2 ** data[1]! });
    } else if (type === 0x59 && length >= 1) {
      events.push({ ticks, track, kind: "key", fifths: data[0]! > 127 ? data[0]! - 256 : data[0]! });
    } else if (type === 0x21 && length === 1) events.push({ ticks, track, kind: "port", port: data[0]! });
    else if (type === 3 || type === 4 || type === 6) {
      events.push({ ticks, track, kind: "text", type, text: decodeText(data) });
    } else if (type >= 1 && type <= 15) count(type === 5 ? "lyrics: not used" : "text: not used");
    else if (type === 0x54) count("SMPTE offset: not used");
    else if (type !== 0x20 && type !== 0x00 && type !== 0x7f) count("unknown meta event: not used");
  };
  const system = (status: number) => {
    if (status === 0xf0 || status === 0xf7) {
      const length = variable();
      if (length === undefined || at + length > bytes.length) return damaged();
      at += length;
      count("system exclusive message: not used");
    } else {
      at += SYSTEM_DATA_BYTES[status] ?? 0;
      count("system message that has no place in a file: passed over");
    }
  };
  const channelMessage = (status: number) => {
    const type = status >> 4;
    const size = DATA_BYTES[type];
    if (size === undefined || at + size > bytes.length) return damaged();
    const [first, second] = [bytes[at]!, size === 2 ? bytes[at + 1]! : 0];
    if (first > 127 || second > 127) return damaged();
    at += size;
    const channel = status & 0x0f;
    if (type === 9 && second > 0) {
      events.push({ ticks, track, kind: "note on", channel, key: first, velocity: second });
    } else if (type === 8 || type === 9) events.push({ ticks, track, kind: "note off", channel, key: first });
    else if (type === 11) {
      events.push({ ticks, track, kind: "controller", channel, controller: first, value: second });
    } else if (type === 12) events.push({ ticks, track, kind: "program", channel, program: first });
    else count(type === 14 ? "pitch bend: not used" : "aftertouch: not used");
  };
  while (!ended && at < bytes.length) {
    const delta = variable();
    if (delta === undefined) {
      damaged();
      break;
    }
    ticks += delta;
    const status = bytes[at];
    if (status === undefined) damaged();
    else if (status === 0xff) {
      at++;
      meta();
    } else if (status >= 0xf0) {
      at++;
      system(status);
    } else if (status >= 0x80) {
      at++;
      running = status;
      channelMessage(status);
    } else if (running > 0) channelMessage(running);
    else damaged();
  }
  if (!ended) count("track without an end: taken to end with its last event");
  return { events, endTicks: ticks, complete: complete && ended };
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
export function readMidiEvents(bytes: Uint8Array, file?: string): MidiFile {
  if (bytes.length === 0) throw refuse("it is empty", EXPORT_AGAIN, file);
  if (bytes.length > MAX_MIDI_BYTES) {
    throw refuse(
      `it has ${Math.round(bytes.length / 1e6)} million bytes`,
      `Give a file of at most ${MAX_MIDI_BYTES / 1e6} million bytes`,
      file,
    );
  }
  const unused = new Map<string, number>();
  const count = (what: string) => void unused.set(what, (unused.get(what) ?? 0) + 1);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const nameAt = (at: number) => String.fromCharCode(...bytes.subarray(at, at + 4));
  let complete = true;
  let at = nameAt(0) === "RIFF" && nameAt(8) === "RMID" ? 20 : 0;
  let header: { format: number; division: number } | undefined;
  const tracks: MidiTrack[] = [];
  let announced = 0;
  while (at + 8 <= bytes.length) {
    const name = nameAt(at);
    if (!header && name !== "MThd") break;
    const length = view.getUint32(at + 4);
    const start = at + 8;
    const end = Math.min(bytes.length, start + length);
    if (start + length > bytes.length && name === "MTrk") {
      count("file cut off: its last track is not complete");
    }
    if (name === "MThd") {
      if (end - start < 6) break;
      header ??= { format: view.getUint16(start), division: view.getUint16(start + 4) };
      announced = view.getUint16(start + 2);
    } else if (name === "MTrk") {
      const track = readTrack(bytes.subarray(start, end), tracks.length, count);
      complete &&= track.complete && start + length <= bytes.length;
      tracks.push(track);
    } else count("chunk of an unknown kind: skipped");
    at = start + length;
  }
  if (!header) throw refuse("it is not a standard MIDI file", "Give a file that begins with MThd", file);
  if (header.format > 2) {
    throw refuse(`its format is ${header.format}`, "Formats 0, 1 and 2 are read", file);
  }
  if (tracks.length === 0) throw refuse("it has no tracks", EXPORT_AGAIN, file);
  if (tracks.length < announced) count("track announced by the header and missing");
  const smpte = header.division >= 0x8000;
  const frames = smpte ? framesPerSecond(256 - (header.division >> 8)) : undefined;
  const ticksPerFrame = header.division & 0xff;
  if (header.division === 0 || (smpte && (frames === undefined || ticksPerFrame === 0))) {
    throw refuse("its header does not say how long a tick is", EXPORT_AGAIN, file);
  }
  return {
    format: header.format as 0 | 1 | 2,
    ticksPerQuarter: smpte ? undefined : header.division,
    ticksPerSecond: frames === undefined ? undefined : frames * ticksPerFrame,
    tracks,
    complete: complete && tracks.length >= announced,
    unused,
  };
}
