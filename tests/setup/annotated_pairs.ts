/** Pairs of instruments an annotation of layers tells of. */
import type { AnnotatedCell } from "./texture_corpus.ts";

/** Two instruments of a bar. */
export interface AnnotatedPair<Player> {
  /** True where they are one layer in unison, false where they are different layers. */
  readonly unison: boolean;
  /** Pairs of their players. */
  readonly players: readonly (readonly [Player, Player])[];
}

/**
 * The pairs of instruments that the annotators put into one layer in unison, or into different layers.
 *
 * @param cells annotated cells of a movement
 * @param playersOf what stands for the players of a cell
 * @returns the pairs, by bar
 */
export function annotatedPairs<Player>(
  cells: readonly AnnotatedCell[],
  playersOf: (cell: AnnotatedCell) => readonly Player[],
): readonly AnnotatedPair<Player>[] {
  return [...Map.groupBy(cells, (c) => c.barIndex).values()].flatMap((bar) =>
    bar.flatMap((a, i) =>
      bar.slice(i + 1).flatMap((b): AnnotatedPair<Player>[] => {
        if (a.layer === b.layer && a.relation !== "u") return [];
        const players = playersOf(a).flatMap((f) => playersOf(b).map((g) => [f, g] as const));
        return [{ unison: a.layer === b.layer, players }];
      })
    )
  );
}
