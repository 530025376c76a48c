/** Tuning a set of timpani. From `data/timpani_drums.csv`. */
import { A_LIST, checkArgument, NUMBERS } from "../../base/arguments.ts";
import { once } from "../../base/memo.ts";
import drumsText from "../../../data/timpani_drums.csv" with { type: "text" };
import { pitchName, type SoundingPitch } from "../../base/units.ts";
import { anyText, aPitch, readTable, someText, type Sourced, sourced, under } from "../data_table.ts";

/** One drum of the set. */
export interface TimpaniDrum extends Sourced {
  /** Size. */
  readonly drum: string;
  /** Lowest sounding pitch. */
  readonly low: SoundingPitch;
  /** Highest sounding pitch. */
  readonly high: SoundingPitch;
}

/** A tuning of the set, and what had to be retuned. */
export interface TimpaniTuning {
  /** True when every note has a drum of its own. */
  readonly possible: boolean;
  /** Pitch of each drum from the largest down; null where it is free. The tuning before where impossible. */
  readonly pitches: readonly (SoundingPitch | null)[];
  /** Drums that have to be retuned, by index from the largest; drums that were free do not count. */
  readonly retuned: readonly number[];
  /** Why it cannot be done, in a sentence; empty where it can. */
  readonly reason: string;
}

const drums = once<readonly TimpaniDrum[]>(() =>
  readTable(drumsText, {
    file: "data/timpani_drums.csv",
    columns: {
      drum: someText,
      low: under("low_sounding", aPitch),
      high: under("high_sounding", aPitch),
      ...sourced,
      note: anyText,
    },
  })
);

/**
 * The four drums of the usual set, largest first.
 *
 * @returns the drums with their ranges
 *
 * @example
 * ```ts
 * import { timpaniDrums } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(timpaniDrums().map((drum) => drum.low), [36, 41, 46, 48]);
 * ```
 */
export function timpaniDrums(): readonly TimpaniDrum[] {
  return drums();
}

/**
 * How to tune the set for a passage: a drum for each different note, with as few drums retuned as possible
 * and, among those ways, each note near the middle of its drum.
 *
 * @param soundingPitches the notes of the passage, in any order, repeats allowed
 * @param before the tuning before, largest drum first; by default all drums free
 * @returns the tuning and the drums retuned
 *
 * @example
 * ```ts
 * import { timpaniTuning } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const tonicAndDominant = timpaniTuning([48, 43, 48]); // C3 and G2
 * assertEquals(tonicAndDominant.possible, true);
 * const then = timpaniTuning([48, 41], tonicAndDominant.pitches); // C3 stays, G2 goes to F2 or another drum
 * assertEquals(then.retuned.length <= 1, true);
 * ```
 */
export function timpaniTuning(
  soundingPitches: readonly SoundingPitch[],
  before: readonly (SoundingPitch | null)[] = drums().map(() => null),
): TimpaniTuning {
  checkArgument("tune the timpani", soundingPitches, NUMBERS);
  checkArgument("tune the timpani", before, A_LIST, "the tuning before");
  const wanted = [...new Set(soundingPitches.map(Math.round))].sort((a, b) => a - b);
  const refuse = (reason: string): TimpaniTuning => ({
    possible: false,
    pitches: before,
    retuned: [],
    reason,
  });
  const nowhere = wanted.find((pitch) => !drums().some((drum) => pitch >= drum.low && pitch <= drum.high));
  if (nowhere !== undefined) return refuse(`No drum of the set has ${pitchName(nowhere)}.`);
  let best: TimpaniTuning | null = null;
  let leastStrain = Infinity;
  const place = (index: number, tuning: readonly (SoundingPitch | null)[]): void => {
    const pitch = wanted[index];
    if (pitch === undefined) {
      const pitches = tuning.map((each, drum) => each ?? before[drum] ?? null);
      const retuned = pitches.flatMap((each, drum) => {
        const old = before[drum] ?? null;
        return old !== null && each !== old ? [drum] : [];
      });
      const strain = tuning.reduce<number>(
        (sum, each, drum) => sum + (each === null ? 0 : strainOf(each, drum)),
        0,
      );
      const fewer = best === null || retuned.length < best.retuned.length;
      if (fewer || retuned.length === best?.retuned.length && strain < leastStrain) {
        leastStrain = strain;
        best = { possible: true, pitches, retuned, reason: "" };
      }
      return;
    }
    drums().forEach((drum, at) => {
      if (tuning[at] !== null || pitch < drum.low || pitch > drum.high) return;
      place(index + 1, tuning.map((each, other) => other === at ? pitch : each));
    });
  };
  place(0, drums().map(() => null));
  return best ??
    refuse(`${wanted.map(pitchName).join(", ")} do not fit on the ${drums().length} drums at once.`);
}

/** Semitones between a pitch and the middle of a drum, where the head sounds best. */
function strainOf(pitch: SoundingPitch, drum: number): number {
  const { low, high } = drums()[drum]!;
  return Math.abs(pitch - (low + high) / 2);
}
