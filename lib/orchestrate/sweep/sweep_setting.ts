/** Measuring the settings of a sweep one after the other, with a memory of what they share. */
import { InputError } from "../../base/errors.ts";
import { memo, memoOf } from "../../base/memo.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import { balance } from "../../measures/balance/balance.ts";
import type { HearingDetail } from "../../measures/balance/ear_grid.ts";
import { contour as contourOf } from "../../measures/contour/contour.ts";
import { idiom as idiomOf } from "../../measures/idiom/idiom.ts";
import { fullness as fullnessOf } from "../../measures/fullness/fullness.ts";
import { freshnessFigures } from "../../measures/freshness/freshness.ts";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import { momentumMeasurer } from "../../measures/momentum/momentum.ts";
import { judgeParts, PLAYABILITY_CONSTANTS } from "../../measures/playability/playability.ts";
import type { FindingPlace } from "../../measures/playability/judge.ts";
import type { Balance } from "../../measures/balance/balance_results.ts";
import type { Momentum } from "../../measures/momentum/momentum_results.ts";
import type { Share } from "../../base/units.ts";
import type { Contour } from "../../measures/contour/contour_results.ts";
import type { Freshness } from "../../measures/freshness/freshness_results.ts";
import type { Playability, Severity } from "../../measures/playability/playability_results.ts";
import type { Note, Part, Score } from "../../score/model.ts";
import { applySettings } from "../../base/settings.ts";
import type { Texture } from "../../texture/model.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";
import { checkedGrid, type SweepGrid } from "./sweep_grid.ts";
import type { Plan } from "../plan/plan.ts";
import { type Realised, realiserOf } from "../realise/realiser.ts";
import type { Sketch } from "../plan/sketch.ts";
import type { SweepMeasure, SweepRow } from "./sweep_rows.ts";
import type { LayersOf } from "../plan/vary.ts";

/** Everything a sweep's rows depend on, as plain data that can be handed to another thread. */
export interface SweepJob {
  readonly plan: Plan;
  readonly grid: SweepGrid;
  /** The sketch where the grid has none; null where it has. */
  readonly sketch: Sketch | null;
  readonly orchestra: readonly OrchestraPart[];
  /** Which layers the choices apply to; null where the grid says it. */
  readonly layers: LayersOf | null;
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
  const outcomeOf = outcomes(job);
  /** Settings of one plan, such as winds with another section size, are written and measured once. */
  const kept = memo<Outcome>(PLANS_KEPT);
  return (setting) => {
    const values = valuesOf(setting);
    const sketch = values.sketch === undefined ? undefined : String(values.sketch);
    const plan = planOf(setting);
    let own: Outcome | undefined;
    const known = kept(JSON.stringify([sketch, { ...plan, name: "" }]), () => own = outcomeOf(sketch, plan));
    // A refusal names its plan, and with it the setting's own choices.
    const { row, refusal } = known.refusal ? own ?? outcomeOf(sketch, plan) : known;
    const refused = refusal ? reasonOf(refusal, values) : null;
    return { setting: setting + 1, ...values, ...NOTHING, ...row, refused };
  };
}

/** Plans that follow each other are the same, if any are. */
const PLANS_KEPT = 8;
/** The sketch is the choice that changes last. */
const SKETCHES_KEPT = 4;

interface Outcome {
  /** What was measured of it. */
  readonly row: Partial<SweepRow>;
  /** Why it was refused. */
  readonly refusal: InputError | undefined;
}

/** What becomes of plans over a sketch, which is known by its name where the grid has several. */
function outcomes(job: SweepJob): (sketch: string | undefined, plan: Plan) => Outcome {
  const { orchestra, measures, refuseImpossible } = job;
  const realisers = memo<(plan: Plan) => Realised>(SKETCHES_KEPT);
  const realiserFor = (name: string | undefined) =>
    realisers(name ?? "", () => {
      const sketch = name === undefined ? job.sketch! : job.grid.sketch![name]!;
      return realiserOf(sketch, { orchestra, refuseImpossible: false });
    });
  const judged = partJudge();
  const measure = scoreMeasurer(job);
  const countsFindings = measures.includes("playability");
  return (sketch, plan) => {
    let realised: Realised;
    try {
      realised = realiserFor(sketch)(plan);
    } catch (error) {
      if (error instanceof InputError) return { row: {}, refusal: error };
      throw error;
    }
    const { score, refusalFor } = realised;
    const found = countsFindings || refuseImpossible ? judged(score) : undefined;
    const counts = found && countsFindings ? countsOf(found) : {};
    const refusal = refuseImpossible ? refusalFor(found!.findings) : undefined;
    return refusal ? { row: counts, refusal } : { row: { ...counts, ...measure(score) }, refusal };
  };
}

