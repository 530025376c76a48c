/** Scores whose parts can be told apart by their names, as whatever names them in words and tables needs. */
import { distinctNames } from "../instruments/names/distinct_names.ts";
import type { Part, Score } from "./model.ts";

/**
 * The score with one name for each part. Readers give such names; a score made by a program may have three parts called
 * `Violin`, which are `Violin 1` to `Violin 3` in every report. What the page prints is kept for the page.
 */
export function toldApart<S extends Pick<Score, "parts">>(score: S): S {
  const parts = partsToldApart(score.parts);
  return parts === score.parts ? score : { ...score, parts };
}

/** The same for parts alone; the very list where their names differ already. */
export function partsToldApart(parts: readonly Part[]): readonly Part[] {
  if (new Set(parts.map((p) => p.name)).size === parts.length) return parts;
  const names = distinctNames(parts.map((p) => p.name));
  return parts.map((part, i) => {
    const { notation } = part;
    const name = names[i]!;
    if (name === part.name || notation === undefined) return { ...part, name };
    return { ...part, name, notation: { ...notation, printedName: notation.printedName ?? part.name } };
  });
}
