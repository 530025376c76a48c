/** Leaving time to breathe in what blown instruments are given. */
import type { Ticks } from "../../base/units.ts";
import { firstIndex } from "../../base/first_index.ts";
import type { PlainNote } from "./layers/task.ts";

/** A note with what breathing depends on. */
export interface BreathNote extends PlainNote {
  /** Seconds one breath lasts at this note's dynamic. */
  readonly breathSeconds: number;
  /**
   * What a breath does to the line: in a melody it shortens a note and gets a mark; a run is broken off on the note it
   * has reached; elsewhere the time before the breath is taken away from what sounds there.
   */
  readonly kind: "melody" | "run" | "accompaniment";
  /** Places where it is this player's turn to breathe while the others of the layer go on. */
  readonly turns: ReadonlySet<Ticks>;
}

interface BreathOptions {
  /** Least silence in which a breath is taken. */
  readonly gapSeconds: number;
  /** Seconds at a position. */
  readonly clock: (ticks: Ticks) => number;
  /** Ends of bars in ticks, each with the number of whole bars up to it. */
  readonly barEnds: ReadonlyMap<Ticks, number>;
  /** Beats of all bars in ticks, in order. */
  readonly beats: readonly Ticks[];
  readonly ticksPerQuarter: Ticks;
}

/**
 * Share of a breath that is planned with: written phrases are planned at 60 to 70 % of the longest single note.
 * Published orchestration tip, as summarised with the breath figures.
 */
const USABLE_SHARE = 0.65;

/**
 * What a breath costs, by place. The best breaths together cost least. Common practice, no source: after long notes, at the ends of bars
 * and of two or four of them; not after a short note that leads on, least of all into a longer one, nor within a slur;
 * players of a layer in turn.
 */
const COSTS = {
  /** Any breath at all. */
  breath: 8,
  /** A stretch of a whole breath, growing with the square from the usable share on. */
  wholeBreath: 12,
  /** Anything longer, and each further breath. */
  tooLong: 60,
  beyond: 200,
  /** A stretch shorter than this share of a breath … */
  soonToShare: 0.25,
  /** … costs this. */
  soon: 4,
  /** After a note of no length; nothing after one of a beat. */
  shortNote: 8,
  /** After a note shorter than twice the breath; a comma takes what it needs, to the moment. */
  noRoom: 12,
  /** Into a longer note on the downbeat. */
  landing: 6,
  withinBar: 2,
  /** In the middle of a slur that the tune has. */
  withinSlur: 24,
  /** Gained by each beat of the note before beyond the first, up to three. */
  longNote: 1,
  /** Gained at the end of a bar, and more where two and where four bars end. */
  barEnd: 1,
  twoBars: 1,
  fourBars: 2,
  /** In another player's turn, or where it is nobody's. */
  othersTurn: 14,
  nobodysTurn: 9,
  /** In one's own turn, within a bar. */
  ownTurnWithinBar: 2,
  /** Off a note on the downbeat of which half or less would be left. */
  downbeat: 30,
  /** Within a bar where it is nobody's turn, besides. */
  awkward: 3,
} as const;

/** A place where a line may be parted. */
interface BreathPlace {
  /** Where the line goes on. */
  readonly at: Ticks;
  readonly cost: number;
}

const endOf = (n: Pick<PlainNote, "onsetTicks" | "durationTicks">): Ticks => n.onsetTicks + n.durationTicks;

/**
 * Makes room for breath in one player's whole line: of all the places where it may be parted, those that cost least
 * together while no stretch lasts longer than a breath. Where one breath is enough nothing is changed. A melody
 * only loses the end of a note, which gets a breath mark; a run stays on the note it has reached; other layers lose
 * what sounds before the breath, and each player of a layer breathes in turn.
 */
export function leaveBreaths<N extends BreathNote>(line: readonly N[], options: BreathOptions): readonly N[] {
  return stretchesOf(line, options).flatMap((stretch) =>
    breathPlaces(stretch, options).reduceRight((notes, at) => partedAt(notes, at, options), stretch)
  );
}

