/** What a search stands on: the sketch, its passages, who sits in the orchestra, the wishes one by one. */
import { checkArgument } from "../../base/arguments.ts";
import { type InputError, refusals } from "../../base/errors.ts";
import { refuseUnknown } from "../../base/settings.ts";
import type { Share } from "../../base/units.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import { A_CONTOUR_WISH, curveOver, pointsOf } from "../../measures/contour/contour_shapes.ts";
import { dynamicOf } from "../../score/dynamics.ts";
import type { Plan } from "../plan/plan.ts";
import { partsNear, seatsNamed, seatsOf } from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import type { Sketch } from "../plan/sketch.ts";
import { barsAsked, type BarsFound } from "../rewrite/bars_asked.ts";
import { coloursOf, type PlayerGroup } from "./colours.ts";
import type { PassageAsked, PlanWishes } from "./plan_wishes.ts";
import { type PassageTerm, passageTerms, type WholeTerm, wholeTerms } from "./wish_terms.ts";

/** Everything that is known before anything is drawn. */
export interface SearchGround {
  readonly sketch: Sketch;
  readonly orchestra: readonly OrchestraPart[];
  readonly wishes: PlanWishes;
  readonly seats: readonly Seat[];
  readonly colours: readonly PlayerGroup[];
  /** The passages' bars. */
  readonly spans: readonly BarsFound[];
  /** Share of all asked bars that each passage has. */
  readonly barShares: readonly Share[];
  readonly passageTerms: readonly PassageTerm[];
  readonly wholeTerms: readonly WholeTerm[];
  /** A plan whose layers of these passages stand already. */
  readonly fixed: Plan | undefined;
}

const ACTION = "look for plans";
/** What may be asked of the whole, and of a passage. */
const WISHES = [
  "passages",
  "freshnessAtLeast",
  "contour",
  "contourAtLeast",
  "findingsAtMost",
  "brassAtMost",
  "play",
  "rest",
  "favour",
];
const ASKED = [
  "name",
  "fromBar",
  "toBar",
  "momentum",
  "leadAtLeast",
  "fullnessAtLeast",
  "dynamic",
  "lead",
  "play",
  "rest",
];

/** Looks at what is asked and finds its places; refuses what there is not. */
export function groundOf(
  sketch: Sketch,
  wishes: PlanWishes,
  { orchestra, fixed }: { readonly orchestra: readonly OrchestraPart[]; readonly fixed: Plan | undefined },
): SearchGround {
  const seats = seatsOf({ name: ACTION, passages: [] }, orchestra);
  const fail = refusals(ACTION, { file: sketch.score.source });
  if (!Array.isArray(wishes?.passages) || wishes.passages.length === 0) {
    throw fail("no passage is asked for", "Give at least one, as { name, fromBar, toBar }");
  }
  refuseUnknown(ACTION, wishes, WISHES);
  wishes.passages.forEach((asked) => refuseUnknown(ACTION, asked, ASKED));
  const spans = wishes.passages.map((asked) => barsAsked(sketch.score, asked, { action: ACTION }));
  spans.forEach((span, p) => {
    const before = spans[p - 1];
    if (before && span.fromBarIndex <= before.toBarIndex) {
      const name = wishes.passages[p]!.name;
      throw fail(
        `the passage "${name}" begins before "${wishes.passages[p - 1]!.name}" has ended`,
        "Give passages in order, none over another",
      );
    }
  });
  refuseStrangers(wishes, seats, fail);
  const bars = spans.map((s) => s.toBarIndex - s.fromBarIndex + 1);
  const all = bars.reduce((a, b) => a + b, 0);
  const barShares = bars.map((b) => b / all);
  const colours = coloursOf(seats);
  return {
    sketch,
    orchestra,
    wishes,
    seats,
    colours,
    spans,
    barShares,
    passageTerms: passageTerms(wishes, seats),
    wholeTerms: wholeTerms(wishes, { seats, barShares }),
    fixed,
  };
}

type Refusal = (problem: string, remedy: string) => InputError;

