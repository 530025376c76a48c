/** Putting dynamics, strokes, slurs and signs on a layer's notes, as a player expects to read them. */
import { makeNote } from "../../score/build.ts";
import type { Articulation, Note } from "../../score/model.ts";
import { slurEnds } from "../../score/slur_ends.ts";
import { tremoloSlashesFor } from "../../score/tremolo.ts";
import type { Seconds, Ticks } from "../../base/units.ts";
import type { PlainNote } from "./layers/task.ts";
import type { Figure } from "../../texture/figures.ts";
import type { Assignment } from "../plan/plan.ts";

/** Slashes from which a figure's tremolo is not counted. */
const UNMEASURED_FROM = 3;

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
  /** Whether the part has one line, and not those of several groups that stand as chords. */
  readonly isAlone: boolean;
  /** Whether the player has a bow or breath to join notes with. */
  readonly joins: boolean;
}

/** A note of a layer; where groups stand as one chord, with heads tied where the others move. */
type NoteToDress = PlainNote & Partial<Pick<Note, "noteheads">>;

/**
 * Puts the plan's wishes on plain notes: dynamic, articulation, technique, tremolo, trill, and, for slurred layers,
 * one slur per bar over notes that follow each other without a gap and change pitch; a tune keeps its own slurs where
 * none are asked for. Portato is the same with its signs
 * under the slur, over repeated notes too; keys, plucked strings and mallets have the signs alone.
 */
export function dress(notes: readonly NoteToDress[], dressing: Dressing): readonly Note[] {
  const { assignment, figure } = dressing;
  const sign = assignment.articulation;
  const added: readonly Articulation[] = sign === "plain" || sign === "slurred" ? [] : [sign];
  // What the notes were written with stays behind.
  const plain = pairedAgain(notes, dressing.ticksPerQuarter);
  const dressed = plain.map((n) => {
    const {
      part,
      onsetTicks,
      durationTicks,
      soundingPitch,
      spelling,
      articulations,
      noteheads,
      glissandi,
      signs,
    } = n;
    return makeNote({
      part,
      onsetTicks,
      durationTicks,
      soundingPitch,
      ...(spelling && { spelling }),
      ...(glissandi && { glissandi }),
      ...(signs && { signs }),
      ...(noteheads && { noteheads }),
      ...slashesOf(n, dressing),
      articulations: articulations === undefined ? added : [...new Set([...articulations, ...added])],
      dynamic: dressing.dynamicAt(onsetTicks),
      technique: assignment.technique,
      trill: figure.trill && !n.untrilled,
      layer: dressing.layer,
    });
  });
  if (sign === "portato" && dressing.joins) return slur(dressed, dressing.barOf, { repeats: true });
  if (sign === "slurred") return slur(dressed, dressing.barOf, { goesOn: dressing.isAlone });
  return sign === "plain" && dressing.joins ? slurredAsWritten(dressed, plain) : dressed;
}

/**
 * Slurs as the tune has them, where the plan asks for no other way of playing: over notes that follow each other without
 * a gap or a breath.
 *
 * @param dressed the notes as they will stand
 * @param plain the same, with the slurs of the source
 */
function slurredAsWritten(dressed: readonly Note[], plain: readonly PlainNote[]): readonly Note[] {
  if (!plain.some((n) => n.slurStart)) return dressed;
  const byPart = Map.groupBy(
    dressed.map((note, i) => ({ note, source: plain[i]! })),
    ({ note }) => note.part,
  );
  return [...byPart.values()].flatMap((line) => {
    const joined = line.map(({ note, source }, i) => {
      const before = line[i - 1]?.note;
      return before !== undefined && source.slurred === true &&
        before.onsetTicks + before.durationTicks === note.onsetTicks &&
        !before.articulations.includes("breath");
    });
    const ends = slurEnds(joined, (i) => line[i]!.source.slurStart === true);
    return line.map(({ note }, i) => ({ ...note, ...ends[i]! }));
  });
}

/** Quarters for which a sign of two notes in turn can be printed. */
const PRINTED_PAIRS = [4, 3, 2, 3 / 2, 1, 1 / 2];

