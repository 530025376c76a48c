/** What sounds together in a stretch of time, added up per layer. */
import type { Note, Score } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";
import type { RoleCell, Texture } from "../texture/model.ts";
import type { Role } from "../texture/roles.ts";
import type { NoteSounds } from "./note_sound.ts";
import { shareSounding } from "./sounding.ts";

/** A stretch of time judged as one moment, in ticks. */
export interface Span {
  /** Start. */
  readonly from: number;
  /** End. */
  readonly to: number;
}

/** One layer in a moment. */
export interface MomentLayer {
  /** Layer id. */
  readonly id: string;
  /** Its role. */
  readonly role: Role;
  /** Mean excitation over the moment. */
  readonly excitation: Float64Array;
  /** Mean sound power over the moment, in watts. */
  readonly watts: number;
  /** Share of the moment in which it sounds: of the part that sounds longest. */
  readonly soundingShare: number;
  /** Dynamic of each part in it, by part index. */
  readonly dynamics: ReadonlyMap<number, number>;
}

/** Reads what sounds in a stretch that begins in a bar. */
export type MomentReader = (bar: number, span: Span) => readonly MomentLayer[];

/** What a {@linkcode MomentReader} needs. */
export interface MomentInput {
  /** The score. */
  readonly score: Score;
  /** Who does what. */
  readonly texture: Texture;
  /** Sounds of its notes. */
  readonly sounds: NoteSounds;
  /** Notes that sound in each bar, those held over included. */
  readonly byBar: readonly (readonly Note[])[];
  /** Seconds of a position. */
  readonly clock: (ticks: number) => number;
}

/**
 * Notes that sound in each bar, those held over included.
 *
 * @param score the score
 * @param notes notes in score order
 * @returns one list per bar
 */
export function soundingByBar(score: Score, notes: readonly Note[]): readonly (readonly Note[])[] {
  const lists: Note[][] = score.bars.map(() => []);
  for (const note of notes) {
    const end = note.onsetTicks + note.durationTicks;
    for (let b = barIndexOf(score, note.onsetTicks); b < lists.length; b++) {
      if (score.bars[b]!.startTicks >= end) break;
      lists[b]!.push(note);
    }
  }
  return lists;
}

/**
 * Prepares the reading of moments.
 *
 * @param input score, texture, sounds
 * @returns the reader
 */
export function momentReader({ score, texture, sounds, byBar, clock }: MomentInput): MomentReader {
  const parts = score.parts.length;
  const size = sounds.grid.centresHz.length;
  return (bar, span) => {
    const secondsPerTick = (clock(span.to) - clock(span.from)) / Math.max(1, span.to - span.from);
    const layers = new Map<string, {
      role: Role;
      excitation: Float64Array;
      watts: number;
      shares: Map<number, number>;
      dynamics: Map<number, number>;
    }>();
    const last = barIndexOf(score, span.to - 1);
    for (let b = bar; b <= last; b++) {
      for (const note of byBar[b]!) {
        // A note held into a later bar of the span was counted in the first.
        if (b > bar && note.onsetTicks < score.bars[b]!.startTicks) continue;
        const share = shareSounding(note, sounds.instruments[note.part]!, span.from, span.to, secondsPerTick);
        if (share <= 0) continue;
        const cell = texture.cells[bar * parts + note.part]!;
        const key = cell.role === "rest" ? nearestLayer(texture, b, note.part, parts) : cell;
        let layer = layers.get(key.layer);
        if (!layer) {
          layer = {
            role: key.role,
            excitation: new Float64Array(size),
            watts: 0,
            shares: new Map(),
            dynamics: new Map(),
          };
          layers.set(key.layer, layer);
        }
        const sound = sounds.of(note);
        for (let c = 0; c < size; c++) layer.excitation[c]! += sound.excitation[c]! * share;
        layer.watts += sound.powerWatts * share;
        layer.shares.set(note.part, (layer.shares.get(note.part) ?? 0) + share);
        layer.dynamics.set(note.part, note.dynamic);
      }
    }
    return [...layers].map(([id, { shares, ...layer }]): MomentLayer => ({
      id,
      ...layer,
      soundingShare: Math.min(1, Math.max(...shares.values())),
    }));
  };
}

/** For a part whose cell is a rest although a note of it sounds: the layer of the note's bar, the one before or after. */
function nearestLayer(
  texture: Texture,
  bar: number,
  part: number,
  parts: number,
): Pick<RoleCell, "layer" | "role"> {
  for (const b of [bar, bar - 1, bar + 1]) {
    const cell = texture.cells[b * parts + part];
    if (cell && cell.role !== "rest") return cell;
  }
  return { layer: "held over", role: "pad" };
}
