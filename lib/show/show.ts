import { inspect } from "node:util";
import { denoPart } from "../base/deno.ts";
import { escapeMarkup } from "../base/escape_markup.ts";
import { inNotebook, InputError } from "../base/errors.ts";
import type { SampledSound } from "../formats/sound/sampled_sound.ts";
import { isSound, soundHtml } from "./audition/sound_html.ts";
import { pictureHtml } from "./cells/picture_html.ts";
import { sliderHtml } from "./cells/slider_html.ts";
import type { Chart } from "./drawing/svg.ts";
import { type ShownRow, tableHtml, type TableOptions } from "./drawing/table_html.ts";

/** How something is shown. */
export interface ShowOptions extends TableOptions {
  /** Show text as it stands, letter by letter, instead of reading it as Markdown. Default false. */
  readonly plain?: boolean;
  /**
   * Words under which it stays folded until somebody opens it, for an answer that is to be guessed first. Unlike what a notebook folds
   * by itself, it stays so when all cells are run.
   */
  readonly folded?: string;
  /** For an array of charts: one at a time, with a slider, under these words; one for each chart. */
  readonly slider?: readonly string[];
}

/** Milliseconds to wait for what is sent: for anything, and for each million characters. */
const SENDING = { least: 20, perMillion: 100 } as const;

/** One thing in several forms, by media type; a notebook picks the richest that it can show. */
type MediaForms = Readonly<Record<string, string>>;

/**
 * Shows something below a notebook's cell: a chart, a table, text. End a cell with `await show(x)`, never with a
 * bare expression: the notebook may miss what a bare expression shows.
 *
 * - a chart: as a picture whose parts name themselves under the mouse, an image where the notebook is not trusted; engraved
 *   bars as a plain picture; several in an array: one below the other, or one at a time with a slider
 * - any other element: as it is
 * - a sound, as `audition` gives it: as a player with the sound in it; several in an array: one below the other
 * - an array of records: as a table; an empty one says so
 * - an array of texts, such as advice: as a list
 * - text: as Markdown, unless `plain` is set; text that is HTML or SVG (from its first `<` to its last `>`): as that
 * - what knows how to show itself in a notebook: in its own way
 * - anything else: as text
 *
 * @param what the thing, or a promise of it
 * @param options rows of a table at most, its columns; plain text; words it is folded under; words of a slider
 * @returns when the notebook has it
 * @throws {InputError} when the code does not run in a notebook, a column is asked for that no row has, or a slider has not a
 *   word for each chart
 *
 * @example In a script there is no notebook to show a table in
 * ```ts
 * import { InputError } from "ripieno";
 * import { show } from "ripieno/show";
 * import { assertRejects } from "@std/assert";
 * await assertRejects(() => show([{ bar: 1, attacks: 16 }]), InputError, "notebook");
 * ```
 */
export async function show(what: unknown, options: ShowOptions = {}): Promise<void> {
  if (!inNotebook()) {
    throw new InputError({
      action: "show this",
      problem: "the code does not run in a notebook",
      remedy: "Save it to a file instead, or open a notebook with `deno task lab`",
    });
  }
  const thing = await heard(await what);
  const showsItself = typeof thing === "object" && thing !== null && Symbol.for("Jupyter.display") in thing &&
    !isElement(thing);
  const forms = showsItself ? {} : mediaForms(thing, options);
  await denoPart()!.jupyter!.display(showsItself ? thing : forms, { raw: !showsItself });
  await new Promise((resolve) => setTimeout(resolve, onItsWay(forms)));
}

/**
 * Milliseconds until the kernel has sent something: it packs and sends from another thread, does not say when, and the notebook no
 * longer listens once the cell is reported as done. Counted with Deno 2.9.6: after 0 ms, of 200 outputs of a million characters 16
 * were lost, 25 while six other programs kept two processors busy (then also 1 of 200 of a hundred thousand); after 20 ms 4
 * and 3; after 60 ms none of 100, nor of 100 while busy. Of five million characters one in fifty, after 100 ms while busy, was
 * mixed up with the report that the cell is done, which ended the notebook's connection.
 */
