/** Reading a texture off the notes: what each part is doing in each bar, with a reason. */
import {
  A_NUMBER,
  A_TEXT,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  oneOf,
  weightsWith,
} from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import { pitchName } from "../../base/units.ts";
import { BROAD_KINDS, roleDoes } from "../broad_kinds.ts";
import { type CellFeatures, cellFeatures, isPitched } from "../features/features.ts";
import { layerName, layersOf } from "../layers.ts";
import { leadsOf, lowestOf, melodyOdds } from "./lead.ts";
import type { RoleCell, Texture } from "../model.ts";
import { nameFigure } from "./name_figure.ts";
import { evidenceOf } from "../clues/evidence.ts";
import { judge, type Judgement } from "../judge/judge.ts";
import { isSecondLine } from "./second_line.ts";
import { type CellStanding, roleOf } from "./role_of.ts";
import { type Role, ROLE_NAMES } from "../roles.ts";
import { RULES } from "../rules.ts";
import { strongestClues } from "../judge/strongest_clues.ts";
import { TEXTURE_WEIGHTS } from "../judge/texture_weights.ts";
import type { TextureWeights } from "../judge/weights.ts";
import { writtenTexture } from "../written.ts";

/** What recognition goes by. */
export interface RecogniseOptions {
  /** Weights of the clues; those of `data/texture_weights.json` unless given. */
  readonly weights?: TextureWeights;
}

const WEIGHTS = weightsWith("kinds kind lead broad");

