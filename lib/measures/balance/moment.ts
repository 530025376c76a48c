/** What sounds together in a stretch of time, added up per layer. */
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import { type Content, contentOf, isMadeOf, scaled, together } from "./heard.ts";
import type { NoteSound, NoteSounds } from "./note_sound.ts";
import { heldDynamics } from "./held_dynamics.ts";
import { layerAt, type LayerOfNote, type PlacedNotes } from "./placed_notes.ts";
import { decayOf, meanPower } from "../sounding.ts";

/** A stretch of time judged as one moment, in ticks. */
export interface MomentSpan {
  readonly from: number;
  readonly to: number;
}

/** A part of a layer in a moment. */
interface PartOfLayer {
  readonly part: number;
  /** Share of the moment in which it sounds. */
  readonly share: number;
  /** Its dynamic, that of its last note in the moment. */
  readonly dynamic: number;
  /** Whether it has notes that do not merge with the lead. */
  readonly covers: boolean;
}

/** A layer in a moment. */
interface LayerInMoment {
  readonly id: string;
  readonly role: Role;
  /** Share of the moment in which it sounds: of the part that sounds longest. */
  readonly soundingShare: number;
}

/** What the ear gets of a layer in a moment. */
export interface SoundingLayer extends LayerInMoment {
  /** What it is made of, at mean power over the moment, without `fused`. */
  readonly content: Content;
  /** Notes of it that merge with the lead: they double it, or hold a pitch that it plays in the moment. */
  readonly fused: Content;
  /** Both. */
  readonly all: Content;
}

/** Who plays a layer in a moment, and how strongly. */
export interface PlayedLayer extends LayerInMoment {
  /** Mean sound power over the moment, in watts. */
  readonly watts: number;
  /** Its parts, in the order in which they were met. */
  readonly parts: readonly PartOfLayer[];
}

/** One layer in a moment. */
export interface MomentLayer extends SoundingLayer, PlayedLayer {}

/** Reads what sounds in a stretch that begins in a bar: all there is to know, or one side of it, which is quicker. */
export interface MomentReader {
  readonly momentOf: (bar: number, span: MomentSpan) => readonly MomentLayer[];
  readonly soundingIn: (bar: number, span: MomentSpan) => readonly SoundingLayer[];
  readonly playedIn: (bar: number, span: MomentSpan) => readonly PlayedLayer[];
}

/** What a {@linkcode MomentReader} needs. */
interface MomentInput {
  readonly score: Score;
  readonly texture: Texture;
  readonly sounds: NoteSounds;
  readonly placed: PlacedNotes;
  readonly clock: (ticks: number) => number;
  /** How much louder than marked leading parts play, in steps of the dynamic scale. */
  readonly leadSteps: number;
}

/** Notes with what they sound like, in lists side by side as the places of notes are. */
interface ReadyNotes {
  readonly sounds: readonly NoteSound[];
  /** Of those whose strength changes: the sound at a place. */
  readonly soundAt: readonly (((ticks: number) => NoteSound) | undefined)[];
  /** Time in which the power of each falls to 1/e; 0 while it is held. */
  readonly decaySeconds: Float64Array;
}

function readyNotes({ score, texture, sounds, placed, leadSteps }: MomentInput): ReadyNotes {
  const { notes } = placed;
  const parts = score.parts.length;
  const held = score.parts.map((part) => heldDynamics(part, score.ticksPerQuarter));
  const decaySeconds = new Float64Array(notes.length);
  const soundAt = new Array<((ticks: number) => NoteSound) | undefined>(notes.length).fill(undefined);
  const ownSounds = notes.map((note, i) => {
    const leads = leadSteps !== 0 &&
      texture.cells[barIndexOf(score, note.onsetTicks) * parts + note.part]?.role === "lead";
    const steps = leads ? leadSteps : 0;
    const decay = decayOf(note, sounds.instruments[note.part]!);
    if (decay !== null) decaySeconds[i] = decay;
    // What dies away is struck once; no sign changes that.
    const change = decay === null ? held[note.part]!(note) : undefined;
    if (!change) return sounds.of(note, steps);
    const louder = sounds.ofNote(note);
    soundAt[i] = soundOverTime(louder, steps, change);
    return louder(steps);
  });
  return { sounds: ownSounds, soundAt, decaySeconds };
}

/** The sound of a note whose strength changes. On its own: inside, each note that does not change would leave as much behind. */
function soundOverTime(
  louder: (steps: number) => NoteSound,
  steps: number,
  change: (ticks: number) => number,
): (ticks: number) => NoteSound {
  return (ticks) => louder(steps + change(ticks));
}

