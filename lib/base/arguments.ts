/**
 * What arguments have to be. Nothing checks types in a notebook, so public functions look at what they are given
 * before they use it: only as far as is needed to answer a slip in a sentence.
 */
import { type InputError, refusals } from "./errors.ts";
import { inWords, isPromise } from "./in_words.ts";
import { A_RECORD, type Kind } from "./kinds.ts";
import { refuseUnknown } from "./settings.ts";

export * from "./kinds.ts";

/**
 * Refuses an argument that is not what a function needs; `name` says what it is for, where a function has
 * several of a kind.
 */
export function checkArgument(action: string, value: unknown, kind: Kind, name?: string): void {
  if (kind.fits(value)) return;
  throw misfit(action, `it needs ${kind.noun}${name === undefined ? "" : ` as ${name}`}`, { value, kind });
}

/**
 * Refuses options with a name that is not known, or with a value that is not of its kind. Undefined is as
 * good as left out; a kind that is undefined is checked elsewhere.
 */
export function checkOptions(
  action: string,
  options: unknown,
  kinds: Readonly<Record<string, Kind | undefined>>,
): void {
  if (!A_RECORD.fits(options)) refuseUnknown(action, options, Object.keys(kinds));
  const given = options as Readonly<Record<string, unknown>>;
  for (const name in given) {
    const kind = kinds[name];
    if (kind !== undefined) checkField(action, { name, value: given[name], kind });
    else if (!Object.hasOwn(kinds, name)) refuseUnknown(action, options, Object.keys(kinds));
  }
}

/** Refuses a record with a value that is not of its kind; it may have further fields, as a whole warning has. */
export function checkFields(
  action: string,
  given: unknown,
  kinds: Readonly<Record<string, Kind | undefined>>,
): void {
  if (!A_RECORD.fits(given)) refuseUnknown(action, given, Object.keys(kinds));
  for (const [name, kind] of Object.entries(kinds)) {
    if (kind) checkField(action, { name, value: (given as Readonly<Record<string, unknown>>)[name], kind });
  }
}

function checkField(
  action: string,
  { name, value, kind }: { readonly name: string; readonly value: unknown; readonly kind: Kind },
): void {
  if (value === undefined || kind.fits(value)) return;
  throw misfit(action, `"${name}" needs ${kind.noun}`, { value, kind });
}

function misfit(
  action: string,
  needs: string,
  { value, kind }: { readonly value: unknown; readonly kind: Kind },
): InputError {
  const remedy = isPromise(value) ? "Write await before what gives it" : kind.give;
  return refusals(action)(`${needs} and got ${inWords(value, kind.fields)}`, remedy);
}
