/** Reading a texture off the notes: what each part is doing in each bar, with a reason. */
import type { Score } from "../score/model.ts";
import { pitchName } from "../units.ts";
import { relationOf } from "./doublings.ts";
import { type CellFeatures, cellFeatures } from "./features.ts";
import type { Layer, RoleCell, Texture } from "./model.ts";
import { nameFigure } from "./name_figure.ts";
import type { Role } from "./roles.ts";
import { writtenTexture } from "./written.ts";

/** Rules a musician can read; thresholds are model assumptions, set by reasoning and not fitted to a corpus. */
const RULES = {
  /** A part is held harmony when its notes last this many quarters on average. */
  heldFromQuarters: 1.5,
  /** A part pulses when this share of its steps repeats the pitch … */
  pulseFromRepeats: 0.6,
  /** … in strokes of at most this many quarters. */
  pulseToQuarters: 1,
  /** A part runs when it moves stepwise this often … */
  runFromSteps: 0.75,
  /** … in strokes of at most this many quarters … */
  runToQuarters: 0.34,
  /** … with a chain of this many notes in one direction. */
  runFromNotes: 5,
  /** A part figures when it leaps or alternates this often in quick notes. */
  figuresFromLeaps: 0.5,
  /** Quick notes for figuration, in quarters. */
  figuresToQuarters: 0.67,
  /** A part punctuates when it sounds for at most this share of the time with few notes. */
  sparseToCoverage: 0.55,
  /** … at most this many per quarter of the window. */
  sparseToStrokes: 0.75,
  /** The lowest line is the bass when its strokes last this many quarters. */
  bassFromQuarters: 0.75,
  /** Share of tremolo or trill that decides. */
  ornamentedFrom: 0.5,
  /** Salience from which a line leads. */
  leadFrom: 0.5,
  /** What continuing a lead is worth. */
  continuing: 0.12,
} as const;

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
    const row = bar.map((f, p) => {
      if (!f.sounds) return silent(b, p);
      if (leading.has(p)) return leadCell(f, leading.get(p)!, bar, score);
      if (landsRun(f, cells[(b - 1) * parts + p], features[(b - 1) * parts + p], score)) {
        return landing(f, score);
      }
      const isBass = lowest >= 0 && groups[lowest]!.includes(p) &&
        f.meanPitch - bar[lowest]!.meanPitch <= BASS_DOUBLED_UP_TO;
      return secondaryCell(f, isBass, score);
    });
    cells.push(...row);
    if (leading.size > 0) ledBefore = new Set(leading.keys());
  });
  const named = nameLayers(cells, parts);
  return { origin: "recognised", cells: named, layers: layersOf(named, parts) };
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
  const cells = texture.cells.map((c): RoleCell =>
    c.part !== part || c.bar < fromBar || c.bar > toBar ? c : {
      ...c,
      role,
      figure: role === "rest" ? "none" : correction.figure ?? (role === c.role ? c.figure : role),
      confidence: 1,
      reason: "corrected by hand",
      layer: role === "rest" ? "" : `${role}: ${correction.figure ?? "by hand"}`,
    }
  );
  const parts = new Set(cells.map((c) => c.part)).size;
  return { ...texture, cells, layers: layersOf(cells, parts) };
}

function silent(bar: number, part: number): RoleCell {
  return { bar, part, role: "rest", figure: "none", confidence: 1, reason: "silent", layer: "" };
}

/** Semitones above the lowest part within which what doubles it is bass too: an octave, with some play. */
const BASS_DOUBLED_UP_TO = 13;

/** Notes from which a bar alone shows a doubling; with fewer, two parts may meet by chance on a chord tone. */
const TELLING_NOTES = 3;

/**
 * For each part of a bar, the parts in unison or octaves with it, itself included. Bars of few notes are read
 * with their neighbours, in which the two must not part company.
 */
function unisonGroups(
  features: readonly CellFeatures[],
  bar: number,
  parts: number,
): readonly (readonly number[])[] {
  const rowOf = (b: number) => features.slice(b * parts, (b + 1) * parts);
  const row = rowOf(bar);
  const neighbours = [bar - 1, bar + 1].filter((b) => b >= 0 && b * parts < features.length).map(rowOf);
  const together = (p: number, q: number) =>
    relationOf(row[p]!, row[q]!) === "unison" &&
    (row[p]!.line.length >= TELLING_NOTES ||
      neighbours.every((near) =>
        near[p]!.line.length === 0 || near[q]!.line.length === 0 ||
        relationOf(near[p]!, near[q]!) === "unison"
      ));
  return row.map((_, p) => row.flatMap((_, q) => q === p || together(p, q) ? [q] : []));
}

