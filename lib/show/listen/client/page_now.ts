/** What the page shows. Runs in the page: uses nothing but what is listed in `page_script.ts`. */
import { figuresOf, inPercent, isHeard, linesIn, passageNow, settingNow, spanAt } from "./figures_now.ts";
import type { PageState } from "./listening_data.ts";

/** Bars that are drawn beside each other. */
export function barsAround(l: PageState): { readonly from: number; readonly to: number } {
  const { from, to } = settingNow(l).passages[passageNow(l)]!;
  const first = from + 8 * Math.floor((l.barNow - from) / 8);
  return { from: first, to: Math.min(to, first + 7) };
}

/** Draws the notes of a line over some bars. */
export function drawNotes(l: PageState, line: number): string {
  const setting = settingNow(l), { from, to } = barsAround(l);
  const start = setting.bars[from]!.startSeconds;
  const end = setting.bars[to]!.startSeconds + setting.bars[to]!.seconds;
  const x = (seconds: number) => (1000 * (seconds - start) / (end - start)).toFixed(1);
  const notes = setting.layers.filter((one) => one.line === line).flatMap((one) => one.notes)
    .filter(([at, length]) => at < end && at + length > start);
  const pitches = notes.map(([, , pitch]) => pitch);
  const low = Math.min(...pitches), span = Math.max(10, Math.max(...pitches) - low);
  const bars = setting.bars.slice(from, to + 1).map((bar, i) =>
    `<path d="M${x(bar.startSeconds)} 0V60" class="bar-line"/>${
      from + i === l.barNow
        ? `<rect x="${x(bar.startSeconds)}" width="${
          (1000 * bar.seconds / (end - start)).toFixed(1)
        }" height="60" class="bar-now"/>`
        : ""
    }`
  );
  const marks = notes.map(([at, length, pitch]) => {
    const left = Math.max(at, start),
      width = Math.max(2, 1000 * (Math.min(end, at + length) - left) / (end - start) - 3.5);
    return `<rect x="${x(left)}" y="${(54 - 50 * (pitch - low) / span).toFixed(1)}" width="${
      width.toFixed(1)
    }" height="4"/>`;
  });
  return `<svg viewBox="0 0 1000 60" preserveAspectRatio="none" aria-hidden="true">${bars.join("")}<g>${
    marks.join("")
  }</g></svg>`;
}

/** Shows everything as it is now. */
export function showAll(l: PageState): void {
  const { page } = l, setting = settingNow(l), passage = setting.passages[passageNow(l)]!;
  const slider = page.querySelector<HTMLInputElement>("#bar")!;
  slider.max = String(setting.bars.length - 1);
  slider.value = String(l.barNow);
  const printed = setting.bars[l.barNow]!.printed;
  slider.setAttribute("aria-valuetext", `bar ${printed}${passage.name === "" ? "" : `, ${passage.name}`}`);
  page.querySelector("#place")!.textContent = `Bar ${printed}${
    passage.name === "" ? "" : ` · ${passage.name}`
  }`;
  page.querySelector("#listen")!.textContent = l.playing ? "Stop" : "Listen from here";
  page.querySelectorAll("[data-passage]").forEach((button, i) => {
    if (i === passageNow(l)) button.setAttribute("aria-current", "true");
    else button.removeAttribute("aria-current");
  });
  showLines(l);
  showFigures(l);
  showNotation(l);
}

/** Shows the lines: who plays, what they do, whether they are there. */
export function showLines(l: PageState): void {
  const setting = settingNow(l);
  const here = linesIn(l, passageNow(l));
  l.page.querySelectorAll<HTMLElement>("[data-line]").forEach((row, line) => {
    const layer = spanAt(setting, line, l.barNow), { name } = setting.lines[line]!;
    row.hidden = !here.includes(line);
    row.classList.toggle("away", !isHeard(l, line));
    row.querySelector(".who")!.textContent = layer ? layer.players : "rests in this bar";
    row.querySelector(".what")!.textContent = layer ? layer.figure : "";
    row.querySelector(".take")!.textContent = isHeard(l, line)
      ? `Take the ${name} away`
      : `Bring the ${name} back`;
    row.querySelector(".notes")!.innerHTML = here.includes(line) ? drawNotes(l, line) : "";
  });
  const left = here.filter((line) => isHeard(l, line)).map((line) => setting.lines[line]!.name);
  l.page.querySelector<HTMLElement>("#everything")!.hidden = left.length === here.length;
  l.page.querySelector("#left")!.textContent = left.length === here.length
    ? "Everything plays."
    : left.length === 0
    ? "Nothing is left: only silence."
    : `You hear ${left.length} of ${here.length}: ${left.join(", ")}.`;
}

