/** Slashes are counted in note values, whatever the grid of the score (common practice, no source). */
import { assert, assertAlmostEquals, assertEquals, assertStringIncludes } from "@std/assert";
import { playedNotes } from "../../lib/formats/midi/played_notes.ts";
import { demoSketch, readPlan, realise } from "ripieno";
import { readMusicXml, writeMusicXml } from "ripieno/formats";
import { clockOf, makeNote, strokeCount, strokeTicks } from "ripieno/score";
import { isUnmeasuredTremolo } from "../../lib/score/tremolo.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { example } from "../texture/examples.ts";

const note = (quarters: number, tremoloSlashes: number, grid: number) =>
  makeNote({ part: 0, onsetTicks: 0, durationTicks: quarters * grid, soundingPitch: 60, tremoloSlashes });

Deno.test("a half note under one, two, three slashes is eighths, sixteenths, thirty-seconds on every grid", () => {
  for (const grid of [1, 4, 12, 480]) {
    assertEquals([0, 1, 2, 3].map((slashes) => strokeCount(note(2, slashes, grid), grid)), [1, 4, 8, 16]);
    assertAlmostEquals(strokeTicks(note(2, 3, grid), grid), grid / 8, 1e-12);
  }
  // Below a quarter each slash halves the note's own value.
  assertEquals([1, 2].map((slashes) => strokeCount(note(0.5, slashes, 8), 8)), [2, 4]);
  assertEquals(strokeCount(note(0, 3, 4), 4), 1);
});

Deno.test("a roll held over the bar line is a roll still", () => {
  const score = example([["violin", "A5:3/2 G5:1/2 F5:1 D6:1 C6:3/2 A5:1/2 G5:1 E5:1"], ["timpani", "D3:8"]]);
  const rolled = { ...score, notes: score.notes.map((n) => n.part === 1 ? { ...n, tremoloSlashes: 3 } : n) };
  const cells = recognise(rolled).cells.filter((c) => c.part === 1);
  assertEquals(cells.map((c) => [c.role, c.figure]), [["trill", "tremolo"], ["trill", "tremolo"]]);
});

Deno.test("where the source is silent, the rate decides: one and two slashes from 13 strokes a second, three from 9", () => {
  const at = (slashes: number, perSecond: number) => isUnmeasuredTremolo(note(2, slashes, 480), perSecond);
  assertEquals([at(0, 30), at(1, 12.9), at(1, 13), at(2, 12), at(3, 8.9), at(3, 9)], [
    false,
    false,
    true,
    false,
    false,
    true,
  ]);
  const called = (tremolo: "measured" | "unmeasured") =>
    [1, 30].map((perSecond) => isUnmeasuredTremolo({ ...note(2, 3, 480), tremolo }, perSecond));
  assertEquals([called("measured"), called("unmeasured")], [[false, false], [true, true]]);
});

Deno.test("a plan's tremolo is written with slashes enough for the tempo, and unmeasured by their rate when it comes back", async () => {
  const plan = readPlan(`passage,from_bar,to_bar,role,figure,parts,articulation,dynamic,octave,technique
Mist,1,4,lead,tune,Flute 1,,mp,,
Mist,1,4,trill,tremolo,Violins I + Violas,,p,,`);
  for (const [quartersPerMinute, slashes] of [[34, 4], [58, 4], [67, 4], [68, 3], [132, 3]] as const) {
    const score = realise(demoSketch(), { ...plan, quartersPerMinute });
    const back = await readMusicXml(writeMusicXml(score), { file: "mist.musicxml" });
    for (const written of [score, back]) {
      const { notes, ticksPerQuarter, parts } = written;
      const rolled = notes.filter((n) => n.tremoloSlashes > 0);
      assertEquals(new Set(rolled.map((n) => parts[n.part]!.name)), new Set(["Violins I", "Violas"]));
      const long = rolled.filter((n) => n.durationTicks >= ticksPerQuarter);
      assertEquals(new Set(long.map((n) => n.tremoloSlashes)), new Set([slashes]));
      const clock = clockOf(written);
      for (const n of rolled) {
        const perSecond = 1 / (clock(n.onsetTicks + strokeTicks(n, ticksPerQuarter)) - clock(n.onsetTicks));
        assert(perSecond >= 9 - 1e-9);
        assert(isUnmeasuredTremolo(n, perSecond + 1e-9));
      }
    }
    // MusicXML's own word for it is printed as the sign of a buzz roll, so that it is left out.
    assertStringIncludes(writeMusicXml(score), `<tremolo type="single">${slashes}</tremolo>`);
    assert(!writeMusicXml(score).includes('"unmeasured"'));
  }
});

Deno.test("MIDI of an unmeasured tremolo repeats quickly at any tempo; a measured one keeps its slashes", () => {
  const strokes = (tremolo: "measured" | "unmeasured") => {
    const score = example([["violin", "D5:4"]]);
    const slow = {
      ...score,
      tempos: [{ ...score.tempos[0]!, quartersPerMinute: 40 }],
      notes: score.notes.map((n) => ({ ...n, tremoloSlashes: 3, tremolo })),
    };
    return playedNotes(slow, { notes: slow.notes, articulate: false, tremolos: true, trills: true }).length;
  };
  assertEquals([strokes("measured"), strokes("unmeasured")], [32, 64]);
});
