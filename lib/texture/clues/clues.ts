/** Clues a part gives of what it is for: named numbers per bar and part, read over three spans and beside the other parts. */
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import { strokeCount } from "../../score/tremolo.ts";
import type { CellFeatures } from "../features/features.ts";
import { type Companions, companionsOf } from "../features/overlaps.ts";
import { RECURRENCE_CLUES, recurrencesOf } from "../features/recurrences.ts";

/** What is counted per bar and part, and summed over spans of bars. */
const COUNTS = [
  "onsets",
  "strokes",
  "soundingQuarters",
  "writtenQuarters",
  "moves",
  "repeats",
  "steps",
  "leaps",
  "wide",
  "returns",
  "scaleNotes",
  "arpeggioNotes",
  "slurred",
  "short",
  "offBeat",
  "offHalf",
  "downbeats",
  "apart",
  "held",
  "quick",
  "dotted",
  "chordNotes",
  "tremoloQuarters",
  "trillQuarters",
  "dynamics",
  "pitches",
  "accents",
  "barQuarters",
  "turns",
  "distinctPitches",
  "distinctLengths",
  "compass",
] as const;
type Count = typeof COUNTS[number];
const COUNT = Object.fromEntries(COUNTS.map((name, i) => [name, i])) as Readonly<Record<Count, number>>;
const WIDTH = COUNTS.length;

/** Clues of one span of bars. */
const SPAN_CLUES = [
  "repeats",
  "steps",
  "leaps",
  "wide",
  "returns",
  "scale",
  "arpeggio",
  "pace",
  "length",
  "coverage",
  "slurred",
  "short",
  "offBeat",
  "offHalf",
  "apart",
  "held",
  "quick",
  "dotted",
  "distinct",
  "distinctLengths",
  "compass",
  "turns",
  "single",
  "fewStrokes",
] as const;

/** Spans the clues are read over. */
const SPANS = ["bar", "near", "wide"] as const;

/** Clues of the bar that need no span, or other parts. */
export const BAR_CLUES = [
  "begins",
  "heldOver",
  "tremolo",
  "trill",
  "chords",
  "accents",
  "downbeat",
  "enters",
  "leaves",
  "rhythmAsBefore",
  "pitchesAsBefore",
  "higher",
  "top",
  "bottom",
  "nextAbove",
  "softer",
  "busier",
  "longer",
  "sounding",
  "unison",
  "sameRhythm",
  "ownRhythm",
  "othersMove",
  "othersHold",
  "othersRepeat",
  "groupTop",
  "groupHigher",
  "woodwind",
  "brass",
  "percussion",
  "strings",
  "firstStrings",
  "register",
  "unpitched",
  "registerOfOwn",
  "shortBar",
  "moreMoving",
  "fresh",
  ...RECURRENCE_CLUES,
] as const;

/** Names of all clues, in the order of a row. */
export const CLUES: readonly string[] = [
  ...SPANS.flatMap((span) => SPAN_CLUES.map((clue) => `${span} ${clue}`)),
  ...BAR_CLUES,
];

/** Clues of a score. */
export interface Clues {
  /** Rows of {@linkcode CLUES}, by bar, then part; all zero where a part is silent. */
  readonly rows: readonly Float64Array[];
  /** Which parts do the same. */
  readonly companions: Companions;
}

/** Span of at least so many quarters around a bar, as first and last bar. */
function spanOf(score: Score, bar: number, quarters: number): readonly [number, number] {
  const target = quarters * score.ticksPerQuarter * 0.9;
  let [from, to] = [bar, bar];
  let length = score.bars[bar]!.durationTicks;
  while (length < target && (from > 0 || to + 1 < score.bars.length)) {
    if (to + 1 < score.bars.length) length += score.bars[++to]!.durationTicks;
    if (from > 0) length += score.bars[--from]!.durationTicks;
  }
  return [from, to];
}

/** How many times more than the others, in octaves: 1 for twice as much, between -2 and 2. */
function comparedWith(own: number, others: number): number {
  return Math.max(-2, Math.min(2, Math.log2(own / Math.max(0.1, others))));
}

