import { Buffer } from "node:buffer";
import { inspect } from "node:util";
import { denoPart } from "../base/deno.ts";
import { escapeMarkup } from "../base/escape_markup.ts";
import { inNotebook, InputError } from "../base/errors.ts";
import type { SampledSound } from "../formats/sound/sampled_sound.ts";
import { isSound, soundHtml } from "./audition/sound_html.ts";
import { chartSvg } from "./drawing/save_chart.ts";
import { type Chart, STILL } from "./drawing/svg.ts";
import { type ShownRow, tableHtml, type TableOptions } from "./drawing/table_html.ts";

/** How something is shown. */
export interface ShowOptions extends TableOptions {
  /** Show text as it stands, letter by letter, instead of reading it as Markdown. Default false. */
  readonly plain?: boolean;
}

/** One thing in several forms, by media type; a notebook picks the richest that it can show. */
type MediaForms = Readonly<Record<string, string>>;

/**
 * Shows something below a notebook's cell: a chart, a table, text. End a cell with `await show(x)`, never with a
 * bare expression: the notebook may miss what a bare expression shows.
 *
 * - a chart or any other element: as a picture whose parts name themselves under the mouse; engraved bars as a plain
 *   picture; several in an array: one below the other
 * - a sound, as `audition` gives it: as a player with the sound in it; several in an array: one below the other
 * - an array of records: as a table; an empty one says so
 * - an array of texts, such as advice: as a list
 * - text: as Markdown, unless `plain` is set; text that is HTML or SVG (from its first `<` to its last `>`): as that
 * - what knows how to show itself in a notebook: in its own way
 * - anything else: as text
 *
 * @param what the thing, or a promise of it
 * @param options rows of a table at most, its columns; plain text
 * @returns when the notebook has it
 * @throws {InputError} when the code does not run in a notebook, or a column is asked for that no row has
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
  await denoPart()!.jupyter!.display(showsItself ? thing : mediaForms(thing, options), { raw: !showsItself });
  // The kernel may report the cell as done before the message is out; one turn of the clock puts them in order.
  await new Promise((resolve) => setTimeout(resolve, 0));
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
  if (isElement(thing)) return htmlForms(elementHtml(thing), thing.getAttribute?.("aria-label") ?? "chart");
  if (Array.isArray(thing) && thing.length === 0) return { "text/plain": "(no rows)" };
  if (Array.isArray(thing)) {
    if (thing.every(isElement)) {
      const name = thing.length === 1 ? "1 chart" : `${thing.length} charts`;
      return htmlForms(thing.map(elementHtml).join("\n"), name);
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

/**
 * An element for a cell. Notation has nothing under the mouse and stands as an image: a notebook that somebody else ran, which
 * its reader has not said to trust, shows images and drops drawings.
 */
function elementHtml(element: ElementLike): string {
  if (!(element.getAttribute?.("class") ?? "").split(" ").includes(STILL)) return element.outerHTML;
  const picture = Buffer.from(chartSvg(element as Chart)).toString("base64");
  const [name, width] = ["aria-label", "width"].map((a) => escapeMarkup(element.getAttribute?.(a) ?? ""));
  return `<img alt="${name}" width="${width}" style="max-width:100%" src="data:image/svg+xml;base64,${picture}">`;
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
