/** Passages whose lead is wished clear: what accompanies it is played softer, step by step, until it is heard. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { percent } from "../../base/words.ts";
import { balance } from "../../measures/balance/balance.ts";
import { dynamicMark, dynamicOf } from "../../score/dynamics.ts";
import type { Notice, Score } from "../../score/model.ts";
import { dynamicsInWords, levelsOf, withEachMark } from "../plan/layer_dynamics.ts";
import { placeError } from "../plan/place_assignments.ts";
import type { Assignment, Passage, Plan } from "../plan/plan.ts";

/** Share of its loudness that a clear lead keeps beside the rest, mean over the passage's bars in which it plays. Model assumption. */
const CLEAR_SHARE = 1 / 3;

/** What is aimed at beyond that, since a passage sounds a little otherwise alone than among its neighbours. Model assumption. */
const MARGIN = 0.01;

/** Nobody is softened below pianissimo; common practice, no source. */
const SOFTEST = dynamicOf("pp")!;

type WriteScore = (plan: Plan) => Score;

/** How far the dynamics of a passage may go from what was asked. */
interface DynamicRoom {
  /** Steps by which the rest may be softer. */
  readonly down: number;
  /** Steps by which the lead is louder. */
  readonly up: number;
}

/**
 * What is tried one after another, each from where to where: the rest two steps softer; the same under a lead one step
 * louder; all the way down. Model assumption.
 */
const STAGES: readonly { readonly from: DynamicRoom; readonly to: DynamicRoom }[] = [
  { from: { down: 0, up: 0 }, to: { down: 2, up: 0 } },
  { from: { down: 0, up: 1 }, to: { down: 2, up: 1 } },
  { from: { down: 2, up: 1 }, to: { down: Infinity, up: 1 } },
];

/** Whether the lead of a passage is to be clear. */
const isWished = ({ assignments }: Passage) => assignments.some((a) => a.balance === "lead clear");

/** Whether a plan has such a passage. */
export function wishesBalance(plan: Plan): boolean {
  return plan.passages.some(isWished);
}

/**
 * The plan with softer dynamics in the passages whose lead is to be clear: of all the layers beside the lead, one after
 * another that whose next step down gives the lead most, two steps at most; then the lead one step louder; then the rest
 * down to pianissimo. A swell or crescendo is moved as a whole.
 *
 * @throws {InputError} where nothing leads in such a passage
 */
export function withClearLead(plan: Plan, write: WriteScore): Plan {
  return { ...plan, passages: plan.passages.map((p) => isWished(p) ? cleared(plan, p, write) : p) };
}

/** What was changed, a notice for each passage, with what the lead has as asked and as played. */
export function clearingNotices(
  asked: Plan,
  played: Plan,
  scores: { readonly asked: Score; readonly played: Score },
): readonly Notice[] {
  const changed = asked.passages.flatMap((passage, i) => {
    const now = played.passages[i]!;
    const changes = passage.assignments.flatMap((a, k) => {
      const [before, after] = [a, now.assignments[k]!].map(dynamicsInWords);
      return before === after ? [] : [
        `the ${isLead(a) ? "lead itself" : a.role} (${a.parts.join(" + ")}) ${after} instead of ${before}`,
      ];
    });
    return isWished(passage) ? [{ passage, changes }] : [];
  });
  if (changed.every(({ changes }) => changes.length === 0)) return [];
  const [before, after] = [scores.asked, scores.played].map((score) =>
    balance(score, { warnings: false }).perBar
  );
  return changed.filter(({ changes }) => changes.length > 0).map(({ passage, changes }): Notice => {
    const [was, is] = [shareOver(before!, passage) ?? 0, shareOver(after!, passage) ?? 0];
    const short = is < CLEAR_SHARE ? `, short of the ${percent(CLEAR_SHARE)} of a clear lead` : "";
    return {
      what: `${passage.name}: to clear the lead, ${changes.join(", ")}; the lead keeps ${
        percent(is)
      } of its loudness, ${percent(was)} as asked${short}`,
      count: 1,
      file: asked.name,
      bar: String(passage.fromBar),
    };
  });
}

