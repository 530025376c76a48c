/** Sketches of our own in several metres and keys, and what every setting of them must be like. */
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { instrumentById } from "../../lib/instruments/catalogue.ts";
import { assign, type Assignment, type AssignmentInput, type Plan } from "../../lib/orchestrate/plan/plan.ts";
import { type Harmony, type Sketch, sketchOf } from "../../lib/orchestrate/plan/sketch.ts";
import type { Note, Score } from "../../lib/score/model.ts";
import { barIndexOf } from "../../lib/score/time.ts";

/** Our own tunes: plain, three-four with a bar without chord, compound time, five-four, and a pickup with a change of key. */
export const SKETCHES: Readonly<Record<string, Sketch>> = Object.fromEntries(
  Object.entries({
    "four-four": `M:4/4\nL:1/4\nQ:1/4=92\nK:Dm
"Dm" d2 A d | "Bb" f3 d | "Gm" g2 f d | "C" e4 | "F" f2 c f | "Em7b5" B3 d | "A7" ^c2 A2 | "Dm" d4 |]`,
    "three-four, slash chords, a bar without chord": `M:3/4\nL:1/4\nQ:1/4=96\nK:F
"F" A2 c | "C7/E" e3 | "Dm7" d2 f | "N.C." c3 | "Bb/D" d2 B | "Gm7" B2 G | "C7" G2 E | "F" F3 |]`,
    "six-eight": `M:6/8\nL:1/8\nQ:3/8=60\nK:Am
"Am" A2B c2d | "E7/G#" e3 B3 | "F" A2c f2e | "C" e3 g3 | "Dm" f2d A2d | "E7" ^g3 e3 |]`,
    "five-four, two chords in a bar, triplets": `M:5/4\nL:1/4\nQ:1/4=100\nK:C
"C" c2 e g2 | "F" f3 "G" g2 | "Am" (3efg a2 "Dm" f | "G7" d4 "C" c |]`,
    "pickup, change of key": `M:4/4\nL:1/4\nQ:1/4=88\nK:G
D | "G" G2 B2 | "D7/F#" A2 "G" G2 | "Em" B3 d | "Am7" c2 A2 | [K:E] "E" B4 | "C#m" c2 e2 | "B7" d2 B2 | "E" B3 |]`,
  }).map(([name, body]) => [name, sketchOf(readAbc(`X:1\nT:${name}\n${body}\n`, { file: `${name}.abc` }))]),
);

/** A layer of a plan, in a row of a table if that is given. */
export type TestLayer = AssignmentInput & Pick<Assignment, "where">;

const assigned = (layer: TestLayer): Assignment => ({
  ...assign(layer),
  ...layer.where === undefined ? {} : { where: layer.where },
});

/** A plan of one passage over the whole sketch. */
export function wholePlan(sketch: Sketch, ...layers: readonly TestLayer[]): Plan {
  const { bars } = sketch.score;
  return {
    name: "test plan",
    passages: [{
      name: "All",
      fromBar: Number(bars[0]!.number),
      toBar: Number(bars.at(-1)!.number),
      assignments: layers.map(assigned),
    }],
  };
}

/** A plan of one passage over some bars. */
export function passagePlan(fromBar: number, toBar: number, ...layers: readonly TestLayer[]): Plan {
  return {
    name: "test plan",
    passages: [{ name: "All", fromBar, toBar, assignments: layers.map(assigned) }],
  };
}

/** Notes of a part by its name, in order. */
export function notesOf(score: Score, name: string): readonly Note[] {
  const part = score.parts.findIndex((p) => p.name === name);
  return score.notes.filter((n) => n.part === part);
}

/** Pitch class of a sounding pitch. */
export function pitchClass(pitch: number): number {
  return ((pitch % 12) + 12) % 12;
}

/** The sketch's harmony under a position of a score, whose grid may be finer. */
export function harmonyAt(sketch: Sketch, score: Score, ticks: number): Harmony | undefined {
  const factor = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
  return sketch.harmonies.find((h) =>
    h.onsetTicks * factor <= ticks && ticks < (h.onsetTicks + h.durationTicks) * factor
  );
}

/**
 * What is wrong with a score whatever it was asked to play: places off the grid, bars overrun by the end of the
 * score, parts that overlap themselves, pitches outside the instrument's range, slurs without their other end.
 */
export function faultsOf(score: Score, range: "rangeComfortable" | "rangeExtreme"): readonly string[] {
  const faults: string[] = [];
  const last = score.bars.at(-1)!;
  const end = last.startTicks + last.durationTicks;
  score.parts.forEach((part, p) => {
    const { low, high } = instrumentById(part.instrument)[range];
    const line = score.notes.filter((n) => n.part === p);
    let open = false;
    line.forEach((n, i) => {
      const at = `${part.name}, bar ${score.bars[barIndexOf(score, n.onsetTicks)]!.number}: `;
      const next = line[i + 1];
      if (!Number.isInteger(n.onsetTicks) || !Number.isInteger(n.durationTicks)) {
        faults.push(at + "off the grid");
      }
      if (n.durationTicks <= 0) faults.push(at + "no length");
      if (n.onsetTicks + n.durationTicks > end) faults.push(at + "past the end");
      const inOneHand = next?.onsetTicks === n.onsetTicks && next.durationTicks === n.durationTicks &&
        next.soundingPitch !== n.soundingPitch && /^(Harp|Piano|Celesta)/.test(part.name);
      const isDivided = part.playing?.findLast((p) => p.fromTicks <= n.onsetTicks)?.kind === "divided";
      if (next && !inOneHand && !isDivided && next.onsetTicks < n.onsetTicks + n.durationTicks) {
        faults.push(at + "overlaps itself");
      }
      if (!Number.isInteger(n.soundingPitch)) faults.push(at + "not a pitch");
      if (!n.unpitched && (n.soundingPitch < low || n.soundingPitch > high)) {
        faults.push(`${at}${n.soundingPitch} is outside ${low} to ${high}`);
      }
      const spelt = n.spelling &&
        (n.spelling.octave + 1) * 12 + { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 }[n.spelling.step]! +
          n.spelling.alter;
      if (spelt !== undefined && spelt !== n.soundingPitch) faults.push(at + "spelt as another pitch");
      if (n.slurStop && !open) faults.push(at + "a slur ends that never began");
      if (n.slurred !== open) faults.push(at + "slurred without a slur");
      if (n.slurStop) open = false;
      if (n.slurStart) {
        if (open) faults.push(at + "a slur begins inside a slur");
        open = true;
      }
    });
    if (open) faults.push(`${part.name}: a slur never ends`);
  });
  return faults;
}