/** Two notes in turn are equally long, so that both are printed with all of their time: where a breath took some, both give it; one that is left alone is held. */
function pairedAgain(notes: readonly NoteToDress[], quarter: Ticks): readonly NoteToDress[] {
  if (!notes.some((n) => n.alternates)) return notes;
  const paired: NoteToDress[] = [];
  for (let i = 0; i < notes.length; i++) {
    const [a, b] = [notes[i]!, notes[i + 1]];
    const isPair = a.alternates && b?.alternates && b.onsetTicks === a.onsetTicks + a.durationTicks;
    const printed = isPair && PRINTED_PAIRS.find((v) => v * quarter <= a.durationTicks + b.durationTicks);
    if (isPair && printed) {
      const durationTicks = printed * quarter / 2;
      paired.push({ ...a, durationTicks }, { ...b, onsetTicks: a.onsetTicks + durationTicks, durationTicks });
      i++;
    } else {
      const { alternates: _alone, ...held } = a;
      paired.push(held);
    }
  }
  return paired;
}

/**
 * Slashes as the figure has them: those of an unmeasured tremolo are enough for the tempo, and say that they are; those
 * that are counted give the same strokes on short notes as on long ones.
 */
function slashesOf(
  { part, onsetTicks, durationTicks, soundingPitch, untrilled, alternates }: PlainNote,
  { figure, ticksPerQuarter, clock }: Dressing,
): Partial<Pick<Note, "tremoloSlashes" | "tremoloAlternates" | "tremolo">> {
  const slashes = figure.tremoloSlashes;
  if (slashes === 0 || untrilled) return {};
  const none = { tremoloSlashes: 0, tremoloAlternates: false };
  if (slashes < UNMEASURED_FROM) {
    const halvings = Math.max(0, Math.log2(ticksPerQuarter / durationTicks));
    const left = Math.max(0, slashes - Math.ceil(halvings));
    return left === 0 ? none : { ...none, tremoloSlashes: left, tremolo: "measured" };
  }
  if (figure.tones === "alternating" && !alternates) return none;
  const note = makeNote({ part, onsetTicks, durationTicks, soundingPitch });
  const enough = tremoloSlashesFor(note, { ticksPerQuarter, clock });
  return {
    tremoloSlashes: Math.max(slashes, enough),
    tremoloAlternates: alternates === true,
    tremolo: "unmeasured",
  };
}

/** How notes are slurred. */
interface SlurOptions {
  /** Whether notes on one pitch are joined, too. */
  readonly repeats?: boolean;
  /** Whether a slur goes on over a bar line under a note that is held over it. */
  readonly goesOn?: boolean;
}

/**
 * One slur per bar and part over notes that follow each other without a gap and change pitch, or repeat it if asked; if asked it goes
 * on over one bar line where a note is held into the next bar, as a suspension that resolves.
 */
export function slur(
  notes: readonly Note[],
  barOf: (ticks: Ticks) => number,
  { repeats = false, goesOn = false }: SlurOptions = {},
): readonly Note[] {
  const byPart = Map.groupBy(notes, (n) => n.part);
  return [...byPart.values()].flatMap((line) => {
    const sorted = line.toSorted((a, b) => a.onsetTicks - b.onsetTicks);
    // Chords of a hand are struck anew.
    if (sorted.some((n, i) => n.onsetTicks === sorted[i - 1]?.onsetTicks)) return sorted;
    const joined: boolean[] = [];
    let hasGoneOn = false;
    sorted.forEach((n, i) => {
      const before = sorted[i - 1];
      const follows = before !== undefined && before.onsetTicks + before.durationTicks === n.onsetTicks &&
        (repeats || before.soundingPitch !== n.soundingPitch);
      const isInBar = follows && barOf(before.onsetTicks) === barOf(n.onsetTicks);
      const isHeldOver = follows && goesOn && !hasGoneOn && barOf(n.onsetTicks - 1) === barOf(n.onsetTicks);
      joined.push(isInBar || isHeldOver);
      hasGoneOn = isInBar ? hasGoneOn : isHeldOver;
    });
    const ends = slurEnds(joined);
    return sorted.map((n, i) => ({ ...n, ...ends[i]! }));
  });
}
