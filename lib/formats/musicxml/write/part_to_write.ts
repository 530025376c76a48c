/** Everything about a part that its notes are written with, found before the first is written. */
import type { Note, Part, Score, Spelling } from "../../../score/model.ts";
import { numberGlissandi, type WrittenGlissando } from "./glissando_numbers.ts";
import { spiccatoCourse } from "../../assemble/spiccato.ts";
import type { PartOnPaper } from "./part_on_paper.ts";
import { writtenSpellings } from "./written_spelling.ts";
import { type WrittenSlurEnd, writtenSlurs } from "./written_slurs.ts";

/** A part and what is on its notes. */
export interface PartToWrite {
  /** Id of the part in the file. */
  readonly id: string;
  readonly paper: PartOnPaper;
  readonly spellings: ReadonlyMap<Note, Spelling>;
  readonly slurs: ReadonlyMap<Note, readonly WrittenSlurEnd[]>;
  readonly glissandi: ReadonlyMap<Note, readonly WrittenGlissando[]>;
  /** Where spiccato is written as dots, since a word says what they mean. */
  readonly isDotted: (ticks: number) => boolean;
  /** How many percussion keys it plays. */
  readonly percussionKeys: number;
  /** Places of what stands under a pause, as start and end in ticks, where the source prints none of its own there. */
  readonly pauses: ReadonlySet<string>;
  /** Wavy lines that are written, by their number in the source's part. */
  readonly wavyLines: ReadonlySet<number>;
  /** Pauses the source prints that are still to be written, by stave and start in ticks. */
  readonly printedPauses: Map<string, number>;
}

/** Looks through a part. */
export function partToWrite(score: Score, paper: PartOnPaper, id: string): PartToWrite {
  return {
    id,
    paper,
    spellings: writtenSpellings(score, paper),
    slurs: writtenSlurs(score, paper.notes),
    glissandi: numberGlissandi(score, paper.notes),
    isDotted: paper.part.notation
      ? spiccatoCourse(paper.part.notation.words.map((w) => ({ ticks: w.onsetTicks, words: w.words })))
      : () => true,
    percussionKeys: new Set(paper.notes.filter((n) => n.unpitched).map((n) => n.soundingPitch)).size,
    wavyLines: linesOfTrills(paper.notes),
    ...pausesOf(score, paper.part),
  };
}

/** Wavy lines of the page that still begin on a trill. */
function linesOfTrills(notes: readonly Note[]): ReadonlySet<number> {
  const trilled = notes.filter((n) => n.trill).flatMap((n) => n.notation?.wavyLines ?? []);
  return new Set(trilled.filter((l) => l.end === "start").map((l) => l.span));
}

/**
 * Pauses of one part. Those the source prints stand where it has them, as long as the score still holds a pause there;
 * others stand over every note and rest of their place and length.
 */
function pausesOf(score: Score, part: Part): Pick<PartToWrite, "pauses" | "printedPauses"> {
  const bends = score.tempoBends?.filter((b) => b.kind === "pause") ?? [];
  const held = new Set(bends.map((b) => b.onsetTicks));
  const printed = new Set(score.parts.flatMap((p) => p.notation?.pauses.map((w) => w.onsetTicks) ?? []));
  const printedPauses = new Map<string, number>();
  for (const { staff, onsetTicks } of part.notation?.pauses ?? []) {
    const key = `${staff}|${onsetTicks}`;
    if (held.has(onsetTicks)) printedPauses.set(key, (printedPauses.get(key) ?? 0) + 1);
  }
  const others = bends.filter((b) => !printed.has(b.onsetTicks));
  return { pauses: new Set(others.map((b) => `${b.onsetTicks}:${b.endTicks}`)), printedPauses };
}
