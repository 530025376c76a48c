import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { metaEvent, textEvent, variableLength } from "../../../lib/formats/midi/midi_bytes.ts";
import { MAX_MIDI_BYTES } from "../../../lib/formats/midi/midi_events.ts";
import { readMidi } from "../../../lib/formats/midi/read_midi.ts";
import { writeMidi } from "../../../lib/formats/midi/write_midi.ts";
import type { Score } from "../../../lib/score/model.ts";
import { fullScore } from "../small_scores.ts";
import { random } from "../../setup/random.ts";

// Files are put together byte by byte after Standard MIDI Files 1.0 (MIDI Manufacturers Association, 1988).

/** An event: ticks since the one before, then its bytes. */
type Delta = readonly [delta: number, ...bytes: readonly number[]];

function chunk(name: string, data: readonly number[]): number[] {
  const length = [24, 16, 8, 0].map((shift) => (data.length >> shift) & 0xff);
  return [...[...name].map((c) => c.charCodeAt(0)), ...length, ...data];
}

function track(events: readonly Delta[]): number[] {
  const data = events.flatMap(([delta, ...bytes]) => [...variableLength(delta), ...bytes]);
  return chunk("MTrk", [...data, 0, 0xff, 0x2f, 0]);
}

function file(
  tracks: readonly (readonly Delta[])[],
  header: { format?: number; division?: number; before?: number[] } = {},
): Uint8Array {
  const { format = 1, division = 96, before = [] } = header;
  const head = [0, format, 0, tracks.length, division >> 8, division & 0xff];
  return Uint8Array.from([...chunk("MThd", head), ...before, ...tracks.flatMap(track)]);
}

const note = (
  channel: number,
  key: number,
  length: number,
  more: { at?: number; velocity?: number } = {},
): Delta[] => [
  [more.at ?? 0, 0x90 | channel, key, more.velocity ?? 80],
  [length, 0x80 | channel, key, 0],
];
const name = (text: string): Delta => [0, ...textEvent(3, text)];
const program = (channel: number, number: number, at = 0): Delta => [at, 0xc0 | channel, number];
const control = (
  channel: number,
  number: number,
  value: number,
  at = 0,
): Delta => [at, 0xb0 | channel, number, value];
const quarters = (score: Score) =>
  score.notes.map((
    n,
  ) => [n.onsetTicks / score.ticksPerQuarter, n.durationTicks / score.ticksPerQuarter, n.soundingPitch]);
const noticed = (score: Score, text: string) => score.notices.find((n) => n.what.includes(text));

Deno.test("MIDI read: a reader is told once that the file cannot hold slurs", () => {
  const score = readMidi(file([[...note(0, 60, 96), ...note(0, 62, 96)]]));
  assertEquals([noticed(score, "slurs")?.count, score.notes.some((n) => n.slurred)], [1, false]);
});

Deno.test("MIDI read: running status and velocity 0 for the end of a note", () => {
  const score = readMidi(file([[[0, 0x90, 60, 80], [96, 60, 0], [0, 62, 80], [96, 62, 0]]]));
  assertEquals(quarters(score), [[0, 1, 60], [1, 1, 62]]);
});

Deno.test("MIDI read: tempo, metre and key maps give seconds and bars", () => {
  const score = readMidi(file([
    [
      [0, ...metaEvent(0x51, [0x0a, 0x2c, 0x2b])], // 666,667 microseconds: 90 a minute
      [0, ...metaEvent(0x58, [3, 2, 24, 8])],
      [0, ...metaEvent(0x59, [0xfe, 0])],
      [288, ...metaEvent(0x58, [6, 3, 36, 8])],
      [0, ...metaEvent(0x51, [0x07, 0xa1, 0x20])],
    ],
    note(0, 60, 288 * 3),
  ]));
  assertEquals(score.bars.map((b) => [b.beats, b.beatUnit, b.startTicks / score.ticksPerQuarter]), [
    [3, 4, 0],
    [6, 8, 3],
    [6, 8, 6],
  ]);
  assertEquals(score.tempos.map((t) => [t.onsetTicks / score.ticksPerQuarter, t.quartersPerMinute]), [
    [0, 90],
    [3, 120],
  ]);
  assertEquals(score.bars[0]!.keyFifths, -2);
});

