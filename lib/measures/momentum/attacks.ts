/** When something new begins, and how strongly: the raw material of momentum. */
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf, clockOf } from "../../score/time.ts";
import {
  isUnmeasuredTremolo,
  strokesPerSecond,
  strokeTicks,
  type TremoloRates,
} from "../../score/tremolo.ts";
import type { Seconds } from "../../base/units.ts";

/** One attack of one part. */
export interface Attack {
  readonly part: number;
  readonly barIndex: number;
  readonly ticks: number;
  readonly seconds: Seconds;
  /** Strength of the beginning, 0 to 1: 1 for a tongued, bowed or struck note, less for a change under a slur. */
  readonly strength: number;
  /** Time to the next attack of the part; of its last one, the length of the note. */
  readonly gapSeconds: Seconds;
  /** Sounding pitches of the notes that begin, one for each note; none for a stroke of a shimmer, which blurs. */
  readonly pitches: readonly number[];
}

/** How the strength of an attack depends on how it is played. */
export interface AttackStrengths extends TremoloRates {
  readonly slurredStrength: number;
  /** Strength of a broad, joined stroke (tenuto, portato). */
  readonly broadStrength: number;
  /** Strength of one stroke of an unmeasured tremolo, which blurs into a shimmer. */
  readonly tremoloStrength: number;
}

function strengthOf(note: Note, strengths: AttackStrengths): number {
  // Under the slur of a portato each note is begun anew.
  if (note.slurred && !note.articulations.includes("portato")) return strengths.slurredStrength;
  const broad = note.articulations.includes("tenuto") || note.articulations.includes("portato");
  const short = note.articulations.some((a) => a !== "tenuto" && a !== "portato" && a !== "breath");
  return broad && !short ? strengths.broadStrength : 1;
}

/**
 * Whether the notes of two scores attack alike: at the same places, as strongly. How long they last bears on slashed notes
 * and on the last of a part only; staccato and accents are strokes like any.
 */
export function areSameAttacks(a: readonly Note[], b: readonly Note[], strengths: AttackStrengths): boolean {
  if (a === b) return true;
  if (a.length !== b.length) return false;
  const lastOnsets = new Map<number, number>();
  for (let i = a.length - 1; i >= 0; i--) {
    const one = a[i]!, other = b[i]!;
    if (!lastOnsets.has(one.part)) lastOnsets.set(one.part, one.onsetTicks);
    if (one === other) continue;
    if (
      one.part !== other.part || one.onsetTicks !== other.onsetTicks ||
      one.tremoloSlashes !== other.tremoloSlashes || one.tremolo !== other.tremolo ||
      strengthOf(one, strengths) !== strengthOf(other, strengths)
    ) return false;
    const isLengthHeard = one.tremoloSlashes > 0 || lastOnsets.get(one.part) === one.onsetTicks;
    if (isLengthHeard && one.durationTicks !== other.durationTicks) return false;
  }
  return true;
}

/** An attack before the next one of its part is known. */
type Open = { -readonly [K in keyof Attack]: Attack[K] } & { readonly pitches: number[] };

/**
 * All attacks of a score in order of time, slashed notes written out; the notes of a chord are one attack.
 */
export function attacksOf(score: Score, strengths: AttackStrengths): readonly Attack[] {
  const clock = clockOf(score);
  const parts = score.parts.length;
  const attacks: Open[] = [];
  const known = new Map<number, Open>();
  const put = (note: Note, ticks: number, endTicks: number, strength: number, isBlurred = false) => {
    const key = ticks * parts + note.part;
    const before = known.get(key);
    if (before) {
      before.strength = Math.max(before.strength, strength);
      if (!isBlurred) before.pitches.push(note.soundingPitch);
      return;
    }
    const seconds = clock(ticks);
    const attack: Open = {
      part: note.part,
      barIndex: barIndexOf(score, ticks),
      ticks,
      seconds,
      strength,
      gapSeconds: Math.max(0, clock(endTicks) - seconds),
      pitches: isBlurred ? [] : [note.soundingPitch],
    };
    known.set(key, attack);
    attacks.push(attack);
  };
  for (const note of soundingNotes(score)) {
    const end = note.onsetTicks + note.durationTicks;
    put(note, note.onsetTicks, end, strengthOf(note, strengths));
    if (note.tremoloSlashes === 0) continue;
    const step = strokeTicks(note, score.ticksPerQuarter);
    const perSecond = strokesPerSecond(note, { ticksPerQuarter: score.ticksPerQuarter, clock });
    const isBlurred = isUnmeasuredTremolo(note, perSecond, strengths);
    const strength = isBlurred ? strengths.tremoloStrength : 1;
    for (let t = note.onsetTicks + step; t < end - step / 2; t += step) {
      put(note, t, end, strength, isBlurred);
    }
  }
  attacks.sort((a, b) => a.ticks - b.ticks || a.part - b.part);
  const nextOf = new Array<Open | undefined>(parts);
  for (let i = attacks.length - 1; i >= 0; i--) {
    const attack = attacks[i]!;
    const next = nextOf[attack.part];
    if (next) attack.gapSeconds = next.seconds - attack.seconds;
    nextOf[attack.part] = attack;
  }
  return attacks;
}
