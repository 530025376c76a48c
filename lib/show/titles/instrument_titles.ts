/** What charts of instruments have found, in a line. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { instrumentAsPrinted, noteName } from "../drawing/note_name.ts";
import { type PitchCount, shiftOf } from "../panels/range_layout.ts";
import { type RepeatedValue, verdict, type Way } from "../panels/rate_ways.ts";
import { capitalised } from "../../base/words.ts";
import { figure, listed } from "../drawing/words.ts";

/** Instruments named in a title at most. */
const MOST_NAMES = 4;

const namesOf = (list: readonly Instrument[]) =>
  listed(list.map((i) => instrumentAsPrinted(i.id)), MOST_NAMES);

/** How far one instrument reaches; which of several reaches furthest, lowest and highest; who has all notes of a part. */
export function rangeTitle(
  instruments: readonly Instrument[],
  { notes, written, partName }: {
    readonly notes: readonly PitchCount[];
    readonly written: boolean;
    readonly partName: string | undefined;
  },
): string {
  const pitched = instruments.filter((i) => !i.unpitched);
  const [first] = pitched;
  if (first === undefined) return `${capitalised(namesOf(instruments))}: no pitch to compare`;
  if (partName !== undefined) return whoHas(pitched, notes, partName);
  const reach = ({ rangeExtreme: { low, high } }: Instrument) => high - low;
  if (pitched.length === 1) {
    const { low, high } = first.rangeExtreme;
    const at = (pitch: number) => noteName(pitch - shiftOf(first, written));
    return `The ${instrumentAsPrinted(first.id)} reaches from ${at(low)} to ${at(high)}, ${
      octaves(reach(first))
    }`;
  }
  const by = (of: (i: Instrument) => number) =>
    instrumentAsPrinted(pitched.toSorted((a, b) => of(b) - of(a))[0]!.id);
  return `The ${by(reach)} reaches furthest, ${octaves(Math.max(...pitched.map(reach)))}; the ${
    by((i) => -i.rangeExtreme.low)
  } goes lowest, the ${by((i) => i.rangeExtreme.high)} highest`;
}

function octaves(semitones: number): string {
  const half = Math.round(semitones / 6) / 2;
  return half === 1 ? "an octave" : `${half % 1 === 0 ? half : `${Math.floor(half)}½`} octaves`;
}

/** Who has all notes of a part, and how many notes the others lack. */
function whoHas(instruments: readonly Instrument[], notes: readonly PitchCount[], partName: string): string {
  if (notes.length === 0) return `${partName} has no notes`;
  const lacking = (i: Instrument) =>
    notes.filter(({ pitch }) => pitch < i.rangeExtreme.low || pitch > i.rangeExtreme.high).length;
  const all = instruments.filter((i) => lacking(i) === 0);
  const [worst] = instruments.toSorted((a, b) => lacking(b) - lacking(a));
  const lack = lacking(worst!) === 0
    ? ""
    : `; the ${instrumentAsPrinted(worst!.id)} lacks ${lacking(worst!)} of its pitches`;
  if (all.length === 0) return `None of them has every note of ${partName}${lack}`;
  const have = all.length === 1 ? "has" : "have";
  return `${capitalised(namesOf(all))} ${have} every note of ${partName}${lack}`;
}

/** Who keeps a marked value up; without one, what repeats fastest. */
export function rateTitle(
  ways: readonly Way[],
  mark:
    | { readonly value: RepeatedValue; readonly quartersPerMinute: number; readonly rate: number }
    | undefined,
): string {
  const instruments = [...new Set(ways.map((w) => w.instrument))];
  if (mark === undefined) {
    const best = ways.filter((w) => w.conventional).toSorted((a, b) => b.sustained - a.sustained)[0] ??
      ways[0]!;
    return `The ${instrumentAsPrinted(best.instrument.id)} keeps up ${
      figure(best.sustained, best.sustained % 1 === 0 ? 0 : 1)
    } notes a second by ${best.technique}`;
  }
  const reach = (of: "keeps up" | "for a moment") =>
    instruments.filter((i) =>
      ways.some((w) => w.instrument === i && w.conventional && verdict(w, mark.rate) === of)
    );
  const keeps = reach("keeps up");
  const brief = reach("for a moment").filter((i) => !keeps.includes(i));
  const none = instruments.filter((i) => !keeps.includes(i) && !brief.includes(i));
  const who = (list: readonly Instrument[]) => `${list.length === 1 ? "the " : ""}${namesOf(list)}`;
  const said = [
    ...(keeps.length === 0 ? [] : [`${who(keeps)} ${keeps.length === 1 ? "keeps" : "keep"} them up`]),
    ...(brief.length === 0 ? [] : [`${who(brief)} for a moment`]),
    ...(none.length === 0
      ? []
      : [keeps.length + brief.length === 0 ? "nobody by usual means" : `${who(none)} not by usual means`]),
  ];
  return `${capitalised(mark.value)} at ${mark.quartersPerMinute}: ${said.join("; ")}`;
}
