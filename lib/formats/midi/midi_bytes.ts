/** Bytes of a standard MIDI file. */
import { joinedBytes } from "../files/joined_bytes.ts";

/** One event: when, in which order among those of one time, and what. */
export interface MidiBytesEvent {
  readonly ticks: number;
  /** 0 before notes end, 1 note offs, 2 programs, 3 controllers, 4 note ons. */
  readonly order: number;
  readonly bytes: readonly number[];
}

/** Largest number a variable-length quantity can hold: four bytes of seven bits (Standard MIDI Files 1.0). */
const LARGEST = 0x0fffffff;

/** A number as a variable-length quantity of one to four bytes; held at the ends of what that can say. */
export function variableLength(value: number): readonly number[] {
  let rest = Math.min(LARGEST, Math.max(0, Math.round(value)));
  const bytes = [rest & 0x7f];
  while ((rest >>= 7) > 0) bytes.unshift((rest & 0x7f) | 0x80);
  return bytes;
}

/** A meta event. */
export function metaEvent(type: number, data: readonly number[]): readonly number[] {
  return [0xff, type, ...variableLength(data.length), ...data];
}

/** A meta event with text in UTF-8: type 1 text, 3 track name, 6 marker. */
export function textEvent(type: number, text: string): readonly number[] {
  return metaEvent(type, [...new TextEncoder().encode(text)]);
}

/** Bytes of a number, the largest first. */
export function numberBytes(value: number, count: number): readonly number[] {
  return Array.from({ length: count }, (_, i) => (value >>> (8 * (count - 1 - i))) & 0xff);
}

function chunk(name: string, data: readonly number[]): Uint8Array {
  return Uint8Array.from(
    [...[...name].map((c) => c.charCodeAt(0)), ...numberBytes(data.length, 4)].concat(data),
  );
}

/** A file of format 1. */
export function midiFileBytes(
  tracks: readonly (readonly MidiBytesEvent[])[],
  options: { readonly ticksPerQuarter: number; readonly endTicks: number },
): Uint8Array {
  const chunks = [chunk("MThd", [
    ...numberBytes(1, 2),
    ...numberBytes(tracks.length, 2),
    ...numberBytes(options.ticksPerQuarter, 2),
  ])];
  for (const events of tracks) {
    const data: number[] = [];
    let at = 0;
    const sorted = [...events].sort((a, b) => a.ticks - b.ticks || a.order - b.order);
    for (const event of sorted) {
      for (const byte of variableLength(event.ticks - at)) data.push(byte);
      for (const byte of event.bytes) data.push(byte);
      at = event.ticks;
    }
    data.push(...variableLength(Math.max(0, options.endTicks - at)), ...metaEvent(0x2f, []));
    chunks.push(chunk("MTrk", data));
  }
  return joinedBytes(chunks);
}
