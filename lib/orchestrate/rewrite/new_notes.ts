/** The notes that wishes ask for, written over the chords of a score, under its lead and over its bass. */
import type { Ticks } from "../../base/units.ts";
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { soundingNotes } from "../../score/build.ts";
import { DEFAULT_DYNAMIC, dynamicMark, dynamicOf } from "../../score/dynamics.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import { figureById } from "../../texture/figures.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import type { Assignment, Passage } from "../plan/plan.ts";
import type { Sketch } from "../plan/sketch.ts";
import { realiserBeside, type StandingNotes } from "../realise/realiser.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { BarsFound } from "./bars_asked.ts";
import { notesWithRole } from "./lead_line.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { refuseGroundless } from "./refuse_groundless.ts";
import { seatsAt } from "./seats_at.ts";
import { barsInWords, sketchOfBars } from "./sketch_from.ts";
import { barIndexesOf, isRewritten, lowestBeside } from "./stays.ts";
import { figureNameOf, isForNotes, layerOf, ownFiguresOf, type WrittenWish } from "./wish.ts";

/** What wishes are written over. */
export interface Ground {
  readonly texture: Texture;
  readonly harmony: Pick<HarmonyReading, "spans">;
}

/**
 * A score that holds only what the wishes ask for, in the parts of the score it is for and on a grid that is as fine or finer.
 *
 * @throws {InputError} where there is no chord to write on, or none that is sure enough, no tune for a lead, and for what nobody
 *   can play
 */
export function newNotes(
  score: Score,
  placed: readonly PlacedWish[],
  { texture, harmony }: Ground,
): Score | undefined {
  const asked = placed.filter((p): p is PlacedWish & { readonly wish: WrittenWish } => isForNotes(p.wish));
  if (asked.length === 0) return undefined;
  const bars = spanOf(asked.map((p) => p.bars));
  const sketch = numbered(sketchOfBars(score, { texture, harmony, bars }));
  const figures = ownFiguresOf(asked.map((p) => p.wish));
  const passages = asked.map((one): Passage => {
    const layer = layerFor(score, texture, one);
    const figure = figureById(layer.figure) ?? figures.find((f) => f.id === layer.figure)!;
    refuseGroundless(score, { placed: one, figure, all: placed, sketch, texture, harmony });
    return {
      name: barsInWords(score, one.bars),
      fromBar: Number(sketch.score.bars[one.bars.fromBarIndex]!.number),
      toBar: Number(sketch.score.bars[one.bars.toBarIndex]!.number),
      assignments: [layer],
    };
  });
  const write = realiserBeside(sketch, {
    orchestra: seatsAt(score, bars.startTicks),
    tacetParts: true,
    refuseImpossible: false,
  }, standingNotes(score, texture, { bars, placed }));
  const { score: written, refusalFor } = write({
    name: score.source,
    passages,
    figures,
  });
  const refusal = refusalFor(playability(written).findings);
  if (refusal) throw refusal;
  return written;
}

/** The bars from the first of some to the last. */
export function spanOf(all: readonly BarsFound[]): BarsFound {
  return {
    fromBarIndex: Math.min(...all.map((b) => b.fromBarIndex)),
    toBarIndex: Math.max(...all.map((b) => b.toBarIndex)),
    startTicks: Math.min(...all.map((b) => b.startTicks)),
    endTicks: Math.max(...all.map((b) => b.endTicks)),
  };
}

/** A sketch whose bars can be told by their numbers, counted from 1 where the printed ones cannot. */
function numbered(sketch: Sketch): Sketch {
  const { bars } = sketch.score;
  const isPlain = new Set(bars.map((b) => b.number)).size === bars.length &&
    bars.every((b) => /^\d+$/.test(b.number));
  if (isPlain) return sketch;
  return {
    ...sketch,
    score: { ...sketch.score, bars: bars.map((bar, i) => ({ ...bar, number: String(i + 1) })) },
  };
}

/**
 * The layer of a wish, with what the parts have there where it says nothing: their mutes, and their loudness; of a lead that is to
 * accompany, that of what accompanies.
 */
function layerFor(
  score: Score,
  texture: Texture,
  { wish, bars, parts }: Pick<PlacedWish, "bars" | "parts"> & { readonly wish: WrittenWish },
): Assignment {
  const around = soundingNotes(score).filter((n) =>
    n.onsetTicks < bars.endTicks && n.onsetTicks + n.durationTicks > bars.startTicks
  );
  const own = around.filter((n) => parts.includes(n.part));
  const isMuted = own.length > 0 && own.every((n) => n.technique === "con sordino");
  const asThere = {
    ...(isMuted ? { technique: "con sordino" as const } : {}),
    // A second line is a melody, and sung; inner voices have the slurs they are written with.
    ...(wish.role === "counterline" && figureNameOf(wish) !== "inner voices"
      ? { articulation: "slurred" as const }
      : {}),
  };
  const isLead = (n: Note) => roleAt(score, texture, n) === "lead";
  const beside = around.filter((n) => !isLead(n));
  // Who led and steps back, or rested and comes in, is as loud as those who accompany.
  const isStepping = wish.role !== "lead" && own.filter(isLead).length >= own.length / 2 && beside.length > 0;
  const loudness = loudnessOf(isStepping ? beside : own.length > 0 ? own : around);
  const layer = layerOf(
    { ...asThere, ...wish },
    wish.role === "counterline"
      ? under(loudness, loudnessOf(around.filter((n) => isLead(n) && !own.includes(n))))
      : loudness,
  );
  return { ...layer, parts: parts.map((p) => score.parts[p]!.name) };
}

