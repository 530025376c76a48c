/** What the words over the music mean: ways of playing, growing and fading, tempo, who plays. */
import { dynamicOf } from "../../score/dynamics.ts";
import type { Playing, Technique } from "../../score/model.ts";
import { TEMPO_WORDS } from "../../score/tempo_words.ts";
import { isCompound } from "../../score/time.ts";

/** What was understood; a field is missing where the words say nothing about it. */
interface WordsMeaning {
  readonly manner?: Technique;
  readonly muted?: boolean;
  /** What dots mean from here on: spiccato, or what they mean without a word. */
  readonly stroke?: "spiccato" | "other";
  /** Growing (1) or fading (-1) from here. */
  readonly growth?: 1 | -1;
  /** A dynamic from here, as a mark; `more` and `less` are a step up and down. */
  readonly dynamic?: string;
  readonly beatsPerMinute?: number;
  /** Who of the line plays from here, and how many. */
  readonly players?: Pick<Playing, "kind" | "count">;
  readonly bendsTempo?: "slower" | "quicker" | "a tempo" | "first tempo";
}

const BEFORE_TEMPO_WORD =
  /^(molto|poco|un poco|assai|più|meno|non troppo|sehr|ziemlich|etwas|très|assez|tempo di)\s+/;

const WAYS: readonly (readonly [RegExp, WordsMeaning])[] = [
  [/\bpizz/, { manner: "pizzicato" }],
  [/^spicc/, { stroke: "spiccato" }],
  [/^(non spicc|stacc|d[ée]tach|legato|martel)/, { stroke: "other" }],
  [/\bcol\.? ?legno\b/, { manner: "col legno" }],
  [/\bsul\.? ?pont/, { manner: "sul ponticello" }],
  [/\bam steg\b/, { manner: "sul ponticello" }],
  [/\bsul(la)?\.? ?tast/, { manner: "sul tasto" }],
  [/\bflautando\b/, { manner: "sul tasto" }],
  [/\b(flatterz|flutter|frull|flz)/, { manner: "flutter" }],
  [/\b(gestopft|stopped|bouché)/, { manner: "stopped" }],
  [/\b(arco|ordinario|modo ord|naturale|nicht gestopft)\b/, { manner: "ordinario" }],
  [/^(ord|nat|open|offen)\.?$/, { manner: "ordinario" }],
  [/\b(senza|via|ohne|no|sans) (sord|sourd|dämpfer|mute)/, { muted: false }],
  [/\b(mutes? off|dämpfer (ab|weg)|open)\b/, { muted: false }],
  [/\b(con|mit|with|avec|in) (sord|sourd|dämpfer|mute)|^(muted|sord\.|gedämpft)/, { muted: true }],
];

/** Two of a line by their numbers, such as `I. II.`. */
const SEVERAL = /^(?:[1-4]|i{1,3}|iv)\. ?(?:[1-4]|i{1,3}|iv)\.$/;

/** Who plays, by the words, the first that fits; the figure in them is a count. Common practice, no source. */
const PLAYERS: readonly (readonly [RegExp, Playing["kind"]])[] = [
  [/^(?:a|zu|à) ?([2-9])\.?$/, "unison"],
  [/^(?:unis\b.*|unisono\.?|non div\.?)$/, "unison"],
  [/^(?:div(?:isi)?\b(?:.*\b(?:a|in) ?([2-9]))?.*|get(?:eilt)?\.?(?: (?:a|in) ([2-9]))?)$/, "divided"],
  [/^(?:[1-4]\.?|i{1,3}\.?|iv\.?)(?: solo\.?)$|^(?:[1-4]\.|i{1,3}\.?|iv\.)$|^solo\.?$/, "solo"],
  [/^solo (?:[1-4]|i{1,3}|iv)\.?$/, "solo"],
  [SEVERAL, "solo"],
  [/^soli\.?$|^[1-4]\.? soli\.?$/, "solo"],
  [/^(?:1 pult.*)$/, "solo"],
  [/^(?:tutti|alle)\.?$/, "all"],
];

/** Who plays; undefined where the words are about something else. */
function playersIn(words: string): WordsMeaning["players"] {
  for (const [pattern, kind] of PLAYERS) {
    const found = pattern.exec(words);
    if (!found) continue;
    const count = found[1] ?? found[2];
    if (count !== undefined) return { kind, count: Number(count) };
    return kind === "solo" && !/soli|pult/.test(words) && !SEVERAL.test(words)
      ? { kind, count: 1 }
      : { kind };
  }
  return undefined;
}

/** Words that bend the tempo. */
const BENDS: readonly (readonly [RegExp, NonNullable<WordsMeaning["bendsTempo"]>])[] = [
  [/^(?:(?:molto|poco|un poco|poco a poco|sempre) )*(?:rit|rall|allarg|riten|slent|calando)/, "slower"],
  [/^(?:(?:molto|poco|un poco|poco a poco|sempre) )*(?:accel|string|affrett|più animato)/, "quicker"],
  [/\ba tempo\b/, "a tempo"],
  [/^tempo (?:i|1|primo)\b/, "first tempo"],
];

