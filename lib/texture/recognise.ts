/** Reading a texture off the notes: what each part is doing in each bar, with a reason. */
import type { Score } from "../score/model.ts";
import { pitchName } from "../units.ts";
import { unisonGroups } from "./doublings.ts";
import { type CellFeatures, cellFeatures, isPitched } from "./features.ts";
import { layerName, layersOf } from "./layers.ts";
import { chooseLead } from "./lead.ts";
import type { RoleCell, Texture } from "./model.ts";
import { nameFigure } from "./name_figure.ts";
import type { Role } from "./roles.ts";
import { RULES } from "./rules.ts";
import { writtenTexture } from "./written.ts";

/**
 * The texture of a score: what each part is doing in each bar. Short bars are read together with their
 * neighbours, slashes written out, grace notes left aside. The lead is the line with the highest salience (its
 * own rhythm, stepwise motion, height, loudness, doubling, having led before); parts in unison or octaves with it
 * lead too.
 *
 * @param score the score
 * @returns cells per bar and part, and layers
 *
 * @example
 * ```ts
 * import { demoScore, recognise } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const texture = recognise(demoScore());
 * assertEquals(texture.origin, "recognised");
 * assertEquals(texture.cells.length, demoScore().bars.length * demoScore().parts.length);
 * ```
 */
export function recognise(score: Score): Texture {
  const parts = score.parts.length;
  const features = cellFeatures(score);
  const cells: RoleCell[] = [];
  let ledBefore = new Set<number>();
  score.bars.forEach((_, b) => {
    const bar = features.slice(b * parts, (b + 1) * parts);
    const groups = unisonGroups(features, b, parts);
    const leading = chooseLead(bar, groups, ledBefore);
    const lowest = lowestPart(bar);
    bar.forEach((f, p) => {
      const before = cells[(b - 1) * parts + p];
      const isBass = lowest >= 0 && groups[lowest]!.includes(p) &&
        f.meanPitch - bar[lowest]!.meanPitch <= RULES.bassDoubledToSemitones;
      const reading = !f.sounds
        ? SILENT
        : leading.has(p)
        ? leadReading(f, leading.get(p)!, bar)
        : f.line.length === 0 && before?.role === "lead" && leading.size === 0
        ? heldOver(before)
        : before?.role === "run" && arrives(f, features[(b - 1) * parts + p]!, score)
        ? ARRIVAL
        : secondaryReading(f, isBass, score.ticksPerQuarter);
      cells.push(cellOf(reading, f, score.parts[p]!.name));
    });
    if (leading.size > 0) ledBefore = new Set(leading.keys());
  });
  return { origin: "recognised", cells, layers: layersOf(cells, parts) };
}

/**
 * The texture to measure by: the written one of a setting, else the recognised one.
 *
 * @param score the score
 * @returns its texture
 *
 * @example
 * ```ts
 * import { demoScore, textureOf } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(textureOf(demoScore()).origin, "written");
 * ```
 */
export function textureOf(score: Score): Texture {
  return writtenTexture(score) ?? recognise(score);
}

/**
 * The same texture with one part's role corrected by hand over some bars; everything measured from it follows.
 *
 * @param texture the texture; not changed
 * @param correction part index, bar indexes (inclusive, from 0), the right role and, if wanted, figure
 * @returns the corrected texture
 *
 * @example
 * ```ts
 * import { assignRole, demoScore, recognise } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const texture = assignRole(recognise(demoScore()), { part: 0, fromBar: 0, toBar: 3, role: "counterline" });
 * assertEquals(texture.cells[0]?.role, "counterline");
 * ```
 */
export function assignRole(
  texture: Texture,
  correction: {
    readonly part: number;
    readonly fromBar: number;
    readonly toBar: number;
    readonly role: Role;
    readonly figure?: string;
  },
): Texture {
  const { part, fromBar, toBar, role } = correction;
  const cells = texture.cells.map((c): RoleCell => {
    if (c.part !== part || c.bar < fromBar || c.bar > toBar) return c;
    const figure = role === "rest" ? "none" : correction.figure ?? (role === c.role ? c.figure : role);
    return { ...c, role, figure, confidence: 1, reason: "corrected by hand", layer: layerName(role, figure) };
  });
  const parts = new Set(cells.map((c) => c.part)).size;
  return { ...texture, cells, layers: layersOf(cells, parts) };
}

/** What a cell was read as, and why. */
interface Reading {
  readonly role: Role;
  readonly figure: string;
  readonly confidence: number;
  /** Facts that decided, in a musician's words. */
  readonly facts: readonly string[];
}

const SILENT: Reading = { role: "rest", figure: "none", confidence: 1, facts: [] };

const ARRIVAL: Reading = {
  role: "run",
  figure: "scale into the bar",
  confidence: 0.8,
  facts: ["arrives on the downbeat"],
};

