/**
 * Fits the weights doublings are told by, and writes them as data.
 *
 * `deno run -A tests/setup/fit_doubling_weights.ts` needs the annotated movements beside the checkout. It writes
 * `data/doubling_weights.json`, fitted to all of them, and `tests/published/data/doubling_weights_left_out.json`,
 * fitted with one movement left out each time, by which the check on these movements reads them. Same data, same
 * numbers.
 */
import { fileURLToPath as fromFileUrl } from "node:url";
import type { DoublingWeights } from "../../lib/texture/judge/doubling_weights.ts";
import { type CellFeatures, cellFeatures } from "../../lib/texture/features/features.ts";
import { PAIR_CLUES, pairOf, type PartPair } from "../../lib/texture/clues/pair_clues.ts";
import { type LinearModel, valuesOf } from "../../lib/texture/judge/weights.ts";
import { annotatedPairs } from "./annotated_pairs.ts";
import { fitKinds } from "./fit_linear_model.ts";
import {
  type AnnotatedCell,
  corpusFolders,
  MOVEMENTS,
  scoreOf,
  textureAnnotation,
} from "./texture_corpus.ts";

/** Share of the pairs of different layers, in the movements fitted to, that may be called unison. */
const FALSE_POSITIVES = 0.044;
/** Strength of the penalty on the weights. */
const PENALTY = 100;
/** What all pairs of a movement weigh together. */
const MOVEMENT_WEIGHT = 5000;

/** Two instruments of a bar that the annotators put in one layer in unison, or in different layers. */
interface Candidates {
  /** Whether they are one layer in unison. */
  readonly unison: boolean;
  /** The pairs of players that could be meant. */
  readonly players: readonly PartPair[];
}

function pairsOf(
  movement: typeof MOVEMENTS[number],
  folders: Readonly<Record<string, URL>>,
): readonly Candidates[] {
  const score = scoreOf(movement, folders);
  const features = cellFeatures(score);
  const playersOf = ({ barIndex, parts }: AnnotatedCell): readonly CellFeatures[] =>
    parts.map((p) => features[barIndex * score.parts.length + p]!).filter((f) => f.line.length > 0);
  return annotatedPairs(textureAnnotation(movement, score, folders), playersOf)
    .filter(({ players }) => players.length > 0)
    .map(({ unison, players }): Candidates => ({
      unison,
      players: players.filter(([a, b]) => a.part !== b.part).map((cells) => pairOf(cells, score))
        .filter((p) => p.meets),
    }));
}

/** The pair of players a model takes for the likeliest doubling. */
function likeliest({ players }: Candidates, model: LinearModel | undefined): PartPair {
  const value = ({ row }: PartPair) =>
    model
      ? valuesOf(model, row)[0]!
      : row[PAIR_CLUES.indexOf("bar notes")]! + row[PAIR_CLUES.indexOf("near notes")]!;
  return players.reduce((best, p) => value(p) > value(best) ? p : best);
}

/** Fits to some movements; the offset is such that the given share of different layers is called unison. */
function fit(movements: readonly (readonly Candidates[])[], about: string): DoublingWeights {
  let model: LinearModel | undefined;
  for (let round = 0; round < 2; round++) {
    const samples = movements.flatMap((pairs) =>
      pairs.filter((p) => p.players.length > 0).map((pair) => ({
        row: likeliest(pair, model).row,
        kind: pair.unison ? 1 : 0,
        weight: MOVEMENT_WEIGHT / pairs.length,
      }))
    );
    model = fitKinds(samples, { clues: PAIR_CLUES, kinds: 2, penalty: PENALTY });
  }
  const fitted = model!;
  const apart = movements.flat().filter((p) => !p.unison).map((pair) =>
    pair.players.length === 0 ? -Infinity : valuesOf(fitted, likeliest(pair, fitted).row)[0]!
  ).sort((a, b) => b - a);
  const limit = apart[Math.floor(apart.length * FALSE_POSITIVES)]!;
  const offset = Number((fitted.offsets[0]! - limit).toPrecision(4));
  return { about, model: { ...fitted, offsets: [offset] } };
}

const ABOUT =
  "A penalised logistic model by tests/setup/fit_doubling_weights.ts, fitted to annotations of layers (Le, Giraud, Levé, " +
  "Accornero et al., DLfM 2022: first movements of Beethoven 1, 3, 5, 7 and Mozart 41)";

if (import.meta.main) {
  const folders = corpusFolders();
  if (!folders) Deno.exit(1);
  const studied = MOVEMENTS.filter((m) => m.texture !== undefined)
    .map((movement) => ({ name: movement.name, pairs: pairsOf(movement, folders) }));
  const write = (path: string, data: unknown) => {
    const url = new URL(`../../${path}`, import.meta.url);
    Deno.writeTextFileSync(url, `${JSON.stringify(data)}\n`);
    new Deno.Command(Deno.execPath(), { args: ["fmt", "--quiet", fromFileUrl(url)] }).outputSync();
  };
  write("data/doubling_weights.json", fit(studied.map((s) => s.pairs), `${ABOUT}.`));
  const without = studied.map(({ name }) =>
    [
      name,
      fit(studied.filter((s) => s.name !== name).map((s) => s.pairs), `${ABOUT}, without ${name}.`),
    ] as const
  );
  write("tests/published/data/doubling_weights_left_out.json", Object.fromEntries(without));
  console.log("fitted");
}
