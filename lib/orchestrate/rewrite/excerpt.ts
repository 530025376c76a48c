/** Some bars of a score as a score of their own. */
import { endTicksOf } from "../../score/time.ts";
import type { Bar, Part, PartNotation, Score, WrittenDynamic, WrittenLayer } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { layersOf } from "../../texture/layers.ts";
import type { Ticks } from "../../base/units.ts";
import type { BarsFound } from "./bars_asked.ts";
import { notesWithout } from "./clear_bars.ts";
import { looseHairpins, marking } from "./splice_part.ts";

/** A score with who does what in it. */
export interface ScoreWithTexture {
  /** The score. */
  readonly score: Score;
  /** Who does what in it. */
  readonly texture: Texture;
}

/** Names of fields that say where something is; others in ticks are lengths. */
const PLACES: readonly string[] = ["onsetTicks", "fromTicks", "startTicks", "endTicks"];

/** A copy of a record that many ticks earlier, not before the beginning. */
function earlier<T extends object>(record: T, ticks: Ticks): T {
  const copy = { ...record } as Record<string, unknown>;
  for (const name of PLACES) {
    const value = copy[name];
    if (typeof value === "number") copy[name] = Math.max(0, value - ticks);
  }
  return copy as T;
}

/** What stands in some bars of a list, and what of before still holds when they begin. */
function inForce<T extends { readonly fromTicks: Ticks }>(
  list: readonly T[],
  { startTicks, endTicks }: BarsFound,
  keyOf: (one: T) => unknown = () => 0,
): readonly T[] {
  const before = list.filter((one) => one.fromTicks <= startTicks);
  const still = [...Map.groupBy(before, keyOf).values()].map((own) => own.at(-1)!);
  const inside = list.filter((one) => one.fromTicks > startTicks && one.fromTicks < endTicks);
  return [...still, ...inside].map((one) => earlier(one, startTicks));
}

/** What stands in some bars of a list. */
function inBars<T extends { readonly onsetTicks: Ticks }>(
  list: readonly T[],
  { startTicks, endTicks }: BarsFound,
): readonly T[] {
  return list.filter((one) => one.onsetTicks >= startTicks && one.onsetTicks < endTicks)
    .map((one) => earlier(one, startTicks));
}

/** Dynamic signs of some bars, begun with what holds there; hairpins that lead into the bars begin with them, others end with them. */
function dynamicsIn(
  signs: readonly WrittenDynamic[],
  bars: BarsFound,
  ticksPerQuarter: Ticks,
): readonly WrittenDynamic[] {
  const inside = inBars(signs, bars);
  const begins = inside.some((s) => s.kind === "mark" && s.onsetTicks === 0);
  const open = looseHairpins(signs.filter((s) => s.onsetTicks < bars.startTicks))
    .filter((s) => s.kind !== "stop").map((sign) => ({ ...sign, onsetTicks: 0 }));
  const all = [...open, ...inside];
  // One that ends where the bars begin is over.
  const over = (sign: WrittenDynamic) => sign.kind === "stop" && sign.onsetTicks === 0;
  const isOver = (sign: WrittenDynamic) =>
    over(sign) ||
    (open.includes(sign) && inside.some((s) => over(s) && (s.number ?? 1) === (sign.number ?? 1)));
  const kept = all.filter((sign) => !isOver(sign));
  const loose = new Set(looseHairpins(kept));
  return [
    ...(begins ? [] : [{ ...marking(signs, bars.startTicks, ticksPerQuarter), onsetTicks: 0 }]),
    ...kept.filter((sign) => sign.kind !== "stop" || !loose.has(sign)),
    ...[...loose].filter((sign) => sign.kind !== "stop").map((sign): WrittenDynamic => ({
      ...sign,
      onsetTicks: bars.endTicks - bars.startTicks,
      kind: "stop",
    })),
  ];
}

