/** Bar numbers in a report as links to their place on the chart of roles. */
import type { Score } from "../../score/model.ts";
import { escapeMarkup } from "../../base/escape_markup.ts";
import type { Markup } from "../drawing/markup.ts";
import { notesAsPrinted } from "../drawing/words.ts";

/** What a page needs to lead to the bars of one study. */
export interface BarLinks {
  /** Beginning of the id of every bar, followed by its index from 0. */
  readonly ids: string;
  /** Words in which bar numbers that follow "bar", "bars" or stand as "(8 to 15)" become links. */
  readonly inText: (words: string) => Markup;
  /** A cell that holds nothing but printed bars, such as `17` or `17–24`, as links. */
  readonly inCell: (bars: string) => Markup;
}

/** A printed number, or two joined by a dash or "to". */
const AFTER_WORD = /\b([Bb]ars?[ \u00a0])([0-9]+[0-9A-Za-z.]*)(?:(–| to )([0-9]+[0-9A-Za-z.]*))?/g;
const IN_BRACKETS = /\(([0-9]+)( to |–)([0-9]+)\)/g;

/** Links to the bars of a study, which is numbered on its page from 1. */
export function barLinks({ bars }: Score, number: number): BarLinks {
  const ids = `bar-${number}-`;
  const indexOf = new Map<string, number>();
  bars.forEach((bar, i) => indexOf.has(bar.number) || indexOf.set(bar.number, i));
  const link = (printed: string) => {
    const [, name = "", rest = ""] = /^(.*?)([.]*)$/.exec(printed) ?? [];
    const index = indexOf.get(name);
    return index === undefined ? printed : `<a class="to-bar" href="#${ids}${index}">${name}</a>${rest}`;
  };
  const span = (from: string, joint = "", to = "") => `${link(from)}${joint}${to === "" ? "" : link(to)}`;
  const afterWord = (_: string, word: string, from: string, joint?: string, to?: string) =>
    word + span(from, joint, to);
  const inBrackets = (_: string, from: string, joint: string, to: string) => `(${span(from, joint, to)})`;
  return {
    ids,
    inText: (words) => ({
      html: escapeMarkup(notesAsPrinted(words)).replace(AFTER_WORD, afterWord).replace(
        IN_BRACKETS,
        inBrackets,
      ),
    }),
    inCell: (text) => ({ html: escapeMarkup(text).replace(/[0-9A-Za-z.]+/g, link) }),
  };
}
