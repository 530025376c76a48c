/** What is said of a stretch once its chord is known. */
import type { SymbolChord } from "../score/chord_symbol.ts";
import { CHORD_TYPES } from "../score/chord_types.ts";
import type { Score } from "../score/model.ts";
import { barBeatOf } from "../score/time.ts";
import { calledBy } from "./added_tones.ts";
import { keySignature, namedKey, symbolOf } from "./chord_names.ts";
import { kindOf, modeOf, modulo12, rootOf } from "./chord_space.ts";
import { degreeOf, type ToPlace } from "./degree_of.ts";
import type { HarmonySpan, LocalKey } from "./harmony_results.ts";
import type { NamedChord } from "./name_chords.ts";
import type { Segment } from "./segments.ts";

/** What is known of a stretch; pitch classes are counted from the reference of the slots. */
export interface SpanFacts {
  readonly segment: Segment;
  readonly chord: NamedChord | undefined;
  readonly key: number | undefined;
  /** What comes after it. */
  readonly next?: Pick<SpanFacts, "segment" | "chord"> | undefined;
  readonly printed?: { readonly symbol: string; readonly chord: SymbolChord | undefined } | undefined;
}

/** The span of a stretch, pitch classes counted from C. */
export function spanOf(score: Score, facts: SpanFacts, reference: number): HarmonySpan {
  const { startTicks, endTicks } = facts.segment;
  const place = barBeatOf(score, startTicks);
  const keyFifths = score.bars[place.barIndex]?.keyFifths ?? 0;
  const key = facts.key === undefined ? null : localKey(facts.key, reference, keyFifths);
  const lastsBar = endTicks - startTicks >= (score.bars[place.barIndex]?.durationTicks ?? Infinity);
  return {
    startTicks,
    endTicks,
    barIndex: place.barIndex,
    bar: place.bar,
    beat: place.beat,
    ...chordFacts(facts, { reference, key, keyFifths, lastsBar }),
    key,
  };
}

function localKey(key: number, reference: number, keyFifths: number): LocalKey {
  return namedKey(modulo12(key + reference), modeOf(key) === 0 ? "major" : "minor", keyFifths);
}

/** What a span says of its chord. */
type ChordFacts = Pick<
  HarmonySpan,
  | "symbol"
  | "root"
  | "quality"
  | "tones"
  | "bass"
  | "inversion"
  | "degree"
  | "confidence"
  | "explainedShare"
  | "origin"
>;

function chordFacts(
  { segment, chord, next, printed }: SpanFacts,
  { reference, key, keyFifths, lastsBar }: {
    readonly reference: number;
    readonly key: LocalKey | null;
    readonly keyFifths: number;
    readonly lastsBar: boolean;
  },
): ChordFacts {
  if (chord === undefined || key === null) {
    const sounding = bassOf(segment, []);
    return {
      ...NO_CHORD,
      symbol: printed?.symbol ?? "N.C.",
      bass: sounding === null ? null : modulo12(sounding + reference),
      confidence: printed || sounding === null ? 1 : 0,
      origin: printed ? "symbol" : "notes",
    };
  }
  const up = (pitchClass: number) => modulo12(pitchClass + reference);
  const called = calledBy(chord.chord, printed || !lastsBar ? undefined : segment);
  const own = called.type.semitones.map((semitones) => (called.root + semitones) % 12);
  const tones = printed?.chord?.tones.map((t) => t.pitchClass) ?? own.map(up);
  const heard = bassOf(segment, own);
  const bass = printed?.chord ? printed.chord.bass.pitchClass : heard === null ? null : up(heard);
  const inversion = bass === null ? -1 : tones.slice(0, 4).indexOf(bass);
  const facts = { root: up(called.root), bass, inversion: inversion < 0 ? null : inversion };
  const keyFifthsHere = keySignature(key.tonic, key.mode, keyFifths);
  const placed = { ...facts, ...called, root: facts.root };
  return {
    ...facts,
    symbol: printed?.symbol ?? symbolOf({ ...placed, keyFifths: keyFifthsHere }),
    quality: printed?.chord?.quality ?? called.type.quality,
    tones,
    degree: degreeOf({ ...placed, next: nextOf(next, reference), sixth: sixthOf(chord.chord, segment) }, key),
    confidence: chord.confidence,
    explainedShare: tones.reduce((sum, tone) => sum + segment.plainSound[modulo12(tone - reference)]!, 0),
    origin: printed ? "symbol" : "notes",
  };
}

/** The chord after a stretch, and its bass, pitch classes counted from C. */
function nextOf(next: SpanFacts["next"], reference: number): ToPlace["next"] {
  if (next?.chord === undefined) return undefined;
  const { chord } = next.chord;
  const bass = bassOf(next.segment, tonesOf(chord));
  const up = (pitchClass: number) => modulo12(pitchClass + reference);
  return { root: up(rootOf(chord)), kind: kindOf(chord), bass: bass === null ? null : up(bass) };
}

/** A tone is there where it has this part of the sound; model assumption. */
const IS_THERE = 0.03;

/** Which of the augmented sixths a dominant seventh chord would be, by the tone that stands in its fifth's place. */
function sixthOf(chord: number, { plainSound }: Segment): string {
  const isThere = (up: number) => plainSound[(rootOf(chord) + up) % 12]! >= IS_THERE;
  return isThere(7) ? "Ger65" : isThere(6) ? "Fr43" : "It6";
}

/** Pitch classes of a chord, from the root upwards. */
function tonesOf(chord: number): readonly number[] {
  return CHORD_TYPES[kindOf(chord)]!.semitones.map((up) => (rootOf(chord) + up) % 12);
}

const NO_CHORD = {
  root: null,
  quality: null,
  tones: [],
  inversion: null,
  degree: "",
  explainedShare: 0,
} as const;

/** A tone is in the bass of a span where it is that for a share of the time; chosen on the annotated movements. */
const BASS_SHARE = 0.2;

/**
 * The bass of a span: the root where it is in the bass for a fifth of the time, for a moving bass touches other tones too;
 * else the first bass note if it is of the chord, else the tone of the chord that is in the bass for longest, else whatever
 * is. Pitch classes are counted from the reference.
 */
function bassOf({ bass, firstBass }: Segment, tones: readonly number[]): number | null {
  if (firstBass < 0) return null;
  const longest = (of: readonly number[]) => of.reduce((most, one) => bass[one]! > bass[most]! ? one : most);
  const lasts = (tone: number | undefined) => tone !== undefined && bass[tone]! >= BASS_SHARE;
  const [root] = tones;
  if (lasts(root)) return root!;
  if (tones.includes(firstBass)) return firstBass;
  const own = tones.length === 0 ? undefined : longest(tones);
  return lasts(own) ? own! : longest([...bass.keys()]);
}
