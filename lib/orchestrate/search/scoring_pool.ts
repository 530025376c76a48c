/** Scorings of every passage, drawn by chance, written and measured one by one. */
import { randomFrom } from "../../base/random_from.ts";
import { seatsNamedBy } from "../plan/place_assignments.ts";
import type { Assignment, Passage, Plan } from "../plan/plan.ts";
import { isAgainstPractice } from "./against_practice.ts";
import { costOf } from "./craft.ts";
import { drawScoring, redrawScoring, type ScoringTask } from "./draw_scoring.ts";
import type { MeasuredPassage } from "./measured_plan.ts";
import type { Scoring } from "./wish_terms.ts";
import { coloursNamed, FULL_DRIVE, levelOf, type SearchGround } from "./search_ground.ts";

/** How far a draw may lie from the drive that was right so far. */
const SPREAD = 0.3;
/** How much is learned from one scoring that moved too much or too little. */
const LEARNED = 0.04;
/** Draws made for one scoring that is kept, at the most. */
const DRAWS_PER_SCORING = 8;

/** What is asked of players. */
export type PlayerWish = "lead" | "play" | "rest";
export const PLAYER_WISHES: readonly PlayerWish[] = ["lead", "play", "rest"];

/** Measures a passage of a plan; nothing where it cannot be written. */
export type PassageMeasurer = (passage: number, plan: Plan) => MeasuredPassage | undefined;

/** What a pool is drawn for. */
interface PoolTask {
  readonly ground: SearchGround;
  readonly passage: number;
  /** Scorings wanted. */
  readonly count: number;
  readonly seed: number;
  /** Which wishes about players are minded: fewer than all to see what would be possible without the others. */
  readonly minds: readonly PlayerWish[];
  readonly measure: PassageMeasurer;
}

/** Share of the scorings that are drawn anew; the others change one that did well so far. */
const DRAWN_ANEW = 0.4;
/** Of how many of the best so far one is changed. */
const PARENTS = 8;

/** Draws scorings of one passage; each is given as soon as it is measured. */
export function* drawnScorings(task: PoolTask): Generator<Scoring> {
  const { ground, passage, count, seed, measure } = task;
  const { seats } = ground;
  const random = randomFrom(seed * 1009 + passage * 7919 + 100003 * task.minds.length);
  const base = scoringTask(task);
  const wanted = ground.wishes.passages[passage]!.momentum;
  const known = new Set<string>();
  const found: { readonly scoring: Scoring; readonly cost: number }[] = [];
  let drive = wanted === undefined ? 0.5 : Math.min(1, wanted / FULL_DRIVE);
  const seatsOf = (a: Assignment) => seatsNamedBy(a.parts, seats);
  for (let draw = 0; draw < count * DRAWS_PER_SCORING && found.length < count; draw++) {
    const near = { ...base, drive: Math.min(1, Math.max(0, drive + SPREAD * (2 * random() - 1))) };
    const isNew = found.length < Math.max(PARENTS, DRAWN_ANEW * count);
    const parent = isNew ? undefined : found[Math.floor(random() * random() * PARENTS)]!.scoring.assignments;
    const assignments = parent ? redrawScoring(near, parent, { seatsOf, random }) : drawScoring(near, random);
    if (!assignments || known.has(sameLayers(assignments))) continue;
    known.add(sameLayers(assignments));
    if (isAgainstPractice({ ...base, seatsOf }, assignments)) continue;
    const scoring = measuredAlone(ground, { passage, assignments }, measure);
    if (!scoring) continue;
    if (wanted !== undefined && isNew) {
      drive = Math.min(1, Math.max(0, drive + (scoring.measured.momentum < wanted ? LEARNED : -LEARNED)));
    }
    const cost = costOf(ground, passage, scoring);
    found.splice(found.findLastIndex((f) => f.cost <= cost) + 1, 0, { scoring, cost });
    yield scoring;
  }
}

