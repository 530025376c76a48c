/** Is the lead heard, and how loud is every layer? Three models side by side. */
import { dbOfPower, powerOfDb } from "../hearing/decibels.ts";
import { layerLoudness } from "../hearing/layer_loudness.ts";
import { soundingNotes } from "../score/build.ts";
import type { Note, Score } from "../score/model.ts";
import { barBeatOf, barIndexOf, clockOf } from "../score/time.ts";
import { applySettings, type Settings } from "../settings.ts";
import type { RoleCell, Texture } from "../texture/model.ts";
import { textureOf } from "../texture/recognise.ts";
import type { Role } from "../texture/roles.ts";
import { type NoteSounds, noteSounds } from "./note_sound.ts";
import type { Balance, BalanceBar, BalanceLayer, BalanceNote, BalanceWarning } from "./results.ts";
import { shareSounding } from "./sounding.ts";

/** Constants of {@linkcode balance}, with their units and sources. */
export const BALANCE_CONSTANTS = {
  hallStrengthDb: {
    value: 3,
    unit: "dB",
    source: "model assumption: a mid-sized concert hall, mid frequencies",
    meaning: "how much louder the hall makes a source than it is at 10 m in the open",
  },
  gridStepCam: {
    value: 0.5,
    unit: "Cam",
    source: "model assumption: within 1 % of the standard's 0.1 for tones of 60 dB and more",
    meaning: "distance between the ear's filters",
  },
  coveredBelowShare: {
    value: 0.1,
    unit: "share",
    source: "model assumption",
    meaning: "audible share under which the lead counts as covered",
  },
} as const;

/** Options of {@linkcode balance}. */
export interface BalanceOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode BALANCE_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof BALANCE_CONSTANTS>>;
}

/** A stretch of time judged as one moment. */
interface Span {
  readonly from: number;
  readonly to: number;
}

/** A note of the lead, or what is left of one held over from the bar before. */
interface LeadSpan extends Span {
  readonly heldOver: boolean;
}

/** Everything a moment is judged by, added up per layer. */
interface Moment {
  readonly layers: readonly string[];
  readonly roles: readonly Role[];
  readonly excitations: readonly Float64Array[];
  readonly watts: readonly number[];
  readonly weights: readonly number[];
}

/**
 * Balance of a score: for each note of the lead its weight over the rest by the handbook's ratios, its sound
 * power over the rest, and its loudness in the presence of the rest (partial loudness in sones, and as a share
 * of its loudness alone); for each bar and layer the share of loudness.
 *
 * The models disagree, and none knows the hall, the seats, the players or a mixing desk; read differences
 * between versions rather than single figures.
 *
 * @param score the score
 * @param options texture and constants
 * @returns whole, per bar, per layer, per note of the lead, warnings
 * @throws {InputError} when a constant is unknown or not a number
 *
 * Sources: handbook ratios, Rimsky-Korsakov, Principles of Orchestration (1922), ch. I; sound powers, Meyer,
 * Acoustics and the Performance of Music (2009), recalled; partial loudness, Moore, Glasberg and Baer 1997
 * (J. Audio Eng. Soc. 45, 224-240), equations 17 to 20.
 *
 * @example
 * ```ts
 * import { balance, demoPlans, demoSketch, realise, vary } from "ripieno";
 * import { assert } from "@std/assert";
 * const plan = demoPlans().moving;
 * const softer = vary(plan, { set: { dynamic: "pp" } }, { role: "lead" });
 * const share = (p: typeof plan) => balance(realise(demoSketch(), p)).whole.audibleShare!;
 * assert(share(softer) < share(plan));
 * ```
 */
