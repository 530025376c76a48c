/** Which part the ear follows, bar by bar: one part always, however many lead with it. */
import { checkOptions, weightsWith } from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import type { Share } from "../../base/units.ts";
import type { ReadingPage } from "../features/page.ts";
import type { Judgement } from "../judge/judge.ts";
import { soundingCells } from "../features/sounding_cells.ts";
import type { TextureWeights } from "../judge/weights.ts";
import { judgedPage } from "./judged_page.ts";

/** Who leads in a bar. */
export interface LeadInBar {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Part index of the chief line; null where nothing of definite pitch sounds. */
  readonly part: number | null;
  /** Parts in unison or octaves with it. */
  readonly doubledBy: readonly number[];
  /** Share of the lead that falls to it and those that double it, 0 to 1, followed over the bars around. */
  readonly confidence: Share;
}

const WEIGHTS = weightsWith("kinds kind lead phrase broad");

/**
 * The chief line of every bar: the part with the greatest share of the lead, followed over phrases. How much a part asks to
 * be followed is weighed bar by bar, then again with the bars around, what doubles it and where the same comes back; a
 * hand-over costs something, so that one bar that asks a little less is none. Where `recognise` calls no part lead since
 * nothing but accompaniment sounds, this still says whom to follow.
 *
 * @param score the score
 * @param options other weights than those of `data/texture_weights.json`
 * @returns one entry per bar
 *
 * @example
 * ```ts
 * import { demoScore, trackLead } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const [first] = trackLead(score);
 * assertEquals(score.parts[first!.part!]?.name, "Flute 1");
 * ```
 */
export function trackLead(
  score: Score,
  options: { readonly weights?: TextureWeights } = {},
): readonly LeadInBar[] {
  checkOptions("track the lead", options, { weights: WEIGHTS });
  const { page, judgement } = judgedPage(score, options.weights);
  const sounds = soundingCells(score);
  return score.bars.map((_, barIndex) => leadIn(judgement, page, { barIndex, sounds }));
}

/** The chief line of a bar, from what the models say of its page. */
function leadIn(
  { lead, evidence: { scene: { companions } } }: Judgement,
  page: ReadingPage,
  { barIndex, sounds }: { readonly barIndex: number; readonly sounds: readonly boolean[] },
): LeadInBar {
  const [lines, parts] = [page.partsOf.length, page.lineOf.length];
  const line = lead.course[barIndex - page.silentBefore] ?? -1;
  if (line < 0) return { barIndex, part: null, doubledBy: [], confidence: 0 };
  const cell = (barIndex - page.silentBefore) * lines + line;
  const doublings = companions.unison[cell]!;
  const share = [cell, ...doublings].reduce((sum, i) => sum + Math.exp(lead.shares[i]!), 0);
  const [part, ...others] = [cell, ...doublings].flatMap((i) => page.partsOf[i % lines]!)
    .filter((p) => sounds[barIndex * parts + p]);
  return {
    barIndex,
    part: part ?? page.partsOf[line]![0]!,
    doubledBy: others.toSorted((a, b) => a - b),
    confidence: Math.min(1, Math.round(share * 100) / 100),
  };
}