/** Everything that is measured of a setting but playability. */
function scoreMeasurer({ measures, detail }: SweepJob): (score: Score) => Partial<SweepRow> {
  const momentum = momentumMeasurer();
  const known = memoOf((_: readonly Note[]) => memo<Timeless>(2));
  return (score) => {
    const { texture, freshness, fullness } = known(score.notes)(JSON.stringify(score.layers), () => {
      const texture = textureOf(score);
      const whole = measures.includes("freshness") ? freshnessFigures(score, { texture }).whole : undefined;
      const full = measures.includes("fullness") ? fullnessOf(score, { texture }).whole : undefined;
      return { texture, freshness: whole, fullness: full?.fullness };
    });
    const isHeard = (["momentum", "balance", "contour"] as const).some((m) => measures.includes(m));
    const heard = isHeard ? balance(score, { texture, detail, warnings: false }) : undefined;
    // A dynamic makes another use of an instrument.
    const usual = measures.includes("idiom") ? { idiom: idiomOf(score, { texture }).whole.idiom } : {};
    return {
      ...usual,
      ...(heard && measures.includes("momentum") ? drivenRow(momentum(score, texture, heard)) : {}),
      ...(heard && measures.includes("balance") ? heardRow(heard.whole) : {}),
      ...(heard && measures.includes("contour")
        ? shapedRow(contourOf(score, { texture, balance: heard }).whole)
        : {}),
      ...(freshness === undefined ? {} : freshRow(freshness)),
      ...(fullness === undefined ? {} : { fullness }),
    };
  };
}

/** What is the same of a setting at every tempo: freshness and fullness count bars and beats, not seconds. */
interface Timeless {
  readonly texture: Texture;
  readonly freshness: Freshness["whole"] | undefined;
  readonly fullness: Share | undefined;
}

function drivenRow({ whole, perRole }: Pick<Momentum, "whole" | "perRole">): Partial<SweepRow> {
  const lead = perRole.find((r) => r.role === "lead")?.contribution ?? 0;
  return {
    momentum: whole.momentum,
    attackRate: whole.attackRate,
    secondaryShare: whole.momentum > 0 ? Math.max(0, 1 - lead / whole.momentum) : 0,
  };
}

function heardRow({ audibleShare, powerDb, handbookDb }: Balance["whole"]): Partial<SweepRow> {
  return { audibleShare, powerDb, handbookDb };
}

function shapedRow({ contour, loudnessRange }: Contour["whole"]): Partial<SweepRow> {
  return { contour, loudnessRange };
}

function freshRow({ freshness, barsBetweenChanges }: Freshness["whole"]): Partial<SweepRow> {
  return { freshness, barsBetweenChanges };
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
  fullness: null,
  contour: null,
  loudnessRange: null,
  idiom: null,
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

function countsOf({ findings }: Playability): Pick<SweepRow, "impossible" | "risky" | "tiring"> {
  const gathered = gatherFindings(findings);
  const count = (severity: Severity) => gathered.filter((f) => f.severity === severity).length;
  return { impossible: count("impossible"), risky: count("risky"), tiring: count("tiring") };
}

/** Playability that remembers parts: a line that another setting had is known by its notes, which are shared. */
function partJudge(): (score: Score) => Playability {
  const settings = applySettings("playability", PLAYABILITY_CONSTANTS);
  const known = memoOf((_: Note) => memo<readonly FindingPlace[]>(JUDGEMENTS_KEPT));
  const listed = memoOf((bars: ReadonlySet<number>) => [...bars].join());
  return (score) => {
    const tempos = JSON.stringify(score.tempos);
    return judgeParts(score, settings, ({ written, notes, loudTutti }, find) => {
      const [first] = notes;
      if (first === undefined) return find();
      const players = playersThatMatter(written, notes);
      return known(first)(`${written.name} ${players} ${tempos} ${listed(loudTutti)}`, find);
    });
  };
}

/** Judgements of one line kept: it meets as many tempos and tuttis as the grid has. */
const JUDGEMENTS_KEPT = 200;

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
