/** The harmony of a study, worked out once and shared by the report, the charts and the tables; and in words. */
import { memoOf } from "../../base/memo.ts";
import type { HarmonyReading, HarmonySpan } from "../../harmony/harmony_results.ts";
import { readHarmony } from "../../harmony/read_harmony.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { keyAsPrinted } from "../drawing/note_name.ts";
import { counted, listed, percent } from "../drawing/words.ts";
import type { ReportEntry } from "./report_entry.ts";

const byTexture = memoOf((texture: Texture) => memoOf((score: Score) => readHarmony(score, { texture })));

/** What the harmony of a study is, chord symbols of the score held where they stand. */
export function entryHarmony({ score, texture }: Pick<ReportEntry, "score" | "texture">): HarmonyReading {
  return byTexture(texture)(score);
}

/** Spans that say a chord. */
export function chordsOf({ spans }: HarmonyReading): readonly HarmonySpan[] {
  return spans.filter((span) => span.root !== null);
}

/** Chords of which the confidence is below this are counted as doubtful; model assumption. */
const DOUBTFUL = 0.5;

/** What the chart of chords and keys shows. */
export function harmonyInWords(harmony: HarmonyReading): string {
  const chords = chordsOf(harmony);
  if (chords.length === 0) return "No chord is read off it.";
  const time = (spans: readonly HarmonySpan[]) =>
    spans.reduce((sum, { startTicks, endTicks }) => sum + endTicks - startTicks, 0);
  const all = time(chords);
  const keys = [...Map.groupBy(chords, (span) => span.key?.name ?? "")]
    .map(([name, spans]) => [name, time(spans)] as const).sort((a, b) => b[1] - a[1]);
  const inKeys = listed(
    keys.map(([name, lasts], i) =>
      `${keyAsPrinted(name)} ${i === 0 ? "for " : ""}${percent(lasts / all)}${i === 0 ? " of the time" : ""}`
    ),
    5,
  );
  const printed = chords.filter((span) => span.origin === "symbol").length;
  const read = chords.length - printed;
  const doubtful = chords.filter((span) => span.confidence < DOUBTFUL).length;
  const explained = chords.reduce((sum, span) => sum + span.explainedShare * time([span]), 0) / all;
  const from = read === 0
    ? `${counted(printed, "chord")} ${
      printed === 1 ? "is given by its symbol" : "are given by their symbols"
    }`
    : `${counted(read, "chord")} ${read === 1 ? "is" : "are"} read off the notes` +
      `${printed === 0 ? "" : `, ${printed} given by ${printed === 1 ? "its symbol" : "their symbols"}`}`;
  const doubts = doubtful === 0 ? "" : `; ${doubtful} of them doubtful`;
  return `Heard in ${inKeys}. ${from}${doubts}. ${percent(explained)} of what sounds belongs to them.`;
}