Deno.test("MIDI read: without metre and tempo, 4/4 and an assumed 120", () => {
  const score = readMidi(file([note(0, 60, 96)]));
  assertEquals([score.bars[0]!.beats, score.bars[0]!.beatUnit], [4, 4]);
  assertEquals(score.tempos, [{ onsetTicks: 0, quartersPerMinute: 120, origin: "assumed" }]);
  assert(noticed(score, "no time signature"));
});

Deno.test("MIDI read: a time signature inside a bar ends it early, a short first one is a pickup", () => {
  const cut = readMidi(file([[[144, ...metaEvent(0x58, [3, 2, 24, 8])]], note(0, 60, 960)]));
  assertEquals(cut.bars.slice(0, 2).map((b) => b.durationTicks / cut.ticksPerQuarter), [1.5, 3]);
  const pickup = readMidi(
    file([
      [[0, ...metaEvent(0x58, [1, 2, 24, 8])], [96, ...metaEvent(0x58, [3, 2, 24, 8])]],
      note(0, 60, 384),
    ]),
  );
  assertEquals(pickup.bars.map((b) => [b.number, b.beats, b.durationTicks / pickup.ticksPerQuarter]), [[
    "0",
    3,
    1,
  ], ["1", 3, 3]]);
});

Deno.test("MIDI read: a track with several channels or programs becomes several parts", () => {
  const score = readMidi(file([
    [
      name("Band"),
      program(0, 73),
      program(1, 70),
      ...note(0, 72, 96),
      ...note(1, 48, 96),
      program(0, 56),
      ...note(0, 67, 96),
    ],
  ]));
  assertEquals(score.parts.map((p) => p.instrument), ["flute", "bassoon", "trumpet in C"]);
  assertEquals(new Set(score.parts.map((p) => p.name)).size, 3);
});

Deno.test("MIDI read: tracks that share a channel keep their own programs", () => {
  const score = readMidi(file([
    [name("Line 1"), program(0, 73), ...note(0, 72, 96)],
    [name("Line 2"), program(0, 70), ...note(0, 48, 96)],
  ]));
  assertEquals(score.parts.map((p) => p.instrument), ["flute", "bassoon"]);
});

Deno.test("MIDI read: pizzicato strings and muted trumpets stay with their players", () => {
  const score = readMidi(
    file([[
      name("Vln."),
      program(0, 40),
      ...note(0, 67, 96),
      program(0, 45),
      ...note(0, 69, 96),
      program(0, 40),
      ...note(0, 71, 96),
    ]]),
  );
  assertEquals(score.parts.length, 1);
  assertEquals(score.notes.map((n) => n.technique), ["ordinario", "pizzicato", "ordinario"]);
});

Deno.test("MIDI read: parts are named by their tracks, in UTF-8 or Latin-1, and found by name before program", () => {
  const latin = [...textEvent(3, "")].slice(0, 2).concat([
    9,
    ...[..."H\xf6rner "].map((c) => c.charCodeAt(0)),
    0x49,
    0x49,
  ]);
  const score = readMidi(
    file([[name("Горн ♭"), program(0, 60), ...note(0, 60, 96)], [
      [0, ...latin],
      program(1, 0),
      ...note(1, 55, 96),
    ]]),
  );
  assertEquals(score.parts.map((p) => p.name), ["Горн ♭", "Hörner II"]);
  assertEquals(score.parts.map((p) => [p.instrument, p.instrumentFrom]), [["horn in F", "program"], [
    "horn in F",
    "name",
  ]]);
  assertEquals(score.parts[0]!.transposeSemitones, -7);
});

Deno.test("MIDI read: velocity, channel volume and expression together are the dynamic", () => {
  const dynamics = (events: readonly Delta[]) => readMidi(file([events])).notes.map((n) => n.dynamic);
  assertEquals(
    dynamics([16, 33, 49, 64, 80, 96, 112, 126].flatMap((velocity) => note(0, 60, 96, { velocity }))),
    [1, 2, 3, 4, 5, 6, 7, 8],
  );
  const [full, half, quarter] = dynamics([
    ...note(0, 60, 96),
    control(0, 7, 50),
    ...note(0, 60, 96),
    control(0, 11, 64),
    ...note(0, 60, 96),
  ]);
  assert(full! > half! && half! > quarter!);
});

