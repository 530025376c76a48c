/** Wishes one by one: what each asks of a passage or of the whole, and how far a plan misses it. */
import { verb } from "../../measures/freshness/freshness_words.ts";
import { namesInWords } from "../../measures/layer_words.ts";
import type { Share } from "../../base/units.ts";
import { dynamicOf } from "../../score/dynamics.ts";
import type { Assignment } from "../plan/plan.ts";
import { seatsNamed, seatsNamedBy } from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import type { MeasuredPassage, MeasuredPlan } from "./measured_plan.ts";
import type { PassageAsked, PlanWishes } from "./plan_wishes.ts";
import type { ReachedWish } from "./search_results.ts";

/** The scoring of a passage, measured. */
export interface Scoring {
  readonly assignments: readonly Assignment[];
  readonly measured: MeasuredPassage;
  /** Seats that play, with what each does. */
  readonly doing: ReadonlyMap<number, string>;
  /** Seats that lead. */
  readonly leads: readonly number[];
}

/** One wish for one passage. */
export interface PassageTerm {
  readonly about: Exclude<ReachedWish["about"], "the whole">;
  readonly words: string;
  /** Index of the passage. */
  readonly passage: number;
  readonly wanted: number | null;
  /** Whether it has to be met; a wanted momentum has only to be come near. */
  readonly must: boolean;
  readonly reachedBy: (scoring: Scoring) => number | null;
  /** How far it is missed, 0 where it is met. */
  readonly shortOf: (scoring: Scoring) => number;
}

/** One wish for the whole, as a limit on a sum over passages. */
export interface WholeTerm {
  readonly words: string;
  readonly wanted: number | null;
  /** What one scoring in its passage adds to each sum that is limited. */
  readonly sums: readonly ((scoring: Scoring, passage: number) => number)[];
  readonly atLeast?: number;
  readonly atMost?: number;
}

/** Added to both momenta before they are compared, so that near stillness counts as near. Model assumption. */
const STILL = 0.25;
/** A momentum that near to the wanted one counts as reached. Model assumption. */
const NEAR = Math.log(1.1);

/** How far one momentum is from another: the logarithm of their ratio, 0 within a tenth. */
function momentumShort(reached: number, wanted: number): number {
  const away = Math.abs(Math.log((reached + STILL) / (wanted + STILL)));
  return away <= NEAR ? 0 : away;
}

function shortOfLeast(reached: number | null, least: number): number {
  return least <= 0 ? 0 : Math.max(0, (least - (reached ?? 0)) / least);
}

/** The wishes for passages, each by itself. */
export function passageTerms({ passages }: PlanWishes, seats: readonly Seat[]): readonly PassageTerm[] {
  return passages.flatMap((asked, passage): readonly PassageTerm[] => {
    const named = (
      parts: readonly string[] | undefined,
      does: string,
      missed: (own: readonly number[], scoring: Scoring) => boolean,
    ): readonly PassageTerm[] => {
      if (!parts || parts.length === 0) return [];
      const own = seatsNamedBy(parts, seats);
      return [{
        about: "players",
        words: `${asked.name}: ${namesInWords(parts)} ${verb(parts.join(" + "), does)}`,
        passage,
        wanted: null,
        must: true,
        reachedBy: () => null,
        shortOf: (scoring) => missed(own, scoring) ? 1 : 0,
      }];
    };
    return [
      ...momentumTerm(asked, passage),
      ...leadTerm(asked, passage),
      ...fullnessTerm(asked, passage),
      ...dynamicTerm(asked, passage),
      ...named(
        asked.lead,
        "lead",
        (own, s) => own.length !== s.leads.length || own.some((seat) => !s.leads.includes(seat)),
      ),
      ...named(asked.play, "play", (own, s) => own.some((seat) => !s.doing.has(seat))),
      ...named(asked.rest, "rest", (own, s) => own.some((seat) => s.doing.has(seat))),
    ];
  });
}

function momentumTerm({ name, momentum }: PassageAsked, passage: number): readonly PassageTerm[] {
  if (momentum === undefined) return [];
  return [{
    about: "momentum",
    words: `${name}: momentum ${momentum}`,
    passage,
    wanted: momentum,
    must: false,
    reachedBy: ({ measured }) => measured.momentum,
    shortOf: ({ measured }) => momentumShort(measured.momentum, momentum),
  }];
}

