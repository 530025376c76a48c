/** Taking the notes of some parts out of some bars, so that whatever stands around them stays as it is. */
import { sortNotes } from "../../score/build.ts";
import { glissandoEnd } from "../../score/glissandi.ts";
import type { Note, NoteNotation, Score, SpanEnd } from "../../score/model.ts";
import type { Ticks } from "../../base/units.ts";
import type { BarsFound } from "./bars_asked.ts";

/** From where to where. */
type FromTo = Pick<BarsFound, "startTicks" | "endTicks">;

/**
 * The notes of a score without what some parts play in some bars. A note held into the bars ends where they begin, one
 * held out of them begins where they end; a slur over the bars becomes one before and one after.
 *
 * @param score the score; not changed
 * @param parts part indexes
 * @param bars the bars
 * @returns the notes that are left
 */
export function notesWithout(score: Score, parts: ReadonlySet<number>, bars: FromTo): readonly Note[] {
  const others = score.notes.filter((n) => !parts.has(n.part));
  const own = Map.groupBy(score.notes.filter((n) => parts.has(n.part)), (n) => n.part);
  return sortNotes([...others, ...[...own.values()].flatMap((line) => lineWithout(line, bars))]);
}

/** The line of one part without some bars. */
function lineWithout(line: readonly Note[], bars: FromTo): readonly Note[] {
  const isInside = (n: Note) => n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks;
  const before = line.filter((n) => n.onsetTicks < bars.startTicks);
  const after = line.filter((n) => n.onsetTicks >= bars.endTicks);
  const heldOut = line.filter((n) =>
    n.onsetTicks < bars.endTicks && n.onsetTicks + n.durationTicks > bars.endTicks
  );
  const crossing = crossingSpans(line, isInside, bars);
  const pieces = [
    ...before.map((n) => withoutReach(cutAt(n, bars.startTicks), bars)),
    ...heldOut.map((n) => restFrom(n, bars.endTicks)),
    ...after,
  ];
  return mendSlurs(pieces, crossing, bars);
}

/** Lengths of the first tied heads of a note, up to a length. */
function headsUpTo(heads: readonly Ticks[], length: Ticks): readonly Ticks[] {
  const kept: Ticks[] = [];
  let left = length;
  for (const head of heads) {
    if (left <= 0) break;
    kept.push(Math.min(head, left));
    left -= head;
  }
  return kept;
}

/** A note's notation for so many of its heads; undefined where nothing is left to say. */
function notationOf(
  notation: NoteNotation | undefined,
  heads: readonly Ticks[] | undefined,
): { readonly notation?: NoteNotation } {
  if (notation === undefined) return {};
  const { heads: _heads, later, trills, slashes, wavyLines: _lines, slurs, ...rest } = notation;
  const count = heads?.length ?? 1;
  const kept = {
    ...rest,
    ...(heads ? { heads } : {}),
    ...(slurs ? { slurs: slurs.filter((s) => s.head < count) } : {}),
    ...(later ? { later: later.filter((l) => l.head < count) } : {}),
    ...(trills ? { trills: trills.filter((head) => head < count) } : {}),
    ...(slashes ? { slashes: slashes.slice(0, count) } : {}),
  };
  return { notation: kept };
}

/** A note that ends at a place, where it was held beyond. */
function cutAt(note: Note, ticks: Ticks): Note {
  if (note.onsetTicks + note.durationTicks <= ticks) return note;
  const durationTicks = ticks - note.onsetTicks;
  const heads = note.notation?.heads && headsUpTo(note.notation.heads, durationTicks);
  const { notation, ...plain } = note;
  return {
    ...plain,
    durationTicks,
    noteheads: heads?.length ?? 1,
    ...notationOf(notation, heads),
  };
}

/** What is left of a note after a place, begun anew there. */
function restFrom(note: Note, ticks: Ticks): Note {
  const { notation, signs: _signs, glissandi, ...plain } = note;
  const durationTicks = note.onsetTicks + note.durationTicks - ticks;
  const heads = notation?.heads && headsUpTo(notation.heads.toReversed(), durationTicks).toReversed();
  return {
    ...plain,
    onsetTicks: ticks,
    durationTicks,
    articulations: note.articulations.filter((sign) => sign === "breath"),
    slurred: false,
    slurStop: false,
    noteheads: heads?.length ?? 1,
    ...(glissandi
      ? {
        glissandi: glissandi.map((g) => ({ ...g, lengthTicks: g.lengthTicks - (ticks - note.onsetTicks) })),
      }
      : {}),
    ...(heads ? { notation: { heads } } : {}),
  };
}

