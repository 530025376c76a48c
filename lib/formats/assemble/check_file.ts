/** What of a page is likely a slip of the file and no wish of the composer: said, and read as it stands. */
import { allPitches } from "../../instruments/all_pitches.ts";
import { modulo, pitchClassOf } from "../../base/modulo.ts";
import { pitchName, pitchOf } from "../../base/units.ts";
import { counted } from "../../base/words.ts";
import { allInstruments, type Instrument } from "../../instruments/catalogue.ts";
import { instrumentOf } from "../../instruments/instrument_of.ts";
import { keysNamed } from "../../instruments/names/read_instrument_name.ts";
import type { Bar, Note, Part, Score } from "../../score/model.ts";
import { barIndexOf, fullBarTicks } from "../../score/time.ts";
import type { NoticeList } from "./notice_list.ts";

type ReadPage = Pick<Score, "bars" | "parts" | "notes" | "ticksPerQuarter">;

/** Says what should be checked in the file. */
export function checkFile(page: ReadPage, notices: NoticeList): void {
  checkUpbeat(page, notices);
  const pitched = Map.groupBy(page.notes.filter((n) => !n.unpitched), (n) => n.part);
  page.parts.forEach((part, p) => {
    const own = pitched.get(p) ?? [];
    const instrument = instrumentOf(part.instrument);
    if (own.length === 0 || instrument === undefined) return;
    const doubt = transpositionDoubt(part, instrument) ?? octaveDoubt(part, instrument, own);
    if (doubt !== undefined) notices.add(doubt, part.name, page.bars[0]?.number);
    checkPitches(part, own, page.bars, notices);
  });
}

/** Printed scores count from the first whole bar; a file that calls the upbeat 1 is one bar ahead of them. */
function checkUpbeat({ bars, ticksPerQuarter }: ReadPage, notices: NoticeList): void {
  const [upbeat, first] = bars;
  if (upbeat === undefined || first === undefined || upbeat.number !== "1" || first.number !== "2") return;
  const lengthOf = (bar: Bar) => bar.durationTicks / fullBarTicks(bar, ticksPerQuarter);
  // An upbeat takes at most half of a bar: a first bar that lacks more was meant to be whole.
  if (lengthOf(upbeat) > 1 / 2 || lengthOf(first) < 1) return;
  notices.add(
    "the upbeat is counted as bar 1: printed scores count from the whole bar after it, one less",
    undefined,
    "1",
  );
}

/**
 * A transposition that neither the key in the name nor any instrument of the kind has. A score at sounding pitch has
 * none, and horns, trumpets and cornets without a key in their name may have any: the crook stands elsewhere.
 */
function transpositionDoubt(
  { transposeSemitones: semitones, name }: Part,
  instrument: Instrument,
): string | undefined {
  if (modulo(semitones, 12) === 0) return undefined;
  const named = keysNamed(name);
  const built = allInstruments().filter((each) => each.kind === instrument.kind && each.key !== "");
  if (built.length > 0 && named.some((key) => isInKey(semitones, key))) return undefined;
  if (named.length === 0 && CROOKED.test(instrument.kind)) return undefined;
  if (named.length === 0 && built.some((each) => modulo(semitones - each.transposeSemitones, 12) === 0)) {
    return undefined;
  }
  const what = named.length > 0 && built.length > 0 ? `${instrument.kind} in ${named[0]}` : instrument.kind;
  const away = `${counted(Math.abs(semitones), "semitone")} ${semitones < 0 ? "lower" : "higher"}`;
  return `sounds ${away} than written, which no ${what} does: check the transposition in the file`;
}

/** Instruments that were built in every key. */
const CROOKED = /horn|trumpet|cornet/;

/** Whether an instrument of a key sounds so far from what is written; B is B natural or, in German, B flat. */
function isInKey(semitones: number, key: string): boolean {
  const isFrom = (tonic: string) => pitchClassOf(semitones) === pitchClassOf(pitchOf(`${tonic}4`)!);
  return isFrom(key) || key === "Bb" && isFrom("B");
}

/** An instrument written an octave from where it sounds, in a part that is not, and that never needs the last octave. */
function octaveDoubt(part: Part, instrument: Instrument, notes: readonly Note[]): string | undefined {
  const octaves = instrument.transposeSemitones / 12;
  if (octaves >= 0 || !Number.isInteger(octaves) || part.transposeSemitones !== 0) return undefined;
  if (part.notation?.clefs.some((c) => (c.octaves ?? 0) !== 0)) return undefined;
  const lowest = notes.reduce((low, n) => Math.min(low, n.soundingPitch), Infinity);
  if (notes.length < ENOUGH_NOTES || lowest < instrument.rangeExtreme.low + 12) return undefined;
  return `sounds as written, though parts of the ${instrument.id} are written an octave higher than they sound and it never ` +
    `goes below ${pitchName(lowest)}: check the transposition in the file`;
}

/** Notes a part has to have before what it never plays says anything. Model assumption. */
const ENOUGH_NOTES = 50;

/** Pitches beyond the lowest and the highest of all instruments. */
function checkPitches(part: Part, notes: readonly Note[], bars: readonly Bar[], notices: NoticeList): void {
  const { low, high } = allPitches();
  for (const { soundingPitch, onsetTicks } of notes) {
    if (soundingPitch >= low && soundingPitch <= high) continue;
    const { number } = bars[barIndexOf({ bars }, onsetTicks)]!;
    notices.add(
      "pitch that no instrument has: kept, check octave, clef and transposition in the file",
      part.name,
      number,
    );
  }
}
