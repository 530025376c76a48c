/** Figures of one's own: a rhythm, and which tones of the chord it takes. */
import { A_NUMBER, A_RECORD, A_TEXT, checkArgument, checkOptions, listOf } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";
import type { FigureShape } from "./figure_shapes.ts";
import { type Figure, type FigureStroke, type FigureTones, isFigureName, type OwnFigure } from "./figures.ts";
import type { Role } from "./roles.ts";

/** Roles that a figure of one's own may be for. */
export type DefinedRole = "pulse" | "figuration" | "punctuation" | "bass";

/** A figure of one's own. */
export interface FigureDefinition {
  /** Its name, by which plans call it; none of the table's. */
  readonly id: string;
  /** Length of the rhythm in quarter notes, up to 16; it begins anew with each bar. */
  readonly cellQuarters: number;
  /** Its strokes in order, in quarter notes from the start of the cell, on twenty-fourths of a quarter. */
  readonly strokes: readonly FigureStroke[];
  /** Which tones they take; by default the part's tone of the chord. */
  readonly tones?: FigureTones;
  /** What it is for; by default figuration where the pitch changes, else pulse. */
  readonly role?: DefinedRole;
  /** What it is, in one sentence. */
  readonly meaning?: string;
}

/** A figure that was defined. */
export type DefinedFigure = Figure & { readonly id: OwnFigure };

const ACTION = "define the figure";
/** Divisions of the quarter note that every setting can write: sixteenths, triplets and thirty-seconds. */
const GRID = 24;
const LONGEST_CELL = 16;
const LONGEST_NAME = 60;
const MOST_TONES_UP = 11;
const TONE_WORDS: readonly string[] = ["chord tone", "lowest", "highest", "alternating"];
const ROLES: readonly string[] = ["pulse", "figuration", "punctuation", "bass"];

const DEFINITION = {
  id: A_TEXT,
  cellQuarters: A_NUMBER,
  strokes: listOf(A_RECORD, "a list of strokes"),
  tones: undefined,
  role: A_TEXT,
  meaning: A_TEXT,
};

/**
 * A figure of one's own, to be used in plans. Nothing keeps it: give it to `readPlan` or `assign` in their `figures`, or
 * put it into a plan's `figures`, and to `recognise` or `readFigures` to have it read by its name.
 *
 * @param definition its rhythm and its tones
 * @returns the figure, plain data that survives JSON
 * @throws {InputError} when its name is one of the table's, or its strokes cannot be written or do not fit its cell
 *
 * @example
 * ```ts
 * import { defineFigure } from "ripieno/texture";
 * import { assertEquals } from "@std/assert";
 * const tresillo = defineFigure({
 *   id: "tresillo",
 *   cellQuarters: 4,
 *   strokes: [{ at: 0, length: 1.5, accent: true }, { at: 1.5, length: 1.5 }, { at: 3, length: 1 }],
 * });
 * assertEquals([tresillo.role, tresillo.shape], ["pulse", "repeated notes"]);
 * ```
 */
export function defineFigure(definition: FigureDefinition): DefinedFigure {
  checkOptions(ACTION, definition, DEFINITION);
  checkArgument(ACTION, definition.id, A_TEXT, "its id");
  checkArgument(ACTION, definition.cellQuarters, A_NUMBER, "its length in quarters");
  checkArgument(ACTION, definition.strokes, DEFINITION.strokes);
  const { cellQuarters, strokes, tones = "chord tone" } = definition;
  const id = definition.id.trim();
  checkName(id);
  checkStrokes(id, { cellQuarters, strokes });
  checkTones(id, { tones, strokes });
  const shape = shapeOf(tones);
  const role: Role = definition.role ?? (shape === "repeated notes" ? "pulse" : "figuration");
  if (!ROLES.includes(role)) {
    throw figureError(id, `its role is "${role}"`, `Use one of ${ROLES.join(", ")}`);
  }
  return {
    id: id as OwnFigure,
    role,
    meaning: definition.meaning ?? "a figure of one's own",
    cellQuarters,
    strokes: strokes.map(({ at, length, accent }) => ({ at, length, ...(accent ? { accent } : {}) })),
    shape: role === "punctuation" ? "isolated notes" : shape,
    tones,
    tremoloSlashes: 0,
    trill: false,
  };
}

function figureError(id: string, problem: string, remedy: string): InputError {
  return new InputError({ action: `${ACTION} "${id}"`, problem, remedy });
}

