/** Where a file forgets to say arco: the notes show it. */
import type { TimedMark } from "./raw_score.ts";
import type { HeldNote } from "./held_note.ts";

/** Least slashes that only a bow plays: two may be repeated notes, written short and plucked. Common practice, no source. */
const BOWED_SLASHES = 3;
/** Such notes that it takes to doubt a pizz. that an arco does end, later: a slur or two may be a slip. Model assumption. */
const NOTES_AGAINST_ARCO = 3;
/** Rest in quarters in which the bow is taken up. Model assumption. */
const REST_QUARTERS = 1;

/** Where the bow must have been taken up again, and the note that shows it. */
interface BowTaken {
  readonly ticks: number;
  readonly shownBy: HeldNote;
}

/**
 * Places of one stave where the bow is taken up though no arco stands there. A pizz. is doubted by what cannot be
 * plucked: a slur over several notes, a tremolo of three slashes, a mark for the bow. One such note is enough where no
 * other way of playing ends it before the next pizz.; where one does, it takes several. The bow is taken up after the
 * last rest before the first of them, or where there is none at that note itself.
 */
export function missingArcos(
  marks: readonly TimedMark[],
  notes: readonly HeldNote[],
  ticksPerQuarter: number,
): readonly BowTaken[] {
  const manners = marks.filter(({ mark }) => mark.kind === "technique" && mark.manner !== undefined);
  return manners.flatMap(({ ticks, mark }, i): readonly BowTaken[] => {
    const next = manners[i + 1];
    if (mark.kind !== "technique" || mark.manner !== "pizzicato") return [];
    const own = notes.filter((n) =>
      n.onsetTicks >= ticks && n.onsetTicks < (next?.ticks ?? Infinity) && !n.raw.cue && !n.raw.grace
    );
    if (!isUnanswered(next) && own.filter(isBowed).length < NOTES_AGAINST_ARCO) return [];
    const at = own.findIndex(isBowed);
    if (at < 1) return []; // what is plucked at the very sign is meant so
    return [{ ticks: afterRest(own.slice(0, at + 1), REST_QUARTERS * ticksPerQuarter), shownBy: own[at]! }];
  });
}

/** Slurred, shaken, or marked for the bow. */
function isBowed({ slurStart, raw }: HeldNote): boolean {
  return slurStart || raw.tremoloSlashes >= BOWED_SLASHES ||
    raw.signs.some((sign) => sign === "up-bow" || sign === "down-bow");
}

function isUnanswered(next: TimedMark | undefined): boolean {
  return next === undefined || (next.mark.kind === "technique" && next.mark.manner === "pizzicato");
}

/** Onset of the first note after the last rest among notes in order; of the last note where none rests. */
function afterRest(notes: readonly HeldNote[], leastTicks: number): number {
  for (let i = notes.length - 1; i > 0; i--) {
    if (notes[i]!.onsetTicks - notes[i - 1]!.endTicks >= leastTicks) return notes[i]!.onsetTicks;
  }
  return notes.at(-1)!.onsetTicks;
}
