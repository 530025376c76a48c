/** An engraved system as a drawing of ours: one set of glyphs, our inks, colours and signs of roles. */
import type { Role } from "../../texture/roles.ts";
import { roleFill } from "../drawing/frame.ts";
import { h } from "../drawing/svg.ts";
import { INK, noteColour } from "../drawing/theme.ts";
import { barsOf, ELEMENT, type EngravedNode, type EngravedSystem, TEXT } from "./engraved_system.ts";
import { FINE_UNITS } from "./engraver.ts";
import { wordsBesideDynamics } from "./words_beside_dynamics.ts";

/** How a system is drawn. */
interface SystemLook {
  /** Name in ids. */
  readonly name: string;
  /** Pixels to one of the engraver's finer units. */
  readonly scale: number;
  /** Role by bar of the system and stave; nothing where all is black. */
  readonly roleAt?: (bar: number, stave: number) => Role | undefined;
  /** The role that words over a stave name; undefined where they are other words. */
  readonly roleOf?: (words: string) => Role | undefined;
}

/** Types of words in scores; all but the last have widths like those the engraver reckons with. */
const WORDS = "'Times New Roman', 'Liberation Serif', 'Nimbus Roman', Times, serif";
/** How words of a kind are set, by the engraver's name of it. */
const LETTERS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  tempo: { "font-weight": "bold" },
  reh: { "font-weight": "bold" },
  ending: { "font-weight": "bold" },
  fing: { "font-weight": "bold" },
  dir: { "font-style": "italic" },
  dynam: { "font-style": "italic" },
  mNum: { "font-style": "italic" },
};
/** What stays black where notes are coloured. */
const RESTS = ["rest", "mRest"];
const OUTLINED = ["path", "rect", "polygon", "polyline", "ellipse"];
/** Attributes that are ours to give, or that only the engraver needs. */
const LEFT_OUT = ["id", "xmlns", "color", "font-family"];

/** Glyphs and fonts of several systems, each once. */
export function sharedDefinitions(systems: readonly EngravedSystem[], name: string): readonly SVGElement[] {
  const glyphs = new Map(
    systems.flatMap((s) =>
      s.glyphs.map((glyph) => [glyphId(name, glyph.getAttribute("id") ?? ""), glyph] as const)
    ),
  );
  const fonts = systems.find((s) => s.fonts !== "")?.fonts;
  return [
    h(
      "defs",
      {},
      ...[...glyphs].map(([id, glyph]) =>
        h("g", { id }, ...[...glyph.childNodes].filter((n) => n.nodeType === ELEMENT).map(outline))
      ),
    ),
    ...(fonts === undefined ? [] : [h("style", {}, fonts)]),
  ];
}

function outline(node: EngravedNode): SVGElement {
  return h(node.localName, Object.fromEntries([...node.attributes].map((a) => [a.name, a.value])));
}

/** `E0A4-p1fcsvfp` is the glyph E0A4 of a drawing. */
function glyphId(name: string, id: string): string {
  return `${name}-${id.split("-")[0]}`;
}

/** The music of a system in our inks. */
export function systemDrawing(system: EngravedSystem, look: SystemLook): SVGElement {
  const bars = barsOf(system);
  const besides = wordsBesideDynamics(bars);
  const roles = new Map<EngravedNode, Role>();
  const { roleAt } = look;
  if (roleAt) {
    for (const [bar, measure] of bars.entries()) {
      const staves = [...measure.childNodes].filter((n) => classOf(n) === "staff");
      for (const [stave, staff] of staves.entries()) {
        const role = roleAt(bar, stave);
        if (role === undefined || role === "rest") continue;
        for (const layer of staff.childNodes) if (classOf(layer) === "layer") roles.set(layer, role);
      }
    }
  }
  const copies = [...system.music.childNodes].flatMap((node) => copied(node, { ...look, roles, besides }));
  return h("svg", {
    viewBox: `0 0 ${system.width} ${system.height}`,
    width: system.width * look.scale,
    height: system.height * look.scale,
    overflow: "visible",
    "font-family": WORDS,
  }, ...copies);
}

const classOf = (node: EngravedNode): string =>
  node.nodeType === ELEMENT ? (node.getAttribute("class") ?? "").split(" ")[0]! : "";

/** How the pieces of one drawing look. */
interface DrawingLook extends SystemLook {
  readonly roles: ReadonlyMap<EngravedNode, Role>;
  /** Where words begin that would lie on others. */
  readonly besides: ReadonlyMap<EngravedNode, number>;
}

/** A copy of the engraver's drawing, without what is empty. */
function copied(node: EngravedNode, look: DrawingLook): readonly (SVGElement | string)[] {
  if (node.nodeType === TEXT) return [node.textContent ?? ""];
  if (node.nodeType !== ELEMENT) return [];
  const children = [...node.childNodes].flatMap((child) => copied(child, look));
  if (node.localName === "g" && children.length === 0) return [];
  const role = look.roles.get(node);
  const attributes = {
    ...kept(node, look.name),
    ...(OUTLINED.includes(node.localName) ? { stroke: "currentColor" } : {}),
    ...(node.localName === "g" ? LETTERS[classOf(node)] : {}),
    ...(look.besides.has(node) ? { x: look.besides.get(node)! } : {}),
    ...(look.roles.size > 0 && RESTS.includes(classOf(node))
      ? { style: `color:${INK}`, fill: "currentColor" }
      : {}),
    ...(role === undefined
      ? {}
      : { "data-role": role, style: `color:${noteColour(role)}`, fill: "currentColor" }),
  };
  const copy = h(node.localName, attributes, ...children);
  return [...signBefore(node, look), copy];
}

function kept(node: EngravedNode, name: string): Readonly<Record<string, string>> {
  const attributes = [...node.attributes].filter((a) =>
    !LEFT_OUT.includes(a.name) || (a.name === "font-family" && !/^(Times|Liberation)/.test(a.value))
  );
  return Object.fromEntries(attributes.map(({ name: key, value }) => {
    if (!/^(xlink:)?href$/.test(key)) return [key, value];
    return ["href", `#${glyphId(name, value.slice(1))}`];
  }));
}

/** Size of the sign before a role's name, in pixels at the size words have. */
const SIGN = { width: 22, height: 12 };

/** The sign of a role before the word that names it. */
function signBefore(node: EngravedNode, { roleOf, name }: SystemLook): readonly SVGElement[] {
  if (roleOf === undefined || node.localName !== "text") return [];
  const role = roleOf(node.textContent ?? "");
  const [x, y] = ["x", "y"].map((a) => Number(node.getAttribute(a)));
  if (role === undefined || x === undefined || y === undefined) return [];
  const perPixel = FINE_UNITS * 2.5;
  return [h("rect", {
    ...SIGN,
    y: -SIGN.height + 2,
    rx: 2,
    transform: `translate(${x},${y}) scale(${perPixel})`,
    fill: roleFill(name, role),
  })];
}
