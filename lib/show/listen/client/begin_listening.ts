/** Puts the page to work. Runs in the page: uses nothing but what is listed in `page_script.ts`. */
import { isHeard, settingNow } from "./figures_now.ts";
import type { ListeningData, PageState } from "./listening_data.ts";
import { figureWords, say, showAll } from "./page_now.ts";
import { heardAsSamples, placeNow, playFrom, setLines, soundsOf, stopPlaying } from "./sound_now.ts";
import { beginWalk, endWalk } from "./walk_now.ts";

/** Begins, once the page is there. */
export function beginListening(page: Document): PageState {
  const data = JSON.parse(page.getElementById("listening-data")!.textContent!) as ListeningData;
  const l: PageState = {
    data,
    page,
    buffers: new Map(),
    pictures: new Map(),
    setting: 0,
    barNow: 0,
    away: new Set(),
    context: undefined,
    playing: undefined,
    walk: undefined,
  };
  listLines(l);
  listPassages(l);
  const on = (selector: string, event: string, does: (target: HTMLInputElement) => void) =>
    page.querySelectorAll<HTMLInputElement>(selector).forEach((one) =>
      one.addEventListener(event, () => does(one))
    );
  on("#listen", "click", () => listenOrStop(l));
  on("#bar", "input", (slider) => goTo(l, Number(slider.value)));
  on("#everything", "click", () => change(l, new Set(), "Everything is back."));
  on("[name=setting]", "change", (radio) => switchTo(l, Number(radio.value)));
  on("#build", "click", () => beginWalk(l, "build"));
  on("#take", "click", () => beginWalk(l, "take"));
  on("#end-walk", "click", () => endWalk(l));
  showAll(l);
  setInterval(() => keepUp(l), 60);
  soundsOf(l, 0).then(() => page.documentElement.setAttribute("data-ready", "true"));
  return l;
}

/** Writes a row for each line of the setting. */
export function listLines(l: PageState): void {
  const list = l.page.getElementById("lines")!;
  list.replaceChildren(
    ...settingNow(l).lines.map(({ role, name }, line) => {
      const row = l.page.createElement("li");
      row.setAttribute("data-line", String(line));
      row.className = role;
      row.innerHTML =
        `<div class="about">${
          l.data.signs[role] ?? ""
        }<h3></h3><span class="who"></span><span class="what"></span></div>` +
        `<div class="notes"></div><div class="do"><button type="button" class="take"></button>` +
        `<button type="button" class="alone"></button></div>`;
      row.querySelector("h3")!.textContent = name;
      row.querySelector(".take")!.addEventListener("click", () => {
        const away = new Set(l.away), heard = isHeard(l, line);
        if (heard) away.add(name);
        else away.delete(name);
        change(l, away, heard ? `The ${name} is gone.` : `The ${name} is back.`);
      });
      const alone = row.querySelector(".alone")!;
      alone.textContent = `Hear the ${name} alone`;
      alone.addEventListener("click", () => {
        const others = settingNow(l).lines.filter((_, i) => i !== line).map((one) => one.name);
        change(l, new Set(others), `Only the ${name} is left.`);
      });
      return row;
    }),
  );
}

/** Writes a button for each passage. */
export function listPassages(l: PageState): void {
  const setting = settingNow(l);
  l.page.getElementById("passages")!.replaceChildren(...setting.passages.map(({ name, from, to }, i) => {
    const button = l.page.createElement("button");
    button.type = "button";
    button.setAttribute("data-passage", String(i));
    const bars = `bars ${setting.bars[from]!.printed}–${setting.bars[to]!.printed}`;
    button.textContent = name === "" ? bars : `${name}, ${bars}`;
    button.addEventListener("click", () => goTo(l, from));
    return button;
  }));
}

/** Takes lines away or brings them back, and says what that does. */
export function change(l: PageState, away: Set<string>, words: string): void {
  l.away = away;
  if (l.playing && l.context) setLines(l, l.playing.lines, l.context, 0.015);
  showAll(l);
  const { motion, lead } = figureWords(l);
  say(l, `${words} ${motion} ${lead}`);
}

/** Where the music ends. */
export function endOf(l: PageState): number {
  const last = settingNow(l).bars.at(-1)!;
  return last.startSeconds + last.seconds;
}

/** Begins at the bar one is at, or stops. */
export function listenOrStop(l: PageState): void {
  if (l.playing) {
    stopPlaying(l);
    showAll(l);
    return;
  }
  if (l.barNow >= settingNow(l).bars.length - 1) l.barNow = 0;
  playFrom(l, settingNow(l).bars[l.barNow]!.startSeconds, endOf(l)).then(() => showAll(l));
}

/** Goes to a bar, and plays on from there if it played. */
export function goTo(l: PageState, bar: number): void {
  l.barNow = bar;
  if (l.playing) playFrom(l, settingNow(l).bars[bar]!.startSeconds, endOf(l)).then(() => showAll(l));
  showAll(l);
}

/** Another setting at the same place; what is taken away stays away. */
export function switchTo(l: PageState, setting: number): void {
  const wasPlaying = l.playing !== undefined && l.context !== undefined;
  const into = wasPlaying ? placeNow(l.context!, l.playing!) - settingNow(l).bars[l.barNow]!.startSeconds : 0;
  l.setting = setting;
  l.walk = undefined;
  l.page.getElementById("walk")!.hidden = true;
  l.barNow = Math.min(l.barNow, settingNow(l).bars.length - 1);
  listLines(l);
  listPassages(l);
  if (wasPlaying) {
    const { startSeconds, seconds } = settingNow(l).bars[l.barNow]!;
    playFrom(l, startSeconds + Math.min(seconds, Math.max(0, into)), endOf(l)).then(() => showAll(l));
  }
  showAll(l);
  const { motion, lead } = figureWords(l);
  say(l, `${settingNow(l).name}. ${motion} ${lead}`);
}

/** Follows the music from bar to bar. */
export function keepUp(l: PageState): void {
  const { playing, context } = l;
  if (!playing || !context) return;
  const at = placeNow(context, playing);
  if (at >= playing.toSeconds) {
    stopPlaying(l);
    showAll(l);
    return;
  }
  const bar = settingNow(l).bars.findLastIndex((one) => one.startSeconds <= at + 0.01);
  if (bar === l.barNow || bar < 0) return;
  l.barNow = bar;
  showAll(l);
}

/** What would be heard of the lines that are left, as samples. */
export function renderHeard(
  l: PageState,
  options: Parameters<typeof heardAsSamples>[1],
): Promise<AudioBuffer> {
  return heardAsSamples(l, options);
}
