/**
 * Fits the weights recognition reads textures by, and writes them as data.
 *
 * `deno run -A tests/setup/fit_texture_weights.ts` needs the annotated movements beside the checkout. It writes
 * `data/texture_weights.json`, fitted to all of them, and `tests/published/data/texture_weights_left_out.json`, the
 * same fitted nine times with one movement left out each time, by which the checks on these movements read them:
 * no movement is reported with weights that have seen it. Ten fits, some minutes. Same data, same numbers.
 */
import { fileURLToPath as fromFileUrl } from "node:url";
import { BROAD_KINDS } from "../../lib/texture/broad_kinds.ts";
import { broadOf } from "../../lib/texture/figure_shapes.ts";
import { cellFeatures } from "../../lib/texture/features/features.ts";
import { cellOnPage, pageOf } from "../../lib/texture/features/page.ts";
import { soundingCells } from "../../lib/texture/features/sounding_cells.ts";
import { CLUES } from "../../lib/texture/clues/clues.ts";
import { broadAround, broadClues, broadRows } from "../../lib/texture/judge/broad_clues.ts";
import { type Evidence, evidenceOf } from "../../lib/texture/clues/evidence.ts";
import { kindShares, saliences } from "../../lib/texture/judge/judge.ts";
import { leadCourse } from "../../lib/texture/judge/lead_course.ts";
import { leadClues, leadRows } from "../../lib/texture/judge/lead_clues.ts";
import type { TextureWeights } from "../../lib/texture/judge/weights.ts";
import { figuresInWords, type LeftOutFigures, leftOutFigures } from "./left_out_figures.ts";
import { practiceSettings } from "./practice_settings.ts";
import { type Choice, fitChoices, fitKinds, type Sample } from "./fit_linear_model.ts";
import {
  type AnnotatedCell,
  corpusFolders,
  melodyAnnotation,
  melodyParts,
  MOVEMENTS,
  scoreOf,
  textureAnnotation,
} from "./texture_corpus.ts";
import { ANNOTATED_SHAPES } from "./texture_labels.ts";

/**
 * Strength of the penalties: round numbers chosen by leave-one-movement-out in coarse steps. A third of them or three
 * times as much changes the share of exact cells, or of bars whose lead is right, by less than 0.01.
 */
const PENALTIES = { kind: 500, lead: 25, broad: 300 };

/** A movement ready to be fitted to. */
export interface Studied {
  readonly name: string;
  /** How much each of its cells counts. */
  readonly weight: number;
  readonly evidence: Evidence;
  /** The annotators' word for the role, by cell. */
  readonly texture: readonly { readonly cell: number; readonly word: string }[];
  /** Part with the main melody per bar. */
  readonly melody: readonly (number | undefined)[];
}

/** Cell of an annotation: its first part that sounds. */
export function cellOf(annotation: AnnotatedCell, parts: number, sounds: (cell: number) => boolean): number {
  const cells = annotation.parts.map((p) => annotation.barIndex * parts + p);
  return cells.find(sounds) ?? cells[0]!;
}

/** Models of some movements, before their thresholds are chosen. */
export function fitModels(studied: readonly Studied[], about: string): TextureWeights {
  const words = Object.keys(ANNOTATED_SHAPES);
  const samples = studied.flatMap(({ evidence, texture, weight }) =>
    texture.map(({ cell, word }): Sample => ({
      row: evidence.clues[cell]!,
      kind: words.indexOf(word),
      weight,
    }))
  ).filter((s) => s.kind >= 0);
  const kind = fitKinds(samples, { clues: CLUES, kinds: words.length, penalty: PENALTIES.kind });
  const kinds = words.map((w) => ANNOTATED_SHAPES[w]!);
  const soFar: TextureWeights = { about, kinds, kind, lead: kind, broad: kind };
  const seen = studied.map(({ evidence }) => {
    const shares = kindShares(evidence, soFar);
    const around = broadAround(shares, kinds, evidence);
    return { shares, around, leads: leadRows(evidence, shares, around) };
  });
  const choices = studied.flatMap(({ evidence, melody, weight: each }, m) => {
    const { parts, sounds } = evidence.scene;
    const found = melody.flatMap((part, bar): readonly Omit<Choice, "weight">[] => {
      if (part === undefined || !sounds[bar * parts + part]) return [];
      const cells = Array.from({ length: parts }, (_, p) => bar * parts + p)
        .filter((i) => sounds[i] && (evidence.pitched[i] || i === bar * parts + part));
      return [{ rows: cells.map((i) => seen[m]!.leads[i]!), right: cells.indexOf(bar * parts + part) }];
    });
    // A long movement counts more than a short one, but not in proportion.
    return found.map((c): Choice => ({ ...c, weight: each * Math.sqrt(250 / Math.max(60, found.length)) }));
  });
  const lead = fitChoices(choices, { clues: leadClues(kinds), penalty: PENALTIES.lead });
  const broadSamples = studied.flatMap(({ evidence, texture, weight }, m) => {
    if (texture.length === 0) return [];
    const { shares, around, leads } = seen[m]!;
    const course = leadCourse(saliences(leads, { ...soFar, lead }, evidence), evidence);
    const rows = broadRows(evidence, shares, around, course);
    return texture.flatMap(({ cell, word }): readonly Sample[] =>
      words.includes(word)
        ? [{ row: rows[cell]!, kind: BROAD_KINDS.indexOf(broadOf(ANNOTATED_SHAPES[word]!)), weight }]
        : []
    );
  });
  const broad = fitKinds(broadSamples, {
    clues: broadClues(kinds),
    kinds: BROAD_KINDS.length,
    penalty: PENALTIES.broad,
  });
  return { about, kinds, kind, lead, broad };
}

