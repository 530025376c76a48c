/** Choices that a seed decides, and values that no file should hold. */
import { random } from "../random.ts";

/** Choices out of one seed. */
export interface Chance {
  /** A whole number from 0 up to, but not including, n; 0 where n is not above 0. */
  readonly below: (n: number) => number;
  /** One of a list; the list must not be empty. */
  readonly oneOf: <T>(list: readonly T[]) => T;
}

/**
 * Choices out of a seed.
 *
 * @param seed whole number
 * @returns choices, the same for the same seed
 */
export function chanceOf(seed: number): Chance {
  const next = random(seed);
  const below = (n: number) => n > 0 ? Math.floor(next() * n) : 0;
  return { below, oneOf: (list) => list[below(list.length)]! };
}

/** Numbers as no file should write them: huge, negative, without a value, in other digits. */
export const STRANGE_NUMBERS: readonly string[] = [
  "0",
  "-0",
  "-1",
  "1",
  "7",
  "127",
  "255",
  "1024",
  "65536",
  "2147483648",
  "-2147483649",
  "999999999999",
  "9007199254740993",
  "1e308",
  "-1e308",
  "1e-308",
  "1e-9",
  "0.3333",
  "NaN",
  "Infinity",
  "-Infinity",
  "",
  " ",
  " 7 ",
  "+5",
  "0x10",
  "1,5",
  "1/2",
  "٣",
  "７",
  "x",
  "9".repeat(400),
];

/** Texts as no file should hold them. */
export const STRANGE_TEXTS: readonly string[] = [
  "",
  " ",
  "\u0000",
  "\ufeff",
  "\u202e\u200b",
  "\ud83c\udfbb",
  "\ud83c",
  "𝄞𝆑",
  "ﬀ",
  "constructor",
  "__proto__",
  "a".repeat(5000),
  "<&\"'>",
  "../../etc",
  "=1+1",
  "Ⅳ",
  "\r\n\t",
];

/** Texts in encodings other than UTF-8: with and without a mark of byte order, whole or cut in the middle. */
export function inEncoding(text: string, chance: Chance): Uint8Array {
  const utf16 = (little: boolean, mark: boolean): Uint8Array => {
    const units = mark ? `\ufeff${text}` : text;
    const bytes = new Uint8Array(units.length * 2);
    const view = new DataView(bytes.buffer);
    for (let i = 0; i < units.length; i++) view.setUint16(i * 2, units.charCodeAt(i), little);
    return bytes;
  };
  switch (chance.below(12)) {
    case 0:
      return utf16(true, chance.below(3) > 0);
    case 1:
      return utf16(false, chance.below(3) > 0);
    case 2:
      return Uint8Array.from(text, (c) => c.charCodeAt(0) & 0xff);
    case 3:
      return new TextEncoder().encode(`\ufeff${text}`);
    case 4:
      return new TextEncoder().encode(text.replace(/\r?\n/g, chance.oneOf(["\r", "\r\n", "\n\r", " "])));
    case 5: {
      const bytes = utf16(chance.below(2) > 0, true);
      return bytes.subarray(0, Math.max(0, bytes.length - 1 - chance.below(40)));
    }
    default:
      return new TextEncoder().encode(text);
  }
}
