/** Annotated movements beside the checkout: scores with what people wrote down about them. */
import type { Score } from "../../lib/score/model.ts";
import { openScore } from "./open_scores.ts";
import { csvRows, sharedFolder } from "./shared_data.ts";

/** A movement. */
export interface Movement {
  /** Short name. */
  readonly name: string;
  /** Folder and file of the score. */
  readonly score: readonly [folder: string, file: string];
  /** Annotation of its texture. */
  readonly texture?: string;
  /** Annotation of its main melody, in the folder of the score. */
  readonly melody?: string;
  /** The work it belongs to; what is fitted is judged with one work left out. */
  readonly work: string;
}

/** A movement whose file is called after its work and its number in it. */
const annotated = (name: string, file: string, texture?: string): Movement => ({
  name,
  score: ["openscore-orchestra", `${file}.mxl`],
  melody: `${file}.hauptstimme.csv`,
  work: file.slice(0, file.lastIndexOf("_")),
  ...(texture === undefined ? {} : { texture }),
});

/** Movements whose texture or main melody is annotated. */
export const MOVEMENTS: readonly Movement[] = [
  annotated("Beethoven 1", "Beethoven_Op.21_1", "beethoven-symph1-op21-mvt1"),
  annotated("Beethoven 3", "Beethoven_Op.55_1", "beethoven-symph3-op55-mvt1"),
  annotated("Beethoven 5", "Beethoven_Op.67_1", "beethoven-symph5-op67-mvt1"),
  annotated("Beethoven 7", "Beethoven_Op.92_1", "beethoven-symph7-op92-mvt1"),
  {
    name: "Mozart 41",
    score: ["s3-symphonies", "mo1/mo1.mid"],
    texture: "mozart-symph41-k551-mvt1",
    work: "Mozart_K.551",
  },
  annotated("Bach Brandenburg 3", "Bach_BWV.1048_1"),
  annotated("Beach Gaelic II", "Beach_Op.32_2"),
  annotated("Brahms 3 III", "Brahms_Op.90_3"),
  annotated("Bruckner 5 II", "Bruckner_WAB.105_2"),
];

/** More movements whose main melody is annotated. */
export const MORE_MOVEMENTS: readonly Movement[] = [
  "Bach_BWV.1049_1",
  "Beach_Op.32_1",
  "Beethoven_Op.21_2",
  "Beethoven_Op.21_4",
  "Beethoven_Op.36_2",
  "Beethoven_Op.55_2",
  "Beethoven_Op.55_3",
  "Beethoven_Op.60_2",
  "Beethoven_Op.60_4",
  "Beethoven_Op.67_2",
  "Beethoven_Op.67_4",
  "Beethoven_Op.68_2",
  "Beethoven_Op.68_4",
  "Beethoven_Op.92_2",
  "Beethoven_Op.92_4",
  "Beethoven_Op.93_4",
  "Brahms_Op.68_1",
  "Brahms_Op.68_3",
  "Brahms_Op.73_1",
  "Brahms_Op.73_2",
  "Brahms_Op.90_1",
  "Brahms_Op.90_4",
  "Brahms_Op.98_2",
  "Bruckner_WAB.105_1",
].map((file): Movement => ({
  ...annotated(file.replaceAll("_", " "), file),
  score: ["openscore-orchestra-more", `${file}.mxl`],
}));

/** The folders of the annotations, or undefined where they are not beside the checkout. */
export function corpusFolders(): Readonly<Record<string, URL>> | undefined {
  const folders: Record<string, URL> = {};
  for (
    const folder of ["orchestral-texture", "openscore-orchestra", "openscore-orchestra-more", "s3-symphonies"]
  ) {
    const url = sharedFolder(folder);
    if (!url) return undefined;
    folders[folder] = url;
  }
  return folders;
}

/** The score of a movement. */
export function scoreOf(movement: Movement, folders: Readonly<Record<string, URL>>): Score {
  return openScore(urlOf(movement, folders));
}

/** The file of a movement. */
export function urlOf(
  { score: [folder, file] }: Movement,
  folders: Readonly<Record<string, URL>>,
): URL {
  return new URL(file, folders[folder]);
}

/** One annotated cell: instruments of one kind in one bar. */
export interface AnnotatedCell {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Parts the annotation covers. */
  readonly parts: readonly number[];
  /** Layer letter. */
  readonly layer: string;
  /** The annotators' word for the role. */
  readonly fine: string;
  /** The annotators' word for how the layer holds together. */
  readonly relation: string;
  /** Melody, rhythm, harmony. */
  readonly labels: readonly number[];
}

/** Rows of an annotation that count: in a layer, sounding, with a label. */
export function annotatedCells(
  score: Score,
  rows: readonly Record<string, string>[],
): readonly AnnotatedCell[] {
  return rows.flatMap((row): readonly AnnotatedCell[] => {
    const labels = [row["mel"], row["rhythm"], row["harm"]].map(Number);
    if (row["layer"] === "0" || row["sounds_in_bar"] !== "1" || labels.every((x) => x === 0)) return [];
    const barIndex = Number(row["score_measure"]) - 1;
    if (barIndex >= score.bars.length) return [];
    // Numbers from 1 in the scores, names in the MIDI file.
    const parts = row["part_numbers"]!.split(";").map((part) =>
      /^\d+$/.test(part) ? Number(part) - 1 : score.parts.findIndex((p) => p.name === part)
    ).filter((p) => p >= 0 && p < score.parts.length);
    const { layer, role: fine, relation } = row as { layer: string; role: string; relation: string };
    return parts.length === 0 ? [] : [{ barIndex, parts, layer, fine, relation, labels }];
  });
}

/** Texture annotation of a movement that has one. */
export function textureAnnotation(
  movement: Movement,
  score: Score,
  folders: Readonly<Record<string, URL>>,
): readonly AnnotatedCell[] {
  return annotatedCells(
    score,
    csvRows(new URL(`${movement.texture}.cells.csv`, folders["orchestral-texture"])),
  );
}

/** From here on this part has the main melody. */
export interface MelodyEntry {
  /** Quarters from the start. */
  readonly quarters: number;
  /** Part index. */
  readonly part: number;
}

/** Melody annotation of a movement that has one. */
export function melodyAnnotation(
  movement: Movement,
  folders: Readonly<Record<string, URL>>,
): readonly MelodyEntry[] {
  return csvRows(new URL(movement.melody!, folders[movement.score[0]]))
    .map((row): MelodyEntry => ({ quarters: Number(row["qstamp"]), part: Number(row["part_num"]) }))
    .sort((a, b) => a.quarters - b.quarters);
}

/** The part that has the main melody for most of each bar, or undefined. */
export function melodyParts(score: Score, entries: readonly MelodyEntry[]): readonly (number | undefined)[] {
  return score.bars.map((bar) => {
    const from = bar.startTicks / score.ticksPerQuarter;
    const to = from + bar.durationTicks / score.ticksPerQuarter;
    const time = new Map<number, number>();
    entries.forEach((entry, i) => {
      const overlap = Math.min(to, entries[i + 1]?.quarters ?? Infinity) - Math.max(from, entry.quarters);
      if (overlap > 0) time.set(entry.part, (time.get(entry.part) ?? 0) + overlap);
    });
    return [...time].sort((a, b) => b[1] - a[1])[0]?.[0];
  });
}
