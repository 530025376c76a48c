/** Calls a notebook does not stop anybody from making: arguments missing, of the wrong kind, or misspelt. */
import type { PublicFunction } from "./public_functions.ts";
import type { RightArguments } from "./right_arguments.ts";

/** One call with something wrong in it. */
export interface WrongCall {
  /** In words: `balance(a score, null)`. */
  readonly words: string;
  /** What is wrong: an argument, an option's name, or an option's value. */
  readonly wrong: "argument" | "option name" | "option value";
  /** Parameter that is given something wrong; empty where none is given anything. */
  readonly parameter: string;
  /** True where it is given null, or something of another type than it takes; undefined may be left out. */
  readonly ofAnotherType: boolean;
  readonly args: readonly unknown[];
}

/** How a call ended. */
export type Outcome =
  | { readonly kind: "returned"; readonly value: unknown }
  | { readonly kind: "threw"; readonly error: unknown };

/** What stands in the place of an argument. */
const WRONG_VALUES: Readonly<Record<string, unknown>> = {
  undefined: undefined,
  null: null,
  "7": 7,
  "NaN": NaN,
  '"no such"': "no such",
  "{}": {},
  "[]": [],
  "a function": () => 1,
};

/** Parameters that name a place to write to or read from: any text is one. */
const PLACES = ["path", "folder", "stateFile", "out"];

/** The arguments a function takes. */
export function rightCall(fn: PublicFunction, right: RightArguments): readonly unknown[] {
  return fn.parameters.map((p) => right(fn.name, p));
}

/** Wrong calls of one function: none at all, then every argument in turn, then every option. */
export function wrongCalls(fn: PublicFunction, right: RightArguments): readonly WrongCall[] {
  const all = rightCall(fn, right);
  const valuesFor = (name: string) =>
    Object.entries(WRONG_VALUES).filter(([, value]) => !(PLACES.includes(name) && typeof value === "string"));
  const call = (
    at: number,
    [word, value]: readonly [string, unknown],
    wrong: WrongCall["wrong"],
  ): WrongCall => ({
    words: `${fn.name}(${all.map((_, i) => i === at ? word : "…").join(", ")})`,
    wrong,
    parameter: fn.parameters[at]!.name,
    ofAnotherType: value === null || Array.isArray(value) && fn.parameters[at]!.isOptions ||
      value !== undefined && !isOfType(value, fn.parameters[at]!.type, all[at]),
    args: all.map((arg, i) => i === at ? value : arg),
  });
  return [
    { words: `${fn.name}()`, wrong: "argument", parameter: "", ofAnotherType: false, args: [] },
    ...fn.parameters.flatMap((parameter, at) => [
      ...valuesFor(parameter.name).map((entry) => call(at, entry, "argument")),
      ...(!parameter.isOptions ? [] : [
        call(at, ["{ noSuchOption: 1 }", { ...all[at] as object, noSuchOption: 1 }], "option name"),
        ...parameter.fields.flatMap((field) =>
          valuesFor(field).map(([word, value]) =>
            call(at, [`{ ${field}: ${word} }`, { ...all[at] as object, [field]: value }], "option value")
          )
        ),
      ]),
    ]),
  ];
}

/** Whether a value is of a parameter's type, as far as `typeof` tells; what is left out by default is a record. */
function isOfType(value: unknown, type: string, sample: unknown): boolean {
  return type === "unknown" || typeof value === (sample === undefined ? "object" : typeof sample) ||
    type.split(" | ").includes(typeof value);
}

/** Makes a call and waits for it. */
export async function outcomeOf(
  called: (...args: readonly unknown[]) => unknown,
  args: readonly unknown[],
): Promise<Outcome> {
  try {
    return { kind: "returned", value: await called(...args) };
  } catch (error) {
    return { kind: "threw", error };
  }
}
