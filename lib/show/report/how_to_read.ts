/** What each chart and each table of the report shows. */
import { capitalised } from "../../base/words.ts";
import type { ReportEntry } from "./report_entry.ts";
import { roleMeanings } from "./report_words.ts";
import { type Markup, markup } from "../drawing/markup.ts";
import { sentence } from "../drawing/words.ts";

/** Charts and tables by name; `ROLES` stands for the meanings of the roles that occur. */
const HOW_TO_READ: readonly (readonly [name: string, text: string])[] = [
  [
    "passage by passage",
    "momentum in driving attacks per second; lead heard: what is left of its loudness beside the " +
    "rest; bars since a change: the most reached in the passage; findings begin in it, and what several parts stumble " +
    "over in the same bars counts once",
  ],
  [
    "who does what",
    "each row is a part, in the order of the score; colour, texture and word say what it is for in these bars: ROLES. " +
    "Empty stretches are silence. Bar numbers on this page lead here",
  ],
  [
    "chords and keys",
    "above, the key that is heard; below it each chord as a symbol and as a step of that key, where there is room for it: " +
    "the stronger its colour, the surer; a chord given by its symbol stands in bold. The lowest strip is full where " +
    "all that sounds belongs to the chord, and falls where other notes stand beside it",
  ],
  [
    "momentum",
    "the line is the number of driving attacks per second in each bar; below it, each role's share. What is " +
    "slurred, soft or covered counts less. Side by side, all settings share one scale",
  ],
  [
    "is the lead heard?",
    "above, what is left of the lead's loudness when everything else plays; under the dashed line it " +
    "counts as covered. Below, the lead's level against all the rest by two other models; above 0 it outweighs them; the " +
    "handbook counts players at one dynamic and ignores who is marked louder. Where the models disagree, listen",
  ],
  [
    "who covers whom",
    "each figure says what goes of a row's loudness, in per cent, when the column sounds with it and nothing else does",
  ],
  [
    "as the ear has it",
    "low is left, high is right. A layer is heard where its line stands above the others; the strip says " +
    "who has each band, the lower panel what is heard there",
  ],
  [
    "who makes the loudness?",
    "above, how loud everything is together; below, how the loudness is shared out between the " +
    "roles, each as it is heard beside the others",
  ],
  [
    "freshness",
    "the curve jumps where the orchestration changes as a phrase begins, further for a larger change, and sinks while " +
    "it stays the same; a phrase in which it changes on the way lies lower. Ticks stand where phrases begin. The names " +
    "say what changes",
  ],
  [
    "does the scoring go as the tune does?",
    "loudness, register and density of each bar as filled steps, the pitch of the tune as a broken line; going with it is " +
    "not better than going against it, but should be meant",
  ],
  [
    "fullness and idiom",
    "1 where root, third and seventh sound beside the lead without a hole, and 1 where instruments do what they mostly do in " +
    "open scores of 1720 to 1900. A cross or a bar says where to look twice, not what is wrong",
  ],
  [
    "what players will stumble over",
    "one row per part with findings; the shape says how serious it is, the band how far it " +
    "reaches. In the tables, what several parts stumble over in the same bars is one row",
  ],
];

/** How the page is read, said once for all settings. */
export function howToReadSection(entries: readonly ReportEntry[]): Markup {
  const roles = roleMeanings(entries).map(({ role, meaning }, i) =>
    markup`${i === 0 ? "" : "; "}<em>${role}</em>, ${meaning}`
  );
  const items = HOW_TO_READ.map(([name, text]) => {
    const [before, after] = sentence(text).split("ROLES");
    return markup`<dt>${capitalised(name)}</dt><dd>${before}${
      after === undefined ? "" : [roles, after]
    }</dd>`;
  });
  return markup`<section><h2 id="reading">How to read it</h2>
<dl class="key">${items}</dl>
</section>`;
}
