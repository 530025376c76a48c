/** Measuring the settings of a sweep one after the other, with a memory of what they share. */
import { InputError } from "../../base/errors.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import { balance } from "../../measures/balance/balance.ts";
import type { HearingDetail } from "../../measures/balance/ear_grid.ts";
import { freshness } from "../../measures/freshness/freshness.ts";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import { momentumMeasurer } from "../../measures/momentum/momentum.ts";
import { judgeParts, PLAYABILITY_CONSTANTS } from "../../measures/playability/playability.ts";
import type { FindingPlace } from "../../measures/playability/judge.ts";
import type { Freshness } from "../../measures/freshness/freshness_results.ts";
import type { Playability, Severity } from "../../measures/playability/playability_results.ts";
import type { Note, Part, Score } from "../../score/model.ts";
import { applySettings } from "../../base/settings.ts";
import type { Texture } from "../../texture/model.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";
import { checkedGrid, type SweepGrid } from "./sweep_grid.ts";
import { memoryOf } from "../realise/memory.ts";
import type { Plan } from "../plan/plan.ts";
import { type Realised, realiserOf } from "../realise/realiser.ts";
import type { Sketch } from "../plan/sketch.ts";
import type { SweepMeasure, SweepRow } from "./sweep_rows.ts";
import type { LayersOf } from "../plan/vary.ts";

/** Everything a sweep's rows depend on, as plain data that can be handed to another thread. */
export interface SweepJob {
  /** The plan the choices are put into. */
  readonly plan: Plan;
  /** The choices. */
  readonly grid: SweepGrid;
  /** The sketch where the grid has none; null where it has. */
  readonly sketch: Sketch | null;
  /** Who can play. */
  readonly orchestra: readonly OrchestraPart[];
  /** Which layers the choices apply to; null where the grid says it. */
  readonly layers: LayersOf | null;
  /** What is measured. */
  readonly measures: readonly SweepMeasure[];
  /** Whether what nobody can play is refused rather than measured. */
  readonly refuseImpossible: boolean;
  /** How closely hearing is worked out, as for `balance`. */
  readonly detail: HearingDetail;
}

/**
 * Prepares the measuring of a sweep's settings, counted from 0. Settings that follow each other share most of their
 * parts, so the parts, their findings and their texture are kept for a while; the rows are the same without.
 */
export function settingMeasurer(job: SweepJob): (setting: number) => SweepRow {
  const { valuesOf, planOf } = checkedGrid(job.plan, job.grid, {
    orchestra: job.orchestra,
    layers: job.layers ?? undefined,
  });
  const asked = new Set(job.measures);
  const realisers = new Map<string, (plan: Plan) => Realised>();
  const realiserFor = (name: string | undefined) => {
    const key = name ?? "";
    let realiser = realisers.get(key);
    if (realiser === undefined) {
      const sketch = name === undefined ? job.sketch! : job.grid.sketch![name]!;
      realiser = realiserOf(sketch, { orchestra: job.orchestra, refuseImpossible: false });
      realisers.set(key, realiser);
    }
    return realiser;
  };
  const judged = partMemory();
  const momentum = momentumMeasurer();
  const textures = new WeakMap<readonly Note[], { readonly layers: string; readonly texture: Texture }>();
  const fresh = new WeakMap<Texture, Freshness["whole"]>();

  const textureFor = (score: Score): Texture => {
    const layers = JSON.stringify(score.layers);
    let known = textures.get(score.notes);
    if (known?.layers !== layers) {
      known = { layers, texture: textureOf(score) };
      textures.set(score.notes, known);
    }
    return known.texture;
  };
  /** Freshness counts bars, not seconds: at another tempo it is the same. */
  const freshnessFor = (score: Score, texture: Texture): Freshness["whole"] => {
    let whole = fresh.get(texture);
    if (whole === undefined) fresh.set(texture, whole = freshness(score, { texture }).whole);
    return whole;
  };

  const measure = (score: Score): Partial<SweepRow> => {
    const texture = textureFor(score);
    const heard = asked.has("momentum") || asked.has("balance")
      ? balance(score, { texture, detail: job.detail, warnings: false })
      : undefined;
    const row: { -readonly [K in keyof SweepRow]?: SweepRow[K] } = {};
    if (heard && asked.has("momentum")) {
      const { whole, perRole } = momentum(score, texture, heard);
      const lead = perRole.find((r) => r.role === "lead")?.contribution ?? 0;
      row.momentum = whole.momentum;
      row.attackRate = whole.attackRate;
      row.secondaryShare = whole.momentum > 0 ? Math.max(0, 1 - lead / whole.momentum) : 0;
    }
    if (heard && asked.has("balance")) {
      row.audibleShare = heard.whole.audibleShare;
      row.powerDb = heard.whole.powerDb;
      row.handbookDb = heard.whole.handbookDb;
    }
    if (asked.has("freshness")) {
      const { freshness, barsBetweenChanges } = freshnessFor(score, texture);
      row.freshness = freshness;
      row.barsBetweenChanges = barsBetweenChanges;
    }
    return row;
  };
  const outcomeOf = (sketchName: string | undefined, plan: Plan): Outcome => {
    let realised: Realised;
    try {
      realised = realiserFor(sketchName)(plan);
    } catch (error) {
      if (error instanceof InputError) return { row: {}, refusal: error };
      throw error;
    }
    const { score, refusalFor } = realised;
    const found = asked.has("playability") || job.refuseImpossible ? judged(score) : undefined;
    const counts = found && asked.has("playability") ? countsOf(found) : {};
    const refusal = job.refuseImpossible ? refusalFor(found!.findings) : undefined;
    return refusal ? { row: counts, refusal } : { row: { ...counts, ...measure(score) }, refusal: undefined };
  };
  /** Settings of one plan, such as winds with another section size, are written and measured once. */
  const plans = memoryOf<Outcome>(PLANS_KEPT);

  return (setting) => {
    const values = valuesOf(setting);
    const sketchName = values.sketch === undefined ? undefined : String(values.sketch);
    const plan = planOf(setting);
    const unnamed = JSON.stringify([sketchName, { ...plan, name: "" }]);
    let own: Outcome | undefined;
    const known = plans.recall(unnamed, () => own = outcomeOf(sketchName, plan));
    // A refusal names its plan, and with it the setting's own choices.
    const { row, refusal } = known.refusal ? own ?? outcomeOf(sketchName, plan) : known;
    return {
      setting: setting + 1,
      ...values,
      ...NOTHING,
      ...row,
      refused: refusal ? reasonOf(refusal, values) : null,
    };
  };
}

