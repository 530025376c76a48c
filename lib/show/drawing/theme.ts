/** How charts look: one colour, one texture and one kind of ink per role, one shape per severity. */
import type { Severity } from "../../measures/playability/playability_results.ts";
import type { Role } from "../../texture/roles.ts";

/** How a role is drawn. */
export interface RoleLook {
  /** Fill, a hex colour. */
  readonly fill: string;
  /** Colour of texture and words on that fill, a hex colour. */
  readonly ink: string;
  /** Lines of the texture on a tile of 8 by 8 pixels, as an SVG path; empty for a plain fill. */
  readonly texture: string;
}

/** Paper of charts: white, unless the page they stand in sets another. */
export const PAPER = "var(--ripieno-paper, #ffffff)";
/** Ink of charts: nearly black, unless the page they stand in sets another. */
export const INK = "var(--ripieno-ink, #1d1e24)";
export const FONT = "system-ui, 'Helvetica Neue', Arial, 'Liberation Sans', sans-serif";

/**
 * Colours climb a ladder of lightness (CIE L* 19 to 92), so that a grey copy keeps them apart; hues are chosen so
 * that any two stay apart for readers who see no red, no green or no blue. The textures hint at what is played:
 * vertical strokes for a pulse, a level line for a pad, dots for punctuation, a wave for a trill.
 *
 * @example The bass is the darkest
 * ```ts
 * import { ROLE_LOOKS } from "ripieno/show";
 * import { assertEquals } from "@std/assert";
 * assertEquals(ROLE_LOOKS.bass.fill, "#262b57");
 * ```
 */
export const ROLE_LOOKS: Readonly<Record<Role, RoleLook>> = {
  lead: { fill: "#981230", ink: "#ffffff", texture: "" },
  counterline: { fill: "#7d65c0", ink: "#ffffff", texture: "M-2 10L10 -2M-2 2L2 -2M6 10L10 6" },
  run: { fill: "#2f6a66", ink: "#ffffff", texture: "M0 8H2.7V5.3H5.3V2.7H8V0" },
  figuration: { fill: "#2e95b3", ink: "#0a1d24", texture: "M0 6L2 2L4 6L6 2L8 6" },
  pulse: { fill: "#d8922b", ink: "#2a1a02", texture: "M1 1V7M5 1V7" },
  trill: { fill: "#7ecb7a", ink: "#0f2a0e", texture: "M0 4Q1 1 2 4T4 4T6 4T8 4" },
  punctuation: { fill: "#e7c6ea", ink: "#33183a", texture: "M1.4 2h1.2M5.4 6h1.2" },
  pad: { fill: "#dbeee2", ink: "#1c3a2a", texture: "M0 4H8" },
  bass: { fill: "#262b57", ink: "#ffffff", texture: "M0 6.5H8" },
  rest: { fill: "#f4f4f2", ink: "#5c5d63", texture: "" },
};

/** How a severity is drawn. */
export interface SeverityLook {
  /** Colour, hex; dark enough on white and light enough on black paper. */
  readonly colour: string;
  /** Outline of its shape around 0,0 in pixels, as an SVG path. */
  readonly shape: string;
  /** Whether the shape is filled, or drawn as lines. */
  readonly filled: boolean;
}

/**
 * One shape per severity, so that colour is never the only sign.
 *
 * @example
 * ```ts
 * import { SEVERITY_LOOKS } from "ripieno/show";
 * import { assertEquals } from "@std/assert";
 * assertEquals(Object.keys(SEVERITY_LOOKS), ["impossible", "risky", "tiring", "note"]);
 * ```
 */
export const SEVERITY_LOOKS: Readonly<Record<Severity, SeverityLook>> = {
  impossible: { colour: "#c2183f", shape: "M-5 -5L5 5M5 -5L-5 5", filled: false },
  risky: { colour: "#c4761a", shape: "M0 -5.5L5.5 4.5H-5.5Z", filled: true },
  tiring: { colour: "#7d65c0", shape: "M-4 -4H4V4H-4Z", filled: false },
  note: { colour: "#7c7f88", shape: "M-2.5 0A2.5 2.5 0 1 0 2.5 0A2.5 2.5 0 1 0 -2.5 0Z", filled: true },
};

/** Severities from the worst. */
export const SEVERITIES: readonly Severity[] = ["impossible", "risky", "tiring", "note"];

