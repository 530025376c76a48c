/** Clues that two parts do the same: named numbers per bar, read in the bar and with the bars beside it. */
import type { Note, Score } from "../../score/model.ts";
import { strokeTicks } from "../../score/tremolo.ts";
import type { Share } from "../../base/units.ts";
import type { CellFeatures } from "../features/features.ts";
import { onsetAndPitchClass, overlap } from "../features/overlaps.ts";

/** What is compared over a span of bars. */
const COMPARED = ["notes", "agree", "lengths", "pace", "together", "repeats"] as const;

/**
 * Names of the clues, in the order of a row. Each is read in the bar and over three bars: notes begun at the same
 * time on the same pitch class, time spent on the same pitch class, how nearly notes begun together last equally
 * long, how nearly both strike equally often, how often both move by the same interval, and how far one repeats its
 * notes more than the other. Each is there squared as well: nearly all in common says more than twice half of it.
 */
export const PAIR_CLUES: readonly string[] = ["", " squared"].flatMap((power) =>
  ["bar", "near"].flatMap((span) => COMPARED.map((clue) => `${span} ${clue}${power}`))
);

/** When two parts can be in unison or octaves at all; model assumptions. */
const MEETING = {
  /** They spend this share of the time both sound on the same pitch class, in the bar or around it. */
  whileBothSound: 1 / 20,
  /**
   * Where one of them begins a single note in the bar, a chord tone may meet a tune: of all notes in the bar and those
   * beside it, they must have this share in common.
   */
  aroundSingleNote: 1 / 20,
} as const;

/** What two parts have in common in a bar. */
export interface PartPair {
  /** Numbers in the order of {@linkcode PAIR_CLUES}; none are worked out where the parts do not meet. */
  readonly row: readonly number[];
  /** Share of the time either sounds, in the bar and those beside it, that both are on the same pitch class. */
  readonly agree: Share;
  /** Whether they meet often enough to be in unison or octaves at all. */
  readonly meets: boolean;
}

/** Smaller over larger, 1 where both are nothing. */
const ratio = (a: number, b: number): Share => Math.max(a, b) === 0 ? 1 : Math.min(a, b) / Math.max(a, b);

/** When a note of a line ends, at the latest where the next begins. */
const endOf = (line: readonly Note[], i: number): number =>
  Math.min(line[i]!.onsetTicks + line[i]!.durationTicks, line[i + 1]?.onsetTicks ?? Infinity);

/** Ticks of a span in which a line sounds. */
function soundingTicks(line: readonly Note[], from: number, to: number): number {
  let sum = 0;
  for (let i = 0; i < line.length; i++) {
    sum += Math.max(0, Math.min(to, endOf(line, i)) - Math.max(from, line[i]!.onsetTicks));
  }
  return sum;
}

/** Shares of the time in a span that two lines are on the same pitch class: of when either sounds, and of when both do. */
function timesOf(
  a: readonly Note[],
  b: readonly Note[],
  [from, to]: readonly [number, number],
): { readonly ofEither: Share; readonly ofBoth: Share } {
  let [i, j, both, same] = [0, 0, 0, 0];
  while (i < a.length && j < b.length) {
    const [m, n] = [a[i]!, b[j]!];
    const [endA, endB] = [endOf(a, i), endOf(b, j)];
    const shared = Math.min(endA, endB, to) - Math.max(m.onsetTicks, n.onsetTicks, from);
    if (shared > 0) {
      both += shared;
      if (samePitchClass(m, n)) same += shared;
    }
    if (endA <= endB) i++;
    else j++;
  }
  if (same === 0) return { ofEither: 0, ofBoth: 0 };
  const either = soundingTicks(a, from, to) + soundingTicks(b, from, to) - both;
  return { ofEither: same / Math.max(1, either), ofBoth: same / Math.max(1, both) };
}

function samePitchClass(a: Note, b: Note): boolean {
  return !a.unpitched && !b.unpitched &&
    (Math.round(a.soundingPitch) - Math.round(b.soundingPitch)) % 12 === 0;
}

/** What of a note, or of one of its strokes, is compared. */
type WrittenStroke = Pick<Note, "onsetTicks" | "durationTicks" | "soundingPitch" | "unpitched">;