function cellOf(reading: Reading, f: CellFeatures, partName: string): RoleCell {
  const { role, figure, confidence, facts } = reading;
  return {
    bar: f.bar,
    part: f.part,
    role,
    figure,
    confidence: Math.min(1, Math.round(confidence * 100) / 100),
    reason: role === "rest" ? "silent" : `${partName}: ${[role, ...facts].join(", ")}`,
    layer: layerName(role, figure),
  };
}

/** The lead's long note goes on leading while nobody else takes over. */
function heldOver({ role, figure, confidence }: RoleCell): Reading {
  return { role, figure, confidence, facts: ["a note held over"] };
}

/** The part that lies lowest, or -1. */
function lowestPart(bar: readonly CellFeatures[]): number {
  let lowest = -1;
  bar.forEach((f, p) => {
    if (isPitched(f) && (lowest < 0 || f.meanPitch < bar[lowest]!.meanPitch)) lowest = p;
  });
  return lowest;
}

/** Whether a part's only note here is where the run of the bar before arrives. */
function arrives(f: CellFeatures, before: CellFeatures, score: Score): boolean {
  const [note] = f.line;
  const last = before.line.at(-1);
  return f.line.length === 1 && last !== undefined &&
    note!.onsetTicks === score.bars[f.bar]!.startTicks &&
    last.onsetTicks + last.durationTicks === note!.onsetTicks;
}

function leadReading(f: CellFeatures, salience: number, bar: readonly CellFeatures[]): Reading {
  const higher = bar.filter((g) => isPitched(g) && g.meanPitch > f.meanPitch + 0.5).length;
  return {
    role: "lead",
    figure: "tune",
    confidence: salience,
    facts: [
      higher === 0 ? "the top line" : `${higher} higher`,
      f.steps >= 0.5 ? "moves by step" : f.leaps >= 0.5 ? "wide steps" : "a line of its own",
      `${f.distinctPitches} pitches`,
    ],
  };
}

/** Role of a part that does not lead, and its confidence. */
function secondaryRole(
  f: CellFeatures,
  lowest: boolean,
): { readonly role: Role; readonly confidence: number } {
  const sure = (margin: number) => Math.max(0.5, Math.min(0.95, 0.6 + margin));
  if (f.line.length === 0) return { role: lowest ? "bass" : "pad", confidence: 0.7 };
  if (f.trill >= RULES.ornamentedFrom) return { role: "trill", confidence: 0.9 };
  if (f.tremolo >= RULES.ornamentedFrom && f.strokesPerSecond > RULES.tremoloFromPerSecond) {
    return { role: "trill", confidence: 0.85 };
  }
  const quick = f.meanQuarters;
  if (f.coverage <= RULES.sparseToCoverage && f.strokes <= RULES.sparseToStrokes * f.windowQuarters) {
    return { role: "punctuation", confidence: sure(0.4 - f.coverage) };
  }
  if (lowest && quick >= RULES.bassFromQuarters) return { role: "bass", confidence: 0.7 };
  if (quick <= RULES.pulseToQuarters && f.repeats >= RULES.pulseFromRepeats) {
    return { role: "pulse", confidence: sure(f.repeats - RULES.pulseFromRepeats) };
  }
  if (quick <= RULES.runToQuarters && f.steps >= RULES.runFromSteps && f.longestScale >= RULES.runFromNotes) {
    return { role: "run", confidence: sure(f.steps - RULES.runFromSteps) };
  }
  if (quick <= RULES.figuresToQuarters && f.leaps + f.repeats >= RULES.figuresFromLeaps) {
    return { role: "figuration", confidence: sure(f.leaps - RULES.figuresFromLeaps) };
  }
  if (quick >= RULES.heldFromQuarters) {
    return { role: lowest ? "bass" : "pad", confidence: sure((quick - RULES.heldFromQuarters) / 4) };
  }
  if (lowest) return { role: "bass", confidence: 0.6 };
  if (f.steps + f.leaps >= 0.5 && f.distinctPitches >= 3) return { role: "counterline", confidence: 0.55 };
  return { role: f.repeats >= 0.5 ? "pulse" : "pad", confidence: 0.5 };
}

function secondaryReading(f: CellFeatures, lowest: boolean, ticksPerQuarter: number): Reading {
  const { role, confidence } = secondaryRole(f, lowest);
  const figure = nameFigure(f, role, ticksPerQuarter);
  const facts = f.line.length === 0 ? ["a note held over"] : [
    f.distinctPitches === 1
      ? `one pitch (${pitchName(f.line[0]!.soundingPitch)})`
      : `${f.distinctPitches} pitches`,
    figure,
    f.slurred > 0.5 ? "slurred" : "separate",
    `${Math.round(f.strokesPerSecond * 10) / 10} per second`,
  ];
  return { role, figure, confidence, facts };
}