function checkName(id: string): void {
  if (id === "" || id.length > LONGEST_NAME || /[\n\r\t]/.test(id)) {
    throw new InputError({
      action: ACTION,
      problem: id === "" ? "it has no name" : "its name is no short line of text",
      remedy: `Give it a name of up to ${LONGEST_NAME} letters`,
    });
  }
  if (isFigureName(id)) {
    throw figureError(id, "the library's figures have that name", "Give it another, or use that figure");
  }
}

/** Whether a length in quarters can be written. */
function isOnGrid(quarters: unknown): quarters is number {
  return typeof quarters === "number" && Number.isFinite(quarters) &&
    Math.abs(quarters * GRID - Math.round(quarters * GRID)) < 1e-6;
}

function checkStrokes(id: string, { cellQuarters, strokes }: Pick<Figure, "cellQuarters" | "strokes">): void {
  if (!isOnGrid(cellQuarters) || cellQuarters <= 0 || cellQuarters > LONGEST_CELL) {
    const remedy = `Give whole, half or third parts of quarters, up to ${LONGEST_CELL} quarters`;
    throw figureError(id, `its cell is ${cellQuarters} quarters long`, remedy);
  }
  if (strokes.length === 0) {
    throw figureError(id, "it has no strokes", "Give at least one: { at: 0, length: 1 }");
  }
  let end = 0;
  for (const [i, { at, length, accent }] of strokes.entries()) {
    const which = `stroke ${i + 1}, from ${at} for ${length} quarters,`;
    if (!isOnGrid(at) || !isOnGrid(length) || at < 0 || length <= 0) {
      const remedy = "Use twenty-fourths of a quarter: 1/2, 1/3, 1/4, 1/6, 1/8 and their sums";
      throw figureError(id, `${which} cannot be written`, remedy);
    }
    if (accent !== undefined && typeof accent !== "boolean") {
      throw figureError(
        id,
        `${which} has an accent that is neither true nor false`,
        "Give true or leave it out",
      );
    }
    if (at < end - 1e-6) {
      throw figureError(
        id,
        `${which} begins before the one before it ends`,
        "Put them in order, one after another",
      );
    }
    end = at + length;
    if (end > cellQuarters + 1e-6) {
      throw figureError(
        id,
        `${which} ends after its cell of ${cellQuarters} quarters`,
        "Shorten it or lengthen the cell",
      );
    }
  }
}

function checkTones(
  id: string,
  { tones, strokes }: { readonly tones: unknown } & Pick<Figure, "strokes">,
): void {
  if (typeof tones === "string" && TONE_WORDS.includes(tones)) return;
  const isTone = (tone: unknown) =>
    Number.isInteger(tone) && Number(tone) >= 0 && Number(tone) <= MOST_TONES_UP;
  if (!Array.isArray(tones) || !tones.every(isTone)) {
    const words = TONE_WORDS.map((w) => `"${w}"`).join(", ");
    throw figureError(id, "its tones are not known", `Use ${words} or a list such as [0, 2, 1, 2]`);
  }
  if (tones.length !== strokes.length || Math.min(...tones) !== 0) {
    throw figureError(
      id,
      `it has ${strokes.length} strokes and the tones ${tones.join(", ")}`,
      "Give one tone for each stroke, counted from the lowest, which is 0",
    );
  }
}

/** What notes do that take such tones. */
function shapeOf(tones: FigureTones): FigureShape {
  if (typeof tones === "string") return tones === "alternating" ? "alternation" : "repeated notes";
  const count = new Set(tones).size;
  return count === 1 ? "repeated notes" : count === 2 ? "alternation" : "broken chord";
}

/**
 * Figures as somebody gives them beside a plan or a score, each as {@linkcode defineFigure} makes it.
 *
 * @throws {InputError} where one is none, or two have one name
 */
export function definedFigures(figures: readonly Figure[]): readonly DefinedFigure[] {
  const checked = figures.map(({ id, cellQuarters, strokes, tones, role, meaning }) =>
    defineFigure({ id, cellQuarters, strokes, tones: tones!, role: role as DefinedRole, meaning })
  );
  const twice = checked.find((f, i) => checked.findIndex((g) => g.id === f.id) !== i);
  if (twice) throw figureError(twice.id, "there are two of that name", "Give one of them another name");
  return checked;
}