/** Whether a part's only note here is where the run of the bar before arrives. */
function landsRun(
  f: CellFeatures,
  cellBefore: RoleCell | undefined,
  before: CellFeatures | undefined,
  score: Score,
): boolean {
  const last = before?.line.at(-1);
  const [note] = f.line;
  return cellBefore?.role === "run" && f.line.length === 1 && last !== undefined &&
    note!.onsetTicks === score.bars[f.bar]!.startTicks &&
    last.onsetTicks + last.durationTicks === note!.onsetTicks;
}

function landing(f: CellFeatures, score: Score): RoleCell {
  return {
    bar: f.bar,
    part: f.part,
    role: "run",
    figure: "scale into the bar",
    confidence: 0.8,
    reason: `${score.parts[f.part]!.name}: run, arrives on the downbeat`,
    layer: "",
  };
}

/** Whether notes of definite pitch begin in the bar. */
function isPitched(f: CellFeatures): boolean {
  return f.line.some((n) => !n.unpitched);
}

function lowestPart(bar: readonly CellFeatures[]): number {
  let lowest = -1;
  bar.forEach((f, p) => {
    if (isPitched(f) && (lowest < 0 || f.meanPitch < bar[lowest]!.meanPitch)) lowest = p;
  });
  return lowest;
}

/** How much a part asks to be followed, 0 to about 1. */
function salience(
  f: CellFeatures,
  p: number,
  bar: readonly CellFeatures[],
  group: readonly number[],
  ledBefore: ReadonlySet<number>,
): number {
  if (f.strokes < 1) return 0;
  const sounding = bar.filter((g) => g.line.length > 0);
  const higher = sounding.filter((g) => isPitched(g) && g.meanPitch > f.meanPitch + 0.5).length /
    Math.max(1, sounding.length);
  const loudest = Math.max(...sounding.map((g) => g.dynamic));
  const moving = f.steps + 0.7 * f.leaps;
  // A line neither crawls nor patters: between about one note in two quarters and four in a quarter. Beside a
  // slower line, quick notes of one length that mostly leap, or that only sweep into a bar, adorn it.
  const crawlsOrPatters = f.strokesPerQuarter < 0.4 || f.strokesPerQuarter > 4;
  const quick = f.meanQuarters <= RULES.figuresToQuarters && f.distinctLengths === 1;
  const adorns = quick && (f.leaps >= RULES.figuresFromLeaps || f.coverage <= RULES.sparseToCoverage) &&
    sounding.some((g) =>
      g.meanQuarters > 1.5 * f.meanQuarters &&
      (ledBefore.has(g.part) || g.line.length > 1 && g.steps + g.leaps >= 0.5)
    );
  const pace = adorns ? 0.2 : crawlsOrPatters ? 0.4 : 1;
  const variety = Math.min(1, (f.distinctLengths - 1) / 2) * 0.5 +
    Math.min(1, (f.distinctPitches - 1) / 4) * 0.5;
  const sameRhythm = sounding.filter((g) => g !== f && relationOf(f, g) === "rhythm").length;
  const own = 1 - sameRhythm / Math.max(1, sounding.length);
  return 0.28 * moving * pace + 0.2 * variety + 0.22 * (1 - higher) + 0.12 * own +
    0.06 * Math.min(1, (group.length - 1) / 3) + 0.06 * Math.max(0, 1 - (loudest - f.dynamic) / 2) +
    0.06 * f.coverage + (ledBefore.has(p) ? RULES.continuing : 0);
}

/** The leading parts of a bar with their salience: the most salient line and its doublings. */
function chooseLead(
  bar: readonly CellFeatures[],
  groups: readonly (readonly number[])[],
  ledBefore: ReadonlySet<number>,
): ReadonlyMap<number, number> {
  let best = -1;
  let bestValue = 0;
  bar.forEach((f, p) => {
    if (!isPitched(f)) return;
    const value = salience(f, p, bar, groups[p]!, ledBefore);
    if (value > bestValue) {
      best = p;
      bestValue = value;
    }
  });
  if (best < 0 || bestValue < RULES.leadFrom && !ledBefore.has(best)) return new Map();
  return new Map(groups[best]!.map((p) => [p, bestValue]));
}

