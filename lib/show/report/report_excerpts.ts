/** Bars in notes for a report, engraved beforehand: the page itself is put together at once. */
import { A_RECORD, A_SWITCH, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { barsBetween } from "../../orchestrate/rewrite/bars_asked.ts";
import { lines, type Markup, markup } from "../drawing/markup.ts";
import { chartMarkup } from "../drawing/save_chart.ts";
import type { Chart } from "../drawing/svg.ts";
import { engraveMusic } from "../engrave/engraved_music.ts";
import { pictureOf } from "../engrave/picture_of.ts";
import type { BarLinks } from "./bar_links.ts";
import type { Draw } from "./chart_figure.ts";
import {
  chooseExcerpts,
  type ChosenExcerpt,
  excerptInWords,
  type ExcerptSubject,
} from "./choose_excerpts.ts";
import { isAdvised } from "./entry_warnings.ts";
import { ENTRIES, entriesToldApart, type ReportEntry } from "./report_entry.ts";

/** Bars of a study in notes. */
export interface ReportExcerpt extends ChosenExcerpt {
  /** Index of the study they are of, in the order of the report. */
  readonly study: number;
  /** The caption. */
  readonly words: string;
  /** The picture. */
  readonly picture: Chart;
}

/** What a list of them has to be. */
export const EXCERPTS = listOf(A_RECORD, "a list of excerpts");

/** Pixels: as wide as the page. */
const WIDTH = 1000;

/**
 * Engraves the bars that are worth seeing beside the findings of a report: the largest turns of the scoring, and the first of each
 * kind of finding, about twelve excerpts of two or three bars on a page. Notes are coloured by role.
 *
 * @param studies the studies of the report, each with its score and texture
 * @param options whether advice is given, as {@linkcode report} has it
 * @returns the excerpts, for the option `excerpts` of {@linkcode report} and {@linkcode studyFiles}
 * @throws {InputError} when an argument is not what it should be
 *
 * @example
 * ```ts
 * import { demoScore, study, textureOf } from "ripieno";
 * import { report, reportExcerpts } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const score = demoScore();
 * const entries = [{ study: study(score), score, texture: textureOf(score) }];
 * const html = report(entries, { excerpts: await reportExcerpts(entries) });
 * assertStringIncludes(html, "In notes, bars");
 * ```
 */
export async function reportExcerpts(
  studies: readonly ReportEntry[],
  options: { readonly advise?: boolean } = {},
): Promise<readonly ReportExcerpt[]> {
  const action = "engrave bars for the report";
  checkArgument(action, studies, ENTRIES);
  checkOptions(action, options, { advise: A_SWITCH });
  const excerpts: ReportExcerpt[] = [];
  const entries = entriesToldApart(studies);
  const chosenOf = chooseExcerpts(entries, (entry) => isAdvised(entry, options.advise));
  for (const [study, entry] of entries.entries()) {
    for (const chosen of chosenOf[study]!) {
      const { fromBarIndex, toBarIndex, parts } = chosen;
      const bars = barsBetween(entry.score, { fromBarIndex, toBarIndex });
      const music = await engraveMusic(entry, { bars, parts, byRole: true, width: WIDTH });
      excerpts.push({
        ...chosen,
        study,
        words: excerptInWords(entry, chosen),
        picture: pictureOf(music, music.systems),
      });
    }
  }
  return excerpts;
}

/** Draws the excerpts of one subject where they belong on a page. */
export type DrawExcerpts = (subject: ExcerptSubject, links: BarLinks) => readonly Markup[];

/** Fonts that are embedded in a picture. */
export const FONTS = /<style[^>]*>@font-face[\s\S]*?<\/style>/;

/** Notation as a figure of a page that scrolls sideways; fonts stand in a page once. */
export function notesDrawer(isFirst: (font: string) => boolean): Draw {
  return (picture) => {
    const svg = chartMarkup(picture).replace(FONTS, (font) => isFirst(font) ? font : "");
    const box = markup`class="wide notes" tabindex="0" role="group" aria-label="notation, scrolls sideways"`;
    return markup`<figure><div ${box}>${{ html: svg }}</div></figure>`;
  };
}

/**
 * Draws the excerpts of a study, each below a fold, the first of a subject unfolded. Fonts stand in a page once: `isFirst` says
 * whether a font has not been given yet.
 */
export function excerptDrawer(
  excerpts: readonly ReportExcerpt[],
  isFirst: (font: string) => boolean,
): DrawExcerpts {
  const draw = notesDrawer(isFirst);
  return (subject, links) =>
    excerpts.filter((e) => e.subject === subject).map(({ words, picture }, i) => {
      const open = i === 0 ? { html: " open" } : "";
      return markup`<details class="in-notes"${open}><summary>${links.inText(words)}</summary>${
        draw(picture)
      }</details>`;
    });
}

/** Says of each font whether it is met for the first time. */
export function fontsOnce(): (font: string) => boolean {
  const given = new Set<string>();
  return (font) => {
    const isNew = !given.has(font);
    given.add(font);
    return isNew;
  };
}

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
