/** The name of a line as scores and parts print it: with the key where custom gives one, and in short. */
import { modulo } from "../../base/modulo.ts";
import type { Instrument } from "../catalogue.ts";
import { lineName } from "./line_name.ts";

/** What a name stands for. */
interface NamedLine {
  readonly name: string;
  /** Its instrument; undefined where the catalogue has none. */
  readonly instrument: Pick<Instrument, "key"> | undefined;
  /** Semitones from written to sounding pitch. */
  readonly transposeSemitones: number;
}

/** A name in full and in short. */
export interface PrintedName {
  /** Beside the first system, and at the head of a part: `Clarinet in A 1`. */
  readonly full: string;
  /** Beside later systems: `Cl. in A 1`; undefined where no short form is in use. */
  readonly short: string | undefined;
  /** Over a cue, where the key does not matter: `Cl. 1`; in full where no short form is in use. */
  readonly plain: string;
}

/** Short forms of English names, in the singular. Common practice, no source. */
const SHORT: Readonly<Record<string, string>> = {
  ...{
    "piccolo": "Picc.",
    "flute": "Fl.",
    "alto flute": "A. Fl.",
    "bass flute": "B. Fl.",
    "recorder": "Rec.",
  },
  ...{ "oboe": "Ob.", "cor anglais": "C. A.", "english horn": "E. Hn.", "heckelphone": "Heck." },
  ...{ "clarinet": "Cl.", "basset horn": "Bst. Hn.", "bass clarinet": "B. Cl." },
  ...{ "contrabass clarinet": "Cb. Cl.", "bassoon": "Bsn.", "contrabassoon": "Cbsn." },
  ...{ "soprano saxophone": "S. Sax.", "alto saxophone": "A. Sax.", "tenor saxophone": "T. Sax." },
  ...{ "baritone saxophone": "Bar. Sax.", "horn": "Hn.", "french horn": "Hn.", "wagner tuba": "W. Tba." },
  ...{ "trumpet": "Tpt.", "piccolo trumpet": "Picc. Tpt.", "bass trumpet": "B. Tpt.", "cornet": "Cnt." },
  ...{ "flugelhorn": "Flug.", "trombone": "Tbn.", "alto trombone": "A. Tbn.", "tenor trombone": "T. Tbn." },
  ...{ "bass trombone": "B. Tbn.", "contrabass trombone": "Cb. Tbn.", "euphonium": "Euph.", "tuba": "Tba." },
  ...{ "timpani": "Timp.", "glockenspiel": "Glock.", "xylophone": "Xyl.", "marimba": "Mar." },
  ...{ "vibraphone": "Vib.", "crotales": "Crot.", "tubular bells": "T. B.", "snare drum": "S. D." },
  ...{ "tenor drum": "T. D.", "bass drum": "B. D.", "tambourine": "Tamb.", "cymbals": "Cym." },
  ...{ "suspended cymbal": "Susp. Cym.", "tam-tam": "T.-t.", "triangle": "Trgl.", "percussion": "Perc." },
  ...{ "piano": "Pno.", "celesta": "Cel.", "harpsichord": "Hpsd.", "organ": "Org.", "harp": "Hp." },
  ...{ "guitar": "Gtr.", "electric guitar": "E. Gtr.", "bass guitar": "Bass", "mandolin": "Mand." },
  ...{
    "violin": "Vln.",
    "viola": "Vla.",
    "cello": "Vc.",
    "violoncello": "Vc.",
    "double bass": "Db.",
    "contrabass": "Cb.",
  },
  ...{ "solo violin": "Solo Vln.", "solo viola": "Solo Vla.", "solo cello": "Solo Vc." },
  ...{ "woodwind": "WW.", "brass": "Br.", "string": "Str.", "soprano": "S.", "alto": "A.", "tenor": "T." },
};

/**
 * Instruments of which several keys are in use, so that players look for theirs. A cor anglais or an alto saxophone is
 * always in the same. Common practice, no source.
 */
const IN_KEYS: ReadonlySet<string> = new Set(
  ["clarinet", "bass clarinet", "horn", "french horn", "trumpet", "cornet"],
);

/** Keys by how many semitones C sounds above itself. */
const KEYS = ["C", "D♭", "D", "E♭", "E", "F", "G♭", "G", "A♭", "A", "B♭", "B"] as const;

/**
 * The name of a line as printed. Names in other languages than English, and those that say a key already, stay as they
 * are: languages are not mixed.
 */
export function printedName({ name, instrument, transposeSemitones }: NamedLine): PrintedName {
  const { stem, isDivided } = lineName(name);
  const word = englishName(stem);
  if (word === undefined || isDivided || !name.startsWith(stem)) {
    return { full: name, short: undefined, plain: name };
  }
  const key = KEYS[modulo(transposeSemitones, 12)]!;
  const isInKey = IN_KEYS.has(word) && (key !== "C" || instrument?.key === "C");
  const inKey = isInKey ? ` in ${key}` : "";
  const rest = name.slice(stem.length);
  return {
    full: `${stem}${inKey}${rest}`,
    short: `${SHORT[word]}${inKey}${rest}`,
    plain: `${SHORT[word]}${rest}`,
  };
}

/** A printed name without the key in it. */
export function withoutKey(printed: string): string {
  return printed.replace(/ in [A-G]♭?(?= |$)/, "");
}

/** A name in the singular and in small letters, where it is an English one with a short form. */
function englishName(stem: string): string | undefined {
  const small = stem.toLowerCase();
  return [small, small.replace(/s$/, ""), small.replace(/es$/, "")].find((word) =>
    Object.hasOwn(SHORT, word)
  );
}
