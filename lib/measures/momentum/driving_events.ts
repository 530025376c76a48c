/** The attacks of a score as a listener meets them: near ones merged, each weighed by how clearly it is heard. */
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import type { Seconds, Share } from "../../base/units.ts";
import { attacksOf, type AttackStrengths } from "./attacks.ts";
import { durationalAccent } from "./pulse_salience.ts";
import type { Balance } from "../balance/balance_results.ts";

/** What one part adds to an event. */
export interface DrivingAttack {
  readonly part: number;
  readonly layer: string;
  /** Cell of the texture it falls in, bar * parts + part: where its audibility stands. */
  readonly cell: number;
  /** Strength of the beginning, 1 for a tongued, bowed or struck one. */
  readonly strength: number;
  /** Accent it has by the time to the part's next attack, 0 to 1. */
  readonly accent: Share;
  /** How many notes the part begins. */
  readonly notes: number;
  /** How many notes its layer begins in the event; what two parts play in unison is one. */
  readonly layerNotes: number;
}

/** Attacks that fall together. */
export interface DrivingEvent {
  readonly ticks: number;
  readonly seconds: Seconds;
  /** Strokes that can be heard; events of a bar with the same strokes share one list. */
  readonly strokes: readonly DrivingAttack[];
}

/** A layer that attacks in a bar. */
interface DrivingLayer {
  readonly id: string;
  readonly role: Role;
  /** A cell of the texture it stands in: where its audibility stands. */
  readonly cell: number;
  /** Attack times of its own in the bar, those of several parts at once counted once. */
  readonly onsets: number;
}

/** What drives one bar. */
export interface DrivingBar {
  readonly events: readonly DrivingEvent[];
  /** Layers that attack, in order of their first attack. */
  readonly layers: readonly DrivingLayer[];
  /** Distinct onset times, whether they are heard or not. */
  readonly onsets: number;
}

/** Constants that events depend on. */
export type EventConstants =
  & AttackStrengths
  & Readonly<
    Record<"mergeSeconds" | "pulseCentreSeconds" | "accentSaturationSeconds" | "accentExponent", number>
  >;

/**
 * How clearly the layer of each cell of a texture is heard: P / (P + half), P being its sones beside the rest. 0 where
 * nothing is heard.
 */
export function audibilitiesOf(
  score: Score,
  texture: Texture,
  { heard, halfAudibleSones }: { readonly heard: Balance; readonly halfAudibleSones: number },
): Float64Array {
  const parts = score.parts.length;
  const sones = score.bars.map(() => new Map<string, number>());
  for (const { barIndex, layer, partialSones } of heard.perLayer) sones[barIndex]!.set(layer, partialSones);
  const audibilities = new Float64Array(texture.cells.length);
  texture.cells.forEach(({ layer }, cell) => {
    const own = sones[Math.floor(cell / parts)]!.get(layer) ?? 0;
    audibilities[cell] = own / (own + halfAudibleSones);
  });
  return audibilities;
}

/** The attacks of a score, bar by bar. They depend on who is heard at all, but not on how well. */
export function drivingBars(
  score: Score,
  { texture, audibilities, constants: c }: {
    readonly texture: Texture;
    readonly audibilities: Float64Array;
    readonly constants: EventConstants;
  },
): readonly DrivingBar[] {
  const parts = score.parts.length;
  const accentOf = accents(c);
  const bars = score.bars.map(() => ({
    events: [] as OpenEvent[],
    layers: new Map<string, { id: string; role: Role; cell: number; onsets: number; lastTicks: number }>(),
    onsets: 0,
    lastOnset: -Infinity,
  }));
  for (const { barIndex, part, ticks, seconds, strength, gapSeconds, pitches } of attacksOf(score, c)) {
    const into = bars[barIndex]!;
    const cell = barIndex * parts + part;
    const { layer: id, role } = texture.cells[cell]!;
    let layer = into.layers.get(id);
    if (!layer) into.layers.set(id, layer = { id, role, cell, onsets: 0, lastTicks: NaN });
    if (ticks !== layer.lastTicks) layer.onsets++;
    layer.lastTicks = ticks;
    if (seconds - into.lastOnset >= c.mergeSeconds) {
      into.onsets++;
      into.lastOnset = seconds;
    }
    if (audibilities[cell]! <= 0) continue;
    let event = into.events.at(-1);
    if (!event || seconds - event.seconds >= c.mergeSeconds && ticks !== event.ticks) {
      event = { ticks, seconds, strokes: [], pitches: [] };
      into.events.push(event);
    }
    event.strokes.push({
      part,
      layer: id,
      cell,
      strength,
      accent: accentOf(gapSeconds),
      notes: pitches.length,
      layerNotes: pitches.length,
    });
    event.pitches.push(pitches);
  }
  return bars.map(({ events, layers, onsets }) => ({
    events: withSharedStrokes(events.map(closed)),
    layers: [...layers.values()].map(({ lastTicks: _, ...layer }) => layer),
    onsets,
  }));
}

