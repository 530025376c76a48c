/** Putting dynamics, strokes, slurs and signs on a layer's notes, as a player expects to read them. */
import { makeNote } from "../../score/build.ts";
import type { Articulation, Note } from "../../score/model.ts";
import { tremoloSlashesFor } from "../../score/tremolo.ts";
import type { Seconds, Ticks } from "../../base/units.ts";
import type { PlainNote } from "./layers/task.ts";
import type { Figure } from "../../texture/figures.ts";
import type { Assignment } from "../plan/plan.ts";

interface Dressing {
  /** Layer id the notes get. */
  readonly layer: string;
  /** The plan's row. */
  readonly assignment: Assignment;
  readonly figure: Figure;
  /** Loudness at a position, on the dynamic scale. */
  readonly dynamicAt: (ticks: Ticks) => number;
  /** Grid of the score. */
  readonly ticksPerQuarter: Ticks;
  /** Seconds of a position. */
  readonly clock: (ticks: Ticks) => Seconds;
  /** Bar index of a position. */
  readonly barOf: (ticks: Ticks) => number;
  /** Whether the player has a bow or breath to join notes with. */
  readonly joins: boolean;
}

/**
 * Puts the plan's wishes on plain notes: dynamic, articulation, technique, tremolo, trill, and, for slurred layers,
 * one slur per bar over notes that follow each other without a gap and change pitch. Portato is the same with its signs
 * under the slur, over repeated notes too; keys, plucked strings and mallets have the signs alone.
 */
export function dress(notes: readonly PlainNote[], dressing: Dressing): readonly Note[] {
  const { assignment, figure } = dressing;
  const sign = assignment.articulation;
  const added: readonly Articulation[] = sign === "plain" || sign === "slurred" ? [] : [sign];
  const dressed = notes.map((n) =>
    makeNote({
      ...n,
      ...slashesOf(n, dressing),
      articulations: [...new Set([...(n.articulations ?? []), ...added])],
      dynamic: dressing.dynamicAt(n.onsetTicks),
      technique: assignment.technique,
      trill: figure.trill,
      layer: dressing.layer,
    })
  );
  if (sign === "portato" && dressing.joins) return slur(dressed, dressing.barOf, { repeats: true });
  return sign === "slurred" ? slur(dressed, dressing.barOf) : dressed;
}

/** Slashes as the figure has them: those of an unmeasured tremolo are enough for the tempo, and say that they are. */
function slashesOf(
  plain: PlainNote,
  { figure, ticksPerQuarter, clock }: Dressing,
): Pick<Note, "tremoloSlashes" | "tremolo"> {
  if (figure.tremoloSlashes === 0) return { tremoloSlashes: 0 };
  const enough = tremoloSlashesFor(makeNote(plain), { ticksPerQuarter, clock });
  return { tremoloSlashes: Math.max(figure.tremoloSlashes, enough), tremolo: "unmeasured" };
}

/** One slur per bar and part over notes that follow each other without a gap and change pitch, or repeat it if asked. */
export function slur(
  notes: readonly Note[],
  barOf: (ticks: Ticks) => number,
  { repeats = false } = {},
): readonly Note[] {
  const byPart = Map.groupBy(notes, (n) => n.part);
  return [...byPart.values()].flatMap((line) => {
    const sorted = line.toSorted((a, b) => a.onsetTicks - b.onsetTicks);
    // Chords of a hand are struck anew.
    if (sorted.some((n, i) => n.onsetTicks === sorted[i - 1]?.onsetTicks)) return sorted;
    const joined = sorted.map((n, i) => {
      const before = sorted[i - 1];
      return before !== undefined && before.onsetTicks + before.durationTicks === n.onsetTicks &&
        (repeats || before.soundingPitch !== n.soundingPitch) &&
        barOf(before.onsetTicks) === barOf(n.onsetTicks);
    });
    return sorted.map((n, i) => ({
      ...n,
      slurred: joined[i]!,
      slurStart: !joined[i] && joined[i + 1] === true,
      slurStop: joined[i]! && joined[i + 1] !== true,
    }));
  });
}
