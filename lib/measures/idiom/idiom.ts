/** How usual it is that an instrument does what it does, in its register and at its dynamic. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { A_SCORE, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { memo } from "../../base/memo.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import { counted } from "../../base/words.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import type { Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { runsOf } from "../runs.ts";
import { knownUses, openScoreUses, type Usualness } from "./counted_uses.ts";
import type { Idiom, IdiomBar, IdiomPart, UnusualUse } from "./idiom_results.ts";
import { type PartUse, plainInstrument, usesOf } from "./uses_of.ts";

/** Constants of {@linkcode idiom}, with their units and sources. */
export const IDIOM_CONSTANTS = {
  priorBars: {
    value: 50,
    unit: "bars",
    above: 0,
    source: "model assumption",
    meaning: "how many bars of its family an instrument's own counts lean on",
  },
  unusualBelow: {
    value: 0.1,
    unit: "share",
    source: "model assumption",
    meaning: "usualness below which a use is called unusual",
  },
} as const;

/** Options of {@linkcode idiom}. */
export interface IdiomOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode IDIOM_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof IDIOM_CONSTANTS>>;
}

const OPTIONS = { texture: A_TEXTURE, constants: undefined };
/** What is known of instruments, by the bars that they lean on their family. */
const known = memo<ReturnType<typeof knownUses>, number>(4);
/** Unusual uses named in full; the others are counted. */
const NAMED = 3;

/**
 * Idiom of a score: how usual it is that its instruments are used as they are. A use is an instrument with its role, its
 * register (thirds of its comfortable range) and its dynamic (soft below mf, loud from there on), bar by bar. How often each
 * was met in open scores is counted. The usualness of a use is a product of three shares: how common the role is on the
 * instrument over how common it is on all instruments, 1 at most; how common the register is over the commonest one of the
 * instrument in that role; how common the dynamic is over the commonest one of the instrument in that register. It is 1 for
 * what is most usual, near 0 for what is hardly ever met. Instruments lean on their family by 50 bars, so that
 * what was never met is not impossible, and what nobody counted goes by its family alone.
 *
 * Unusual is not bad: much that was new was unusual once, and the scores counted are of 1720 to 1900. It says where to look
 * twice. Percussion without pitch is left out.
 *
 * @param score the score
 * @param options texture, constants
 * @returns whole, per bar, per part, unusual uses, in words
 * @throws {InputError} when a constant is unknown or not a number
 *
 * Source of the counts: `data/idiom_counts.csv`, bars of 32 movements of OpenScore Orchestra (M. Gotham et al.) as
 * recognition reads them; bands and smoothing are model assumptions.
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise, vary } from "ripieno";
 * import { idiom } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * const { held } = demoPlans();
 * const tubaLeads = vary(held, { set: { parts: ["Tuba"], octave: -2 } }, { role: "lead" });
 * const of = (plan: typeof held) => idiom(realise(demoSketch(), plan)).whole.idiom!;
 * assert(of(tubaLeads) < of(held));
 * ```
 */
export function idiom(score: Score, options: IdiomOptions = {}): Idiom {
  checkArgument("measure idiom", score, A_SCORE);
  checkOptions("measure idiom", options, OPTIONS);
  const settings = applySettings("idiom", IDIOM_CONSTANTS, options.constants);
  const texture = givenTexture("measure idiom", score, options.texture);
  const { priorBars } = settings;
  const knownOf = known(priorBars, () => knownUses(openScoreUses(), priorBars));
  const named = toldApart(score);
  const uses = usesOf(score, texture).flatMap((use): JudgedUse[] => {
    const judged = knownOf(use.instrument).usualnessOf(use);
    return judged === null ? [] : [{ ...use, ...judged }];
  });
  const isUnusual = (use: JudgedUse) => use.usualness < settings.unusualBelow;
  const unusual = unusualUses(named, uses.filter(isUnusual));
  const clock = clockOf(score);
  const inBars = Map.groupBy(uses, (use) => use.barIndex);
  const ofParts = Map.groupBy(uses, (use) => use.part);
  const perPart = named.parts.flatMap(({ name, instrument }, part): IdiomPart[] => {
    const own = ofParts.get(part);
    return own === undefined ? [] : [{
      part,
      partName: name,
      idiom: mean(own, (use) => use.usualness) ?? null,
      countedBars: knownOf(instrument).bars,
    }];
  });
  return {
    whole: {
      idiom: mean(uses, (use) => use.usualness) ?? null,
      unusualShare: uses.length === 0 ? 0 : uses.filter(isUnusual).length / uses.length,
    },
    perBar: score.bars.map((bar, barIndex): IdiomBar => {
      const own = inBars.get(barIndex) ?? [];
      return {
        barIndex,
        bar: bar.number,
        onsetSeconds: clock(bar.startTicks),
        idiom: mean(own, (use) => use.usualness) ?? null,
        unusual: own.filter(isUnusual).length,
      };
    }),
    perPart,
    unusual,
    description: inWords(named, unusual),
    settings,
  };
}

type JudgedUse = PartUse & Usualness;

/** Runs of bars in which one part is used in one unusual way, the longest first. */
function unusualUses(score: Score, uses: readonly JudgedUse[]): readonly UnusualUse[] {
  const wayOf = (use: JudgedUse) => `${use.part} ${use.role} ${use.register} ${use.dynamic}`;
  const runs = [...Map.groupBy(uses, wayOf).values()]
    .flatMap((own) => runsOf(own, (a, b) => b.barIndex === a.barIndex + 1));
  return runs.map((run): UnusualUse => {
    const { part, role, register, dynamic, usualness, ofRole, ofRegister, ofDynamic, barIndex } = run[0]!;
    return {
      part,
      partName: score.parts[part]!.name,
      bar: score.bars[barIndex]!.number,
      fromBarIndex: barIndex,
      toBarIndex: run.at(-1)!.barIndex,
      role,
      register,
      dynamic,
      usualness,
      ofRole,
      ofRegister,
      ofDynamic,
    };
  }).sort((a, b) =>
    b.toBarIndex - b.fromBarIndex - (a.toBarIndex - a.fromBarIndex) || a.usualness - b.usualness ||
    a.fromBarIndex - b.fromBarIndex || (a.partName < b.partName ? -1 : 1)
  );
}

/** The longest unusual uses as sentences. */
function inWords(score: Score, unusual: readonly UnusualUse[]): readonly string[] {
  const printed = (b: number) => score.bars[b]!.number;
  const words = unusual.slice(0, NAMED).map((u) => {
    const span = u.fromBarIndex === u.toBarIndex
      ? `in bar ${u.bar}`
      : `in bars ${u.bar} to ${printed(u.toBarIndex)}`;
    return `${u.partName} ${span}: ${u.role}, ${u.register} and ${u.dynamic}; ${
      reasonOf(u, plainInstrument(score.parts[u.part]!.instrument))
    }.`;
  });
  const more = unusual.length - words.length;
  if (more === 0) return words;
  return [
    ...words,
    `${counted(more, "more place")} ${more === 1 ? "is" : "are"} unusual in what an instrument does.`,
  ];
}

/** What is least usual of a use. */
function reasonOf(
  { role, register, dynamic, ofRole, ofRegister, ofDynamic }: UnusualUse,
  name: string,
): string {
  const least = Math.min(ofRole, ofRegister, ofDynamic);
  if (least === ofRole) return `in the scores counted the ${name} seldom has this role`;
  if (least === ofRegister) return `in the scores counted the ${name} seldom lies ${register} as ${role}`;
  return `in the scores counted the ${name} is seldom ${dynamic} there`;
}
