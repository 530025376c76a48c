/** Guided steps: a question, a guess, then the sound and the answer. Runs in the page: uses nothing but what is listed in `page_script.ts`. */
import { figuresOf, inPercent, linesIn, passageNow, settingNow, spanAt } from "./figures_now.ts";
import type { PageState, Walk } from "./listening_data.ts";
import { say, showAll } from "./page_now.ts";
import { playFrom, setLines } from "./sound_now.ts";

/** Lines in the order in which a texture is built up: what sings, what carries, what holds, what moves, what shines. */
export function walkOrder(l: PageState): number[] {
  const order = ["lead", "bass", "pad", "pulse", "punctuation", "figuration", "run", "trill", "counterline"];
  const { lines } = settingNow(l);
  return linesIn(l, passageNow(l)).sort((a, b) =>
    order.indexOf(lines[a]!.role) - order.indexOf(lines[b]!.role) || a - b
  );
}

/** Lines that are there after so many steps. */
export function linesAfter({ kind, order }: Walk, step: number): Set<number> {
  return new Set(kind === "build" ? order.slice(0, step) : order.slice(0, order.length - step));
}

/** Begins a walk through the passage one is in. */
export function beginWalk(l: PageState, kind: Walk["kind"]): void {
  const order = walkOrder(l);
  l.walk = { kind, order, step: kind === "build" ? 1 : 0, asked: false };
  l.barNow = settingNow(l).passages[passageNow(l)]!.from;
  hearStep(l);
  showWalk(l, "");
}

/** Lets a step be heard. */
export function hearStep(l: PageState): void {
  const setting = settingNow(l), passage = setting.passages[passageNow(l)]!;
  const here = linesAfter(l.walk!, l.walk!.step);
  l.away = new Set(setting.lines.filter((_, i) => !here.has(i)).map((line) => line.name));
  const last = setting.bars[passage.to]!;
  l.barNow = passage.from;
  playFrom(l, setting.bars[passage.from]!.startSeconds, last.startSeconds + last.seconds).then(() =>
    showAll(l)
  );
  if (l.playing && l.context) setLines(l, l.playing.lines, l.context, 0.015);
  showAll(l);
}

/** What a step does, in words and as one of the answers. */
export function stepAnswer(l: PageState): { readonly answer: string; readonly words: string } {
  const { from, to } = settingNow(l).passages[passageNow(l)]!, walk = l.walk!;
  const before = linesAfter(walk, walk.step), after = linesAfter(walk, walk.step + 1);
  const was = figuresOf(l, from, to, (line) => before.has(line));
  const is = figuresOf(l, from, to, (line) => after.has(line));
  const moved = is.momentum - was.momentum;
  const heard = is.lead === null || was.lead === null ? 0 : is.lead - was.lead;
  const answer = Math.abs(moved) > Math.max(0.25, 0.15 * Math.max(was.momentum, is.momentum))
    ? "motion"
    : Math.abs(heard) > 0.08 || is.lead === null
    ? "lead"
    : "little";
  const motion = `It drives with ${is.momentum.toFixed(2)} attacks a second; before, ${
    was.momentum.toFixed(2)
  }.`;
  const lead = is.lead === null
    ? "The tune is gone: this is the background alone."
    : was.lead === null
    ? `The lead keeps ${inPercent(is.lead)} of its loudness.`
    : `The lead keeps ${inPercent(is.lead)} of its loudness; before, ${inPercent(was.lead)}.`;
  return { answer, words: `${motion} ${lead}` };
}

/** The answers one can guess from. */
export function guesses({ kind }: Walk): readonly (readonly [answer: string, words: string])[] {
  return kind === "build"
    ? [["motion", "It will move more"], ["lead", "It will get in the lead's way"], [
      "little",
      "It will change little",
    ]]
    : [["motion", "It will move less"], ["lead", "The lead will be clearer, or gone"], [
      "little",
      "It will change little",
    ]];
}

/** Shows the next question, after what the last answer was. */
export function showWalk(l: PageState, answered: string): void {
  const box = l.page.getElementById("walk")!, walk = l.walk;
  box.hidden = walk === undefined;
  if (!walk) return;
  const setting = settingNow(l);
  const isOver = walk.step >= walk.order.length - (walk.kind === "build" ? 0 : 1);
  const line = walk.kind === "build" ? walk.order[walk.step] : walk.order[walk.order.length - 1 - walk.step];
  const next = line === undefined ? undefined : setting.lines[line]!;
  const layer = line === undefined ? undefined : spanAt(setting, line, l.barNow);
  const who = layer ? ` (${layer.players}: ${layer.figure})` : "";
  const question = isOver || next === undefined
    ? walk.kind === "build" ? "Now everything is there." : "This is all that is left."
    : walk.kind === "build"
    ? `Next, the ${next.name} comes in${who}. Listen for it in your mind first: what will it do?`
    : `Next, the ${next.name} goes${who}. What happens if it is taken away?`;
  box.querySelector("#answered")!.textContent = answered;
  box.querySelector("#question")!.textContent = question;
  const buttons = box.querySelector("#guesses")!;
  buttons.replaceChildren(
    ...(isOver ? [] : guesses(walk)).map(([answer, words]) => {
      const button = l.page.createElement("button");
      button.type = "button";
      button.textContent = words;
      button.addEventListener("click", () => takeStep(l, answer, words));
      return button;
    }),
  );
  box.querySelector<HTMLElement>("#question")!.focus();
}

/** Takes a guess, lets the step be heard, and says what it did. */
export function takeStep(l: PageState, guess: string, words: string): void {
  const { answer, words: told } = stepAnswer(l);
  l.walk!.step++;
  hearStep(l);
  const verdict = guess === answer
    ? `You guessed: ${words.toLowerCase()}. So it is.`
    : `You guessed: ${words.toLowerCase()}. Listen again:`;
  say(l, `${verdict} ${told}`);
  showWalk(l, `${verdict} ${told}`);
}

/** Ends a walk: everything is back. */
export function endWalk(l: PageState): void {
  l.walk = undefined;
  l.away = new Set();
  if (l.playing && l.context) setLines(l, l.playing.lines, l.context, 0.015);
  showAll(l);
  showWalk(l, "");
  say(l, "Everything is back.");
}
