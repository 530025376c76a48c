/** Layers and their players in words. */
import { listed } from "../base/words.ts";
import type { Score } from "../score/model.ts";
import type { Texture } from "../texture/model.ts";

/** Names in a sentence at most; the rest is counted. */
const MOST_NAMES = 4;

/** From this share of a score's parts in the lead on, and from so many parts, one says tutti. Common practice, no source. */
const TUTTI = { share: 0.5, parts: 6 } as const;

/** Whether so many parts in the lead are a tutti. */
export function isTutti(leads: number, { parts }: Pick<Score, "parts">): boolean {
  return leads >= TUTTI.parts && leads >= TUTTI.share * parts.length;
}

/** Parts of a layer over some bars, from top to bottom of the score. */
export function partsOfLayer(
  texture: Texture,
  score: Pick<Score, "parts">,
  where: { readonly layer: string; readonly fromBarIndex: number; readonly toBarIndex: number },
): readonly number[] {
  const parts = score.parts.length;
  const found = new Set<number>();
  for (const cell of texture.cells.slice(where.fromBarIndex * parts, (where.toBarIndex + 1) * parts)) {
    if (cell.layer === where.layer) found.add(cell.part);
  }
  return [...found].sort((a, b) => a - b);
}

/** Parts of a score by name, from top to bottom, each once. */
export function partsInWords(score: Pick<Score, "parts">, parts: readonly number[], most?: number): string {
  const inOrder = [...new Set(parts)].sort((a, b) => a - b);
  return namesInWords(inOrder.map((p) => score.parts[p]!.name), most);
}

/**
 * Names of parts as a musician would say them: numbered ones together, many of them counted. For example `Flute 1,
 * Horn 1–4 and 3 more`.
 */
export function namesInWords(names: readonly string[], most: number = MOST_NAMES): string {
  const groups = joinNumbers(names);
  const shown = groups.length > most
    ? [...groups.slice(0, most - 1), `${groups.length - most + 1} more`]
    : groups;
  return listed(shown);
}

/** `Horn 1`, `Horn 2`, `Horn 3` become `Horn 1–3`. */
function joinNumbers(names: readonly string[]): readonly string[] {
  const runs: { stem: string; first: number; last: number; name: string }[] = [];
  for (const name of names) {
    const numbered = /^(.*\S)\s(\d+)$/.exec(name);
    const run = runs.at(-1);
    const number = Number(numbered?.[2] ?? NaN);
    if (run && numbered && run.stem === numbered[1] && run.last + 1 === number) run.last = number;
    else runs.push({ stem: numbered?.[1] ?? name, first: number, last: number, name });
  }
  return runs.map((r) => r.last > r.first ? `${r.stem} ${r.first}–${r.last}` : r.name);
}