export function balance(score: Score, options: BalanceOptions = {}): Balance {
  const settings = applySettings("balance", BALANCE_CONSTANTS, options.constants);
  const texture = options.texture ?? textureOf(score);
  const sounds = noteSounds(score, settings);
  const notes = soundingNotes(score);
  const byBar = soundingByBar(score, notes);
  const clock = clockOf(score);
  const parts = score.parts.length;
  const momentOf = momentReader(score, texture, sounds, byBar, clock);

  const perBar: BalanceBar[] = [];
  const perLayer: BalanceLayer[] = [];
  const perNote: BalanceNote[] = [];
  const covered: { bar: number; masker: string; eased: number }[] = [];

  score.bars.forEach((bar, b) => {
    const cells = texture.cells.slice(b * parts, (b + 1) * parts);
    const leaders = cells.filter((c) => c.role === "lead").map((c) => c.part);
    const lead = leaders.map((p) => score.parts[p]!.name).join(" + ");
    const judged: { heard: LeadHeard; seconds: number }[] = [];
    for (const span of leadSpans(byBar[b]!, leaders, bar.startTicks)) {
      const moment = momentOf(b, span);
      const leading = moment.roles.map((r) => r === "lead");
      if (!leading.includes(true)) continue;
      const heard = leadAgainstRest(moment, leading, sounds);
      judged.push({ heard, seconds: clock(span.to) - clock(span.from) });
      if (span.heldOver) continue;
      const chord = byBar[b]!.filter((n) => leaders.includes(n.part) && n.onsetTicks === span.from);
      perNote.push({
        bar: b,
        barNumber: bar.number,
        beat: barBeatOf(score, span.from).beat,
        onsetSeconds: clock(span.from),
        lead,
        soundingPitch: Math.max(...chord.map((n) => n.soundingPitch)),
        ...heard,
      });
    }
    const { loudnessSones, layers } = barLoudness(b, score, momentOf, sounds);
    perLayer.push(...layers);
    const mean = (pick: (heard: LeadHeard) => number): number | null => {
      const seconds = judged.reduce((sum, j) => sum + j.seconds, 0);
      return seconds === 0 ? null : judged.reduce((sum, j) => sum + pick(j.heard) * j.seconds, 0) / seconds;
    };
    const audibleShare = mean((n) => n.audibleShare);
    perBar.push({
      bar: b,
      barNumber: bar.number,
      onsetSeconds: clock(bar.startTicks),
      lead,
      handbookDb: mean((n) => n.handbookDb),
      powerDb: mean((n) => n.powerDb),
      audibleShare,
      loudnessSones,
    });
    if (audibleShare !== null && audibleShare < settings.coveredBelowShare) {
      const worst = Math.min(...judged.map((j) => j.heard.audibleShare));
      const span = { from: bar.startTicks, to: bar.startTicks + bar.durationTicks };
      covered.push({ bar: b, ...strongestMasker(momentOf(b, span), sounds, worst) });
    }
  });

  const leadBars = perBar.filter((b) => b.audibleShare !== null);
  const meanOf = (pick: (b: BalanceBar) => number | null): number | null =>
    leadBars.length === 0 ? null : leadBars.reduce((sum, b) => sum + (pick(b) ?? 0), 0) / leadBars.length;
  return {
    whole: {
      handbookDb: meanOf((b) => b.handbookDb),
      powerDb: meanOf((b) => b.powerDb),
      audibleShare: meanOf((b) => b.audibleShare),
      coveredShare: leadBars.length === 0 ? null : covered.length / leadBars.length,
    },
    perBar,
    perLayer,
    perNote,
    warnings: warningsOf(covered, perBar, score, texture),
    settings,
  };
}

/** Notes that sound in each bar, those held over included. */
function soundingByBar(score: Score, notes: readonly Note[]): readonly (readonly Note[])[] {
  const lists: Note[][] = score.bars.map(() => []);
  for (const note of notes) {
    const end = note.onsetTicks + note.durationTicks;
    for (let b = barIndexOf(score, note.onsetTicks); b < lists.length; b++) {
      if (score.bars[b]!.startTicks >= end) break;
      lists[b]!.push(note);
    }
  }
  return lists;
}

/** One span per note of the lead, from its start to its end or the next; a note held over comes first. */
function leadSpans(
  notes: readonly Note[],
  leaders: readonly number[],
  barStart: number,
): readonly LeadSpan[] {
  const ends = new Map<number, number>();
  const begun = new Set<number>();
  for (const n of notes) {
    if (!leaders.includes(n.part)) continue;
    const from = Math.max(barStart, n.onsetTicks);
    if (n.onsetTicks >= barStart) begun.add(from);
    ends.set(from, Math.max(ends.get(from) ?? 0, n.onsetTicks + n.durationTicks));
  }
  const starts = [...ends.keys()].sort((a, b) => a - b);
  return starts.map((from, i) => ({
    from,
    to: Math.min(ends.get(from)!, starts[i + 1] ?? Infinity),
    heldOver: !begun.has(from),
  }));
}

