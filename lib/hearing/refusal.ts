import { InputError } from "../base/errors.ts";

/** The error for figures that a model of hearing cannot take. */
export function refusal(action: string, problem: string, remedy: string): InputError {
  return new InputError({ action, problem, remedy });
}
