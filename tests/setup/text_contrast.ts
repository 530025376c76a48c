/** How well the words of drawings in a page stand out from what lies under them. */
import type { Page } from "playwright-core";

/** A text and its contrast. */
export interface TextContrast {
  readonly text: string;
  /** Beginning of the words for the drawing it stands in. */
  readonly of: string;
  /** Contrast with what lies under its middle, 1 to 21 (WCAG 2.1, "contrast ratio"). */
  readonly contrast: number;
}

/**
 * Contrast of every text in the drawings of a page: its ink over the fills under its middle, or over its own rim. A
 * texture counts as its ground.
 *
 * @param page an open page
 * @returns one row for each text
 */
export async function textContrasts(page: Page): Promise<readonly TextContrast[]> {
  return await page.evaluate(SCRIPT);
}

const SCRIPT = String.raw`
(() => {
  const lin = c => (c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  const lum = ([r, g, b]) => 0.2126 * lin(r) + 0.7152 * lin(g) + 0.0722 * lin(b);
  const con = (a, b) => { const [d, l] = [lum(a), lum(b)].sort((x, y) => x - y); return (l + 0.05) / (d + 0.05); };
  const ctx = new OffscreenCanvas(1, 1).getContext("2d", { willReadFrequently: true });
  const rgba = s => { ctx.clearRect(0, 0, 1, 1); ctx.fillStyle = s; ctx.fillRect(0, 0, 1, 1); const d = ctx.getImageData(0, 0, 1, 1).data; return [d[0], d[1], d[2], d[3] / 255]; };
  const over = (top, under, alpha) => top.slice(0, 3).map((c, i) => c * alpha + under[i] * (1 - alpha));
  const opacityOf = e => { let o = 1; for (let n = e; n && n.nodeType === 1; n = n.parentElement) o *= +getComputedStyle(n).opacity; return o; };
  const paintOf = (e, style) => {
    let paint = style.fill;
    const url = /url\("?#([^")]+)"?\)/.exec(paint);
    if (url) { const rect = document.getElementById(url[1])?.querySelector("rect, stop"); if (!rect) return undefined; paint = getComputedStyle(rect).fill; }
    if (paint === "none") return undefined;
    const c = rgba(paint);
    return [c, c[3] * +style.fillOpacity * opacityOf(e)];
  };
  const rows = [];
  for (const text of document.querySelectorAll("svg text")) {
    if (text.closest(".names, .systems, defs") || !text.textContent.trim()) continue;
    const box = text.getBoundingClientRect();
    if (box.width === 0) continue;
    let svg = text.closest("svg");
    while (svg.parentElement?.closest("svg")) svg = svg.parentElement.closest("svg");
    const style = getComputedStyle(text);
    const paper = rgba(getComputedStyle(svg).backgroundColor);
    let under = paper[3] > 0 ? paper.slice(0, 3) : rgba(getComputedStyle(document.body).backgroundColor).slice(0, 3);
    const halo = /stroke/.test(style.paintOrder) && style.stroke !== "none" ? rgba(style.stroke) : undefined;
    if (halo) under = halo.slice(0, 3);
    else {
      const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
      for (const e of svg.querySelectorAll("rect, path, polygon, circle, ellipse")) {
        if (e.closest("defs, clipPath, pattern") || !(text.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_PRECEDING)) continue;
        const m = e.getScreenCTM(); if (!m || !e.isPointInFill) continue;
        const p = new DOMPoint(x, y).matrixTransform(m.inverse());
        let inside = false; try { inside = e.isPointInFill(p); } catch { inside = false; }
        if (!inside) continue;
        const paint = paintOf(e, getComputedStyle(e));
        if (paint) under = over(paint[0], under, paint[1]);
      }
    }
    const ink = paintOf(text, style);
    if (!ink) continue;
    rows.push({ text: text.textContent, of: svg.getAttribute("aria-label")?.slice(0, 40), contrast: con(over(ink[0], under, ink[1]), under) });
  }
  return rows;
})()
`;
