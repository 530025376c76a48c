/** What the name of a line says beside its instrument: which player or section, and whether it is divided. */

/** The name of a line, taken apart. */
interface LineName {
  /** The name without numbers: `Horn` of Horn 1, `Horn in F` of Horn 2 in F, `Corni` of Corni I. II. */
  readonly stem: string;
  /** Numbers of its players or sections in order; empty where it names none. */
  readonly numbers: readonly number[];
  /** Whether it says that its players are divided: `div.`, `divisi`, `geteilt`. */
  readonly isDivided: boolean;
}

const ROMAN = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"];

/** A figure, `2nd`, or a Roman number, with or without its point. */
const NUMBER = String.raw`(?:\d+(?:st|nd|rd|th)?|[IVX]+)\.?`;
const AND = String.raw`(?:\s*[,&+/–-]\s*|\s+(?:and|und|et|e)\s+|\s*)`;
/** Numbers after a name; a key may follow them. */
const AFTER = new RegExp(String.raw`^(.*?[^\s,])\s+(${NUMBER}(?:${AND}${NUMBER})*)(\s+in\s+\S+)?$`);
/** A number before a name: a figure alone is a count (2 Flutes), with a point or an ending it is a number. */
const BEFORE = /^(\d+(?:\.|st|nd|rd|th)|(?:I{1,3}|IV)\.?)\s+(\p{L}{2}.*)$/u;
const DIVIDED = /[\s,]+(?:div(?:isi)?|get(?:eilt)?)\b\.?(?:\s*(?:a|in)\s*\d)?/i;
const REMARK = /\s*[([][^()[\]]*[)\]]\s*$/;

/** Takes the name of a line apart. Remarks in brackets at its end are left out. */
export function lineName(name: string): LineName {
  const isDivided = DIVIDED.test(name);
  const plain = name.replace(DIVIDED, "").replace(REMARK, "").trim();
  const after = AFTER.exec(plain);
  const before = after ? null : BEFORE.exec(plain);
  const [stem, numbers] = after
    ? [after[1]! + (after[3] ?? ""), after[2]!]
    : before
    ? [before[2]!, before[1]!]
    : [plain, ""];
  return { stem, numbers: (numbers.match(/\d+|[IVX]+/g) ?? []).map(valueOf), isDivided };
}

function valueOf(number: string): number {
  return /^\d/.test(number) ? Number(number) : ROMAN.indexOf(number) + 1;
}
