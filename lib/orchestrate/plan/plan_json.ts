/** Plans as JSON: the records of the library, with the defaults and the words of the table. */
import { A_RECORD } from "../../base/arguments.ts";
import { InputError, type Place } from "../../base/errors.ts";
import { inWords } from "../../base/in_words.ts";
import { nearestFirst } from "../../base/nearest_first.ts";
import { definedFigures } from "../../texture/define_figure.ts";
import type { Figure } from "../../texture/figures.ts";
import { isTempo, TEMPO_RANGE } from "../../score/tempo_range.ts";
import { EXTRA_FIELDS } from "./extra_columns.ts";
import { jsonFaultAt } from "./json_fault.ts";
import type { Assignment, Passage, Plan, PlanColumn } from "./plan.ts";
import { partsJoined, readRow } from "./plan_row.ts";

/** Whether a text is JSON rather than a table. */
export function isJson(text: string): boolean {
  return /^\uFEFF?\s*[{[]/.test(text);
}

type Fields = Readonly<Record<string, unknown>>;

const PLAN_FIELDS = ["name", "passages", "quartersPerMinute", "players", "figures"];
const PASSAGE_FIELDS = ["name", "fromBar", "toBar", "assignments"];
const LAYER_FIELDS: readonly string[] = [
  ...[
    "role",
    "figure",
    "parts",
    "articulation",
    "dynamic",
    "dynamicMiddle",
    "dynamicEnd",
    "octave",
    "technique",
  ],
  ...EXTRA_FIELDS,
  "where", // where it once was read from: says nothing here
];

/** Columns of a table whose fields are called otherwise. */
const FIELD_OF: Readonly<Partial<Record<PlanColumn, string>>> = {
  passage: "name",
  from_bar: "fromBar",
  to_bar: "toBar",
};

/** The field in which JSON has what stands in a column of a table. */
export function fieldOf(column: PlanColumn): string {
  return FIELD_OF[column] ?? column.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase());
}

function refusal(where: Place, problem: string, remedy: string): InputError {
  return new InputError({ action: "read the plan", problem, where, remedy });
}

/** Reads a plan; refuses what is wrong with passage, layer and field. */
export function planOfJson(
  text: string,
  { file, name, otherwise, figures: given }: {
    readonly file: string | undefined;
    /** Name it has in any case. */
    readonly name: string | undefined;
    /** Name it has where it gives none itself. */
    readonly otherwise: string;
    /** Figures of somebody's own besides those it holds. */
    readonly figures: readonly Figure[];
  },
): Plan {
  const where = { file };
  const plan = recordOf(parsed(text, where), { what: "the plan", fields: PLAN_FIELDS, where });
  const { passages } = plan;
  if (!Array.isArray(passages)) {
    throw refusal(
      { ...where, field: "passages" },
      `it needs a list of passages and has ${inWords(passages)}`,
      GIVE,
    );
  }
  const figures = definedFigures([...figuresIn(plan, where), ...given]);
  return {
    name: name ?? (wordIn(plan, "name", where) || otherwise),
    passages: passages.map((passage, i) => passageOf(passage, i, { where, figures })),
    ...tempoOf(plan, where),
    ...playersOf(plan, where),
    ...(figures.length > 0 ? { figures } : {}),
  };
}

const GIVE =
  'Write { "name": "…", "passages": [{ "name": "…", "fromBar": 1, "toBar": 8, "assignments": [{ "role": "lead", "parts": ["Flute 1"] }] }] }';

function parsed(text: string, where: Place): unknown {
  const json = text.replace(/^\uFEFF/, "");
  try {
    return JSON.parse(json);
  } catch {
    const before = json.slice(0, jsonFaultAt(json)).split("\n");
    throw refusal(
      { ...where, row: before.length, column: before.at(-1)!.length + 1 },
      "the JSON is broken",
      "Look for a comma, quote or bracket that is missing or too many there",
    );
  }
}

/** A record with no fields but those known. */
function recordOf(
  value: unknown,
  { what, fields, where }: {
    readonly what: string;
    readonly fields: readonly string[];
    readonly where: Place;
  },
): Fields {
  if (!A_RECORD.fits(value)) throw refusal(where, `${what} is ${inWords(value)}, not a record`, GIVE);
  const unknown = Object.keys(value as Fields).find((field) => !fields.includes(field));
  if (unknown !== undefined) {
    const known = fields.filter((field) => field !== "where");
    const problem = `${what} has no field "${unknown}"`;
    throw refusal(
      { ...where, field: unknown },
      problem,
      `Its fields are ${nearestFirst(unknown, known).join(", ")}`,
    );
  }
  return value as Fields;
}

/** A field as a table has it: words or a number as text, nothing as an empty cell. */
function wordIn(fields: Fields, field: string, where: Place): string {
  const value = fields[field];
  if (value === undefined || value === null) return "";
  if (typeof value === "string" || typeof value === "number") return String(value);
  const problem = `the field "${field}" is ${inWords(value)}`;
  throw refusal({ ...where, field }, problem, "Give one word in quotes, or one number");
}

/** Where something stands, and the figures it may name. */
interface JsonPlace {
  readonly where: Place;
  readonly figures: readonly Figure[];
}

function passageOf(value: unknown, index: number, { where: place, figures }: JsonPlace): Passage {
  const what = `passage ${index + 1}`;
  const fields = recordOf(value, { what, fields: PASSAGE_FIELDS, where: { ...place, passage: what } });
  const name = typeof fields["name"] === "string" ? fields["name"] : "";
  const where = { ...place, passage: name || what };
  const { assignments } = fields;
  if (!Array.isArray(assignments) || assignments.length === 0) {
    const problem = `it needs a list of layers and has ${inWords(assignments)}`;
    throw refusal({ ...where, field: "assignments" }, problem, GIVE);
  }
  const layers = assignments.map((layer, i) =>
    layerOf(layer, fields, { where: { ...where, layer: i + 1 }, figures })
  );
  return {
    name: layers[0]!.name,
    fromBar: layers[0]!.fromBar,
    toBar: layers[0]!.toBar,
    assignments: layers.map((l) => l.assignment),
  };
}

function layerOf(value: unknown, passage: Fields, { where, figures }: JsonPlace) {
  const fields = recordOf(value, { what: "the layer", fields: LAYER_FIELDS, where });
  const { layer: _layer, ...ofPassage } = where;
  const placeOf = (column: PlanColumn): Place => {
    const isOfPassage = Object.hasOwn(FIELD_OF, column);
    return { ...(isOfPassage ? ofPassage : where), field: fieldOf(column) };
  };
  return readRow({
    where,
    parts: partsIn(fields, where),
    figures,
    field: (column) =>
      column === "dynamic"
        ? dynamicsIn(fields, where)
        : Object.hasOwn(FIELD_OF, column)
        ? wordIn(passage, fieldOf(column), ofPassage)
        : wordIn(fields, fieldOf(column), where),
    error: (column, problem, remedy) => refusal(placeOf(column), problem, remedy),
  });
}

function partsIn({ parts }: Fields, where: Place): readonly string[] {
  if (parts === undefined || parts === null) return [];
  if (typeof parts === "string") return partsJoined(parts);
  if (Array.isArray(parts) && parts.every((part) => typeof part === "string")) return parts;
  throw refusal(
    { ...where, field: "parts" },
    `the parts are ${inWords(parts)}${Array.isArray(parts) ? " with what is no name" : ""}`,
    'Write them as ["Flute 1", "Horns"]',
  );
}

/** The dynamics of a layer in the words of a table. */
function dynamicsIn(fields: Fields, where: Place): string {
  const [dynamic, middle, end] = ["dynamic", "dynamicMiddle", "dynamicEnd"]
    .map((field) => wordIn(fields, field, where)) as [string, string, string];
  const start = dynamic || (middle || end ? "mf" : "");
  if (middle === "" && end === "") return start;
  return [start, ...(middle === "" ? [] : [middle]), end || start].join(" to ");
}

function tempoOf(plan: Fields, where: Place): Pick<Plan, "quartersPerMinute"> {
  const tempo = plan["quartersPerMinute"];
  if (tempo === undefined || tempo === null) return {};
  if (typeof tempo === "number" && isTempo(tempo)) return { quartersPerMinute: tempo };
  const place = { ...where, field: "quartersPerMinute" };
  throw refusal(place, `its tempo is ${inWords(tempo)}`, `Give one ${TEMPO_RANGE}`);
}

function playersOf(plan: Fields, place: Place): Pick<Plan, "players"> {
  const given = plan["players"];
  if (given === undefined || given === null) return {};
  const where = { ...place, field: "players" };
  const give = 'Write them as { "Violins I": 8, "Violas": 4 }';
  if (!A_RECORD.fits(given)) throw refusal(where, `its players are ${inWords(given)}`, give);
  const players = given as Readonly<Record<string, number>>;
  const wrong = Object.keys(players).find((part) => !Number.isInteger(players[part]) || players[part]! < 1);
  if (wrong === undefined) return { players };
  throw refusal(where, `"${wrong}" has ${inWords(players[wrong])} as its players`, give);
}

/** Figures of somebody's own in a plan, as they are written there. */
function figuresIn({ figures }: Fields, place: Place): readonly Figure[] {
  if (figures === undefined || figures === null) return [];
  if (Array.isArray(figures) && figures.every((f) => A_RECORD.fits(f))) return figures as readonly Figure[];
  const give = 'Write them as [{ "id": "…", "cellQuarters": 1, "strokes": [{ "at": 0, "length": 1 }] }]';
  throw refusal({ ...place, field: "figures" }, `its figures are ${inWords(figures)}`, give);
}

/** Writes a plan; where its layers were read from is left out. */
export function planToJson(plan: Plan): string {
  const passages = plan.passages.map((passage) => ({
    ...passage,
    assignments: passage.assignments.map(({ where: _where, ...layer }: Assignment) => layer),
  }));
  return `${JSON.stringify({ ...plan, passages }, null, 2)}\n`;
}