/** Plans that follow each other are the same, if any are. */
const PLANS_KEPT = 4;

/** What came of a plan. */
interface Outcome {
  /** What was measured of it. */
  readonly row: Partial<SweepRow>;
  /** Why it was refused. */
  readonly refusal: InputError | undefined;
}

const NOTHING: Omit<SweepRow, "setting"> = {
  refused: null,
  momentum: null,
  attackRate: null,
  secondaryShare: null,
  audibleShare: null,
  powerDb: null,
  handbookDb: null,
  freshness: null,
  barsBetweenChanges: null,
  impossible: null,
  risky: null,
  tiring: null,
};

/** The refusal without the plan's name, which only repeats the row's choices. */
function reasonOf(error: InputError, values: Readonly<Record<string, unknown>>): string {
  const { action, problem, remedy } = error;
  const { file, ...where } = error.where;
  return file === Object.values(values).join(", ")
    ? new InputError({ action, problem, remedy, where }).message
    : error.message;
}

function countsOf(found: Playability): Readonly<Record<"impossible" | "risky" | "tiring", number>> {
  const gathered = gatherFindings(found.findings);
  const count = (severity: Severity) => gathered.filter((f) => f.severity === severity).length;
  return { impossible: count("impossible"), risky: count("risky"), tiring: count("tiring") };
}

/** Playability that remembers parts: a line that another setting had is known by its notes, which are shared. */
function partMemory(): (score: Score) => Playability {
  const settings = applySettings("playability", PLAYABILITY_CONSTANTS);
  const known = new WeakMap<Note, Map<string, readonly FindingPlace[]>>();
  return (score) => {
    const tempos = JSON.stringify(score.tempos);
    return judgeParts(score, settings, ({ written, notes, loudTutti }, find) => {
      const first = notes[0];
      if (first === undefined) return find();
      const ofLine = known.get(first) ?? new Map<string, readonly FindingPlace[]>();
      known.set(first, ofLine);
      const key = `${written.name} ${playersThatMatter(written, notes)} ${tempos} ${[...loudTutti].join()}`;
      let places = ofLine.get(key);
      if (places === undefined) ofLine.set(key, places = find());
      return places;
    });
  };
}

/** How many more than one player play matters only where notes sound together. */
function playersThatMatter({ players }: Part, notes: readonly Note[]): number {
  if (players <= 2) return players;
  let end = -1;
  for (const n of notes) {
    if (n.onsetTicks < end) return players;
    end = Math.max(end, n.onsetTicks + n.durationTicks);
  }
  return 2;
}
