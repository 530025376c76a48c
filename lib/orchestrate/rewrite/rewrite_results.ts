/** What rewriting a score gives. */
import type { Share } from "../../base/units.ts";
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
  /** Octaves from where it would lie by itself, as wished or as it is heard best; 0 where it lies there, or keeps its notes and its octave. */
  readonly octave: number;
  /**
   * What it is heard as now: role and figure read off the notes by who was not told, the commonest first. A second melody
   * beside one that leads more, or that led and is still heard to lead, is a counterline; what was told to be the bass is it where
   * nothing lies lower, or where it goes in octaves with what does.
   */
  readonly heardAs: string;
  /** Share of the bars it sounds in where it is heard in the role it was given, or had; 1 where it is silent. */
  readonly heardShare: Share;
  /** The bars in which it is heard otherwise, indexes from 0. */
  readonly otherwiseIn: readonly number[];
  /** Why it is heard otherwise in these, in words, such as `nobody else leads in bars 3 to 5`; empty where it is not. */
  readonly because: string;
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
