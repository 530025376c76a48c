/** A drawing as an image of a page, which comes alive where the page may run anything. */
import { escapeMarkup } from "../../base/escape_markup.ts";
import { chartSvg } from "../drawing/save_chart.ts";
import { type Chart, STILL } from "../drawing/svg.ts";

/** What the address of a picture begins with. */
export const PICTURE_ADDRESS = "data:image/svg+xml,";

/** Puts the drawing itself in the place of its image: its parts then name themselves under the mouse. */
const COME_ALIVE =
  `this.outerHTML=decodeURIComponent(this.getAttribute('src').slice(${PICTURE_ADDRESS.length}))`;

/**
 * A drawing as an `<img>` that holds it. A notebook that somebody else ran, and that its reader has not said to trust, shows images and
 * drops drawings and scripts: there it stays an image. Where scripts may run, the drawing takes the image's place, unless
 * there is nothing under the mouse in it.
 */
export function pictureHtml(chart: Chart): string {
  const isStill = (chart.getAttribute("class") ?? "").split(" ").includes(STILL);
  const [name, width, height] = ["aria-label", "width", "height"].map((a) =>
    escapeMarkup(chart.getAttribute(a) ?? "")
  );
  return `<img alt="${name}" width="${width}" height="${height}" style="max-width:100%;height:auto"` +
    `${isStill ? "" : ` onload="${COME_ALIVE}"`} src="${addressOf(withOwnIds(chartSvg(chart)))}">`;
}

/** The drawing in its address: readable, with those letters escaped that an address or an attribute may not hold. */
function addressOf(svg: string): string {
  const single = svg.replaceAll("'", "&#39;").replaceAll('"', "'");
  return PICTURE_ADDRESS +
    single.replace(/[%#&>\n\r\t]/g, (sign) => `%${sign.charCodeAt(0).toString(16).padStart(2, "0")}`);
}

/** Ids of textures by what the drawing holds: a page has each once, and none lies in a fold that another needs. */
function withOwnIds(svg: string): string {
  let mark = 0;
  for (const letter of svg) mark = (31 * mark + letter.codePointAt(0)!) >>> 0;
  return svg.replace(/(id="|url\(#)ripieno-/g, `$1p${mark.toString(36)}-`);
}
