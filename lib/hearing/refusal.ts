import { InputError } from "../base/errors.ts";

/**
 * The error for figures that a model of hearing cannot take.
 *
 * @param action what is being done, as a verb phrase
 * @param problem what is wrong, as a clause
 * @param remedy what to give instead, as a sentence without its full stop
 * @returns the error
 */
export function refusal(action: string, problem: string, remedy: string): InputError {
  return new InputError({ action, problem, remedy });
}
