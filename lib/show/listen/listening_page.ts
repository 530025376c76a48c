/** A page to listen to: what happens if a layer is taken away? */
import { deflateSync } from "node:zlib";
import { A_NUMBER, A_SWITCH, A_TEXT, checkArgument, checkOptions } from "../../base/arguments.ts";
import { base64Of } from "../../base/base64.ts";
import { escapeMarkup } from "../../base/escape_markup.ts";
import type { BarsAsked } from "../../orchestrate/rewrite/bars_asked.ts";
import { A_SOUND_FONT, type SoundFont } from "../../formats/sound/read_sound_font.ts";
import { MP3_DELAY_SAMPLES } from "../../formats/sound/write_mp3.ts";
import { AUDITION_CONSTANTS } from "../audition/audition_options.ts";
import { ROLE_LOOKS } from "../drawing/theme.ts";
import type { ListeningData, ListeningSetting } from "./client/listening_data.ts";
import { LISTENED, listenedSettings, type SettingToHear, SOUND_RATE } from "./listened_setting.ts";
import { LISTENING_STYLE } from "./listening_style.ts";
import { pageScript } from "./page_script.ts";

/** Options of {@linkcode listeningPage}. */
export interface ListeningPageOptions extends BarsAsked {
  /** Title of the page's music; by default the first score's. */
  readonly title?: string;
  /** Whether the engraved bars are there too; they take some seconds. @default {true} */
  readonly notation?: boolean;
  /** Sounds that play in place of the library's own: what `readSoundFont` gives. */
  readonly soundFont?: SoundFont;
}

const ACTION = "write the listening page";
/** A font in the style of a picture. */
const FONT_FACE = /@font-face\s*\{[^}]*\}/g;

/**
 * A page on which one listens to settings of a score, takes layers away and brings them back, and sees at once what that does to
 * motion and to the lead; with guided steps that ask before they answer. One HTML file with its sound, notes and engraved
 * bars, which needs no network and runs from disk, in a classroom or beside a notebook.
 *
 * The sound is that of {@linkcode audition}, one mono track for each layer, seated from left to right in a plain hall by the page.
 * All settings have one gain. Momentum is that of the very layers that are left, each attack as audible as in the full texture (what
 * `attribution` shares out); how much of the lead is heard is worked out anew for what is left. Where a bar has more than eight
 * layers, roles are taken together.
 *
 * @param settings settings to compare, with names: scores, and who does what where that is known
 * @param options bars as printed, title, notation, a SoundFont
 * @returns the page as HTML
 * @throws {InputError} when there is no setting, or no such bar
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { listeningPage } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const page = await listeningPage([{ name: "moving", score: demoScore() }], { fromBar: 17, toBar: 18, notation: false });
 * assert(page.startsWith("<!doctype html>") && !page.includes("https://"));
 * ```
 */
export async function listeningPage(
  settings: readonly SettingToHear[],
  options: ListeningPageOptions = {},
): Promise<string> {
  checkArgument(ACTION, settings, LISTENED, "settings");
  checkOptions(ACTION, options, {
    fromBar: A_NUMBER,
    toBar: A_NUMBER,
    title: A_TEXT,
    notation: A_SWITCH,
    soundFont: A_SOUND_FONT,
  });
  const { notation = true, title = settings[0]!.score.title } = options;
  const heard = await listenedSettings(settings, { ...options, notation });
  const data: ListeningData = {
    settings: heard.map((one): ListeningSetting => one.setting),
    sampleRate: SOUND_RATE,
    lateSeconds: MP3_DELAY_SAMPLES / SOUND_RATE,
    directShare: AUDITION_CONSTANTS.directShare.value,
    reverberationSeconds: AUDITION_CONSTANTS.reverberationSeconds.value,
    signs: Object.fromEntries(
      Object.keys(ROLE_LOOKS).map((role) => [role, signOf(role as keyof typeof ROLE_LOOKS)]),
    ),
  };
  const sounds = heard.flatMap(({ sounds }, s) =>
    sounds.map((file, i) =>
      file === undefined ? "" : `<script type="text/plain" id="sound-${s}-${i}">${base64Of(file)}</script>`
    )
  );
  // Every picture brings the engraver's font: the page has it once.
  const fonts = new Set(
    heard.flatMap((one) => one.pictures.flatMap((picture) => picture.match(FONT_FACE) ?? [])),
  );
  const pictures = heard.map(({ pictures }, s) =>
    pictures.length === 0
      ? ""
      : `<script type="text/plain" id="notation-${s}">${
        base64Of(deflateSync(JSON.stringify(pictures.map((picture) => picture.replace(FONT_FACE, "")))))
      }</script>`
  );
  const faces = `<style>${[...fonts].join("\n")}</style>`;
  return pageOf({
    title: title || "Untitled",
    data,
    blocks: [faces, ...sounds, ...pictures].join("\n"),
    notation,
    soundFont: options.soundFont?.name,
  });
}

