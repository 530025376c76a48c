/**
 * Fits the weights recognition reads textures by, and writes them as data.
 *
 * `deno run -A tests/setup/fit_texture_weights.ts` needs the annotated movements beside the checkout. It writes
 * `data/texture_weights.json`, fitted to all of them, and `tests/published/data/texture_weights_left_out.json`, the
 * same fitted nine times with one movement left out each time, by which the checks on these movements read them:
 * no movement is reported with weights that have seen it. Same data, same numbers.
 */
import { fileURLToPath as fromFileUrl } from "node:url";
import { cellFeatures } from "../../lib/texture/features.ts";
import { SIGNS } from "../../lib/texture/signs.ts";
import {
  type Evidence,
  evidenceOf,
  kindShares,
  leadCourse,
  leadRows,
  leadSigns,
  MELODY_SIGNS,
  melodyRows,
} from "../../lib/texture/read_melody.ts";
import { type LinearModel, type TextureWeights, valuesOf } from "../../lib/texture/weights.ts";
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

/** The annotators' words, and ours. */
const KINDS: Readonly<Record<string, string>> = {
  mel: "melody",
  decmel: "decorative melody",
  rhythm: "rhythm",
  repeat_note: "repeated notes",
  osc: "oscillation",
  batt: "alternating chord tones",
  arp: "arpeggio",
  scale: "scale",
  harm: "held harmony",
  sparse: "isolated strokes",
};

/** Strength of the penalties, chosen by leave-one-movement-out on the Beethoven movements, in coarse steps. */
const PENALTIES = { kind: 500, lead: 30, melody: 100 };

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
  const cells = annotation.parts.map((p) => annotation.bar * parts + p);
  return cells.find(sounds) ?? cells[0]!;
}

/** Fits all three models to some movements. */
export function fit(studied: readonly Studied[], about: string): TextureWeights {
  const words = Object.keys(KINDS);
  const samples = studied.flatMap(({ evidence, texture, weight }) =>
    texture.map(({ cell, word }): Sample => ({
      row: evidence.signs[cell]!,
      kind: words.indexOf(word),
      weight,
    }))
  ).filter((s) => s.kind >= 0);
  const kind = fitKinds(samples, { signs: SIGNS, kinds: words.length, penalty: PENALTIES.kind });
  const kinds = words.map((w) => KINDS[w]!);
  const soFar = { about, kinds, kind, lead: kind, melody: kind } satisfies TextureWeights;
  const leads = studied.map(({ evidence }) =>
    leadRows(evidence, kindShares(evidence, soFar), kinds.indexOf("melody"))
  );
  const choices = studied.flatMap(({ evidence, melody, weight: each }, m) => {
    const { parts, sounds } = evidence.scene;
    const found = melody.flatMap((part, bar): readonly Omit<Choice, "weight">[] => {
      if (part === undefined || !sounds[bar * parts + part]) return [];
      const cells = Array.from({ length: parts }, (_, p) => bar * parts + p)
        .filter((i) => sounds[i] && (evidence.pitched[i] || i === bar * parts + part));
      return [{ rows: cells.map((i) => leads[m]!.rows[i]!), right: cells.indexOf(bar * parts + part) }];
    });
    // A long movement counts more than a short one, but not in proportion.
    return found.map((c): Choice => ({ ...c, weight: each * Math.sqrt(250 / Math.max(60, found.length)) }));
  });
  const lead = fitChoices(choices, { signs: leadSigns(kinds), penalty: PENALTIES.lead });
  const melodySamples = studied.flatMap(({ evidence, texture, weight }, m) => {
    if (texture.length === 0) return [];
    const values = Float64Array.from(
      leads[m]!.rows,
      (row, i) => evidence.scene.sounds[i] ? valuesOf(lead, row)[0]! : 0,
    );
    const rows = melodyRows(evidence, leads[m]!.around, leadCourse(values, evidence));
    return texture.map(({ cell, word }): Sample => ({
      row: rows[cell]!,
      kind: word === "mel" ? 1 : 0,
      weight,
    }));
  });
  const melody: LinearModel = fitKinds(melodySamples, {
    signs: MELODY_SIGNS,
    kinds: 2,
    penalty: PENALTIES.melody,
  });
  return { about, kinds, kind, lead, melody };
}

/** Reads all movements and what people wrote about them. */
export function studiedMovements(folders: Readonly<Record<string, URL>>): readonly Studied[] {
  return MOVEMENTS.map((movement): Studied => {
    const score = scoreOf(movement, folders);
    const features = cellFeatures(score);
    const sounds = (i: number) => features[i]?.sounds ?? false;
    return {
      name: movement.name,
      weight: 1,
      evidence: evidenceOf(score, features),
      texture: movement.texture === undefined ? [] : textureAnnotation(movement, score, folders)
        .map((annotation) => ({
          cell: cellOf(annotation, score.parts.length, sounds),
          word: annotation.fine,
        })),
      melody: movement.melody === undefined ? [] : melodyParts(score, melodyAnnotation(movement, folders)),
    };
  });
}

/** Our own practice settings. */
function studiedPractice(): readonly Studied[] {
  return practiceSettings().map(({ score, words, leads }): Studied => {
    const evidence = evidenceOf(score, cellFeatures(score));
    return {
      name: PRACTICE,
      weight: PRACTICE_WEIGHT,
      evidence,
      texture: words.flatMap((word, cell) =>
        word !== undefined && evidence.scene.sounds[cell] ? [{ cell, word }] : []
      ),
      melody: leads,
    };
  });
}

/** What the practice settings are called here. */
const PRACTICE = "practice";
/** What each of their cells counts: together they weigh about as much as one movement. */
const PRACTICE_WEIGHT = 1;

const ABOUT =
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
  write("data/texture_weights.json", fit(studied, `${ABOUT}.`));
  console.log("fitted to all");
  const without: Record<string, TextureWeights> = {};
  for (const { name } of MOVEMENTS) {
    without[name] = fit(studied.filter((s) => s.name !== name), `${ABOUT}, without ${name}.`);
    console.log(`fitted without ${name}`);
  }
  write("tests/published/data/texture_weights_left_out.json", without);
}
