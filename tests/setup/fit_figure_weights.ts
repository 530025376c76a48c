/**
 * Fits the weights shapes of figures are told by, and writes them as data.
 *
 * `deno run -A tests/setup/fit_figure_weights.ts` needs the annotated movements beside the checkout. It writes
 * `data/figure_weights.json`, fitted to all of them, and `tests/published/data/figure_weights_left_out.json`, fitted
 * with one movement left out each time, by which the check on these movements reads them. Same data, same numbers.
 */
import { fileURLToPath as fromFileUrl } from "node:url";
import { cellFeatures } from "../../lib/texture/features/features.ts";
import type { FigureShape } from "../../lib/texture/figure_shapes.ts";
import type { FigureWeights } from "../../lib/texture/judge/figure_weights.ts";
import { SHAPE_CLUES, shapeCluesOf } from "../../lib/texture/clues/shape_clues.ts";
import type { Score } from "../../lib/score/model.ts";
import { fitKinds } from "./fit_linear_model.ts";
import { practiceSettings } from "./practice_settings.ts";
import { corpusFolders, MOVEMENTS, scoreOf, textureAnnotation } from "./texture_corpus.ts";
import { ANNOTATED_SHAPES } from "./texture_labels.ts";
import { cellOf } from "./fit_texture_weights.ts";

/**
 * The shapes, in the order of the model. A second line is a tune by its notes. Rhythm is none of the others as a rule: it
 * keeps the model from finding figures everywhere.
 */
const SHAPES: readonly FigureShape[] = [
  "tune",
  "repeated notes",
  "broken chord",
  "alternation",
  "scale",
  "held notes",
  "isolated notes",
  "rhythmic pattern",
];

/** Strength of the penalty on the weights. */
const PENALTY = 100;
/** How far rare shapes count for more: 0 as often as they come, 1 all shapes alike. */
const EVENNESS = 0.25;

/**
 * How far the model leans towards a shape, in natural logarithms of odds. Broken chords of few notes a bar are tunes to
 * the annotators where they are followed, and of those there are many more, which the model has seen too; those are told
 * by who leads (`broken_or_tune.ts`). A round number. Where all shapes count alike it is gone.
 */
const LEANINGS: Readonly<Partial<Record<FigureShape, number>>> = { "broken chord": 1 };

/** What each cell of a practice setting counts beside an annotated one. */
const PRACTICE_WEIGHT = 0.1;

interface Sample {
  readonly row: readonly number[];
  readonly kind: number;
  readonly weight: number;
}

/** Row of the model for an annotators' word; -1 for none. */
function kindOf(word: string): number {
  const shape = ANNOTATED_SHAPES[word];
  return shape === undefined ? -1 : SHAPES.indexOf(shape === "second line" ? "tune" : shape);
}

function samplesOf(score: Score, words: readonly { readonly cell: number; readonly word: string }[]) {
  const rows = shapeCluesOf(score, cellFeatures(score));
  return words.map(({ cell, word }): Sample => ({ row: rows[cell]!, kind: kindOf(word), weight: 1 }))
    .filter((s) => s.kind >= 0);
}

function annotatedSamples(movement: typeof MOVEMENTS[number], folders: Readonly<Record<string, URL>>) {
  const score = scoreOf(movement, folders);
  const features = cellFeatures(score);
  return samplesOf(
    score,
    textureAnnotation(movement, score, folders).map((annotation) => ({
      cell: cellOf(annotation, score.parts.length, (i) => features[i]!.sounds),
      word: annotation.fine,
    })),
  );
}

/** Our own practice settings: broken chords, alternations and off-beats as film and concert scores have them. */
function practiceSamples(): readonly Sample[] {
  return practiceSettings().flatMap(({ score, words }) => {
    const features = cellFeatures(score);
    return samplesOf(
      score,
      words.flatMap((word, cell) => word === undefined || !features[cell]!.sounds ? [] : [{ cell, word }]),
    ).map((s): Sample => ({ ...s, weight: PRACTICE_WEIGHT }));
  });
}

function fit(samples: readonly Sample[], about: string): FigureWeights {
  const counts = SHAPES.map((_, k) => samples.filter((s) => s.kind === k).length);
  const weighted = samples.map(({ row, kind, weight }) => ({
    row,
    kind,
    weight: weight * (samples.length / SHAPES.length / counts[kind]!) ** EVENNESS,
  }));
  const model = fitKinds(weighted, { clues: SHAPE_CLUES, kinds: SHAPES.length, penalty: PENALTY });
  const leanings = SHAPES.map((shape) => LEANINGS[shape] ?? 0);
  const offsets = model.offsets.map((x, k) => short(x + leanings[k]!));
  const rarity = counts.map((count, k) =>
    short(Math.log(samples.length / SHAPES.length / count) - leanings[k]! / (1 - EVENNESS))
  );
  return { about, shapes: SHAPES, rarity, evenness: EVENNESS, model: { ...model, offsets } };
}

const short = (x: number) => Number(x.toFixed(4));

const ABOUT =
  "A penalised logistic model by tests/setup/fit_figure_weights.ts, fitted to annotations of texture (Le, Giraud, Levé, " +
  "Accornero et al., DLfM 2022: first movements of Beethoven 1, 3, 5, 7 and Mozart 41) and to practice settings of our " +
  "own (tests/setup/practice_settings.ts)";

if (import.meta.main) {
  const folders = corpusFolders();
  if (!folders) Deno.exit(1);
  const practice = practiceSamples();
  const studied = MOVEMENTS.filter((m) => m.texture !== undefined)
    .map((movement) => ({ name: movement.name, samples: annotatedSamples(movement, folders) }));
  const write = (path: string, data: unknown) => {
    const url = new URL(`../../${path}`, import.meta.url);
    Deno.writeTextFileSync(url, `${JSON.stringify(data)}\n`);
    new Deno.Command(Deno.execPath(), { args: ["fmt", "--quiet", fromFileUrl(url)] }).outputSync();
  };
  const withPractice = (movements: typeof studied) => [...movements.flatMap((s) => s.samples), ...practice];
  write("data/figure_weights.json", fit(withPractice(studied), `${ABOUT}.`));
  const without = studied.map(({ name }) =>
    [name, fit(withPractice(studied.filter((s) => s.name !== name)), `${ABOUT}, without ${name}.`)] as const
  );
  write("tests/published/data/figure_weights_left_out.json", Object.fromEntries(without));
  console.log("fitted");
}
