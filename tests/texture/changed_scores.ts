/** The same music on another page: what should not change a reading. */
import type { Bar, Note, Score } from "../../lib/score/model.ts";
import { sortNotes } from "../../lib/score/build.ts";
import { clockOf } from "../../lib/score/time.ts";
import { isUnmeasuredTremolo, strokeCount } from "../../lib/score/tremolo.ts";

/** A score whose notes, tempos, chords and bars are moved by a function of their place. */
function movedTo(score: Score, place: (ticks: number) => number): Score {
  const length = (from: number, ticks: number) => place(from + ticks) - place(from);
  return {
    ...score,
    bars: score.bars.map((b) => ({
      ...b,
      startTicks: place(b.startTicks),
      durationTicks: length(b.startTicks, b.durationTicks),
    })),
    tempos: score.tempos.map((t, i) => ({ ...t, onsetTicks: i === 0 ? 0 : place(t.onsetTicks) })),
    chords: score.chords.map((c) => ({ ...c, onsetTicks: place(c.onsetTicks) })),
    notes: score.notes.map((n) => ({
      ...n,
      onsetTicks: place(n.onsetTicks),
      durationTicks: length(n.onsetTicks, n.durationTicks),
    })),
  };
}

/** An empty bar of so many quarters before the first. */
export function withEmptyUpbeat(score: Score, quarters: number): Score {
  const finer = movedTo({ ...score, ticksPerQuarter: score.ticksPerQuarter * 32 }, (t) => t * 32);
  const upbeat = quarters * finer.ticksPerQuarter;
  const moved = movedTo(finer, (t) => t + upbeat);
  const first: Bar = { ...moved.bars[0]!, number: "0", startTicks: 0, durationTicks: upbeat };
  return { ...moved, bars: [first, ...moved.bars] };
}

/** Its parts in another order: `order[i]` is the part that stands at place i. */
export function inOrder(score: Score, order: readonly number[]): Score {
  return {
    ...score,
    parts: order.map((p) => score.parts[p]!),
    notes: sortNotes(score.notes.map((n) => ({ ...n, part: order.indexOf(n.part) }))),
  };
}

/** All notes of definite pitch so many semitones higher. */
export function transposed(score: Score, semitones: number): Score {
  return {
    ...score,
    notes: score.notes.map((n) => n.unpitched ? n : { ...n, soundingPitch: n.soundingPitch + semitones }),
  };
}

/** A slashed note of twice the length with as many strokes: a slash less, or written out where it has one. */
function slashedTwiceAsLong(note: Note, perSecond: number, quarter: number): readonly Note[] {
  if (note.tremoloSlashes === 0) return [note];
  const count = strokeCount({ ...note, durationTicks: note.durationTicks / 2 }, quarter);
  const tremolo = isUnmeasuredTremolo(note, perSecond) ? "unmeasured" : "measured";
  const slashes = [note.tremoloSlashes, note.tremoloSlashes - 1].find((tremoloSlashes) =>
    tremoloSlashes > 0 && strokeCount({ ...note, tremoloSlashes }, quarter) === count
  );
  if (slashes !== undefined) return [{ ...note, tremoloSlashes: slashes, tremolo }];
  const each = note.durationTicks / count;
  return Array.from({ length: count }, (_, i): Note => ({
    ...note,
    onsetTicks: note.onsetTicks + i * each,
    durationTicks: each,
    tremoloSlashes: 0,
  }));
}

/** All note values doubled, and the tempo with them: it sounds the same. */
export function inDoubledValues(score: Score): Score {
  const clock = clockOf(score);
  const rate = (n: Note) =>
    strokeCount(n, score.ticksPerQuarter) /
    Math.max(1e-9, clock(n.onsetTicks + n.durationTicks) - clock(n.onsetTicks));
  const moved = movedTo(score, (t) => 2 * t);
  return {
    ...moved,
    bars: moved.bars.map((b) => ({ ...b, beatUnit: b.beatUnit / 2 })),
    tempos: moved.tempos.map((t) => ({ ...t, quartersPerMinute: 2 * t.quartersPerMinute })),
    notes: sortNotes(
      moved.notes.flatMap((n, i) => slashedTwiceAsLong(n, rate(score.notes[i]!), score.ticksPerQuarter)),
    ),
  };
}

/** Every second bar line gone; a last bar that is left alone stays as it is. */
export function withHalfTheBarLines(score: Score): Score {
  const bars = score.bars.flatMap((bar, i): readonly Bar[] => {
    if (i % 2 === 1) return [];
    const next = score.bars[i + 1];
    return [
      next === undefined
        ? bar
        : { ...bar, durationTicks: bar.durationTicks + next.durationTicks, beats: 2 * bar.beats },
    ];
  });
  return { ...score, bars };
}

/** One more player on a part, written on a line of its own right below. */
export function withSecondPlayer(score: Score, part: number): Score {
  const place = (p: number) => p > part ? p + 1 : p;
  return {
    ...score,
    parts: score.parts.flatMap((p, i) => i === part ? [p, { ...p, id: `${p.id}b` }] : [p]),
    notes: sortNotes(score.notes.flatMap((n) => [
      { ...n, part: place(n.part) },
      ...(n.part === part ? [{ ...n, part: part + 1 }] : []),
    ])),
  };
}

/** The lowest notes of a part's chords on a second stave of it. */
export function onTwoStaves(score: Score, part: number): Score {
  const lowest = lowestOfChords(score, part);
  return { ...score, notes: score.notes.map((n) => lowest.has(n) ? { ...n, staff: 2, voice: 2 } : n) };
}

/** A part divided: what are the lowest notes of its chords, and all single notes, on a line of its own of the same name. */
export function divided(score: Score, part: number): Score {
  const lowest = lowestOfChords(score, part);
  const single = new Set(
    [...Map.groupBy(score.notes.filter((n) => n.part === part), (n) => n.onsetTicks).values()]
      .filter((chord) => chord.length === 1).map(([n]) => n!),
  );
  const doubled = withSecondPlayer(score, part);
  const of = (n: Note) => (m: Note) => m.onsetTicks === n.onsetTicks && m.soundingPitch === n.soundingPitch;
  const byOnset = Map.groupBy(lowest, (n) => n.onsetTicks);
  return {
    ...doubled,
    notes: doubled.notes.filter((n) => {
      if (n.part !== part && n.part !== part + 1) return true;
      const isLowest = byOnset.get(n.onsetTicks)?.some(of(n)) ?? false;
      return isLowest ? n.part === part + 1 : n.part === part || [...single].some(of(n));
    }),
  };
}

/** The lowest note of each chord of a part. */
function lowestOfChords(score: Score, part: number): ReadonlySet<Note> {
  const chords = Map.groupBy(score.notes.filter((n) => n.part === part && !n.grace), (n) => n.onsetTicks);
  return new Set(
    [...chords.values()].filter((chord) => chord.length > 1)
      .map((chord) => chord.reduce((low, n) => n.soundingPitch < low.soundingPitch ? n : low)),
  );
}