Deno.test("MIDI read: percussion keeps its keys on channel 10", () => {
  const score = readMidi(file([[name("Perc."), ...note(9, 49, 96), ...note(9, 38, 96)]]));
  assertEquals(score.notes.map((n) => [n.unpitched, n.soundingPitch]), [[true, 49], [true, 38]]);
});

Deno.test("MIDI read: time in SMPTE frames is read at 120 quarters a minute", () => {
  // 25 frames of 40 ticks: 1,000 ticks a second, 500 a quarter.
  const score = readMidi(file([note(0, 60, 500)], { division: ((256 - 25) << 8) | 40 }));
  assertEquals(quarters(score), [[0, 1, 60]]);
  assert(noticed(score, "SMPTE"));
});

Deno.test("MIDI read: unknown chunks are skipped, a RIFF wrapper is opened", () => {
  const plain = file([note(0, 60, 96)]);
  assertEquals(readMidi(file([note(0, 60, 96)], { before: chunk("XFIH", [1, 2, 3]) })).notes.length, 1);
  const wrapped = Uint8Array.from([
    ...[..."RIFF"].map((c) => c.charCodeAt(0)),
    0,
    0,
    0,
    0,
    ...[..."RMIDdata"].map((c) => c.charCodeAt(0)),
    0,
    0,
    0,
    0,
    ...plain,
  ]);
  assertEquals(readMidi(wrapped).notes.length, 1);
});

Deno.test("MIDI read: playing by hand is moved to the grid, and how far is said", () => {
  const jitter = [0, 5, -4, 3, -6, 4, 2, -3];
  const played = jitter.flatMap((late, i): Delta[] => {
    const before = i === 0 ? 0 : 240 * (i - 1) + jitter[i - 1]! + 200;
    return [[240 * i + late - before, 0x90, 60 + i, 80], [200, 0x80, 60 + i, 0]];
  });
  const score = readMidi(file([played], { division: 480 }));
  assertEquals(score.notes.map((n) => n.onsetTicks / score.ticksPerQuarter), jitter.map((_, i) => i / 2));
  assertEquals(noticed(score, "moved to the musical grid")?.count, 7);
  assert(noticed(score, "at most 0.01"));
});

Deno.test("MIDI read: exact triplets, quintuplets and septuplets stay exact", () => {
  for (const count of [3, 5, 6, 7, 9]) {
    const notes = Array.from({ length: count }, (_, i): Delta[] => {
      const [from, to] = [Math.round(480 * i / count), Math.round(480 * (i + 1) / count)];
      return [[0, 0x90, 60 + i, 80], [to - from, 0x80, 60 + i, 0]];
    }).flat();
    const score = readMidi(file([notes], { division: 480 }));
    score.notes.forEach((n, i) => assertAlmostEquals(n.onsetTicks / score.ticksPerQuarter, i / count, 1e-9));
    assertEquals(noticed(score, "moved"), undefined);
  }
});

Deno.test("MIDI read: notes no player of the instrument has are reported with part and bar", () => {
  const score = readMidi(file([[name("Flute"), ...note(0, 72, 384), ...note(0, 24, 96)]]));
  const notice = noticed(score, "outside the range of the flute");
  assertEquals([notice?.count, notice?.part, notice?.bar], [1, "Flute", "2"]);
});

Deno.test("MIDI read: what is not used is counted", () => {
  const score = readMidi(
    file([[
      control(0, 64, 127),
      [0, 0xe0, 0, 64],
      [0, 0xd0, 9],
      [0, 0xf0, 1, 0xf7],
      ...note(0, 60, 96),
      [0, 0x80, 61, 0],
      [0, 0x90, 62, 80],
      [96, ...textEvent(5, "la")],
    ]]),
  );
  const expected = [
    "sustain pedal",
    "pitch bend",
    "aftertouch",
    "system exclusive",
    "note off without",
    "note without its note off",
    "lyrics",
  ];
  assertEquals(expected.filter((text) => !noticed(score, text)), []);
});

