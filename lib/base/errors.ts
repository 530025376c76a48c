import { denoPart } from "./deno.ts";
import { shortMessage } from "./short_message.ts";

/** Where something is wrong, as far as it is known. Bars and beats count from 1, as printed. */
export interface Place {
  /** File the trouble is in, as the user named it. */
  readonly file?: string | undefined;
  /** Passage of a plan. */
  readonly passage?: string | undefined;
  /** Layer of a passage in a plan, from 1. */
  readonly layer?: number | undefined;
  /** Role of a layer of a plan. */
  readonly role?: string | undefined;
  /** Part name. */
  readonly part?: string | undefined;
  /** Bar as printed in the score. */
  readonly bar?: number | string | undefined;
  /** Beat within the bar, from 1. */
  readonly beat?: number | undefined;
  /** Row of a table or line of a text, from 1 (a table's header is row 1). */
  readonly row?: number | undefined;
  /** Column name of a table, or column number of a text from 1. */
  readonly column?: string | number | undefined;
  /** Name of a field, where the text is JSON. */
  readonly field?: string | undefined;
}

/** The parts of an {@linkcode InputError}. */
export interface InputErrorDetails {
  /** What was being done, as a verb phrase: `read the plan`. */
  readonly action: string;
  /** What is wrong, as a clause: `"Flute 9" is not in the orchestra`. */
  readonly problem: string;
  /** Where it is wrong. */
  readonly where?: Place;
  /** What to do about it, as a sentence without its full stop. */
  readonly remedy: string;
}

/**
 * Writes a place as a musician would say it.
 *
 * @param where the place; unknown fields are left out
 * @returns for example `tune.abc, bar 3, beat 2`, or an empty string when nothing is known
 *
 * @example
 * ```ts
 * import { describePlace } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * assertEquals(describePlace({ file: "cue.xml", part: "Horn 1", bar: 3 }), "cue.xml, Horn 1, bar 3");
 * ```
 */
export function describePlace(where: Place): string {
  return placeWords(where).join(", ");
}

/** The names and numbers of a place, from the file down. */
function placeWords(where: Place): readonly string[] {
  if (typeof where !== "object" || where === null) return [];
  const { file, passage, layer, role, part, bar, beat, row, column, field } = where;
  const words = [file, passage, layer === undefined ? undefined : `layer ${layer}`, role, part]
    .filter((name) => name !== undefined);
  for (const [name, number] of Object.entries({ bar, beat, row, column, field })) {
    if (number !== undefined) words.push(`${name} ${number}`);
  }
  return words;
}

/**
 * Input that cannot be used: a file, a plan, a name, an option. The message is one sentence with the place
 * and one with the remedy; nothing has been written when it is thrown. It has at most 300 characters: of a longer
 * name or word the middle is left out, and of a long list of choices the end.
 *
 * In a notebook only the message is shown, not the lines of code that led to it.
 *
 * @example
 * ```ts
 * import { InputError } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const e = new InputError({
 *   action: "read the plan",
 *   problem: `"Flute 9" is not in the orchestra`,
 *   where: { file: "plan.csv", row: 4 },
 *   remedy: "Use one of Flute 1, Flute 2",
 * });
 * assertEquals(
 *   e.message,
 *   `Cannot read the plan: "Flute 9" is not in the orchestra (plan.csv, row 4). Use one of Flute 1, Flute 2.`,
 * );
 * ```
 */
export class InputError extends Error {
  /** What was being done, as a verb phrase. */
  readonly action: string;
  /** What is wrong, as a clause. */
  readonly problem: string;
  /** Where it is wrong. */
  readonly where: Place;
  /** What to do about it. */
  readonly remedy: string;

  /**
   * Puts the message together.
   *
   * @param details action, problem, place and remedy
   */
  constructor(details: InputErrorDetails) {
    const { action, problem, remedy } = details;
    super(shortMessage({ action, problem, remedy, place: placeWords(details.where ?? {}) }));
    this.name = "InputError";
    this.action = action;
    this.problem = problem;
    this.where = details.where ?? {};
    this.remedy = remedy;
    if (inNotebook()) this.stack = `${this.name}: ${this.message}`;
  }
}

/** Errors of one action at one place, each made from what is wrong and what to do about it. */
export function refusals(action: string, where: Place = {}): (problem: string, remedy: string) => InputError {
  return (problem, remedy) => new InputError({ action, problem, where, remedy });
}

/** Whether the code runs in a notebook's kernel. */
export function inNotebook(): boolean {
  try {
    return denoPart()?.jupyter !== undefined; // elsewhere the name may exist too, but reading it throws
  } catch {
    return false;
  }
}

/**
 * Does some work on one place of a score: what is refused there says where, even where the figures that it is
 * worked out from know nothing of parts and bars. A place that the refusal gives itself stays.
 */
export function atPlace<T>(where: Place, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { action, problem, remedy } = error;
    throw new InputError({ action, problem, remedy, where: { ...where, ...error.where } });
  }
}
