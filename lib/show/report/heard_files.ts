/** What of a study is heard: each setting as a sound file. Made only where it is asked for, since it takes seconds. */
import { A_NUMBER, oneOf } from "../../base/arguments.ts";
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import { gainOf, soundFile } from "../audition/sound_file.ts";
import { entriesToldApart, type ReportEntry } from "./report_entry.ts";
import { plainNames } from "./study_files.ts";

/** Which sound files are made. */
export interface HeardFilesOptions {
  /** Write every setting as sound, as MP3 or WAV; by default not. */
  readonly withSound?: "mp3" | "wav" | undefined;
  /** First bar that is heard, as printed; by default the first. */
  readonly soundFromBar?: number | undefined;
  /** Last bar that is heard, as printed; by default the last. */
  readonly soundToBar?: number | undefined;
}

/** Kinds of the options. */
export const HEARD_FILES_OPTIONS = {
  withSound: oneOf(["mp3", "wav"]),
  soundFromBar: A_NUMBER,
  soundToBar: A_NUMBER,
};

/** The names the files will have, for a look at the folder before they are made. */
export function heardFileNames(
  names: readonly string[],
  { withSound }: HeardFilesOptions,
): readonly string[] {
  return withSound === undefined ? [] : plainNames(names, "score").map((name) => `${name}.${withSound}`);
}

/** The sound files of a study, all at one gain, so that what is louder in the music is louder in the file. */
export async function heardFiles(
  entries: readonly ReportEntry[],
  options: HeardFilesOptions & { readonly onStep?: (step: string) => void },
): Promise<readonly FileToWrite[]> {
  const { withSound, soundFromBar, soundToBar, onStep } = options;
  if (withSound === undefined) return [];
  const own = entriesToldApart(entries);
  const names = heardFileNames(own.map((e) => e.study.name), options);
  const bars = {
    ...(soundFromBar === undefined ? {} : { fromBar: soundFromBar }),
    ...(soundToBar === undefined ? {} : { toBar: soundToBar }),
  };
  onStep?.("listening for the loudest place");
  const gainDb = Math.min(...own.map(({ score, texture }) => gainOf(score, { texture, ...bars })));
  const files: FileToWrite[] = [];
  for (const [i, { score, texture, study }] of own.entries()) {
    onStep?.(`${study.name}: sound`);
    files.push({
      name: names[i]!,
      content: await soundFile(score, { texture, gainDb, format: withSound, ...bars }),
    });
  }
  return files;
}
