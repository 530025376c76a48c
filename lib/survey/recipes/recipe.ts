/** What a score is made of: who does what with which figure, who doubles whom, how long a lead lasts, what turns bring. */
import {
  A_NUMBER,
  A_SCORE,
  A_STUDY,
  A_TEXT,
  A_TEXTURE,
  checkArgument,
  checkOptions,
} from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import type { InstrumentFamily } from "../../instruments/catalogue.ts";
import { instrumentById } from "../../instruments/names/instrument_by_id.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import { freshness } from "../../measures/freshness/freshness.ts";
import { runsOf } from "../../measures/runs.ts";
import type { Score } from "../../score/model.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { relationsOf } from "../../texture/recognise/relations.ts";
import type {
  FamilyByFigure,
  Recipe,
  RecipeDoubling,
  RecipeLeads,
  RecipeTurn,
  RoleByFamily,
  TurnKind,
} from "./recipe_results.ts";

/** Options of {@linkcode recipeOf}. */
export interface RecipeOptions {
  /** Name; by default the score's title, or else its source. */
  readonly name?: string;
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** The score's study, for momentum and balance; without it these are left out. */
  readonly study?: Study;
  /** First bar that counts, index from 0; the first of the score unless given. */
  readonly fromBarIndex?: number;
  /** Last bar that counts, inclusive; the last of the score unless given. */
  readonly toBarIndex?: number;
}

const ACTION = "read the recipe";
const OPTIONS = {
  name: A_TEXT,
  texture: A_TEXTURE,
  study: A_STUDY,
  fromBarIndex: A_NUMBER,
  toBarIndex: A_NUMBER,
};

/** Stretches that momentum and balance are told over. */
const STRETCHES = 10;

/** Bars of a score with what is read in them. */
interface BarsRead {
  readonly score: Score;
  readonly texture: Texture;
  readonly families: readonly InstrumentFamily[];
  readonly from: number;
  readonly to: number;
}

/**
 * What a score, or some bars of it, is made of: role by instrument family, figure by family, doublings, lengths of leads,
 * what changes at turns, and momentum and balance from beginning to end. All are shares or counts by the bar, so that a short
 * score can be held against a long one.
 *
 * @param score the score
 * @param options name, texture, study, bars
 * @returns the recipe
 * @throws {InputError} when an option is unknown, the texture is another score's, or there are no such bars
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { recipeOf } from "ripieno/survey";
 * import { assertAlmostEquals, assertEquals } from "@std/assert";
 * const { roles, leads } = recipeOf(realise(demoSketch(), demoPlans().rotating));
 * assertAlmostEquals(roles.reduce((sum, r) => sum + r.share, 0), 1);
 * assertEquals(leads.medianBars, 8); // its lead is handed on with every passage
 * ```
 */
export function recipeOf(score: Score, options: RecipeOptions = {}): Recipe {
  checkOptions(ACTION, options, OPTIONS);
  checkArgument(ACTION, score, A_SCORE);
  const texture = givenTexture(ACTION, score, options.texture);
  const { fromBarIndex: from = 0, toBarIndex: to = score.bars.length - 1, study } = options;
  refuseNoBars(score, from, to);
  const families = score.parts.map((p) => instrumentById(p.instrument).family);
  const read: BarsRead = { score, texture, families, from, to };
  const changes = (study?.freshness ?? freshness(score, { texture })).changes
    .map((c) => c.barIndex).filter((b) => b > from && b <= to);
  const bars = to - from + 1;
  const stretches = <Row extends { readonly barIndex: number }>(rows: readonly Row[]) =>
    stretchesOf(rows, from, bars);
  return {
    name: options.name ?? (score.title || score.source),
    bars,
    scores: 1,
    ...sharesOf(read),
    doublings: doublingsOf(read),
    leads: leadsOf(read),
    turnsPer100Bars: 100 * changes.length / bars,
    turns: turnsOf(read, changes),
    momentum: study
      ? stretches(study.momentum.perBar).map((rows) => meanOf(rows.map((r) => r.momentum)) ?? 0)
      : [],
    audibleShare: study
      ? stretches(study.balance.perBar).map((rows) => meanOf(rows.flatMap((r) => r.audibleShare ?? [])))
      : [],
  };
}

function refuseNoBars({ bars }: Score, from: number, to: number): void {
  const isBar = (b: number) => Number.isInteger(b) && b >= 0 && b < bars.length;
  if (isBar(from) && isBar(to) && from <= to) return;
  throw refusals(ACTION)(
    bars.length === 0 ? "the score has no bars" : `there are no bars from index ${from} to ${to}`,
    bars.length === 0
      ? "Give a score with music in it"
      : `Give indexes from 0 to ${bars.length - 1}, the first no greater than the last`,
  );
}

/** Cells of a bar, by part. */
function cellsOf({ score, texture }: BarsRead, bar: number): readonly RoleCell[] {
  return texture.cells.slice(bar * score.parts.length, (bar + 1) * score.parts.length);
}

function* barsOf({ from, to }: BarsRead): Generator<number> {
  for (let b = from; b <= to; b++) yield b;
}

/** Role by family and figure by family, of every part's bars that sound. */
function sharesOf(read: BarsRead): Pick<Recipe, "roles" | "figures"> {
  const roles = new Map<string, Omit<RoleByFamily, "share"> & { count: number }>();
  const figures = new Map<string, Omit<FamilyByFigure, "share"> & { count: number }>();
  let all = 0;
  for (const b of barsOf(read)) {
    for (const { part, role, figure } of cellsOf(read, b)) {
      if (role === "rest") continue;
      const family = read.families[part]!;
      all++;
      counted(roles, `${family}|${role}`, { family, role });
      counted(figures, `${family}|${figure}`, { family, figure });
    }
  }
  return { roles: sharedOut(roles, all), figures: sharedOut(figures, all) };
}

