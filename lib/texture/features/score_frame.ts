/** A score without its notes, which are read line by line beside it. */
import type { Score } from "../../score/model.ts";

/** What notes stand in: parts, bars, tempi and the rest of a score. */
export type ScoreFrame = Omit<Score, "notes">;
