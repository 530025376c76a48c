/** Reading a texture off the notes: what each part is doing in each bar, with a reason. */
import { A_RECORD, checkOptions, listOf, weightsWith } from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import { cellOnPage } from "../features/page.ts";
import { soundingCells } from "../features/sounding_cells.ts";
import type { TextureWeights } from "../judge/weights.ts";
import { layerName, layersOf } from "../layers.ts";
import type { RoleCell, Texture } from "../model.ts";
import { writtenTexture } from "../written.ts";
import { judgedPage } from "./judged_page.ts";
import { definedFigures } from "../define_figure.ts";
import type { Figure } from "../figures.ts";
import { ownFigureIn } from "./own_figures.ts";
import { type Reading, readingsOf, SILENT } from "./readings.ts";

/** What recognition goes by. */
export interface RecogniseOptions {
  /** Weights of the clues; those of `data/texture_weights.json` unless given. */
  readonly weights?: TextureWeights;
  /** Figures of one's own, made by `defineFigure`: a bar they fill is named by them. */
  readonly figures?: readonly Figure[];
}

const FIGURE_LIST = listOf(A_RECORD, "a list of figures, each made by defineFigure");

/** Whether a part accompanies: what leads, leads in any figure. */
function isAccompaniment(role: RoleCell["role"]): boolean {
  return role !== "lead" && role !== "rest";
}

const WEIGHTS = weightsWith("kinds kind lead phrase broad");

/**
 * The texture of a score: what each part is doing in each bar. Slashes are written out, grace notes left aside. Named
 * clues (how a part moves, in this bar and around it, how it stands beside the others) are weighed by small linear models,
 * whose weights are data: which kind of part it is, who leads in the bar and over the phrase, what each part does broadly.
 * Then the same heard again is read alike, and a part goes on with what it does as long as its rhythm and pitches do.
 * Plain cases, such as a bar filled by one figure of the table, are hardly weighed.
 *
 * The lead is the chief line of `trackLead`, those that double it, and whatever else is melody; of several that lead, the
 * chief line has the highest confidence. How much of the lead falls to each part is said beside (`leadShare`), whoever is
 * called lead. A lead whose figure is `tune` has a tune; where nobody has one, the chief line leads all the same and goes
 * by the figure it plays, such as `repeated eighths`. Beside its role and figure, which go by rules too, a cell says what
 * its notes do by the weights alone (`does`): a tune's long last note leads, but is held.
 *
 * @param score the score
 * @param options figures of one's own; other weights than those of `data/texture_weights.json`
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
  checkOptions("read the texture", options, { weights: WEIGHTS, figures: FIGURE_LIST });
  const judged = judgedPage(score, options.weights);
  const { page, features } = judged;
  const readings = readingsOf(judged);
  const sounds = soundingCells(score);
  const own = definedFigures(options.figures ?? []);
  const parts = score.parts.length;
  const cells = sounds.map((isHeard, i): RoleCell => {
    const place = { barIndex: Math.floor(i / parts), part: i % parts };
    const cell = cellOnPage(page, place) ?? -1;
    const read = isHeard ? readings[cell] ?? SILENT : SILENT;
    const figure = own.length > 0 && features[cell] && isAccompaniment(read.role)
      ? ownFigureIn(features[cell], own, page.score.ticksPerQuarter)
      : undefined;
    const reading = figure ? { ...read, role: figure.role, figure: figure.id, facts: [figure.id] } : read;
    return cellOf(reading, place, score.parts[place.part]!.name);
  });
  return { origin: "recognised", cells, layers: layersOf(cells, parts) };
}

function cellOf(
  { role, figure, does, confidence, leadShare, facts }: Reading,
  place: Pick<RoleCell, "barIndex" | "part">,
  partName: string,
): RoleCell {
  return {
    ...place,
    role,
    figure,
    does,
    confidence: Math.min(1, Math.round(confidence * 100) / 100),
    leadShare,
    reason: role === "rest" ? "silent" : `${partName}: ${[role, ...facts].join(", ")}`,
    layer: layerName(role, figure),
  };
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
