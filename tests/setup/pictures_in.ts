import { parseHTML } from "linkedom";
import { PICTURE_ADDRESS } from "../../lib/show/cells/picture_html.ts";

/**
 * The drawings that a cell's markup holds as images.
 *
 * @param html what a notebook shows
 * @returns the markup of each, from the top
 */
export function picturesIn(html: string): readonly string[] {
  const { document } = parseHTML(`<html><body>${html}</body></html>`);
  return [...document.querySelectorAll("img")].map((image) => image.getAttribute("src") ?? "")
    .filter((address) => address.startsWith(PICTURE_ADDRESS))
    .map((address) => decodeURIComponent(address.slice(PICTURE_ADDRESS.length)));
}
