/**
 * Fits the weights recognition reads textures by, and writes them as data.
 *
 * `deno run -A tests/setup/fit_texture_weights.ts` needs the annotated movements beside the checkout. It writes
 * `data/texture_weights.json`, fitted to all of them, and `tests/published/data/texture_weights_left_out.json`, the
 * same fitted with one work left out each time, by which the checks on these movements read them: no movement is
 * reported with weights that have seen it, or another of its work. It prints the figures of every movement, and of all
 * together. Eighteen fits, some ten minutes. Same data, same numbers.
 */
import { fileURLToPath as fromFileUrl } from "node:url";
import { BROAD_KINDS } from "../../lib/texture/broad_kinds.ts";
import { broadOf } from "../../lib/texture/figure_shapes.ts";
import { featuresOf } from "../../lib/texture/features/features.ts";
import { cellOnPage, pageOf } from "../../lib/texture/features/page.ts";
import { soundingCells } from "../../lib/texture/features/sounding_cells.ts";
import { CLUES } from "../../lib/texture/clues/clues.ts";
import { broadAround, broadClues, broadRowsOf } from "../../lib/texture/judge/broad_clues.ts";
import { type Evidence, evidenceOf, type EvidenceRows } from "../../lib/texture/clues/evidence.ts";
import { rowAt } from "../../lib/texture/clues/rows.ts";
import { kindShares, saliences } from "../../lib/texture/judge/judge.ts";
import { candidatesOf, HAND_OVER_COST, leadCourse } from "../../lib/texture/judge/lead_course.ts";
import { leadClues, leadRowsOf } from "../../lib/texture/judge/lead_clues.ts";
import { PHRASE_CLUES, phraseRowsOf, sharesOfBars } from "../../lib/texture/judge/phrase_clues.ts";
import type { LinearModel, TextureWeights } from "../../lib/texture/judge/weights.ts";
import { packed } from "./left_out_weights.ts";
import { figuresInWords, type LeftOutFigures, leftOutFigures } from "./left_out_figures.ts";
import type { Score } from "../../lib/score/model.ts";
import { practiceSettings } from "./practice_settings.ts";
import { type Choice, type Course, fitCourses, fitKinds, type Sample } from "./fit_linear_model.ts";
import {
  type AnnotatedCell,
  corpusFolders,
  melodyAnnotation,
  melodyParts,
  MORE_MOVEMENTS,
  type Movement,
  MOVEMENTS,
  scoreOf,
  textureAnnotation,
} from "./texture_corpus.ts";
import { ANNOTATED_SHAPES } from "./texture_labels.ts";

/**
 * Strength of the penalties: round numbers chosen in coarse steps, one movement, or for the leads one work, left out. A third of them or three
 * times as much changes the share of exact cells, or of bars whose lead is right, by less than 0.01.
 */
const PENALTIES = { kind: 500, lead: 400, phrase: 30, broad: 300 };

