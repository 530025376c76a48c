/** Chord symbols of MusicXML, as text that the chord library can read. */
import { Chord } from "tonal";
import { childOf, numberOf, textOf, type XmlElement } from "./xml_elements.ts";

/** Suffix of each chord kind of MusicXML 4.0 (element `kind`); kinds without a common symbol are missing. */
const SUFFIXES: Readonly<Record<string, string>> = {
  "major": "",
  "minor": "m",
  "augmented": "aug",
  "diminished": "dim",
  "dominant": "7",
  "major-seventh": "maj7",
  "minor-seventh": "m7",
  "diminished-seventh": "dim7",
  "augmented-seventh": "7#5",
  "half-diminished": "m7b5",
  "major-minor": "mMaj7",
  "major-sixth": "6",
  "minor-sixth": "m6",
  "dominant-ninth": "9",
  "major-ninth": "maj9",
  "minor-ninth": "m9",
  "dominant-11th": "11",
  "major-11th": "maj11",
  "minor-11th": "m11",
  "dominant-13th": "13",
  "major-13th": "maj13",
  "minor-13th": "m13",
  "suspended-second": "sus2",
  "suspended-fourth": "sus4",
  "power": "5",
};

/** A chord symbol that was found. */
export interface HarmonySymbol {
  /** Symbol, for example `Dm7` or `F/A`; `N.C.` for no chord; undefined where it cannot be written. */
  readonly symbol: string | undefined;
  /** What was left out of it, if anything. */
  readonly leftOut: string | undefined;
}

function accidentals(alter: number | undefined): string {
  const count = Math.round(alter ?? 0);
  return Math.abs(count) > 3 ? "" : (count > 0 ? "#" : "b").repeat(Math.abs(count));
}

function letterOf(element: XmlElement, prefix: string): string | undefined {
  const step = textOf(element, `${prefix}-step`)?.toUpperCase();
  if (step === undefined || !/^[A-G]$/.test(step)) return undefined;
  return step + accidentals(numberOf(element, `${prefix}-alter`));
}

/** The suffix a chord of kind `other` is printed with, where that says a chord: `7sus4`, `7b9`. */
function printedSuffix(element: XmlElement, letter: string | undefined): string | undefined {
  const kind = childOf(element, "kind");
  const text = kind?.attributes.text?.trim() ?? "";
  const isChord = letter !== undefined && text !== "" && !Chord.get(`${letter}${text}`).empty;
  return isChord && textOf(element, "kind") === "other" ? text : undefined;
}

/** Writes a `<harmony>` as a chord symbol; of several chords in it the first. */
export function readHarmony(element: XmlElement): HarmonySymbol {
  const kind = textOf(element, "kind") ?? "";
  if (kind === "none") return { symbol: "N.C.", leftOut: undefined };
  const root = childOf(element, "root");
  const letter = root && letterOf(root, "root");
  const suffix = SUFFIXES[kind] ?? printedSuffix(element, letter);
  if (letter === undefined || suffix === undefined) {
    return { symbol: undefined, leftOut: `chord of kind "${kind || "unknown"}"` };
  }
  const bass = childOf(element, "bass");
  const bassLetter = bass && letterOf(bass, "bass");
  const slash = bassLetter === undefined ? "" : `/${bassLetter}`;
  const degrees = element.children.filter((c) => c.name === "degree").map((degree) => ({
    type: textOf(degree, "degree-type") ?? "add",
    text: accidentals(numberOf(degree, "degree-alter")) + (textOf(degree, "degree-value") ?? ""),
  }));
  const added = degrees.filter((d) => d.type !== "subtract").map((d) => d.text).join("");
  const taken = degrees.filter((d) => d.type === "subtract").map((d) => `no${d.text}`).join("");
  const forms = added === ""
    ? [`${suffix}${taken}`]
    : [`${suffix}${added}${taken}`, `${suffix}add${added}${taken}`];
  const several = element.children.filter((c) => c.name === "root").length > 1;
  for (const form of forms) {
    const symbol = `${letter}${form}`;
    if (!Chord.get(symbol).empty) {
      return {
        symbol: symbol + slash,
        leftOut: several ? "second chord of a double chord symbol" : undefined,
      };
    }
  }
  return { symbol: `${letter}${suffix}${slash}`, leftOut: "altered degree of a chord symbol" };
}