function notationIn(notation: PartNotation, bars: BarsFound): PartNotation {
  return {
    ...notation,
    clefs: inForce(notation.clefs, bars, (c) => c.staff),
    keys: inForce(notation.keys, bars),
    transpositions: inForce(notation.transpositions, bars).filter((t) => t.fromTicks > 0),
    words: inBars(notation.words, bars),
    lines: [],
    pauses: inBars(notation.pauses, bars),
    tuplets: notation.tuplets.filter((t) => t.fromTicks >= bars.startTicks && t.fromTicks < bars.endTicks)
      .map((t) => earlier(t, bars.startTicks)),
  };
}

function partIn(part: Part, bars: BarsFound, ticksPerQuarter: Ticks): Part {
  const { writtenDynamics, playing, instrumentChanges, notation, ...rest } = part;
  const transposed = notation?.transpositions.findLast((t) => t.fromTicks <= bars.startTicks);
  return {
    ...rest,
    ...(transposed ? { transposeSemitones: transposed.semitones, transposeSteps: transposed.steps } : {}),
    ...(writtenDynamics ? { writtenDynamics: dynamicsIn(writtenDynamics, bars, ticksPerQuarter) } : {}),
    ...(playing ? { playing: inForce(playing, bars) } : {}),
    ...(instrumentChanges ? { instrumentChanges: inForce(instrumentChanges, bars) } : {}),
    ...(notation ? { notation: notationIn(notation, bars) } : {}),
  };
}

/** Layers of a setting in some bars. */
function layersIn(
  layers: readonly WrittenLayer[],
  { fromBarIndex, toBarIndex }: BarsFound,
): readonly WrittenLayer[] {
  return layers.filter((l) => l.fromBarIndex <= toBarIndex && l.toBarIndex >= fromBarIndex)
    .map((l) => ({
      ...l,
      fromBarIndex: Math.max(0, l.fromBarIndex - fromBarIndex),
      toBarIndex: Math.min(toBarIndex, l.toBarIndex) - fromBarIndex,
    }));
}

/**
 * Some bars as a score of their own, with what holds when they begin: dynamics, clefs, keys, tempo, who plays. Notes held into
 * them begin with them, notes held out of them end with them. Bars keep their numbers; repeats are left out.
 */
export function excerpt({ score, texture }: ScoreWithTexture, bars: BarsFound): ScoreWithTexture {
  const { fromBarIndex, toBarIndex, startTicks, endTicks } = bars;
  const everybody = new Set(score.parts.keys());
  const end = Math.max(endTicksOf(score), ...score.notes.map((n) => n.onsetTicks + n.durationTicks)) + 1;
  const fromHere = {
    ...score,
    notes: notesWithout(score, everybody, { startTicks: -1, endTicks: startTicks }),
  };
  const notes = notesWithout(fromHere, everybody, { startTicks: endTicks, endTicks: end });
  const { layers, tempoBends, ...rest } = score;
  const parts = score.parts.length;
  const cells = texture.cells.slice(fromBarIndex * parts, (toBarIndex + 1) * parts)
    .map((cell) => ({ ...cell, barIndex: cell.barIndex - fromBarIndex }));
  return {
    score: {
      ...rest,
      bars: score.bars.slice(fromBarIndex, toBarIndex + 1).map(({ repeat: _repeat, ...bar }): Bar =>
        earlier(bar, startTicks)
      ),
      tempos: inForce(score.tempos.map((t) => ({ ...t, fromTicks: t.onsetTicks })), bars)
        .map(({ fromTicks, ...tempo }) => ({ ...tempo, onsetTicks: fromTicks })),
      ...(tempoBends ? { tempoBends: inBars(tempoBends, bars) } : {}),
      parts: score.parts.map((part) => partIn(part, bars, score.ticksPerQuarter)),
      notes: notes.map((n) => earlier(n, startTicks)),
      chords: inForce(score.chords.map((c) => ({ ...c, fromTicks: c.onsetTicks })), bars)
        .map(({ fromTicks, ...chord }) => ({ ...chord, onsetTicks: fromTicks })),
      ...(layers ? { layers: layersIn(layers, bars) } : {}),
    },
    texture: { ...texture, cells, layers: layersOf(cells, parts) },
  };
}
