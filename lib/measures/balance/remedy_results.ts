/** Ways out where a lead sinks: changes to the parts as plain data, and what each gives. */
import type { Decibels, Share } from "../../base/units.ts";

/** A change to the parts, as plain data; parts by name. */
export type RemedyChange =
  | {
    /** Move what the parts play by octaves. */
    readonly kind: "octave";
    /** Names of the parts. */
    readonly parts: readonly string[];
    /** Octaves up or down. */
    readonly octaves: number;
  }
  | {
    /** Play at another dynamic. */
    readonly kind: "dynamic";
    /** Names of the parts. */
    readonly parts: readonly string[];
    /** Steps of the dynamic scale, up or down; held at ppp and fff. */
    readonly steps: number;
  }
  | {
    /** Let a resting part double another. */
    readonly kind: "double";
    /** Name of the part that doubles. */
    readonly part: string;
    /** Name of the part that is doubled. */
    readonly of: string;
    /** Octaves up or down from it. */
    readonly octaves: number;
  }
  | {
    /** Leave parts out. */
    readonly kind: "rest";
    /** Names of the parts. */
    readonly parts: readonly string[];
  };

/** A way out, with what the measure says after it. */
export interface Remedy {
  /** The change in a few words; where two go together, both. */
  readonly what: string;
  /** The change as data, in the order in which it is made. */
  readonly changes: readonly RemedyChange[];
  /** Audible share of the lead over the passage after the change. */
  readonly audibleShare: Share;
  /** How much that is more than before. */
  readonly gainedShare: number;
  /** Handbook difference after the change, in dB; null where the lead is then alone. */
  readonly handbookDb: Decibels | null;
  /** Power difference after the change, in dB; null where the lead is then alone. */
  readonly powerDb: Decibels | null;
  /** Whether it asks nothing impossible or risky of the players that was not asked before. */
  readonly playable: boolean;
  /** What it would ask of them, where it is not; otherwise empty. */
  readonly caution: string;
}