/** The line parted where its player can breathe anyway. */
export function stretchesOf<N extends Pick<PlainNote, "onsetTicks" | "durationTicks">>(
  line: readonly N[],
  { clock, gapSeconds }: Pick<BreathOptions, "clock" | "gapSeconds">,
): readonly (readonly N[])[] {
  const stretches: N[][] = [];
  let end = -Infinity;
  for (const n of line) {
    if (stretches.length === 0 || clock(n.onsetTicks) - clock(end) >= gapSeconds) stretches.push([]);
    stretches.at(-1)!.push(n);
    end = Math.max(end, endOf(n));
  }
  return stretches;
}

/** Where to breathe within a stretch without a rest, first to last. */
function breathPlaces(notes: readonly BreathNote[], options: BreathOptions): readonly Ticks[] {
  const { clock } = options;
  const airAfter = new Float64Array(notes.length + 1);
  notes.forEach((n, i) => {
    airAfter[i + 1] = airAfter[i]! + (clock(endOf(n)) - clock(n.onsetTicks)) / n.breathSeconds;
  });
  const all = airAfter[notes.length]!;
  if (all <= USABLE_SHARE) return [];
  /** Breaths used up to a position. */
  const airAt = (ticks: Ticks): number => {
    const i = firstIndex(notes.length, (k) => notes[k]!.onsetTicks >= ticks) - 1;
    if (i < 0) return 0;
    const n = notes[i]!;
    return airAfter[i]! + (clock(Math.min(ticks, endOf(n))) - clock(n.onsetTicks)) / n.breathSeconds;
  };
  const places = placesIn(notes, options).map((place) => ({ ...place, air: airAt(place.at) }));
  return cheapestBreaths([...places, { at: endOf(notes.at(-1)!), cost: -COSTS.breath, air: all }]);
}

/** The breaths that cost least together, up to the last place, which is the end. */
function cheapestBreaths(places: readonly (BreathPlace & { readonly air: number })[]): readonly Ticks[] {
  const best: { readonly cost: number; readonly from: number; readonly leastSoFar: number }[] = [];
  for (const { cost, air } of places) {
    let least = stretchCost(air), from = -1;
    for (let i = best.length - 1; i >= 0; i--) {
      const share = air - places[i]!.air;
      const stretch = stretchCost(share);
      const total = best[i]!.cost + stretch;
      if (total < least) [least, from] = [total, i];
      // Longer stretches cost no less, and nothing before is cheaper.
      if (share > 2 || share > USABLE_SHARE && best[i]!.leastSoFar + stretch >= least) break;
    }
    const own = least + COSTS.breath + cost;
    best.push({ cost: own, from, leastSoFar: Math.min(own, best.at(-1)?.leastSoFar ?? Infinity) });
  }
  const breaths: Ticks[] = [];
  for (let j = best.at(-1)!.from; j >= 0; j = best[j]!.from) breaths.unshift(places[j]!.at);
  return breaths;
}

/** What a stretch costs that takes so many breaths. */
function stretchCost(breaths: number): number {
  if (breaths < COSTS.soonToShare) return COSTS.soon;
  if (breaths <= USABLE_SHARE) return 0;
  const beyond = (Math.min(1, breaths) - USABLE_SHARE) / (1 - USABLE_SHARE);
  const excess = Math.max(0, breaths - 1);
  return COSTS.wholeBreath * beyond ** 2 + (excess > 0 ? COSTS.tooLong : 0) + COSTS.beyond * excess;
}

/** Places where a line may be parted: between its notes, and on the beats of what is held under a melody. */
function placesIn(notes: readonly BreathNote[], options: BreathOptions): readonly BreathPlace[] {
  const { beats, ticksPerQuarter } = options;
  const onBeats = new Set(beats);
  return notes.flatMap((n, i): readonly BreathPlace[] => {
    const next = notes[i + 1];
    const inside: BreathPlace[] = [];
    const last = n.kind === "melody" ? -Infinity : endOf(n) - ticksPerQuarter;
    const first = n.onsetTicks + ticksPerQuarter;
    if (first <= last) {
      for (let b = firstIndex(beats.length, (k) => beats[k]! > first); beats[b]! <= last; b++) {
        // What is left of the note before it is no shorter than a quarter.
        if (beats[b]! - gapBefore(beats[b]!, options) < first) continue;
        inside.push({ at: beats[b]!, cost: turnCost(beats[b]!, n, options) });
      }
    }
    if (next === undefined) return inside;
    const at = next.onsetTicks;
    if (n.kind === "melody") return [{ at, cost: melodyCost(n, next, options) }];
    // Who takes up the tune breathes before it rather than in its first bar.
    if (next.kind === "melody") return [...inside, { at, cost: 0 }];
    const isLong = n.durationTicks >= ticksPerQuarter / 2;
    return onBeats.has(at) || isLong ? [...inside, { at, cost: turnCost(at, n, options) }] : inside;
  });
}