// The innermost loops count: `of` would make an iterator for each, thousands of them for a score.

/** Shares of the time while they are added up, by what sounds: lists that are taken again for every moment. */
interface Tally<T> {
  readonly things: T[];
  readonly shares: number[];
  count: number;
}

/** The same of sounds, with the content they had when last asked: from moment to moment much stays as it was. */
interface SoundTally extends Tally<NoteSound> {
  content: Content;
}

/** A layer while it is being added up. */
interface Gathering {
  id: string;
  role: Role;
  readonly own: SoundTally;
  readonly fused: SoundTally;
  readonly parts: Tally<number>;
  /** Dynamic of each part. */
  readonly dynamics: number[];
  /** Whether each part has notes that do not merge with the lead. */
  readonly covers: boolean[];
  /** What it was made of when last asked. */
  made: Pick<SoundingLayer, "content" | "fused" | "all">;
}

/** Prepares the reading of moments. */
export function momentReader(input: MomentInput): MomentReader {
  const gather = gatherer(input);
  const reader =
    <Layer>(layerOf: (gathered: Gathering) => Layer) => (bar: number, span: MomentSpan): Layer[] => {
      gather(bar, span);
      const moment = new Array<Layer>(layersMet);
      for (let i = 0; i < layersMet; i++) moment[i] = layerOf(gatherings[i]!);
      return moment;
    };
  return {
    momentOf: reader((layer) => ({ ...playedLayer(layer), ...soundingLayer(layer) })),
    soundingIn: reader(soundingLayer),
    playedIn: reader(playedLayer),
  };
}

/** Adds up what sounds in a stretch, into the layers of the moment that is being read. */
function gatherer(input: MomentInput): (bar: number, span: MomentSpan) => void {
  const { score, texture, clock, placed } = input;
  const parts = score.parts.length;
  const { firstOf, firstBegun, nextBegun, fromTicks, toTicks } = placed;
  const { partOf, pitchOf, dynamicOf, layerOf, isFused } = placed;
  const { sounds, soundAt, decaySeconds } = readyNotes(input);
  return (bar, { from, to }) => {
    let secondsPerTick = NaN;
    layersMet = 0;
    const last = lastBarOf(score, bar, to);
    findLeadPitches(placed, { bar, last, from, to });
    // A note held into a later bar of the span is counted in the first: of the others only what begins there.
    for (let b = bar; b <= last; b = nextBegun[b + 1]!) {
      for (let i = b === bar ? firstOf[b]! : firstBegun[b]!; i < firstOf[b + 1]!; i++) {
        // Notes stand in the order in which they begin.
        if (fromTicks[i]! >= to) break;
        if (toTicks[i]! <= from) continue;
        const start = Math.max(from, fromTicks[i]!), end = Math.min(to, toTicks[i]!);
        const decay = decaySeconds[i]!;
        if (decay !== 0 && Number.isNaN(secondsPerTick)) {
          secondsPerTick = (clock(to) - clock(from)) / (to - from);
        }
        const share = decay === 0 ? (end - start) / (to - from) : meanPower(
          { fromTicks: fromTicks[i]!, toTicks: toTicks[i]!, decaySeconds: decay },
          from,
          to,
          secondsPerTick,
        );
        if (share <= 0) continue;
        const changing = soundAt[i];
        const sound = changing === undefined ? sounds[i]! : changing((start + end) / 2);
        const part = partOf[i]!;
        const key = b === bar ? layerOf[i]! : layerAt(texture, { bar, part, parts }, b);
        const layer = layerIn(key);
        const merges = key.role !== "lead" && (isFused[i] === 1 || isLeadPitch(pitchOf[i]!));
        add(merges ? layer.fused : layer.own, sound, share);
        const met = layer.parts.count;
        const at = add(layer.parts, part, share);
        layer.dynamics[at] = dynamicOf[i]!;
        layer.covers[at] = !merges || at < met && layer.covers[at]!;
      }
    }
  };
}

/**
 * Finds the pitches that the lead plays in a moment. A note of the rest on one of them supports it there, however it
 * came to it: the pitch is heard, since all their partials coincide (Bregman 1990, ch. 3, from memory).
 */
