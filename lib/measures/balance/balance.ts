/** Is the lead heard, and how loud is every layer? Three models side by side. */
// @ts-types="@types/d3-array"
import { mean, sum } from "d3-array";
import { greatestOf } from "../../base/extremes.ts";
import { A_SWITCH, checkOptions } from "../../base/arguments.ts";
import { atPlace } from "../../base/errors.ts";
import type { Score } from "../../score/model.ts";
import { barBeatOf } from "../../score/time.ts";
import type { Role } from "../../texture/roles.ts";
import { BALANCE_OPTIONS, type BalanceOptions } from "./balance_options.ts";
import { type CoveredBar, coverersOf, easedBy, mayCover, warningsOf } from "./balance_warnings.ts";
import { layersHeard } from "./heard.ts";
import { type LeadHeard, leadHeard, leadWeighed } from "./lead_heard.ts";
import { leadSpans, stretchesOf } from "./lead_spans.ts";
import { beatsOfBar, type Listening, listeningTo } from "./listening.ts";
import type { MomentSpan, SoundingLayer } from "./moment.ts";
import type { Balance, BalanceBar, BalanceLayer, BalanceNote } from "./balance_results.ts";

export { BALANCE_CONSTANTS, type BalanceOptions } from "./balance_options.ts";

const OPTIONS = { ...BALANCE_OPTIONS, warnings: A_SWITCH };

/**
 * Balance of a score: for each note of the lead its weight over the rest by the handbook's ratios, its sound
 * power over the rest, and its loudness in the presence of the rest (partial loudness in sones, and as a share
 * of its loudness alone); for each bar and layer the share of loudness.
 *
 * By hearing, a note is listened to in up to four stretches of at least 0.15 s, and its loudness alone and beside the
 * rest is the mean over them: where the rest sets in late, plays short notes or dies away, it is heard. Notes of other
 * layers that double the lead at the unison or in octaves, over some notes, merge with it, and so does, for as long as
 * the lead's note sounds, whatever has the same pitch: they neither cover it nor count for it. The rest counts 3 dB
 * weaker than from the same place (`twoEarsDb`). Held notes follow the signs under
 * them: an fp falls back at once.
 *
 * The lead is judged over the notes it plays, never over its rests. Where it is alone, there is nothing it could be
 * above or below: handbook and power have no figure there, and nothing covers it.
 *
 * A bar's lead is covered where it keeps less than a tenth of its loudness. In this model that is some 10 dB above the
 * point where it cannot be heard at all; it is no longer followed with ease.
 *
 * Words over a stave count: a divided section shares its players between what sounds at once, a solo is one player.
 *
 * More players or a louder mark never leaves a layer fewer sones, and nothing added to the rest leaves the lead more.
 * Shares are over the loudness alone, which grows too: with a louder mark a share may even fall, by about a hundredth.
 *
 * The models disagree, and none knows the real hall, the players or a mixing desk; read differences between versions
 * rather than single figures. A simple hall with seats can be given, and for recorded music gains of close
 * microphones; both change what is heard, not the handbook's weights and the power radiated.
 *
 * @param score the score
 * @param options texture, hall or microphones, constants, detail; `warnings: false` leaves the warnings out, whose ways
 *   out are worth listening to again
 * @returns whole, per bar, per layer, per note of the lead, warnings
 * @throws {InputError} when an option is unknown, a constant is not a number, or a hall or gain makes no sense; with
 *   part and bar, where a note has no sound, such as one whose dynamic is not a number
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
export function balance(
  score: Score,
  options: BalanceOptions & { readonly warnings?: boolean } = {},
): Balance {
  checkOptions("compute balance", options, OPTIONS);
  const { warnings = true, ...hearing } = options;
  const listening = listeningTo(score, hearing);
  const { settings, moments } = listening;
  const weighed = score.bars.map((bar, b) => atPlace({ bar: bar.number }, () => weighBar(b, listening)));
  const perBar = weighed.map((each) => each.row);
  const covered = weighed.filter(({ row, judged }) =>
    row.audibleShare !== null && row.audibleShare < settings.coveredBelowShare &&
    judged.some(({ stretches }) => stretches.some((moment) => moment.some(mayCover)))
  );
  const eased = !warnings ? [] : covered.map(({ row, judged }): CoveredBar => {
    // Who plays is read anew: few bars are covered, and many are listened to without warnings.
    const notes = judged.map(({ spans, seconds }) => ({
      stretches: spans.map((span) => moments.momentOf(row.barIndex, span)),
      seconds,
    }));
    const { sounds } = listening;
    return atPlace({ bar: row.bar }, () => ({
      barIndex: row.barIndex,
      share: row.audibleShare!,
      eased: easedBy(notes, coverersOf(notes), { sounds, twoEarsDb: settings.twoEarsDb }),
    }));
  });
  return {
    whole: wholeOf(perBar, covered.length),
    perBar,
    perLayer: weighed.flatMap((each) => each.layers),
    perNote: weighed.flatMap((each) => each.notes),
    warnings: warningsOf(eased, perBar, listening.score, {
      texture: listening.texture,
      coveredBelowShare: settings.coveredBelowShare,
    }),
    settings,
  };
}

/** A note of the lead, judged. */
interface JudgedNote {
  readonly heard: LeadHeard;
  /** Stretches in which it was listened to. */
  readonly spans: readonly MomentSpan[];
  /** Layers that sound in each. */
  readonly stretches: readonly (readonly SoundingLayer[])[];
  readonly seconds: number;
  /** Its row, where it begins in the bar. */
  readonly row: BalanceNote | undefined;
}

