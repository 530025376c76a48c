/** How many play a line at a place, and how many of them each of its notes: the words over the stave say it. */
import { memo, memoOf, once } from "../base/memo.ts";
import type { Ticks } from "../base/units.ts";
import { lineName } from "../instruments/names/line_name.ts";
import { instrumentOf } from "../instruments/instrument_of.ts";
import type { Note, Part, Playing, Score } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";

/** The last of a list in order that begins at or before a place. */
export function lastAt<T extends { readonly fromTicks: Ticks }>(
  list: readonly T[] | undefined,
  ticks: Ticks,
): T | undefined {
  return list?.findLast((each) => each.fromTicks <= ticks);
}

/** A player's number in words such as `I.`, `2.` or `I. II.`. */
const PLAYER_NUMBER = /\b(?:[1-4]|i{1,3}|iv)\./gi;

/** The words in force: where two single players are named at one place, as `I.` and `II.`, the line is divided. */
function playingAt(playing: readonly Playing[], ticks: Ticks): Playing | undefined {
  const last = lastAt(playing, ticks);
  const named = playing.filter((each) => each.fromTicks === last?.fromTicks && each.kind === "solo");
  const players = new Set(named.flatMap(({ words }) => words.match(PLAYER_NUMBER) ?? [words])).size;
  return players > 1 ? { ...last!, kind: "divided", count: players } : last;
}

/**
 * Players at a place. A line marked a 2 or div. has at least two, unless it is one numbered player's own stave:
 * there the words are left over from a stave that was shared.
 */
export function playersAt(part: Pick<Part, "name" | "players" | "playing">, ticks: Ticks): number {
  const playing = part.playing && playingAt(part.playing, ticks);
  if (playing === undefined || playing.kind === "all") return part.players;
  if (playing.kind === "solo") return playing.count ?? 1;
  if (part.players === 1 && lineName(part.name).numbers.length === 1) return 1;
  return Math.max(part.players, playing.count ?? 2);
}

/**
 * How many players each note has. A section that is divided, by its words or its name, shares them between the pitches
 * that sound at once; a solo takes them out of it. Double stops that nobody divides are played by all. Wind players who
 * share a stave have one note each: they are always divided where there are several pitches, whatever words were left
 * standing, and where one of two voices rests, so does who plays it.
 */
export function playersOfNotes(score: Score): (note: Note) => number {
  const winds = score.parts.map((part) => part.players > 1 && isWind(part));
  const changes = score.parts.map((part, i) =>
    part.players > 1 && (winds[i]! || isDividedByName(part) || hasWords(part))
  );
  const notesOf = once(() => Map.groupBy(score.notes.filter((n) => !n.grace && !n.cue), (n) => n.part));
  const pitchesOf = memo<ReadonlyMap<Ticks, number>, number>(2 * score.parts.length + 2);
  const voicesOf = memo<ReadonlyMap<number, number>, number>(2 * score.parts.length + 2);
  const ofNote = memoOf((note: Note) => {
    const part = score.parts[note.part]!;
    const players = playersAt(part, note.onsetTicks);
    const isDivided = isDividedByName(part) || winds[note.part]! ||
      playingAt(part.playing ?? [], note.onsetTicks)?.kind === "divided";
    if (!isDivided) return players;
    const own = () => notesOf().get(note.part) ?? [];
    const pitches = pitchesOf(note.part, () => pitchesAtOnsets(own())).get(note.onsetTicks) ?? 1;
    const voices = winds[note.part]
      ? voicesOf(note.part, () => voicesInBars(score, own())).get(barIndexOf(score, note.onsetTicks)) ?? 1
      : 1;
    return players / Math.min(players, Math.max(pitches, voices));
  });
  return (note) => changes[note.part] ? ofNote(note) : score.parts[note.part]!.players;
}

const isDividedByName = (part: Part) => lineName(part.name).isDivided;
const hasWords = ({ playing }: Part) => playing?.some(({ kind }) => kind !== "all") ?? false;

/** Voices that sound, by bar. */
function voicesInBars(score: Score, notes: readonly Note[]): ReadonlyMap<number, number> {
  const voices = new Map<number, Set<number>>();
  for (const { onsetTicks, durationTicks, voice } of notes) {
    const last = barIndexOf(score, onsetTicks + Math.max(0, durationTicks - 1));
    for (let bar = barIndexOf(score, onsetTicks); bar <= last; bar++) {
      let here = voices.get(bar);
      if (!here) voices.set(bar, here = new Set());
      here.add(voice);
    }
  }
  return new Map([...voices].map(([bar, here]) => [bar, here.size]));
}

const isWind = ({ instrument }: Part) => {
  const family = instrumentOf(instrument)?.family;
  return family === "woodwind" || family === "brass";
};

/** Different pitches that sound where a note begins. */
function pitchesAtOnsets(notes: readonly Note[]): ReadonlyMap<Ticks, number> {
  const found = new Map<Ticks, number>();
  let sounding: readonly Note[] = [];
  for (const [ticks, begun] of Map.groupBy(notes, (n) => n.onsetTicks)) {
    sounding = [...sounding.filter((n) => n.onsetTicks + n.durationTicks > ticks), ...begun];
    found.set(ticks, new Set(sounding.map((n) => n.soundingPitch)).size);
  }
  return found;
}