function findLeadPitches(
  { texture, parts, firstOf, firstBegun, nextBegun, partOf, pitchOf, fromTicks, toTicks, leadsOf }:
    PlacedNotes,
  { bar, last, from, to }: MomentSpan & { readonly bar: number; readonly last: number },
): void {
  const leadsIn = (b: number, first: number): readonly number[] => {
    const found: number[] = [];
    for (let i = first; i < firstOf[b + 1]!; i++) {
      const leads = texture.cells[bar * parts + partOf[i]!]!.role === "lead";
      if (leads && !Number.isNaN(pitchOf[i]!)) found.push(i);
    }
    return found;
  };
  leadPitchesMet = 0;
  for (let b = bar; b <= last; b = nextBegun[b + 1]!) {
    const leads = b === bar ? leadsOf[bar] ??= leadsIn(b, firstOf[b]!) : leadsIn(b, firstBegun[b]!);
    for (let k = 0; k < leads.length; k++) {
      const i = leads[k]!;
      if (fromTicks[i]! >= to) break;
      if (toTicks[i]! > from) leadPitches[leadPitchesMet++] = pitchOf[i]!;
    }
  }
}

/** The bar in which a span ends that begins in a bar. */
function lastBarOf({ bars }: Score, bar: number, to: number): number {
  let last = bar;
  while (last + 1 < bars.length && bars[last + 1]!.startTicks < to) last++;
  return last;
}

/** Pitches of the lead in the moment that is being read; those beyond are left from others. */
const leadPitches: number[] = [];
let leadPitchesMet = 0;

function isLeadPitch(pitch: number): boolean {
  for (let i = 0; i < leadPitchesMet; i++) if (leadPitches[i] === pitch) return true;
  return false;
}

/** Layers of the moment that is being read; those beyond are left from others. */
const gatherings: Gathering[] = [];
let layersMet = 0;

/** The layer of a name, begun where it is not there yet. A moment has few, so that looking through them is quickest. */
function layerIn({ layer: id, role }: LayerOfNote): Gathering {
  for (let i = 0; i < layersMet; i++) if (gatherings[i]!.id === id) return gatherings[i]!;
  const tally = () => ({ things: [], shares: [], count: 0 });
  const layer = gatherings[layersMet] ??= {
    id,
    role,
    own: { ...tally(), content: NOTHING },
    fused: { ...tally(), content: NOTHING },
    parts: tally(),
    dynamics: [],
    covers: [],
    made: { content: NOTHING, fused: NOTHING, all: NOTHING },
  };
  layersMet++;
  layer.id = id;
  layer.role = role;
  layer.own.count = layer.fused.count = layer.parts.count = 0;
  return layer;
}

/** Adds a share, and says where it stands. */
function add<T>(tally: Tally<T>, thing: T, share: number): number {
  const { things, shares, count } = tally;
  for (let i = 0; i < count; i++) {
    if (things[i] !== thing) continue;
    shares[i]! += share;
    return i;
  }
  things[count] = thing;
  shares[count] = share;
  tally.count++;
  return count;
}

function contentIn(tally: SoundTally): Content {
  const { things, shares, count } = tally;
  if (count === 0) return NOTHING;
  if (!isMadeOf(tally.content, things, shares, count)) tally.content = contentOf(things, shares, count);
  return tally.content;
}

const NOTHING = contentOf([], []);

function soundingLayer(layer: Gathering): SoundingLayer {
  const { id, role, parts } = layer;
  let longest = 0;
  for (let i = 0; i < parts.count; i++) if (parts.shares[i]! > longest) longest = parts.shares[i]!;
  const content = contentIn(layer.own), fused = contentIn(layer.fused);
  if (content !== layer.made.content || fused !== layer.made.fused) {
    layer.made = { content, fused, all: fused === NOTHING ? content : together([content, fused]) };
  }
  return { id, role, soundingShare: Math.min(1, longest), content, fused, all: layer.made.all };
}

function playedLayer({ id, role, own, fused, parts, dynamics, covers }: Gathering): PlayedLayer {
  const sounding = new Array<PartOfLayer>(parts.count);
  let longest = 0;
  for (let i = 0; i < parts.count; i++) {
    const share = parts.shares[i]!;
    sounding[i] = { part: parts.things[i]!, share, dynamic: dynamics[i]!, covers: covers[i]! };
    if (share > longest) longest = share;
  }
  let watts = 0;
  for (let i = 0; i < own.count; i++) watts += own.things[i]!.powerWatts * own.shares[i]!;
  for (let i = 0; i < fused.count; i++) watts += fused.things[i]!.powerWatts * fused.shares[i]!;
  return { id, role, soundingShare: Math.min(1, longest), watts, parts: sounding };
}

/** A layer played softer or louder, all else as it was. */
export function atPower(layer: SoundingLayer, power: number): SoundingLayer {
  const { content, fused, all } = layer;
  return {
    ...layer,
    content: scaled(content, power),
    fused: scaled(fused, power),
    all: scaled(all, power),
  };
}