/** One bar: its row, its layers, the notes of its lead, and what sounds with them. */
function weighBar(b: number, listening: Listening) {
  const { score, texture, clock } = listening;
  const bar = score.bars[b]!;
  const parts = score.parts.length;
  const cells = texture.cells.slice(b * parts, (b + 1) * parts);
  const leaders = cells.filter((c) => c.role === "lead").map((c) => c.part);
  const lead = leaders.map((p) => score.parts[p]!.name).join(" + ");
  const judged = judgedNotes(b, { leaders, lead }, listening);
  const { loudnessSones, layers } = barLoudness(b, listening);
  const mean = (pick: (heard: LeadHeard) => number | null): number | null => {
    const known = judged.filter((j) => pick(j.heard) !== null);
    const seconds = sum(known, (j) => j.seconds);
    return seconds === 0 ? null : sum(known, (j) => pick(j.heard)! * j.seconds) / seconds;
  };
  const audibleShare = mean((n) => n.audibleShare);
  const row: BalanceBar = {
    barIndex: b,
    bar: bar.number,
    onsetSeconds: clock(bar.startTicks),
    lead,
    leadAlone: audibleShare === null ? null : judged.every((j) => j.heard.powerDb === null),
    handbookDb: mean((n) => n.handbookDb),
    powerDb: mean((n) => n.powerDb),
    audibleShare,
    loudnessSones,
  };
  return { row, layers, judged, notes: judged.flatMap((j) => j.row ?? []) };
}

/** The notes of the lead that sound in a bar, each against everything else. */
function judgedNotes(
  b: number,
  { leaders, lead }: { readonly leaders: readonly number[]; readonly lead: string },
  { score, sounds, byBar, clock, moments, settings }: Listening,
): readonly JudgedNote[] {
  const bar = score.bars[b]!;
  const leadNotes = byBar[b]!.filter((note) => leaders.includes(note.part));
  return leadSpans(leadNotes, leaders, bar.startTicks).flatMap((span): JudgedNote[] => {
    const played = moments.playedIn(b, { from: span.from, to: span.soundsTo });
    if (!played.some((l) => l.role === "lead")) return [];
    const spans = stretchesOf(span, clock, settings.listenSeconds);
    const stretches = spans.map((s) => moments.soundingIn(b, s));
    const { aloneSones, ...byHearing } = leadHeard(sounds.grid, stretches, settings.twoEarsDb);
    // What was struck before the bar line may have died away: that is a rest, not a covered note.
    if (span.heldOver && aloneSones === 0) return [];
    const heard = { ...leadWeighed(played, score, sounds), ...byHearing };
    const chord = leadNotes.filter((n) => n.onsetTicks === span.from);
    const row = span.heldOver ? undefined : {
      barIndex: b,
      bar: bar.number,
      beat: barBeatOf(score, span.from).beat,
      onsetSeconds: clock(span.from),
      lead,
      soundingPitch: greatestOf(chord.map((n) => n.soundingPitch)),
      ...heard,
    };
    return [{ spans, stretches, heard, row, seconds: clock(span.to) - clock(span.from) }];
  });
}

function wholeOf(perBar: readonly BalanceBar[], covered: number): Balance["whole"] {
  const leadBars = perBar.filter((b) => b.audibleShare !== null);
  const shareOf = (count: number): number | null => leadBars.length === 0 ? null : count / leadBars.length;
  const meanOf = (pick: (b: BalanceBar) => number | null) => mean(leadBars, pick) ?? null;
  return {
    handbookDb: meanOf((b) => b.handbookDb),
    powerDb: meanOf((b) => b.powerDb),
    audibleShare: meanOf((b) => b.audibleShare),
    aloneShare: shareOf(leadBars.filter((b) => b.leadAlone).length),
    coveredShare: shareOf(covered),
  };
}

/**
 * Loudness of a bar and of its layers, judged beat by beat. A layer is judged by how it sounds while it sounds; its
 * share of the loudness also counts for how long.
 */
function barLoudness(
  bar: number,
  { score, moments, sounds }: Listening,
): { readonly loudnessSones: number; readonly layers: readonly BalanceLayer[] } {
  const { durationTicks } = score.bars[bar]!;
  const sums = new Map<
    string,
    { role: Role; alone: number; partial: number; ticks: number; overTime: number }
  >();
  let whole = 0;
  for (const span of beatsOfBar(score, bar)) {
    const moment = moments.soundingIn(bar, span);
    const length = span.to - span.from;
    const heard = layersHeard(
      sounds.grid,
      moment.map((l) => ({ content: l.all, soundingShare: l.soundingShare })),
    );
    whole += heard.whole * length;
    moment.forEach(({ id, role, soundingShare }, i) => {
      let s = sums.get(id);
      if (!s) sums.set(id, s = { role, alone: 0, partial: 0, ticks: 0, overTime: 0 });
      s.alone += heard.alone[i]! * length;
      s.partial += heard.partial[i]! * length;
      s.ticks += length;
      s.overTime += heard.partial[i]! * length * soundingShare;
    });
  }
  const total = sum(sums.values(), (s) => s.overTime);
  return {
    loudnessSones: durationTicks > 0 ? whole / durationTicks : 0,
    layers: [...sums].map(([layer, s]) => ({
      barIndex: bar,
      layer,
      role: s.role,
      partialSones: s.partial / s.ticks,
      audibleShare: s.alone > 0 ? Math.min(1, s.partial / s.alone) : 0,
      loudnessShare: total > 0 ? s.overTime / total : 0,
    })),
  };
}
