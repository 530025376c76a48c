/** Glissandi and slides: from their two ends to an interval and a length on the note they start from. */
import type { HeldNote } from "./held_note.ts";
import { type OpenEnd, openEnds } from "./open_ends.ts";
import type { RawGlissando, RawNote } from "./raw_score.ts";

/** A start that waits for its end. */
interface OpenGlissando extends OpenEnd<string> {
  readonly head: RawNote;
  readonly note: HeldNote;
}

/** What could not be used. */
interface LooseGlissandi {
  /** Heads with a start or a stop that has no other end. */
  readonly oneEnd: readonly RawNote[];
  /** Heads with a line that ends on the same tied note it starts from. */
  readonly toItself: readonly RawNote[];
}

/**
 * Pairs starts and stops by kind and number, those of one voice first; the notes of a chord, which some files
 * number alike, in the order of the file. A start whose number begins anew later on has lost its stop. Notes
 * are given their glissandi; lines that could not be used are returned.
 */
export function applyGlissandi(
  heads: readonly RawNote[],
  noteOf: ReadonlyMap<RawNote, HeldNote>,
): LooseGlissandi {
  const oneEnd: RawNote[] = [];
  const toItself: RawNote[] = [];
  const open = openEnds<OpenGlissando>();
  for (const head of heads) {
    if (head.glissandi.length === 0) continue;
    const note = noteOf.get(head)!;
    for (const span of head.glissandi.filter((s) => s.type === "stop")) {
      const waiting = open.of(keyOf(span)).filter((o) => isBefore(o.head, head));
      const start = waiting.find((o) => o.head.voice === head.voice) ?? waiting[0];
      if (!start) {
        oneEnd.push(head);
        continue;
      }
      open.close(start);
      const { kind } = span;
      if (start.note === note) toItself.push(start.head);
      else {
        start.note.glissandi.push({
          kind,
          semitones: head.soundingPitch - start.head.soundingPitch,
          lengthTicks: note.onsetTicks - start.note.onsetTicks,
        });
      }
    }
    for (const span of head.glissandi.filter((s) => s.type === "start")) {
      const key = keyOf(span);
      const lost = open.of(key).filter((o) => o.head.voice === head.voice && isBefore(o.head, head));
      for (const each of lost) {
        oneEnd.push(each.head);
        open.close(each);
      }
      open.add({ key, head, note });
    }
  }
  for (const { head } of open.all()) oneEnd.push(head);
  return { oneEnd, toItself };
}

function keyOf({ kind, number }: RawGlissando): string {
  return `${kind} ${number}`;
}

/** Heads come by onset: one stands before another when it begins earlier, or is a grace note at the same place. */
function isBefore(a: RawNote, b: RawNote): boolean {
  if (a === b) return false;
  return a.barIndex < b.barIndex || a.barIndex === b.barIndex && (a.offsetTicks < b.offsetTicks ||
        a.offsetTicks === b.offsetTicks && a.grace);
}