/** Counts per bar and part. */
function countsOf(score: Score, features: readonly CellFeatures[]): Float64Array {
  const parts = score.parts.length;
  const quarter = score.ticksPerQuarter;
  const counts = new Float64Array(score.bars.length * parts * WIDTH);
  for (let p = 0; p < parts; p++) {
    let before: { onset: number; end: number; pitch: number } | undefined;
    let twoBefore: number | undefined;
    let lastInterval = 0;
    let lastRow = 0;
    let chain: number[] = [];
    let leapChain: number[] = [];
    const closeChains = () => {
      if (chain.length >= 4) { for (const r of chain) counts[r + COUNT.scaleNotes]!++; }
      if (leapChain.length >= 3) { for (const r of leapChain) counts[r + COUNT.arpeggioNotes]!++; }
    };
    for (let b = 0; b < score.bars.length; b++) {
      const bar = score.bars[b]!;
      const f = features[b * parts + p]!;
      const row = (b * parts + p) * WIDTH;
      counts[row + COUNT.barQuarters] = bar.durationTicks / quarter;
      const pitches = new Set<number>();
      const lengths = new Set<number>();
      let [low, high] = [Infinity, -Infinity];
      f.line.forEach((n, i) => {
        const strokes = strokeCount(n, quarter);
        const stroke = n.durationTicks / quarter / strokes;
        const next = f.line[i + 1];
        const end = n.onsetTicks + n.durationTicks;
        const silentBefore = before === undefined || n.onsetTicks - before.end >= 0.4 * quarter;
        const silentAfter = next ? next.onsetTicks - end >= 0.4 * quarter : false;
        const add = (name: Count, amount = 1) => counts[row + COUNT[name]]! += amount;
        add("onsets");
        add("strokes", strokes);
        add("writtenQuarters", n.durationTicks / quarter);
        pitches.add(n.soundingPitch);
        lengths.add(n.durationTicks);
        low = Math.min(low, n.soundingPitch);
        high = Math.max(high, n.soundingPitch);
        if (n.slurred || n.slurStart) add("slurred");
        if (n.articulations.includes("staccato") || n.articulations.includes("staccatissimo")) add("short");
        if (n.articulations.includes("accent") || n.articulations.includes("marcato")) add("accents");
        if (n.onsetTicks % quarter !== 0) add("offBeat");
        if (n.onsetTicks % (quarter / 2) !== 0) add("offHalf");
        if (n.onsetTicks === bar.startTicks) add("downbeats");
        if (stroke >= 1.9) add("held");
        if (stroke <= 0.34) add("quick");
        if (Math.abs(stroke - 0.75) < 0.01 || Math.abs(stroke - 1.5) < 0.01 || Math.abs(stroke - 3) < 0.01) {
          add("dotted");
        }
        if (n.tremoloSlashes > 0) add("tremoloQuarters", n.durationTicks / quarter);
        if (n.trill) add("trillQuarters", n.durationTicks / quarter);
        add("dynamics", n.dynamic);
        add("pitches", n.soundingPitch);
        if (silentBefore && silentAfter) add("apart");
        if (strokes > 1) {
          add("moves", strokes - 1);
          add("repeats", strokes - 1);
        }
        if (before === undefined || n.onsetTicks - before.end > 2 * quarter) {
          closeChains();
          [chain, leapChain] = [[row], [row]];
          [twoBefore, lastInterval] = [undefined, 0];
        } else {
          const interval = n.soundingPitch - before.pitch;
          const size = Math.abs(interval);
          add("moves");
          if (size === 0) add("repeats");
          else if (size <= 2) add("steps");
          else add("leaps");
          if (size > 7) add("wide");
          if (size > 0 && twoBefore === n.soundingPitch) add("returns");
          if (interval * lastInterval < 0) add("turns");
          const sameWay = interval * lastInterval >= 0;
          if (size >= 1 && size <= 2) {
            if (chain.length > 1 && !sameWay) {
              closeChains();
              chain = [lastRow];
            }
            chain.push(row);
          } else {
            closeChains();
            chain = [row];
            leapChain = size >= 3 ? leapChain : [];
          }
          if (size >= 3) leapChain.push(row);
          else leapChain = [row];
          twoBefore = before.pitch;
          lastInterval = interval;
        }
        before = { onset: n.onsetTicks, end, pitch: n.soundingPitch };
        lastRow = row;
      });
      counts[row + COUNT.distinctPitches] = pitches.size;
      counts[row + COUNT.distinctLengths] = lengths.size;
      counts[row + COUNT.compass] = high >= low ? high - low : 0;
    }
    closeChains();
  }
  return counts;
}

/** Quarters in which a part sounds, clipped to the bars. */
function addSounding(score: Score, features: readonly CellFeatures[], counts: Float64Array): void {
  const parts = score.parts.length;
  for (let p = 0; p < parts; p++) {
    let until = -1;
    for (let b = 0; b < score.bars.length; b++) {
      const { startTicks, durationTicks } = score.bars[b]!;
      const end = startTicks + durationTicks;
      let sounding = Math.max(0, Math.min(until, end) - startTicks);
      for (const n of features[b * parts + p]!.line) {
        const from = Math.max(n.onsetTicks, until);
        until = Math.max(until, n.onsetTicks + n.durationTicks);
        sounding += Math.max(0, Math.min(until, end) - Math.min(from, end));
      }
      counts[(b * parts + p) * WIDTH + COUNT.soundingQuarters] = sounding / score.ticksPerQuarter;
    }
  }
}

