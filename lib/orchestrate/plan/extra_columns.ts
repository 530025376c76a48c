/**
 * Choices of a layer that most layers leave alone. Each has a field of a layer, which is left out where it is as usual,
 * and a column of the same name, `hand_over` for `handOver`, which a table may leave out.
 */
import type { Role } from "../../texture/roles.ts";

/** How the players of a layer come in. */
export type LayerEntries = "together" | "from below" | "from above";

/**
 * How players share a chord: undivided, each part one tone (""); `divided` in two groups or more, each with its own tone;
 * `double stops`, where every player of a string part has two tones wherever they lie well. A bass of strings may have
 * `half pizzicato`: half of each section plucks the line that the other half bows; measures take it as bowed.
 */
export type Divisi =
  | ""
  | "divided"
  | "divided in three"
  | "divided in four"
  | "double stops"
  | "half pizzicato";

/**
 * How a chord lies; the library chooses where nothing is said (""). For any parts: `close`, neighbours on neighbouring tones
 * of the chord; `open`, one tone left out between neighbours; `spread`, over two octaves and more, wide below. For winds of two
 * kinds and more, two of a kind at least: `layered`, kind above kind; `interlocked`, by turns; `enclosed`, one kind
 * between two of another. `family blends`: one chord over all families, where families of three parts have one each.
 */
export type Voicing =
  | ""
  | "close"
  | "open"
  | "spread"
  | "layered"
  | "interlocked"
  | "enclosed"
  | "family blends";
/** How often the players of a layer hand its figure over to the next. */
export type LayerHandOver = "by bar" | "by half bar" | "by beat";

/** How long the upbeat lasts with which a lead comes in before its passage. */
export type LayerUpbeat =
  | "sixteenth"
  | "eighth"
  | "dotted eighth"
  | "quarter"
  | "dotted quarter"
  | "half"
  | "dotted half";

/** What is wished of the balance of a passage; nothing (""), or that its lead is clear. */
export type BalanceWish = "" | "lead clear";

/** Choices that most layers leave alone; what is left out is as usual. */
export interface LayerExtras {
  /** Whether its players come in one after another, a beat apart; together where it is left out. */
  readonly entries?: LayerEntries;
  /** How its sections share the chord; left out, they do not divide. */
  readonly divisi?: Divisi;
  /** How its chords lie; left out, the library chooses. */
  readonly voicing?: Voicing;
  /**
   * In any layer of a passage: the others are to play softer until its lead is clear, which keeps a third of its loudness
   * then; left out, dynamics are as written.
   */
  readonly balance?: BalanceWish;
  /**
   * How often its players hand the figure over to each other, in the order of their names, those of one name together;
   * each lands on the first note of the next. The desks of a single section of strings take turns, the odd and the even
   * ones. All play all of it where it is left out.
   */
  readonly handOver?: LayerHandOver;
  /**
   * Of a lead: the upbeat to its passage, in the bar before, is its own, and who led until then gives the tune away there;
   * it takes the tune at the bar line where it is left out.
   */
  readonly upbeat?: LayerUpbeat;
}

/** Name of such a choice: a field of a layer, and the column that has it. */
type ExtraField = keyof LayerExtras;

/** A name with an underscore before each word but the first. */
type WithUnderscores<Name extends string> = Name extends `${infer First}${infer Rest}`
  ? Rest extends Uncapitalize<Rest> ? `${Lowercase<First>}${WithUnderscores<Rest>}`
  : `${Lowercase<First>}_${WithUnderscores<Rest>}`
  : Name;

/** Name of the column that has such a choice. */
type ExtraColumnName = WithUnderscores<ExtraField>;

