/** Passages as sound for a report, rendered beforehand: the page itself is put together at once, and needs no other file. */
import { A_NUMBER, A_RECORD, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { base64Of } from "../../base/base64.ts";
import { capitalised } from "../../base/words.ts";
// from "../../base/base64.ts";
import { A_SOUND_FONT, type SoundFont } from "../../formats/sound/read_sound_font.ts";
import { writeMp3 } from "../../formats/sound/write_mp3.ts";
import { passagesOf } from "../../measures/passages/passages.ts";
import { type BarsAsked, barsAsked, barsBetween } from "../../orchestrate/rewrite/bars_asked.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { auditionBars } from "../audition/audition.ts";
import { type Markup, markup } from "../drawing/markup.ts";
import { spanInWords } from "../drawing/words.ts";
import type { BarLinks } from "./bar_links.ts";
import { ENTRIES, entriesToldApart, type ReportEntry } from "./report_entry.ts";

/** A passage of a study as sound. */
export interface ReportSound {
  /** Index of the study it is of, in the order of the report. */
  readonly study: number;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar that is heard, inclusive. */
  readonly toBarIndex: number;
  /** What it is called: the passage, its bars, and whether it is only the beginning. */
  readonly words: string;
  /** An MP3 file of one channel. */
  readonly file: Uint8Array;
  /** The SoundFont that plays; undefined for the library's own sounds. */
  readonly soundFont: string | undefined;
}

/** Options of {@linkcode reportSounds}: bars as printed, by default all, and who plays. */
export interface ReportSoundsOptions extends BarsAsked {
  /** Sounds that play in place of the library's own: what `readSoundFont` gives. */
  readonly soundFont?: SoundFont;
}

/** What a list of them has to be. */
export const SOUNDS = listOf(A_RECORD, "a list of passages as sound");

const ACTION = "play passages for the report";
/** One channel at 40 kbit/s and 24,000 samples a second: 7 kB of the page for a second. */
const SAMPLE_RATE = 24_000, KILOBITS = 40;
/** Seconds of a passage at most, of all together, and of a passage at least: 6 MB for a report. */
const MOST_SECONDS = 20, ALL_SECONDS = 900, LEAST_SECONDS = 5;
/** True peak of the loudest passage: one gain for all, so that what is louder in the music is louder here. */
const PEAK = 10 ** (-1.5 / 20);

/**
 * Plays the passages of a report, each as a small MP3 file that the page brings along: whole where they are short, their first 20
 * seconds where they are long, and less where there are more than 45. All have one gain.
 *
 * @param studies the studies of the report, each with its score and texture
 * @param options bars as printed, a SoundFont
 * @returns the passages, for the option `sounds` of {@linkcode report} and {@linkcode studyFiles}
 * @throws {InputError} when an argument is not what it should be
 *
 * @example
 * ```ts
 * import { demoScore, study, textureOf } from "ripieno";
 * import { report, reportSounds } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const score = demoScore();
 * const entries = [{ study: study(score), score, texture: textureOf(score) }];
 * const sounds = await reportSounds(entries, { fromBar: 17, toBar: 18 });
 * assertStringIncludes(report(entries, { sounds }), "<audio");
 * ```
 */
export async function reportSounds(
  studies: readonly ReportEntry[],
  options: ReportSoundsOptions = {},
): Promise<readonly ReportSound[]> {
  checkArgument(ACTION, studies, ENTRIES);
  checkOptions(ACTION, options, { fromBar: A_NUMBER, toBar: A_NUMBER, soundFont: A_SOUND_FONT });
  const { soundFont, ...asked } = options;
  const entries = entriesToldApart(studies);
  const passages = entries.flatMap((entry, study) =>
    passagesIn(entry, asked).map((passage) => ({ ...passage, study, entry }))
  );
  const most = Math.max(LEAST_SECONDS, Math.min(MOST_SECONDS, ALL_SECONDS / passages.length));
  const heard = passages.map(({ entry: { score, texture }, study, name, ...bars }) => {
    const toBarIndex = lastHeard(score, bars, most);
    const span = { fromBarIndex: bars.fromBarIndex, toBarIndex };
    const how = {
      texture,
      sampleRate: SAMPLE_RATE,
      gainDb: -96,
      ...(soundFont ? { soundFont } : {}),
    } as const;
    const { channels: [left, right] } = auditionBars(score, how, barsBetween(score, span));
    const own = { ...span, study, soundFont: soundFont?.name };
    return {
      ...own,
      words: wordsOf(score, name, { ...bars, toHeard: toBarIndex }),
      samples: middleOf(left!, right!),
    };
  });
  const loudest = heard.reduce(
    (most, { samples }) => samples.reduce((a, x) => Math.max(a, Math.abs(x)), most),
    0,
  );
  const gain = loudest > 0 ? PEAK / loudest : 1;
  const sounds: ReportSound[] = [];
  for (const { samples, ...sound } of heard) {
    const channels = [samples.map((x) => x * gain)];
    sounds.push({
      ...sound,
      file: await writeMp3({ sampleRate: SAMPLE_RATE, channels }, { kilobits: KILOBITS }),
    });
  }
  return sounds;
}

/** A passage, by the indexes of its bars. */
interface NamedBars {
  readonly name: string;
  readonly fromBarIndex: number;
  readonly toBarIndex: number;
}

/** The passages of the summary, as far as they lie in the bars asked for. */
function passagesIn({ score, study }: ReportEntry, asked: BarsAsked): readonly NamedBars[] {
  const { fromBarIndex, toBarIndex } = barsAsked(score, asked, { action: ACTION });
  return passagesOf(score, { freshness: study.freshness }).map((passage) => ({
    name: passage.name,
    fromBarIndex: Math.max(fromBarIndex, passage.fromBarIndex),
    toBarIndex: Math.min(toBarIndex, passage.toBarIndex),
  })).filter((passage) => passage.fromBarIndex <= passage.toBarIndex);
}

/** The last bar that is heard, for so many seconds at most; the first is heard whole. */
function lastHeard(
  score: Score,
  { fromBarIndex, toBarIndex }: Omit<NamedBars, "name">,
  seconds: number,
): number {
  const clock = clockOf(score);
  const start = clock(score.bars[fromBarIndex]!.startTicks);
  for (let b = fromBarIndex + 1; b <= toBarIndex; b++) {
    const { startTicks, durationTicks } = score.bars[b]!;
    if (clock(startTicks + durationTicks) - start > seconds) return b - 1;
  }
  return toBarIndex;
}

function wordsOf(
  score: Score,
  name: string,
  { fromBarIndex, toBarIndex, toHeard }: Omit<NamedBars, "name"> & { readonly toHeard: number },
): string {
  const bars = spanInWords(score, { fromBarIndex, toBarIndex: toHeard });
  const words = name === "" ? capitalised(bars) : `${name}, ${bars}`;
  return toHeard === toBarIndex ? words : `${words} (how it begins)`;
}

/** Both ears as one. */
function middleOf(left: Float32Array, right: Float32Array): Float32Array {
  return left.map((x, i) => (x + right[i]!) * Math.SQRT1_2);
}

/** The passages of a study with a player for each; nothing where none was rendered. */
export function soundsList(sounds: readonly ReportSound[], links: BarLinks): Markup | undefined {
  if (sounds.length === 0) return undefined;
  const items = sounds.map(({ words, file }) =>
    markup`<li><span>${
      links.inText(words)
    }</span><audio controls preload="metadata" aria-label="${words}" src="${`data:audio/mpeg;base64,${
      base64Of(file)
    }`}"></audio></li>`
  );
  const [{ soundFont }] = sounds as readonly [ReportSound];
  const who = soundFont === undefined
    ? "Played by the models that measure the balance: who is heard, when and how strongly."
    : `Played with sounds of the SoundFont ${soundFont}, each note as strong as the balance has it.`;
  return markup`<div class="on-screen"><h3>To hear, passage by passage</h3>
<p>${who} It is no recording, and says nothing of how players would shape a line. All passages have one gain.</p>
<ul class="to-hear">${items}</ul></div>`;
}