Deno.test("MIDI read: a note without its note off ends where its key is struck again, after a whole note, or at the end", () => {
  const score = readMidi(file([[
    [0, 0x90, 60, 80],
    [96, 0x90, 60, 80],
    [0, 0x90, 60, 90],
    [96 * 7, 0x90, 62, 80],
    [96, 0x90, 64, 80],
    [0, 0x80, 64, 0],
    [96 * 2, 0x80, 65, 0],
  ]]));
  assertEquals(quarters(score).slice(0, 4), [[0, 1, 60], [1, 4, 60], [1, 4, 60], [8, 3, 62]]);
  assertEquals(noticed(score, "note without its note off")?.count, 4);
});

Deno.test("MIDI read: a tempo after the last bar is passed over with a notice", () => {
  const late: Delta = [0x0fffffff, ...metaEvent(0x51, [7, 0xa1, 0x20])];
  const score = readMidi(file([[late], note(0, 60, 96)]));
  assertEquals(score.tempos.map((t) => t.onsetTicks), [0]);
  assertEquals(noticed(score, "tempo after the last bar")?.count, 1);
});

Deno.test("MIDI read: a file cut off is read as far as it goes", () => {
  const whole = file([[...note(0, 60, 96), ...note(0, 62, 96), ...note(0, 64, 96)]]);
  const score = readMidi(whole.slice(0, whole.length - 8));
  assertEquals(score.notes.length, 3);
  assert(noticed(score, "cut off"));
});

Deno.test("MIDI read: what cannot be read is refused in one sentence, with the file's name", () => {
  const refused = (bytes: Uint8Array, text: string) =>
    assertThrows(() => readMidi(bytes, { file: "a.mid" }), InputError, text);
  refused(new Uint8Array(), "Cannot read the MIDI file: it is empty (a.mid).");
  refused(new TextEncoder().encode("<html>"), "it is not a standard MIDI file");
  refused(file([]), "it has no tracks");
  refused(file([[]]), "it holds no notes");
  refused(file([note(0, 60, 96)], { format: 3 }), "its format is 3");
  refused(file([note(0, 60, 96)], { division: 0 }), "how long a tick is");
  refused(
    file([[...note(0, 60, 96), ...note(0, 60, 96, { at: 0x0fffffff })]], { division: 1 }),
    "more than 50000 bars",
  );
  const long: Delta = [0, ...metaEvent(0x58, [255, 0, 24, 8])];
  refused(file([[long, ...note(0, 60, 0x0fffffff)]]), "it would last 2796203 quarter notes");
  refused(new Uint8Array(MAX_MIDI_BYTES + 1), "million bytes");
  const manyParts = Array.from({ length: 2001 }, (_, i) => [program(0, i % 128), ...note(0, 60, 1)]);
  refused(file(manyParts), "it has 2001 parts");
});

Deno.test("MIDI read: 10,000 damaged files give a score or an InputError, never anything else", () => {
  const sound = [writeMidi(fullScore()), file([note(0, 60, 96), note(1, 64, 96)])];
  let read = 0;
  for (let seed = 1; seed <= 10_000; seed++) {
    const next = random(seed);
    const below = (n: number) => Math.floor(next() * n);
    let bytes = sound[below(2)]!.slice();
    for (let k = 1 + below(6); k > 0; k--) {
      const at = below(bytes.length);
      const kind = below(4);
      if (kind === 0) bytes[at] = below(256);
      else if (kind === 1) bytes = bytes.slice(0, Math.max(1, at));
      else if (kind === 2) {
        bytes = Uint8Array.from([...bytes.subarray(0, at), ...bytes.subarray(at + 1 + below(8))]);
      } else bytes.fill(0xff, at, at + below(6));
    }
    try {
      const score = readMidi(bytes);
      assert(
        score.notes.length > 0 && score.notes.every((n) => n.durationTicks > 0 && n.onsetTicks >= 0),
        `seed ${seed}`,
      );
      read++;
    } catch (error) {
      assert(error instanceof InputError, `seed ${seed}: ${error}`);
    }
  }
  assert(read > 1000 && read < 10_000);
});
