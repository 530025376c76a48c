/** What the engraver draws, read. */
import { DOMParser } from "linkedom";

/** What is used of a node of the engraver's drawing. */
export interface EngravedNode {
  readonly nodeType: number;
  readonly localName: string;
  readonly textContent: string | null;
  readonly childNodes: Iterable<EngravedNode>;
  readonly attributes: Iterable<{ readonly name: string; readonly value: string }>;
  getAttribute(name: string): string | null;
  querySelector(selector: string): EngravedNode | null;
  querySelectorAll(selector: string): Iterable<EngravedNode>;
}

/** A system as the engraver drew it. */
export interface EngravedSystem {
  /** Mark of its text, the same whenever the same is engraved. */
  readonly mark: string;
  /** Width and height in the engraver's finer units. */
  readonly width: number;
  readonly height: number;
  /** Outlines of the music's signs. */
  readonly glyphs: readonly EngravedNode[];
  /** Fonts that words need, as CSS; empty where they need none. */
  readonly fonts: string;
  /** The music. */
  readonly music: EngravedNode;
}

/** Types of nodes. */
export const [ELEMENT, TEXT] = [1, 3];

/** Reads a system that the engraver drew. */
export function engravedSystem(svg: string): EngravedSystem {
  // deno-lint-ignore no-explicit-any -- linkedom's types know nothing of the DOM's own
  const root: EngravedNode = (new DOMParser() as any).parseFromString(svg, "image/svg+xml").documentElement;
  const music = root.querySelector("svg")!;
  const [, , width = 0, height = 0] = (music.getAttribute("viewBox") ?? "").split(" ").map(Number);
  const styles = [...root.querySelectorAll("style")].map((s) => s.textContent ?? "");
  const isUsed = /<tspan[^>]*font-family="(?!Times|Liberation)/.test(svg);
  return {
    mark: root.getAttribute("id") ?? "",
    width,
    height,
    glyphs: [...root.querySelector("defs")?.childNodes ?? []].filter((n) => n.nodeType === ELEMENT),
    fonts: isUsed ? styles.filter((s) => s.includes("@font-face") && !s.includes("Liberation")).join("") : "",
    music,
  };
}

/** The bars of a system, in order. */
export function barsOf({ music }: EngravedSystem): readonly EngravedNode[] {
  return [...music.querySelectorAll("g.measure")];
}
