/** A sound as markup that plays by itself, wherever a page may not run anything. */
import { base64Of } from "../../base/base64.ts";
import { escapeMarkup } from "../../base/escape_markup.ts";
import { A_SOUND, type SampledSound } from "../../formats/sound/sampled_sound.ts";
import { writeMp3 } from "../../formats/sound/write_mp3.ts";
import type { Audition } from "./audition_results.ts";

/** Whether something is a sound. */
export function isSound(thing: unknown): thing is SampledSound {
  return A_SOUND.fits(thing);
}

/** Bars and players of a sound, in words; `sound` where it does not say. */
function soundInWords(sound: SampledSound & Partial<Pick<Audition, "bars">>): string {
  const first = sound.bars?.[0]?.bar, last = sound.bars?.at(-1)?.bar;
  if (first === undefined) return "sound";
  return first === last ? `bar ${first}` : `bars ${first}–${last}`;
}

/** A sound as an `<audio>` element with the sound in it, as MP3. */
export async function soundHtml(sound: SampledSound): Promise<string> {
  const words = soundInWords(sound);
  const mp3 = base64Of(await writeMp3(sound, { kilobits: 96 }));
  return `<figure style="margin:0 0 1em"><figcaption>${escapeMarkup(words)}</figcaption>` +
    `<audio controls preload="metadata" aria-label="${
      escapeMarkup(words)
    }" src="data:audio/mpeg;base64,${mp3}">` +
    `</audio></figure>`;
}