/**
 * Clues of every bar and part.
 *
 * @param score the score
 * @param features features of the same score
 * @returns one row per bar and part, and how the parts of a bar overlap
 */
export function cluesOf(score: Score, features: readonly CellFeatures[]): Clues {
  const parts = score.parts.length;
  const bars = score.bars.length;
  const counts = countsOf(score, features);
  addSounding(score, features, counts);
  const companions = companionsOf(score, features);
  const recurrences = recurrencesOf(score, features);
  const families = score.parts.map((p) => instrumentById(p.instrument));
  const firstStrings = families.findIndex((i) => i.family === "strings");
  const rows: Float64Array[] = [];
  const spanSums = SPANS.map(() => new Float64Array(parts * WIDTH));
  /** Bar in which each part last came in. */
  const entered = new Int32Array(parts);
  /** Of a part that is silent nothing is said: one row stands for all of them. */
  const silent = new Float64Array(CLUES.length);
  for (let b = 0; b < bars; b++) {
    const here = Array.from({ length: parts }, (_, p) => p).filter((p) => features[b * parts + p]!.sounds);
    if (here.length === 0) {
      for (let p = 0; p < parts; p++) rows.push(silent);
      continue;
    }
    const spans = [[b, b] as const, spanOf(score, b, 4), spanOf(score, b, 12)];
    spans.forEach(([from, to], s) => {
      const sums = spanSums[s]!;
      sums.fill(0);
      for (let w = from; w <= to; w++) {
        const at = w * parts * WIDTH;
        for (let i = 0; i < parts * WIDTH; i++) sums[i] = sums[i]! + counts[at + i]!;
      }
    });
    // Registers, loudness and pace beside the others are compared over the near span.
    const near = spanSums[1]!;
    const pitch = new Float64Array(parts);
    const loud = new Float64Array(parts);
    const pace = new Float64Array(parts);
    const length = new Float64Array(parts);
    const moving = new Float64Array(parts);
    const repeating = new Float64Array(parts);
    const totals = { pace: 0, length: 0, moving: 0, held: 0, repeats: 0 };
    let loudest = 1;
    for (const p of here) {
      const of = (name: Count) => near[p * WIDTH + COUNT[name]]!;
      const onsets = Math.max(1, of("onsets"));
      const moves = Math.max(1, of("moves"));
      pitch[p] = of("pitches") / onsets;
      loud[p] = of("dynamics") / onsets;
      pace[p] = of("strokes") / Math.max(0.25, of("soundingQuarters"));
      length[p] = of("writtenQuarters") / Math.max(1, of("strokes"));
      moving[p] = (of("steps") + of("leaps")) / moves;
      repeating[p] = of("repeats") / moves;
      loudest = Math.max(loudest, loud[p]!);
      totals.pace += pace[p]!;
      totals.length += length[p]!;
      totals.moving += moving[p]!;
      totals.held += Math.min(1, length[p]! / 2);
      totals.repeats += repeating[p]!;
    }
    const pitched = here.filter((p) => !families[p]!.unpitched && near[p * WIDTH + COUNT.onsets]! > 0);
    const pitchList = pitched.map((p) => pitch[p]!).sort((x, y) => x - y);
    /** Parts that lie more than half a semitone higher. */
    const above = new Int32Array(parts).fill(pitched.length);
    for (const p of pitched) {
      let higher = 0;
      for (const q of pitched) if (pitch[q]! > pitch[p]! + 0.5) higher++;
      above[p] = higher;
    }
    for (let p = 0; p < parts; p++) {
      const f = features[b * parts + p]!;
      const row = f.sounds ? new Float64Array(CLUES.length) : silent;
      rows.push(row);
      if (!f.sounds) continue;
      if (b === 0 || !features[(b - 1) * parts + p]!.sounds) entered[p] = b;
      let at = 0;
      for (const sums of spanSums) {
        const of = (name: Count) => sums[p * WIDTH + COUNT[name]]!;
        const onsets = Math.max(1, of("onsets"));
        const moves = Math.max(1, of("moves"));
        const bare = of("onsets") === 0;
        const put = (x: number) => row[at++] = x;
        put(of("repeats") / moves);
        put(of("steps") / moves);
        put(of("leaps") / moves);
        put(of("wide") / moves);
        put(of("returns") / moves);
        put(Math.min(1, of("scaleNotes") / onsets));
        put(Math.min(1, of("arpeggioNotes") / onsets));
        put(bare ? -2 : Math.log2(Math.max(0.25, of("strokes") / Math.max(0.25, of("soundingQuarters")))));
        put(
          bare ? 2 : Math.log2(Math.max(0.0625, of("writtenQuarters") / Math.max(1, of("strokes")))),
        );
        put(Math.min(1, of("soundingQuarters") / Math.max(0.25, of("barQuarters"))));
        put(of("slurred") / onsets);
        put(of("short") / onsets);
        put(of("offBeat") / onsets);
        put(of("offHalf") / onsets);
        put(of("apart") / onsets);
        put(bare ? 1 : of("held") / onsets);
        put(of("quick") / onsets);
        put(of("dotted") / onsets);
        put(of("distinctPitches") / onsets);
        put(Math.min(1, of("distinctLengths") / onsets));
        put(Math.min(2, of("compass") / 12 / Math.max(1, of("barQuarters") / 4)));
        put(of("turns") / moves);
        put(of("distinctPitches") <= 1 ? 1 : 0);
        put(of("strokes") / Math.max(0.25, of("barQuarters")) < 0.8 ? 1 : 0);
      }
      const own = (name: Count) => counts[(b * parts + p) * WIDTH + COUNT[name]]!;
      const others = Math.max(1, here.length - 1);
      const heights = pitched.length;
      const isPitched = !families[p]!.unpitched && near[p * WIDTH + COUNT.onsets]! > 0;
      const nextAbove = isPitched ? pitchList.find((x) => x > pitch[p]! + 0.5) : undefined;
      const cell = b * parts + p;
      const put = (x: number) => row[at++] = x;
      const sounds = (bar: number) => bar >= 0 && bar < bars && features[bar * parts + p]!.sounds ? 1 : 0;
      put(f.line.length > 0 ? 1 : 0);
      put(f.line.length === 0 ? 1 : 0);
      put(f.tremolo);
      put(f.trill);
      put(f.chordShare);
      put(own("accents") / Math.max(1, own("onsets")));
      put(own("downbeats"));
      put(1 - sounds(b - 1));
      put(1 - sounds(b + 1));
      put(companions.rhythmAsBefore[cell]!);
      put(companions.pitchesAsBefore[cell]!);
      put(above[p]! / Math.max(1, heights));
      put(isPitched && above[p] === 0 ? 1 : 0);
      put(isPitched && pitchList[0]! >= pitch[p]! - 0.5 ? 1 : 0);
      put(nextAbove === undefined ? 1 : Math.min(1, (nextAbove - pitch[p]!) / 12));
      put(Math.min(1, Math.max(0, (loudest - loud[p]!) / 3)));
      put(comparedWith(pace[p]!, (totals.pace - pace[p]!) / others));
      put(comparedWith(Math.max(0.05, length[p]!), (totals.length - length[p]!) / others));
      put(Math.log2(Math.max(1, here.length)) / 4);
      put(companions.unison[cell]!.length / others);
      put(companions.rhythm[cell]!.length / others);
      put(1 - companions.mostRhythm[cell]!);
      put((totals.moving - moving[p]!) / others);
      put((totals.held - Math.min(1, length[p]! / 2)) / others);
      put((totals.repeats - repeating[p]!) / others);
      let groupAbove = above[p]!;
      for (const i of companions.unison[cell]!) groupAbove = Math.min(groupAbove, above[i % parts]!);
      put(groupAbove === 0 ? 1 : 0);
      put(groupAbove / Math.max(1, heights));
      const { family } = families[p]!;
      for (const name of ["woodwind", "brass", "percussion", "strings"]) put(family === name ? 1 : 0);
      put(p === firstStrings ? 1 : 0);
      put(isPitched ? (pitch[p]! - 60) / 24 : 0);
      put(families[p]!.unpitched ? 1 : 0);
      const { low, high } = families[p]!.rangeComfortable;
      put(isPitched ? Math.max(-0.5, Math.min(1.5, (pitch[p]! - low) / Math.max(1, high - low))) : 0.5);
      put(own("barQuarters") < 3 ? 1 : 0);
      let movers = 0;
      for (const q of here) if (moving[q]! > moving[p]! + 0.05) movers++;
      put(movers / others);
      put(1 / (1 + (b - entered[p]!)));
      for (const x of recurrences[cell]!) put(x);
    }
  }
  return { rows, companions };
}
