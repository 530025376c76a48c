/** MIDI files changed by their events and chunks. */
import { numberBytes, variableLength } from "../../../lib/formats/midi/midi_bytes.ts";
import { joinedBytes } from "../../../lib/formats/files/joined_bytes.ts";
import type { Chance } from "./chance.ts";

interface Event {
  delta: readonly number[];
  bytes: readonly number[];
}

/** Events of a sound track, running status written out. */
function eventsOf(data: Uint8Array): Event[] {
  const events: Event[] = [];
  let at = 0;
  let status = 0;
  const variable = () => {
    const from = at;
    let value = 0;
    for (let k = 0; k < 4 && at < data.length; k++) {
      value = value * 128 + (data[at]! & 0x7f);
      if (data[at++]! < 0x80) break;
    }
    return { bytes: [...data.subarray(from, at)], value };
  };
  while (at < data.length) {
    const delta = variable().bytes;
    const first = data[at]!;
    if (first >= 0xf0) {
      const head = first === 0xff ? [first, data[at + 1] ?? 0] : [first];
      at += head.length;
      const { bytes, value } = variable();
      events.push({ delta, bytes: [...head, ...bytes, ...data.subarray(at, at + value)] });
      at += value;
    } else {
      if (first >= 0x80) {
        status = first;
        at++;
      }
      const size = status >> 4 === 12 || status >> 4 === 13 ? 1 : 2;
      events.push({ delta, bytes: [status, ...data.subarray(at, at + size)] });
      at += size;
    }
  }
  return events;
}

interface Parts {
  header: number[];
  tracks: Event[][];
}

function parse(bytes: Uint8Array): Parts {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const tracks: Event[][] = [];
  let at = 14;
  while (at + 8 <= bytes.length) {
    const length = view.getUint32(at + 4);
    if (bytes[at + 3] === 0x6b) tracks.push(eventsOf(bytes.subarray(at + 8, at + 8 + length)));
    at += 8 + length;
  }
  return { header: [...bytes.subarray(8, 14)], tracks };
}

const text = (words: string) => [...new TextEncoder().encode(words)];
const meta = (type: number, data: readonly number[]): number[] => [0xff, type, data.length, ...data];

/** Events no file should hold, or holds to mislead. */
const STRANGE_EVENTS: readonly (readonly number[])[] = [
  ...[[0, 0, 0], [0, 0, 1], [255, 255, 255], [7, 161], [7, 161, 32, 0], []].map((data) => meta(0x51, data)),
  ...[[255, 7, 24, 8], [0, 0, 0, 0], [1, 255, 0, 0], [255, 0, 24, 8], [4], [3, 6, 1, 1], [13, 4, 24, 8]]
    .map((data) => meta(0x58, data)),
  ...[[127, 1], [128, 0], [7], [0xf9, 0], []].map((data) => meta(0x59, data)),
  ...[3, 4, 6, 5, 9].flatMap((type) => [
    meta(type, []),
    meta(type, [0xe9, 0x74, 0xe9]),
    meta(type, [0xff, 0xfe, 0x41, 0, 0x42, 0]),
    meta(type, [0x83, 0x74, 0x83, 0x8b]),
    meta(type, text("\u0000\u202e")),
    meta(type, text("x".repeat(120))),
  ]),
  meta(0x21, [127]),
  meta(0x2f, []),
  [0xff, 0x03, 0xff, 0xff, 0xff, 0x7f],
  [0xff, 0x7f, 0x81],
  [0xff],
  [0xff, 0x80],
  [0xf0, 0x7e, 0x7f, 0x09],
  [0xf0, 0xff, 0xff, 0xff, 0x7f],
  [0xf7, 0x00],
  ...[0xf1, 0xf2, 0xf3, 0xf4, 0xf6, 0xf8, 0xfe].map((status) => [status]),
  [0x40, 0x40],
  [0x40],
  [0x90, 0x3c, 0x80],
  [0x90, 0xff, 0x40],
  [0x9f, 0x3c],
  [0x99, 0, 127],
  [0xb0, 123, 0],
  [0xb0, 7, 0],
  [0xb0, 11, 0],
  [0xb0, 120, 127],
  [0xc0, 127],
  [0xe0, 0, 0x40],
];

/** Times no file should hold: the longest, cut off, too long for the format. */
const STRANGE_DELTAS: readonly (readonly number[])[] = [
  [0],
  [0xff, 0xff, 0xff, 0x7f],
  [0x80, 0x80, 0x80, 0x00],
  [0x80, 0x80, 0x80, 0x80],
  [0xff, 0xff, 0xff, 0xff, 0x7f],
  variableLength(1e6),
  variableLength(1e5),
  [0x80],
  [],
];

