/** Names that tell parts apart where a score calls several the same. */
import { lineName } from "./line_name.ts";

/** What is put behind a name that has a number already. */
const STAVE = / \(stave \d+\)$/;

/** The name as it was before staves of one name were told apart. */
export function withoutStave(name: string): string {
  return name.replace(STAVE, "");
}

/**
 * One name per part, in order of the page. Two parts called `Violin` are `Violin 1` and `Violin 2`; two called
 * `Violin II` are its stave 1 and its stave 2. A name that stands alone stays as it is.
 */
export function distinctNames(names: readonly string[]): readonly string[] {
  const taken = new Set(names);
  const uses = new Map<string, number>();
  for (const name of names) uses.set(name, (uses.get(name) ?? 0) + 1);
  const counts = new Map<string, number>();
  return names.map((name) => {
    if (uses.get(name) === 1) return name;
    for (;;) {
      const count = (counts.get(name) ?? 0) + 1;
      counts.set(name, count);
      const { numbers, isDivided } = lineName(name);
      const own = numbers.length > 0 || isDivided ? `${name} (stave ${count})` : `${name} ${count}`;
      if (!taken.has(own)) return own;
    }
  });
}
