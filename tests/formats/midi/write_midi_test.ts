import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { type MidiEvent, parseMidi } from "midi-file";
import { InputError } from "../../../lib/base/errors.ts";
import { readMidi } from "../../../lib/formats/midi/read_midi.ts";
import { writeMidi } from "../../../lib/formats/midi/write_midi.ts";
import type { Score } from "../../../lib/score/model.ts";
import { fullScore, line, manyParts, QUARTER, scoreOf } from "../small_scores.ts";

// midi-file 1.2.4 is the independent reader here: the library neither reads nor writes with it.

interface Timed {
  readonly ticks: number;
  readonly event: MidiEvent;
}

/** Tracks of a file with absolute times, as midi-file reads them. */
function tracksOf(
  bytes: Uint8Array,
): { readonly ticksPerQuarter: number; readonly tracks: readonly (readonly Timed[])[] } {
  const file = parseMidi(bytes);
  assertEquals(file.header.format, 1);
  return {
    ticksPerQuarter: file.header.ticksPerBeat!,
    tracks: file.tracks.map((events) => {
      let ticks = 0;
      return events.map((event) => ({ ticks: ticks += event.deltaTime, event }));
    }),
  };
}

/** Notes of one track as `[onset, length, pitch, velocity]`, times in quarters. */
function notesIn(bytes: Uint8Array, track: number): number[][] {
  const { ticksPerQuarter, tracks } = tracksOf(bytes);
  const open = new Map<number, { at: number; velocity: number }[]>();
  const notes: number[][] = [];
  for (const { ticks, event } of tracks[track]!) {
    if (event.type === "noteOn") {
      open.set(event.noteNumber, [...open.get(event.noteNumber) ?? [], {
        at: ticks,
        velocity: event.velocity,
      }]);
    } else if (event.type === "noteOff") {
      const start = open.get(event.noteNumber)!.shift()!;
      const [from, to] = [start.at / ticksPerQuarter, ticks / ticksPerQuarter];
      notes.push([from, Math.round((to - from) * 1000) / 1000, event.noteNumber, start.velocity]);
    }
  }
  return notes.sort((a, b) => a[0]! - b[0]! || a[2]! - b[2]!);
}

const one = (notes: Parameters<typeof line>[0], more: Parameters<typeof line>[1] = {}): Score =>
  scoreOf([{}, {}], { notes: line(notes, more) });

Deno.test("MIDI written: an independent reader finds every note where it was written", () => {
  const score = fullScore();
  const bytes = writeMidi(score, { articulate: false, tremolos: false, trills: false });
  score.parts.forEach((_, part) => {
    const written = score.notes.filter((n) => n.part === part && !n.grace)
      .map((
        n,
      ) => [n.onsetTicks / QUARTER, Math.round(n.durationTicks / QUARTER * 1000) / 1000, n.soundingPitch]);
    const graces = score.notes.filter((n) => n.part === part && n.grace).length;
    const found = notesIn(bytes, part + 1).map((n) => n.slice(0, 3));
    assertEquals(found.length, written.length + graces);
    if (graces === 0) assertEquals(found, written);
  });
});

Deno.test("MIDI written: tempo, metre, key, title and rehearsal marks stand in the first track", () => {
  const { tracks, ticksPerQuarter } = tracksOf(writeMidi(fullScore()));
  const seen = tracks[0]!.map(({ ticks, event }) => [ticks / ticksPerQuarter, event] as const);
  const of = (type: string) => seen.filter(([, e]) => e.type === type);
  assertEquals(
    of("setTempo").map((
      [at, e],
    ) => [at, Math.round(60e6 / (e as { microsecondsPerBeat: number }).microsecondsPerBeat)]),
    [[0, 84], [14, 150]],
  );
  assertEquals(
    of("timeSignature").map((
      [at, e],
    ) => [at, (e as { numerator: number }).numerator, (e as { denominator: number }).denominator]),
    [[0, 1, 4], [1, 4, 4], [9, 5, 4], [14, 6, 8], [20, 3, 4]],
  );
  assertEquals(of("keySignature").map(([at, e]) => [at, (e as { key: number }).key]), [[0, -3], [17, 2]]);
  assertEquals(of("marker").map(([at, e]) => [at, (e as { text: string }).text]), [[1, "Calm"], [
    9,
    "Rapids",
  ]]);
});