/** A small picture of a role: its colour and its texture. */
function signOf(role: keyof typeof ROLE_LOOKS): string {
  const { fill, ink, texture } = ROLE_LOOKS[role];
  return `<svg class="sign" viewBox="0 0 24 16" aria-hidden="true"><rect width="24" height="16" fill="var(--ripieno-${role}, ${fill})"/>` +
    [0, 8, 16].flatMap((x) =>
      [0, 8].map((y) =>
        `<path d="${texture}" transform="translate(${x} ${y})" fill="none" stroke="var(--ripieno-${role}-ink, ${ink})"/>`
      )
    ).join("") + `</svg>`;
}

/** What a listening page is made of. */
interface PageText {
  readonly title: string;
  readonly data: ListeningData;
  readonly blocks: string;
  readonly notation: boolean;
  readonly soundFont: string | undefined;
}

/** Which of several versions is heard; nothing where there is one. */
function versionChoice({ settings }: ListeningData): string {
  if (settings.length === 1) return "";
  const choices = settings.map(({ name }, i) =>
    `<label><input type="radio" name="setting" value="${i}"${i === 0 ? " checked" : ""}> ${
      escapeMarkup(name)
    }</label>`
  );
  return `<fieldset id="versions"><legend>Which version</legend>${choices.join("")}</fieldset>`;
}

/** A figure of what is left, beside that of everything. */
function gauge(id: string, name: string, how: string): string {
  return `<div class="figure" id="${id}"><h3>${name} <small class="here"></small></h3>
<div class="gauge" aria-hidden="true"><span class="left"></span><span class="all"></span></div>
<p class="words"></p><p class="how">${how}</p></div>`;
}

function pageOf({ title, data, blocks, notation, soundFont }: PageText): string {
  const json = JSON.stringify(data).replaceAll("<", "\\u003c");
  const engraved = notation
    ? `<section aria-labelledby="paper"><h2 id="paper">On paper</h2>
<div id="notation" tabindex="0" role="region" aria-label="Notation"></div></section>`
    : "";
  const who = soundFont === undefined
    ? "What you hear is made of the same spectra, powers and dynamics that the measures use: who is heard, when and how strongly."
    : `What you hear are sounds of the SoundFont ${
      escapeMarkup(soundFont)
    }, each note as strong as the measures have it.`;
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeMarkup(title)}: what happens if I take this away?</title>
<style>${LISTENING_STYLE}</style></head><body>
<header><h1>What happens if I take this away?</h1>
<p class="by">${escapeMarkup(title)}</p>
<p>Listen to a passage. Take something away, and hear what the rest does without it. Bring it back. The figures follow
what you hear.</p></header>
<main>
<div id="here">${
    versionChoice(data)
  }<div class="row"><button type="button" id="listen">Listen from here</button>
<output id="place" for="bar"></output><label for="bar">Go to a bar</label><input type="range" id="bar" min="0" value="0">
</div></div>
<section aria-labelledby="where"><h2 id="where">Passages</h2><div id="passages"></div></section>
<section aria-labelledby="what"><h2 id="what">What plays here</h2>
<p><span id="left"></span> <button type="button" id="everything">Bring everything back</button></p>
<ul id="lines"></ul></section>
<section aria-labelledby="does"><h2 id="does">What that does to this passage</h2><div id="figures">
${
    gauge(
      "motion",
      "How strongly it drives",
      "Driving attacks a second of what is left. How audible each attack is stays as in the full texture. The line marks everything together.",
    )
  }
${
    gauge(
      "heard",
      "How much of the lead is heard",
      "Share of its loudness that the lead keeps, worked out anew for what is left. The line marks everything together.",
    )
  }</div></section>
<section aria-labelledby="guess"><h2 id="guess">Guess before you hear</h2>
<p>Layer by layer through this passage: first a question, then the sound, then the figures.</p>
<p class="row"><button type="button" id="build">Build it up, from the tune</button>
<button type="button" id="take">Take it apart, down to the tune</button></p>
<div id="walk" hidden><p id="answered"></p><p id="question" tabindex="-1"></p><div id="guesses"></div>
<button type="button" id="end-walk">Enough: bring everything back</button></div></section>
${engraved}
</main>
<footer><p>${who} It is no recording, and says nothing of how players would shape a line. Figures are of models; they are for comparing.</p></footer>
<p id="said" role="status" class="unseen"></p>
<noscript><p>This page needs JavaScript to play.</p></noscript>
<script type="application/json" id="listening-data">${json}</script>
${blocks}
<script>${pageScript()}</script>
</body></html>
`;
}
