/** Small pieces of prose: counts, lists and figures as a musician would say them. */

/** A count with its noun: `1 setting`, `3 settings`. */
export function counted(count: number, noun: string, plural: string = `${noun}s`): string {
  return `${count} ${count === 1 ? noun : plural}`;
}

/** A list in words, what is beyond the most counted: `a, b and c`, `a, b and 3 more`. */
export function listed(items: readonly string[], most: number = Infinity): string {
  const shown = items.length > most ? [...items.slice(0, most), `${items.length - most} more`] : items;
  return shown.length < 2 ? shown.join("") : `${shown.slice(0, -1).join(", ")} and ${shown.at(-1)}`;
}

/** A choice in words: `a, b or c`. */
export function either(items: readonly (string | number)[]): string {
  return items.length < 2 ? items.join("") : `${items.slice(0, -1).join(", ")} or ${items.at(-1)}`;
}

/** A share as a percentage: `41 %`. */
export function percent(share: number): string {
  return `${Math.round(100 * share)} %`;
}

/** A figure of three digits with a proper minus. */
export function threeDigits(value: number): string {
  return properMinus(String(Number(value.toPrecision(3))));
}

/** A figure's minus as it is printed. */
export function properMinus(figure: string): string {
  return figure.replace("-", "−");
}

/** Begins with a capital. */
export function capitalised(text: string): string {
  return text === "" ? "" : text[0]!.toUpperCase() + text.slice(1);
}
