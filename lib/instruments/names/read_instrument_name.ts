/** Reads the name of a part as scores write it: four languages, abbreviations, plurals, numbers, keys. */
import standInNamesText from "../../../data/stand_in_names.csv" with { type: "text" };
import { memoOf, once } from "../../base/memo.ts";
import { allInstruments, type Instrument, instrumentById, namesInOrder } from "../catalogue.ts";
import { readTable, someText, sourced } from "../data_table.ts";

/** What a score says about a part; anything may be missing. */
export interface InstrumentQuery {
  /** Standard sound id, for example `brass.french-horn`. */
  readonly soundId?: string | undefined;
  /** Names in order of trust: part name, instrument name, abbreviation. */
  readonly names?: readonly string[] | undefined;
  /** General MIDI program counted from 0. */
  readonly midiProgram?: number | undefined;
  /** True for the percussion channel of General MIDI (channel 10). */
  readonly percussionChannel?: boolean | undefined;
  /** Percussion key, where a percussion line uses only one. */
  readonly percussionKey?: number | undefined;
}

/** An instrument read from a name, with the key the name gives. */
export interface NameMatch {
  readonly instrument: Instrument;
  /** What is doubtful, or empty. */
  readonly note: string;
  /** True where every word of the name was read, and nothing stands in. */
  readonly isWhole: boolean;
  /** True where another stands in for an instrument that the catalogue has no entry for. */
  readonly isStandIn?: boolean;
}

/** Id of the instrument a line called only "percussion" is given to. */
export const ANY_PERCUSSION = "drum set";
const KEYS: Readonly<Record<string, string>> = {
  ...{ c: "C", do: "C", ut: "C", d: "D", re: "D", e: "E", mi: "E", f: "F", fa: "F", g: "G", sol: "G" },
  ...{ a: "A", la: "A", h: "B", si: "B", b: "Bb", bb: "Bb", sib: "Bb", es: "Eb", eb: "Eb", mib: "Eb" },
  ...{ as: "Ab", ab: "Ab", lab: "Ab", des: "Db", db: "Db", reb: "Db", ges: "Gb", gb: "Gb", solb: "Gb" },
  ...{ fis: "F#", cis: "C#", gis: "G#" },
};
const NUMBERS = new Set("i ii iii iv v vi vii viii ix x st nd rd th".split(" "));
const FILLERS = new Set("in section desk desks player players part div tutti the".split(" "));
const CROOKS = new Set(["basso", "alto", "low", "high", "tief", "hoch", "grave", "aigu"]);

/** Words for a size: names of their own, but in front of another instrument only its size. */
const SIZES = new Set([
  "sopranino",
  "soprano",
  "alto",
  "tenor",
  "baritone",
  "bass",
  "contrabass",
  "kontrabass",
]);
/** How names of instruments end that no table knows. */
const LIKE_AN_INSTRUMENT = /(phone|phon|fono|horn|flute|pipe)s?$/;
/** Names of the double bass that are also sizes: with an unknown word behind them they are sizes. */
const LOW_SIZES = new Set(["bass", "contrabass", "kontrabass"]);
/** What stands behind the name of a line and is no instrument. */
const NOT_AN_INSTRUMENT = /^(sol[oi]|voices?|vocals?|choirs?|chorus|coro|chor|lines?|arco|pizz(icato)?)$/;

const standInNames = once<ReadonlyMap<string, string>>(() =>
  new Map(
    readTable(standInNamesText, {
      file: "data/stand_in_names.csv",
      columns: { name: someText, instrument: someText, ...sourced },
    }).map((row) => [squeezed(row.name), row.instrument]),
  )
);

/**
 * Reads one name. Null where it names no instrument; what else the score says decides between instruments that share a
 * name.
 */
