import { lab, rgb } from "d3-color";
import { assert, assertEquals } from "@std/assert";
import { chartSvg, momentumChart, ROLE_LOOKS, SEVERITY_LOOKS } from "ripieno/show";
import { DARK_COLOURS } from "../../../lib/show/drawing/theme.ts";
import { smallStudy } from "../small_study.ts";
import { ROLE_NAMES } from "ripieno/texture";

type Matrix = readonly (readonly number[])[];

/**
 * What readers without one kind of cone see: Machado, Oliveira & Fernandes 2009, "A physiologically-based model for
 * simulation of color vision deficiency", table of matrices at severity 1.0 (from memory), applied to linear RGB.
 */
const EYES: Readonly<Record<string, Matrix>> = {
  "all cones": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
  "no red cones": [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  "no green cones": [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  "no blue cones": [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
};

/** Between stored and linear values of a channel (IEC 61966-2-1, sRGB). */
const linear = (c: number) => c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4;
const stored = (l: number) => 255 * (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055);

function seen(colour: string, eyes: Matrix) {
  const { r, g, b } = rgb(colour);
  const cones = [linear(r), linear(g), linear(b)];
  const [red, green, blue] = eyes.map((row) =>
    stored(Math.min(1, Math.max(0, row.reduce((sum, weight, i) => sum + weight * cones[i]!, 0))))
  );
  return lab(rgb(red!, green!, blue!));
}

/** Contrast of two colours, 1 to 21 (WCAG 2.1, "relative luminance" and "contrast ratio"). */
function contrast(a: string, b: string): number {
  const luminance = (colour: string) => {
    const { r, g, b } = rgb(colour);
    return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
  };
  const [dark, light] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (light! + 0.05) / (dark! + 0.05);
}

const roles = ROLE_NAMES.filter((r) => r !== "rest");

/** The roles' fills and inks on white paper and on dark. */
const PAPERS = {
  "white paper": (role: typeof roles[number]) => ROLE_LOOKS[role],
  "dark paper": (role: typeof roles[number]) => ({
    fill: DARK_COLOURS[`--ripieno-${role}`]!,
    ink: DARK_COLOURS[`--ripieno-${role}-ink`]!,
  }),
};

for (const [paper, lookOf] of Object.entries(PAPERS)) {
  for (const [name, eyes] of Object.entries(EYES)) {
    Deno.test(`roles on ${paper}: any two differ by at least 15 (CIE 1976) to eyes with ${name}`, () => {
      for (const a of roles) {
        for (const b of roles) {
          if (a === b) continue;
          const x = seen(lookOf(a).fill, eyes);
          const y = seen(lookOf(b).fill, eyes);
          const difference = Math.hypot(x.l - y.l, x.a - y.a, x.b - y.b);
          assert(difference >= 15, `${a} and ${b}: ${difference.toFixed(1)}`);
        }
      }
    });
  }

  Deno.test(`roles on ${paper}: a grey copy keeps a ladder of lightness, each rung at least 6 above the last`, () => {
    const lightness = roles.map((r) => lab(lookOf(r).fill).l).sort((a, b) => a - b);
    lightness.slice(1).forEach((l, i) => assert(l - lightness[i]! >= 6, `${lightness[i]} and ${l}`));
  });

  Deno.test(`roles on ${paper}: words on a fill have a contrast of at least 4.5 (WCAG 2.1, 1.4.3)`, () => {
    for (const role of roles) {
      const { fill, ink } = lookOf(role);
      assert(contrast(fill, ink) >= 4.5, `${role}: ${contrast(fill, ink).toFixed(2)}`);
    }
  });
}

Deno.test("on dark paper words have a contrast of 4.5, every fill, line and sign one of 3 (WCAG 2.1, 1.4.3 and 1.4.11)", () => {
  const { "--ripieno-paper": paper, "--ripieno-ink": ink, ...others } = DARK_COLOURS;
  assert(contrast(paper!, ink!) >= 4.5);
  const drawn = Object.entries(others).filter(([name]) => !/-ink$|-rest$|-shade$/.test(name));
  assert(drawn.length > 18);
  for (const [name, colour] of drawn) {
    assert(contrast(paper!, colour) >= 3, `${name}: ${contrast(paper!, colour).toFixed(2)}`);
  }
  // Figures stand on this one, and their white has to stand out from it.
  assert(contrast(DARK_COLOURS["--ripieno-shade"]!, "#ffffff") >= 4.5);
});

Deno.test("a chart in a file of its own leaves no colour to the page around it", () => {
  assertEquals(chartSvg(momentumChart(smallStudy.momentum)).includes("var("), false);
});

Deno.test("ROLE_LOOKS and SEVERITY_LOOKS: colour is never the only sign", () => {
  assertEquals(new Set(roles.map((r) => ROLE_LOOKS[r].texture)).size, roles.length);
  const shapes = Object.values(SEVERITY_LOOKS).map((s) => s.shape);
  assertEquals(new Set(shapes).size, shapes.length);
});
