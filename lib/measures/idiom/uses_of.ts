/** How each instrument is used, bar by bar: its role, in which register, at which dynamic. */
import { instrumentById } from "../../instruments/catalogue.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";

/** Thirds of an instrument's comfortable range, from below. */
export const USE_REGISTERS = ["low", "middle", "high"] as const;

/** Soft is below mf, loud from mf on: most of the scores counted know p and f alone. */
export const USE_DYNAMICS = ["soft", "loud"] as const;

/** A way to use an instrument. */
export interface InstrumentUse {
  /** The instrument without its transposition: `clarinet` for one in A or in B flat. */
  readonly instrument: string;
  readonly role: Role;
  readonly register: (typeof USE_REGISTERS)[number];
  readonly dynamic: (typeof USE_DYNAMICS)[number];
}

/** A use of a part in one bar. */
export interface PartUse extends InstrumentUse {
  readonly barIndex: number;
  readonly part: number;
}

/** Dynamic from which on a mean is loud: mf on the dynamic scale. */
const LOUD_FROM = 4.5;

/** The instrument without its transposition. */
export function plainInstrument(id: string): string {
  return id.replace(/ in [A-G].*$/, "");
}

/**
 * The use of every part in every bar in which it begins a note with a pitch: mean pitch and mean dynamic of what begins.
 */
export function usesOf(score: Score, texture: Texture): readonly PartUse[] {
  const parts = score.parts.length;
  const cells = score.bars.length * parts;
  const count = new Float64Array(cells), pitch = new Float64Array(cells), loud = new Float64Array(cells);
  for (const { part, onsetTicks, soundingPitch, unpitched, dynamic } of soundingNotes(score)) {
    if (unpitched) continue;
    const cell = barIndexOf(score, onsetTicks) * parts + part;
    count[cell]!++;
    pitch[cell]! += soundingPitch;
    loud[cell]! += dynamic;
  }
  const ranges = score.parts.map(({ instrument }) => instrumentById(instrument).rangeComfortable);
  const instruments = score.parts.map(({ instrument }) => plainInstrument(instrument));
  return texture.cells.flatMap(({ role }, cell): PartUse[] => {
    const notes = count[cell]!;
    if (notes === 0 || role === "rest") return [];
    const part = cell % parts;
    const { low, high } = ranges[part]!;
    const third = Math.floor(3 * (pitch[cell]! / notes - low) / (high - low));
    const mean = loud[cell]! / notes;
    return [{
      barIndex: Math.floor(cell / parts),
      part,
      instrument: instruments[part]!,
      role,
      register: USE_REGISTERS[Math.min(2, Math.max(0, third))]!,
      dynamic: mean < LOUD_FROM ? "soft" : "loud",
    }];
  });
}
