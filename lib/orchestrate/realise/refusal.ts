/** What refuses a setting that nobody can play, with what would do instead. */
import { InputError, type Place } from "../../base/errors.ts";
import { either } from "../../base/words.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Score } from "../../score/model.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import { OCTAVES } from "./layers/lead_octave.ts";
import type { PlainNote } from "./layers/task.ts";

/** What a refusal looks at beside the score. */
interface RefusalOptions {
  readonly seats: readonly Seat[];
  readonly placed: readonly PlacedAssignment[];
  /** Writes a layer, for trying another. */
  readonly write: (placed: PlacedAssignment) => readonly PlainNote[];
}

/** Most parts that are named. */
const MOST_NAMED = 4;

/** The error for the first thing that nobody can play; undefined where there is none. */
export function refusalOf(
  score: Score,
  findings: readonly PlayabilityFinding[],
  options: RefusalOptions,
): InputError | undefined {
  const worst = findings.find((f) => f.severity === "impossible");
  if (!worst) return undefined;
  const row = options.placed.find((p) =>
    p.fromBarIndex <= worst.fromBarIndex && p.toBarIndex >= worst.fromBarIndex &&
    score.layers!.some((l) => l.id === p.layer && l.parts.includes(worst.part))
  );
  const way = row && worst.rule === "range" ? wayOut(row, worst.partName, options) : undefined;
  return new InputError({
    action: `write the ${row?.assignment.role ?? "part"}`,
    problem: `${worst.what} (rule: ${worst.rule})`,
    where: {
      ...row?.assignment.where,
      ...(row && way?.isOctave ? octaveIn(row.assignment.where) : {}),
      part: worst.partName,
      bar: worst.bar,
      beat: Math.round(worst.beat * 100) / 100,
    },
    remedy: way?.words ?? worst.remedy,
  });
}

/** The column or field of the octave, where the layer was read from a table or JSON. */
function octaveIn(where: Place | undefined): Place {
  return where?.row !== undefined
    ? { column: "octave" }
    : where?.layer !== undefined
    ? { field: "octave" }
    : {};
}

/** Something else to write for a layer in which a part is out of its range. */
interface WayOut {
  readonly words: string;
  /** Whether it is another octave. */
  readonly isOctave: boolean;
}

function wayOut(placed: PlacedAssignment, part: string, options: RefusalOptions): WayOut {
  const { assignment, seats } = placed;
  const canPlay = (changed: Partial<PlacedAssignment>) => isInRange({ ...placed, ...changed }, options);
  const inOctave = (octave: number | null) => ({ assignment: { ...assignment, octave } });
  if (assignment.octave !== null) {
    const octaves = OCTAVES.filter((octave) => canPlay(inOctave(octave))).sort((a, b) => a - b);
    if (octaves.length > 0) {
      return {
        words: `Octave ${either(octaves)} would do, or none, to let it be chosen`,
        isOctave: true,
      };
    }
    if (canPlay(inOctave(null))) {
      return {
        words: "No one octave suits all its parts; leave it empty, so that each has its own",
        isOctave: true,
      };
    }
  }
  const others = [...options.seats.keys()].filter((seat) =>
    !seats.includes(seat) && !options.seats[seat]!.instrument.unpitched &&
    canPlay({ ...inOctave(null), seats: [seat] })
  );
  const free = others.filter((seat) =>
    !options.placed.some((p) => p.seats.includes(seat) && overlaps(p, placed))
  );
  const named = (free.length > 0 ? free : others).slice(0, MOST_NAMED)
    .map((seat) => options.seats[seat]!.part.name);
  if (named.length === 0) {
    const words = `No octave suits ${part}, and nobody here has all of its notes: split it between parts`;
    return { words, isOctave: false };
  }
  const taken = free.length > 0 ? "" : ", though busy in these bars,";
  return { words: `No octave suits ${part}; ${either(named)}${taken} could play it`, isOctave: false };
}

/** Whether every note of a layer is on the instrument of its part. */
function isInRange(placed: PlacedAssignment, { seats, write }: RefusalOptions): boolean {
  return write(placed).every(({ part, soundingPitch }) => {
    const { low, high } = seats[part]!.instrument.rangeExtreme;
    return soundingPitch >= low && soundingPitch <= high;
  });
}

function overlaps(a: PlacedAssignment, b: PlacedAssignment): boolean {
  return a.fromBarIndex <= b.toBarIndex && a.toBarIndex >= b.fromBarIndex;
}
