/// <reference lib="dom" preserve="true" />
/**
 * A document without a browser, for drawing charts. It is linkedom's, with the few calls of a canvas that the chart
 * library needs for continuous colour scales and pixel images.
 */
import { parseHTML } from "linkedom";
// @ts-types="@types/d3-color"
import { rgb } from "d3-color";
import { type Pixels, pngAddress } from "./png.ts";

/**
 * Makes an empty document to draw in, for example for a chart of your own with Observable Plot's `document` option.
 *
 * @returns a new document
 *
 * @example
 * ```ts
 * import { chartDocument } from "ripieno/show";
 * import { assertEquals } from "@std/assert";
 * const line = chartDocument().createElementNS("http://www.w3.org/2000/svg", "line");
 * assertEquals(line.outerHTML, "<line />");
 * ```
 */
export function chartDocument(): Document {
  // deno-lint-ignore no-explicit-any -- linkedom's types know nothing of the DOM's own
  const { document } = parseHTML("<!doctype html><html><body></body></html>") as any;
  const createElement = document.createElement.bind(document);
  document.createElement = (name: string, ...rest: unknown[]) =>
    name === "canvas" ? canvas() : createElement(name, ...rest);
  return document as Document;
}

/** The part of a canvas that charts use: filled rectangles, pixels put in whole, a PNG as a data address. */
function canvas() {
  let data: Uint8ClampedArray | undefined;
  const self = { width: 300, height: 150, getContext: () => context, toDataURL: () => pngAddress(pixels()) };
  const pixels = (): Pixels => {
    data ??= new Uint8ClampedArray(self.width * self.height * 4);
    return { width: self.width, height: self.height, data };
  };
  const context = {
    fillStyle: "#000",
    createImageData: (width: number, height: number): Pixels => ({
      width,
      height,
      data: new Uint8ClampedArray(width * height * 4),
    }),
    putImageData: (image: Pixels) => pixels().data.set(image.data),
    fillRect: (left: number, top: number, width: number, height: number) => {
      const { r, g, b, opacity } = rgb(context.fillStyle);
      for (let y = top; y < top + height; y++) {
        for (let x = left; x < left + width; x++) {
          pixels().data.set([r, g, b, opacity * 255], (y * self.width + x) * 4);
        }
      }
    },
  };
  return self;
}
