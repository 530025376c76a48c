/** From slots to spans: stretches are cut, named, joined where nothing changes, and described. */
import { isNoChord, readChordSymbol, type SymbolChord } from "../score/chord_symbol.ts";
import { CHORD_TYPES } from "../score/chord_types.ts";
import type { ChordSymbol, Score } from "../score/model.ts";
import { chordAt, kindOf, rootOf } from "./chord_space.ts";
import { type SpanFacts, spanOf } from "./describe_span.ts";
import { type CourseInput, findChanges } from "./find_changes.ts";
import type { HarmonySpan, TickSpan } from "./harmony_results.ts";
import { nameChords, type NamedChord } from "./name_chords.ts";
import { type Segment, segmentOf } from "./segments.ts";
import { slotAt, type SoundSlots } from "./sound_slots.ts";

/** What spans are made of. */
interface SpansInput extends CourseInput {
  readonly slots: SoundSlots;
  readonly given: readonly TickSpan[] | undefined;
  readonly symbols: boolean;
}

/** A stretch with what a printed symbol says of it. */
interface Marked extends TickSpan {
  readonly printed?: { readonly symbol: string; readonly chord: SymbolChord | undefined };
}

/** The spans of a score. */
export function harmonySpans(score: Score, input: SpansInput): readonly HarmonySpan[] {
  const { slots, settings } = input;
  if (slots.count === 0) return [];
  const marked = stretchesOf(score, input).map((stretch) => ({
    ...stretch,
    ...segmentOf(slots, stretch, settings),
  }));
  const chords = marked.filter((one) => hasChord(one));
  const named = nameChords(chords.map((one) => ({ ...one, ...givenChord(one, slots.reference) })), input);
  let next = 0;
  let key: number | undefined;
  const facts = marked.map((segment): SpanFacts => {
    const chord = hasChord(segment) ? named[next++] : undefined;
    key = chord?.key ?? key;
    return { segment, chord, key, printed: segment.printed };
  });
  const joined = input.given ? facts : joinedWhereSame(facts, input);
  return joined.map((one, i) => spanOf(score, { ...one, next: joined[i + 1] }, slots.reference));
}

function hasChord({ printed, isSounding }: Marked & Segment): boolean {
  return printed === undefined ? isSounding : printed.chord !== undefined;
}

/** The nearest chord that is told apart, for a printed one: root as printed, kind by the tones it shares. */
function givenChord({ printed }: Marked, reference: number): { readonly given?: number } {
  const tones = printed?.chord?.tones.map((tone) => tone.pitchClass);
  if (tones === undefined) return {};
  const root = tones[0]!;
  const ups = tones.map((tone) => (tone - root + 12) % 12);
  const shared = CHORD_TYPES.map(({ semitones }) =>
    semitones.filter((up) => ups.includes(up)).length * 2 - semitones.length
  );
  return { given: chordAt(root - reference + 12, shared.indexOf(Math.max(...shared))) };
}

/** Stretches as given, as printed, or as found. */
function stretchesOf(score: Score, input: SpansInput): readonly Marked[] {
  const { slots } = input;
  if (input.given) return input.given;
  const end = slots.startTicks[slots.count]!;
  const symbols = input.symbols ? readable(score.chords).filter((s) => s.onsetTicks < end) : [];
  const first = symbols[0]?.onsetTicks ?? end;
  const found = soundingRuns(score, slots, slotsBefore(slots, first));
  const own = found.flatMap(([from, to, isSounding]): readonly Marked[] =>
    isSounding
      ? findChanges(slots, [from, to], input)
      : [{ startTicks: slots.startTicks[from]!, endTicks: slots.startTicks[to]! }]
  );
  const printed = symbols.map(({ onsetTicks, symbol, chord }, i): Marked => ({
    startTicks: onsetTicks,
    endTicks: symbols[i + 1]?.onsetTicks ?? end,
    printed: { symbol, chord },
  }));
  return [...own.map((one) => ({ ...one, endTicks: Math.min(one.endTicks, first) })), ...printed]
    .filter((one) => one.endTicks > one.startTicks);
}

/** How many slots begin before a position. */
function slotsBefore(slots: SoundSlots, ticks: number): number {
  const slot = slotAt(slots, ticks);
  return slots.startTicks[slot]! < ticks ? slot + 1 : slot;
}

/** Chord symbols that say a chord or the end of one, in order, the last of several at one place. */
function readable(chords: readonly ChordSymbol[]) {
  const read = chords.flatMap(({ onsetTicks, symbol }) => {
    const chord = readChordSymbol(symbol);
    return chord || isNoChord(symbol) ? [{ onsetTicks, symbol, chord }] : [];
  });
  const byPlace = new Map(read.map((one) => [one.onsetTicks, one]));
  return [...byPlace.values()].sort((a, b) => a.onsetTicks - b.onsetTicks);
}

/** Runs of slots up to a slot: sound with its short rests, and silence that lasts a bar or more. */
function soundingRuns(
  score: Score,
  { bass, barIndex, startTicks }: SoundSlots,
  to: number,
): readonly (readonly [from: number, to: number, isSounding: boolean])[] {
  const runs: [number, number, boolean][] = [];
  const add = (from: number, end: number, isSounding: boolean): void => {
    const last = runs.at(-1);
    if (last && last[2] === isSounding) last[1] = end;
    else runs.push([from, end, isSounding]);
  };
  for (let s = 0; s < to;) {
    let end = s + 1;
    while (end < to && (bass[end] === -1) === (bass[s] === -1)) end++;
    const lasts = startTicks[end]! - startTicks[s]! >= score.bars[barIndex[s]!]!.durationTicks || s === 0 ||
      end === to;
    add(s, end, bass[s] !== -1 || !lasts);
    s = end;
  }
  return runs;
}

/** Neighbours with the same chord become one, unless symbols are printed over both. */
function joinedWhereSame(facts: readonly SpanFacts[], { slots, settings }: SpansInput): readonly SpanFacts[] {
  const joined: SpanFacts[] = [];
  for (const one of facts) {
    const last = joined.at(-1);
    const isSame = last !== undefined && !one.printed && !last.printed && isSameChord(one.chord, last.chord);
    if (!isSame) {
      joined.push(one);
      continue;
    }
    const stretch = { startTicks: last.segment.startTicks, endTicks: one.segment.endTicks };
    const surer = (one.chord?.confidence ?? 0) > (last.chord?.confidence ?? 0) ? one : last;
    joined[joined.length - 1] = { ...surer, segment: segmentOf(slots, stretch, settings) };
  }
  return joined;
}

function isSameChord(a: NamedChord | undefined, b: NamedChord | undefined): boolean {
  if (a === undefined || b === undefined) return a === b;
  return rootOf(a.chord) === rootOf(b.chord) && kindOf(a.chord) === kindOf(b.chord);
}