type MomentReader = (bar: number, span: Span) => Moment;

function momentReader(
  score: Score,
  texture: Texture,
  sounds: NoteSounds,
  byBar: readonly (readonly Note[])[],
  clock: (ticks: number) => number,
): MomentReader {
  const parts = score.parts.length;
  const size = sounds.grid.centresHz.length;
  return (bar, span) => {
    const secondsPerTick = (clock(span.to) - clock(span.from)) / Math.max(1, span.to - span.from);
    const index = new Map<string, number>();
    const roles: Role[] = [];
    const excitations: Float64Array[] = [];
    const watts: number[] = [];
    const weights: number[] = [];
    const counted = new Set<string>();
    const last = barIndexOf(score, span.to - 1);
    for (let b = bar; b <= last; b++) {
      for (const note of byBar[b]!) {
        // A note held into a later bar of the span was counted in the first.
        if (b > bar && note.onsetTicks < score.bars[b]!.startTicks) continue;
        const share = shareSounding(note, sounds.instruments[note.part]!, span.from, span.to, secondsPerTick);
        if (share <= 0) continue;
        const cell = texture.cells[bar * parts + note.part]!;
        const key = cell.role === "rest" ? nearestLayer(texture, b, note.part, parts) : cell;
        let i = index.get(key.layer);
        if (i === undefined) {
          i = roles.length;
          index.set(key.layer, i);
          roles.push(key.role);
          excitations.push(new Float64Array(size));
          watts.push(0);
          weights.push(0);
        }
        const sound = sounds.of(note);
        const sum = excitations[i]!;
        for (let c = 0; c < size; c++) sum[c]! += sound.excitation[c]! * share;
        watts[i]! += sound.powerWatts * share;
        // The handbook weighs players, not time: a part counts once, at full weight, while it sounds.
        const once = `${i} ${note.part}`;
        if (!counted.has(once)) {
          counted.add(once);
          weights[i]! += sound.handbookWeight;
        }
      }
    }
    return { layers: [...index.keys()], roles, excitations, watts, weights };
  };
}

/** For a part whose cell is a rest although a note of it sounds: the layer of the note's bar, the one before or after. */
function nearestLayer(
  texture: Texture,
  bar: number,
  part: number,
  parts: number,
): Pick<RoleCell, "layer" | "role"> {
  for (const b of [bar, bar - 1, bar + 1]) {
    const cell = texture.cells[b * parts + part];
    if (cell && cell.role !== "rest") return cell;
  }
  return { layer: "held over", role: "pad" };
}

function add(arrays: readonly Float64Array[], size: number): Float64Array {
  const sum = new Float64Array(size);
  for (const a of arrays) for (let c = 0; c < size; c++) sum[c]! += a[c]!;
  return sum;
}

/** Differences are held within this many dB, which also stands for one side being silent. */
const MOST_DB = 60;

/** Difference in dB. */
function differenceDb(a: number, b: number): number {
  if (b <= 0) return MOST_DB;
  if (a <= 0) return -MOST_DB;
  return Math.max(-MOST_DB, Math.min(MOST_DB, dbOfPower(a / b)));
}

type LeadHeard = Pick<BalanceNote, "handbookDb" | "powerDb" | "partialSones" | "audibleShare">;

function leadAgainstRest(
  moment: Moment,
  leading: readonly boolean[],
  sounds: NoteSounds,
): LeadHeard {
  const size = sounds.grid.centresHz.length;
  const pick = (lead: boolean) => moment.excitations.filter((_, i) => leading[i] === lead);
  const sum = (values: readonly number[], lead: boolean) =>
    values.reduce((total, v, i) => leading[i] === lead ? total + v : total, 0);
  const { alone, partial } = layerLoudness(sounds.grid, [add(pick(true), size), add(pick(false), size)]);
  return {
    handbookDb: differenceDb(sum(moment.weights, true), sum(moment.weights, false)),
    powerDb: differenceDb(sum(moment.watts, true), sum(moment.watts, false)),
    partialSones: partial[0]!,
    audibleShare: alone[0]! > 0 ? Math.min(1, partial[0]! / alone[0]!) : 0,
  };
}