/** The column of a choice. */
export function columnOf(field: ExtraField): ExtraColumnName {
  return field.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`) as ExtraColumnName;
}

/** How a choice is written and read. */
interface ExtraColumn {
  /** The value it has where nothing is said. */
  readonly usual: string;
  /** What may stand in the column, in words. */
  readonly holds: string;
  /** The value of a cell; undefined where that says nothing the library knows. */
  readonly read: (cell: string) => string | undefined;
  /** Roles it is for; all where it is left out. */
  readonly roles?: readonly Role[];
  /** Values that are for other roles. */
  readonly except?: Readonly<Record<string, readonly Role[]>>;
}

/** A column with one of a few words, the usual first; an empty cell is the usual. */
function oneWordOf(words: readonly string[], more: Pick<ExtraColumn, "roles" | "except"> = {}): ExtraColumn {
  const written = words.filter((word) => word !== "");
  return {
    usual: words[0]!,
    holds: `${written.join(", ")}, or leave it empty`,
    read: (cell) => cell === "" ? words[0] : written.find((word) => word === cell.toLowerCase()),
    ...more,
  };
}

/** Roles that write chords. */
const OF_CHORDS: readonly Role[] = ["pad", "pulse", "trill", "punctuation"];

/** The choices, in the order of their columns. */
export const EXTRA_COLUMNS: Readonly<Record<ExtraField, ExtraColumn>> = {
  entries: oneWordOf(["together", "from below", "from above"], { roles: ["pad", "pulse", "trill"] }),
  divisi: oneWordOf(
    ["", "divided", "divided in three", "divided in four", "double stops", "half pizzicato"],
    {
      roles: OF_CHORDS,
      except: { "half pizzicato": ["bass"] },
    },
  ),
  voicing: oneWordOf(
    ["", "close", "open", "spread", "layered", "interlocked", "enclosed", "family blends"],
    { roles: OF_CHORDS },
  ),
  balance: oneWordOf(["", "lead clear"]),
  handOver: oneWordOf(["", "by bar", "by half bar", "by beat"], {
    roles: ["pulse", "figuration", "run"],
  }),
  upbeat: oneWordOf(
    ["", "sixteenth", "eighth", "dotted eighth", "quarter", "dotted quarter", "half", "dotted half"],
    { roles: ["lead"] },
  ),
};

/** Their names. */
export const EXTRA_FIELDS = Object.keys(EXTRA_COLUMNS) as readonly ExtraField[];

/** What is wrong with such a choice. */
interface ExtraSlip {
  readonly problem: string;
  readonly column: ExtraColumnName;
  readonly remedy: string;
}

/** Roles that a choice is for; undefined where it is for all. */
function rolesOf(field: ExtraField, value: string): readonly Role[] | undefined {
  const { roles, except } = EXTRA_COLUMNS[field];
  return except?.[value] ?? roles;
}

/** The choices of a layer that are not as usual. */
export function extrasOf(
  choices: { readonly [F in ExtraField]?: unknown },
  role: Role,
): LayerExtras | ExtraSlip {
  const extras: Record<string, string> = {};
  for (const field of EXTRA_FIELDS) {
    const { usual, holds, read } = EXTRA_COLUMNS[field];
    const column = columnOf(field);
    const given = choices[field] ?? usual;
    const value = typeof given === "string" ? read(given) : undefined;
    if (value === undefined) {
      const problem = `"${given}" is not what ${column} can be`;
      return { problem, column, remedy: `Use ${holds}` };
    }
    if (value === usual) continue;
    const roles = rolesOf(field, value);
    if (roles && !roles.includes(role)) {
      const problem = `the ${role} is to have ${column} "${value}"`;
      return { problem, column, remedy: `That is for ${roles.join(", ")}; leave it empty` };
    }
    extras[field] = value;
  }
  return extras;
}

/** The fields of a layer without those choices. */
export function withoutExtras<T extends LayerExtras>(choices: T): Omit<T, ExtraField> {
  const isExtra = (field: string) => Object.hasOwn(EXTRA_COLUMNS, field);
  return Object.fromEntries(Object.entries(choices).filter(([field]) => !isExtra(field))) as Omit<
    T,
    ExtraField
  >;
}

/** Those of a layer's choices that another role has as well. */
export function extrasFor(extras: LayerExtras, role: Role): LayerExtras {
  return Object.fromEntries(EXTRA_FIELDS.flatMap((f) => {
    const value = extras[f];
    return value === undefined || rolesOf(f, value)?.includes(role) === false ? [] : [[f, value]];
  }));
}