function onItsWay(forms: MediaForms): number {
  const characters = Object.values(forms).reduce((sum, text) => sum + text.length, 0);
  return SENDING.least + SENDING.perMillion * characters / 1e6;
}

/** Sounds become markup that plays them, also in a notebook that is not trusted. */
async function heard(thing: unknown): Promise<unknown> {
  const isList = Array.isArray(thing) && thing.length > 0 && thing.every(isSound);
  if (!isList && !isSound(thing)) return thing;
  const players = await Promise.all((isList ? thing : [thing]).map((one) => soundHtml(one as SampledSound)));
  return players.join("\n");
}

/**
 * The forms in which {@linkcode show} hands something to a notebook, by media type, always with one as `text/plain`.
 */
export function mediaForms(thing: unknown, options: ShowOptions = {}): MediaForms {
  const forms = openForms(thing, options);
  return options.folded === undefined ? forms : foldedForms(forms, options.folded);
}

/** What is folded away: a summary that opens it, in each form a notebook would choose. */
function foldedForms(forms: MediaForms, summary: string): MediaForms {
  const { "text/html": html, "text/markdown": markdown, "text/plain": plain = "" } = forms;
  const head = `<details><summary>${escapeMarkup(summary)}</summary>`;
  if (markdown !== undefined) {
    return { "text/markdown": `${head}\n\n${markdown}\n\n</details>`, "text/plain": plain };
  }
  return htmlForms(`${head}${html ?? `<pre>${escapeMarkup(plain)}</pre>`}</details>`, summary);
}

function openForms(thing: unknown, options: ShowOptions): MediaForms {
  if (isElement(thing)) return htmlForms(elementHtml(thing), thing.getAttribute?.("aria-label") ?? "chart");
  if (Array.isArray(thing) && thing.length === 0) return { "text/plain": "(no rows)" };
  if (Array.isArray(thing)) {
    if (thing.every(isElement)) {
      const name = thing.length === 1 ? "1 chart" : `${thing.length} charts`;
      const pictures = thing.map(elementHtml);
      return htmlForms(options.slider ? sliderHtml(pictures, options.slider) : pictures.join("\n"), name);
    }
    if (thing.every(isRow)) {
      return htmlForms(
        tableHtml(thing, options),
        `table of ${thing.length} ${thing.length === 1 ? "row" : "rows"}`,
      );
    }
    if (!options.plain && thing.every((one) => typeof one === "string")) {
      return textForms(thing.map((one) => `- ${one.replaceAll("\n", " ")}`).join("\n"));
    }
  }
  if (typeof thing === "string" && !options.plain) return textForms(thing);
  return {
    "text/plain": typeof thing === "string" ? thing : inspect(thing, { depth: 4, colors: false }),
  };
}

/** An element for a cell: a drawing in an image, anything else as it is. */
function elementHtml(element: ElementLike): string {
  const isDrawing = "localName" in element && element.localName === "svg" && "childNodes" in element;
  return isDrawing ? pictureHtml(element as unknown as Chart) : element.outerHTML;
}

function textForms(text: string): MediaForms {
  const trimmed = text.trim();
  if (/^<(!doctype html|html)\b/i.test(trimmed)) {
    const page = `<iframe srcdoc="${
      escapeMarkup(trimmed)
    }" style="width:100%;height:40em;border:0"></iframe>`;
    return htmlForms(page, "page");
  }
  const markup = trimmed.replace(/^<\?xml[^>]*>\s*/, "");
  if (/^<[a-z!][\s\S]*>$/i.test(markup)) return htmlForms(markup, "picture");
  return { "text/markdown": text, "text/plain": text };
}

function htmlForms(html: string, name: string): MediaForms {
  return { "text/html": html, "text/plain": `[${name}]` };
}

/** What of an element is used here. */
interface ElementLike {
  readonly outerHTML: string;
  readonly getAttribute?: (name: string) => string | null;
}

function isElement(thing: unknown): thing is ElementLike {
  return typeof thing === "object" && thing !== null && "outerHTML" in thing &&
    typeof thing.outerHTML === "string";
}

function isRow(thing: unknown): thing is ShownRow {
  if (typeof thing !== "object" || thing === null) return false;
  const prototype = Object.getPrototypeOf(thing);
  return prototype === Object.prototype || prototype === null;
}
