/**
 * Says how far harmony agrees with the annotated movements beside the checkout, and how far it would on a work on which
 * nothing was chosen: with the constants as they are, the use of chords counted in the other movements, then in the other
 * work; and with constants chosen in the other work alone, from plain values, one after another in steps. Run it with
 * `deno run -A tests/setup/fit_harmony_constants.ts` (some minutes); it changes nothing. Lines
 * further in stand above the figures of both works together. Name a start, `plain` or
 * `shipped`, to choose on all movements instead, and see the constants it comes to.
 */
import type { Settings } from "../../lib/base/settings.ts";
import { rangeOf } from "../../lib/base/settings.ts";
import { HARMONY_CONSTANTS } from "../../lib/harmony/harmony_constants.ts";
import {
  type ChordMovement,
  chordMovements,
  inWords,
  type MovementAgreement,
  movementAgreement,
  sharesOf,
  useIn,
} from "./harmony_agreement.ts";
import { sharedFolder } from "./shared_data.ts";

type Values = Settings<typeof HARMONY_CONSTANTS>;

/** Round values to start from, so that nothing is known of what was chosen on the work left out. */
const PLAIN: Values = {
  rootShare: 0.3,
  thirdShare: 0.3,
  fifthShare: 0.3,
  seventhShare: 0.2,
  seventhRoom: 0.8,
  foreignShare: 0.02,
  sharePower: 1,
  soundWeight: 10,
  slotWeight: 4,
  bassWeight: 0.1,
  openingWeight: 0.1,
  beatBlend: 0.5,
  barBlend: 0.1,
  passingWeight: 0.5,
  neighbourWeight: 0.5,
  suspensionWeight: 1,
  leadWeight: 1,
  majorOdds: 0,
  minorOdds: 0,
  diminishedOdds: 0,
  augmentedOdds: 0,
  seventhOdds: 0,
  majorSeventhOdds: 0,
  minorSeventhOdds: 0,
  diminishedSeventhOdds: 0,
  halfDiminishedOdds: 0,
  lateDominantSeventh: 0.1,
  lateSeventh: 0.1,
  useWeight: 1,
  slotUseWeight: 0.5,
  followWeight: 0.1,
  keyChange: 5,
  nearKeyChange: 5,
  changeWeight: 0.5,
  heldBassCost: 0.1,
};
const SHIPPED = Object.fromEntries(
  Object.entries(HARMONY_CONSTANTS).map(([name, { value }]) => [name, value]),
) as Values;

/** Steps tried of each constant: factors, and what is added to what may be negative. */
const FACTORS = [0.75, 1.33];
const ADDED = [-0.03, 0.03];
/** What a step has to gain in the sum of the four shares; less is chance. */
const LEAST_GAIN = 0.0005;
const ROUNDS = 3;

function agreements(movements: readonly ChordMovement[], constants: Values): readonly MovementAgreement[] {
  return movements.map((movement) =>
    movementAgreement(movement, { constants, use: useIn(movements.filter((other) => other !== movement)) })
  );
}

/** Sum of roots and of roots with kind, spans given and found. */
function gainOf(all: readonly MovementAgreement[]): number {
  const [given, own] = [sharesOf(all.flatMap((a) => a.given)), sharesOf(all.flatMap((a) => a.own))];
  return given[0] + given[1] + own[0] + own[1];
}

/** Constants chosen on some movements, each read by the chord use of the others. */
function chosenOn(movements: readonly ChordMovement[], start: Values): Values {
  let values = start;
  let best = gainOf(agreements(movements, values));
  for (let round = 0; round < ROUNDS; round++) {
    const before = best;
    for (const [name, constant] of Object.entries(HARMONY_CONSTANTS)) {
      const { least, isLeastOut, most } = rangeOf(constant);
      const value = values[name as keyof Values];
      const tried = least < 0 ? ADDED.map((by) => value + by) : FACTORS.map((by) => value * by);
      for (const one of tried) {
        if (one < least || isLeastOut && one <= least || one > most) continue;
        const next = { ...values, [name]: Number(one.toPrecision(3)) };
        const gain = gainOf(agreements(movements, next));
        if (gain < best + LEAST_GAIN) continue;
        [values, best] = [next, gain];
      }
    }
    console.log(`    round ${round + 1}: ${best.toFixed(4)}`);
    if (best === before) break;
  }
  return values;
}

function say(what: string, all: readonly MovementAgreement[]): void {
  const [given, own] = [inWords(all.flatMap((a) => a.given)), inWords(all.flatMap((a) => a.own))];
  console.log(`  ${what}: spans given ${given}, found ${own}`);
}

/** Each work read by what is known of the others. */
function leftOut(
  movements: readonly ChordMovement[],
  constantsFor: (others: readonly ChordMovement[]) => Values,
) {
  const works = [...new Set(movements.map(({ work }) => work))];
  return works.flatMap((work) => {
    const others = movements.filter((one) => one.work !== work);
    const constants = constantsFor(others);
    const use = useIn(others);
    const all = movements.filter((one) => one.work === work).map((one) =>
      movementAgreement(one, { constants, use })
    );
    say(`  ${work}`, all);
    return all;
  });
}

const folder = sharedFolder("s3-symphonies");
if (folder) {
  const movements = chordMovements(folder);
  const [start] = Deno.args;
  console.log("root / root with kind / key");
  if (start === undefined) {
    say("constants as they are, chord use of the other movements", agreements(movements, SHIPPED));
    say("constants as they are, chord use of the other work", leftOut(movements, () => SHIPPED));
    say("plain constants, chord use of the other work", leftOut(movements, () => PLAIN));
    say("constants and chord use of the other work", leftOut(movements, (others) => chosenOn(others, PLAIN)));
  } else {
    const chosen = chosenOn(movements, start === "plain" ? PLAIN : SHIPPED);
    say("chosen on all", agreements(movements, chosen));
    console.log(chosen);
  }
}