export function readInstrumentName(name: string, query: InstrumentQuery): NameMatch | null {
  const tokens = withoutNumbers(tokensOf(name));
  // "1ers violons" stands in the table as it is printed.
  const whole = idsByName().get(tokens.join("")) ?? idsByName().get(squeezed(name));
  if (whole) return { instrument: choose(whole, query), note: "", isWhole: true };
  if (standInNames().has(tokens.join(""))) return readStandIn([tokens]);
  const segments = segmentsOf(name).map((segment) => {
    const { words, keys } = separateKeys(withoutNumbers(tokensOf(segment)));
    const size = isSizeOfAnother(words) ? words[0] : undefined;
    return { found: longestName(size === undefined ? words : words.slice(1)), words, keys, size };
  });
  // "Bb (basso) Horn": of a crook, no double bass.
  const isCrook = ({ words }: (typeof segments)[number]) =>
    segments.some((s) => s.keys.length > 0) && words.every((word) => CROOKS.has(word));
  const named = segments.filter((segment) => segment.found !== null && !isCrook(segment));
  // "Percussion (Snare Drum)": what stands second says more.
  const first = named.find((segment) => segment.found!.ids[0] !== ANY_PERCUSSION) ?? named[0];
  if (!first?.found) return readStandIn(segments.map((segment) => segment.words));
  const instrument = choose(first.found.ids, query);
  const key = first.keys[0] ?? segments.find((segment) => segment.found === null)?.keys[0];
  const variant = key === undefined || instrument.key === ""
    ? instrument
    : allInstruments().find((each) => each.kind === instrument.kind && each.key === key);
  const notes: string[] = [];
  if (first.size !== undefined) notes.push(standsIn(first.words, instrument.id));
  if (variant === undefined) notes.push(`It is written in ${key}; the transposition is the score's own.`);
  const others = [
    ...first.found.others,
    ...named.filter((segment) => segment !== first).flatMap((
      { found },
    ) => [found!.ids[0]!, ...found!.others]),
  ].filter((id) => id !== ANY_PERCUSSION && id !== instrument.id);
  if (others.length > 0) notes.push(`The line also names ${[...new Set(others)].join(" and ")}.`);
  const isWhole = segments.length === 1 && first.found.isAll && notes.length === 0;
  const isStandIn = first.size !== undefined;
  return { instrument: variant ?? instrument, note: notes.join(" "), isWhole, isStandIn };
}

/** A group or a relative that the catalogue has no entry for. */
function readStandIn(segments: readonly (readonly string[])[]): NameMatch | null {
  for (const words of segments) {
    for (let length = Math.min(5, words.length); length >= 1; length--) {
      for (let start = 0; start + length <= words.length; start++) {
        const phrase = words.slice(start, start + length);
        const id = standInNames().get(phrase.join(""));
        if (id === undefined) continue;
        return {
          instrument: instrumentById(id),
          note: standsIn(phrase, id),
          isWhole: false,
          isStandIn: true,
        };
      }
    }
  }
  return null;
}

function standsIn(words: readonly string[], id: string): string {
  return `The catalogue has no entry for "${words.join(" ")}"; ${id} stands in.`;
}

/** Whether a line's first word is the size of an instrument named after it. A bass xylophone is no double bass. */
function isSizeOfAnother(words: readonly string[]): boolean {
  const [first, ...rest] = words;
  if (first === undefined || rest.length === 0 || !SIZES.has(first)) return false;
  const isKnown = longestName(words)?.ids[0] !== idsByName().get(first)?.[0];
  const isAnother = LOW_SIZES.has(first)
    ? rest[0]!.length > 2 && !NOT_AN_INSTRUMENT.test(rest[0]!)
    : LIKE_AN_INSTRUMENT.test(rest[0]!);
  return !isKnown && (isAnother || longestName(rest) !== null || readStandIn([rest]) !== null);
}

/** A name found among words: what it may mean, what else is named, and whether there are no other words. */
interface FoundName {
  readonly ids: readonly string[];
  readonly others: readonly string[];
  readonly isAll: boolean;
}

/** The longest stretch of words that is a name, the earliest of the longest; and what else is named after it. */
function longestName(words: readonly string[]): FoundName | null {
  for (let length = Math.min(5, words.length); length >= 1; length--) {
    for (let start = 0; start + length <= words.length; start++) {
      const phrase = words.slice(start, start + length).join("");
      const ids = phrase.length > 1 || words.length === 1 ? idsByName().get(phrase) : undefined;
      if (!ids) continue;
      const rest = [words.slice(0, start), words.slice(start + length)].filter((part) => part.length > 0);
      const others = rest.flatMap((part) => {
        const other = longestName(part);
        return other && other.ids[0] !== ids[0] && part.join("").length > 1
          ? [other.ids[0]!, ...other.others]
          : [];
      });
      return { ids, others, isAll: rest.length === 0 };
    }
  }
  return null;
}

