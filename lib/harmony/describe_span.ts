/** What is said of a stretch once its chord is known. */
import type { SymbolChord } from "../score/chord_symbol.ts";
import { CHORD_TYPES } from "../score/chord_types.ts";
import type { Score } from "../score/model.ts";
import { barBeatOf } from "../score/time.ts";
import { keySignature, namedKey, symbolOf } from "./chord_names.ts";
import { kindOf, modeOf, modulo12, rootOf } from "./chord_space.ts";
import { degreeOf } from "./degree_of.ts";
import type { HarmonySpan, LocalKey } from "./harmony_results.ts";
import type { NamedChord } from "./name_chords.ts";
import type { Segment } from "./segments.ts";

/** What is known of a stretch; pitch classes are counted from the reference of the slots. */
export interface SpanFacts {
  readonly segment: Segment;
  readonly chord: NamedChord | undefined;
  readonly key: number | undefined;
  /** The chord after it. */
  readonly next?: NamedChord | undefined;
  readonly printed?: { readonly symbol: string; readonly chord: SymbolChord | undefined } | undefined;
}

/** The span of a stretch, pitch classes counted from C. */
export function spanOf(score: Score, facts: SpanFacts, reference: number): HarmonySpan {
  const { startTicks, endTicks } = facts.segment;
  const place = barBeatOf(score, startTicks);
  const keyFifths = score.bars[place.barIndex]?.keyFifths ?? 0;
  const key = facts.key === undefined ? null : localKey(facts.key, reference, keyFifths);
  return {
    startTicks,
    endTicks,
    barIndex: place.barIndex,
    bar: place.bar,
    beat: place.beat,
    ...chordFacts(facts, { reference, key, keyFifths }),
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
  { reference, key, keyFifths }: {
    readonly reference: number;
    readonly key: LocalKey | null;
    readonly keyFifths: number;
  },
): ChordFacts {
  const sounding = bassOf(segment, chord === undefined ? [] : tonesOf(chord.chord));
  const heard = sounding === null ? null : modulo12(sounding + reference);
  const origin = printed ? "symbol" as const : "notes" as const;
  if (chord === undefined || key === null) {
    const confidence = printed || heard === null ? 1 : 0;
    return { ...NO_CHORD, symbol: printed?.symbol ?? "N.C.", bass: heard, confidence, origin };
  }
  const kind = kindOf(chord.chord);
  const root = modulo12(rootOf(chord.chord) + reference);
  const tones = printed?.chord?.tones.map((t) => t.pitchClass) ??
    tonesOf(chord.chord).map((tone) => modulo12(tone + reference));
  const bass = printed?.chord ? printed.chord.bass.pitchClass : heard;
  const inversion = bass === null || !tones.includes(bass) ? null : tones.indexOf(bass);
  return {
    symbol: printed?.symbol ??
      symbolOf({ root, kind, bass, keyFifths: keySignature(key.tonic, key.mode, keyFifths) }),
    root,
    quality: printed?.chord?.quality ?? CHORD_TYPES[kind]!.quality,
    tones,
    bass,
    inversion,
    degree: degreeOf(
      { root, kind, inversion, nextRoot: next && modulo12(rootOf(next.chord) + reference) },
      key,
    ),
    confidence: chord.confidence,
    explainedShare: tones.reduce((sum, tone) => sum + segment.plainSound[modulo12(tone - reference)]!, 0),
    origin,
  };
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
