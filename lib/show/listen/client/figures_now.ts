/** Figures of what is heard now. Runs in the page: uses nothing but what is listed in `page_script.ts`. */
import type { ListeningSetting, PageState } from "./listening_data.ts";

/** The setting that is listened to. */
export function settingNow(l: PageState): ListeningSetting {
  return l.data.settings[l.setting]!;
}

/** Index of the passage a bar is in. */
export function passageNow(l: PageState): number {
  return Math.max(0, settingNow(l).passages.findIndex((p) => p.from <= l.barNow && l.barNow <= p.to));
}

/** Who plays on a line in a bar, and what; undefined where the line rests. */
export function spanAt(setting: ListeningSetting, line: number, bar: number) {
  return setting.layers.filter((one) => one.line === line).flatMap((one) => one.spans)
    .find(({ from, to }) => from <= bar && bar <= to);
}

/** Whether a line is heard. */
export function isHeard(l: PageState, line: number): boolean {
  return !l.away.has(settingNow(l).lines[line]!.name);
}

/** Lines that have something to play in a passage. */
export function linesIn(l: PageState, passage: number): number[] {
  const setting = settingNow(l), { from, to } = setting.passages[passage]!;
  return setting.lines.map((_, i) => i).filter((i) =>
    setting.layers.some((one) =>
      one.line === i && one.spans.some((span) => span.from <= to && span.to >= from)
    )
  );
}

/** Momentum and the lead's audible share over some bars, of the lines that are asked for. */
export function figuresOf(
  l: PageState,
  from: number,
  to: number,
  heard: (line: number) => boolean,
): { readonly momentum: number; readonly lead: number | null } {
  const setting = settingNow(l);
  let momentum = 0, seconds = 0, lead = 0, led = 0;
  for (const bar of setting.bars.slice(from, to + 1)) {
    let subset = 0;
    bar.layers.forEach((index, i) => {
      const layer = setting.layers[index];
      // What rings over from bars that are not on the page is on no line, and stays.
      if (layer === undefined || heard(layer.line)) subset += 2 ** i;
    });
    momentum += bar.momentum[subset]! / 100 * bar.seconds;
    seconds += bar.seconds;
    if (bar.lead[subset]! >= 0) {
      lead += bar.lead[subset]! / 1000;
      led++;
    }
  }
  return { momentum: seconds > 0 ? momentum / seconds : 0, lead: led > 0 ? lead / led : null };
}

/** A share as people say it. */
export function inPercent(share: number | null): string {
  return share === null ? "no lead" : `${Math.round(100 * share)} %`;
}
