import { assertEquals, assertThrows } from "@std/assert";
import { InputError, readAbc, unfoldRepeats } from "ripieno";
import { makeNote, playingOrder, refineGrid } from "ripieno/score";
import type { Score } from "ripieno";
import type { BarRepeat } from "ripieno/score";
import { QUARTER, scoreOf } from "../formats/small_scores.ts";

/** Bars as a player counts them, from 1, in playing order. */
function played(signs: readonly (BarRepeat | undefined)[], options = {}): string {
  const bars = signs.map((repeat) => (repeat ? { repeat } : {}));
  return playingOrder(scoreOf(bars, { notes: [] }), options).map((bar) => bar + 1).join(" ");
}

// Worked out by hand, as players follow the signs. Common practice, no source.
Deno.test("repeats go back to their sign, to the repeat before, or to the beginning", () => {
  const end = { times: 2 };
  assertEquals(played([undefined, end, undefined]), "1 2 1 2 3");
  assertEquals(played([undefined, { start: true }, end, undefined]), "1 2 3 2 3 4");
  assertEquals(played([undefined, end, undefined, end]), "1 2 1 2 3 4 3 4");
  assertEquals(played([{ times: 5 }, undefined]), "1 1 1 1 1 2");
  assertEquals(played([undefined, { start: true }]), "1 2");
});

Deno.test("brackets are played on the times through that they name", () => {
  const first = { endings: [1], times: 2 };
  assertEquals(played([{ start: true }, first, { endings: [2] }, undefined]), "1 2 1 3 4");
  assertEquals(
    played([undefined, { endings: [1, 2], times: 2 }, { endings: [3] }, undefined]),
    "1 2 1 2 1 3 4",
  );
  assertEquals(played([undefined, first, { endings: [2], times: 2 }, undefined]), "1 2 1 3 4");
  // A stretch after the endings goes back to their end, not into them.
  assertEquals(played([undefined, first, { endings: [2] }, undefined, { times: 2 }]), "1 2 1 3 4 5 4 5");
});

Deno.test("after a jump repeats are left out and the last ending is taken, unless they are asked for", () => {
  const signs: BarRepeat[] = [{ start: true }, { endings: [1], times: 2 }, { endings: [2], fine: true }, {
    jump: "da capo",
  }];
  assertEquals(played(signs), "1 2 1 3 4 1 3");
  assertEquals(played(signs, { repeatsAfterJump: true }), "1 2 1 3 4 1 2 1 3");
});

Deno.test("segno, coda and fine are followed; signs without their other half do no harm", () => {
  const segno = { segno: true } as const;
  const dalSegno = { jump: "dal segno" } as const;
  assertEquals(played([{}, segno, { fine: true }, dalSegno]), "1 2 3 4 2 3");
  assertEquals(played([{}, segno, { toCoda: true }, dalSegno, { coda: true }, {}]), "1 2 3 4 2 3 5 6");
  assertEquals(played([{}, { toCoda: true }, { jump: "da capo" }]), "1 2 3 1 2 3");
  assertEquals(played([{}, dalSegno, {}]), "1 2 1 2 3");
  assertEquals(played([{ fine: true }, { coda: true }]), "1 2");
});

Deno.test("signs that would never end are refused", () => {
  const bars = Array.from({ length: 2000 }, (_, i) => ({ repeat: i === 1999 ? { times: 100 } : {} }));
  assertThrows(() => playingOrder(scoreOf(bars, { notes: [] })), InputError, "bars would be played");
});

Deno.test("an unfolded score has every note where it is played, and no signs left", () => {
  const score = readAbc(`X:1\nM:2/4\nL:1/4\nQ:1/4=60\nK:C\n|: "C" C D |1 "F" E F :|2 "G" G A |]\n`);
  const unfolded = unfoldRepeats(score);
  const quarter = unfolded.ticksPerQuarter;
  assertEquals(unfolded.notes.map((n) => [n.soundingPitch, n.onsetTicks / quarter]), [
    [60, 0],
    [62, 1],
    [64, 2],
    [65, 3],
    [60, 4],
    [62, 5],
    [67, 6],
    [69, 7],
  ]);
  assertEquals(unfolded.bars.map((b) => [b.number, b.startTicks / quarter, b.repeat]), [
    ["1", 0, undefined],
    ["2", 2, undefined],
    ["1", 4, undefined],
    ["3", 6, undefined],
  ]);
  assertEquals(unfolded.chords.map((c) => [c.symbol, c.onsetTicks / quarter]), [
    ["C", 0],
    ["F", 2],
    ["C", 4],
    ["G", 6],
  ]);
  assertEquals(unfoldRepeats(unfolded), unfolded);
});

