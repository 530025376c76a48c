/** Is the lead heard, and how loud is every layer? Three models side by side. */
import { layerLoudness } from "../hearing/layer_loudness.ts";
import { soundingNotes } from "../score/build.ts";
import type { Note, Score } from "../score/model.ts";
import { barBeatOf, clockOf } from "../score/time.ts";
import { applySettings, refuseUnknown, type Settings } from "../settings.ts";
import type { Texture } from "../texture/model.ts";
import { textureOf } from "../texture/recognise.ts";
import type { Role } from "../texture/roles.ts";
import { type CoveredBar, easedBy, type LeadMoment, warningsOf } from "./balance_warnings.ts";
import { heardBeside, leadAgainstRest, type LeadHeard } from "./lead_heard.ts";
import { type MomentReader, momentReader, soundingByBar, type Span } from "./moment.ts";
import { type NoteSounds, noteSounds } from "./note_sound.ts";
import type { Balance, BalanceBar, BalanceLayer, BalanceNote } from "./results.ts";

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
  accentSteps: {
    value: 1,
    unit: "steps of the dynamic scale",
    source: "model assumption",
    meaning: "how much louder an accented or marcato note is played",
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

/** A note of the lead, or what is left of one held over from the bar before. */
interface LeadSpan extends Span {
  readonly heldOver: boolean;
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
  refuseUnknown("compute balance", options, ["texture", "constants"]);
  const settings = applySettings("balance", BALANCE_CONSTANTS, options.constants);
  const texture = options.texture ?? textureOf(score);
  const sounds = noteSounds(score, settings);
  const notes = soundingNotes(score);
  const byBar = soundingByBar(score, notes);
  const clock = clockOf(score);
  const parts = score.parts.length;
  const momentOf = momentReader({ score, texture, sounds, byBar, clock });

  const perBar: BalanceBar[] = [];
  const perLayer: BalanceLayer[] = [];
  const perNote: BalanceNote[] = [];
  const covered: CoveredBar[] = [];

  score.bars.forEach((bar, b) => {
    const cells = texture.cells.slice(b * parts, (b + 1) * parts);
    const leaders = cells.filter((c) => c.role === "lead").map((c) => c.part);
    const lead = leaders.map((p) => score.parts[p]!.name).join(" + ");
    const judged: (LeadMoment & { heard: LeadHeard })[] = [];
    for (const span of leadSpans(byBar[b]!, leaders, bar.startTicks)) {
      const moment = momentOf(b, span);
      if (!moment.some((l) => l.role === "lead")) continue;
      const heard = leadAgainstRest(moment, score, sounds);
      judged.push({ moment, heard, seconds: clock(span.to) - clock(span.from) });
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
      covered.push({ bar: b, share: audibleShare, eased: easedBy(judged, score, sounds) });
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
    warnings: warningsOf(covered, perBar, score, texture, settings.coveredBelowShare),
    settings,
  };
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

/**
 * Loudness of a bar and of its layers, judged beat by beat. A layer is judged by how it sounds while it sounds; its
 * share of the loudness also counts for how long.
 */
function barLoudness(
  bar: number,
  score: Score,
  momentOf: MomentReader,
  sounds: NoteSounds,
): { readonly loudnessSones: number; readonly layers: readonly BalanceLayer[] } {
  const { startTicks, durationTicks, beatUnit } = score.bars[bar]!;
  const end = startTicks + durationTicks;
  const beat = Math.max(1, Math.min(durationTicks, score.ticksPerQuarter * Math.max(1, 4 / beatUnit)));
  const sums = new Map<
    string,
    { role: Role; alone: number; partial: number; ticks: number; overTime: number }
  >();
  let whole = 0;
  for (let from = startTicks; from < end; from += beat) {
    const span = { from, to: Math.min(end, from + beat) };
    const moment = momentOf(bar, span);
    const length = span.to - span.from;
    whole += layerLoudness(sounds.grid, moment.map((l) => l.excitation)).whole * length;
    for (const layer of moment) {
      const heard = heardBeside(sounds.grid, [layer], moment.filter((l) => l !== layer));
      const s = sums.get(layer.id) ?? { role: layer.role, alone: 0, partial: 0, ticks: 0, overTime: 0 };
      sums.set(layer.id, {
        ...s,
        alone: s.alone + heard.alone * length,
        partial: s.partial + heard.partial * length,
        ticks: s.ticks + length,
        overTime: s.overTime + heard.partial * length * layer.soundingShare,
      });
    }
  }
  const total = [...sums.values()].reduce((sum, s) => sum + s.overTime, 0);
  return {
    loudnessSones: durationTicks > 0 ? whole / durationTicks : 0,
    layers: [...sums].map(([layer, s]) => ({
      bar,
      layer,
      role: s.role,
      partialSones: s.partial / s.ticks,
      audibleShare: s.alone > 0 ? Math.min(1, s.partial / s.alone) : 0,
      loudnessShare: total > 0 ? s.overTime / total : 0,
    })),
  };
}