function changeEvents({ tracks }: Parts, chance: Chance): void {
  const track = chance.oneOf(tracks);
  const at = chance.below(track.length);
  const event = track[at];
  if (!event) return;
  switch (chance.below(14)) {
    case 0:
      track.splice(at, 1);
      break;
    case 1:
      track.splice(at, 0, ...Array.from({ length: chance.oneOf([1, 3, 300]) }, () => event));
      break;
    case 2: {
      const to = chance.below(track.length);
      [track[at], track[to]] = [track[to]!, event];
      break;
    }
    case 3:
      chance.oneOf(tracks).splice(at, 0, event);
      break;
    case 4: // running status where there is none, or after what ends it
      track[at] = { ...event, bytes: event.bytes.slice(1) };
      break;
    case 5:
      for (let k = at; k < track.length; k++) {
        if (track[k]!.bytes[0]! < 0xf0) track[k] = { ...track[k]!, bytes: track[k]!.bytes.slice(1) };
      }
      break;
    case 6:
      track[at] = { ...event, delta: chance.oneOf(STRANGE_DELTAS) };
      break;
    case 7: { // stuck: no note ends
      const kept = track.filter((e) => e.bytes[0]! >> 4 !== 8);
      track.splice(0, track.length, ...kept);
      break;
    }
    case 8:
      track[at] = {
        ...event,
        bytes: event.bytes.map((b, i) =>
          i > 0 && chance.below(2) === 0 ? chance.oneOf([0, 127, 128, 255]) : b
        ),
      };
      break;
    case 9:
      track[at] = { ...event, bytes: [chance.below(256), ...event.bytes.slice(1)] };
      break;
    case 10:
      track.splice(0, track.length);
      break;
    default:
      track.splice(chance.below(3) === 0 ? 0 : at, 0, {
        delta: chance.below(3) === 0 ? chance.oneOf(STRANGE_DELTAS) : [0],
        bytes: chance.oneOf(STRANGE_EVENTS),
      });
  }
}

function changeHeader(parts: Parts, chance: Chance): void {
  const { header, tracks } = parts;
  switch (chance.below(5)) {
    case 0:
      header[1] = chance.oneOf([0, 1, 2, 2, 3]);
      break;
    case 1:
      [header[2], header[3]] = [chance.oneOf([0, 255]), chance.below(256)];
      break;
    case 2:
      [header[4], header[5]] = chance.oneOf([
        [0, 0],
        [0, 1],
        [0x7f, 0xff],
        [0x80, 0],
        [0xe8, 4],
        [0xe7, 40],
        [0xe3, 100],
        [0xe2, 80],
        [0xff, 0xff],
        [0, 7],
      ]) as [number, number];
      break;
    case 3:
      tracks.push(...Array.from({ length: chance.oneOf([1, 30]) }, () => [...chance.oneOf(tracks)]));
      break;
    default:
      tracks.reverse();
  }
}

/**
 * A mutant of a MIDI file.
 *
 * @param bytes a sound file
 * @param chance what decides
 * @returns its bytes, one to five changes further
 */
export function mutateMidi(bytes: Uint8Array, chance: Chance): Uint8Array {
  const parts = parse(bytes);
  if (parts.tracks.length === 0) return bytes;
  for (let k = 1 + chance.below(5); k > 0; k--) {
    if (chance.below(10) === 0) changeHeader(parts, chance);
    else changeEvents(parts, chance);
  }
  const name = (word: string) => text(word);
  const lie = (length: number) =>
    chance.below(40) === 0
      ? chance.oneOf([0, length - 1, length + 1, length + 100, 0x7fffffff, 0xffffffff])
      : length;
  const chunks = parts.tracks.map((events) => {
    const data = events.flatMap((event) => [...event.delta, ...event.bytes]);
    return Uint8Array.from([
      ...name(chance.below(60) === 0 ? chance.oneOf(["XFIH", "MThd", "mtrk"]) : "MTrk"),
      ...numberBytes(lie(data.length), 4),
      ...data,
    ]);
  });
  const header = Uint8Array.from([...name("MThd"), ...numberBytes(lie(6), 4), ...parts.header]);
  const file = joinedBytes([header, ...chunks]);
  switch (chance.below(12)) {
    case 0:
      return file.subarray(0, chance.below(file.length + 1));
    case 1:
      return joinedBytes([
        Uint8Array.from([
          ...name("RIFF"),
          ...numberBytes(chance.below(256), 4),
          ...name("RMIDdata"),
          0,
          0,
          0,
          0,
        ]),
        file,
      ]);
    case 2:
      return joinedBytes([file, file]);
    default:
      return file;
  }
}
