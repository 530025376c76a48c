/** Low intervals as warnings. */
import { instrumentById } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import type { Score } from "../../score/model.ts";
import { pitchName } from "../../base/units.ts";
import type { BalanceWarning } from "../balance/balance_results.ts";
import type { LowInterval } from "./chord_results.ts";

/** Semitones below the limit from which a low interval is worth a warning: published tables differ by more. */
const LEAST_BELOW = 2;

/** The low intervals that weigh most, by depth and length. */
export function lowIntervalWarnings(
  score: Score,
  rows: readonly LowInterval[],
  most: number,
): readonly BalanceWarning[] {
  const weight = (r: LowInterval) => r.below * r.seconds;
  return rows.filter((r) => r.below >= LEAST_BELOW).sort((a, b) => weight(b) - weight(a)).slice(0, most)
    .sort((a, b) => a.fromBarIndex - b.fromBarIndex || a.beat - b.beat)
    .map((r): BalanceWarning => ({
      kind: "low interval",
      fromBarIndex: r.fromBarIndex,
      toBarIndex: r.toBarIndex,
      bar: r.bar,
      beat: r.beat,
      what: `a ${r.interval} ${
        r.lowerPart === r.upperPart
          ? `in ${r.lowerPart}`
          : `between ${r.lowerPart} below and ${r.upperPart} above`
      }${r.places > 1 ? `, the deepest of ${r.places} places` : ""}; the interval is clear from ${
        pitchName(r.limitPitch)
      } upwards`,
      remedy: wayOut(score, r),
      figure: r.lowerPitch,
      limit: r.limitPitch,
      unit: "lower sounding pitch, MIDI",
    }));
}

/** Which of the two notes can go away from the other, and where to. */
function wayOut(score: Score, r: LowInterval): string {
  const isOnePart = r.lowerPart === r.upperPart;
  const upper = isOnePart ? "the upper note" : r.upperPart;
  const lower = isOnePart ? "the lower note" : r.lowerPart;
  const ways = [
    ...(canGo(score, r, r.upperPitch, 12) ? [`${upper} an octave up (${pitchName(r.upperPitch + 12)})`] : []),
    ...(canGo(score, r, r.lowerPitch, -12)
      ? [`${lower} an octave down (${pitchName(r.lowerPitch - 12)})`]
      : []),
  ];
  const last = isOnePart ? "leave the upper note out" : "let the two play one note, or octaves";
  return ways.length === 0 ? `Move them apart, or ${last}` : `Open it: ${ways.join(", or ")}; or ${last}`;
}

/** Whether all parts that have the note could play it an octave away at ease. */
function canGo(
  score: Score,
  { fromBarIndex, toBarIndex }: LowInterval,
  pitch: number,
  semitones: number,
): boolean {
  const from = score.bars[fromBarIndex]!.startTicks;
  const last = score.bars[toBarIndex]!;
  const to = last.startTicks + last.durationTicks;
  const notes = score.notes.filter((n) =>
    Math.round(n.soundingPitch) === pitch && n.onsetTicks < to && n.onsetTicks + n.durationTicks > from
  );
  return notes.length > 0 &&
    notes.every((n) =>
      registerOf(instrumentById(score.parts[n.part]!.instrument), pitch + semitones).comfortable
    );
}
