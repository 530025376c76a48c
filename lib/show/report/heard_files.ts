/** What of a study is heard: each setting as a sound file, and a page to listen to. Made only where it is asked for, since it takes seconds. */
import { A_NUMBER, A_SWITCH, oneOf } from "../../base/arguments.ts";
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import { A_SOUND_FONT, type SoundFont } from "../../formats/sound/read_sound_font.ts";
import { gainOf, soundFile } from "../audition/sound_file.ts";
import { listeningPage } from "../listen/listening_page.ts";
import { entriesToldApart, type ReportEntry } from "./report_entry.ts";
import { reportSounds, type ReportSoundsOptions } from "./report_sounds.ts";
import { plainNames, type StudyFilesOptions } from "./study_files.ts";

/** Which sound files are made. */
export interface HeardFilesOptions {
  /** Write every setting as sound, as MP3 or WAV; by default not. */
  readonly withSound?: "mp3" | "wav" | undefined;
  /** Write a page to listen to, `listen.html`, with all settings; by default not. */
  readonly withListening?: boolean | undefined;
  /** Sounds that play in place of the library's own: what `readSoundFont` gives. */
  readonly soundFont?: SoundFont | undefined;
  /** First bar that is heard, as printed; by default the first. */
  readonly soundFromBar?: number | undefined;
  /** Last bar that is heard, as printed; by default the last. */
  readonly soundToBar?: number | undefined;
}

/** Kinds of the options. */
export const HEARD_FILES_OPTIONS = {
  withSound: oneOf(["mp3", "wav"]),
  withListening: A_SWITCH,
  soundFont: A_SOUND_FONT,
  soundFromBar: A_NUMBER,
  soundToBar: A_NUMBER,
};

/** The names the files will have, for a look at the folder before they are made. */
export function heardFileNames(
  names: readonly string[],
  { withSound, withListening }: HeardFilesOptions,
): readonly string[] {
  return [
    ...soundNames(names, withSound),
    ...(withListening === true ? [LISTENING_PAGE] : []),
  ];
}

const LISTENING_PAGE = "listen.html";

function soundNames(names: readonly string[], format: HeardFilesOptions["withSound"]): readonly string[] {
  return format === undefined ? [] : plainNames(names, "score").map((name) => `${name}.${format}`);
}

/** What the report has of them: passages as sound, and the address of the listening page. */
export async function heardInReport(
  entries: readonly ReportEntry[],
  options: HeardFilesOptions,
): Promise<Pick<StudyFilesOptions, "sounds" | "listeningPage">> {
  const { withSound, withListening } = options;
  if (withSound === undefined && withListening !== true) return {};
  const sounds = await reportSounds(entries, playedBy(options));
  return { sounds, ...(withListening === true ? { listeningPage: LISTENING_PAGE } : {}) };
}

/** Which bars are played, and by what. */
function playedBy({ soundFromBar, soundToBar, soundFont }: HeardFilesOptions): ReportSoundsOptions {
  return {
    ...(soundFromBar === undefined ? {} : { fromBar: soundFromBar }),
    ...(soundToBar === undefined ? {} : { toBar: soundToBar }),
    ...(soundFont === undefined ? {} : { soundFont }),
  };
}

/** The sound files of a study, all at one gain, so that what is louder in the music is louder in the file. */
export async function heardFiles(
  entries: readonly ReportEntry[],
  options: HeardFilesOptions & { readonly onStep?: (step: string) => void },
): Promise<readonly FileToWrite[]> {
  const { withSound, withListening, onStep } = options;
  if (withSound === undefined && withListening !== true) return [];
  const own = entriesToldApart(entries);
  const names = soundNames(own.map((e) => e.study.name), withSound);
  const playing = playedBy(options);
  const files: FileToWrite[] = [];
  if (withListening === true) {
    onStep?.("the page to listen to");
    const settings = own.map(({ study: { name }, score, texture }) => ({ name, score, texture }));
    files.push({ name: LISTENING_PAGE, content: await listeningPage(settings, playing) });
  }
  if (withSound === undefined) return files;
  onStep?.("listening for the loudest place");
  const gainDb = Math.min(...own.map(({ score, texture }) => gainOf(score, { texture, ...playing })));
  for (const [i, { score, texture, study }] of own.entries()) {
    onStep?.(`${study.name}: sound`);
    files.push({
      name: names[i]!,
      content: await soundFile(score, { texture, gainDb, format: withSound, ...playing }),
    });
  }
  return files;
}
