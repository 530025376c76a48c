/** Bars that were written anew, before and after, in the report. */
import { A_RECORD, listOf } from "../../base/arguments.ts";
import { lines, type Markup, markup } from "../drawing/markup.ts";
import type { Chart } from "../drawing/svg.ts";
import type { Draw } from "./chart_figure.ts";

/** A passage that was written anew. */
export interface ChangedPassage {
  /** Its bars in words, such as `Bars 33 to 40`. */
  readonly bars: string;
  /** What became of each part, in sentences. */
  readonly said: readonly string[];
  /** The last bar that is shown, as printed, where not all are. */
  readonly shownTo?: string;
  /** The bars as notation, before and after. */
  readonly pictures?: readonly [before: Chart, after: Chart];
}

/** The kind of a list of such passages. */
export const CHANGED_PASSAGES = listOf(
  A_RECORD,
  "a list of passages, with their bars and what is said of them",
);

/** Passages with what was changed in words and the notes before and after. */
export function changedPassages(passages: readonly ChangedPassage[], draw: Draw): Markup {
  return lines(
    passages.map(({ bars, said, shownTo, pictures }) =>
      markup`<h3>${bars}</h3>
<ul>${said.map((words) => markup`<li>${words}</li>`)}</ul>
${shownTo === undefined ? "" : markup`<p>Shown up to bar ${shownTo}.</p>`}
${(pictures ?? []).map(draw)}`
    ),
  );
}
