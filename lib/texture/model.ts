/** What each part is doing: the types recognition and writing share. */
import type { Share } from "../base/units.ts";
import type { Broad } from "./broad_kinds.ts";
import type { FigureName } from "./figures.ts";
import type { Role } from "./roles.ts";

/** What one part does in one bar. */
export interface RoleCell {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Part index. */
  readonly part: number;
  /** What the part is for here. */
  readonly role: Role;
  /** Figure it plays, such as `repeated sixteenths`; `none` when silent. */
  readonly figure: FigureName;
  /**
   * What its notes do, whoever is followed: a lead may be a melody, but also held or moving. In a written texture, or
   * where the role was corrected, what the role comes down to.
   */
  readonly does: Broad | "silent";
  /**
   * How sure the reading is, 0 to 1; 1 for a setting's own layers. Of a chief line that was read, the share of the lead
   * that falls to it and what doubles it.
   */
  readonly confidence: Share;
  /**
   * How much of the lead falls to the part in this bar, 0 to 1, followed over the bars around; the lines of a bar that was
   * read share 1 among them. A part of another role with a share worth a look is also possible as the lead
   * (`isAlsoPossible`). In a written texture, or where the role was corrected, 1 for a lead and 0 for all else.
   */
  readonly leadShare: Share;
  /** Why, in words a musician can check. */
  readonly reason: string;
  /** Layer the part belongs to here; empty when silent. */
  readonly layer: string;
}

/** Parts that do one thing together over a span of bars. */
export interface Layer {
  /** Id its cells carry; in a recognised texture, layers of one role and figure share it from time to time. */
  readonly id: string;
  /** What the layer is for. */
  readonly role: Role;
  /** Figure it plays. */
  readonly figure: FigureName;
  /** Part indexes, from top to bottom of the score. */
  readonly parts: readonly number[];
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
}

/** The texture of a score. */
export interface Texture {
  /** `written` when it comes from the plan the score was realised from, `recognised` when read off the notes. */
  readonly origin: "written" | "recognised";
  /** One cell per bar and part, by bar, then part: cell of bar b and part p stands at b * parts + p. */
  readonly cells: readonly RoleCell[];
  /** Layers by first bar. */
  readonly layers: readonly Layer[];
}