/** Two bars of 4/4, the second repeated, with a note tied over the bar line before it and over the end. */
function tiedOver(): Score {
  const score = scoreOf([{}, { repeat: { start: true, times: 2 } }, {}], {
    notes: [{ at: 2, length: 4, pitch: 60, noteheads: 2 }, { at: 6, length: 3, pitch: 62, noteheads: 2 }],
    tempos: [
      { onsetTicks: 0, quartersPerMinute: 60, origin: "marked" },
      { onsetTicks: 6 * QUARTER, quartersPerMinute: 90, origin: "marked" },
    ],
  });
  return {
    ...score,
    parts: [{ ...score.parts[0]!, playing: [{ fromTicks: 0, kind: "unison", words: "a 2" }] }],
  };
}

Deno.test("a tie into a repeated bar is struck again, a tie out of it ends there; tempo and players come back", () => {
  const unfolded = unfoldRepeats(tiedOver());
  assertEquals(
    unfolded.notes.map((n) => [n.soundingPitch, n.onsetTicks / QUARTER, n.durationTicks / QUARTER]),
    [
      [60, 2, 4],
      [62, 6, 2],
      [60, 8, 2],
      [62, 10, 3],
    ],
  );
  assertEquals(unfolded.tempos.map((t) => [t.onsetTicks / QUARTER, t.quartersPerMinute]), [
    [0, 60],
    [6, 90],
    [8, 60],
    [10, 90],
  ]);
  assertEquals(unfolded.parts[0]!.playing!.map((p) => p.fromTicks / QUARTER), [0, 8]);
});

Deno.test("layers of a setting are there each time their bars are played, with their notes", () => {
  const base = scoreOf([{ repeat: { times: 2 } }, {}], { notes: [] });
  const note = makeNote({ part: 0, onsetTicks: 0, durationTicks: QUARTER, soundingPitch: 60, layer: "a" });
  const layer = {
    id: "a",
    role: "pad",
    figure: "held chord",
    parts: [0],
    fromBarIndex: 0,
    toBarIndex: 1,
    passage: "A",
  };
  const unfolded = unfoldRepeats({ ...base, notes: [note], layers: [layer] });
  assertEquals(unfolded.layers!.map((l) => [l.id, l.fromBarIndex, l.toBarIndex]), [["a", 0, 0], [
    "a, time 2",
    1,
    2,
  ]]);
  assertEquals(unfolded.notes.map((n) => n.layer), ["a", "a, time 2"]);
});

Deno.test("a glissando across a jump is played where the note it leads to follows, and shortened with a note taken up late", () => {
  const glissandi = [{ kind: "slide", semitones: 4, lengthTicks: 4 * QUARTER }] as const;
  const notes = [
    { at: 0, length: 4, pitch: 60, glissandi },
    { at: 4, length: 4, pitch: 64, glissandi },
    { at: 8, length: 4, pitch: 68 },
  ];
  const ends = (repeats: readonly (BarRepeat | undefined)[]) =>
    unfoldRepeats(scoreOf(repeats.map((repeat) => repeat ? { repeat } : {}), { notes })).notes.map((n) =>
      (n.glissandi ?? []).map((g) => n.soundingPitch + g.semitones)
    );
  // Bar 2 goes back to bar 1 the first time, and on to bar 3 the second.
  assertEquals(ends([undefined, { times: 2 }, undefined]), [[64], [], [64], [68], []]);
  const held = [{
    at: 0,
    length: 6,
    pitch: 60,
    noteheads: 2,
    glissandi: [{ ...glissandi[0], lengthTicks: 6 * QUARTER }],
  }, {
    at: 6,
    length: 2,
    pitch: 64,
  }];
  const again = unfoldRepeats(scoreOf([{}, { repeat: { start: true, times: 2 } }], { notes: held })).notes;
  assertEquals(again.map((n) => n.glissandi?.[0]?.lengthTicks), [
    6 * QUARTER,
    undefined,
    2 * QUARTER,
    undefined,
  ]);
});

Deno.test("a finer grid counts the length of a glissando in its own ticks", () => {
  const glissandi = [{ kind: "glissando", semitones: 12, lengthTicks: 2 * QUARTER }] as const;
  const score = scoreOf([{}], {
    notes: [{ at: 0, length: 2, pitch: 60, glissandi }, { at: 2, length: 2, pitch: 72 }],
  });
  const finer = refineGrid(score, 7);
  assertEquals(finer.notes[0]!.glissandi![0]!.lengthTicks, 2 * finer.ticksPerQuarter);
});
