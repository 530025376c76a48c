/** A sweep of a few hundred settings over eight bars of our own; run as a program, it keeps its rows in a file. */
import { assign, sweep } from "ripieno";
import type { SweepGrid, SweepOptions, SweepRow } from "ripieno/orchestrate";
import { SKETCHES, wholePlan } from "./sketches.ts";

export const SKETCH = SKETCHES["four-four"]!;

export const PLAN = wholePlan(
  SKETCH,
  assign({ role: "lead", parts: ["Flute 1"], dynamic: "mf" }),
  assign({ role: "pulse", figure: "repeated eighths", parts: ["Violas"], dynamic: "p" }),
  assign({ role: "bass", parts: ["Cellos"], dynamic: "p" }),
);

export const GRID: SweepGrid = {
  who: {
    strings: ["Violins II", "Violas"],
    horns: ["Horns"],
    "low strings": ["Cellos"],
    trumpets: ["Trumpets"],
  },
  figure: ["repeated eighths", "repeated sixteenths", "off-beats"],
  articulation: ["tongued", "staccato", "slurred"],
  dynamic: ["pp", "f"],
  tempo: [72, 240],
  sectionSize: [4, 12],
};

export function smallSweep(options: SweepOptions = {}, grid: SweepGrid = GRID): Promise<readonly SweepRow[]> {
  return sweep(PLAN, grid, { sketch: SKETCH, layers: { role: "pulse" }, ...options });
}

if (import.meta.main) await smallSweep({ stateFile: Deno.args[0]!, workers: 2 });
