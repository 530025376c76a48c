/** What a plan is written on: its sketch, its seats, and what was written before. */
import { type Memo, memo } from "../../base/memo.ts";
import type { Ticks } from "../../base/units.ts";
import type { ClarinetChoice } from "../../score/clarinets.ts";
import type { Bar, Note, WrittenDynamic } from "../../score/model.ts";
import { beatTicks } from "../../score/time.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";
import type { Plan } from "../plan/plan.ts";
import type { Seat } from "../plan/seat.ts";
import type { Sketch } from "../plan/sketch.ts";
import type { PlainNote } from "./layers/task.ts";
import type { BreathNote } from "./leave_breaths.ts";

/** Seconds a player needs to take a breath between two notes. Common practice, no source. */
export const BREATH_GAP_SECONDS = 0.2;

/** Layers, lines and scores kept; a line of sixteenths over fifty bars takes about 200 kB. */
const KEPT = { layers: 300, lines: 150, scores: 6 } as const;

/** What was written before. */
export interface Memories {
  readonly layers: Memo<LayerNotes>;
  readonly beside: Memo<NotesBesideInText>;
  readonly aired: Memo<AiredLine>;
  /** Numbers of what breathing left, by text. */
  readonly breaths: Memo<number>;
  readonly lines: Memo<PartLine>;
  readonly nextNumber: () => number;
  readonly scores: Memo<readonly Note[]>;
  /** What the clarinets would read, by their lines. */
  readonly clarinets: Memo<readonly ClarinetChoice[]>;
}

/** Memories of a realiser that is new. */
export function newMemories(): Memories {
  let numbersGiven = 0;
  return {
    layers: memo(KEPT.layers),
    beside: memo(KEPT.layers),
    aired: memo(KEPT.lines),
    breaths: memo(KEPT.lines),
    lines: memo(KEPT.lines),
    nextNumber: () => numbersGiven++,
    scores: memo(KEPT.scores),
    clarinets: memo(KEPT.scores),
  };
}

/** What the plan is written on. */
export interface PlanStage {
  readonly plan: Plan;
  readonly sketch: Sketch;
  readonly seats: readonly Seat[];
  /** The seats that play, and the index of the part in the score for each. */
  readonly seatOf: readonly number[];
  readonly partOf: ReadonlyMap<number, number>;
  readonly placed: readonly PlacedAssignment[];
  readonly memories: Memories;
  readonly numbered: (notes: readonly PlainNote[]) => LayerNotes;
  /** Leads and basses that stand already. */
  readonly frame: Frame;
}

/** A layer's notes as its writer gave them, parts counted by seats. */
export interface LayerNotes {
  /** Number that tells it from other layers written before. */
  readonly id: number;
  readonly notes: readonly PlainNote[];
  /** The same by the seats of their parts. */
  readonly bySeat: ReadonlyMap<number, readonly PlainNote[]>;
}

/** Notes of leads and basses beside a layer, in text: the same for the same lines whoever plays them. */
export interface NotesBesideInText {
  readonly lead: string;
  readonly bass: string;
}

/** A layer of the plan with its notes. */
export interface WrittenAssignment {
  readonly placed: PlacedAssignment;
  readonly written: LayerNotes;
}

/** What stands before the layers between are written. */
export interface Frame {
  readonly lead: readonly LayerNotes[];
  readonly bass: readonly LayerNotes[];
}

/** Whether a layer leads. */
export function isLead(p: PlacedAssignment): boolean {
  return p.assignment.role === "lead";
}

/** Whether a layer is the bass. */
export function isBass(p: PlacedAssignment): boolean {
  return p.assignment.role === "bass";
}

/** A note of a part with what breathing depends on. */
export interface AiredNote extends BreathNote {
  /** Which of the part's layers it is from. */
  readonly of: number;
}

/** The notes of one part with its breaths, before anything is printed on them. */
export interface AiredLine {
  readonly notes: readonly AiredNote[];
  /** Number that tells what breathing has left of them: the same for the same. */
  readonly breaths: number;
}

/** The whole line of one part: its notes and its dynamic signs. */
export interface PartLine {
  /** Number that tells it from other lines written before. */
  readonly id: number;
  readonly notes: readonly Note[];
  readonly dynamics: readonly WrittenDynamic[];
}

/** Beats of some bars, in order. */
export function beatsOf(bars: readonly Bar[], ticksPerQuarter: Ticks): readonly Ticks[] {
  return bars.flatMap((bar) => {
    const beat = beatTicks(bar, ticksPerQuarter);
    return Array.from(
      { length: Math.ceil(bar.durationTicks / beat) },
      (_, i) => bar.startTicks + i * beat,
    );
  });
}
