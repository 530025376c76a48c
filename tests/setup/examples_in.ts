/** A piece of TypeScript that stands in a text to be read: in a comment of the code, or in a page. */
export interface Example {
  /** The line of the text on which its code begins, from 1. */
  readonly line: number;
  readonly code: string;
}

const EXAMPLE = /^( *\* )?```ts\n([\s\S]*?)^(?: *\* )?```/gm;

/** The examples of a text, in order: of a file of code those in its comments, of a page those between its paragraphs. */
export function examplesIn(text: string): readonly Example[] {
  return [...text.matchAll(EXAMPLE)].map(({ 1: margin, 2: code, index }) => ({
    line: text.slice(0, index).split("\n").length + 1,
    code: margin === undefined ? code! : code!.replaceAll(/^ *\* ?/gm, ""),
  }));
}
