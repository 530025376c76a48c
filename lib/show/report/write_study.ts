/** A study written into a folder of its own. */
import { A_TEXT, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { writeFolder, type WrittenFolder } from "../../formats/files/write_folder.ts";
import { HEARD_FILES_OPTIONS, heardFiles, type HeardFilesOptions, heardInReport } from "./heard_files.ts";
import { ENTRIES, type ReportEntry } from "./report_entry.ts";
import { reportExcerpts } from "./report_excerpts.ts";
import { STUDY_FILES_OPTIONS, studyFiles, type StudyFilesOptions } from "./study_files.ts";

/** Options of {@linkcode writeStudy}. */
export interface WriteStudyOptions extends StudyFilesOptions, HeardFilesOptions {
  /** Paths of the files that were studied: should they lie in the folder, they are neither replaced nor removed. */
  readonly reading?: readonly string[] | undefined;
}

/**
 * Writes all files of a study ({@linkcode studyFiles}) into a folder, wholly or not at all, and removes what an earlier
 * study left there that this one does not have. A hidden list in the folder, `.ripieno.json`, tells the files of
 * studies from all others: what it does not name, and what has been changed since, is never replaced or removed.
 *
 * @param folder where to write; made when it is not there
 * @param entries one per setting: study, score and texture
 * @param options whether to write the scores, the parts and sound, files that were read
 * @returns paths of what was written, names of what was removed, and of what was kept although an earlier study wrote it
 * @throws {InputError} when a file of somebody else is in the way, or the system refuses
 *
 * @example
 * ```ts
 * import { demoScore, study, textureOf } from "ripieno";
 * import { writeStudy } from "ripieno/show";
 * import { assertEquals } from "@std/assert";
 * const folder = await Deno.makeTempDir();
 * const score = demoScore();
 * const entry = { score, texture: textureOf(score), study: study(score, { name: "moving" }) };
 * await writeStudy(folder, [entry], { withScores: true });
 * const again = await writeStudy(folder, [entry]);
 * assertEquals(again.removed, ["moving.musicxml", "moving.mid"]);
 * await Deno.remove(folder, { recursive: true });
 * ```
 */
export async function writeStudy(
  folder: string,
  entries: readonly ReportEntry[],
  options: WriteStudyOptions = {},
): Promise<WrittenFolder> {
  checkArgument("write the study", folder, A_TEXT, "the folder");
  checkArgument("write the study", entries, ENTRIES);
  checkOptions("write the study", options, {
    ...STUDY_FILES_OPTIONS,
    ...HEARD_FILES_OPTIONS,
    reading: listOf(A_TEXT, "a list of paths"),
  });
  const { reading, withSound, withListening, soundFont, soundFromBar, soundToBar, ...what } = options;
  const hearing = { withSound, withListening, soundFont, soundFromBar, soundToBar };
  const heard = await heardFiles(entries, hearing);
  const inReport = await heardInReport(entries, hearing);
  const { advise, excerpts = await reportExcerpts(entries, advise === undefined ? {} : { advise }) } = what;
  return await writeFolder(folder, [...studyFiles(entries, { ...inReport, ...what, excerpts }), ...heard], {
    reading,
  });
}