/** Refuses parts that are not there, and figures that are no measure of what they stand for. */
function refuseStrangers(wishes: PlanWishes, seats: readonly Seat[], fail: Refusal): void {
  const check = (names: readonly string[] | undefined, where: string) => {
    const strange = names?.find((name) => seatsNamed(name, seats).length === 0);
    if (strange !== undefined) {
      throw fail(
        `"${strange}" ${where} is not in the orchestra`,
        partsNear(strange, seats.map((s) => s.part)),
      );
    }
  };
  for (const asked of wishes.passages) {
    const where = `of the passage "${asked.name}"`;
    [asked.lead, asked.play, asked.rest].forEach((names) => check(names, where));
    refuseFigures(asked, fail);
  }
  [wishes.play, wishes.rest, wishes.favour].forEach((names) => check(names, "of the whole"));
  for (
    const [what, share] of [["freshness", wishes.freshnessAtLeast], ["brass", wishes.brassAtMost]] as const
  ) {
    if (share !== undefined && !(share >= 0 && share <= 1)) {
      throw fail(`${share} is not a share of ${what}`, "Give one from 0 to 1");
    }
  }
  const { findingsAtMost, contour, contourAtLeast } = wishes;
  if (contour !== undefined) checkArgument(ACTION, contour, A_CONTOUR_WISH, "the contour");
  if (contourAtLeast !== undefined && (contour === undefined || !(Math.abs(contourAtLeast) <= 1))) {
    throw fail(
      `a contour is to be followed by ${contourAtLeast}`,
      "Give a contour, and a rank correlation from -1 to 1",
    );
  }
  if (findingsAtMost !== undefined && !(findingsAtMost >= 0)) {
    throw fail(`${findingsAtMost} is not a count of findings`, "Give 0 or more");
  }
}

function refuseFigures(
  { name, momentum, leadAtLeast, fullnessAtLeast, dynamic }: PassageAsked,
  fail: Refusal,
): void {
  if (momentum !== undefined && !(momentum >= 0 && momentum < 100)) {
    throw fail(
      `the passage "${name}" is to have a momentum of ${momentum}`,
      "Give driving attacks per second, 0 and more; a driving tutti has 3 to 6",
    );
  }
  if (leadAtLeast !== undefined && !(leadAtLeast >= 0 && leadAtLeast <= 1)) {
    throw fail(`the lead of "${name}" is to keep ${leadAtLeast} of its loudness`, "Give a share from 0 to 1");
  }
  if (fullnessAtLeast !== undefined && !(fullnessAtLeast >= 0 && fullnessAtLeast <= 1)) {
    throw fail(
      `the passage "${name}" is to have a fullness of ${fullnessAtLeast}`,
      "Give a share from 0 to 1",
    );
  }
  if (dynamic !== undefined && dynamicOf(dynamic) === undefined) {
    throw fail(`the passage "${name}" is to be "${dynamic}"`, "Give a dynamic such as p, mf or ff");
  }
}

/** Groups of the orchestra that some names stand for. */
export function coloursNamed(
  names: readonly string[] | undefined,
  { seats, colours }: Pick<SearchGround, "seats" | "colours">,
): readonly PlayerGroup[] {
  return (names ?? []).map((name): PlayerGroup => {
    const own = seatsNamed(name, seats);
    const known = colours.find((c) => c.seats.length === own.length && c.seats.every((s, i) => s === own[i]));
    return known ?? {
      parts: [name],
      seats: own,
      instrument: seats[own[0]!]!.instrument,
      isSection: false,
    };
  });
}

/** Height of each passage, where a contour is wished for. */
function heightsOf({ contour, passages }: PlanWishes): readonly number[] | undefined {
  return contour && curveOver(pointsOf(contour), passages.length);
}

/** The wished height of each bar, bars outside of all passages as high as those before them; undefined where none is wished for. */
export function shapeOf({ wishes, spans, sketch }: SearchGround): readonly number[] | undefined {
  const heights = heightsOf(wishes);
  return heights &&
    sketch.score.bars.map((_, b) => heights[Math.max(0, spans.findLastIndex((s) => s.fromBarIndex <= b))]!);
}

/** The scale on which a passage without a dynamic is as loud as it is to move or to stand high: from p to f; mf where that is open. */
const [SOFTEST, LOUDEST, BETWEEN] = [3, 6, 5];
/** Momentum at which a passage is asked for all the drive there is, driving attacks per second. Model assumption. */
export const FULL_DRIVE = 4.5;

/** How loud the lead of a passage is: as it is asked, as high as it stands in the contour, or as much as it is to move. */
export function levelOf(passage: number, wishes: PlanWishes): number {
  const { dynamic, momentum } = wishes.passages[passage]!;
  if (dynamic !== undefined) return dynamicOf(dynamic)!;
  const heights = heightsOf(wishes);
  const [least, most] = [Math.min(...heights ?? []), Math.max(...heights ?? [])];
  const share = heights && most > least
    ? (heights[passage]! - least) / (most - least)
    : momentum === undefined
    ? undefined
    : Math.min(1, momentum / FULL_DRIVE);
  return share === undefined ? BETWEEN : Math.round(SOFTEST + (LOUDEST - SOFTEST) * share);
}
