/** How strongly a phrase seems to end before each bar: read off the leading line and the bass, not off the scoring. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
// @ts-types="@types/d3-array"
import { median } from "d3-array";
import { printedTurns } from "../printed_turns.ts";
import type { LineNote } from "./lead_line.ts";

/** Constants that turns depend on. */
type TurnConstants = Readonly<
  Record<"fullGapTimes" | "repetitionWeight" | "cadenceWeight" | "signWeight", number>
>;

/** Bars for which a new tempo, metre or key has to hold to be a turn. */
const STEADY_BARS = 4;
/** Bars in which a repetition shows. */
const REPEATED_BARS = 2;
/** How far back a repetition is looked for, in bars. */
const LOOK_BACK_BARS = 64;
/** A fall by a fifth or a rise by a fourth, upwards in semitones. */
const CLOSING_STEP = 5;

/**
 * Evidence at each bar line that a phrase begins there:
 *
 * - gap: how much longer the line waits there than it usually does, time to the next note and silence before it
 *   together, in powers of two up to `fullGapTimes`; an upbeat of up to half a bar belongs to what it leads into
 * - repetition: how much the two bars from there are like two earlier ones, in rhythm and in steps, while those before are
 *   not: a repetition begins
 * - cadence: the bass falls a fifth or rises a fourth to what the line waits on
 * - signs: double bar, repeat, new tempo, metre or key
 *
 * Source of gap and repetition: Temperley, The Cognition of Basic Musical Structures (2001), ch. 3, gap rule and metrical
 * parallelism, from memory; the weights are model assumptions.
 */
export function phraseTurns(score: Score, line: readonly LineNote[], c: TurnConstants): readonly number[] {
  const signs = printedTurns(score, STEADY_BARS);
  const isPlanned = (score.layers ?? []).length > 0;
  const gaps = gapsOf(score, line, c);
  const alike = barsAlike(score, line);
  const bass = bassOf(score);
  return score.bars.map((bar, b) => {
    if (b === 0) return 0;
    const { strength, waitsFrom } = gaps[b]!;
    const closes = waitsFrom !== undefined && isClosing(bass, waitsFrom);
    const printed = signs[b]!.length + (bar.rehearsal !== undefined && !isPlanned ? 1 : 0);
    return strength + (closes ? c.cadenceWeight * strength : 0) +
      c.repetitionWeight * repetitionAt(b, score.bars.length, alike) + c.signWeight * Math.min(1, printed);
  });
}

/** Where the line waits before a bar, and how long against what is usual. */
interface Gap {
  readonly strength: number;
  /** Onset of the note it waits on. */
  readonly waitsFrom: number | undefined;
}

function gapsOf(score: Score, line: readonly LineNote[], { fullGapTimes }: TurnConstants): readonly Gap[] {
  const waits = line.slice(1).map((note, i) => {
    const before = line[i]!;
    return {
      from: before.onsetTicks,
      to: note.onsetTicks,
      ticks: note.onsetTicks - before.onsetTicks + Math.max(0, note.onsetTicks - before.endTicks),
    };
  });
  const usual = median(waits, (w) => w.ticks)!;
  let next = 0;
  return score.bars.map(({ startTicks, durationTicks }, b): Gap => {
    const length = b === 0 ? durationTicks : score.bars[b - 1]!.durationTicks;
    const earliest = startTicks - length / 2;
    while (next < waits.length && waits[next]!.to < earliest) next++;
    let longest: (typeof waits)[number] | undefined;
    for (let i = next; i < waits.length && waits[i]!.from < startTicks; i++) {
      if (longest === undefined || waits[i]!.ticks > longest.ticks) longest = waits[i]!;
    }
    if (longest === undefined) return { strength: 0, waitsFrom: undefined };
    const strength = Math.log2(longest.ticks / usual) / Math.log2(fullGapTimes);
    return { strength: Math.min(1, Math.max(0, strength)), waitsFrom: longest.from };
  });
}

/** Likeness of two bars of the line: places of its notes in the bar, and the steps between them. */
function barsAlike(score: Score, line: readonly LineNote[]): (i: number, j: number) => number {
  const notes = score.bars.map((): LineNote[] => []);
  for (const note of line) notes[note.barIndex]!.push(note);
  const described = notes.map((own, b) => ({
    places: new Set(own.map((n) => n.onsetTicks - score.bars[b]!.startTicks)),
    steps: own.slice(1).map((n, i) => n.pitch - own[i]!.pitch),
  }));
  const known = new Map<number, number>();
  const likeness = (i: number, j: number): number => {
    const [a, b] = [described[i]!, described[j]!];
    let shared = 0;
    for (const place of a.places) if (b.places.has(place)) shared++;
    const all = a.places.size + b.places.size - shared;
    if (all === 0) return 0;
    const places = shared / all;
    const most = Math.max(a.steps.length, b.steps.length);
    const same =
      a.steps.filter((step, k) => b.steps[k] !== undefined && Math.abs(step - b.steps[k]!) <= 1).length;
    return most === 0 ? places : places * (1 + same / most) / 2;
  };
  return (i, j) => {
    const key = i * described.length + j;
    let found = known.get(key);
    if (found === undefined) known.set(key, found = likeness(i, j));
    return found;
  };
}

/** How much a repetition begins at a bar: the most by which what follows is more like what followed before than what came first is. */
function repetitionAt(b: number, count: number, alike: (i: number, j: number) => number): number {
  let most = 0;
  const span = Math.min(REPEATED_BARS, count - b);
  for (let earlier = Math.max(0, b - LOOK_BACK_BARS); earlier + REPEATED_BARS <= b; earlier++) {
    let after = 0;
    for (let k = 0; k < span; k++) after += alike(b + k, earlier + k) / span;
    const before = earlier === 0 ? 0 : alike(b - 1, earlier - 1);
    most = Math.max(most, after - before);
  }
  return most;
}

/** The lowest note that sounds, from place to place. */
interface BassNote {
  readonly onsetTicks: number;
  readonly pitch: number;
}

/** The lowest notes that begin, those covered by a lower one that still sounds left out. */
function bassOf(score: Score): readonly BassNote[] {
  const bass: (BassNote & { readonly endTicks: number })[] = [];
  for (const { onsetTicks, durationTicks, soundingPitch, unpitched } of soundingNotes(score)) {
    if (unpitched) continue;
    const last = bass.at(-1);
    if (last !== undefined && last.endTicks > onsetTicks && last.pitch <= soundingPitch) continue;
    const note = { onsetTicks, pitch: soundingPitch, endTicks: onsetTicks + durationTicks };
    if (last?.onsetTicks === onsetTicks) bass[bass.length - 1] = note;
    else bass.push(note);
  }
  return bass;
}

/** Whether the bass falls a fifth or rises a fourth to what sounds at a place. */
function isClosing(bass: readonly BassNote[], ticks: number): boolean {
  const at = bass.findLastIndex((n) => n.onsetTicks <= ticks);
  if (at < 1) return false;
  const pitch = bass[at]!.pitch;
  const before = bass.slice(0, at).findLast((n) => (n.pitch - pitch) % 12 !== 0);
  return before !== undefined && ((pitch - before.pitch) % 12 + 12) % 12 === CLOSING_STEP;
}