Deno.test("MIDI written: names are UTF-8, programs come from the catalogue, plucked strings have their own", () => {
  const { tracks } = tracksOf(writeMidi(fullScore()));
  const name = (i: number) => tracks[i]!.find((t) => t.event.type === "trackName")!.event as { text: string };
  const bytes = Uint8Array.from(name(2).text, (c) => c.charCodeAt(0));
  assertEquals(new TextDecoder().decode(bytes), "Clarinet in B♭");
  const programs = (i: number) =>
    tracks[i]!.flatMap(({ event }) => event.type === "programChange" ? [event.programNumber] : []);
  assertEquals([1, 3, 6, 7].map(programs), [[73], [60], [46], [40]]);
  assertEquals(programs(8), [45, 41]);
  assertEquals(tracks[5]!.flatMap(({ event }) => event.type === "noteOn" ? [event.channel] : []), [9, 9]);
});

Deno.test("MIDI written: never more than sixteen channels to a port", () => {
  const { tracks } = tracksOf(writeMidi(manyParts()));
  const used = tracks.slice(1).map((track) => {
    const port = track.find((t) => t.event.type === "portPrefix")!.event as { port: number };
    return `${port.port}:${
      (track.find((t) => t.event.type === "noteOn")!.event as { channel: number }).channel
    }`;
  });
  assertEquals(new Set(used).size, 24);
  assertEquals(used.filter((u) => u.startsWith("0:")).length, 15);
  assert(used.every((u) => !u.endsWith(":9")));
});

Deno.test("MIDI written: articulation is length, a slur joins, an accent is louder", () => {
  const lengths = (score: Score) => notesIn(writeMidi(score), 1).map((n) => n[1]);
  assertEquals(lengths(one([[1, 60], [1, 62]], { articulations: ["staccato"] })), [0.5, 0.5]);
  assertEquals(lengths(one([[1, 60], [1, 62]], { articulations: ["tenuto"] })), [1, 1]);
  assertEquals(lengths(one([[1, 60], [1, 62]])), [0.95, 0.95]);
  assertEquals(lengths(one([[1, 60], [1, 62]], { slurred: true })), [1, 0.95]);
  const velocity = (score: Score) => notesIn(writeMidi(score), 1)[0]![3]!;
  assert(velocity(one([[1, 60]], { articulations: ["accent"] })) > velocity(one([[1, 60]])));
});

Deno.test("MIDI written: louder dynamics raise velocity and channel volume together", () => {
  const loudness = [1, 2, 3, 4, 5, 6, 7, 8].map((dynamic) => {
    const bytes = writeMidi(one([[1, 60]], { dynamic }));
    const volume = tracksOf(bytes).tracks[1]!.find((t) => t.event.type === "controller")!.event as {
      value: number;
    };
    return [notesIn(bytes, 1)[0]![3]!, volume.value];
  });
  loudness.slice(1).forEach(([velocity, volume], i) => {
    assert(velocity! > loudness[i]![0]! && volume! > loudness[i]![1]!);
  });
});

Deno.test("MIDI written: tremolos are written out, repeated or in alternation, and so are trills", () => {
  const measured = one([[2, 60]], { tremoloSlashes: 2 });
  assertEquals(notesIn(writeMidi(measured), 1).map((n) => n[0]), [0, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75]);
  assertEquals(notesIn(writeMidi(measured, { tremolos: false }), 1).length, 1);
  const alternating = one([[1, 60], [1, 67]], { tremoloSlashes: 1, tremoloAlternates: true });
  assertEquals(notesIn(writeMidi(alternating), 1).map((n) => n[2]), [60, 67, 60, 67]);
  const trill = one([[1, 64]], { trill: true });
  assertEquals(notesIn(writeMidi(trill), 1).map((n) => n[2]), [64, 65, 64, 65, 64, 65, 64, 65]);
});

Deno.test("MIDI written: grace notes come before their beat and take no time from it", () => {
  const score = scoreOf([{}], {
    notes: [{ at: 2, length: 0, pitch: 74, grace: true }, { at: 2, length: 2, pitch: 76 }, {
      at: 0,
      length: 1,
      pitch: 70,
    }],
  });
  const notes = notesIn(writeMidi(score), 1);
  assertEquals(notes.map((n) => [n[0], n[2]]), [[0, 70], [1.875, 74], [2, 76]]);
});

