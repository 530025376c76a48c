/** Charts in a page. */
import { type Markup, markup } from "../drawing/markup.ts";
import { chartMarkup } from "../drawing/save_chart.ts";
import type { Chart } from "../drawing/svg.ts";

/** As wide as the page; its headings are the titles. */
export const CHART = { width: 1000, title: "" } as const;

export type Draw = (chart: Chart) => Markup;

/** Draws charts of one page: ids of textures are numbered, since a page may hold each only once. */
export function chartDrawer(): Draw {
  let number = 0;
  return (chart) => {
    const own = `c${++number}`;
    const svg = chartMarkup(chart).replace(/(id="|url\(#)ripieno-/g, `$1${own}-`)
      .replace(/^<svg/, `<svg id="${own}"`);
    const box = markup`class="wide chart" tabindex="0" role="group" aria-label="chart, scrolls sideways"`;
    return markup`<figure><div ${box}>${{ html: svg }}${namesOver(chart, own)}</div></figure>${
      systemsOnPaper(chart, own)
    }`;
  };
}

/** The names of parts once more, for narrow screens: they stay in view while the bars move under them. */
function namesOver(chart: Chart, id: string): Markup | undefined {
  const names = chart.querySelector("[data-width]");
  if (names === null) return undefined;
  const room = Number(names.getAttribute("data-width"));
  const [width, height] = [Number(chart.getAttribute("width")), Number(chart.getAttribute("height"))];
  const style = `--share: ${room / width}; --top: ${(100 * topOf(names) / height).toFixed(1)}%`;
  const again = markup`<use href="#${id}" width="${width}" height="${height}"/>`;
  return markup`<svg class="names" aria-hidden="true" viewBox="0 0 ${room} ${height}" style="${style}">${again}</svg>`;
}

/** A chart in rows of bars once more, for paper: a picture for each, so that a page may end between them. */
function systemsOnPaper(chart: Chart, id: string): Markup | undefined {
  const breaks = [...chart.querySelectorAll("[data-break]")].map(topOf);
  if (breaks.length === 0) return undefined;
  const [width, height] = [Number(chart.getAttribute("width")), Number(chart.getAttribute("height"))];
  const systems = [0, ...breaks].map((top, i) => {
    const box = `0 ${top} ${width} ${(breaks[i] ?? height) - top}`;
    return markup`<svg viewBox="${box}"><use href="#${id}" width="${width}" height="${height}"/></svg>`;
  });
  return markup`<div class="systems" aria-hidden="true">${systems}</div>`;
}

/** Pixels from the upper edge of a chart down to something in it: legend and title stand above. */
function topOf(element: Element | null): number {
  if (element === null) return 0;
  const [, y = "0"] = /translate\([^,)]*,([^)]*)\)/.exec(element.getAttribute("transform") ?? "") ?? [];
  return Number(y) + topOf(element.parentElement);
}