/**
 * Parts of a wish that keep the dynamics they have: where it does not speak of these, parts that play there already, but for those
 * that step back from the lead or go against it.
 */
export function keepDynamics(
  score: Score,
  texture: Texture,
  { wish, bars, parts }: PlacedWish,
): readonly number[] {
  if (wish.dynamic !== undefined || wish.role === "counterline") return [];
  const own = Map.groupBy(
    soundingNotes(score).filter((n) =>
      parts.includes(n.part) && n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks
    ),
    (n) => n.part,
  );
  const led = [...own.values()].flat().filter((n) => roleAt(score, texture, n) === "lead").length;
  const isStepping = wish.role !== "lead" && led > [...own.values()].flat().length / 2;
  return isStepping ? [] : [...own.keys()];
}

/** How loud those are, as a mark, that accompany from the start of some bars to a place, parts of a wish apart; undefined where nobody does. */
export function loudnessBeside(
  score: Score,
  texture: Texture,
  { bars, parts, toTicks }: Pick<PlacedWish, "bars" | "parts"> & { readonly toTicks: Ticks },
): string | undefined {
  const beside = soundingNotes(score).filter((n) =>
    !parts.includes(n.part) && n.onsetTicks < toTicks && n.onsetTicks + n.durationTicks > bars.startTicks &&
    roleAt(score, texture, n) !== "lead"
  );
  return beside.length === 0 ? undefined : loudnessOf(beside).dynamic;
}

/** No line is asked to be softer than pp by itself. Common practice, no source. */
const SOFTEST_LINE = 2;

/** A loudness a step below another at the least: what goes against a lead leaves it in front. */
function under(
  own: Pick<Assignment, "dynamic" | "dynamicEnd">,
  lead: Pick<Assignment, "dynamic" | "dynamicEnd">,
): Pick<Assignment, "dynamic" | "dynamicEnd"> {
  const softer = (a: string, b: string) =>
    dynamicMark(Math.min(dynamicOf(a)!, Math.max(SOFTEST_LINE, dynamicOf(b)! - 1)));
  return {
    dynamic: softer(own.dynamic, lead.dynamic),
    dynamicEnd: softer(own.dynamicEnd, lead.dynamicEnd),
  };
}

/** What a part is for where a note begins. */
function roleAt(score: Score, { cells }: Texture, { onsetTicks, part }: Note): Role | undefined {
  return cells[barIndexOf(score, onsetTicks) * score.parts.length + part]?.role;
}

/** Share of the notes that are as loud as the last from which the first was a stroke before, and no way leads from it. Model assumption. */
const MOST_NOTES = 0.5;

/** How loud some notes in order begin and end, as marks; where most are as loud as the last, they are so from the start. */
function loudnessOf(notes: readonly Note[]): Pick<Assignment, "dynamic" | "dynamicEnd"> {
  const meanOf = (some: readonly Note[]) => some.reduce((sum, n) => sum + n.dynamic, 0) / some.length;
  if (notes.length === 0) {
    return { dynamic: dynamicMark(DEFAULT_DYNAMIC), dynamicEnd: dynamicMark(DEFAULT_DYNAMIC) };
  }
  const [first, last] = [notes[0]!.onsetTicks, notes.at(-1)!.onsetTicks];
  const dynamic = dynamicMark(meanOf(notes.filter((n) => n.onsetTicks === first)));
  const dynamicEnd = dynamicMark(meanOf(notes.filter((n) => n.onsetTicks === last)));
  const asAtEnd = notes.filter((n) => dynamicMark(n.dynamic) === dynamicEnd).length;
  return { dynamic: asAtEnd > MOST_NOTES * notes.length ? dynamicEnd : dynamic, dynamicEnd };
}

/**
 * Leads and basses that stay: notes of those roles in parts and bars that no wish is about; where a bass is wished for also what
 * lies lowest beside it and does not lead, whatever it is for.
 */
function standingNotes(
  score: Score,
  texture: Texture,
  { bars, placed }: { readonly bars: BarsFound; readonly placed: readonly PlacedWish[] },
): StandingNotes {
  const lowest = new Set(
    placed.filter((p) => p.wish.role === "bass").flatMap((one) => {
      const under = lowestBeside(score, { placed: one, all: placed });
      return barIndexesOf(one).map((barIndex, i) => `${barIndex} ${under[i]?.part}`);
    }),
  );
  const isBass = ({ role, barIndex, part }: RoleCell) =>
    role === "bass" || role !== "lead" && lowest.has(`${barIndex} ${part}`);
  const having = (isWanted: (cell: RoleCell) => boolean) =>
    notesWithRole(score, texture, {
      bars,
      has: (cell) => isWanted(cell) && !isRewritten(placed, cell.part, cell.barIndex),
    })
      .filter((n) => !n.unpitched);
  return { lead: having((cell) => cell.role === "lead"), bass: having(isBass) };
}
