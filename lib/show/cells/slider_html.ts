/** Pictures of which a slider shows one at a time, in the page alone. */
import { InputError } from "../../base/errors.ts";
import { escapeMarkup } from "../../base/escape_markup.ts";

/** Shows the picture of the slider's place, hides the others, and says its words. */
const CHOOSE = "const b=this.closest('[data-steps]'),f=[...b.querySelectorAll('figure')];" +
  "f.forEach((one,i)=>{one.hidden=i!=this.value});" +
  "this.setAttribute('aria-valuetext',f[this.value].querySelector('figcaption').textContent)";

/**
 * Pictures under words, one at a time, with a slider that the mouse, a finger and the arrow keys move (JupyterLab takes no
 * keys from what has `data-lm-suppress-shortcuts`). Where a page runs no scripts, as in a notebook that its reader does
 * not trust, all stand below each other.
 *
 * @throws {InputError} when there is not a word for each picture
 */
export function sliderHtml(pictures: readonly string[], words: readonly string[]): string {
  if (words.length !== pictures.length) {
    throw new InputError({
      action: "show the charts with a slider",
      problem: `there are ${pictures.length} charts and ${words.length} words for its places`,
      remedy: "Give a word for each chart",
    });
  }
  const [first = ""] = words;
  const figures = pictures.map((picture, i) =>
    `<figure style="margin:0"${i === 0 ? "" : " hidden"}><figcaption><strong>${
      escapeMarkup(words[i]!)
    }</strong></figcaption>${picture}</figure>`
  );
  return `<div data-steps=""><input type="range" data-lm-suppress-shortcuts="true" min="0" max="${
    Math.max(0, pictures.length - 1)
  }" step="1" value="0" autocomplete="off" aria-label="${
    escapeMarkup(`from ${first} to ${words.at(-1) ?? first}`)
  }" aria-valuetext="${escapeMarkup(first)}" style="width:24em;max-width:100%" oninput="${CHOOSE}">${
    figures.join("\n")
  }</div>`;
}
