/**
 * WAV files, read by the layout that is published: Multimedia Programming Interface and Data Specifications 1.0 (IBM and
 * Microsoft 1991), ch. 2 (RIFF) and 3 (WAVE): chunks of a four-letter name, a little-endian length and that many bytes.
 */
import { assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { writeWav } from "ripieno/formats";

/** Chunks of a RIFF file, walked one after another. */
function chunksOf(file: Uint8Array<ArrayBuffer>) {
  const view = new DataView(file.buffer);
  const word = (at: number) => String.fromCharCode(...file.subarray(at, at + 4));
  assertEquals([word(0), word(8)], ["RIFF", "WAVE"]);
  assertEquals(view.getUint32(4, true), file.length - 8);
  const chunks = new Map<string, DataView<ArrayBuffer>>();
  for (let at = 12; at < file.length;) {
    const length = view.getUint32(at + 4, true);
    chunks.set(word(at), new DataView(file.buffer, at + 8, length));
    at += 8 + length + length % 2;
  }
  return chunks;
}

const wave = Float32Array.from({ length: 100 }, (_, i) => 0.9 * Math.sin(i / 5));
const other = wave.map((x) => -x / 2);

for (const bits of [16, 24, 32] as const) {
  Deno.test(`a WAV file of ${bits} bits says what it is, and holds every sample`, () => {
    const chunks = chunksOf(writeWav({ sampleRate: 44_100, channels: [wave, other] }, { bits }));
    const format = chunks.get("fmt ")!, data = chunks.get("data")!;
    assertEquals(format.getUint16(0, true), bits === 32 ? 3 : 1);
    assertEquals(format.getUint16(2, true), 2);
    assertEquals(format.getUint32(4, true), 44_100);
    assertEquals(format.getUint32(8, true), 44_100 * 2 * bits / 8);
    assertEquals(format.getUint16(12, true), 2 * bits / 8);
    assertEquals(format.getUint16(14, true), bits);
    assertEquals(data.byteLength, 100 * 2 * bits / 8);
    for (let i = 0; i < 100; i++) {
      for (const [c, channel] of [wave, other].entries()) {
        const at = (2 * i + c) * bits / 8;
        const sample = bits === 32
          ? data.getFloat32(at, true)
          : bits === 16
          ? data.getInt16(at, true) / 32767
          : (data.getUint16(at, true) + 65536 * data.getInt8(at + 2)) / 8388607;
        assertAlmostEquals(sample, channel[i]!, 0.6 / 2 ** (Math.min(bits, 24) - 1));
      }
    }
  });
}

Deno.test("what goes beyond full scale is held there", () => {
  const data = chunksOf(writeWav({ sampleRate: 8000, channels: [Float32Array.of(2, -2)] })).get("data")!;
  assertEquals([data.getInt16(0, true), data.getInt16(2, true)], [32767, -32767]);
});

Deno.test("writeWav refuses what is no sound", () => {
  assertThrows(() => writeWav({ sampleRate: 0, channels: [wave] }), InputError, "sound");
  assertThrows(() => writeWav({ sampleRate: 8000, channels: [wave, wave.subarray(1)] }), InputError);
  assertThrows(() => writeWav({ sampleRate: 8000, channels: [wave] }, { bits: 8 as 16 }), InputError, "16");
});