/**
 * How far the models lean towards each broad kind (melody, moving, held, isolated, line), in natural logarithms of
 * odds. Cells that one figure plainly fills are called moving before anything is weighed, so among the rest moving is
 * rarer than the model, which has seen them all, believes. One round number for all movements: 0.1 more or less changes
 * the share of exact cells by less than 0.002, and thresholds fitted to some movements read another one worse.
 */
const LEANINGS = [0, 0, 0.4, 0.4, 0] as const;

/** The models, leaning. */
export function leaning(models: TextureWeights): TextureWeights {
  const offsets = models.broad.offsets.map((x, k) => Number((x + LEANINGS[k]!).toFixed(4)));
  return { ...models, broad: { ...models.broad, offsets } };
}

/** Reads all movements and what people wrote about them. */
export function studiedMovements(folders: Readonly<Record<string, URL>>): readonly Studied[] {
  return MOVEMENTS.map((movement): Studied => {
    const score = scoreOf(movement, folders);
    const page = pageOf(score);
    const sounds = soundingCells(score);
    const { lineOf, silentBefore } = page;
    return {
      name: movement.name,
      weight: 1,
      evidence: evidenceOf(page.score, cellFeatures(page.score)),
      texture: movement.texture === undefined ? [] : textureAnnotation(movement, score, folders)
        .flatMap((annotation) => {
          const cell = cellOf(annotation, score.parts.length, (i) => sounds[i]!);
          const on = cellOnPage(page, { barIndex: annotation.barIndex, part: cell % score.parts.length });
          return on === undefined ? [] : [{ cell: on, word: annotation.fine }];
        }),
      melody: movement.melody === undefined
        ? []
        : melodyParts(score, melodyAnnotation(movement, folders)).slice(silentBefore).map((part) =>
          part === undefined ? undefined : lineOf[part]
        ),
    };
  });
}

/** Our own practice settings. */
export function studiedPractice(): readonly Studied[] {
  return practiceSettings().map(({ score, words, leads }): Studied => {
    const page = pageOf(score);
    const sounds = soundingCells(score);
    const parts = score.parts.length;
    return {
      name: PRACTICE,
      weight: PRACTICE_WEIGHT,
      evidence: evidenceOf(page.score, cellFeatures(page.score)),
      texture: words.flatMap((word, cell) => {
        const on = cellOnPage(page, { barIndex: Math.floor(cell / parts), part: cell % parts });
        return word !== undefined && sounds[cell] && on !== undefined ? [{ cell: on, word }] : [];
      }),
      melody: leads.slice(page.silentBefore).map((part) =>
        part === undefined ? undefined : page.lineOf[part]
      ),
    };
  });
}

/** What the practice settings are called here. */
const PRACTICE = "practice";
/** What each of their cells counts: together they weigh about as much as one movement. */
const PRACTICE_WEIGHT = 1;

export const ABOUT =
  "Penalised logistic models by tests/setup/fit_texture_weights.ts, fitted to annotations of texture " +
  "(Le, Giraud, Levé, Accornero et al., DLfM 2022: first movements of Beethoven 1, 3, 5, 7 and Mozart 41) and of the " +
  "main melody (M. Gotham et al., Hauptstimme: the same movements of Beethoven; Bach, Brandenburg 3/i; Beach, Gaelic " +
  "Symphony ii; Brahms 3/iii; Bruckner 5/ii), and to practice settings of our own (tests/setup/practice_settings.ts)";

if (import.meta.main) {
  const folders = corpusFolders();
  if (!folders) Deno.exit(1);
  const studied = [...studiedMovements(folders), ...studiedPractice()];
  const write = (path: string, data: unknown) => {
    const url = new URL(`../../${path}`, import.meta.url);
    Deno.writeTextFileSync(url, `${JSON.stringify(data)}\n`);
    new Deno.Command(Deno.execPath(), { args: ["fmt", "--quiet", fromFileUrl(url)] }).outputSync();
  };
  /** Models fitted without a movement, or to all. */
  const weightsWithout = (left?: string): TextureWeights =>
    leaning(fitModels(
      studied.filter((s) => s.name !== left),
      left === undefined ? `${ABOUT}.` : `${ABOUT}, without ${left}.`,
    ));
  const without: Record<string, TextureWeights> = {};
  const all: (readonly [string, LeftOutFigures])[] = [];
  for (const movement of MOVEMENTS) {
    const { name } = movement;
    without[name] = weightsWithout(name);
    const figures = leftOutFigures(movement, without[name]!, folders);
    console.log(`${name}, left out: ${figuresInWords(figures)}`);
    all.push([name, figures]);
  }
  const together = (of: (name: string) => boolean) => {
    const some = all.filter(([name]) => of(name)).map(([, figures]) => figures);
    return { pairs: some.flatMap((f) => f.pairs), leads: some.flatMap((f) => f.leads) };
  };
  console.log(`Beethoven: ${figuresInWords(together((name) => name.startsWith("Beethoven")))}`);
  console.log(`all: ${figuresInWords(together(() => true))}`);
  write("tests/published/data/texture_weights_left_out.json", without);
  write("data/texture_weights.json", weightsWithout());
  console.log("fitted to all");
}
