/** A deck of slides for a class: one page, a picture and a sentence at a time. */
import { checkArgument, checkOptions } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { lines, type Markup, markup } from "../drawing/markup.ts";
import { chartMarkup } from "../drawing/save_chart.ts";
import type { Chart } from "../drawing/svg.ts";
import { DARK_COLOURS } from "../drawing/theme.ts";
import { notesAsPrinted } from "../drawing/words.ts";
import { chartDrawer, type Draw } from "./chart_figure.ts";
import { ENTRIES, entriesToldApart, type ReportEntry } from "./report_entry.ts";
import { EXCERPTS, FONTS, fontsOnce, type ReportExcerpt } from "./report_excerpts.ts";
import { type Slide, slideList } from "./slide_list.ts";

/** Options of {@linkcode slides}. */
export interface SlidesOptions {
  /** Bars in notes, as {@linkcode reportExcerpts} engraves them; by default the deck has charts alone. */
  readonly excerpts?: readonly ReportExcerpt[];
}

const DARK_CHARTS = Object.entries(DARK_COLOURS).map(([name, colour]) => `${name}: ${colour};`).join(" ");

const STYLE = `
:root { color-scheme: light dark; --page: #ffffff; --ink: #1d1e24; --soft: #5a5c66; --ripieno-paper: #ffffff; --ripieno-ink: #1d1e24; }
@media screen and (prefers-color-scheme: dark) { :root { --page: #1b1e24; --ink: #e7e6e1; --soft: #a9abb4; ${DARK_CHARTS} } }
* { box-sizing: border-box; } html { scroll-snap-type: y proximity; }
body { margin: 0; background: var(--page); color: var(--ink); font: 16px/1.4 system-ui, "Helvetica Neue", Arial, sans-serif; }
section { height: 100vh; padding: 3vh 4vw; display: grid; grid-template-rows: auto 1fr auto; gap: 2vh; scroll-snap-align: start; }
h1, h2 { font-size: clamp(18px, 2.5vw, 36px); line-height: 1.25; margin: 0; font-weight: 600; max-width: 46em; overflow-wrap: break-word; }
h2:focus { outline: none; }
.picture { min-height: 0; min-width: 0; display: grid; place-items: center; overflow: auto; }
.picture svg { max-width: 100%; max-height: 100%; width: 100% !important; height: 100% !important; }
.names, .systems { display: none; } figure, figure > div { margin: 0; width: 100%; height: 100%; min-height: 0; }
footer { display: flex; justify-content: space-between; gap: 2em; color: var(--soft); font-size: 14px; }
footer a { color: inherit; padding: 4px 10px; } footer a:focus-visible, .picture:focus-visible { outline: 2px solid currentColor; }
@media (max-width: 640px) { section { height: auto; min-height: 100vh; } .picture { justify-items: start; }
  .picture svg { min-width: 640px; height: auto !important; max-height: none; } figure { overflow-x: auto; } }
@page { size: A4 landscape; margin: 10mm; }
@media print { html { scroll-snap-type: none; } section { height: 185mm; padding: 0; break-after: page; break-inside: avoid; }
  section:last-of-type { break-after: auto; } h2 { font-size: 16pt; } nav { display: none; } .picture { overflow: hidden; } }
`.trim();

/** Arrows, page keys, space, Home and End go from slide to slide; without it the page scrolls. */
const SCRIPT = `
const all = [...document.querySelectorAll("section")];
const here = () => all.findIndex((s) => s.getBoundingClientRect().bottom > innerHeight / 2);
const go = (n) => {
  const slide = all[Math.max(0, Math.min(all.length - 1, n))];
  slide.scrollIntoView();
  slide.querySelector("h2").focus({ preventScroll: true });
};
addEventListener("keydown", (e) => {
  if (e.altKey || e.ctrlKey || e.metaKey) return;
  const steps = { ArrowRight: 1, ArrowDown: 1, PageDown: 1, " ": e.shiftKey ? -1 : 1, ArrowLeft: -1, ArrowUp: -1, PageUp: -1 };
  if (e.key === "Home") go(0);
  else if (e.key === "End") go(all.length - 1);
  else if (e.key in steps && !e.target.closest("a")) go(here() + steps[e.key]);
  else return;
  e.preventDefault();
});
`.trim();

/**
 * A deck for a class as one HTML page that needs nothing else: five to eight pictures, charts and bars in notes, each under one
 * sentence that says what was found. Arrow keys, space, Home and End go from slide to slide; it prints one slide to a page.
 *
 * @param studies one or more studies, each with its score and texture; of several, the last is looked at closely
 * @param options bars in notes
 * @returns HTML
 * @throws {InputError} when there are no studies
 *
 * @example
 * ```ts
 * import { demoScore, study, textureOf } from "ripieno";
 * import { reportExcerpts, slides } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const score = demoScore();
 * const entries = [{ study: study(score), score, texture: textureOf(score) }];
 * const deck = slides(entries, { excerpts: await reportExcerpts(entries) });
 * assert(deck.split("<section").length - 1 >= 5);
 * ```
 */
export function slides(studies: readonly ReportEntry[], options: SlidesOptions = {}): string {
  checkArgument("make slides", studies, ENTRIES);
  checkOptions("make slides", options, { excerpts: EXCERPTS });
  const entries = entriesToldApart(studies);
  if (entries.length === 0) {
    throw new InputError({
      action: "make slides",
      problem: "there is nothing to show",
      remedy: "Give at least one study with its score and texture",
    });
  }
  const list = slideList(entries, options.excerpts ?? []);
  const draw = chartDrawer();
  const isFirst = fontsOnce();
  const title = entries[0]!.score.title || entries[0]!.study.name;
  const { html } = markup`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}, slides</title>
<style>
${{ html: STYLE }}
</style>
</head>
<body>
<main>
${lines(list.map((slide, i) => section(slide, { number: i + 1, of: list.length, title, draw, isFirst })))}
</main>
<script>
${{ html: SCRIPT }}
</script>
</body>
</html>
`;
  return html;
}

/** One slide. */
function section(
  { sentence, picture }: Slide,
  { number, of, title, draw, isFirst }: {
    readonly number: number;
    readonly of: number;
    readonly title: string;
    readonly draw: Draw;
    readonly isFirst: (font: string) => boolean;
  },
): Markup {
  const isNotation = picture.querySelector("g.measure") !== null;
  const drawn = isNotation ? notation(picture, isFirst) : draw(picture);
  const step = (to: number, words: string, sign: string) =>
    to < 1 || to > of ? undefined : markup`<a href="#slide-${to}" aria-label="${words} slide">${sign}</a>`;
  return markup`<section id="slide-${number}" aria-label="slide ${number} of ${of}">
<h2 tabindex="-1">${notesAsPrinted(sentence)}</h2>
<div class="picture">${drawn}</div>
<footer><span>${title}</span><nav>${step(number - 1, "previous", "←")} ${number} / ${of} ${
    step(number + 1, "next", "→")
  }</nav></footer>
</section>`;
}

/** Notes on a slide at most so many times as large as on a page. */
const LARGEST = 2;

function notation(picture: Chart, isFirst: (font: string) => boolean): Markup {
  const html = chartMarkup(picture).replace(FONTS, (font) => isFirst(font) ? font : "");
  const width = LARGEST * Number(picture.getAttribute("width"));
  return markup`<figure style="max-width: ${width}px">${{ html }}</figure>`;
}
