/** Harp pedals: which setting gives the notes, and what has to move. */
import { A_RECORD, checkArgument, listOf } from "../../base/arguments.ts";

/** The seven pedals in the order they stand: left foot D C B, right foot E F G A. */
export const HARP_PEDALS = ["D", "C", "B", "E", "F", "G", "A"] as const;

/** One pedal, named after its strings. */
export type HarpPedal = (typeof HARP_PEDALS)[number];

/** Position of each pedal: -1 flat, 0 natural, 1 sharp. */
export type HarpSetting = Readonly<Record<HarpPedal, number>>;

/** A pedal setting, and what it cost to reach it. */
export interface HarpChange {
  /** True when one setting gives all the notes. */
  readonly possible: boolean;
  /** The setting after the change. */
  readonly setting: HarpSetting;
  /** Pedals that moved. */
  readonly moved: readonly HarpPedal[];
  /** Moves one after another: the greater count of the two feet, since each foot moves one pedal at a time. */
  readonly movesInTurn: number;
  /** Why it cannot be done, in a sentence; empty where it can. */
  readonly reason: string;
}

/** All pedals in the middle: the scale of C major. */
export const HARP_NATURAL: HarpSetting = { D: 0, C: 0, B: 0, E: 0, F: 0, G: 0, A: 0 };

const LETTERS = listOf(A_RECORD, "a list of letters");

/**
 * The pedal setting for notes as they are spelt, and what has to move from the setting before. Each letter has
 * one pedal for all octaves, so C and C sharp cannot stand together; a double sharp or flat has no pedal.
 *
 * @param notes letters with their alteration in semitones, as on the page
 * @param before the setting before; by default all natural
 * @returns the new setting and the pedals moved; the setting before where it is impossible
 *
 * @example
 * ```ts
 * import { harpPedals } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const change = harpPedals([{ step: "E", alter: -1 }, { step: "B", alter: -1 }, { step: "G", alter: 0 }]);
 * assertEquals([change.moved, change.movesInTurn], [["B", "E"], 1]); // one pedal for each foot
 * assertEquals(harpPedals([{ step: "C", alter: 0 }, { step: "C", alter: 1 }]).possible, false);
 * ```
 */
export function harpPedals(
  notes: readonly { readonly step: string; readonly alter: number }[],
  before: HarpSetting = HARP_NATURAL,
): HarpChange {
  checkArgument("set the pedals", notes, LETTERS);
  checkArgument("set the pedals", before, A_RECORD, "the setting before");
  const setting: Record<HarpPedal, number> = { ...before };
  const asked = new Map<HarpPedal, number>();
  const refuse = (reason: string): HarpChange => ({
    possible: false,
    setting: before,
    moved: [],
    movesInTurn: 0,
    reason,
  });
  for (const { step, alter } of notes) {
    const pedal = HARP_PEDALS.find((each) => each === step);
    if (pedal === undefined) return refuse(`There is no pedal for the letter ${step}.`);
    if (![-1, 0, 1].includes(alter)) {
      return refuse(`${step} altered by ${alter} semitones has no pedal position.`);
    }
    if ((asked.get(pedal) ?? alter) !== alter) return refuse(`${step} is asked for in two forms at once.`);
    asked.set(pedal, alter);
    setting[pedal] = alter;
  }
  const moved = HARP_PEDALS.filter((pedal) => setting[pedal] !== before[pedal]);
  const left = moved.filter((pedal) => HARP_PEDALS.indexOf(pedal) < 3).length;
  return { possible: true, setting, moved, movesInTurn: Math.max(left, moved.length - left), reason: "" };
}