/** Notes with their slashes written out. */
function strokesOf(notes: readonly Note[], quarter: number): readonly WrittenStroke[] {
  if (notes.every((n) => n.tremoloSlashes === 0)) return notes;
  const strokes: WrittenStroke[] = [];
  for (const note of notes) {
    const { onsetTicks, durationTicks, soundingPitch, unpitched } = note;
    const each = strokeTicks(note, quarter);
    const count = Math.max(1, Math.round(durationTicks / each));
    for (let i = 0; i < count; i++) {
      strokes.push({
        onsetTicks: Math.round(onsetTicks + i * each),
        durationTicks: Math.round(each),
        soundingPitch,
        unpitched,
      });
    }
  }
  return strokes;
}

/** Share of the steps that repeat the pitch. */
function repeatsOf(strokes: readonly WrittenStroke[]): Share {
  let repeats = 0;
  for (let i = 1; i < strokes.length; i++) {
    if (strokes[i]!.soundingPitch === strokes[i - 1]!.soundingPitch) repeats++;
  }
  return repeats / Math.max(1, strokes.length - 1);
}

/** The notes of two parts that begin together. */
export function begunTogether(
  a: readonly WrittenStroke[],
  b: readonly WrittenStroke[],
): readonly (readonly [WrittenStroke, WrittenStroke])[] {
  const pairs: [WrittenStroke, WrittenStroke][] = [];
  let j = 0;
  for (const note of a) {
    while (j < b.length && b[j]!.onsetTicks < note.onsetTicks) j++;
    if (b[j]?.onsetTicks === note.onsetTicks) pairs.push([note, b[j]!]);
  }
  return pairs;
}

/** The clues of one span, in the order of {@linkcode COMPARED}. */
function compared(a: readonly WrittenStroke[], b: readonly WrittenStroke[], agree: Share): readonly number[] {
  const pairs = begunTogether(a, b);
  const lengths = pairs.reduce((sum, [m, n]) => sum + ratio(m.durationTicks, n.durationTicks), 0);
  let alike = 0;
  pairs.slice(1).forEach(([m, n], k) => {
    const [before, other] = pairs[k]!;
    if (m.soundingPitch - before.soundingPitch === n.soundingPitch - other.soundingPitch) alike++;
  });
  return [
    overlap(a.map(onsetAndPitchClass), b.map(onsetAndPitchClass)),
    agree,
    pairs.length === 0 ? 0.5 : lengths / pairs.length,
    ratio(a.length, b.length),
    pairs.length < 2 ? 0 : alike / (pairs.length - 1),
    Math.abs(repeatsOf(a) - repeatsOf(b)),
  ];
}

/** Clues that are read as printed or as played, slashes written out, whichever is more alike; the others as played. */
const AS_PRINTED_TOO: readonly (typeof COMPARED[number])[] = ["notes", "lengths", "together"];

/** The clues of one span, slashes written out. */
function comparedAsPlayed(
  [a, b]: readonly [readonly Note[], readonly Note[]],
  quarter: number,
  agree: Share,
): readonly number[] {
  const printed = compared(a, b, agree);
  if (a.every((n) => n.tremoloSlashes === 0) && b.every((n) => n.tremoloSlashes === 0)) return printed;
  const played = compared(strokesOf(a, quarter), strokesOf(b, quarter), agree);
  return COMPARED.map((clue, i) =>
    AS_PRINTED_TOO.includes(clue) ? Math.max(printed[i]!, played[i]!) : played[i]!
  );
}

/**
 * What two parts have in common in a bar.
 *
 * @param cells features of two parts in the same bar
 * @param score their score
 * @returns their clues
 */
export function pairOf([a, b]: readonly [CellFeatures, CellFeatures], score: Score): PartPair {
  const { bars, ticksPerQuarter } = score;
  const spanOf = (from: number, to: number): [number, number] => {
    const last = bars[Math.min(bars.length - 1, to)]!;
    return [bars[Math.max(0, from)]!.startTicks, last.startTicks + last.durationTicks];
  };
  const here = timesOf(a.nearby, b.nearby, spanOf(a.barIndex, a.barIndex));
  const around = timesOf(a.nearby, b.nearby, spanOf(a.barIndex - 1, a.barIndex + 1));
  const agree = around.ofEither;
  const apart: PartPair = { row: [], agree, meets: false };
  if (Math.max(here.ofBoth, around.ofBoth) < MEETING.whileBothSound) return apart;
  const near = comparedAsPlayed([a.nearby, b.nearby], ticksPerQuarter, agree);
  const alone = Math.min(a.line.length, b.line.length) <= 1;
  if (alone && near[0]! < MEETING.aroundSingleNote) return apart;
  const row = [...comparedAsPlayed([a.line, b.line], ticksPerQuarter, here.ofEither), ...near];
  return { row: [...row, ...row.map((x) => x * x)], agree, meets: true };
}
