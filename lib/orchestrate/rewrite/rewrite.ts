/** Some parts of a finished score written anew in some bars. */
import {
  A_LIST,
  A_SCORE,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  HARMONY_SPANS,
} from "../../base/arguments.ts";
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { readHarmony } from "../../harmony/read_harmony.ts";
import { sortNotes } from "../../score/build.ts";
import { refineGrid } from "../../score/refine_grid.ts";
import type { Note, Score, WrittenLayer } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { Texture } from "../../texture/model.ts";
import { finerBars } from "./bars_asked.ts";
import type { Figure } from "../../texture/figures.ts";
import { FIGURES_OF_ONES_OWN } from "../plan/plan.ts";
import { changesOf } from "./changes_of.ts";
import { notesWithout } from "./clear_bars.ts";
import { changedManner } from "./changed_manner.ts";
import type { ScoreWithTexture } from "./excerpt.ts";
import { fullBarTicks } from "../../score/time.ts";
import { keptDynamics } from "./kept_dynamics.ts";
import { keepDynamics, newNotes } from "./new_notes.ts";
import { type PlacedWish, placeWishes } from "./place_wishes.ts";
import { refuseWorse } from "./refuse_worse.ts";
import type { Rewritten } from "./rewrite_results.ts";
import { rewrittenTexture } from "./rewritten_texture.ts";
import { splicePart } from "./splice_part.ts";
import { type Wish, withOwnFigures } from "./wish.ts";

/** Options of {@linkcode rewrite}. */
export interface RewriteOptions {
  /** Who does what, where it is known or was corrected by hand; by default it is read. */
  readonly texture?: Texture;
  /** The chords, where they are known or were corrected by hand; by default they are read off the notes. */
  readonly harmony?: Pick<HarmonyReading, "spans">;
  /** Figures of one's own, made by `defineFigure`, which wishes name. */
  readonly figures?: readonly Figure[];
}

const ACTION = "rewrite the score";

/**
 * Writes some parts of a finished score anew in some bars: another role and figure over the chords that are there, under the
 * lead and over the bass that are there; or the same notes with another articulation, dynamic, octave or way of playing; or
 * silence. Everything else stays, to the note and to the sign. Notes held into the bars end before them, notes held out of them begin after
 * them, slurs and hairpins that would cross end and begin at the edges, and the dynamic a part had is printed again where it goes on.
 *
 * The chords are read off the notes unless they are given: look at them first (`readHarmony`) where much depends on them. What
 * nobody can play is refused; limits are guides, and the players and their teachers decide.
 *
 * @param score the score; not changed
 * @param wishes what is wished, one after the other of each part and bar once; the empty list gives the score as it is
 * @param options texture and harmony
 * @returns the new score, its texture, and what became of each part
 * @throws {InputError} for bars or parts the score does not have, a part with two wishes in one bar, words the library
 *   does not know, bars whose chords are too doubtful to write on, and what nobody can play
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { rewrite } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const { changes } = rewrite(demoScore(), [
 *   { fromBar: 5, toBar: 8, parts: ["Violins II"], role: "pulse", figure: "repeated eighths", dynamic: "p" },
 * ]);
 * assertEquals(changes.map((c) => [c.partName, c.fromBar, c.after]), [["Violins II", "5", "pulse: repeated eighths"]]);
 * ```
 */
export function rewrite(score: Score, wishes: readonly Wish[], options: RewriteOptions = {}): Rewritten {
  checkArgument(ACTION, score, A_SCORE);
  checkArgument(ACTION, wishes, A_LIST, "the wishes");
  checkOptions(ACTION, options, { texture: A_TEXTURE, harmony: HARMONY_SPANS, figures: FIGURES_OF_ONES_OWN });
  const texture = givenTexture(ACTION, score, options.texture);
  if (wishes.length === 0) return { score, texture, changes: [] };
  const asked = withOwnFigures(wishes, options.figures ?? []);
  const placed = placeWishes(score, asked, ACTION);
  const harmony = options.harmony ?? readHarmony(score, { texture });
  const { before, placed: onGrid, ...after } = rewriteOver(score, placed, { texture, harmony });
  const factor = before.ticksPerQuarter / score.ticksPerQuarter;
  const onSpans = harmony.spans.map((s) => ({
    ...s,
    startTicks: s.startTicks * factor,
    endTicks: s.endTicks * factor,
  }));
  return {
    ...after,
    changes: onGrid.flatMap((p) =>
      changesOf({ score: before, texture }, after, { placed: p, all: onGrid, harmony: { spans: onSpans } })
    ),
  };
}

/** A score with wishes written into it, beside what it was on the grid of the new one. */
interface WrittenOver extends ScoreWithTexture {
  readonly before: Score;
  readonly placed: readonly PlacedWish[];
}

/** {@linkcode rewrite} with everything found and read, before it is told what became of whom. */
export function rewriteOver(
  score: Score,
  placed: readonly PlacedWish[],
  { texture, harmony }: { readonly texture: Texture; readonly harmony: Pick<HarmonyReading, "spans"> },
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
      : withNew(changed, one, { written, keepsLayers: score.layers !== undefined, keeping });
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
  { written, keepsLayers, keeping }: {
    readonly written: Score | undefined;
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
    return [
      [
        part,
        keptDynamics(writtenDynamics, own, { bars, enteredTicks, barTicks, ticksPerQuarter }),
      ] as const,
    ];
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