/** Keys that a name names, such as `Bb` of Corno in B. */
export function keysNamed(name: string): readonly string[] {
  return segmentsOf(name).flatMap((segment) => separateKeys(withoutNumbers(tokensOf(segment))).keys);
}

function separateKeys(tokens: readonly string[]): { words: readonly string[]; keys: readonly string[] } {
  const words: string[] = [];
  const keys: string[] = [];
  let afterKey = false;
  for (const token of tokens) {
    const key = KEYS[token];
    if (key !== undefined) {
      keys.push(key);
      afterKey = true;
    } else if (!FILLERS.has(token) && !(afterKey && words.length > 0 && CROOKS.has(token))) {
      words.push(token);
      afterKey = false;
    }
  }
  return { words, keys };
}

/** What brackets, strokes and the word "and" in four languages keep apart. */
function segmentsOf(name: string): readonly string[] {
  return name.split(
    /[()[\]/&+;,]|(?<=(?:\p{L}{2}|\b[IV]+)\.?)(?<!\b(?:in|en)) (?:e|ed|et|und|and|con|auch|or) (?=\p{L}{2})(?!flat)/iu,
  );
}

function withoutNumbers(tokens: readonly string[]): readonly string[] {
  return tokens.filter((token) => !NUMBERS.has(token) && !/^\d+$/.test(token));
}

function tokensOf(name: string): readonly string[] {
  return plain(name)
    .replace(/\bv (ni|no|le|la|c|cl|cello|celli)\b/g, "v$1")
    .replace(/(?<!\b(?:in|en) )\ba ?(due|\d+)\b/g, " ")
    .replace(/\b([a-h]) ?flat\b/g, "$1b")
    .replace(/\b(si|mi|la|re|sol|do) ?(b|bemol|bemolle)\b/g, "$1b")
    .replace(/([a-z])(\d)/g, "$1 $2").replace(/(\d)([a-z])/g, "$1 $2")
    .split(" ").filter((token) => token !== "");
}

/** Small letters without accents, apostrophes or points; other signs become spaces. */
function plain(name: string): string {
  return name.replace(/♭/g, "b").replace(/♯/g, "#").normalize("NFD").replace(/[\u0300-\u036f]/g, "")
    .toLowerCase()
    .replace(/ß/g, "ss").replace(/œ/g, "oe").replace(/['’`]/g, "").replace(/[^a-z0-9#]+/g, " ").trim();
}

function squeezed(name: string): string {
  return plain(name).replaceAll(" ", "");
}

function choose(ids: readonly string[], query: InstrumentQuery): Instrument {
  const candidates = ids.map(instrumentById);
  const { soundId, midiProgram } = query;
  return (soundId ? candidates.find((each) => isWithin(each.soundId, soundId)) : undefined) ??
    (midiProgram === undefined ? undefined : candidates.find((each) => each.midiProgram === midiProgram)) ??
    candidates[0]!;
}

/** Whether a sound id is another or a kind of it. So `brass.trombone.bass` is within `brass.trombone`. */
export function isWithin(soundId: string, parent: string): boolean {
  return soundId === parent || soundId.startsWith(`${parent}.`);
}

function idsByName(): ReadonlyMap<string, readonly string[]> {
  return namesOf(allInstruments());
}

/** Instruments by name, for one state of the catalogue. */
const namesOf = memoOf((_catalogue: readonly Instrument[]): ReadonlyMap<string, readonly string[]> => {
  const index = new Map<string, string[]>();
  for (const [name, id] of namesInOrder()) {
    const key = squeezed(name);
    const ids = index.get(key) ?? [];
    if (!ids.includes(id)) ids.push(id);
    index.set(key, ids);
  }
  return index;
});