/** Layers as text, the same for the same layers in any order. */
export function sameLayers(assignments: readonly Assignment[]): string {
  return assignments.map((a) => JSON.stringify(a)).sort().join("\n");
}

/** Measures a passage on its own, as somebody scores it; nothing where that cannot be written. */
export function measuredAlone(
  ground: SearchGround,
  scored: { readonly passage: number; readonly assignments: readonly Assignment[] },
  measure: PassageMeasurer,
): Scoring | undefined {
  const measured = measure(scored.passage, planOf(alone(ground), [scored], "a passage alone"));
  return measured && scoringOf(ground, scored.assignments, measured);
}

/** The ground without what a fixed plan has in other passages. */
function alone(ground: SearchGround): SearchGround {
  return ground.fixed ? { ...ground, fixed: { ...ground.fixed, passages: [] } } : ground;
}

/** What is known of a passage before a scoring of it is drawn; how much it is to move is left out. */
export function scoringTask(
  { ground, passage, minds }: Pick<PoolTask, "ground" | "passage" | "minds">,
): Omit<ScoringTask, "drive"> {
  const { sketch, spans, colours, wishes, seats } = ground;
  const asked = wishes.passages[passage]!;
  const bars = spans[passage]!;
  const pitches = sketch.tune.filter((n) => n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks)
    .map((n) => n.soundingPitch);
  const kept = keptIn(ground, passage);
  const rest = minds.includes("rest") ? [...asked.rest ?? [], ...wishes.rest ?? []] : [];
  return {
    score: sketch.score,
    bars,
    tune: { low: Math.min(...pitches), high: Math.max(...pitches) },
    colours,
    level: levelOf(passage, wishes),
    kept,
    keptSeats: kept.flatMap((a) => seatsNamedBy(a.parts, seats)),
    lead: minds.includes("lead") ? coloursNamed(asked.lead, ground) : [],
    play: minds.includes("play") ? coloursNamed(asked.play, ground) : [],
    rest: new Set(seatsNamedBy(rest, seats)),
    restsNext: new Set(seatsNamedBy(wishes.passages[passage + 1]?.rest ?? [], seats)),
  };
}

/** A scoring with who plays in it. */
export function scoringOf(
  { seats }: SearchGround,
  assignments: readonly Assignment[],
  measured: Scoring["measured"],
): Scoring {
  const doing = new Map<number, string>();
  const leads: number[] = [];
  for (const { role, figure, parts } of assignments) {
    for (const seat of seatsNamedBy(parts, seats)) {
      doing.set(seat, `${role}|${figure}`);
      if (role === "lead") leads.push(seat);
    }
  }
  return { assignments, measured, doing, leads };
}

/** Layers of the fixed plan in the bars of a passage. */
function keptIn({ wishes, fixed }: SearchGround, passage: number): readonly Assignment[] {
  const { fromBar, toBar } = wishes.passages[passage]!;
  return (fixed?.passages ?? []).filter((p) => p.fromBar === fromBar && p.toBar === toBar)
    .flatMap((p) => p.assignments);
}

/** A plan of some scorings, each in its passage; what the fixed plan has elsewhere stands around them. */
export function planOf(
  { wishes, fixed }: SearchGround,
  scorings: readonly { readonly passage: number; readonly assignments: readonly Assignment[] }[],
  name: string,
): Plan {
  const passages = scorings.map(({ passage, assignments }) => {
    const { name, fromBar, toBar } = wishes.passages[passage]!;
    return { name, fromBar, toBar, assignments };
  });
  const isElsewhere = (p: Passage) =>
    wishes.passages.every((w) => p.toBar < w.fromBar || p.fromBar > w.toBar);
  const around = (fixed?.passages ?? []).filter(isElsewhere);
  return { ...fixed, name, passages: [...passages, ...around].sort((a, b) => a.fromBar - b.fromBar) };
}
