/** How the chords of a layer lie: close, open, spread; winds layered, interlocked, enclosed; families blended. */
import { assert, assertEquals, assertGreater, assertLess, assertMatch, assertThrows } from "@std/assert";
import { demoSketch } from "../../../lib/demo.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { playability } from "../../../lib/measures/playability/playability.ts";
import type { AssignmentInput } from "../../../lib/orchestrate/plan/plan.ts";
import type { Sketch } from "../../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { recognise } from "../../../lib/texture/recognise/recognise.ts";
import type { Score } from "../../../lib/score/model.ts";
import { faultsOf, harmonyAt, notesOf, pitchClass, SKETCHES, wholePlan } from "../sketches.ts";

const LEAD = { role: "lead", parts: ["Violins I"], octave: 1, dynamic: "f" } as const;
const BASS = { role: "bass", figure: "sustained bass", parts: ["Double basses"] } as const;

/** Pitches of each of some parts a quarter after the start of every bar with a chord, in the order of the parts. */
function chordsOf(
  score: Score,
  parts: readonly string[],
): readonly { readonly at: number; readonly pitches: readonly number[] }[] {
  const indexes = parts.map((name) => score.parts.findIndex((p) => p.name === name));
  return score.bars.flatMap(({ startTicks }) => {
    const at = startTicks + score.ticksPerQuarter / 4;
    const pitches = indexes.map((part) =>
      score.notes.find((n) => n.part === part && n.onsetTicks <= at && n.onsetTicks + n.durationTicks > at)
        ?.soundingPitch
    );
    return pitches.some((p) => p === undefined) ? [] : [{ at, pitches: pitches as number[] }];
  });
}

const padOf = (sketch: Sketch, more: Omit<AssignmentInput, "role">) =>
  realise(sketch, wholePlan(sketch, LEAD, BASS, { role: "pad", dynamic: "p", ...more }));

/** Tones of the chord left out between neighbours, from below. */
function leftOut(sketch: Sketch, score: Score, parts: readonly string[]): readonly number[] {
  return chordsOf(score, parts).flatMap(({ at, pitches }) => {
    const classes = harmonyAt(sketch, score, at)!.tones.map((t) => t.pitchClass);
    const sorted = pitches.toSorted((a, b) => a - b);
    return sorted.slice(1).map((p, i) => {
      const between = Array.from({ length: Math.max(0, p - sorted[i]! - 1) }, (_, k) => sorted[i]! + 1 + k);
      return between.filter((q) => classes.includes(pitchClass(q))).length;
    });
  });
}

const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length;
const WINDS = ["Oboe 1", "Oboe 2", "Clarinet 1", "Clarinet 2"];
const STRINGS = ["Violins II", "Violas", "Cellos"];

for (const [name, sketch] of Object.entries(SKETCHES)) {
  Deno.test(`${name}: close chords leave no tone out, open ones one, spread ones are the widest`, () => {
    for (const parts of [WINDS, STRINGS]) {
      const scores = (["close", "open", "spread"] as const).map((voicing) =>
        padOf(sketch, { parts, voicing })
      );
      for (const score of scores) {
        assertEquals(faultsOf(score, "rangeComfortable"), []);
        assertEquals(playability(score).whole.impossible, 0);
      }
      const [close, open] = scores.map((score) => mean(leftOut(sketch, score, parts)));
      assertLess(close!, 0.45);
      assert(open! > 0.6 && open! < 1.4, `open: ${open} left out`);
      assertGreater(open!, close! + 0.3);
      const [width, wider, widest] = scores.map((score) =>
        mean(chordsOf(score, parts).map(({ pitches }) => Math.max(...pitches) - Math.min(...pitches)))
      );
      assertGreater(wider!, width!);
      // Three parts with all tones of a triad can lie no wider than open.
      if (parts.length > 3) assertGreater(widest!, wider!);
      else assertGreater(widest!, wider! - 0.5);
    }
  });

  Deno.test(`${name}: winds lie layered, interlocked and enclosed, in the order in which the plan names their kinds`, () => {
    const orders = {
      layered: ["Oboe 1", "Oboe 2", "Clarinet 1", "Clarinet 2"],
      interlocked: ["Oboe 1", "Clarinet 1", "Oboe 2", "Clarinet 2"],
      enclosed: ["Oboe 1", "Clarinet 1", "Clarinet 2", "Oboe 2"],
    } as const;
    for (const [voicing, order] of Object.entries(orders)) {
      const score = padOf(sketch, { parts: ["Oboes", "Clarinets"], voicing: voicing as keyof typeof orders });
      for (const { pitches } of chordsOf(score, order)) {
        assertEquals(pitches, pitches.toSorted((a, b) => b - a), `${voicing} ${pitches}`);
      }
      const turned = padOf(sketch, {
        parts: ["Clarinets", "Oboes"],
        voicing: voicing as keyof typeof orders,
      });
      const other = order.map((n) =>
        n.startsWith("Oboe") ? n.replace("Oboe", "Clarinet") : n.replace("Clarinet", "Oboe")
      );
      const kept = chordsOf(turned, other).filter(({ pitches }) =>
        pitches.every((p, i) => i === 0 || p <= pitches[i - 1]!)
      );
      assertGreater(kept.length, 0.95 * chordsOf(turned, other).length);
    }
  });
}