function turnCost(at: Ticks, n: BreathNote, options: BreathOptions): number {
  const { barEnds } = options;
  // Within a bar the note before it is short where it begins on the downbeat.
  const isHalved = barEnds.has(n.onsetTicks) && !barEnds.has(at) &&
    n.durationTicks <= 2 * gapBefore(endOf(n), options);
  const kept = isHalved ? COSTS.downbeat : 0;
  if (n.turns.has(at)) return kept + (barEnds.has(at) ? 0 : COSTS.ownTurnWithinBar);
  return kept + (barEnds.has(at) ? COSTS.othersTurn : COSTS.nobodysTurn + COSTS.awkward);
}

function melodyCost(n: BreathNote, next: BreathNote, options: BreathOptions): number {
  const { barEnds, beats, clock, gapSeconds } = options;
  const at = next.onsetTicks;
  const last = firstIndex(beats.length, (k) => beats[k]! >= at) - 1;
  const beat = (beats[last + 1] ?? at) - beats[last]!;
  const length = n.durationTicks / beat;
  const bars = barEnds.get(at);
  let cost = COSTS.shortNote * Math.max(0, 1 - length) -
    COSTS.longNote * Math.max(0, Math.min(3, length - 1));
  if (clock(endOf(n)) - clock(n.onsetTicks) < 2 * gapSeconds) cost += COSTS.noRoom;
  if (next.slurred) cost += COSTS.withinSlur;
  if (bars === undefined) return cost + COSTS.withinBar;
  if (length < 1 && next.durationTicks > n.durationTicks) cost += COSTS.landing;
  cost -= COSTS.barEnd;
  if (bars % 2 === 0) cost -= COSTS.twoBars;
  if (bars % 4 === 0) cost -= COSTS.fourBars;
  return cost;
}

/** Ticks of a breath before a position: an eighth, or at quick tempos as many eighths as a breath takes. */
function gapBefore(end: Ticks, { clock, ticksPerQuarter, gapSeconds }: BreathOptions): Ticks {
  let gap = ticksPerQuarter / 2;
  while (clock(end) - clock(end - gap) < gapSeconds && gap < 2 * ticksPerQuarter) gap += ticksPerQuarter / 2;
  return gap;
}

/** The notes with a comma or room for a breath before a position, or, in a run, after the note there. */
function partedAt<N extends BreathNote>(
  notes: readonly N[],
  at: Ticks,
  options: BreathOptions,
): readonly N[] {
  const i = notes.findLastIndex((n) => n.onsetTicks < at);
  const n = notes[i]!;
  if (n.kind === "melody") {
    // Who sings the tune reads its own values, as those who share it do, and a comma says where the breath is taken from them.
    return notes.with(i, {
      ...n,
      articulations: [...new Set([...(n.articulations ?? []), "breath" as const])],
    });
  }
  const reached = notes[i + 1];
  const on = options.beats.find((b) => b > at) ?? at;
  if (
    n.kind === "run" && reached?.kind === "run" && reached.onsetTicks === at &&
    on - endOf(reached) >= gapBefore(on, options)
  ) {
    return notes.filter((m) => m.onsetTicks <= at || m.onsetTicks >= on);
  }
  const from = at - gapBefore(at, options);
  const parted: N[] = [];
  for (const m of notes) {
    const end = endOf(m);
    if (m.onsetTicks >= at || end <= from) parted.push(m);
    else {
      if (from > m.onsetTicks) parted.push({ ...m, durationTicks: from - m.onsetTicks });
      if (end > at) parted.push({ ...m, onsetTicks: at, durationTicks: end - at });
    }
  }
  return parted;
}
