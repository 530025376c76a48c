/** Names that tell parts apart where a file calls several the same. */

/** Names that end in a number of their own, such as `Flute 1` or `Violin II`. */
const NUMBERED = /\s(\d+|[IVX]+)\.?$/;

/**
 * One name per part, in order of the page. Two parts called `Violin` are `Violin 1` and `Violin 2`; two called
 * `Violin II` are its stave 1 and its stave 2. A name that stands alone stays as it is.
 */
export function distinctNames(names: readonly string[]): readonly string[] {
  const taken = new Set(names);
  const counts = new Map<string, number>();
  return names.map((name) => {
    if (names.indexOf(name) === names.lastIndexOf(name)) return name;
    for (;;) {
      const count = (counts.get(name) ?? 0) + 1;
      counts.set(name, count);
      const own = NUMBERED.test(name) ? `${name} (stave ${count})` : `${name} ${count}`;
      if (!taken.has(own)) return own;
    }
  });
}
