/** Of many names those that were probably meant. */

/** Names are no longer; of a longer text the beginning is compared with them. */
const LONGEST_NAME = 60;

/** A name, and how far it is from what was asked for. */
interface RankedName {
  readonly name: string;
  /** Signs to change; 0 where the name ends with what was asked for, less where it begins with it. */
  readonly edits: number;
}

/**
 * Puts names in the order in which they were probably meant: those that begin with the word, then those that
 * end with it, then those spelt like it. For a horn, no harp. Equal ones stay in the order given.
 */
export function ranked(asked: string, names: readonly string[]): readonly RankedName[] {
  const wanted = asked.slice(0, LONGEST_NAME).toLowerCase().trim();
  const editsTo = (name: string): number => {
    if (wanted !== "" && name.startsWith(`${wanted} `)) return -1;
    if (wanted !== "" && name.endsWith(` ${wanted}`)) return 0;
    // A slip in one word of several: "hron" is nearer to "horn in F" than to "oboe".
    return Math.min(
      editDistance(wanted, name),
      ...name.split(" ").map((word) => editDistance(wanted, word) + 0.5),
    );
  };
  return names.map((name) => ({ name, edits: editsTo(name.toLowerCase()) })).sort((a, b) =>
    a.edits - b.edits
  );
}

/** Names for a message that may have no room for all of them. */
export function nearestFirst(asked: string, names: readonly string[]): readonly string[] {
  return ranked(asked, names).map((each) => each.name);
}

function editDistance(a: string, b: string): number {
  let previous = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const current = [i];
    for (let j = 1; j <= b.length; j++) {
      const swap = previous[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      current.push(Math.min(previous[j]! + 1, current[j - 1]! + 1, swap));
    }
    previous = current;
  }
  return previous[b.length]!;
}
