/** Messages of a readable length, however long what they name is. */

/** Most characters of a message: what a terminal shows in a few lines. Common practice, no source. */
const MOST_CHARACTERS = 300;

/**
 * To how many characters names and quoted words are cut, a remedy with its list of choices, and what went wrong, one
 * after another until a message fits.
 */
const CUTS = [
  { names: 60, remedy: Infinity, problem: Infinity },
  { names: 60, remedy: 120, problem: 120 },
  { names: 40, remedy: 120, problem: 120 },
  { names: 24, remedy: 60, problem: 60 },
] as const;
/** Least that is left of what was being done. */
const LEAST_CHARACTERS = 60;

/** What a message is put together from. */
interface MessageParts {
  /** What was being done, as a verb phrase. */
  readonly action: string;
  /** What is wrong, as a clause. */
  readonly problem: string;
  /** Where, one entry per name or number, from the file down. */
  readonly place: readonly string[];
  /** What to do about it, without its full stop. */
  readonly remedy: string;
}

/** A text without its middle, where it is longer than `most` (at least 3): beginning and end tell it from others. */
function withoutMiddle(text: string, most: number): string {
  if (text.length <= most) return text;
  const end = Math.floor((most - 1) / 2);
  return `${whole(text.slice(0, most - 1 - end))}…${whole(text.slice(text.length - end))}`;
}

/** The text without halves of characters at its ends, which a cut may leave. */
function whole(text: string): string {
  return text.replace(/^[\udc00-\udfff]|[\ud800-\udbff]$/g, "");
}

/** Quoted words, and words without a space, each cut to a length. */
function cutWords(text: string, most: number): string {
  return text.replace(
    /"[^"]*"|[^\s"]+/g,
    (word) =>
      word.startsWith('"') && word.length > 1
        ? `"${withoutMiddle(word.slice(1, -1), most)}"`
        : withoutMiddle(word, most),
  );
}

/** A list up to a length, cut before a comma; a sentence without commas, cut after a word. */
function withoutEnd(text: string, most: number): string {
  if (text.length <= most) return text;
  const cut = whole(text.slice(0, most - AND_MORE.length));
  const comma = cut.lastIndexOf(",");
  if (comma > most / 2) return `${cut.slice(0, comma)}${AND_MORE}`;
  const words = cut.replace(/[\s,;:]*\S*$/, "");
  return `${words.length > most / 2 ? words : cut}…`;
}

/** How a list ends that goes on. */
const AND_MORE = " and more";

function sentence({ action, problem, place, remedy }: MessageParts): string {
  return `Cannot ${action}: ${problem}${place.length === 0 ? "" : ` (${place.join(", ")})`}. ${remedy}.`;
}

/**
 * Puts a message together, of at most {@linkcode MOST_CHARACTERS}. What is too long loses its middle: names
 * and quoted words first, then the end of the list that a remedy gives, then what went wrong. Place and
 * remedy stay.
 */
export function shortMessage(parts: MessageParts): string {
  const full = onOneLine(sentence(parts));
  if (full.length <= MOST_CHARACTERS) return full;
  const [action, problem, remedy] = [parts.action, parts.problem, parts.remedy].map(onOneLine);
  const place = parts.place.map(onOneLine);
  let cut = parts;
  const over = (): number => sentence(cut).length - MOST_CHARACTERS;
  for (const most of CUTS) {
    cut = {
      action: cutWords(action!, most.names),
      problem: cutWords(problem!, most.names),
      place: place.map((name) => withoutMiddle(name, most.names)),
      remedy: cutWords(remedy!, most.names),
    };
    const lessBy = (text: string, least: number) => Math.max(least, text.length - Math.max(0, over()));
    cut = { ...cut, remedy: withoutEnd(cut.remedy, lessBy(cut.remedy, most.remedy)) };
    cut = { ...cut, problem: withoutMiddle(cut.problem, lessBy(cut.problem, most.problem)) };
    if (over() <= 0) return sentence(cut);
  }
  return sentence({
    ...cut,
    action: withoutMiddle(cut.action, Math.max(LEAST_CHARACTERS, cut.action.length - over())),
  });
}

/** One clause of a readable length, cut as {@linkcode shortMessage} cuts. */
export function shortClause(text: string): string {
  if (text.length <= MOST_CHARACTERS) return onOneLine(text);
  return withoutMiddle(cutWords(onOneLine(text), CUTS[0].names), MOST_CHARACTERS);
}

/** Line breaks and other signs that are not printed become a space. */
function onOneLine(text: string): string {
  return text.replace(/[\p{Cc}\u2028\u2029]+/gu, " ");
}