/** Loudness of a bar and of its layers, judged beat by beat. */
function barLoudness(
  bar: number,
  score: Score,
  momentOf: MomentReader,
  sounds: NoteSounds,
): { readonly loudnessSones: number; readonly layers: readonly BalanceLayer[] } {
  const { startTicks, durationTicks, beatUnit } = score.bars[bar]!;
  const end = startTicks + durationTicks;
  const beat = Math.max(1, Math.min(durationTicks, score.ticksPerQuarter * Math.max(1, 4 / beatUnit)));
  const sums = new Map<string, { role: Role; alone: number; partial: number; ticks: number }>();
  let whole = 0;
  for (let from = startTicks; from < end; from += beat) {
    const span = { from, to: Math.min(end, from + beat) };
    const moment = momentOf(bar, span);
    const heard = layerLoudness(sounds.grid, moment.excitations);
    const length = span.to - span.from;
    whole += heard.whole * length;
    moment.layers.forEach((id, i) => {
      const s = sums.get(id) ?? { role: moment.roles[i]!, alone: 0, partial: 0, ticks: 0 };
      sums.set(id, {
        ...s,
        alone: s.alone + heard.alone[i]! * length,
        partial: s.partial + heard.partial[i]! * length,
        ticks: s.ticks + length,
      });
    });
  }
  const total = [...sums.values()].reduce((sum, s) => sum + s.partial, 0);
  return {
    loudnessSones: durationTicks > 0 ? whole / durationTicks : 0,
    layers: [...sums].map(([layer, s]) => ({
      bar,
      layer,
      role: s.role,
      partialSones: s.partial / s.ticks,
      audibleShare: s.alone > 0 ? Math.min(1, s.partial / s.alone) : 0,
      loudnessShare: total > 0 ? s.partial / total : 0,
    })),
  };
}

/** Two dynamics softer, as power: 12 dB, about two of the steps between recalled pp and ff figures. Model assumption. */
const TWO_DYNAMICS_POWER = powerOfDb(-12);

/** The layer whose softening helps the lead most, and the audible share it would give. */
function strongestMasker(
  moment: Moment,
  sounds: NoteSounds,
  worst: number,
): { readonly masker: string; readonly eased: number } {
  const leading = moment.roles.map((r) => r === "lead");
  let best = { masker: "", eased: worst };
  moment.layers.forEach((id, i) => {
    if (leading[i]) return;
    const softer = {
      ...moment,
      excitations: moment.excitations.map((e, k) => k === i ? e.map((x) => x * TWO_DYNAMICS_POWER) : e),
    };
    const share = leadAgainstRest(softer, leading, sounds).audibleShare;
    if (best.masker === "" || share > best.eased) best = { masker: id, eased: share };
  });
  return best;
}

function warningsOf(
  covered: readonly { readonly bar: number; readonly masker: string; readonly eased: number }[],
  perBar: readonly BalanceBar[],
  score: Score,
  texture: Texture,
): readonly BalanceWarning[] {
  const parts = score.parts.length;
  const groups: { fromBar: number; toBar: number; shares: number[]; masker: string; eased: number[] }[] = [];
  for (const c of covered) {
    const last = groups.at(-1);
    const share = perBar[c.bar]!.audibleShare!;
    if (last && last.toBar === c.bar - 1 && perBar[last.fromBar]!.lead === perBar[c.bar]!.lead) {
      last.toBar = c.bar;
      last.shares.push(share);
      last.eased.push(c.eased);
    } else groups.push({ fromBar: c.bar, toBar: c.bar, shares: [share], masker: c.masker, eased: [c.eased] });
  }
  return groups.map((g) => {
    const percent = (values: readonly number[]) =>
      `${Math.round(100 * values.reduce((a, b) => a + b, 0) / values.length)} %`;
    const cells = texture.cells.slice(g.fromBar * parts, (g.fromBar + 1) * parts).filter((c) =>
      c.layer === g.masker
    );
    const names = cells.map((c) => score.parts[c.part]!.name).join(", ");
    const role = cells[0]?.role ?? "layer";
    return {
      fromBar: g.fromBar,
      toBar: g.toBar,
      what: `${perBar[g.fromBar]!.lead} keeps ${percent(g.shares)} of its loudness`,
      remedy: names === ""
        ? "Double the lead, move it an octave away, or let fewer parts play"
        : `The ${role} (${names}) covers it most; two dynamics softer there, the lead would keep ${
          percent(g.eased)
        }. ` +
          "Or double the lead, or move it an octave away",
    };
  });
}