function leadCell(f: CellFeatures, value: number, bar: readonly CellFeatures[], score: Score): RoleCell {
  const higher = bar.filter((g) => isPitched(g) && g.meanPitch > f.meanPitch + 0.5).length;
  const reasons = [
    higher === 0 ? "the top line" : `${higher} higher`,
    f.steps >= 0.5 ? "moves by step" : f.leaps >= 0.5 ? "wide steps" : "a line of its own",
    `${f.distinctPitches} pitches`,
  ];
  return {
    bar: f.bar,
    part: f.part,
    role: "lead",
    figure: "tune",
    confidence: Math.min(1, Math.round(value * 100) / 100),
    reason: `${score.parts[f.part]!.name}: lead, ${reasons.join(", ")}`,
    layer: "",
  };
}

/** Role of a part that does not lead, its confidence, and the features that decided. */
function secondaryRole(
  f: CellFeatures,
  lowest: boolean,
): { readonly role: Role; readonly confidence: number } {
  const sure = (margin: number) => Math.max(0.5, Math.min(0.95, 0.6 + margin));
  if (f.line.length === 0) return { role: lowest ? "bass" : "pad", confidence: 0.7 };
  if (f.trill >= RULES.ornamentedFrom) return { role: "trill", confidence: 0.9 };
  if (f.tremolo >= RULES.ornamentedFrom && f.strokesPerSecond > 11) {
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

function secondaryCell(f: CellFeatures, lowest: boolean, score: Score): RoleCell {
  const { role, confidence } = secondaryRole(f, lowest);
  const figure = nameFigure(f, role, score.ticksPerQuarter);
  const name = score.parts[f.part]!.name;
  const round = (x: number) => Math.round(x * 10) / 10;
  const facts = f.line.length === 0 ? "a note held over" : [
    f.distinctPitches === 1
      ? `one pitch (${pitchName(f.line[0]!.soundingPitch)})`
      : `${f.distinctPitches} pitches`,
    figure,
    f.slurred > 0.5 ? "slurred" : "separate",
    `${round(f.strokesPerSecond)} per second`,
  ].join(", ");
  return {
    bar: f.bar,
    part: f.part,
    role,
    figure,
    confidence: Math.round(confidence * 100) / 100,
    reason: `${name}: ${role}, ${facts}`,
    layer: "",
  };
}

/** Parts with the same role and figure in a bar are one layer; its name says both. */
function nameLayers(cells: readonly RoleCell[], parts: number): readonly RoleCell[] {
  const bars = cells.length / Math.max(1, parts);
  const result = [...cells];
  for (let b = 0; b < bars; b++) {
    for (let p = 0; p < parts; p++) {
      const c = result[b * parts + p]!;
      if (c.role !== "rest") {
        result[b * parts + p] = { ...c, layer: c.role === "lead" ? "lead" : `${c.role}: ${c.figure}` };
      }
    }
  }
  return result;
}

/** Runs of bars in which the same parts make a layer. */
function layersOf(cells: readonly RoleCell[], parts: number): readonly Layer[] {
  const bars = cells.length / Math.max(1, parts);
  const done: Layer[] = [];
  let open = new Map<
    string,
    { readonly role: Role; readonly figure: string; parts: number[]; fromBar: number }
  >();
  const close = (key: string, toBar: number) => {
    const l = open.get(key)!;
    done.push({
      id: key.split("|")[0]!,
      role: l.role,
      figure: l.figure,
      parts: l.parts,
      fromBar: l.fromBar,
      toBar,
    });
  };
  for (let b = 0; b < bars; b++) {
    const here = new Map<
      string,
      { readonly role: Role; readonly figure: string; parts: number[]; fromBar: number }
    >();
    const row = cells.slice(b * parts, (b + 1) * parts).filter((c) => c.role !== "rest");
    for (const [id, group] of Map.groupBy(row, (c) => c.layer)) {
      const members = group.map((c) => c.part);
      const key = `${id}|${members.join(" ")}`;
      const before = open.get(key);
      here.set(key, before ?? { role: group[0]!.role, figure: group[0]!.figure, parts: members, fromBar: b });
    }
    for (const key of open.keys()) if (!here.has(key)) close(key, b - 1);
    open = here;
  }
  for (const key of open.keys()) close(key, bars - 1);
  return done.sort((a, b) => a.fromBar - b.fromBar || a.id.localeCompare(b.id));
}
