/** The attacks of a score as a listener meets them: near ones merged, each weighed by how clearly it is heard. */
import type { Score } from "../score/model.ts";
import type { Texture } from "../texture/model.ts";
import type { Role } from "../texture/roles.ts";
import type { Seconds, Share } from "../units.ts";
import { attacksOf, type AttackStrengths } from "./attacks.ts";
import { durationalAccent } from "./pulse_salience.ts";
import type { Balance } from "./results.ts";

/** What one part adds to an event. */
export interface Stroke {
  /** Part index. */
  readonly part: number;
  /** Layer it belongs to here. */
  readonly layer: string;
  /** Strength times audibility, 0 to 1. */
  readonly weight: Share;
  /** The same, times the accent it has by the time to the part's next attack. */
  readonly accented: Share;
}

/** Attacks that fall together. */
export interface DrivingEvent {
  /** Position in ticks. */
  readonly ticks: number;
  /** Position in seconds. */
  readonly seconds: Seconds;
  /** Strokes that can be heard; events of a bar with the same strokes share one list. */
  readonly strokes: readonly Stroke[];
}

/** A layer that attacks in a bar. */
export interface DrivingLayer {
  /** Layer id. */
  readonly id: string;
  /** Its role. */
  readonly role: Role;
  /** How clearly it is heard, 0 to 1. */
  readonly audibility: Share;
  /** Attack times of its own in the bar, those of several parts at once counted once. */
  readonly onsets: number;
}

/** What drives one bar. */
export interface DrivingBar {
  /** Events in order of time. */
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
    Record<
      | "halfAudibleSones"
      | "mergeSeconds"
      | "pulseCentreSeconds"
      | "accentSaturationSeconds"
      | "accentExponent",
      number
    >
  >;

/**
 * Weighs the attacks of a score, bar by bar.
 *
 * @param score the score
 * @param input texture, balance, constants
 * @returns one entry per bar
 */
export function drivingBars(
  score: Score,
  { texture, heard, constants: c }: {
    readonly texture: Texture;
    readonly heard: Balance;
    readonly constants: EventConstants;
  },
): readonly DrivingBar[] {
  const parts = score.parts.length;
  const audibilities = score.bars.map(() => new Map<string, number>());
  for (const { bar, layer, partialSones } of heard.perLayer) {
    audibilities[bar]!.set(layer, partialSones / (partialSones + c.halfAudibleSones));
  }
  const accentOf = accents(c);
  const bars = score.bars.map(() => ({
    events: [] as { ticks: number; seconds: number; strokes: Stroke[] }[],
    layers: new Map<
      string,
      { id: string; role: Role; audibility: number; onsets: number; lastTicks: number }
    >(),
    onsets: 0,
    lastOnset: -Infinity,
  }));
  for (const { bar, part, ticks, seconds, strength, gapSeconds } of attacksOf(score, c)) {
    const into = bars[bar]!;
    const cell = texture.cells[bar * parts + part]!;
    let layer = into.layers.get(cell.layer);
    if (!layer) {
      const audibility = audibilities[bar]!.get(cell.layer) ?? 0;
      layer = { id: cell.layer, role: cell.role, audibility, onsets: 0, lastTicks: -1 };
      into.layers.set(cell.layer, layer);
    }
    if (ticks !== layer.lastTicks) layer.onsets++;
    layer.lastTicks = ticks;
    if (seconds - into.lastOnset >= c.mergeSeconds || into.onsets === 0) {
      into.onsets++;
      into.lastOnset = seconds;
    }
    if (layer.audibility <= 0) continue;
    let event = into.events.at(-1);
    if (!event || seconds - event.seconds >= c.mergeSeconds && ticks !== event.ticks) {
      event = { ticks, seconds, strokes: [] };
      into.events.push(event);
    }
    const weight = Math.min(1, strength * layer.audibility);
    event.strokes.push({ part, layer: cell.layer, weight, accented: weight * accentOf(gapSeconds) });
  }
  return bars.map(({ events, layers, onsets }) => ({
    events: withSharedStrokes(events),
    layers: [...layers.values()].map(({ lastTicks: _, ...layer }) => layer),
    onsets,
  }));
}

/** The same events, with one list of strokes for all that have the same. */
function withSharedStrokes(events: readonly DrivingEvent[]): readonly DrivingEvent[] {
  const lists: (readonly Stroke[])[] = [];
  return events.map((event) => {
    const known = lists.find((list) =>
      list.length === event.strokes.length && list.every((a, i) => {
        const b = event.strokes[i]!;
        return a.part === b.part && a.weight === b.weight && a.accented === b.accented;
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
