/** Chord symbols as MusicXML writes them: root, kind, bass. */
import { once } from "../../../base/memo.ts";
import { get as chordCalled } from "@tonaljs/chord";
import { CHORD_KINDS } from "../../assemble/musicxml_names.ts";

/** A letter with its alteration. */
export interface HarmonyStep {
  readonly step: string;
  readonly alter: number;
}

/** The parts of a chord symbol. */
interface HarmonyParts {
  /** Root; missing for no chord. */
  readonly root?: HarmonyStep;
  /** Kind, a word of MusicXML 4.0 (element `kind`). */
  readonly kind: string;
  /** Symbol without root and bass, as printed. */
  readonly text: string;
  /** Bass where a slash names one. */
  readonly bass?: HarmonyStep;
}

/** What tells two kinds apart: the intervals over the root. */
const intervalsOf = (suffix: string): string => chordCalled(`C${suffix}`).intervals.join(" ");

const kinds = once<ReadonlyMap<string, string>>(() =>
  new Map(CHORD_KINDS.map(([kind, suffix]) => [intervalsOf(suffix), kind]))
);

function stepOf(text: string): HarmonyStep {
  const accidentals = text.slice(1);
  return { step: text[0]!, alter: accidentals.startsWith("b") ? -accidentals.length : accidentals.length };
}

/** Takes a chord symbol apart; the kind is `other` where MusicXML has no word for it, `none` for `N.C.` */
export function harmonyParts(symbol: string): HarmonyParts {
  const match = /^([A-G](?:#+|b+)?)(.*?)(?:\/([A-G](?:#+|b+)?))?$/.exec(symbol.trim());
  if (!match) return { kind: "none", text: symbol.trim() || "N.C." };
  const text = match[2]!;
  return {
    root: stepOf(match[1]!),
    kind: kinds().get(intervalsOf(text)) ?? "other",
    text,
    ...(match[3] === undefined ? {} : { bass: stepOf(match[3]) }),
  };
}
