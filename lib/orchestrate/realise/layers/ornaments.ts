/** Trills that end in a turn, and two notes in quick turn. */
import { barIndexOf, isCompound } from "../../../score/time.ts";
import type { Ticks } from "../../../base/units.ts";
import { voicings, writeShaken } from "./chords.ts";
import { scaleFor } from "./scale.ts";
import {
  chordNote,
  groupsIn,
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  type PlainNote,
  spellIn,
  type StruckHarmony,
  tonesWithin,
  UNPITCHED,
} from "./task.ts";

/** A trill in every bar that ends in two sixteenths, the note below and the note itself; in the last bar it is resolved, unless the music goes on. */
export const writeTrillWithTurn: LayerWriter = (task) => {
  const trills = writeShaken(task);
  return task.parts.flatMap((part) => {
    const own = trills.filter((n) => n.part === part.index);
    return own.flatMap((n, i) => {
      const next = own[i + 1];
      if (next === undefined && i > 0 && !task.isBeside) return [{ ...n, untrilled: true as const }];
      const isJoined = next === undefined || next.onsetTicks === n.onsetTicks + n.durationTicks;
      return isJoined ? withTurn(n, part, task) : [n];
    });
  });
};

/** A trilled note with its turn, if it is long enough for one: three times as long as the turn. */
function withTurn(n: PlainNote, part: LayerPart, task: LayerTask): readonly PlainNote[] {
  const { score } = task.sketch;
  const stroke = score.ticksPerQuarter / 4;
  const harmony = task.harmonies.findLast((h) => h.onsetTicks <= n.onsetTicks);
  if (harmony === undefined || n.durationTicks < 6 * stroke) return [n];
  const scale = scaleFor(score.bars[barIndexOf(score, n.onsetTicks)]!.keyFifths, harmony);
  const below = tonesWithin(scale, part.lowest, n.soundingPitch - 1).at(-1);
  if (below === undefined) return [n];
  const end = n.onsetTicks + n.durationTicks;
  const plain = { part: n.part, durationTicks: stroke, untrilled: true as const };
  const { spelling: _main, ...lower } = { ...n, ...plain };
  return [
    { ...n, durationTicks: n.durationTicks - 2 * stroke },
    { ...lower, onsetTicks: end - 2 * stroke, soundingPitch: below, ...spellIn(scale, below) },
    { ...n, ...plain, onsetTicks: end - stroke },
  ];
}

/** Quarters that one sign of two notes lasts, the longest first: each of the two is printed with all of it. */
const PAIRS = { simple: [4, 3, 2, 1, 1 / 2], compound: [3, 3 / 2, 1 / 2] } as const;

/** Each part's tone of the chord in quick turn with the chord tone above it, as long as one sign can say it. */
export const writeTwoNoteTremolo: LayerWriter = (task) => {
  const chords = voicings(task);
  return task.harmonies.flatMap((harmony) =>
    pairsIn(task, harmony).flatMap((pair) =>
      task.parts.flatMap((part, i) => {
        const tone = chords.get(harmony)![i]!;
        if (Number.isNaN(tone)) return [];
        const other = harmony.symbol === UNPITCHED
          ? undefined
          : tonesWithin(harmony.tones, tone + 1, part.range.high)[0] ??
            tonesWithin(harmony.tones, part.range.low, tone - 1).at(-1);
        // Of one tone alone, such as a drum's, there is nothing to alternate with.
        if (other === undefined) return [chordNote(part, pair, tone)];
        const half = pair.durationTicks / 2;
        const at = (onsetTicks: Ticks, pitch: number): PlainNote => ({
          ...chordNote(part, { onsetTicks, durationTicks: half, harmony }, pitch),
          alternates: true,
        });
        return [at(pair.onsetTicks, tone), at(pair.onsetTicks + half, other)];
      })
    )
  );
};

/** The stretches of a harmony that one sign each can say, from the bar's groups or beats on. */
function pairsIn(
  { sketch: { score } }: LayerTask,
  harmony: StruckHarmony["harmony"],
): readonly StruckHarmony[] {
  const bar = score.bars[harmony.barIndex]!;
  const quarter = score.ticksPerQuarter;
  const groups = groupsIn(bar, quarter);
  const values = isCompound(bar) ? PAIRS.compound : PAIRS.simple;
  const end = harmony.onsetTicks + harmony.durationTicks;
  const pairs: StruckHarmony[] = [];
  for (let at = harmony.onsetTicks; at < end;) {
    const groupEnd = groups.find(([, to]) => to > at)?.[1] ?? end;
    const most = Math.min(end, groupEnd) - at;
    const fitting = values.find((v) => v * quarter <= most);
    const durationTicks = fitting === undefined ? most : fitting * quarter;
    pairs.push({ onsetTicks: at, durationTicks, harmony });
    at += durationTicks;
  }
  return pairs;
}
