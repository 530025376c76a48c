/** Many scores read and measured. What does the work is loaded when it is asked for. */
import {
  A_FUNCTION,
  A_NUMBER,
  A_RECORD,
  A_SIGNAL,
  A_TEXT,
  checkArgument,
  checkOptions,
  type Kind,
} from "../base/arguments.ts";
import { refusals } from "../base/errors.ts";
import type { SurveyOptions } from "./survey_options.ts";
import type { Survey } from "./survey_results.ts";

const ACTION = "survey the scores";

const OPTIONS = {
  out: A_TEXT,
  workers: A_NUMBER,
  secondsPerScore: A_NUMBER,
  megabytes: A_NUMBER,
  shard: A_RECORD,
  onProgress: A_FUNCTION,
  signal: A_SIGNAL,
};

const WHERE: Kind = {
  noun: "a folder, or a list of files",
  give: "Give the name of a folder with scores below it, or a list of names",
  fits: (value) =>
    (typeof value === "string" && value !== "") ||
    (Array.isArray(value) && value.length > 0 && value.every((one) => typeof one === "string" && one !== "")),
};

/**
 * Reads and measures every score below a folder, or every file named: MusicXML, MIDI and ABC. Each score is a row, its bars
 * and its recipe are further tables, all of them Parquet files in the folder `out`. A file that cannot be read, takes too
 * long or needs too much memory is a row that says so.
 *
 * Scores are known by their content: what was measured before by this version of the library is not measured again, whatever
 * it is called, so that an interrupted survey goes on where it was and a folder may grow. The tables are sorted by path and
 * rounded to 12 digits; they have the same bytes in whatever order, in however many workers, shares and runs they were worked
 * out. Scores are read as printed: bars once, tempo steady.
 *
 * @param where a folder, or names of files and folders
 * @param options where to keep it, workers, limits, share, progress
 * @returns a row for each file; `readRecipes` and `readSurveyBars` read the other tables
 * @throws {InputError} when there is no such folder, no score is in it, an option makes no sense, or another survey is at
 *   work in `out`
 *
 * @example
 * ```ts
 * import { readRecipes, survey } from "ripieno/survey";
 * import { assertEquals } from "@std/assert";
 * const out = await Deno.makeTempDir();
 * const { scores } = await survey("data/slack_water", { out });
 * assertEquals(scores.map((s) => [s.title, s.error]), [["Slack Water", null]]);
 * assertEquals((await readRecipes(out))[0]?.name, scores[0]?.path);
 * ```
 */
export async function survey(
  where: string | readonly string[],
  options: SurveyOptions,
): Promise<Survey> {
  checkSurvey(where, options);
  const { runSurvey } = await import("./run/run_survey.ts");
  return await runSurvey(where, options);
}

/** Refuses what a survey cannot work with. */
export function checkSurvey(where: string | readonly string[], options: SurveyOptions): void {
  checkOptions(ACTION, options, OPTIONS);
  checkArgument(ACTION, where, WHERE);
  const fail = refusals(ACTION);
  const { out, workers, secondsPerScore, megabytes, shard } = options;
  if (out === undefined || out.trim() === "") {
    throw fail("the folder it is kept in has no name", 'Give one, for example { out: "survey" }');
  }
  if (workers !== undefined && !(Number.isInteger(workers) && workers >= 1)) {
    throw fail(`${workers} workers make no sense`, "Give a whole number from 1");
  }
  if (secondsPerScore !== undefined && !(secondsPerScore > 0 && secondsPerScore <= MOST_SECONDS)) {
    throw fail(`a score may take ${secondsPerScore} seconds`, `Give more than 0 and at most ${MOST_SECONDS}`);
  }
  if (megabytes !== undefined && !(megabytes >= LEAST_MEGABYTES)) {
    throw fail(`the program may take ${megabytes} MB`, `Give ${LEAST_MEGABYTES} at least`);
  }
  if (shard !== undefined && !isShard(shard)) {
    throw fail("the share is none of them", "Give number and of, such as { number: 1, of: 3 }");
  }
}

/** A timer counts no further than some 24 days. */
const MOST_SECONDS = 1_000_000;
/** What the library and one small score take. */
const LEAST_MEGABYTES = 500;

function isShard({ number, of }: NonNullable<SurveyOptions["shard"]>): boolean {
  return Number.isInteger(number) && Number.isInteger(of) && number >= 1 && number <= of;
}
