/** What charts of chords, custom and playing have found, in a line. */
import type { Fullness } from "../../measures/fullness/fullness_results.ts";
import type { Idiom } from "../../measures/idiom/idiom_results.ts";
import type { PlayabilityFinding, Severity } from "../../measures/playability/playability_results.ts";
import type { BarAxis } from "../drawing/bar_axis.ts";
import { SEVERITIES } from "../drawing/theme.ts";
import { capitalised } from "../../base/words.ts";
import { counted, percent } from "../drawing/words.ts";
import { placesByValue } from "./where_most.ts";

/** Where chords are fullest, and in how many bars a tone is wanting. */
export function fullnessTitle({ perBar }: Fullness, axis: BarAxis): string {
  const beside = perBar.filter((b) => b.completeness !== null);
  if (beside.length === 0) return "Nothing sounds beside the lead";
  const wanting = beside.filter((b) => b.missing !== "").length;
  const [fullest] = placesByValue(perBar, axis, (b) => b.fullness);
  const where = beside.length < 2 ? "" : `; fullest in ${fullest!.name}`;
  return wanting === 0
    ? `Every chord is complete${where}`
    : `A tone of the chord is wanting in ${wanting} of ${counted(beside.length, "bar")}${where}`;
}

/** How usual it is what instruments do, and who does most that is unusual. */
export function idiomTitle({ whole, unusual }: Idiom): string {
  if (whole.idiom === null) return "Nothing was counted of these instruments";
  if (unusual.length === 0) return "Nobody does what is unusual for the instrument";
  const [first] = [...Map.groupBy(unusual, (u) => u.partName)].toSorted(([, a], [, b]) =>
    b.length - a.length
  );
  const [name, own] = first!;
  const places = `${
    unusual.length === 1 ? "One place is" : `${unusual.length} places are`
  } unusual for the instrument`;
  return unusual.length === own.length
    ? `${places}, ${name}`
    : `${places}, most of them for ${name} (${own.length})`;
}

/** What severities are called of one place and of several. */
const SAID: Readonly<Record<Severity, string>> = {
  impossible: "impossible",
  risky: "risky",
  tiring: "tiring",
  note: "worth knowing",
};

/** How serious it gets, how often, and for whom most. */
export function playabilityTitle(findings: readonly PlayabilityFinding[]): string {
  const worst = SEVERITIES.find((s) => findings.some((f) => f.severity === s));
  if (worst === undefined) return "Nobody will stumble, by the rules";
  const own = findings.filter((f) => f.severity === worst);
  const [first] = [...Map.groupBy(own, (f) => f.partName)].toSorted(([, a], [, b]) => b.length - a.length);
  const [name, theirs] = first!;
  const places = own.length === 1 ? "one place is" : `${own.length} places are`;
  const who = theirs.length === own.length ? `, ${name}` : `, most for ${name} (${theirs.length})`;
  return worst === "note"
    ? capitalised(`nothing is risky; ${places} ${SAID[worst]}${who}`)
    : capitalised(`${places} ${SAID[worst]}${who}`) +
      (own.length < findings.length ? `; ${findings.length - own.length} more less so` : "");
}

/** What one part asks of its player. */
export function partTitle(
  name: string,
  { findings, playsIn }: {
    readonly findings: readonly PlayabilityFinding[];
    /** Share of the bars in which it begins a note. */
    readonly playsIn: number;
  },
): string {
  if (playsIn === 0) return `${name} does not play`;
  const worst = SEVERITIES.find((s) => findings.some((f) => f.severity === s));
  if (worst === undefined) {
    const often = playsIn === 1 ? "every bar" : `${percent(playsIn)} of the bars`;
    return `${name} plays in ${often}, and no rule is broken`;
  }
  const own = findings.filter((f) => f.severity === worst);
  const places = own.length === 1 ? `bar ${own[0]!.bar} is` : `${own.length} places are`;
  return `${name}: ${places} ${SAID[worst]}, ${own[0]!.rule}`;
}