/** An event before it is known who else strikes in it. */
interface OpenEvent {
  readonly ticks: number;
  readonly seconds: Seconds;
  readonly strokes: DrivingAttack[];
  /** Pitches that begin with each stroke. */
  readonly pitches: (readonly number[])[];
}

/**
 * Counts the notes of each layer: of each pitch, as many as the part that begins most of it. Of attacks of one part that
 * fall together the one with most notes counts.
 */
function closed({ ticks, seconds, strokes, pitches }: OpenEvent): DrivingEvent {
  const counts = strokes.map((_, i) => isFullest(i, strokes, pitches));
  const layerNotes: number[] = [];
  return {
    ticks,
    seconds,
    strokes: strokes.map((stroke, i) => {
      const first = strokes.findIndex((other) => other.layer === stroke.layer);
      const inLayer = layerNotes[i] = first < i
        ? layerNotes[first]!
        : mostOfEach(pitches.filter((_, k) => counts[k] && strokes[k]!.layer === stroke.layer));
      // Strokes of a shimmer begin no note, but they are felt as one.
      const notes = inLayer === 0 ? 1 : counts[i] ? stroke.notes : 0;
      const isSame = notes === stroke.notes && inLayer === stroke.layerNotes && inLayer > 0;
      return isSame ? stroke : { ...stroke, notes, layerNotes: Math.max(1, inLayer) };
    }),
  };
}

/** Whether a stroke has most notes of those of its part, or is the first of them. */
function isFullest(
  own: number,
  strokes: readonly DrivingAttack[],
  pitches: readonly (readonly number[])[],
): boolean {
  for (let i = 0; i < strokes.length; i++) {
    if (strokes[i]!.part !== strokes[own]!.part) continue;
    const more = pitches[i]!.length - pitches[own]!.length;
    if (more > 0 || more === 0 && i < own) return false;
  }
  return true;
}

/** How many notes some chords have together: of each pitch, as many as the chord that has most of it. */
function mostOfEach(chords: readonly (readonly number[])[]): number {
  let notes = chords[0]?.length ?? 0;
  for (let c = 1; c < chords.length; c++) {
    const chord = chords[c]!;
    for (let at = 0; at < chord.length; at++) {
      if (chord.indexOf(chord[at]!) < at) continue;
      let before = 0;
      for (let k = 0; k < c; k++) before = Math.max(before, countOf(chords[k]!, chord[at]!));
      notes += Math.max(0, countOf(chord, chord[at]!) - before);
    }
  }
  return notes;
}

function countOf(pitches: readonly number[], pitch: number): number {
  let count = 0;
  for (const one of pitches) if (one === pitch) count++;
  return count;
}

/** The same events, with one list of strokes for all that have the same. */
function withSharedStrokes(events: readonly DrivingEvent[]): readonly DrivingEvent[] {
  const lists: (readonly DrivingAttack[])[] = [];
  return events.map((event) => {
    const known = lists.find((list) =>
      list.length === event.strokes.length && list.every((a, i) => {
        const b = event.strokes[i]!;
        return a.part === b.part && a.strength === b.strength && a.accent === b.accent &&
          a.notes === b.notes && a.layerNotes === b.layerNotes;
      })
    );
    if (known) return { ...event, strokes: known };
    lists.push(event.strokes);
    return event;
  });
}

/** Accent by length, 1 from the most comfortable pulse on; each length is worked out once. */
function accents(c: EventConstants): (gapSeconds: number) => number {
  const options = { saturationSeconds: c.accentSaturationSeconds, exponent: c.accentExponent };
  const full = durationalAccent(c.pulseCentreSeconds, options);
  const known = new Map<number, number>();
  return (gapSeconds) => {
    let accent = known.get(gapSeconds);
    if (accent === undefined) {
      accent = Math.min(1, durationalAccent(gapSeconds, options) / full);
      known.set(gapSeconds, accent);
    }
    return accent;
  };
}
