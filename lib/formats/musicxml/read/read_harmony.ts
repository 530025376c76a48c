/** Chord symbols of MusicXML, as text that the chord library can read. */
import { get as chordCalled } from "@tonaljs/chord";
import { CHORD_KINDS } from "../../assemble/musicxml_names.ts";
import { childOf, childrenOf, numberOf, textOf, type XmlElement } from "./xml_elements.ts";

const SUFFIXES: ReadonlyMap<string, string> = new Map(CHORD_KINDS);

/** A chord symbol that was found. */
interface HarmonySymbol {
  /** For example `Dm7` or `F/A`; `N.C.` for no chord; undefined where it cannot be written. */
  readonly symbol?: string;
  readonly leftOut?: string;
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
  const isChord = letter !== undefined && text !== "" && !chordCalled(`${letter}${text}`).empty;
  return isChord && textOf(element, "kind") === "other" ? text : undefined;
}

/** Writes a `<harmony>` as a chord symbol; of several chords in it the first. */
export function readHarmony(element: XmlElement): HarmonySymbol {
  const kind = textOf(element, "kind") ?? "";
  if (kind === "none") return { symbol: "N.C." };
  const root = childOf(element, "root");
  const letter = root && letterOf(root, "root");
  const suffix = SUFFIXES.get(kind) ?? printedSuffix(element, letter);
  if (letter === undefined || suffix === undefined) {
    return { leftOut: `chord of kind "${kind || "unknown"}"` };
  }
  const bass = childOf(element, "bass");
  const bassLetter = bass && letterOf(bass, "bass");
  const slash = bassLetter === undefined ? "" : `/${bassLetter}`;
  const degrees = childrenOf(element, "degree").map((degree) => ({
    type: textOf(degree, "degree-type") ?? "add",
    text: accidentals(numberOf(degree, "degree-alter")) + (textOf(degree, "degree-value") ?? ""),
  }));
  const added = degrees.filter((d) => d.type !== "subtract").map((d) => d.text).join("");
  const taken = degrees.filter((d) => d.type === "subtract").map((d) => `no${d.text}`).join("");
  const forms = added === ""
    ? [`${suffix}${taken}`]
    : [`${suffix}${added}${taken}`, `${suffix}add${added}${taken}`];
  const several = childrenOf(element, "root").length > 1;
  const found = forms.map((form) => `${letter}${form}`).find((symbol) => !chordCalled(symbol).empty);
  if (found !== undefined) {
    const leftOut = several ? { leftOut: "second chord of a double chord symbol" } : {};
    return { symbol: found + slash, ...leftOut };
  }
  return { symbol: `${letter}${suffix}${slash}`, leftOut: "altered degree of a chord symbol" };
}
