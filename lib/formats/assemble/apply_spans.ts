/** Slurs and the wavy lines of trills: from their two ends to every note under them. */
import type { HeldNote } from "./held_note.ts";
import type { RawNote, RawSpan } from "./raw_score.ts";

/** A span with both its ends. */
interface Span {
  readonly from: HeldNote;
  readonly to: HeldNote;
  readonly voice: number;
}

/** Pairs beginnings and ends by number, preferring the same voice; a file may list them in any voice order. */
function pairSpans(
  heads: readonly RawNote[],
  noteOf: ReadonlyMap<RawNote, HeldNote>,
  spansOf: (note: RawNote) => readonly RawSpan[],
): { readonly spans: readonly Span[]; readonly looseEnds: RawNote[] } {
  const spans: Span[] = [];
  const looseEnds: RawNote[] = [];
  let open: { readonly number: number; readonly head: RawNote }[] = [];
  for (const head of heads) {
    const here = spansOf(head);
    if (here.length === 0) continue;
    const within = new Set<RawSpan>();
    for (const span of here) {
      if (span.type !== "stop") continue;
      const same = open.filter((o) => o.number === span.number);
      const start = same.findLast((o) => o.head.voice === head.voice) ?? same.at(-1);
      if (!start) {
        const own = here.find((s) => s.type === "start" && s.number === span.number);
        if (own) {
          spans.push({ from: noteOf.get(head)!, to: noteOf.get(head)!, voice: head.voice });
          within.add(own);
        } else looseEnds.push(head);
        continue;
      }
      open = open.filter((o) => o !== start);
      spans.push({ from: noteOf.get(start.head)!, to: noteOf.get(head)!, voice: start.head.voice });
    }
    for (const span of here) {
      if (span.type !== "start" || within.has(span)) continue;
      const before = open.find((o) => o.number === span.number && o.head.voice === head.voice);
      if (before) {
        looseEnds.push(before.head);
        open = open.filter((o) => o !== before);
      }
      open.push({ number: span.number, head });
    }
  }
  return { spans, looseEnds: [...looseEnds, ...open.map((o) => o.head)] };
}

/** First index in a list sorted by onset whose onset is after a position. */
function firstAfter(notes: readonly HeldNote[], ticks: number): number {
  let low = 0;
  let high = notes.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (notes[middle]!.onsetTicks > ticks) high = middle;
    else low = middle + 1;
  }
  return low;
}

/**
 * Marks every note of the voice after the first under each slur. A grace note slurred to its main note
 * leaves the main note's own start as it is: the grace note has no time of its own, so the stroke of tongue
 * or bow falls with the main note.
 *
 * @param heads note heads of one part, by onset
 * @param held the part's notes, by onset; changed in place
 * @param noteOf from note head to note
 * @returns the heads of slurs that lack one end
 */
export function applySlurs(
  heads: readonly RawNote[],
  held: readonly HeldNote[],
  noteOf: ReadonlyMap<RawNote, HeldNote>,
): readonly RawNote[] {
  const { spans, looseEnds } = pairSpans(heads, noteOf, (n) => n.slurs);
  for (const { from, to, voice } of spans) {
    // A slur drawn over a tie, from a note to itself, binds nothing.
    if (from === to) continue;
    from.slurStart = true;
    to.slurStop = true;
    for (let i = firstAfter(held, from.onsetTicks); i < held.length; i++) {
      const note = held[i]!;
      if (note.onsetTicks > to.onsetTicks) break;
      if (
        note.raw.voice === voice || (note.raw.voice === to.raw.voice && note.onsetTicks === to.onsetTicks)
      ) {
        note.slurred = true;
      }
    }
  }
  return looseEnds;
}

/**
 * Marks every note of the voice under each wavy line as a trill, the first and last included.
 *
 * @param heads note heads of one part, by onset
 * @param held the part's notes, by onset; changed in place
 * @param noteOf from note head to note
 * @returns the heads of lines that lack one end
 */
export function applyWavyLines(
  heads: readonly RawNote[],
  held: readonly HeldNote[],
  noteOf: ReadonlyMap<RawNote, HeldNote>,
): readonly RawNote[] {
  const { spans, looseEnds } = pairSpans(heads, noteOf, (n) => n.wavyLines);
  for (const { from, to, voice } of spans) {
    from.trill = true;
    for (let i = firstAfter(held, from.onsetTicks - 1); i < held.length; i++) {
      const note = held[i]!;
      if (note.onsetTicks > to.onsetTicks) break;
      if (note.raw.voice === voice && !note.raw.grace && note.onsetTicks < Math.max(to.endTicks, 1)) {
        note.trill = true;
      }
    }
  }
  return looseEnds;
}
