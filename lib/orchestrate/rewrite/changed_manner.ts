/** The same notes played in another way: loudness, stroke, octave, technique. */
import { makeNote } from "../../score/build.ts";
import { dynamicCourse } from "../../score/dynamic_course.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Assignment } from "../plan/plan.ts";
import { plannedDynamics } from "../realise/planned_dynamics.ts";
import { slur } from "../realise/dress.ts";
import type { BarsFound } from "./bars_asked.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { splicePart } from "./splice_part.ts";
import { mannerOf, type Wish } from "./wish.ts";

/** A score in which some parts play what they have in some bars as a wish says; what begins before the bars stays as it is. */
export function changedManner(score: Score, { wish, bars, parts }: PlacedWish): Score {
  const manner = mannerOf(wish);
  const isMeant = (n: Note) =>
    parts.includes(n.part) && n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks;
  const meant = score.notes.filter(isMeant);
  const changed = new Map<Note, Note>();
  for (const own of Map.groupBy(meant, (n) => n.part).values()) {
    const otherwise = otherwisePlayed(own.map((n) => playedOtherwise(n, wish, manner)), wish, score);
    own.forEach((n, i) => changed.set(n, otherwise[i]!));
  }
  const next = { ...score, notes: score.notes.map((n) => changed.get(n) ?? n) };
  return wish.dynamic === undefined ? next : withDynamics(next, { manner, bars, parts });
}

/** One note otherwise: octave, technique and stroke. */
function playedOtherwise(note: Note, wish: Wish, manner: Assignment): Note {
  const { techniques: _techniques, ...plain } = note;
  const octave = wish.octave ?? 0;
  const { articulation } = manner;
  const stroke = articulation === "plain" || articulation === "slurred" ? [] : [articulation];
  return {
    ...(wish.technique === undefined ? note : { ...plain, technique: wish.technique }),
    soundingPitch: note.soundingPitch + 12 * octave,
    ...(note.spelling ? { spelling: { ...note.spelling, octave: note.spelling.octave + octave } } : {}),
    ...(wish.articulation === undefined
      ? {}
      : { articulations: [...note.articulations.filter((sign) => sign === "breath"), ...stroke] }),
  };
}

/** Slurs of one part, where the wish speaks of them: one to a bar, or none. */
function otherwisePlayed(notes: readonly Note[], wish: Wish, score: Score): readonly Note[] {
  if (wish.articulation === undefined) return notes;
  const separate = notes.map(({ notation, ...n }): Note => {
    const { slurs: _slurs, ...printed } = notation ?? {};
    return {
      ...n,
      slurred: false,
      slurStart: false,
      slurStop: false,
      ...(notation ? { notation: printed } : {}),
    };
  });
  if (wish.articulation !== "slurred") return separate;
  const joined = slur(separate.map(makeNote), (ticks) => barIndexOf(score, ticks));
  const at = new Map(joined.map((n) => [`${n.onsetTicks} ${n.soundingPitch} ${n.grace}`, n]));
  return separate.map((n) => at.get(`${n.onsetTicks} ${n.soundingPitch} ${n.grace}`) ?? n);
}

/** New loudness, with its signs. */
function withDynamics(
  score: Score,
  { manner, bars, parts }: {
    readonly manner: Assignment;
    readonly bars: BarsFound;
    readonly parts: readonly number[];
  },
): Score {
  const { ticksPerQuarter } = score;
  const isInside = (n: Note) => n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks;
  const signsOf = new Map(parts.map((part) => {
    const own = score.notes.filter((n) => n.part === part && isInside(n) && !n.grace && !n.cue);
    const from = { assignment: manner, fromBarIndex: bars.fromBarIndex, toBarIndex: bars.toBarIndex };
    return [part, plannedDynamics(own.map((n) => ({ ...n, from })), score)] as const;
  }));
  const courses = new Map([...signsOf].map(([part, signs]) => [part, dynamicCourse(signs, ticksPerQuarter)]));
  return {
    ...score,
    notes: score.notes.map((n) =>
      courses.has(n.part) && isInside(n) ? { ...n, dynamic: courses.get(n.part)!.at(n.onsetTicks) } : n
    ),
    parts: score.parts.map((part, p) =>
      parts.includes(p)
        ? splicePart(part, bars, {
          hasNotes: false,
          accompanies: false,
          dynamics: signsOf.get(p)!,
          playing: part.playing?.filter((w) =>
            w.fromTicks >= bars.startTicks && w.fromTicks < bars.endTicks
          ) ?? [],
          nextTicks: score.notes.find((n) => n.part === p && n.onsetTicks >= bars.endTicks)?.onsetTicks,
          ticksPerQuarter,
        })
        : part
    ),
  };
}
