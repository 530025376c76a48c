/** Where a text that is not JSON stops being so: engines do not always say. */

const BLANKS = /[ \t\r\n]*/.source;
const NUMBER_OR_WORD = new RegExp(
  `(?:-?(?:0|[1-9]\\d*)(?:\\.\\d+)?(?:[eE][+-]?\\d+)?|true|false|null)${BLANKS}`,
  "y",
);
/** Of a string what goes on without a break; a loop goes through the rest, since long ones are too much for one pattern. */
const LETTERS = /[^"\\\p{Cc}]*/uy;
const ESCAPE = /\\(?:["\\/bfnrt]|u[\da-fA-F]{4})/y;
const QUOTE = /"/y;
const BEGINNING = new RegExp(BLANKS, "y");
const SIGNS: Readonly<Record<string, RegExp>> = Object.fromEntries(
  [...'{}[],:"'].map((sign) => [sign, new RegExp(`\\${sign}${BLANKS}`, "y")]),
);

/** Where the first word, number or sign begins that JSON cannot have there; the length of the text where it only ends too soon. */
export function jsonFaultAt(text: string): number {
  let at = 0;
  const take = (pattern: RegExp): boolean => {
    pattern.lastIndex = at;
    if (!pattern.test(text)) return false;
    at = pattern.lastIndex;
    return true;
  };
  const takeSign = (sign: string) => take(SIGNS[sign]!);
  const takeText = (): boolean => {
    const begun = at;
    if (!take(QUOTE)) return false;
    do take(LETTERS); while (take(ESCAPE));
    if (takeSign('"')) return true;
    at = begun;
    return false;
  };
  const takeKey = (): boolean => {
    const begun = at;
    if (takeText() && takeSign(":")) return true;
    at = begun;
    return false;
  };
  const open: ("]" | "}")[] = [];
  take(BEGINNING);
  for (;;) {
    // A value is due.
    const begun = takeSign("{") ? "}" : takeSign("[") ? "]" : undefined;
    if (begun !== undefined) open.push(begun);
    else if (!takeText() && !take(NUMBER_OR_WORD)) return at;
    const isEmpty = begun !== undefined && takeSign(begun);
    if (isEmpty) open.pop();
    if (begun === undefined || isEmpty) {
      while (open.length > 0 && takeSign(open.at(-1)!)) open.pop();
      if (open.length === 0 || !takeSign(",")) return at;
    }
    if (open.at(-1) === "}" && !takeKey()) return at;
  }
}
