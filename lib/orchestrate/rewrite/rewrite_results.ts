/** What rewriting a score gives. */
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";

/** What became of one part in some bars. */
export interface PartChange {
  /** Part index. */
  readonly part: number;
  /** Name of the part. */
  readonly partName: string;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** First bar as printed. */
  readonly fromBar: string;
  /** Last bar as printed. */
  readonly toBar: string;
  /** What it did there, role and figure, the commonest first; `rest` where it was silent. */
  readonly before: string;
  /** What it does now. */
  readonly after: string;
  /** Notes that begin in the bars, before. */
  readonly notesBefore: number;
  /** Notes that begin in the bars, now. */
  readonly notesAfter: number;
  /** Parts it doubled in most of the bars, which go on without it; empty where it did not. */
  readonly doubled: readonly string[];
}

/** A score with some parts written anew. */
export interface Rewritten {
  /** The score. All that was not asked for stands in it as it did. */
  readonly score: Score;
  /** Who does what in it: as before, but for what was written. */
  readonly texture: Texture;
  /** What became of each part, in the order of the wishes. */
  readonly changes: readonly PartChange[];
}
