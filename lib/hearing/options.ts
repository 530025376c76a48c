/**
 * Refuses misspelt options: nothing checks types in a notebook, and an ignored option is a wrong answer.
 *
 * @param action what was being done, as a verb phrase
 * @param options the caller's options
 * @param names the names that exist
 * @throws {TypeError} when an option has another name
 */
export function checkOptionNames(action: string, options: object, names: readonly string[]): void {
  for (const name in options) {
    if (!names.includes(name)) {
      throw new TypeError(
        `Cannot ${action}: there is no option "${name}". The options are ${names.join(", ")}.`,
      );
    }
  }
}