/**
 * The texture of a score: what each part is doing in each bar. Slashes are written out, grace notes left aside. Named
 * clues (how a part moves, in this bar and around it, how it stands beside the others) are weighed by three small
 * linear models, whose weights are data: which kind of part it is, who leads along the way, what each part does broadly.
 * Plain cases, such as a bar filled by one figure of the table, are hardly weighed. The lead is the chief line of
 * `trackLead`, those that double it, and whatever else is melody; of several that lead, the chief line has
 * the highest confidence. A lead whose figure is `tune` has a tune; where nobody has one, the chief line leads all the
 * same and goes by the figure it plays, such as `repeated eighths`. Beside its role and figure, which go by rules too, a
 * cell says what its notes do by the weights alone (`does`): a tune's long last note leads, but is held.
 *
 * @param score the score
 * @param options other weights than those of `data/texture_weights.json`
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
export function recognise(score: Score, options: RecogniseOptions = {}): Texture {
  checkOptions("read the texture", options, { weights: WEIGHTS });
  const { weights = TEXTURE_WEIGHTS } = options;
  const features = cellFeatures(score);
  const cells = readCells(score, features, judge(evidenceOf(score, features), weights));
  return { origin: "recognised", cells, layers: layersOf(cells, score.parts.length) };
}

/** Role and figure of every cell, from what the models say. */
export function readCells(
  score: Score,
  features: readonly CellFeatures[],
  judgement: Judgement,
): readonly RoleCell[] {
  const parts = score.parts.length;
  const { ticksPerQuarter } = score;
  const cells: RoleCell[] = [];
  let ledBefore: ReadonlySet<number> = new Set();
  score.bars.forEach((_, b) => {
    const bar = features.slice(b * parts, (b + 1) * parts);
    const lowest = lowestOf(judgement, bar);
    const secondLine = (p: number) =>
      isSecondLine(features, b * parts + p, { parts, ticksPerQuarter, lowest }) &&
      !judgement.evidence.scene.companions.rhythm[b * parts + p]!.some((i) =>
        !lowest.has(i - b * parts) && i - b * parts !== judgement.lead.course[b] &&
        !judgement.evidence.scene.companions.unison[i]!.includes(b * parts + p) &&
        features[i]!.meanQuarters > RULES.counterlineNotBesideQuarters
      );
    const leading = leadsOf(judgement, bar, { ledBefore, secondLine });
    bar.forEach((f, p) => {
      const i = b * parts + p;
      const place = { isLowest: lowest.has(p), movesAlone: secondLine(p), ticksPerQuarter };
      const reading = !f.sounds ? SILENT : leading.has(p)
        ? leadReading(f, leading.get(p)!, {
          bar,
          judgement,
          cell: i,
          ...place,
        })
        : cells[i - parts]?.role === "run" && arrives(f, features[i - parts]!, score)
        ? ARRIVAL
        : f.line.length === 0 && cells[i - parts]?.role === "trill"
        ? heldTrill(cells[i - parts]!)
        : secondaryReading(f, judgement, { cell: i, ...place });
      cells.push(cellOf(reading, f, { partName: score.parts[p]!.name, does: doesOf(judgement, i) }));
    });
    ledBefore = new Set(leading.keys());
  });
  return cells;
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

const CORRECTION = {
  part: A_NUMBER,
  fromBarIndex: A_NUMBER,
  toBarIndex: A_NUMBER,
  role: oneOf(ROLE_NAMES),
  figure: A_TEXT,
};

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
 * const texture = assignRole(recognise(demoScore()), { part: 0, fromBarIndex: 0, toBarIndex: 3, role: "counterline" });
 * assertEquals(texture.cells[0]?.role, "counterline");
 * ```
 */
export function assignRole(
  texture: Texture,
  correction: {
    readonly part: number;
    readonly fromBarIndex: number;
    readonly toBarIndex: number;
    readonly role: Role;
    readonly figure?: string;
  },
): Texture {
  checkArgument("correct the texture", texture, A_TEXTURE);
  checkOptions("correct the texture", correction, CORRECTION);
  const { part, fromBarIndex, toBarIndex, role } = correction;
  const cells = texture.cells.map((c): RoleCell => {
    if (c.part !== part || c.barIndex < fromBarIndex || c.barIndex > toBarIndex) return c;
    const figure = role === "rest" ? "none" : correction.figure ?? (role === c.role ? c.figure : role);
    const does = roleDoes(role, figure);
    return {
      ...c,
      role,
      figure,
      does,
      confidence: 1,
      reason: "corrected by hand",
      layer: layerName(role, figure),
    };
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

/** A trill or roll goes on until its note ends. */
function heldTrill({ role, figure, confidence }: RoleCell): Reading {
  return { role, figure, confidence, facts: ["a note held over"] };
}

/** What a cell does by the weights alone; what a figure plainly fills is melody or moving. */
function doesOf({ broad, evidence }: Judgement, cell: number): RoleCell["does"] {
  if (!evidence.scene.sounds[cell]) return "silent";
  const shares = broad[cell]!;
  const does = BROAD_KINDS[shares.indexOf(Math.max(...shares))]!;
  return evidence.plain[cell] !== undefined && does !== "melody" ? "moving" : does;
}

function cellOf(
  reading: Reading,
  f: CellFeatures,
  { partName, does }: { readonly partName: string; readonly does: RoleCell["does"] },
): RoleCell {
  const { role, figure, confidence, facts } = reading;
  return {
    barIndex: f.barIndex,
    part: f.part,
    role,
    figure,
    does,
    confidence: Math.min(1, Math.round(confidence * 100) / 100),
    reason: role === "rest" ? "silent" : `${partName}: ${[role, ...facts].join(", ")}`,
    layer: layerName(role, figure),
  };
}

/** Whether a part's only note here is where the run of the bar before arrives. */
function arrives(f: CellFeatures, before: CellFeatures, score: Score): boolean {
  const [note] = f.line;
  const last = before.line.at(-1);
  return f.line.length === 1 && f.coverage <= 0.75 && before.line.length >= RULES.runFromNotes - 1 &&
    last !== undefined &&
    note!.onsetTicks === score.bars[f.barIndex]!.startTicks &&
    last.onsetTicks + last.durationTicks === note!.onsetTicks;
}

/** A lead that is hardly a tune, such as the top line of hammered chords, goes by the figure it plays. */
function leadReading(
  f: CellFeatures,
  confidence: number,
  { bar, judgement, cell, ...place }: CellStanding & {
    readonly bar: readonly CellFeatures[];
    readonly judgement: Judgement;
    readonly cell: number;
  },
): Reading {
  const needed = judgement.evidence.plain[cell] ? RULES.plainFrom : RULES.tuneFrom;
  const higher = bar.filter((g) => isPitched(g) && g.meanPitch > f.meanPitch + 0.5).length;
  const clues = strongestClues(judgement.weights.lead, judgement.leadRows[cell]!).filter((clue) =>
    clue !== "the top line" && !isEmpty(clue, f)
  );
  const figure = place.movesAlone || melodyOdds(judgement, cell) >= needed
    ? "tune"
    : nameFigure(f, roleOf(f, judgement, cell, place).role, place.ticksPerQuarter);
  const line = [
    higher === 0 ? "the top line" : `${higher} higher`,
    ...clues,
    f.distinctPitches === 1 ? "one pitch" : `${f.distinctPitches} pitches`,
  ];
  return {
    role: "lead",
    figure,
    confidence,
    facts: [
      ...(figure === "tune" ? [] : [`though in ${figure}`]),
      ...(f.line.length === 0 ? ["a note held over"] : line),
    ],
  };
}

/** Whether a clue speaks of the pitches or the contour of one pitch, of which the reason says all there is. */
function isEmpty(clue: string, { distinctPitches }: CellFeatures): boolean {
  return distinctPitches <= 1 && /pitch|contour/.test(clue);
}

function secondaryReading(
  f: CellFeatures,
  judgement: Judgement,
  { cell, ...place }: CellStanding & { readonly cell: number },
): Reading {
  const { role, confidence, kind } = roleOf(f, judgement, cell, place);
  const figure = nameFigure(f, role, place.ticksPerQuarter);
  if (f.line.length === 0) return { role, figure, confidence, facts: ["a note held over"] };
  const clues = kind === undefined
    ? []
    : strongestClues(judgement.weights.kind, judgement.evidence.clues[cell]!, { kind });
  const facts = [
    f.distinctPitches === 1
      ? `one pitch (${pitchName(f.line[0]!.soundingPitch)})`
      : `${f.distinctPitches} pitches`,
    figure,
    f.slurred > 0.5 ? "slurred" : "separate",
    // Of single strokes a rate says nothing.
    ...(role === "punctuation" ? [] : [`${Math.round(f.strokesPerSecond * 10) / 10} per second`]),
    ...clues.filter((clue) => clue !== "slurred" && clue !== "unslurred" && !isEmpty(clue, f)),
  ];
  return { role, figure, confidence, facts };
}
