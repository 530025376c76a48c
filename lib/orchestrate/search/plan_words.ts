/** What is said of a plan that was found. */
import { namesInWords } from "../../measures/layer_words.ts";
import type { ContourWish } from "../../measures/contour/contour_shapes.ts";
import type { Role } from "../../texture/roles.ts";
import type { ReachedWish } from "./search_results.ts";
import type { SearchGround } from "./search_ground.ts";
import { type Scoring, wholeShort } from "./wish_terms.ts";
import type { PlanCandidate, PlanTask } from "./best_plans.ts";
import { costOf, turnCost } from "./craft.ts";

/** What a layer does, in a word or two after its players. */
const DOES: Readonly<Record<Role, string>> = {
  lead: "leading",
  counterline: "in a second line",
  pad: "holding",
  pulse: "in",
  figuration: "in",
  run: "in",
  trill: "in",
  bass: "below in",
  punctuation: "marking beats",
  rest: "resting",
};

const rounded = (value: number) => Number(value.toFixed(2));

/** The layers of a scoring in words: `Oboe 1 leading, Violas in repeated eighths`. */
function scoringInWords({ assignments }: Pick<Scoring, "assignments">): string {
  return assignments.map(({ role, figure, parts }) => {
    const needsFigure = DOES[role].endsWith("in");
    return `${namesInWords(parts)} ${DOES[role]}${needsFigure ? ` ${figure}` : ""}`;
  }).join(", ");
}

/** A sentence for each passage: who does what, and what came of it. */
export function reasonsFor({ wishes }: SearchGround, { scorings }: PlanCandidate): readonly string[] {
  return scorings.map((scoring, p) => {
    const { name, momentum } = wishes.passages[p]!;
    const { measured } = scoring;
    const wanted = momentum === undefined ? "" : ` (wanted ${momentum})`;
    const kept = measured.audibleShare === null
      ? "nobody covers the lead"
      : `the lead keeps ${rounded(measured.audibleShare)} of its loudness`;
    return `${name}: ${scoringInWords(scoring)}; momentum ${rounded(measured.momentum)}${wanted}, ${kept}.`;
  });
}

/** What became of each wish. */
export function reachedBy(
  { passageTerms, wholeTerms, wishes }: SearchGround,
  candidate: PlanCandidate,
): readonly ReachedWish[] {
  const { scorings, measured } = candidate;
  const { freshnessAtLeast, contour, contourAtLeast } = wishes;
  return [
    ...passageTerms.map((term): ReachedWish => {
      const scoring = scorings[term.passage]!;
      const short = term.shortOf(scoring);
      return {
        about: term.about,
        wish: term.words,
        passage: wishes.passages[term.passage]!.name,
        wanted: term.wanted,
        reached: term.reachedBy(scoring),
        met: short === 0,
        short,
      };
    }),
    ...wholeTerms.map((term): ReachedWish => {
      const { reached, short } = wholeShort(term, scorings);
      return {
        about: "the whole",
        wish: term.words,
        passage: "",
        wanted: term.wanted,
        reached: term.wanted === null ? null : reached,
        met: short === 0,
        short,
      };
    }),
    ...(freshnessAtLeast === undefined ? [] : [freshReached(freshnessAtLeast, measured.whole.freshness)]),
    ...(contour === undefined
      ? []
      : [shapeReached(contour, { wanted: contourAtLeast ?? null, reached: measured.whole.contour })]),
  ];
}

function shapeReached(
  contour: ContourWish,
  { wanted, reached }: { readonly wanted: number | null; readonly reached: number | null },
): ReachedWish {
  const short = Math.max(0, (wanted ?? FOLLOWS) - (reached ?? 0));
  const shape = typeof contour === "string" ? contour : contour.join(" ");
  const least = wanted === null ? "" : ` by at least ${wanted}`;
  return {
    about: "the whole",
    wish: `the contour follows ${shape}${least}`,
    passage: "",
    wanted,
    reached,
    met: short === 0,
    short,
  };
}

/** From which rank correlation on a contour follows what was wished. Model assumption. */
const FOLLOWS = 0.5;

function freshReached(wanted: number, reached: number): ReachedWish {
  const short = wanted > 0 ? Math.max(0, wanted - reached) / wanted : 0;
  return {
    about: "the whole",
    wish: `freshness at least ${wanted}`,
    passage: "",
    wanted,
    reached,
    met: short === 0,
    short,
  };
}

/** For each passage whose momentum is missed: what would have come nearer, and what stood against it. */
export function tradedIn(task: PlanTask, candidate: PlanCandidate): readonly string[] {
  const { ground, pools } = task;
  return candidate.scorings.flatMap((scoring, p): readonly string[] => {
    const { name, momentum } = ground.wishes.passages[p]!;
    const term = ground.passageTerms.find((t) => t.passage === p && !t.must);
    if (momentum === undefined || !term || term.shortOf(scoring) === 0) return [];
    const nearer = pools[p]!.filter((s) => term.shortOf(s) < term.shortOf(scoring) - 0.05)
      .sort((a, b) => term.shortOf(a) - term.shortOf(b))[0];
    const reached = `${name}: ${rounded(scoring.measured.momentum)} instead of ${momentum}`;
    if (!nearer) return [`${reached}; none of the ${pools[p]!.length} scorings that were tried came nearer.`];
    return [
      `${reached}; ${rounded(nearer.measured.momentum)} could be had with ${scoringInWords(nearer)}, but ${
        against(task, candidate, p, nearer)
      }.`,
    ];
  });
}

/** What stands against a scoring in a plan. */
function against(task: PlanTask, { scorings }: PlanCandidate, p: number, other: Scoring): string {
  const { ground } = task;
  const missed = ground.passageTerms.find((t) => t.must && t.passage === p && t.shortOf(other) > 0);
  if (missed) return `this would miss the wish "${missed.words}"`;
  const whole = ground.wholeTerms.find((t) => wholeShort(t, scorings.with(p, other)).short > 0);
  if (whole) return `this would miss the wish "${whole.words}"`;
  const turns = (s: Scoring) =>
    (p > 0 ? turnCost(scorings[p - 1]!, s) : 0) + (scorings[p + 1] ? turnCost(s, scorings[p + 1]!) : 0);
  if (turns(other) > turns(scorings[p]!) + 0.02) return "it is too like what stands beside it";
  const share = other.measured.audibleShare;
  if (share !== null && share < (scorings[p]!.measured.audibleShare ?? 1) - 0.1) {
    return `the lead would keep ${rounded(share)}`;
  }
  return costOf(ground, p, other) > costOf(ground, p, scorings[p]!)
    ? "it asks more of the players"
    : "written beside its neighbours it came out no better";
}
