import { AN_ARRAY, checkArgument } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";

/** The error for figures that a model of hearing cannot take. */
export function refusal(action: string, problem: string, remedy: string): InputError {
  return new InputError({ action, problem, remedy });
}

/** Refuses frequencies without a level or amplitude each. */
export function checkComponents(
  action: string,
  frequencies: ArrayLike<number>,
  others: { readonly levels: ArrayLike<number> } | { readonly amplitudes: ArrayLike<number> },
): void {
  checkArgument(action, frequencies, AN_ARRAY, "frequencies");
  for (const [name, values] of Object.entries(others) as [string, ArrayLike<number>][]) {
    checkArgument(action, values, AN_ARRAY, name);
    if (values.length === frequencies.length) continue;
    throw refusal(
      action,
      `there are ${frequencies.length} frequencies but ${values.length} ${name}`,
      "Give one each",
    );
  }
}
