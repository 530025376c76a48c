/** Ways out in a sentence. */
import { percent } from "../../base/words.ts";
import type { Remedy } from "../../measures/balance/remedy_results.ts";

/** Ways out named in a sentence. */
const MOST_NAMED = 3;

/**
 * The best ways out that can be played, each of another kind, with what each would give, as a sentence without its
 * full stop. Rows come with the best first.
 */
export function remediesInWords(rows: readonly Remedy[]): string | undefined {
  const isBlunt = ({ what }: Remedy) => what.startsWith("everything else");
  const ways = differentWays(rows.filter((r) => r.playable));
  const named = [...ways.filter((r) => !isBlunt(r)), ...ways.filter(isBlunt)].slice(0, MOST_NAMED)
    .sort((a, b) => b.audibleShare - a.audibleShare);
  const [first, ...others] = named;
  if (first === undefined) return undefined;
  const comma = (r: Remedy) => r.changes.length > 1 ? "," : "";
  return `With ${first.what}${comma(first)} the lead would keep ${percent(first.audibleShare)}${
    others.map((r) => `; with ${r.what}${comma(r)} ${percent(r.audibleShare)}`).join("")
  }`;
}

/** Ways out that differ in kind or in who is asked, the best of each; rows come with the best first. */
export function differentWays(rows: readonly Remedy[]): readonly Remedy[] {
  const seen = new Set<string>();
  return rows.filter(({ changes }) => {
    const key = changes.map((c) => c.kind === "double" ? "double" : `${c.kind} ${c.parts.join(" ")}`).sort()
      .join();
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}
