/** The bars that were written anew, as notation, before and after. */
import { capitalised } from "../../base/words.ts";
import { barsBetween } from "../../orchestrate/rewrite/bars_asked.ts";
import { barsInWords } from "../../orchestrate/rewrite/sketch_from.ts";
import type { PartChange } from "../../orchestrate/rewrite/rewrite_results.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { engraveMusic } from "../engrave/engraved_music.ts";
import { pictureOf } from "../engrave/picture_of.ts";
import type { ChangedPassage } from "../report/report_excerpts.ts";
import { type DeskWork, type Version, whatBecame } from "./desk.ts";

/** Bars of a passage that are shown at most, and passages: a page is to be looked at. */
const MOST = { bars: 10, passages: 6 } as const;

/** As wide as the page. */
const WIDTH = 1000;

/** The passages of some changes, in their order, each with the changes in it. */
function passagesOf(changes: readonly PartChange[]): readonly (readonly PartChange[])[] {
  return [...Map.groupBy(changes, (c) => `${c.fromBarIndex} ${c.toBarIndex}`).values()];
}

/** The parts to show beside those that were changed: who leads, and who lies lowest, before and after. */
function framing(
  { score, texture }: Version,
  { fromBarIndex, toBarIndex }: Pick<PartChange, "fromBarIndex" | "toBarIndex">,
): readonly number[] {
  const barsOf = (role: "lead" | "bass") =>
    mostOften(cellsIn(texture, score, { fromBarIndex, toBarIndex }).filter((c) => c.role === role));
  return [barsOf("lead"), barsOf("bass")].flatMap((part) => part === undefined ? [] : [part]);
}

function cellsIn(
  { cells }: Texture,
  { parts }: Score,
  { fromBarIndex, toBarIndex }: Pick<PartChange, "fromBarIndex" | "toBarIndex">,
) {
  return cells.slice(fromBarIndex * parts.length, (toBarIndex + 1) * parts.length);
}

/** The part that has most of some cells; of several the one with the greatest share of the lead. */
function mostOften(cells: Texture["cells"]): number | undefined {
  const worth = new Map<number, number>();
  for (const { part, leadShare } of cells) worth.set(part, (worth.get(part) ?? 0) + 1 + leadShare);
  return [...worth].sort((a, b) => b[1] - a[1])[0]?.[0];
}

/**
 * The bars that were written anew engraved as they were and as they are, a picture each: the parts that changed, and who leads and
 * who has the bass beside them. Of long passages the first bars, and of many the first passages.
 *
 * @param work what became of a score
 * @returns passages for the report, in the order of the changes
 */
export async function beforeAndAfter(
  { versions, changes }: DeskWork,
): Promise<readonly ChangedPassage[]> {
  const [was, is] = versions;
  if (was === undefined || is === undefined) return [];
  const pictured: ChangedPassage[] = [];
  for (const own of passagesOf(changes)) {
    const said = [...Map.groupBy(own, whatBecame)].map(([words, same]) =>
      `${same.map((c) => c.partName).join(", ")}: ${words}`
    );
    const { fromBarIndex, toBarIndex } = own[0]!;
    const last = Math.min(toBarIndex, fromBarIndex + MOST.bars - 1);
    const bars = capitalised(barsInWords(was.score, { fromBarIndex, toBarIndex }));
    if (pictured.length >= MOST.passages) {
      pictured.push({ bars, said });
      continue;
    }
    const span = { fromBarIndex, toBarIndex: last };
    const frame = [was, is].flatMap((version) => framing(version, span));
    const parts = [...new Set([...own.map((c) => c.part), ...frame])].sort((a, b) => a - b);
    const picture = async (version: Version) => {
      const music = await engraveMusic(version, {
        bars: barsBetween(version.score, span),
        parts,
        resting: true,
        byRole: true,
        width: WIDTH,
        title: capitalised(version.name),
      });
      return pictureOf(music, music.systems);
    };
    pictured.push({
      bars,
      said,
      ...(last < toBarIndex ? { shownTo: was.score.bars[last]!.number } : {}),
      pictures: [await picture(was), await picture(is)],
    });
  }
  return pictured;
}