/**
 * Roles on dark paper: hues near those on white, on a ladder of lightness of its own (CIE L* 45 to 95). The same
 * checks hold for both: any two differ to every eye, a grey copy keeps them apart, words on a fill can be read.
 */
const ON_DARK: Readonly<Record<Role, Pick<RoleLook, "fill" | "ink">>> = {
  lead: { fill: "#fe6194", ink: "#2b0310" },
  counterline: { fill: "#b76fc6", ink: "#17031c" },
  run: { fill: "#9fdac6", ink: "#06241b" },
  figuration: { fill: "#46cbfe", ink: "#04202c" },
  pulse: { fill: "#aa6a34", ink: "#0c0601" },
  trill: { fill: "#d2fdb5", ink: "#14290a" },
  punctuation: { fill: "#ebd8f9", ink: "#2b1838" },
  pad: { fill: "#3e7466", ink: "#ffffff" },
  bass: { fill: "#9cacc8", ink: "#0c1424" },
  rest: { fill: "#262930", ink: "#a9abb4" },
};

/**
 * Notes of a role on white paper and on dark: its hue, dark or light enough for thin lines to be read (contrast 4.5 and more,
 * WCAG 2.1).
 */
export const NOTE_COLOURS: Readonly<Record<Role, readonly [onWhite: string, onDark: string]>> = {
  lead: ["#981230", "#fe6194"],
  counterline: ["#6a4fb8", "#c08ad0"],
  run: ["#1f6a66", "#9fdac6"],
  figuration: ["#0f6f8f", "#46cbfe"],
  pulse: ["#9a5a00", "#e0964f"],
  trill: ["#2f7a2c", "#d2fdb5"],
  punctuation: ["#a03aa8", "#ebd8f9"],
  pad: ["#4c6b5b", "#7fb8a6"],
  bass: ["#262b57", "#9cacc8"],
  rest: ["#5c5d63", "#a9abb4"],
};

/** Colours of charts beside those of the roles: on white paper, and on dark. */
const HUES = {
  blue: ["#2e95b3", "#46cbfe"],
  teal: ["#2f6a66", "#9fdac6"],
  wine: ["#981230", "#fe6194"],
  violet: ["#7d65c0", "#b79bf0"],
  amber: ["#d8922b", "#e8a640"],
  navy: ["#262b57", "#9cacc8"],
  crimson: ["#c2183f", "#ff6b85"],
  ochre: ["#c4761a", "#e59a45"],
  shade: ["#7a1030", "#a8324f"],
} as const;

const SEVERITIES_ON_DARK: Readonly<Record<Severity, string>> = {
  impossible: HUES.crimson[1],
  risky: HUES.ochre[1],
  tiring: HUES.violet[1],
  note: "#a9abb4",
};

/** A colour that the page around a chart may change; in a file of its own it is the one given. */
function changeable(name: string, colour: string): string {
  return `var(--ripieno-${name}, ${colour})`;
}

/** A colour of charts by name, as a value for `fill` or `stroke`. */
export function hue(name: keyof typeof HUES): string {
  return changeable(name, HUES[name][0]);
}

/** The colour of a role without its texture, or another one on white paper. */
export function roleColour(role: Role, onWhite: string = ROLE_LOOKS[role].fill): string {
  return changeable(role, onWhite);
}

export function roleInk(role: Role): string {
  return changeable(`${role}-ink`, ROLE_LOOKS[role].ink);
}

/** The colour of a role's notes. */
export function noteColour(role: Role): string {
  return changeable(`${role}-note`, NOTE_COLOURS[role][0]);
}

export function severityColour(severity: Severity): string {
  return changeable(severity, SEVERITY_LOOKS[severity].colour);
}

/** What a page sets around charts to have them dark: names of variables and their colours. */
export const DARK_COLOURS: Readonly<Record<string, string>> = Object.fromEntries([
  ["paper", "#1b1e24"],
  ["ink", "#e7e6e1"],
  ...Object.entries(ON_DARK).flatMap(([role, { fill, ink }]) => [[role, fill], [`${role}-ink`, ink]]),
  ...Object.entries(NOTE_COLOURS).map(([role, [, dark]]) => [`${role}-note`, dark]),
  ...Object.entries(HUES).map(([name, [, dark]]) => [name, dark]),
  ...Object.entries(SEVERITIES_ON_DARK),
].map(([name, colour]) => [`--ripieno-${name}`, colour!]));