/** A movement ready to be fitted to. */
export interface Studied {
  readonly name: string;
  /** The work it belongs to. */
  readonly work: string;
  /** How much each of its leads counts. */
  readonly leadWeight: number;
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

/** The annotators' words in the order of the kinds, and ours for them. */
const WORDS = Object.keys(ANNOTATED_SHAPES);
const KIND_NAMES = WORDS.map((w) => ANNOTATED_SHAPES[w]!);

/** Which kind of part cells are. */
export function fitKindModel(studied: readonly Studied[], start?: LinearModel): LinearModel {
  const samples = studied.flatMap(({ evidence, texture }) =>
    texture.map(({ cell, word }): Sample => ({
      row: evidence.clues[cell]!,
      kind: WORDS.indexOf(word),
      weight: 1,
    }))
  ).filter((s) => s.kind >= 0);
  return fitKinds(samples, { clues: CLUES, kinds: WORDS.length, penalty: PENALTIES.kind, start });
}

/** Bars of a movement whose annotated lead sounds, as runs of bars that follow each other. */
function coursesOf({ evidence, melody, leadWeight }: Studied, rows: EvidenceRows): readonly Course[] {
  const { parts } = evidence.scene;
  const candidates = candidatesOf(evidence);
  const runs: Choice[][] = [];
  let open: Choice[] | undefined;
  melody.forEach((part, bar) => {
    const cells = candidates[bar] ?? [];
    const right = part === undefined ? -1 : cells.indexOf(bar * parts + part);
    if (right < 0) {
      open = undefined;
      return;
    }
    if (open === undefined) runs.push(open = []);
    open.push({ rows: cells.map((i) => rows[i]!), lines: cells.map((i) => i % parts), right });
  });
  return runs.map((choices): Course => ({ choices, weight: leadWeight }));
}

/** The row of cells that cannot lead, which nobody asks for. */
const NO_ROW = new Float64Array();

/** Models of some movements, on top of the model of kinds, before they lean. */
export function fitModels(
  studied: readonly Studied[],
  { kind, about, start }: {
    readonly kind: LinearModel;
    readonly about: string;
    /** Models of nearly the same movements to begin at. */
    readonly start?: TextureWeights | undefined;
  },
): TextureWeights {
  const kinds = KIND_NAMES;
  const seen = studied.map(({ evidence }) => {
    const shares = kindShares(evidence, { kinds, kind });
    const around = broadAround(shares, kinds, evidence);
    const rows = leadRowsOf(evidence, shares, around);
    const mayLead = new Set(candidatesOf(evidence).flat());
    const leads = evidence.clues.map((_, i) => mayLead.has(i) ? rowAt(rows, i) : NO_ROW);
    return { shares, around, leads };
  });
  const lead = fitCourses(studied.flatMap((s, m) => coursesOf(s, seen[m]!.leads)), {
    clues: leadClues(kinds),
    penalty: PENALTIES.lead,
    start: start?.lead,
  });
  const phrases = studied.map(({ evidence }, m) => {
    const alone = sharesOfBars(saliences((i) => seen[m]!.leads[i]!, lead, evidence), evidence);
    const rows = phraseRowsOf(alone, evidence);
    return seen[m]!.leads.map((own, i) => own === NO_ROW ? NO_ROW : rowAt(rows, i));
  });
  const phrase = fitCourses(studied.flatMap((s, m) => coursesOf(s, phrases[m]!)), {
    clues: PHRASE_CLUES,
    penalty: PENALTIES.phrase,
    handOverCost: HAND_OVER_COST,
    start: start?.phrase,
  });
  const broadSamples = studied.flatMap(({ evidence, texture }, m) => {
    if (texture.length === 0) return [];
    const { shares, around } = seen[m]!;
    const course = leadCourse(saliences((i) => phrases[m]![i]!, phrase, evidence), evidence);
    const rows = broadRowsOf(evidence, shares, around, course);
    return texture.flatMap(({ cell, word }): readonly Sample[] =>
      WORDS.includes(word)
        ? [{
          row: evidence.scene.sounds[cell] ? rowAt(rows, cell) : new Float64Array(rows.width),
          kind: BROAD_KINDS.indexOf(broadOf(ANNOTATED_SHAPES[word]!)),
          weight: 1,
        }]
        : []
    );
  });
  const broad = fitKinds(broadSamples, {
    clues: broadClues(kinds),
    kinds: BROAD_KINDS.length,
    penalty: PENALTIES.broad,
    start: start?.broad,
  });
  return { about, kinds, kind, lead, phrase, broad };
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

/** What people wrote about a score, by its bars and parts. */
interface Written {
  readonly name: string;
  readonly work: string;
  readonly leadWeight: number;
  readonly words: readonly { readonly barIndex: number; readonly part: number; readonly word: string }[];
  readonly leads: readonly (number | undefined)[];
}

/** A score ready to be fitted to. */
function studiedOf(score: Score, { words, leads, leadWeight, ...names }: Written): Studied {
  const page = pageOf(score);
  const bars = leads.filter((part) => part !== undefined).length;
  return {
    ...names,
    // A long movement counts more than a short one, but not in proportion.
    leadWeight: leadWeight * Math.sqrt(250 / Math.max(60, bars)),
    evidence: evidenceOf(page.score, featuresOf(page.score, page.lines)),
    texture: words.flatMap(({ barIndex, part, word }) => {
      const cell = cellOnPage(page, { barIndex, part });
      return cell === undefined ? [] : [{ cell, word }];
    }),
    melody: leads.slice(page.silentBefore).map((part) => part === undefined ? undefined : page.lineOf[part]),
  };
}

/** Reads all movements and what people wrote about them. */
export function studiedMovements(
  movements: readonly Movement[],
  folders: Readonly<Record<string, URL>>,
): readonly Studied[] {
  return movements.map((movement) => {
    const score = scoreOf(movement, folders);
    const sounds = soundingCells(score);
    const parts = score.parts.length;
    const annotations = movement.texture === undefined ? [] : textureAnnotation(movement, score, folders);
    return studiedOf(score, {
      name: movement.name,
      work: movement.work,
      leadWeight: 1,
      words: annotations.map((annotation) => ({
        barIndex: annotation.barIndex,
        part: cellOf(annotation, parts, (i) => sounds[i]!) % parts,
        word: annotation.fine,
      })),
      leads: movement.melody === undefined ? [] : melodyParts(score, melodyAnnotation(movement, folders)),
    });
  });
}

/** Our own practice settings. */
export function studiedPractice(): readonly Studied[] {
  return practiceSettings().map(({ score, words, leads }) => {
    const sounds = soundingCells(score);
    const parts = score.parts.length;
    return studiedOf(score, {
      name: PRACTICE,
      work: PRACTICE,
      leadWeight: PRACTICE_LEADS,
      words: words.flatMap((word, cell) =>
        word !== undefined && sounds[cell]
          ? [{ barIndex: Math.floor(cell / parts), part: cell % parts, word }]
          : []
      ),
      leads,
    });
  });
}

/** What the practice settings are called here. */
const PRACTICE = "practice";
/** What each of their leads counts beside those of the movements, of which there are many more. */
const PRACTICE_LEADS = 3;

export const ABOUT =
  "Penalised logistic models by tests/setup/fit_texture_weights.ts, fitted to annotations of texture " +
  "(Le, Giraud, Levé, Accornero et al., DLfM 2022: first movements of Beethoven 1, 3, 5, 7 and Mozart 41) and of the " +
  "main melody (M. Gotham et al., Hauptstimme: 32 movements of Bach, Beach, Beethoven, Brahms and Bruckner), and to " +
  "practice settings of our own (tests/setup/practice_settings.ts)";

/** Writes data of the project, laid out as its files are. */
function write(path: string, data: unknown): void {
  const url = new URL(`../../${path}`, import.meta.url);
  Deno.writeTextFileSync(url, `${JSON.stringify(data)}\n`);
  new Deno.Command(Deno.execPath(), { args: ["fmt", "--quiet", fromFileUrl(url)] }).outputSync();
}

/** Figures of several movements together. */
function together(all: readonly (readonly [Movement, LeftOutFigures])[], of: (m: Movement) => boolean) {
  const some = all.filter(([movement]) => of(movement)).map(([, figures]) => figures);
  return figuresInWords({ pairs: some.flatMap((f) => f.pairs), leads: some.flatMap((f) => f.leads) });
}

if (import.meta.main) {
  const folders = corpusFolders();
  if (!folders) Deno.exit(1);
  const movements = [...MOVEMENTS, ...MORE_MOVEMENTS];
  const studied = [...studiedMovements(movements, folders), ...studiedPractice()];
  const kind = fitKindModel(studied);
  const fitted = fitModels(studied, { kind, about: `${ABOUT}.` });
  console.log("fitted to all");
  /** Models fitted without a work; they begin at those of all. */
  const weightsWithout = (work: string): TextureWeights => {
    const others = studied.filter((s) => s.work !== work);
    const saw = studied.some((s) => s.work === work && s.texture.length > 0);
    return leaning(fitModels(others, {
      kind: saw ? fitKindModel(others, kind) : kind,
      about: `${ABOUT}, without ${work}.`,
      start: fitted,
    }));
  };
  const without: Record<string, TextureWeights> = {};
  const all: (readonly [Movement, LeftOutFigures])[] = [];
  for (const [work, own] of Map.groupBy(movements, (m) => m.work)) {
    const weights = without[work] = weightsWithout(work);
    for (const movement of own) {
      const figures = leftOutFigures(movement, weights, folders);
      console.log(`${movement.name}, ${work} left out: ${figuresInWords(figures)}`);
      all.push([movement, figures]);
    }
  }
  console.log(
    `Beethoven with texture: ${together(all, (m) => m.texture !== undefined && m.melody !== undefined)}`,
  );
  console.log(`the eight: ${together(all, (m) => MOVEMENTS.includes(m) && m.melody !== undefined)}`);
  console.log(`the others: ${together(all, (m) => MORE_MOVEMENTS.includes(m))}`);
  console.log(`all: ${together(all, () => true)}`);
  const weights = leaning(fitted);
  write("tests/published/data/texture_weights_left_out.json", packed(without, weights));
  write("data/texture_weights.json", weights);
}
