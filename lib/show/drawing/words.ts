/** Small pieces of prose for the report: figures, lists and spans as a musician would say them. */
import {
  capitalised,
  counted as countedInWords,
  listed as listedInWords,
  percent as percentInWords,
  properMinus,
} from "../../base/words.ts";
import type { Score } from "../../score/model.ts";
import { isCompound } from "../../score/time.ts";

/** A no-break space, so that a figure keeps its unit. */
const NBSP = "\u00a0";

/** A figure with its decimals and a proper minus: `−4.2`. */
export function figure(value: number, decimals: number = 1): string {
  return properMinus(value.toFixed(decimals).replace(/^-(?=0\.?0*$)/, ""));
}

/** Words that no line may break between. */
const unbroken = (words: string): string => words.replaceAll(" ", NBSP);

/** A share as a percentage, its sign kept with it: `41 %`. */
export function percent(share: number): string {
  return unbroken(percentInWords(share));
}

/**
 * A level of the lead against the rest in dB; `alone` where nothing sounds with the lead, `–` where nothing leads.
 */
export function levelFigure(db: number | null, leadHeard: number | null): string {
  return db !== null ? figure(db) : leadHeard !== null ? "alone" : "–";
}

/** A count with its noun, kept with it: `3 findings`. */
export function counted(count: number, noun: string): string {
  return countedInWords(count, noun).replace(" ", NBSP);
}

/** A list in words as long as a line has room for: `a, b and 3 more`. */
export function listed(items: readonly string[], most: number = 6): string {
  return listedInWords(items, most);
}

/** A span of bars by its printed numbers: `bars 17–24`. */
export function spanInWords(
  score: Score,
  { fromBarIndex, toBarIndex }: { readonly fromBarIndex: number; readonly toBarIndex: number },
): string {
  const first = score.bars[fromBarIndex]?.number ?? String(fromBarIndex + 1);
  const last = score.bars[toBarIndex]?.number ?? String(toBarIndex + 1);
  return fromBarIndex === toBarIndex ? `bar${NBSP}${first}` : `bars${NBSP}${first}–${last}`;
}

/** A beat that is no quarter: its sign or name before a figure, its name in full, how many quarters it lasts. */
interface CountedValue {
  readonly sign: string;
  readonly name: string;
  readonly quarters: number;
}

/** What all of a score counts where that is no quarter: dotted quarters in 6/8, 9/8, 12/8, half notes in alla breve and 3/2. */
function countedValue({ bars }: Score): CountedValue | undefined {
  if (bars.length === 0) return undefined;
  if (bars.every((b) => b.beatUnit === 8 && isCompound(b))) {
    return { sign: "♩.", name: "dotted quarter notes", quarters: 3 / 2 };
  }
  return bars.every((b) => b.beatUnit === 2)
    ? { sign: "half note", name: "half notes", quarters: 2 }
    : undefined;
}

/** The slowest and the fastest tempo, beats a minute, as a span where they differ. */
function tempoSpan(score: Score, quartersPerBeat: number): string {
  const tempos = score.tempos.map((t) => Math.round(t.quartersPerMinute / quartersPerBeat * 10) / 10);
  const [slowest, fastest] = [Math.min(...tempos), Math.max(...tempos)];
  return slowest === fastest ? String(slowest) : `${slowest}–${fastest}`;
}

/**
 * The tempo as printed over a score, and whether it is one: `♩ = 132`, `Allegretto, ♩ = 104`, `♩. = 76 (♩ = 114)` in
 * 6/8, `half note = 108 (♩ = 216)` in alla breve, `♩ = 60–132` or `tempo assumed, ♩ = 120`.
 */
export function tempoInWords(score: Score): string {
  if (score.tempos.length === 0) return "no tempo";
  const quarters = `♩ = ${tempoSpan(score, 1)}`;
  const beat = countedValue(score);
  const mark = beat ? `${beat.sign} = ${tempoSpan(score, beat.quarters)} (${quarters})` : quarters;
  const assumed = score.tempos.filter((t) => t.origin === "assumed").length;
  const said = [...tempoWord(score), mark].join(", ");
  if (assumed === 0) return said;
  return assumed === score.tempos.length ? `tempo assumed, ${said}` : `${said}, in part assumed`;
}

/** The word over the first bar that has a tempo word, for example `Allegretto`; a list of one or none. */
function tempoWord(score: Score): readonly string[] {
  const first = score.tempos.find((t) => t.origin === "marked" || t.words !== undefined);
  return first?.words === undefined ? [] : [first.words];
}

/**
 * The tempo for a page: `132 quarter notes a minute`, `76 dotted quarter notes a minute (114 quarters)` in 6/8, half
 * notes in alla breve.
 */
export function tempoInFull(score: Score): string {
  const word = tempoWord(score).map((w) => `${w}, `).join("");
  const quarters = tempoSpan(score, 1).replace("–", " to ");
  const beat = countedValue(score);
  if (!beat) return `${word}${quarters} quarter notes a minute`;
  const beats = tempoSpan(score, beat.quarters).replace("–", " to ");
  return `${word}${beats} ${beat.name} a minute (${quarters} quarters)`;
}

/** What is said of parts whose instrument was not recognised, a sentence for each instrument. */
export function unknownInstruments(score: Score): readonly string[] {
  const unknown = score.parts.filter((p) => p.instrumentFrom === "fallback");
  return [...Map.groupBy(unknown, (p) => p.instrument)].map(([instrument, parts]) => {
    const one = parts.length === 1;
    return `${listed(parts.map((p) => p.name))}: ${
      one ? "instrument" : "instruments"
    } not known, treated as ${instrument}; ` +
      `${one ? "its range is" : "their ranges are"} not judged.`;
  });
}

/** Words with the signs that stand in print in the names of notes: `C♯3` where tables have C#3. */
export function notesAsPrinted(words: string): string {
  const signs: Readonly<Record<string, string>> = { "#": "♯", "##": "𝄪", b: "♭", bb: "𝄫" };
  return words.replace(/\b([A-G])(##|#|bb|b)(?=-?\d)/g, (_, step, sign) => `${step}${signs[sign]}`);
}

/** A sentence with its capital and its full stop. */
export function sentence(text: string): string {
  return text === "" || /[.!?…]$/.test(text) ? capitalised(text) : `${capitalised(text)}.`;
}

/** Parts of one name with numbers that follow each other, perhaps with a comma before the first. */
const NUMBERED = /(, )?(\p{Lu}[\p{L}' ]*?) (\d+)((?:(?: \+ |, | and )\2 \d+)+)(?!\d)/gu;

/**
 * Shortens text by saying numbered parts together: `Horn 1–4 take the lead` for `Horn 1 + Horn 2 + Horn 3 + Horn 4
 * take the lead`.
 */
export function numbersTogether(text: string): string {
  return text.replace(NUMBERED, (all: string, comma = "", stem: string, first: string, rest: string) => {
    const numbers = [first, ...[...rest.matchAll(/ (\d+)(?!\d)/g)].map((m) => m[1])].map(Number);
    if (numbers.some((n, i) => n !== numbers[0]! + i)) return all;
    const joined = comma !== "" && rest.includes(" and ") ? " and " : comma;
    return `${joined}${stem}${NBSP}${numbers[0]}–${numbers.at(-1)}`;
  });
}
