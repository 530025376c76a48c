/** What charts of change and likeness have found, in a line. */
import type { Freshness } from "../../measures/freshness/freshness_results.ts";
import { type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import { counted, figure } from "../drawing/words.ts";
import { quoted } from "./where_most.ts";

/** How often the scoring is renewed, and the longest wait. */
export function freshnessTitle({ perBar, changes, whole }: Freshness): string {
  if (perBar.length === 0) return "Nothing sounds";
  if (perBar.length === 1) return "One bar: nothing to compare it with";
  if (changes.length === 0) {
    return `The scoring never changes: freshness sinks to ${figure(perBar.at(-1)!.freshness, 2)} in ${
      counted(perBar.length, "bar")
    }`;
  }
  const often = changes.length === 1 ? `once, in bar ${changes[0]!.bar}` : `${changes.length} times`;
  return `The scoring changes ${often}; it stays the same for ${
    counted(whole.longestStretchBars, "bar")
  } at most`;
}

/** Which two passages are most alike, and where most is new. */
export function similarityTitle(freshness: Freshness, axis: BarAxis): string {
  const { perBar, changes, similarity } = freshness;
  const [newest] = changes.toSorted((a, b) => b.change - a.change);
  const begins = newest === undefined ? "Nothing new begins" : `most that is new begins in bar ${newest.bar}`;
  const passages = axis.passages.filter((p) => p.name !== "");
  if (similarity.length !== perBar.length ** 2 || passages.length < 3) {
    return newest === undefined ? begins : `M${begins.slice(1)}`;
  }
  const likeness = (a: (typeof passages)[number], b: (typeof passages)[number]) => {
    let sum = 0, count = 0;
    for (let i = a.fromBarIndex; i <= a.toBarIndex; i++) {
      for (let k = b.fromBarIndex; k <= b.toBarIndex; k++, count++) {
        sum += similarity[i * perBar.length + k] ?? 0;
      }
    }
    return sum / Math.max(1, count);
  };
  const pairs = passages.flatMap((a, i) =>
    passages.slice(i + 1).map((b) => ({ a, b, like: likeness(a, b) }))
  );
  const closest = pairs.reduce((best, pair) => pair.like > best.like ? pair : best);
  const name = (p: (typeof passages)[number]) => {
    const isOne = passages.filter((other) => other.name === p.name).length === 1;
    return isOne ? quoted(p.name) : barsInWords(axis, p.fromBarIndex, p.toBarIndex);
  };
  return `${name(closest.a)} and ${name(closest.b)} are most alike${
    newest === undefined ? "" : `; ${begins}`
  }`;
}