/** A note without slides into what is taken out, and without lines over it. */
function withoutReach(note: Note, { startTicks, endTicks }: FromTo): Note {
  const { glissandi, ...plain } = note;
  const kept = glissandi?.filter((g) => {
    const end = glissandoEnd(note, g).onsetTicks;
    return end < startTicks || end >= endTicks;
  }) ?? [];
  return kept.length > 0 ? { ...plain, glissandi: kept } : plain;
}

/** Slurs and wavy lines that reach over an edge of the bars, as far as the source draws them. */
function crossingSpans(
  line: readonly Note[],
  isInside: (n: Note) => boolean,
  bars: FromTo,
): ReadonlySet<SpanEnd> {
  const crossing = new Set<SpanEnd>();
  const side = (n: Note) => isInside(n) ? 0 : n.onsetTicks < bars.startTicks ? -1 : 1;
  for (const spans of ["slurs", "wavyLines"] as const) {
    const open = new Map<number, { readonly end: SpanEnd; readonly note: Note }>();
    for (const note of line) {
      for (const end of note.notation?.[spans] ?? []) {
        const from = open.get(end.span);
        if (end.end === "start") open.set(end.span, { end, note });
        else if (from && side(from.note) !== side(note)) crossing.add(from.end).add(end);
      }
    }
  }
  return crossing;
}

/** Notes on either side of what was taken out: a slur that led into it ends before it, one that led out begins after it. */
function mendSlurs(
  pieces: readonly Note[],
  crossing: ReadonlySet<SpanEnd>,
  { startTicks, endTicks }: FromTo,
): readonly Note[] {
  const result = pieces.map((n) => withoutEnds(n, crossing));
  const lines = Map.groupBy(
    result.keys().filter((i) => !result[i]!.cue),
    (i) => `${result[i]!.staff}|${result[i]!.voice}`,
  );
  for (const line of lines.values()) {
    const before = line.filter((i) => result[i]!.onsetTicks < startTicks);
    const after = line.filter((i) => result[i]!.onsetTicks >= endTicks)
      .sort((a, b) => result[a]!.onsetTicks - result[b]!.onsetTicks);
    const last = Math.max(...before.map((i) => result[i]!.onsetTicks));
    for (const i of before.filter((b) => result[b]!.onsetTicks === last)) {
      const note = result[i]!;
      // A slur that only began here led into what is gone; one that came here ends here.
      if (isOpen(note)) result[i] = { ...note, slurStart: false, slurStop: note.slurred };
    }
    const first = after.length > 0 ? result[after[0]!]!.onsetTicks : Infinity;
    const second = after.find((i) => result[i]!.onsetTicks > first);
    const goesOn = second !== undefined && result[second]!.slurred;
    for (const i of after.filter((a) => result[a]!.onsetTicks === first)) {
      const note = result[i]!;
      if (note.slurred || (goesOn && !note.slurStart)) {
        result[i] = { ...note, slurred: false, slurStop: false, slurStart: goesOn };
      }
    }
  }
  return result;
}

/** Whether a slur goes on from a note. */
function isOpen(note: Note): boolean {
  return note.slurStart || note.slurred && !note.slurStop;
}

/** A note without some ends of slurs and wavy lines. */
function withoutEnds(note: Note, ends: ReadonlySet<SpanEnd>): Note {
  const { slurs, wavyLines } = note.notation ?? {};
  if (![...slurs ?? [], ...wavyLines ?? []].some((end) => ends.has(end))) return note;
  const left = (list: readonly SpanEnd[] | undefined) => list?.filter((end) => !ends.has(end));
  const { slurs: _slurs, wavyLines: _lines, ...rest } = note.notation!;
  return {
    ...note,
    notation: {
      ...rest,
      ...(slurs ? { slurs: left(slurs)! } : {}),
      ...(wavyLines ? { wavyLines: left(wavyLines)! } : {}),
    },
  };
}