function counted<Row>(rows: Map<string, Row & { count: number }>, key: string, row: Row): void {
  const one = rows.get(key);
  if (one) one.count++;
  else rows.set(key, { ...row, count: 1 });
}

/** Rows with their share of all, the largest first; those that are alike by name. */
function sharedOut<Row extends { count: number }>(
  rows: ReadonlyMap<string, Row>,
  all: number,
): readonly (Omit<Row, "count"> & { readonly share: number })[] {
  return [...rows].sort(([a, one], [b, other]) => other.count - one.count || (a < b ? -1 : 1))
    .map(([, { count, ...row }]) => ({ ...row, share: count / all }));
}

/** Instruments in unison or octaves, with the share of the bars in which they are; players of one instrument are no doubling. */
function doublingsOf(read: BarsRead): readonly RecipeDoubling[] {
  const { score, from, to } = read;
  const instruments = score.parts.map((p) => instrumentById(p.instrument).id);
  const seen = new Set<string>();
  const rows = new Map<string, Omit<RecipeDoubling, "share"> & { count: number }>();
  for (const { barIndex, parts: [a, b], relation } of relationsOf(score)) {
    if (relation !== "unison" || barIndex < from || barIndex > to) continue;
    const [one, other] = [instruments[a]!, instruments[b]!];
    if (one === other) continue;
    const key = `${one}|${other}`;
    if (seen.has(`${barIndex}|${key}`)) continue; // two flutes with two oboes are one doubling
    seen.add(`${barIndex}|${key}`);
    counted(rows, key, { instrument: one, with: other });
  }
  return sharedOut(rows, to - from + 1);
}

/** The chief line of each bar, and how long each stays. */
function leadsOf(read: BarsRead): RecipeLeads {
  const chiefs = [...barsOf(read)].map((b) => chiefOf(read, b));
  const runs = runsOf(chiefs, (before, chief) => before === chief).filter(([chief]) => chief !== NOBODY);
  const lengths = runs.map((run) => run.length).sort((x, y) => x - y);
  const changes = chiefs.filter((chief, i) => i > 0 && chief !== chiefs[i - 1]).length;
  const middle = lengths.length / 2;
  return {
    changesPer100Bars: 100 * changes / chiefs.length,
    medianBars: lengths.length === 0
      ? null
      : (lengths[Math.floor(middle)]! + lengths[Math.ceil(middle) - 1]!) / 2,
    longestBars: lengths.at(-1) ?? 0,
  };
}

const NOBODY = "";

/** Who leads a bar, as one word: in a plan all that lead together, else the surest. */
function chiefOf(read: BarsRead, bar: number): string {
  const leads = cellsOf(read, bar).filter((c) => c.role === "lead");
  if (leads.length === 0) return NOBODY;
  if (read.texture.origin === "written") return leads.map((c) => c.part).join(" ");
  return String(leads.reduce((a, b) => b.confidence > a.confidence ? b : a).part);
}

const TURN_KINDS: readonly TurnKind[] = [
  "another lead",
  "another figure",
  "families come in",
  "families leave",
];

/** What happens at turns, each held against the bar before. */
function turnsOf(read: BarsRead, changes: readonly number[]): readonly RecipeTurn[] {
  const counts = new Map<TurnKind, number>(TURN_KINDS.map((kind) => [kind, 0]));
  for (const bar of changes) {
    for (const kind of turnAt(read, bar)) counts.set(kind, counts.get(kind)! + 1);
  }
  return TURN_KINDS.map((what) => ({
    what,
    share: changes.length === 0 ? 0 : counts.get(what)! / changes.length,
  }));
}

function turnAt(read: BarsRead, bar: number): readonly TurnKind[] {
  const [before, now] = [bar - 1, bar].map((b) => cellsOf(read, b).filter((c) => c.role !== "rest"));
  const familiesIn = (cells: readonly RoleCell[]) => new Set(cells.map((c) => read.families[c.part]!));
  const [were, are] = [familiesIn(before!), familiesIn(now!)];
  const figures = new Map(before!.map((c) => [c.part, c.figure]));
  const happened: Readonly<Record<TurnKind, boolean>> = {
    "another lead": chiefOf(read, bar - 1) !== chiefOf(read, bar),
    "another figure": now!.some((c) => figures.has(c.part) && figures.get(c.part) !== c.figure),
    "families come in": [...are].some((family) => !were.has(family)),
    "families leave": [...were].some((family) => !are.has(family)),
  };
  return TURN_KINDS.filter((kind) => happened[kind]);
}

/** Rows by equal stretches of the bars; a bar of a short score may stand for several. */
function stretchesOf<Row extends { readonly barIndex: number }>(
  rows: readonly Row[],
  from: number,
  bars: number,
): readonly (readonly Row[])[] {
  const byBar = new Map(rows.map((row) => [row.barIndex, row]));
  return Array.from({ length: STRETCHES }, (_, s) => {
    const first = from + Math.floor(s * bars / STRETCHES);
    const last = from + Math.max(Math.ceil((s + 1) * bars / STRETCHES) - 1, Math.floor(s * bars / STRETCHES));
    return Array.from({ length: last - first + 1 }, (_, i) => byBar.get(first + i)).filter((row) =>
      row !== undefined
    );
  });
}

function meanOf(values: readonly number[]): number | null {
  return values.length === 0 ? null : values.reduce((sum, v) => sum + v, 0) / values.length;
}
