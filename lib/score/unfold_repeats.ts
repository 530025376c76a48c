/** A score as it is played: repeats, endings and jumps written out. */
import { A_SCORE, A_SWITCH, checkArgument, checkOptions } from "../base/arguments.ts";
import type { Ticks } from "../base/units.ts";
import { glissandoEnd, placeOfEnd } from "./glissandi.ts";
import type { Bar, Glissando, Note, Part, Score, WrittenLayer } from "./model.ts";
import { playingOrder, type PlayingOrderOptions } from "./playing_order.ts";
import { sortNotes } from "./build.ts";

/** Bars that follow each other on paper and in playing. */
interface PlayedStretch {
  readonly fromBarIndex: number;
  readonly toBarIndex: number;
  /** First bar in the unfolded score. */
  readonly atBarIndex: number;
  readonly fromTicks: Ticks;
  readonly toTicks: Ticks;
  /** Ticks later in playing than on paper. */
  readonly shift: Ticks;
}

function stretchesOf(bars: readonly Bar[], order: readonly number[]): readonly PlayedStretch[] {
  const stretches: PlayedStretch[] = [];
  let playedTicks = 0;
  for (let k = 0; k < order.length;) {
    let end = k;
    while (order[end + 1] === order[end]! + 1) end++;
    const [fromBarIndex, toBarIndex] = [order[k]!, order[end]!];
    const fromTicks = bars[fromBarIndex]!.startTicks;
    const toTicks = bars[toBarIndex]!.startTicks + bars[toBarIndex]!.durationTicks;
    stretches.push({
      fromBarIndex,
      toBarIndex,
      atBarIndex: k,
      fromTicks,
      toTicks,
      shift: playedTicks - fromTicks,
    });
    playedTicks += toTicks - fromTicks;
    k = end + 1;
  }
  return stretches;
}

/** Things that hold from their place on: those inside each stretch, and at its start the one in force there. */
function heldThrough<K extends "onsetTicks" | "fromTicks", T extends { readonly [k in K]: Ticks }>(
  list: readonly T[],
  stretches: readonly PlayedStretch[],
  place: K,
): T[] {
  const moved = (item: T, ticks: Ticks): T => ({ ...item, [place]: ticks });
  return stretches.flatMap(({ fromTicks, toTicks, shift }, s) => {
    const inside = list.filter((item) => item[place] >= fromTicks && item[place] < toTicks);
    const inForce = list.findLast((item) => item[place] < fromTicks);
    const needed = s > 0 && inForce !== undefined && !inside.some((item) => item[place] === fromTicks);
    return [
      ...(needed ? [moved(inForce, fromTicks + shift)] : []),
      ...inside.map((item) => moved(item, item[place] + shift)),
    ];
  });
}

/** A note as it is played in a stretch; undefined when it is not. */
function inStretch(note: Note, stretch: PlayedStretch): Note | undefined {
  const { fromTicks, toTicks, shift } = stretch;
  const end = note.onsetTicks + note.durationTicks;
  const begins = note.onsetTicks >= fromTicks && note.onsetTicks < toTicks;
  if (begins && end <= toTicks && note.onsetTicks > fromTicks) {
    return { ...note, onsetTicks: note.onsetTicks + shift };
  }
  const held = note.onsetTicks < fromTicks && end > fromTicks;
  if (!begins && !held) return undefined;
  const from = Math.max(note.onsetTicks, fromTicks);
  const to = Math.min(end, toTicks);
  const cuts = Number(from > note.onsetTicks) + Number(to < end);
  const { glissandi } = note;
  return {
    ...note,
    onsetTicks: from + shift,
    durationTicks: to - from,
    ...(glissandi ? { glissandi: fromLaterOn(glissandi, from - note.onsetTicks) } : {}),
    noteheads: Math.max(1, note.noteheads - cuts),
    // After a jump there is nothing to be slurred from.
    ...(from === fromTicks && stretch.atBarIndex > 0 && !note.grace ? { slurred: false } : {}),
    ...(held ? { slurStart: false } : {}),
  };
}

/** Glissandi of a note that is taken up later than it is written. */
function fromLaterOn(glissandi: readonly Glissando[], ticks: Ticks): readonly Glissando[] {
  return glissandi.map((g) => ({ ...g, lengthTicks: Math.max(0, g.lengthTicks - ticks) }));
}

/** Notes without the glissandi whose end is not where the players have gone. */
function withEnds(notes: readonly Note[]): readonly Note[] {
  if (!notes.some((n) => n.glissandi)) return notes;
  const places = new Set(notes.map(placeOfEnd));
  return notes.map((note) => {
    const { glissandi, ...rest } = note;
    if (!glissandi) return note;
    const kept = glissandi.filter((g) => places.has(placeOfEnd(glissandoEnd(note, g))));
    return kept.length > 0 ? { ...rest, glissandi: kept } : rest;
  });
}