type BalanceRows = ReturnType<typeof balance>["perBar"];

/** The lead's audible share over a passage; undefined where nothing leads. */
function shareOver(rows: BalanceRows, { fromBar, toBar }: Passage): number | undefined {
  const from = rows.findIndex((row) => row.bar === String(fromBar));
  const to = rows.findIndex((row) => row.bar === String(toBar));
  return mean(rows.slice(from, to + 1), (row) => row.audibleShare);
}

function cleared(plan: Plan, passage: Passage, write: WriteScore): Passage {
  const beside = plan.passages.filter((p) =>
    p !== passage && p.fromBar <= passage.toBar && p.toBar >= passage.fromBar
  );
  const shareOf = (assignments: readonly Assignment[]): number | undefined => {
    const score = write({ ...plan, passages: [...beside, { ...passage, assignments }] });
    return shareOver(balance(score, { warnings: false }).perBar, passage);
  };
  const asked = passage.assignments;
  const start = shareOf(asked);
  if (start === undefined) {
    throw placeError({ plan, passage, assignment: asked.find((a) => a.balance !== undefined)! }, {
      problem: `the lead of "${passage.name}" is to be clear, and nothing leads there`,
      column: "balance",
      remedy: "Give the passage a lead, or leave the column empty",
    });
  }
  const target = CLEAR_SHARE + MARGIN;
  if (start >= CLEAR_SHARE) return passage;
  const within = (room: DynamicRoom) => asked.map((a) => atMost(a, room));
  const stage = STAGES.find(({ to }) => shareOf(within(to))! >= target);
  const assignments = stage === undefined
    ? within(STAGES.at(-1)!.to)
    : stepByStep(within(stage.from), asked, { down: stage.to.down, target, shareOf });
  return { ...passage, assignments };
}

const isLead = (a: Assignment) => a.role === "lead";

interface SofteningOptions {
  /** Steps by which the rest may be softer than asked. */
  readonly down: number;
  readonly target: number;
  readonly shareOf: (assignments: readonly Assignment[]) => number | undefined;
}

/** One layer softer after another, always that which gives the lead most, until it is clear. */
function stepByStep(
  from: readonly Assignment[],
  asked: readonly Assignment[],
  { down, target, shareOf }: SofteningOptions,
): readonly Assignment[] {
  let now = from;
  let share = shareOf(now)!;
  while (share < target) {
    const next = now.flatMap((a, k) => {
      const softer = isLead(a) ? a : softened(a, asked[k]!, down);
      if (dynamicsInWords(softer) === dynamicsInWords(a)) return [];
      const assignments = now.with(k, softer);
      return [{ assignments, share: shareOf(assignments)! }];
    });
    if (next.length === 0) return now;
    const best = next.reduce((a, b) => b.share > a.share ? b : a);
    [now, share] = [best.assignments, best.share];
  }
  return now;
}

/** A layer as far from what was asked as the room lets it. */
function atMost(a: Assignment, { down, up }: DynamicRoom): Assignment {
  if (isLead(a)) return moved(a, (level) => level + up);
  return moved(a, (level) => Math.max(Math.min(level, SOFTEST), level - down));
}

/** A layer one step softer than it is, but no more than so many than asked. */
function softened(now: Assignment, asked: Assignment, down: number): Assignment {
  const levels = levelsOf(asked);
  const steps = Math.max(...levels.map((level, i) => level - levelsOf(now)[i]!)) + 1;
  return steps > down ? now : atMost(asked, { down: steps, up: 0 });
}

function moved(a: Assignment, change: (level: number) => number): Assignment {
  return {
    ...a,
    ...withEachMark(a, (mark) => {
      const level = dynamicOf(mark)!;
      const next = change(level);
      return next === level ? mark : dynamicMark(next);
    }),
  };
}