const DYNAMIC =
  /^(?:sempre |subito |sub\. |molto )*(p{1,5}|f{1,5}|mp|mf|sf+z?|f+z|s?f+z?p+)\.?(?: sempre| subito| sub\.?)*$/;

/** Understands words over the music. */
export function readWords(text: string): WordsMeaning {
  const clean = text.trim().replace(/^[([]+|[)\]]+$/g, "").replace(/\s+/g, " ");
  const words = clean.toLowerCase();
  let meaning: WordsMeaning = {};
  // Half of a line plucks while the other half bows.
  const isBoth = /\bpizz/.test(words) && /\barco\b/.test(words) &&
    /\b(half|metà|hälfte|moitié)\b/.test(words);
  for (const [pattern, way] of WAYS) {
    if (pattern.test(words) && !(isBoth && way.manner)) meaning = { ...way, ...meaning };
  }
  if (/\bsenza (cresc|dim|decresc)/.test(words)) return meaning;
  if (/\bcresc/.test(words) && !/\bdecresc/.test(words)) meaning = { ...meaning, growth: 1 };
  else if (/\b(decresc|dim(in|\.|\b)|diminuendo|morendo|smorz|calando)/.test(words)) {
    meaning = { ...meaning, growth: -1 };
  }
  const dynamic = readDynamicWords(words);
  if (dynamic !== undefined) meaning = { ...meaning, dynamic };
  const players = playersIn(words);
  if (players) meaning = { ...meaning, players };
  const bend = BENDS.find(([pattern]) => pattern.test(words));
  if (bend) return { ...meaning, bendsTempo: bend[1] };
  const tempo = TEMPO_WORDS[words.replace(BEFORE_TEMPO_WORD, "").split(/[ ,.;:(\-–]/)[0] ?? ""];
  if (tempo !== undefined && /^\p{Lu}/u.test(clean)) meaning = { ...meaning, beatsPerMinute: tempo };
  return meaning;
}

/** A dynamic written in words, such as `sempre ff` or `più f`: a mark, `more`, `less`, or undefined. */
export function readDynamicWords(text: string): string | undefined {
  const words = text.trim().toLowerCase().replace(/^[([]+|[)\]]+$/g, "").replace(/\s+/g, " ");
  if (dynamicOf(words) !== undefined && words !== "n") return words;
  const plain = DYNAMIC.exec(words)?.[1];
  if (plain !== undefined) return plain;
  if (/^(più|piu|sempre più) f(orte)?\.?$|^meno p(iano)?\.?$/.test(words)) return "more";
  if (/^(più|piu|sempre più) p(iano)?\.?$|^meno f(orte)?\.?$/.test(words)) return "less";
  if (/^poco f(orte)?\.?$|^mezza voce$/.test(words)) return words.startsWith("poco") ? "mf" : "mp";
  if (/^poco p(iano)?\.?$/.test(words)) return "mp";
  if (/^(forte|piano|fortissimo|pianissimo)$/.test(words)) {
    return { forte: "f", piano: "p", fortissimo: "ff", pianissimo: "pp" }[words];
  }
  return undefined;
}

/**
 * A dynamic as a file spells it out piece by piece: `più` and `f`, or `[`, `p` and `]`; a mark, `more`,
 * `less`, or undefined.
 */
export function joinDynamic(pieces: readonly string[]): string | undefined {
  const words = pieces.map((p) => p.trim()).filter((p) => /\p{L}/u.test(p));
  return readDynamicWords(words.join(" ")) ??
    words.map(readDynamicWords).find((mark) => mark !== undefined && mark !== "more" && mark !== "less");
}

/** Slowest words, in beats a minute, that count the longer beat where the metre has one. Model assumption. */
const QUICK_BEATS = 96;

/**
 * Quarter notes in the beat a tempo word counts: the dotted value in compound metres, the half note where it
 * is the lower figure, else the quarter note; a slow word counts every eighth where eighths are the lower figure.
 * Common practice, no source; slow movements of the open scores that print a mark as well, in 3/8, 6/8 and 12/8, have
 * 40 to 75 quarters a minute, and the dotted value would make 126 of an Andante.
 */
export function beatQuarters(
  metre: { readonly beats: number; readonly beatUnit: number },
  beatsPerMinute = Infinity,
): number {
  if (metre.beatUnit >= 8 && beatsPerMinute < QUICK_BEATS) return 4 / metre.beatUnit;
  if (isCompound(metre)) return 12 / metre.beatUnit;
  return metre.beatUnit === 2 ? 2 : 1;
}
