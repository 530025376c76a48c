/** What sounds together in a stretch of time, added up per layer. */
import type { Note, Score } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";
import type { RoleCell, Texture } from "../texture/model.ts";
import type { Role } from "../texture/roles.ts";
import type { EarGrid } from "./ear_grid.ts";
import { type Content, contentOf, excitationsOf, scaled, together } from "./heard.ts";
import type { NoteSound, NoteSounds } from "./note_sound.ts";
import { meanPower, type PowerOverTime, powerOverTime } from "./sounding.ts";

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
  /** What it is made of, at mean power over the moment, without `fused`. */
  readonly content: Content;
  /** Notes of it that double the lead and merge with it. */
  readonly fused: Content;
  /** Mean sound power over the moment, in watts. */
  readonly watts: number;
  /** Share of the moment in which it sounds: of the part that sounds longest. */
  readonly soundingShare: number;
  /** Dynamic of each part in it, by part index. */
  readonly dynamics: ReadonlyMap<number, number>;
  /** Mean excitation over the moment, among all that sounds in it. Worked out when it is asked for. */
  readonly excitation: Float64Array;
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
  /** Notes that double the lead and merge with it. */
  readonly fused?: ReadonlySet<Note>;
  /** How much louder than marked leading parts play, in steps of the dynamic scale. */
  readonly leadSteps?: number;
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

/** A note made ready for adding up. */
interface ReadyNote extends PowerOverTime {
  readonly note: Note;
  readonly sound: NoteSound;
  readonly fused: boolean;
}

/** A layer while it is being added up. */
interface Gathering {
  readonly role: Role;
  readonly own: Map<NoteSound, number>;
  readonly fused: Map<NoteSound, number>;
  readonly shares: Map<number, number>;
  readonly dynamics: Map<number, number>;
  watts: number;
}

/**
 * Prepares the reading of moments.
 *
 * @param input score, texture, sounds
 * @returns the reader
 */
export function momentReader(input: MomentInput): MomentReader {
  const { score, texture, sounds, byBar, clock, fused = new Set(), leadSteps = 0 } = input;
  const parts = score.parts.length;
  const ready = new Map<Note, ReadyNote>();
  const readyBars = byBar.map((notes, b) =>
    notes.map((note) => {
      let one = ready.get(note);
      if (!one) {
        const leads = leadSteps !== 0 && texture.cells[b * parts + note.part]?.role === "lead";
        one = {
          ...powerOverTime(note, sounds.instruments[note.part]!),
          note,
          sound: sounds.of(note, leads ? leadSteps : 0),
          fused: fused.has(note),
        };
        ready.set(note, one);
      }
      return one;
    })
  );
  return (bar, span) => {
    const secondsPerTick = (clock(span.to) - clock(span.from)) / Math.max(1, span.to - span.from);
    const layers = new Map<string, Gathering>();
    const last = barIndexOf(score, span.to - 1);
    for (let b = bar; b <= last; b++) {
      for (const one of readyBars[b]!) {
        const { note, sound } = one;
        // A note held into a later bar of the span was counted in the first.
        if (b > bar && note.onsetTicks < score.bars[b]!.startTicks) continue;
        const share = meanPower(one, span.from, span.to, secondsPerTick);
        if (share <= 0) continue;
        const cell = texture.cells[bar * parts + note.part]!;
        const key = cell.role === "rest" ? nearestLayer(texture, b, note.part, parts) : cell;
        let layer = layers.get(key.layer);
        if (!layer) {
          layer = {
            role: key.role,
            own: new Map(),
            fused: new Map(),
            shares: new Map(),
            dynamics: new Map(),
            watts: 0,
          };
          layers.set(key.layer, layer);
        }
        const into = one.fused && key.role !== "lead" ? layer.fused : layer.own;
        into.set(sound, (into.get(sound) ?? 0) + share);
        layer.watts += sound.powerWatts * share;
        layer.shares.set(note.part, (layer.shares.get(note.part) ?? 0) + share);
        layer.dynamics.set(note.part, note.dynamic);
      }
    }
    return momentOf([...layers], sounds.grid);
  };
}

function momentOf(
  gathered: readonly (readonly [string, Gathering])[],
  grid: EarGrid,
): readonly MomentLayer[] {
  let excitations: readonly Float64Array[] | undefined;
  const moment: readonly MomentLayer[] = gathered.map(([id, g], i): MomentLayer => ({
    id,
    role: g.role,
    content: contentOf(g.own),
    fused: contentOf(g.fused),
    watts: g.watts,
    soundingShare: Math.min(1, Math.max(...g.shares.values())),
    dynamics: g.dynamics,
    get excitation(): Float64Array {
      excitations ??= excitationsOf(grid, moment.map(allOf));
      return excitations[i]!;
    },
  }));
  return moment;
}

/**
 * All that a layer is made of, what doubles the lead included.
 *
 * @param layer the layer
 * @returns its content
 */
export function allOf(layer: Pick<MomentLayer, "content" | "fused">): Content {
  return layer.fused.length === 0 ? layer.content : together([layer.content, layer.fused]);
}

/**
 * A layer played softer or louder, all else as it was.
 *
 * @param layer the layer
 * @param power factor on its power
 * @returns a copy
 */
export function atPower(layer: MomentLayer, power: number): MomentLayer {
  const { id, role, soundingShare, dynamics } = layer;
  return {
    id,
    role,
    content: scaled(layer.content, power),
    fused: scaled(layer.fused, power),
    watts: layer.watts * power,
    soundingShare,
    dynamics,
    get excitation(): Float64Array {
      return layer.excitation.map((x) => x * power);
    },
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
