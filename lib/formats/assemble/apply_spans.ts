/** Slurs and the wavy lines of trills: from their two ends to every note under them. */
import { firstIndex } from "../../base/first_index.ts";
import type { HeldNote } from "./held_note.ts";
import { type OpenEnd, openEnds } from "./open_ends.ts";
import type { RawNote, RawSpan } from "./raw_score.ts";

/** A span with both its ends. */
interface PairedSpan {
  readonly from: HeldNote;
  readonly to: HeldNote;
  readonly fromHead: RawNote;
  readonly toHead: RawNote;
  readonly voice: number;
}

/** Pairs beginnings and ends by number, preferring the same voice; a file may list them in any voice order. */
function pairSpans(
  heads: readonly RawNote[],
  noteOf: ReadonlyMap<RawNote, HeldNote>,
  spansOf: (note: RawNote) => readonly RawSpan[],
): { readonly spans: readonly PairedSpan[]; readonly looseEnds: RawNote[] } {
  const spans: PairedSpan[] = [];
  const looseEnds: RawNote[] = [];
  const open = openEnds<Opened>();
  const pair = (fromHead: RawNote, toHead: RawNote) =>
    spans.push({
      from: noteOf.get(fromHead)!,
      to: noteOf.get(toHead)!,
      fromHead,
      toHead,
      voice: fromHead.voice,
    });
  for (const head of heads) {
    const here = spansOf(head);
    if (here.length === 0) continue;
    const starts = here.filter((span) => span.type === "start");
    for (const { type, number } of here) {
      if (type !== "stop") continue;
      const same = open.of(number);
      const start = same.findLast((o) => o.head.voice === head.voice) ?? same.at(-1);
      const own = starts.findIndex((span) => span.number === number);
      if (start) {
        open.close(start);
        pair(start.head, head);
      } else if (own >= 0) {
        starts.splice(own, 1);
        pair(head, head);
      } else looseEnds.push(head);
    }
    for (const { number } of starts) {
      const before = open.of(number).find((o) => o.head.voice === head.voice);
      if (before) {
        looseEnds.push(before.head);
        open.close(before);
      }
      open.add({ key: number, head });
    }
  }
  for (const { head } of open.all()) looseEnds.push(head);
  return { spans, looseEnds };
}

/** A beginning that waits for its end. */
interface Opened extends OpenEnd<number> {
  readonly head: RawNote;
}

/** A stretch of a voice in ticks: after its first place, up to its last. */
interface Stretch {
  readonly voice: number;
  readonly after: number;
  readonly upTo: number;
}

/** The notes that lie in stretches of their voice, each once, however many stretches lie over each other. */
function* notesWithin(held: readonly HeldNote[], stretches: readonly Stretch[]): Iterable<HeldNote> {
  const voices = Map.groupBy(held, (n) => n.raw.voice);
  for (const [voice, own] of Map.groupBy(stretches, (s) => s.voice)) {
    const notes = voices.get(voice) ?? [];
    let reached = -Infinity;
    for (const { after, upTo } of own.sort((a, b) => a.after - b.after)) {
      const from = Math.max(after, reached);
      let i = firstIndex(notes.length, (at) => notes[at]!.onsetTicks > from);
      for (; i < notes.length; i++) {
        if (notes[i]!.onsetTicks > upTo) break;
        yield notes[i]!;
      }
      reached = Math.max(reached, upTo);
    }
  }
}

/**
 * Marks every note of the voice after the first under each slur, and returns the heads of slurs that lack one
 * end. A grace note slurred to its main note leaves the main note's own start as it is: the grace note has no
 * time of its own, so the stroke of tongue or bow falls with the main note.
 */
export function applySlurs(
  heads: readonly RawNote[],
  held: readonly HeldNote[],
  noteOf: ReadonlyMap<RawNote, HeldNote>,
): readonly RawNote[] {
  const { spans, looseEnds } = pairSpans(heads, noteOf, (n) => n.slurs);
  const stretches: Stretch[] = [];
  for (const [span, { from, to, fromHead, toHead, voice }] of spans.entries()) {
    from.slurs.push({ span, end: "start", head: from.placeOf?.get(fromHead) ?? 0 });
    to.slurs.push({ span, end: "stop", head: to.placeOf?.get(toHead) ?? 0 });
    // A slur drawn over a tie, from a note to itself, binds nothing.
    if (from === to) continue;
    from.slurStart = true;
    to.slurStop = true;
    const [after, upTo] = [from.onsetTicks, to.onsetTicks];
    stretches.push({ voice, after, upTo });
    if (to.raw.voice !== voice && upTo > after) {
      stretches.push({ voice: to.raw.voice, after: upTo - 1, upTo });
    }
  }
  for (const note of notesWithin(held, stretches)) note.slurred = true;
  return looseEnds;
}

/**
 * Marks every note of the voice under each wavy line as a trill, the first and last included; returns the
 * heads of lines that lack one end.
 */
export function applyWavyLines(
  heads: readonly RawNote[],
  held: readonly HeldNote[],
  noteOf: ReadonlyMap<RawNote, HeldNote>,
): readonly RawNote[] {
  const { spans, looseEnds } = pairSpans(heads, noteOf, (n) => n.wavyLines);
  for (const [span, { from, to, fromHead, toHead }] of spans.entries()) {
    from.wavyLines.push({ span, end: "start", head: from.placeOf?.get(fromHead) ?? 0 });
    to.wavyLines.push({ span, end: "stop", head: to.placeOf?.get(toHead) ?? 0 });
    from.trill = true;
  }
  const stretches = spans.map(({ from, to, voice }): Stretch => ({
    voice,
    after: from.onsetTicks - 1,
    upTo: Math.min(to.onsetTicks, Math.max(to.endTicks, 1) - 1),
  }));
  for (const note of notesWithin(held, stretches)) if (!note.raw.grace) note.trill = true;
  return looseEnds;
}
