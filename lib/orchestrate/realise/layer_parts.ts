/** The parts of a layer as its writer sees them: divided lines group by group, winds in the order in which they are to lie. */
import type { SoundingPitch } from "../../base/units.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { type Register, registerOf } from "../../instruments/registers.ts";
import { arranged, type Arrangement, isArranged, isWind } from "../plan/arrangement.ts";
import { levelsOf } from "../plan/layer_dynamics.ts";
import { divisionOf, playsChords } from "../plan/division.ts";
import { type PlacedAssignment, placeError, seatsNamedBy } from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import type { Assignment } from "../plan/plan.ts";
import { liesWell } from "./double_stops.ts";
import type { LayerPart, VoiceRange } from "./layers/task.ts";
import { registerFor } from "./register_for.ts";

/** Semitones by which a spread chord may go below and above the usual register of its role. Model assumption. */
const SPREAD_BY = 8;

interface LayerPartsOptions {
  readonly seats: readonly Seat[];
  /** Name of the plan, for messages. */
  readonly plan: string;
}

/** The parts of a layer that sit on some seats, which are given in score order. */
export function layerParts(
  placed: PlacedAssignment,
  own: readonly number[],
  { seats, plan }: LayerPartsOptions,
): readonly LayerPart[] {
  const { assignment } = placed;
  const partsOf = (index: number) => partsOfSeat(index, seats[index]!, assignment);
  if (!isArranged(assignment.voicing)) return own.flatMap(partsOf);
  // Kinds lie in the order in which the plan names them.
  const named = seatsNamedBy(assignment.parts, seats).filter((i) => own.includes(i));
  const isBlown = (index: number) => isWind(seats[index]!.instrument);
  const winds = arranged(named.filter(isBlown).flatMap(partsOf), assignment.voicing);
  checkOrder(winds, assignment.voicing, { placed, seats, plan });
  return [...winds, ...own.filter((index) => !isBlown(index)).flatMap(partsOf)];
}

/** One part, or each group of it. */
function partsOfSeat(index: number, seat: Seat, assignment: Assignment): readonly LayerPart[] {
  const { instrument } = seat;
  const range = rangeIn(instrument, assignment);
  const { tones, isStopped } = divisionOf(assignment.divisi, seat);
  const part: LayerPart = {
    index,
    range,
    family: instrument.family,
    kind: instrument.kind,
    lowest: instrument.rangeComfortable.low,
    playsChords: playsChords(instrument),
    speaks: (pitch) => speaksAt(instrument, pitch, assignment),
    plays: (pitch) => pitch >= instrument.rangeExtreme.low && pitch <= instrument.rangeExtreme.high,
    diesAway: ["struck", "plucked"].includes(instrument.soundProduction),
  };
  if (tones === 1) return [part];
  return Array.from({ length: tones }, (_, group): LayerPart => ({
    ...part,
    group,
    ...(isStopped && group > 0 ? { stopsWith: (above, own) => liesWell(instrument, [own, above]) } : {}),
  }));
}

/** Where a part is placed: lower than usual only where nobody else fills the space, further out in a spread chord. */
function rangeIn(instrument: Instrument, { role, octave, voicing }: Assignment): VoiceRange {
  const range = registerFor(instrument, role, role === "lead" ? 0 : octave ?? 0);
  const { low, high } = instrument.rangeComfortable;
  if (voicing === "spread") {
    return {
      ...range,
      low: Math.max(low, range.low - SPREAD_BY),
      high: Math.min(high, range.high + SPREAD_BY),
    };
  }
  return role === "pad" && octave === null && low < range.low ? { ...range, deep: low } : range;
}

/** Whether a note speaks as loud as a layer is anywhere. */
function speaksAt(instrument: Instrument, pitch: SoundingPitch, assignment: Assignment): boolean {
  const { comfortable, register } = registerOf(instrument, pitch);
  return comfortable && (register === null || isWithin(register, assignment));
}

/** Whether what a layer asks for lies between the softest and the loudest of a register. */
export function isWithin(register: Register, assignment: Assignment): boolean {
  return levelsOf(assignment)
    .every((level) => level >= register.softestDynamic && level <= register.loudestDynamic);
}

/** Refuses an order of winds that their registers do not allow. */
function checkOrder(
  winds: readonly LayerPart[],
  arrangement: Arrangement,
  { placed, seats, plan }: LayerPartsOptions & { readonly placed: PlacedAssignment },
): void {
  let ceiling = Infinity;
  winds.forEach((wind, i) => {
    const top = Math.min(wind.range.high, ceiling - 1);
    if (top < wind.range.low) {
      const [above, below] = [winds[i - 1]!, wind].map(({ index }) => `"${seats[index]!.part.name}"`);
      throw placeError({ plan: { name: plan }, ...placed }, {
        problem: `${below} cannot lie below ${above} in ${arrangement} winds: its register is too high`,
        column: "voicing",
        remedy:
          "Name the kinds in another order, the one that is to lie highest first, or choose other winds",
      });
    }
    ceiling = top;
  });
}