Deno.test("families that blend have one chord between them, where each else has one of its own", () => {
  const parts = ["Flute 1", "Oboe 1", "Clarinet 1", "Horn 1", "Horn 2", "Horn 3"];
  let blended = 0;
  let apart = 0;
  for (const sketch of Object.values(SKETCHES)) {
    const doubled = (voicing: "" | "family blends") =>
      chordsOf(padOf(sketch, { parts, voicing }), parts)
        .reduce((sum, { pitches }) => sum + pitches.length - new Set(pitches).size, 0);
    blended += doubled("family blends");
    apart += doubled("");
  }
  assertLess(blended, apart);
});

Deno.test("a pad is recognised as one however it lies", () => {
  for (const voicing of ["close", "open", "spread", "interlocked", "enclosed"] as const) {
    let cells = 0;
    let found = 0;
    for (const sketch of Object.values(SKETCHES)) {
      const score = padOf(sketch, { parts: WINDS, voicing });
      for (const { part, role } of recognise(score).cells) {
        if (!WINDS.includes(score.parts[part]!.name) || role === "rest") continue;
        cells++;
        if (role === "pad") found++;
      }
    }
    assertGreater(found, 0.9 * cells, voicing);
  }
});

Deno.test("an order that these winds cannot have is refused, with the reason and a way out", () => {
  const sketch = SKETCHES["four-four"]!;
  const refusal = (parts: readonly string[], voicing: NonNullable<AssignmentInput["voicing"]>) =>
    assertThrows(() => padOf(sketch, { parts, voicing }), InputError).message;
  assertMatch(
    refusal(["Oboes"], "enclosed"),
    /enclosed takes winds of two kinds, and the layer has oboe alone/,
  );
  assertMatch(
    refusal(["Violas", "Cellos"], "layered"),
    /layered takes winds of two kinds, and the layer has no winds/,
  );
  assertMatch(refusal(["Flute 1", "Oboe 1"], "interlocked"), /takes two winds of one kind at least/);
  assertMatch(
    refusal(["Trombone 1", "Piccolo"], "layered"),
    /"Piccolo" cannot lie below "Trombone 1" in layered winds: its register is too high.*Name the kinds in another order/,
  );
});

/** Common practice, no source: held cellos sing up to A4; what goes higher in them is a solo, and no background. */
Deno.test("a part that holds the chords alone stays where it lies well, whether its octave is left open or the usual one", () => {
  const cellosIn = (octave: number | null) => {
    const plan = wholePlan(
      demoSketch(),
      { role: "lead", parts: ["Flute 1"], octave: 1 },
      { role: "pad", parts: ["Cellos"], octave },
    );
    return notesOf(realise(demoSketch(), plan), "Cellos").map((n) => n.soundingPitch);
  };
  for (const octave of [null, 0]) {
    assertEquals(cellosIn(octave).filter((pitch) => pitch > 69), [], `${octave}`);
  }
});
