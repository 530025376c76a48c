/** Small pieces of prose: counts, lists and figures as a musician would say them. */

/** A count with its noun: `1 setting`, `3 settings`. */
export function counted(count: number, noun: string, plural: string = `${noun}s`): string {
  return `${count} ${count === 1 ? noun : plural}`;
}

/** A list in words: `a, b and c`. */
export function listed(items: readonly string[]): string {
  return items.length < 2 ? items.join("") : `${items.slice(0, -1).join(", ")} and ${items.at(-1)}`;
}

/** A share as a percentage: `41 %`. */
export function percent(share: number): string {
  return `${Math.round(100 * share)} %`;
}

/** A figure of three digits with a proper minus. */
export function figure(value: number): string {
  return String(Number(value.toPrecision(3))).replace("-", "−");
}

/** Begins with a capital. */
export function capitalised(text: string): string {
  return text === "" ? "" : text[0]!.toUpperCase() + text.slice(1);
}
