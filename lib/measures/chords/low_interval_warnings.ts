/** Low intervals as warnings. */
import { instrumentById } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import type { Note, Score } from "../../score/model.ts";
import { octavesAway, spelledName } from "../../score/spelled_name.ts";
import { pitchName } from "../../base/units.ts";
import type { BalanceWarning } from "../balance/balance_results.ts";
import { notesIn } from "../sounding.ts";
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
      what: `${/^[ai]/.test(r.interval) ? "an" : "a"} ${r.interval} ${
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
    ...octaveAway(score, { notes: notesOn(score, r, r.upperPitch), octaves: 1 })
      .map((name) => `${upper} an octave up (${name})`),
    ...octaveAway(score, { notes: notesOn(score, r, r.lowerPitch), octaves: -1 })
      .map((name) => `${lower} an octave down (${name})`),
  ];
  const last = isOnePart ? "leave the upper note out" : "let the two play one note, or octaves";
  return ways.length === 0 ? `Move them apart, or ${last}` : `Open it: ${ways.join(", or ")}; or ${last}`;
}

/** Notes on a pitch in the bars of a row. */
function notesOn(score: Score, row: LowInterval, pitch: number): readonly Note[] {
  return notesIn(score, row, (n) => Math.round(n.soundingPitch) === pitch);
}

/** Name of the notes' pitch some octaves away, where all parts that have it could play it there at ease. */
function octaveAway(
  score: Score,
  { notes, octaves }: { readonly notes: readonly Note[]; readonly octaves: number },
): readonly string[] {
  const isAtEase = (n: Note) =>
    registerOf(instrumentById(score.parts[n.part]!.instrument), Math.round(n.soundingPitch) + 12 * octaves)
      .comfortable;
  if (notes.length === 0 || !notes.every(isAtEase)) return [];
  return [spelledName(score, octavesAway(notes[0]!, octaves))];
}