Deno.test("MIDI written and read: bars, tempos, notes and dynamics are the same", () => {
  const score = fullScore();
  const back = readMidi(writeMidi(score, { articulate: false, tremolos: false, trills: false }));
  const bars = (s: Score) =>
    s.bars.map((
      b,
    ) => [
      b.number,
      b.startTicks / s.ticksPerQuarter,
      b.durationTicks / s.ticksPerQuarter,
      b.beats,
      b.beatUnit,
      b.keyFifths,
      b.rehearsal,
    ]);
  assertEquals(bars(back), bars(score));
  assertEquals(back.tempos.map((t) => [t.onsetTicks / back.ticksPerQuarter, t.quartersPerMinute]), [[0, 84], [
    14,
    150,
  ]]);
  assertEquals(back.parts.map((p) => p.name), score.parts.map((p) => p.name));
  // A part called "Percussion" with several keys on channel 10 can only be a drum set.
  const instruments = (s: Score) => s.parts.filter((_, i) => i !== 4).map((p) => p.instrument);
  assertEquals(instruments(back), instruments(score));
  const notes = (s: Score) =>
    s.notes.filter((n) => n.part > 0).map((
      n,
    ) => [
      n.part,
      n.onsetTicks / s.ticksPerQuarter,
      n.durationTicks / s.ticksPerQuarter,
      n.soundingPitch,
      n.unpitched,
    ]);
  assertEquals(notes(back), notes(score));
  const dynamics = (s: Score) => s.notes.filter((n) => n.part > 0).map((n) => n.dynamic);
  dynamics(back).forEach((d, i) => assertAlmostEquals(d, dynamics(score)[i]!, 0.15));
  const plucked = (s: Score) => s.notes.filter((n) => n.part === 7).map((n) => n.technique === "pizzicato");
  assertEquals(plucked(back), plucked(score));
});

Deno.test("MIDI written and read: shortened notes come back to their written lengths", () => {
  const score = one([[1, 60], [0.5, 62], [0.25, 64], [0.25, 65], [2, 67]]);
  const back = readMidi(writeMidi(score));
  assertEquals(back.notes.map((n) => n.durationTicks / back.ticksPerQuarter), [1, 0.5, 0.25, 0.25, 2]);
});

Deno.test("MIDI written: cues are silent, and nothing else than a score is taken", () => {
  assertEquals(notesIn(writeMidi(one([[1, 60]], { cue: true })), 1), []);
  assertThrows(() => writeMidi({ ...one([[1, 60]]), parts: [] }), InputError, "the score has no parts");
  assertThrows(
    () => writeMidi(one([[1, 60]]), { tempo: 3 } as never),
    InputError,
    `there is no option "tempo"`,
  );
});

Deno.test("MIDI written: a score of cues or rests alone is read back as the same parts and bars at rest", () => {
  const full = fullScore();
  const scores: readonly Score[] = [
    { ...full, notes: full.notes.map((n) => ({ ...n, cue: true })) },
    { ...full, notes: [] },
    // Percussion alone: its channel has no instrument to choose, and is named all the same.
    (({ parts, notes, ...rest }) => ({
      ...rest,
      parts: parts.filter((_, p) => notes.some((n) => n.part === p && n.unpitched)).slice(0, 1),
      notes: [],
    }))(full),
  ];
  for (const score of scores) {
    const back = readMidi(writeMidi(score));
    assertEquals(back.notes, []);
    assertEquals(back.parts.map((p) => p.name), score.parts.map((p) => p.name));
    assertEquals(
      back.bars.map((b) => [b.beats, b.beatUnit, b.durationTicks / back.ticksPerQuarter]),
      score.bars.map((b) => [b.beats, b.beatUnit, b.durationTicks / score.ticksPerQuarter]),
    );
    assert(back.notices.some((n) => n.what === "no part plays a note: read as a score of rests"));
  }
});

Deno.test("MIDI written: grace notes, strokes without pitch and pitches beyond the keys are read back note for note", () => {
  for (const more of [{ grace: true }, { unpitched: true }, { pitch: 200 }, { pitch: -20 }]) {
    const { pitch = 60, ...kind } = more as { pitch?: number; grace?: boolean; unpitched?: boolean };
    const notes = [{ at: 1, length: kind.grace ? 0 : 1, pitch, ...kind }, {
      at: 3,
      length: 1,
      pitch,
      ...kind,
      ...(kind.grace ? { length: 0 } : {}),
    }];
    const back = readMidi(writeMidi(scoreOf([{}], { notes })));
    assertEquals([more, back.notes.length], [more, 2]);
  }
});

Deno.test("MIDI written: a grid too fine for the format is made coarser", () => {
  const score = one([[1, 60], [1, 62]]);
  const fine = {
    ...score,
    ticksPerQuarter: 100_000,
    bars: score.bars.map((b, i) => ({ ...b, startTicks: i * 400_000, durationTicks: 400_000 })),
    notes: score.notes.map((n, i) => ({ ...n, onsetTicks: i * 100_000, durationTicks: 100_000 })),
  };
  assertEquals(notesIn(writeMidi(fine, { articulate: false }), 1).map((n) => n.slice(0, 3)), [[0, 1, 60], [
    1,
    1,
    62,
  ]]);
});
