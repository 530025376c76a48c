/** Where the notes of a score stand, and with whom: all about them that does not depend on who plays, and how fast. */
import type { Note, Score } from "../../score/model.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { soundingTicks } from "../sounding.ts";

/** The layer that a note belongs to. */
export type LayerOfNote = Pick<RoleCell, "layer" | "role">;

/** Notes made ready for adding up, bar by bar in lists side by side, since a score has thousands of them. */
export interface PlacedNotes {
  readonly texture: Texture;
  /** How many parts there are. */
  readonly parts: number;
  /** Notes that sound in each bar, those held over included. */
  readonly byBar: readonly (readonly Note[])[];
  /** The same one after another. */
  readonly notes: readonly Note[];
  /** Where the notes of each bar begin in the lists, and where those of the last end. */
  readonly firstOf: Int32Array;
  /** Where the notes begin that begin in each bar themselves, after those held into it. */
  readonly firstBegun: Int32Array;
  /** For each bar the next one, itself included, in which a note begins; beyond the last where there is none. */
  readonly nextBegun: Int32Array;
  readonly fromTicks: Float64Array;
  readonly toTicks: Float64Array;
  readonly partOf: Uint16Array;
  /** Sounding pitch of each; what is unpitched has NaN, which no pitch is equal to. */
  readonly pitchOf: Float64Array;
  readonly dynamicOf: Float64Array;
  /** Layer of each where it is read in its own bar. */
  readonly layerOf: readonly LayerOfNote[];
  /** Whether each doubles the lead and merges with it. */
  readonly isFused: Uint8Array;
  /** Pitched notes of the lead among those of each bar, once they have been looked for. */
  readonly leadsOf: (readonly number[] | undefined)[];
}

/** Puts the notes of a score in their places. */
export function placedNotes(
  { bars, parts: { length: parts } }: Score,
  texture: Texture,
  { byBar, fused }: {
    readonly byBar: readonly (readonly Note[])[];
    /** Notes that double the lead and merge with it. */
    readonly fused: ReadonlySet<Note>;
  },
): PlacedNotes {
  const firstOf = new Int32Array(byBar.length + 1);
  for (let b = 0; b < byBar.length; b++) firstOf[b + 1] = firstOf[b]! + byBar[b]!.length;
  const notes = byBar.flat();
  const firstBegun = new Int32Array(byBar.length);
  const nextBegun = new Int32Array(byBar.length + 1).fill(byBar.length);
  for (let b = byBar.length - 1; b >= 0; b--) {
    const { startTicks } = bars[b]!;
    const end = firstOf[b + 1]!;
    let first = end;
    while (first > firstOf[b]! && notes[first - 1]!.onsetTicks >= startTicks) first--;
    firstBegun[b] = first;
    nextBegun[b] = first < end ? b : nextBegun[b + 1]!;
  }
  const count = notes.length;
  const fromTicks = new Float64Array(count), toTicks = new Float64Array(count);
  const partOf = new Uint16Array(count), pitchOf = new Float64Array(count);
  const dynamicOf = new Float64Array(count), isFused = new Uint8Array(count);
  const layerOf = new Array<LayerOfNote>(count);
  byBar.forEach((own, bar) =>
    own.forEach((note, k) => {
      const i = firstOf[bar]! + k;
      const { part, onsetTicks, unpitched, soundingPitch, dynamic } = note;
      fromTicks[i] = onsetTicks;
      toTicks[i] = onsetTicks + soundingTicks(note);
      partOf[i] = part;
      pitchOf[i] = unpitched ? NaN : soundingPitch;
      dynamicOf[i] = dynamic;
      if (fused.has(note)) isFused[i] = 1;
      layerOf[i] = layerAt(texture, { bar, part, parts });
    })
  );
  return {
    texture,
    parts,
    byBar,
    notes,
    firstOf,
    firstBegun,
    nextBegun,
    fromTicks,
    toTicks,
    partOf,
    pitchOf,
    dynamicOf,
    layerOf,
    isFused,
    leadsOf: new Array<readonly number[] | undefined>(byBar.length).fill(undefined),
  };
}

/** Layer of what sounds although the texture has its part at rest all around. */
export const HELD_OVER = "held over";

/**
 * The layer in which a part's notes of a bar are heard in what begins in a bar. Where the part's cell is a rest although
 * a note of it sounds: the layer of the note's bar, the one before or after.
 */
export function layerAt(
  texture: Texture,
  { bar, part, parts }: { readonly bar: number; readonly part: number; readonly parts: number },
  ofNotes: number = bar,
): LayerOfNote {
  const cell = texture.cells[bar * parts + part]!;
  if (cell.role !== "rest") return cell;
  for (const b of [ofNotes, ofNotes - 1, ofNotes + 1]) {
    const cell = texture.cells[b * parts + part];
    if (cell && cell.role !== "rest") return cell;
  }
  return { layer: HELD_OVER, role: "pad" };
}