/** What somebody is told about a figure: of what is left, and of everything. */
export function figureWords(l: PageState): { readonly motion: string; readonly lead: string } {
  const { from, to } = settingNow(l).passages[passageNow(l)]!;
  const own = figuresOf(l, from, to, (line) => isHeard(l, line)), all = figuresOf(l, from, to, () => true);
  const motion = own.momentum === all.momentum
    ? `It drives with ${own.momentum.toFixed(2)} attacks a second.`
    : `It drives with ${own.momentum.toFixed(2)} attacks a second; with everything, ${
      all.momentum.toFixed(2)
    }.`;
  const lead = own.lead === null
    ? "Nobody leads in what is left."
    : own.lead === all.lead
    ? `The lead keeps ${inPercent(own.lead)} of its loudness.`
    : `The lead keeps ${inPercent(own.lead)} of its loudness; with everything, ${inPercent(all.lead)}.`;
  return { motion, lead };
}

/** Shows the figures of what is left, over the passage and in the bar. */
export function showFigures(l: PageState): void {
  const setting = settingNow(l), { from, to } = setting.passages[passageNow(l)]!;
  const own = figuresOf(l, from, to, (line) => isHeard(l, line)), all = figuresOf(l, from, to, () => true);
  const bar = figuresOf(l, l.barNow, l.barNow, (line) => isHeard(l, line));
  const most = Math.max(
    ...l.data.settings.flatMap((one) => one.bars.map((b) => b.momentum.at(-1)! / 100)),
    0.1,
  );
  const words = figureWords(l);
  const show = (id: string, share: number, whole: number, text: string, here: string) => {
    const box = l.page.getElementById(id)!;
    box.querySelector<HTMLElement>(".left")!.style.width = `${Math.min(100, 100 * share).toFixed(1)}%`;
    box.querySelector<HTMLElement>(".all")!.style.left = `${Math.min(100, 100 * whole).toFixed(1)}%`;
    box.querySelector(".words")!.textContent = text;
    box.querySelector(".here")!.textContent = here;
  };
  show(
    "motion",
    own.momentum / most,
    all.momentum / most,
    words.motion,
    `in this bar ${bar.momentum.toFixed(2)}`,
  );
  show("heard", own.lead ?? 0, all.lead ?? 0, words.lead, `in this bar ${inPercent(bar.lead)}`);
}

/** The engraved pictures of a setting, unpacked once. */
export function picturesOf(l: PageState, setting: number): Promise<readonly string[]> {
  const known = l.pictures.get(setting);
  if (known) return known;
  const unpack = async () => {
    const packed = l.page.getElementById(`notation-${setting}`);
    if (!packed) return [];
    const bytes = Uint8Array.from(atob(packed.textContent!), (letter) => letter.charCodeAt(0));
    const text = await new Response(
      new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate")),
    ).text();
    return JSON.parse(text) as readonly string[];
  };
  const pictures = unpack();
  l.pictures.set(setting, pictures);
  return pictures;
}

/** Shows the engraved bars around the one that is heard. */
export async function showNotation(l: PageState): Promise<void> {
  const box = l.page.getElementById("notation");
  if (!box) return;
  const { notation } = settingNow(l), setting = l.setting;
  const at = notation.findIndex(({ from, to }) => from <= l.barNow && l.barNow <= to);
  const key = `${setting} ${at}`;
  if (at < 0 || box.dataset["shown"] === key) return;
  box.dataset["shown"] = key;
  const picture = (await picturesOf(l, setting))[at] ?? "";
  if (box.dataset["shown"] !== key) return;
  const { bars } = settingNow(l), { from, to } = notation[at]!;
  box.setAttribute("aria-label", `Notation of bars ${bars[from]!.printed} to ${bars[to]!.printed}`);
  box.innerHTML = picture;
}

/** Tells readers who listen to the page what they have changed; never what goes by itself. */
export function say(l: PageState, words: string): void {
  l.page.getElementById("said")!.textContent = words;
}
