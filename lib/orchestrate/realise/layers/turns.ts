/** Players of a layer who hand their figure over to one another. */
import { fullBarTicks } from "../../../score/time.ts";
import type { Bar } from "../../../score/model.ts";
import type { Ticks } from "../../../base/units.ts";
import type { LayerHandOver } from "../../plan/extra_columns.ts";
import {
  beatStarts,
  foldInto,
  type LayerPart,
  type LayerTask,
  type LayerTurn,
  type PlainNote,
} from "./task.ts";

/** Where a bar's figure is handed over. */
function placesIn(bar: Bar, handOver: LayerHandOver, quarter: Ticks): readonly Ticks[] {
  if (handOver === "by bar" || bar.durationTicks < fullBarTicks(bar, quarter)) return [bar.startTicks];
  const beats = beatStarts(bar, quarter);
  if (handOver === "by beat") return beats;
  const half = beats.find((at) => at >= bar.startTicks + bar.durationTicks / 2);
  return half === undefined ? [bar.startTicks] : [bar.startTicks, half];
}

/** The turns of groups of players through the bars of a layer. */
export function turnsOf(
  bars: readonly Bar[],
  { handOver, groups, ticksPerQuarter }: {
    readonly handOver: LayerHandOver;
    /** Parts that play together, in the order of their turns. */
    readonly groups: readonly (readonly number[])[];
    readonly ticksPerQuarter: Ticks;
  },
): readonly LayerTurn[] {
  const starts = bars.flatMap((bar) => placesIn(bar, handOver, ticksPerQuarter));
  const last = bars.at(-1)!;
  return starts.map((fromTicks, i) => ({
    fromTicks,
    toTicks: starts[i + 1] ?? last.startTicks + last.durationTicks,
    parts: groups[i % groups.length]!,
  }));
}

/** A line of a layer: whose register it takes at a place, and its notes for all who have it. */
interface LayerLine {
  readonly leader: (ticks: Ticks) => LayerPart;
  readonly written: (notes: readonly PlainNote[]) => readonly PlainNote[];
}

/**
 * The lines of a layer: one for each part; where it is handed over one that goes from register to register, which every
 * part is given in its own octave, of which {@linkcode handedOver} leaves its turns.
 */
export function linesOf({ parts, turns }: LayerTask): readonly LayerLine[] {
  if (turns === undefined) return parts.map((part) => ({ leader: () => part, written: (notes) => notes }));
  const [first] = parts;
  if (first === undefined) return [];
  return [{
    leader: (ticks) => {
      const turn = turns.find((t) => ticks >= t.fromTicks && ticks < t.toTicks);
      return parts.find((p) => turn?.parts.includes(p.index)) ?? first;
    },
    written: (notes) =>
      parts.flatMap((part) =>
        notes.map((n): PlainNote => {
          const soundingPitch = foldInto(part, n.soundingPitch);
          const octave = (soundingPitch - n.soundingPitch) / 12;
          const spelling = n.spelling && { ...n.spelling, octave: n.spelling.octave + octave };
          return { ...n, part: part.index, soundingPitch, ...(spelling ? { spelling } : {}) };
        })
      ),
  }];
}

/** Quarters for which a long note that is landed on is held. Common practice, no source. */
const LANDING_QUARTERS = 1;

/**
 * What is left of a layer's notes where its players take turns: those of each turn, and the first of the next, on which
 * the player lands who hands over. What sounds beyond its turn is taken up by the next.
 */
export function handedOver(
  notes: readonly PlainNote[],
  { turns, ticksPerQuarter }: { readonly turns: readonly LayerTurn[]; readonly ticksPerQuarter: Ticks },
): readonly PlainNote[] {
  const byTurn = turns.map((turn) => notes.flatMap((n) => withinTurn(n, turn)));
  const beyond = notes.filter((n) => n.onsetTicks >= turns.at(-1)!.toTicks);
  return turns.flatMap((turn, i) => {
    const isOwn = (n: PlainNote) => turn.parts.includes(n.part);
    const own = byTurn[i]!.filter(isOwn);
    const next = turns[i + 1];
    if (next === undefined) return [...own, ...beyond.filter(isOwn)];
    if (next.parts === turn.parts || own.length === 0) return own;
    const first = Math.min(
      ...byTurn[i + 1]!.filter((n) => next.parts.includes(n.part)).map((n) => n.onsetTicks),
    );
    const landing = byTurn[i + 1]!.filter((n) => isOwn(n) && n.onsetTicks === first);
    return [...own, ...landing.map((n) => ({ ...n, durationTicks: landingTicks(n, next, ticksPerQuarter) }))];
  });
}

/** How long a player stays on the note that is landed on: an eighth at least, so that no triplet rest follows. */
function landingTicks({ onsetTicks, durationTicks }: PlainNote, next: LayerTurn, quarter: Ticks): Ticks {
  const least = Math.max(quarter / 2, Math.min(durationTicks, LANDING_QUARTERS * quarter));
  return Math.min(least, next.toTicks - onsetTicks);
}

/** What of a note sounds within a turn. */
function withinTurn(n: PlainNote, { fromTicks, toTicks }: LayerTurn): readonly PlainNote[] {
  const from = Math.max(n.onsetTicks, fromTicks);
  const to = Math.min(n.onsetTicks + n.durationTicks, toTicks);
  return from < to ? [{ ...n, onsetTicks: from, durationTicks: to - from }] : [];
}
