/** What is known of a score before the weights come in. */
import { instrumentById } from "../../instruments/catalogue.ts";
import { type CellFeatures, isPitched } from "../features/features.ts";
import { keptFiguresOf } from "./kept_figures.ts";
import { lowestOf } from "./lowest.ts";
import { runningScalesOf } from "./running.ts";
import { secondLinesOf } from "./second_lines.ts";
import { groupCluesOf } from "./group_clues.ts";
import { plainRole } from "./plain_role.ts";
import { resolvesTrill } from "./resolves_trill.ts";
import { sweepsOf } from "./sweeps.ts";
import { walkingBassesOf } from "./walking_basses.ts";
import type { Role } from "../roles.ts";
import { type Patterns, patternsOf } from "../features/recurrences.ts";
import { cluesOf } from "./clues.ts";
import type { Scene } from "./surroundings.ts";
import type { ScoreFrame } from "../features/score_frame.ts";

/** What a model is asked with, one row per cell. */
export type EvidenceRows = readonly Float64Array[];

/** What is known of a score before the weights come in. */
export interface Evidence {
  /** Who sounds and who goes with whom. */
  readonly scene: Scene;
  /** Clues per cell, in the order of `CLUES`. */
  readonly clues: EvidenceRows;
  /** Clues per cell of how it stands among its doublings, in the order of `GROUP_CLUES`. */
  readonly groups: EvidenceRows;
  /** Cells in which notes of definite pitch begin or are held. */
  readonly pitched: readonly boolean[];
  /** What bars are known by where they come back. */
  readonly patterns: Patterns;
  /** Length of each bar in units of its metre. */
  readonly units: readonly number[];
  /** Roles of cells so plain that nothing need be weighed. */
  readonly plain: readonly (Role | undefined)[];
  /** Cells that carry what others sing, whatever they play: basses that walk, and plain figures that are kept up. */
  readonly carries: readonly boolean[];
  /** The parts that lie lowest, by bar. */
  readonly lowest: readonly ReadonlySet<number>[];
}

/**
 * What the notes show.
 *
 * @param score the score
 * @param features features of the same score
 * @returns clues and companions
 */
export function evidenceOf(score: ScoreFrame, features: readonly CellFeatures[]): Evidence {
  const patterns = patternsOf(score, features);
  const { rows, companions } = cluesOf(score, features, patterns);
  const parts = score.parts.length;
  const pitched: boolean[] = [];
  features.forEach((f, i) =>
    pitched.push(f.line.length > 0 ? isPitched(f) : f.sounds && (pitched[i - parts] ?? false))
  );
  const scene = { parts, sounds: features.map((f) => f.sounds), companions };
  const isStruck = score.parts.map((p) => instrumentById(p.instrument).family === "percussion");
  const lowest = score.bars.map((_, barIndex) => lowestOf(scene, features, { barIndex, isStruck }));
  const running = runningScalesOf(features, parts);
  const sweeps = sweepsOf(features, parts);
  const walking = walkingBassesOf(features, scene, lowest);
  const secondLines = secondLinesOf(features, scene, { lowest, walking });
  const plain = features.map((f, i) =>
    resolvesTrill(f, features[i - parts]) ? "trill" : walking[i] ? "bass" : plainRole(f) ??
      (secondLines[i] ? "counterline" : running[i] || sweeps[i] ? "run" : undefined)
  );
  const units = score.bars.map((_, b) => features[b * parts]?.barUnits ?? 0);
  const kept = keptFiguresOf(features, scene, { plain, pitched, units, sweeps });
  return {
    scene,
    clues: rows,
    groups: groupCluesOf(score, features, companions),
    pitched,
    plain,
    carries: walking.map((is, i) => is || kept[i]!),
    lowest,
    patterns,
    units,
  };
}
