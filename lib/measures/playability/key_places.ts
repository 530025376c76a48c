/** Key signatures that become thick once they are transposed. */
import { capitalised, counted } from "../../base/words.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Note } from "../../score/model.ts";
import { transposedKey } from "../../score/spelling.ts";
import { barIndexOf } from "../../score/time.ts";
import { COMMON_PRACTICE, finding, type FindingPlace, held, type Judge } from "./judge.ts";

/** Sharps added to a key when a part is written an interval above its sound. */
function fifthsOf(semitones: number, steps: number): number {
  return 7 * semitones - 12 * steps;
}

/** Key signatures of many sharps or flats in a transposing part, as the page prints them, with a way to avoid them. */
export function keyPlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { score, written, instrument, settings } = judge;
  // An instrument taken up on the way has its own transposition.
  const { transposeSemitones, transposeSteps } = instrument.id === written.instrument ? written : instrument;
  const added = fifthsOf(-transposeSemitones, -transposeSteps);
  if (added === 0 || instrument.unpitched) return [];
  const byKey = Map.groupBy(line, (n) => score.bars[barIndexOf(score, n.onsetTicks)]!.keyFifths);
  return [...byKey].flatMap(([concert, notes]): FindingPlace[] => {
    const printed = written.notation?.keys.findLast((key) => key.fromTicks <= notes[0]!.onsetTicks);
    const fifths = printed?.fifths ?? transposedKey(concert, added);
    if (Math.abs(fifths) < settings.keyAccidentals) return [];
    const last = notes.at(-1)!;
    return [finding(judge, {
      at: { onsetTicks: notes[0]!.onsetTicks, endTicks: last.onsetTicks + last.durationTicks },
      severity: "note",
      rule: "key signature",
      what: `the player reads ${accidentals(fifths)} where the score sounds in ${accidentals(concert)}`,
      ...held(Math.abs(fifths), settings.keyAccidentals - 1, "sharps or flats"),
      source: COMMON_PRACTICE,
      remedy: remedyOf(concert, fifths, judge),
    })];
  });
}

/** Instruments that one player has at hand, by kind: others of the kind are not taken up for a key. Common practice, no source. */
const CHANGED_FOR_KEYS: Readonly<Record<string, readonly string[]>> = {
  "clarinet": ["clarinet in C", "clarinet in Bb", "clarinet in A"],
  "trumpet": ["trumpet in C", "trumpet in Bb"],
};

function remedyOf(concert: number, fifths: number, { instrument }: Judge): string {
  const respelt = fifths - 12 * Math.sign(fifths);
  const signature = Math.abs(respelt) > Math.abs(fifths)
    ? "leave out the signature and write accidentals"
    : `write the part in the enharmonic key, ${accidentals(respelt)}`;
  const kinder =
    (CHANGED_FOR_KEYS[instrument.kind] ?? []).filter((id) => id !== instrument.id).map(instrumentById)
      .map((each) => ({
        id: each.id,
        fifths: concert + fifthsOf(-each.transposeSemitones, -each.transposeSteps),
      }))
      .sort((a, b) => Math.abs(a.fifths) - Math.abs(b.fifths))[0];
  if (kinder && Math.abs(kinder.fifths) < Math.min(Math.abs(fifths), Math.abs(respelt))) {
    return `Write it for the ${kinder.id}, ${accidentals(kinder.fifths)}; or ${signature}`;
  }
  return Math.abs(respelt) > Math.abs(fifths)
    ? capitalised(signature)
    : `${capitalised(signature)}, or leave out the signature and write accidentals`;
}

function accidentals(fifths: number): string {
  return fifths === 0 ? "no sharps or flats" : counted(Math.abs(fifths), fifths > 0 ? "sharp" : "flat");
}
