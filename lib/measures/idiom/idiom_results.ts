/** What idiom returns: flat rows that go straight into a chart or a table. */
import type { Constants, Settings } from "../../base/settings.ts";
import type { Share } from "../../base/units.ts";
import type { Role } from "../../texture/roles.ts";
import type { SpanRow, TimedBarRow } from "../rows.ts";

/** Idiom of one bar. */
export interface IdiomBar extends TimedBarRow {
  /** Mean usualness of the parts that begin notes; null where none does or none of their instruments was counted. */
  readonly idiom: Share | null;
  /** How many of them are used in an unusual way. */
  readonly unusual: number;
}

/** Idiom of one part. */
export interface IdiomPart {
  /** Part index. */
  readonly part: number;
  /** Its name. */
  readonly partName: string;
  /** Mean usualness over the bars in which it begins notes; null where nothing is known of its instrument. */
  readonly idiom: Share | null;
  /** Bars counted of its instrument in the open scores; 0 where only its family was. */
  readonly countedBars: number;
}

/** Bars in which a part is used in an unusual way. */
export interface UnusualUse extends SpanRow {
  /** Part index. */
  readonly part: number;
  /** Its name. */
  readonly partName: string;
  /** Printed bar where it begins. */
  readonly bar: string;
  /** Its role there. */
  readonly role: Role;
  /** Where it lies on its instrument: `low`, `middle` or `high`. */
  readonly register: string;
  /** How loud it is: `soft` or `loud`. */
  readonly dynamic: string;
  /** How usual that is: the three below multiplied. */
  readonly usualness: Share;
  /** How common the role is on the instrument over how common it is on all, 1 at most. */
  readonly ofRole: Share;
  /** How common the register is over the commonest, of the instrument in that role. */
  readonly ofRegister: Share;
  /** How common the dynamic is over the commonest, of the instrument in that register. */
  readonly ofDynamic: Share;
}

/** The idiom measure. */
export interface Idiom {
  /** The whole. */
  readonly whole: {
    /** Mean usualness over parts and bars; null where nothing was counted of anybody. */
    readonly idiom: Share | null;
    /** Share of these in which a part is used in an unusual way. */
    readonly unusualShare: Share;
  };
  /** One row per bar. */
  readonly perBar: readonly IdiomBar[];
  /** One row per part that begins notes. */
  readonly perPart: readonly IdiomPart[];
  /** Unusual uses, the longest first. */
  readonly unusual: readonly UnusualUse[];
  /** The longest of them in words. */
  readonly description: readonly string[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}
