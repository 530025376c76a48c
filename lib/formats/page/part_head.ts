/** What stands at the head of a player's part and over its long silences: tunings of the kettledrums, tacet. */
import type { SoundingPitch, Ticks } from "../../base/units.ts";
import { timpaniTuning } from "../../instruments/special/timpani.ts";
import type { Note, Score, WrittenWords } from "../../score/model.ts";
import { spellingOf } from "../../score/spelled_name.ts";

/** Bars at the end of a part from which on it is said that nothing more comes. Common practice, no source. */
const LAST_REST_BARS = 8;

/**
 * Words that a player's part has and a full score does not: how the kettledrums are tuned at first and what is retuned
 * where, `Tacet` over a part that never plays, `tacet al fine` over a long rest at the end.
 */
export function partHeadWords(score: Score, partIndex: number): readonly WrittenWords[] {
  const own = score.notes.filter((n) => n.part === partIndex && !n.cue);
  const words = (onsetTicks: Ticks, text: string): WrittenWords => ({ onsetTicks, staff: 1, words: text });
  if (own.length === 0) return [words(0, "Tacet")];
  const isTimpani = score.parts[partIndex]!.instrument === "timpani";
  return [...(isTimpani ? tuningWords(score, own, words) : []), ...lastRest(score, own, words)];
}

/** Where a part has played its last note, and much is still to come. */
function lastRest(
  score: Score,
  own: readonly Note[],
  words: (onsetTicks: Ticks, text: string) => WrittenWords,
): readonly WrittenWords[] {
  const end = Math.max(...own.map((n) => n.onsetTicks + n.durationTicks));
  const left = score.bars.filter((b) => b.startTicks >= end);
  return left.length < LAST_REST_BARS ? [] : [words(left[0]!.startTicks, "tacet al fine")];
}

/** Tunings as the drums need them, each as late as the notes before allow. */
function tuningWords(
  score: Score,
  own: readonly Note[],
  words: (onsetTicks: Ticks, text: string) => WrittenWords,
): readonly WrittenWords[] {
  const nameOf = drumNames(score, own);
  const found: WrittenWords[] = [];
  let drums: readonly (SoundingPitch | null)[] | undefined;
  let soundedTo = 0;
  for (const [i, { onsetTicks, durationTicks, soundingPitch }] of own.entries()) {
    if (!drums?.includes(soundingPitch)) {
      const next = nextTuning(own.slice(i), drums);
      if (!next) return found;
      if (!drums) found.push(words(0, `in ${namesOf(next.pitches, nameOf)}`));
      else {
        const changes = next.pitches.flatMap((pitch, d) => {
          const before = drums![d] ?? null;
          if (pitch === before || pitch === null) return [];
          return [before === null ? `tune ${nameOf(pitch)}` : `${nameOf(before)} to ${nameOf(pitch)}`];
        });
        found.push(words(soundedTo, changes.join(", ")));
      }
      drums = next.pitches;
    }
    soundedTo = Math.max(soundedTo, onsetTicks + durationTicks);
  }
  return found;
}

const namesOf = (drums: readonly (SoundingPitch | null)[], nameOf: (pitch: SoundingPitch) => string) =>
  drums.filter((pitch) => pitch !== null).sort((a, b) => a - b).map(nameOf).join(", ");

/** The tuning that serves the longest from here on. */
function nextTuning(
  notes: readonly Note[],
  before: readonly (SoundingPitch | null)[] | undefined,
): ReturnType<typeof timpaniTuning> | undefined {
  const wanted = new Set<SoundingPitch>();
  let best: ReturnType<typeof timpaniTuning> | undefined;
  for (const { soundingPitch } of notes) {
    if (wanted.has(soundingPitch)) continue;
    wanted.add(soundingPitch);
    const tuning = timpaniTuning([...wanted], before);
    if (!tuning.possible) break;
    best = tuning;
  }
  return best;
}

/** Names of pitches as the part spells them, without octaves. */
function drumNames(score: Score, own: readonly Note[]): (pitch: SoundingPitch) => string {
  const names = new Map<SoundingPitch, string>();
  for (const note of own) {
    const { step, alter } = spellingOf(score, note);
    const sign = alter > 0 ? "♯".repeat(alter) : "♭".repeat(-alter);
    if (!names.has(note.soundingPitch)) names.set(note.soundingPitch, `${step}${sign}`);
  }
  return (pitch) => names.get(pitch)!;
}