function leadTerm({ name, leadAtLeast }: PassageAsked, passage: number): readonly PassageTerm[] {
  if (leadAtLeast === undefined) return [];
  return [{
    about: "lead heard",
    words: `${name}: the lead keeps at least ${leadAtLeast} of its loudness`,
    passage,
    wanted: leadAtLeast,
    must: true,
    reachedBy: ({ measured }) => measured.audibleShare,
    shortOf: ({ measured }) => shortOfLeast(measured.audibleShare, leadAtLeast),
  }];
}

function fullnessTerm({ name, fullnessAtLeast }: PassageAsked, passage: number): readonly PassageTerm[] {
  if (fullnessAtLeast === undefined) return [];
  return [{
    about: "fullness",
    words: `${name}: chords at least ${fullnessAtLeast} full`,
    passage,
    wanted: fullnessAtLeast,
    must: true,
    reachedBy: ({ measured }) => measured.fullness,
    shortOf: ({ measured }) => shortOfLeast(measured.fullness, fullnessAtLeast),
  }];
}

function dynamicTerm({ name, dynamic }: PassageAsked, passage: number): readonly PassageTerm[] {
  if (dynamic === undefined) return [];
  return [{
    about: "dynamic",
    words: `${name}: the lead plays ${dynamic}`,
    passage,
    wanted: null,
    must: true,
    reachedBy: () => null,
    shortOf: ({ assignments }) => {
      const leads = assignments.filter((a) => a.role === "lead");
      return leads.length > 0 && leads.every((a) => dynamicOf(a.dynamic) === dynamicOf(dynamic)) ? 0 : 1;
    },
  }];
}

/** The wishes for the whole that are sums over passages. */
export function wholeTerms(
  { findingsAtMost, brassAtMost, play, rest }: PlanWishes,
  { seats, barShares }: { readonly seats: readonly Seat[]; readonly barShares: readonly Share[] },
): readonly WholeTerm[] {
  const brass = seats.flatMap(({ instrument }, i) => instrument.family === "brass" ? [i] : []);
  const named = (names: readonly string[] = []) =>
    names.map((name) => ({ name, own: seatsNamed(name, seats) }));
  return [
    ...(findingsAtMost === undefined ? [] : [{
      words: `at most ${findingsAtMost} findings of playability`,
      wanted: findingsAtMost,
      sums: [({ measured }: Scoring) => measured.findings],
      atMost: findingsAtMost,
    }]),
    ...(brassAtMost === undefined ? [] : [{
      words: `no brass part plays in more than ${brassAtMost} of the bars`,
      wanted: brassAtMost,
      sums: brass.map((seat) => ({ doing }: Scoring, passage: number) =>
        doing.has(seat) ? barShares[passage]! : 0
      ),
      atMost: brassAtMost,
    }]),
    ...named(play).map(({ name, own }) => ({
      words: `${name} ${verb(name, "play")} somewhere`,
      wanted: null,
      sums: own.map((seat) => ({ doing }: Scoring) => doing.has(seat) ? 1 : 0),
      atLeast: 1,
    })),
    ...named(rest).map(({ name, own }) => ({
      words: `${name} ${verb(name, "play")} nowhere`,
      wanted: null,
      sums: own.map((seat) => ({ doing }: Scoring) => doing.has(seat) ? 1 : 0),
      atMost: 0,
    })),
  ];
}

/** How far a limit on sums is missed by a scoring of every passage; and the sum that is furthest from it. */
export function wholeShort(
  term: WholeTerm,
  scorings: readonly Scoring[],
): { readonly reached: number; readonly short: number } {
  const totals = term.sums.map((of) => scorings.reduce((sum, s, p) => sum + of(s, p), 0));
  if (term.atLeast !== undefined) {
    const reached = Math.min(...totals);
    return { reached, short: shortOfLeast(reached, term.atLeast) };
  }
  const reached = Math.max(0, ...totals);
  const over = reached - term.atMost! - 1e-9;
  return { reached, short: over > 0 ? over / Math.max(term.atMost!, 1) : 0 };
}

/** A scoring of each passage as it came out in a plan written whole. */
export function remeasured(scorings: readonly Scoring[], { passages }: MeasuredPlan): readonly Scoring[] {
  return scorings.map((scoring, p) => ({ ...scoring, measured: passages[p]! }));
}
