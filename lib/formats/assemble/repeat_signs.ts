/** Repeat signs, brackets and jumps as readers find them, and what they come to once all bars are known. */
import type { BarRepeat } from "../../score/model.ts";
import type { RawBar, RepeatSigns } from "./raw_score.ts";

/** Most times a stretch is played, so that a broken number does no harm. */
const MOST_TIMES = 100;

/** How often a repeat is played, twice where a source says nothing that can be meant. */
export function timesOf(text: string | undefined): number {
  const times = Number(text);
  return text !== undefined && Number.isInteger(times) && times >= 2 ? Math.min(times, MOST_TIMES) : 2;
}

/** Numbers of a bracket such as `1`, `1, 2` or `1-3`, rising and each once. */
export function endingNumbers(text: string): readonly number[] {
  const numbers = new Set<number>();
  for (const [, from, to] of text.matchAll(/(\d+)(?:\s*-\s*(\d+))?/g)) {
    for (let n = Number(from); n <= Math.min(Number(to ?? from), MOST_TIMES); n++) if (n >= 1) numbers.add(n);
  }
  return [...numbers].sort((a, b) => a - b);
}

/** What words over the music ask, where they are a jump. */
export function jumpOf(
  text: string,
): Pick<RepeatSigns, "jump" | "jumpWords" | "toCoda" | "fine" | "coda"> | undefined {
  const words = text.trim().replace(/\s+/g, " ");
  const plain = words.toLowerCase();
  if (/^(d\. ?c\.?|dc|da capo)(?![a-z])/.test(plain)) return { jump: "da capo", jumpWords: words };
  if (/^(d\. ?s\.?|ds|dal segno)(?![a-z])/.test(plain)) return { jump: "dal segno", jumpWords: words };
  if (/^(to coda|al coda|alla coda)\b/.test(plain)) return { toCoda: true };
  if (/^fine\.?$/.test(plain)) return { fine: true };
  if (/^coda\.?$/.test(plain)) return { coda: true };
  return undefined;
}

/** True where two brackets have the same numbers. */
function sameEndings(a: RepeatSigns | undefined, b: RepeatSigns | undefined): boolean {
  return String(a?.endings ?? "") === String(b?.endings ?? "");
}

/**
 * The signs of every bar once all are read. A bracket drawn over its first bars only holds to its repeat
 * sign, when another bracket follows that. Of two or more coda signs without words the first leads to the
 * others.
 */
export function barRepeats(bars: readonly RawBar[]): readonly (BarRepeat | undefined)[] {
  const signs = bars.map((b) => (b.repeat ? { ...b.repeat } : undefined));
  /** For each bar the next after it that has a sign of a repeat or a bracket; what is added below lies before it. */
  const nextSign = new Int32Array(signs.length).fill(-1);
  for (let i = signs.length - 2; i >= 0; i--) {
    const after = signs[i + 1];
    const has = after?.times !== undefined || after?.start || after?.endings;
    nextSign[i] = has ? i + 1 : nextSign[i + 1]!;
  }
  signs.forEach((sign, i) => {
    if (!sign?.endings || sign.times !== undefined || signs[i + 1]?.endings) return;
    const repeat = nextSign[i]!;
    const end = signs[repeat];
    const next = signs[repeat + 1];
    if (!end || end.times === undefined || end.start || end.endings || !next?.endings) return;
    if (sameEndings(sign, next)) return;
    for (let k = i + 1; k <= repeat; k++) signs[k] = { ...signs[k], endings: sign.endings };
  });
  const codas = signs.filter((s) => s?.codaSign);
  const told = signs.some((s) => s?.toCoda);
  codas.forEach((sign, k) => {
    if (!told && k === 0 && codas.length > 1) sign!.toCoda = true;
    else if (!sign!.toCoda) sign!.coda = true;
  });
  return signs.map((sign) => {
    if (!sign) return undefined;
    const { codaSign: _, ...rest } = sign;
    return Object.keys(rest).length > 0 ? rest : undefined;
  });
}
