/** Wishes written over a score: what was there is cleared, what is wished for is laid in, and nothing that nobody can play comes in. */
import { InputError } from "../../base/errors.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import { sortNotes } from "../../score/build.ts";
import type { Note, Score, WrittenLayer } from "../../score/model.ts";
import { refineGrid } from "../../score/refine_grid.ts";
import { fullBarTicks } from "../../score/time.ts";
import { finerBars } from "./bars_asked.ts";
import { changedManner } from "./changed_manner.ts";
import { notesWithout } from "./clear_bars.ts";
import type { Texture } from "../../texture/model.ts";
import type { ScoreWithTexture } from "./excerpt.ts";
import { keptDynamics } from "./kept_dynamics.ts";
import { type Ground, keepDynamics, loudnessBeside, newNotes } from "./new_notes.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { rewrittenTexture } from "./rewritten_texture.ts";
import { splicePart } from "./splice_part.ts";

/** A score with wishes written into it, beside what it was on the grid of the new one. */
export interface WrittenOver extends ScoreWithTexture {
  readonly before: Score;
  readonly placed: readonly PlacedWish[];
}

/** A score with wishes written into it, everything found and read. */
export function rewriteOver(
  score: Score,
  placed: readonly PlacedWish[],
  { texture, harmony }: Ground,
): WrittenOver {
  const written = newNotes(score, placed, { texture, harmony });
  const fine = refineGrid(score, written?.ticksPerQuarter ?? score.ticksPerQuarter);
  const factor = fine.ticksPerQuarter / score.ticksPerQuarter;
  const onGrid = placed.map((p): PlacedWish => ({ ...p, bars: finerBars(p.bars, factor) }));
  let changed = fine;
  for (const [i, one] of onGrid.entries()) {
    const keeping = keepDynamics(score, texture, placed[i]!);
    changed = one.wish.role === undefined
      ? changedManner(changed, one)
      : withNew(changed, one, { written, texture, keepsLayers: score.layers !== undefined, keeping });
  }
  refuseWorse(fine, changed, onGrid);
  return {
    score: withLayers(changed, written?.layers),
    texture: rewrittenTexture(changed, texture, onGrid),
    before: fine,
    placed: onGrid,
  };
}

/** A score in which some parts have in some bars what was written for them, or nothing. */
function withNew(
  score: Score,
  { wish, bars, parts }: PlacedWish,
  { written, texture, keepsLayers, keeping }: {
    readonly written: Score | undefined;
    readonly texture: Texture;
    readonly keepsLayers: boolean;
    /** Parts that are as loud as they were. */
    readonly keeping: readonly number[];
  },
): Score {
  const left = notesWithout(score, new Set(parts), bars);
  const isInside = (ticks: number) => ticks >= bars.startTicks && ticks < bars.endTicks;
  const added = wish.role === "rest"
    ? []
    : written!.notes.filter((n) => parts.includes(n.part) && isInside(n.onsetTicks)).map((n): Note => {
      const { layer, ...note } = n;
      return keepsLayers ? { ...note, layer: newLayer(score, layer!) } : note;
    });
  const kept = new Map(keeping.flatMap((part) => {
    const { writtenDynamics } = score.parts[part]!;
    if (writtenDynamics === undefined || writtenDynamics.length === 0) return [];
    const { ticksPerQuarter } = score;
    const barTicks = fullBarTicks(score.bars[bars.fromBarIndex]!, ticksPerQuarter);
    const own = added.filter((n) => n.part === part);
    const entered = score.notes.find((n) => n.part === part && !n.grace && isInside(n.onsetTicks));
    const enteredTicks = entered?.onsetTicks ?? bars.startTicks;
    const beside = loudnessBeside(score, texture, { bars, parts, toTicks: enteredTicks });
    const there = { bars, enteredTicks, beside, barTicks, ticksPerQuarter };
    return [[part, keptDynamics(writtenDynamics, own, there)] as const];
  }));
  const dressed = added.filter((n) => !kept.has(n.part)).concat([...kept.values()].flatMap((k) => k.notes));
  return {
    ...score,
    notes: sortNotes([...left, ...dressed]),
    parts: score.parts.map((part, p) => {
      if (!parts.includes(p)) return part;
      const source = wish.role === "rest" ? undefined : written!.parts[p]!;
      return splicePart(part, bars, {
        dynamics: kept.get(p)?.signs ??
          source?.writtenDynamics?.filter((d) => isInside(d.onsetTicks)) ?? [],
        playing: source?.playing?.filter((w) => isInside(w.fromTicks)) ?? [],
        hasNotes: source !== undefined,
        accompanies: source !== undefined && wish.role !== "lead",
        nextTicks: left.find((n) => n.part === p && n.onsetTicks >= bars.endTicks)?.onsetTicks,
        ticksPerQuarter: score.ticksPerQuarter,
      });
    }),
  };
}

/** Id of a layer that was written into a setting, told from those it has. */
function newLayer({ layers }: Score, id: string): string {
  return `${id} (${layers!.length})`;
}

/** A setting with the layers that were written into it; other scores have none. */
function withLayers(score: Score, written: readonly WrittenLayer[] | undefined): Score {
  if (score.layers === undefined || written === undefined) return score;
  return {
    ...score,
    layers: [...score.layers, ...written.map((layer) => ({ ...layer, id: newLayer(score, layer.id) }))],
  };
}

/** What nobody can play in the parts that were changed, by place. */
function impossibleIn(score: Score, parts: ReadonlySet<number>): readonly PlayabilityFinding[] {
  const own = { ...score, notes: score.notes.filter((n) => parts.has(n.part)) };
  return playability(own).findings.filter((f) => f.severity === "impossible");
}

/**
 * Refuses a rewritten score in which a part has what nobody can play and did not have it before.
 *
 * @throws {InputError} with the rule, the place and a remedy
 */
function refuseWorse(before: Score, after: Score, placed: readonly PlacedWish[]): void {
  const parts = new Set(placed.flatMap((p) => p.parts));
  const now = impossibleIn(after, parts);
  if (now.length === 0) return;
  const keyOf = (f: PlayabilityFinding) => `${f.rule} ${f.part} ${f.fromBarIndex}`;
  const known = new Set(impossibleIn(before, parts).map(keyOf));
  const worse = now.find((f) => !known.has(keyOf(f)));
  if (worse === undefined) return;
  throw new InputError({
    action: "rewrite the score",
    problem: `${worse.what} (rule: ${worse.rule})`,
    where: { part: worse.partName, bar: worse.bar, beat: Math.round(worse.beat * 100) / 100 },
    remedy: worse.remedy,
  });
}
