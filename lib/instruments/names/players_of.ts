/** How many players a line of a score has, as far as its name tells. */

/**
 * Players on a line, as far as its name tells: `Flutes 1, 2` and `2 Flutes` are two, `Violins 1, 2`
 * two sections, a solo part is one.
 */
export function playersOf(name: string, usual: number): number {
  if (/\b(solo|soli)\b/i.test(name)) return 1;
  const counted = /^\s*([2-9])\s+\p{L}{3,}/u.exec(name);
  if (counted) return Number(counted[1]);
  const listed =
    /\b(?:[1-9]|I{1,3}V?|VI{0,3})(?:\s*(?:[,.&+/]|and|und|et|e)\s*(?:[1-9]|I{1,3}V?|VI{0,3})\b)+/u.exec(name);
  return listed ? listed[0].match(/[1-9]|[IV]+/g)!.length * usual : usual;
}