function partThrough(part: Part, stretches: readonly PlayedStretch[]): Part {
  // What was printed where says nothing of a part that is played in another order; its notes keep their own.
  const { playing, instrumentChanges, writtenDynamics: _, notation: __, ...rest } = part;
  return {
    ...rest,
    ...(playing ? { playing: heldThrough(playing, stretches, "fromTicks") } : {}),
    ...(instrumentChanges ? { instrumentChanges: changesThrough(part, stretches) } : {}),
  };
}

/** Changes of instrument; a jump back to before the first change takes up the part's own instrument again. */
function changesThrough(part: Part, stretches: readonly PlayedStretch[]) {
  const own = { fromTicks: -1, instrument: part.instrument, name: part.name };
  const all = heldThrough([own, ...part.instrumentChanges!], stretches, "fromTicks");
  return all.filter((change, i) => change.instrument !== (all[i - 1]?.instrument ?? part.instrument));
}

/** Layers of a setting once for each time they are played; further times get ids of their own. */
function layersThrough(layers: readonly WrittenLayer[], stretches: readonly PlayedStretch[]) {
  const played = new Map<string, number>();
  const names: Map<string, string>[] = [];
  const found = stretches.flatMap(({ fromBarIndex, toBarIndex, atBarIndex }) => {
    const here = new Map<string, string>();
    names.push(here);
    return layers.filter((l) => l.fromBarIndex <= toBarIndex && l.toBarIndex >= fromBarIndex).map(
      (layer): WrittenLayer => {
        const time = (played.get(layer.id) ?? 0) + 1;
        played.set(layer.id, time);
        const id = time === 1 ? layer.id : `${layer.id}, time ${time}`;
        here.set(layer.id, id);
        return {
          ...layer,
          id,
          fromBarIndex: Math.max(layer.fromBarIndex, fromBarIndex) - fromBarIndex + atBarIndex,
          toBarIndex: Math.min(layer.toBarIndex, toBarIndex) - fromBarIndex + atBarIndex,
        };
      },
    );
  });
  return { layers: found, idIn: (stretch: number, id: string) => names[stretch]!.get(id) ?? id };
}

/**
 * The score as it is played: every bar as often as the repeat signs, endings and jumps ask, in
 * {@linkcode playingOrder}. Printed bar numbers stay, so numbers come back. A note tied into a bar that is
 * reached by a jump is struck there; one tied out of a bar that is left by a jump ends there; a glissando across
 * a jump is kept where the note it leads to follows in playing too. The tempo, the
 * chord symbol, the players and the instrument in force at a place on paper are in force whenever it is played.
 *
 * @param score the score, as printed; not changed
 * @param options whether repeats are taken again after D.C. and D.S.
 * @returns a score without repeat signs; the same score where there are none
 * @throws {InputError} when the repeats would make more than 100,000 bars
 *
 * @example
 * ```ts
 * import { readAbc, unfoldRepeats } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const score = readAbc("X:1\nM:2/4\nL:1/4\nK:C\n|: C D |1 E F :|2 G A |]\n");
 * assertEquals(unfoldRepeats(score).notes.map((n) => n.soundingPitch), [60, 62, 64, 65, 60, 62, 67, 69]);
 * ```
 */
export function unfoldRepeats(score: Score, options: PlayingOrderOptions = {}): Score {
  checkArgument("unfold the repeats", score, A_SCORE);
  checkOptions("unfold the repeats", options, { repeatsAfterJump: A_SWITCH });
  if (!score.bars.some((b) => b.repeat)) return score;
  const order = playingOrder(score, options);
  const stretches = stretchesOf(score.bars, order);
  const layered = score.layers ? layersThrough(score.layers, stretches) : undefined;
  let startTicks = 0;
  const bars = order.map((index): Bar => {
    const { repeat: _, ...bar } = score.bars[index]!;
    const moved = { ...bar, startTicks };
    startTicks += bar.durationTicks;
    return moved;
  });
  const notes = stretches.flatMap((stretch, s) =>
    score.notes.flatMap((note) => {
      const played = inStretch(note, stretch);
      if (!played) return [];
      return [
        layered && note.layer !== undefined ? { ...played, layer: layered.idIn(s, note.layer) } : played,
      ];
    })
  );
  const bends = score.tempoBends &&
    stretches.flatMap(({ fromTicks, toTicks, shift }) =>
      score.tempoBends!.filter((b) => b.onsetTicks >= fromTicks && b.onsetTicks < toTicks).map((b) => ({
        ...b,
        onsetTicks: b.onsetTicks + shift,
        ...(b.endTicks === undefined ? {} : { endTicks: Math.min(b.endTicks, toTicks) + shift }),
      }))
    );
  return {
    ...score,
    bars,
    notes: sortNotes(withEnds(notes)),
    tempos: heldThrough(score.tempos, stretches, "onsetTicks"),
    chords: heldThrough(score.chords, stretches, "onsetTicks"),
    parts: score.parts.map((part) => partThrough(part, stretches)),
    ...(bends ? { tempoBends: bends } : {}),
    ...(layered ? { layers: layered.layers } : {}),
  };
}
