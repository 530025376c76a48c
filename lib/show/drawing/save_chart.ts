/** Charts as files. */
import { A_CHART, A_TEXT, checkArgument } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { escapeMarkup } from "../../base/escape_markup.ts";
import { writeFiles } from "../../formats/files/write_files.ts";
import type { Chart } from "./svg.ts";

/**
 * A chart as a picture file that stands alone: SVG with its name space, colours settled, numbers to two decimals.
 *
 * @param chart a chart, ours or one of your own: one `<svg>`
 * @returns SVG text
 * @throws {InputError} when it is no single drawing: a legend, a title or a caption of the chart library makes a figure,
 *   several elements of a page, which no picture file holds
 *
 * @example
 * ```ts
 * import { demoScore, textureOf } from "ripieno";
 * import { chartSvg, roleTimelineChart } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const svg = chartSvg(roleTimelineChart(demoScore(), textureOf(demoScore())));
 * assert(svg.startsWith("<svg xmlns="));
 * ```
 */
export function chartSvg(chart: Chart): string {
  checkDrawing("draw the chart", chart);
  return chartMarkup(chart)
    .replace(/^<svg(?![^>]* xmlns=)/, '<svg xmlns="http://www.w3.org/2000/svg"')
    .replace(/var\(--ripieno-[a-z-]+, (#[0-9a-f]+)\)/g, "$1");
}

function checkDrawing(action: string, chart: Chart): void {
  checkArgument(action, chart, A_CHART);
  if (chart.localName === "svg") return;
  const isFigure = chart.localName === "figure";
  throw new InputError({
    action,
    problem: isFigure
      ? "it is a figure: a legend, title or caption stands beside the drawing, and a picture file holds one drawing"
      : `it is a <${chart.localName}> and not a drawing, an <svg>`,
    remedy: isFigure
      ? 'Leave legend, title and caption out, or save one after the other what figure.querySelectorAll("svg") gives'
      : "Give what a chart function gives, for example momentumChart(momentum(score))",
  });
}

/**
 * A chart as markup for a page: as {@linkcode chartSvg}, but without a name space and with colours that the page may
 * set.
 */
export function chartMarkup(chart: Chart): string {
  return markupOf(chart as unknown as MarkupNode);
}

/** What of a node is used here. */
interface MarkupNode {
  readonly nodeType: number;
  readonly localName: string;
  readonly textContent: string | null;
  readonly childNodes: Iterable<MarkupNode>;
  readonly attributes: Iterable<{ readonly name: string; readonly value: string }>;
}

const TEXT = 3;
const ELEMENT = 1;
/** Attributes that hold words rather than numbers. */
const IN_WORDS = /^(aria-|class$|id$|style$|font-family$)/;

function markupOf(node: MarkupNode): string {
  if (node.nodeType === TEXT) return escapeMarkup(node.textContent ?? "");
  if (node.nodeType !== ELEMENT) return "";
  const attributes = [...node.attributes].map(({ name, value }) =>
    ` ${name}="${escapeMarkup(IN_WORDS.test(name) ? value : rounded(value))}"`
  ).join("");
  const children = [...node.childNodes].map(markupOf).join("");
  return children === ""
    ? `<${node.localName}${attributes}/>`
    : `<${node.localName}${attributes}>${children}</${node.localName}>`;
}

function rounded(value: string): string {
  return value.replace(/-?\d+\.\d{3,}(e-?\d+)?/g, (number) => String(Math.round(Number(number) * 100) / 100));
}

/**
 * Saves a chart as an SVG file, whole or not at all.
 *
 * @param chart a chart
 * @param path path of the file; a missing folder is made
 * @returns when the file is there
 * @throws {InputError} when the path does not end in `.svg` or cannot be written, or as {@linkcode chartSvg}
 *
 * @example
 * ```ts
 * import { demoScore, textureOf } from "ripieno";
 * import { roleTimelineChart, saveChart } from "ripieno/show";
 * import { assertRejects } from "@std/assert";
 * const chart = roleTimelineChart(demoScore(), textureOf(demoScore()));
 * await assertRejects(() => saveChart(chart, "roles.doc"), Error, ".svg");
 * ```
 */
export async function saveChart(chart: Chart, path: string): Promise<void> {
  checkArgument("save the chart", path, A_TEXT, "the path");
  checkDrawing("save the chart", chart);
  if (!/\.svg$/i.test(path)) {
    throw new InputError({
      action: "save the chart",
      problem: "its name does not end in .svg",
      where: { file: path },
      remedy: "Name the file, for example, roles.svg",
    });
  }
  const slash = path.lastIndexOf("/");
  await writeFiles(path.slice(0, slash + 1) || ".", [{
    name: path.slice(slash + 1),
    content: chartSvg(chart),
  }]);
}
