/** Wishes written so that they are heard as what they ask for, or refused. */
import { InputError } from "../../base/errors.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { registerFor } from "../realise/register_for.ts";
import { changesOf } from "./changes_of.ts";
import { heardInstead } from "./heard_as.ts";
import type { PlacedWish } from "./place_wishes.ts";
import type { PartChange } from "./rewrite_results.ts";
import type { Ground } from "./new_notes.ts";
import { rewriteOver, type WrittenOver } from "./write_over.ts";
import { seatsAt } from "./seats_at.ts";
import { leadsBeside, pitchesIn } from "./stays.ts";
import { figureNameOf, isForNotes, ownFiguresOf, type Wish } from "./wish.ts";
import { figureById } from "../../texture/figures.ts";

/** Octaves in which notes are tried that are not heard as they were asked for: lower first, since there they leave the lead alone. */
const OCTAVES = [-1, 1] as const;

/** Share of its bars in which a part is heard as it was asked for, or the wish is refused. Model assumption. */
const HEARD_FROM = 0.5;

/** What wishes gave. */
interface AsAsked extends WrittenOver {
  /** The wishes on the grid of the score they are for, with the octaves they were written in. */
  readonly asked: readonly PlacedWish[];
  readonly changes: readonly PartChange[];
}

/**
 * Writes wishes and reads the notes again. A wish for notes that are heard otherwise in some bars, and that leaves the octave open, is tried an
 * octave lower and higher, and stays where most of its bars are heard as it asks; no higher than usual, nor above a lead it lay below. One that is heard so in less than half of a part's bars
 * is refused, unless it is insisted on; who has the tune or a line as it is written, and what figures of one's own are, is the asker's word.
 *
 * @throws {InputError} what {@linkcode rewriteOver} throws, and for what would be heard as something else
 */
export function writtenAsAsked(
  score: Score,
  placed: readonly PlacedWish[],
  ground: Ground & { readonly insist?: boolean | undefined },
): AsAsked {
  const { texture } = ground;
  const changesIn = (written: WrittenOver, i: number) =>
    changesOf({ score: written.before, texture }, written, written.placed[i]!);
  let asked = placed;
  let written = rewriteOver(score, placed, ground);
  for (const [i, one] of placed.entries()) {
    if (!isJudged(one.wish) || (one.wish.octave ?? null) !== null) continue;
    let least = otherwiseIn(changesIn(written, i));
    for (const octave of least > 0 ? OCTAVES : []) {
      const moved = asked.with(i, { ...one, wish: { ...one.wish, octave } });
      const other = unlessRefused(() => rewriteOver(score, moved, ground));
      const isWorse = other === undefined || pressesIn(other, texture, i) > pressesIn(written, texture, i);
      const now = isWorse ? Infinity : otherwiseIn(changesIn(other, i));
      if (now < least) [asked, written, least] = [moved, other!, now];
    }
  }
  const changes = placed.flatMap((_, i) => changesIn(written, i));
  if (ground.insist !== true) refuseUnheard(placed, changes);
  return { ...written, asked, changes };
}

/** Whether it is judged what the notes of a wish are heard as: who has the tune, or a line as it is written, is the asker's word. */
function isJudged(wish: Wish): boolean {
  return isForNotes(wish) && wish.role !== "lead" && !figureById(figureNameOf(wish) ?? "")?.asWritten;
}

/** Bars in which parts are heard otherwise than they were asked to be. */
function otherwiseIn(changes: readonly PartChange[]): number {
  return changes.reduce((sum, c) => sum + c.otherwiseIn.length, 0);
}

/** Bars of the parts of a wish that lie above the lead, or more than an octave above where they lie best in their role. */
function pressesIn({ score, placed }: WrittenOver, texture: Texture, i: number): number {
  const one = placed[i]!;
  const leads = leadsBeside(score, texture, { placed: one, all: placed });
  const seats = seatsAt(score, one.bars.startTicks);
  const highest = new Map(one.parts.map((p) => {
    const { home, high } = registerFor(instrumentById(seats[p]!.instrument), one.wish.role!);
    return [p, home === undefined ? high : Math.min(high, home + 12)];
  }));
  return pitchesIn(score, one).reduce((sum, pitches, k) => {
    const led = pitches.filter(({ part }) => leads[k]!.includes(part));
    const pressing = pitches.filter(({ part, pitch }) =>
      pitch > (highest.get(part) ?? Infinity) ||
      highest.has(part) && led.length > 0 && led.every((l) => l.pitch < pitch)
    );
    return sum + pressing.length;
  }, 0);
}

function unlessRefused<Result>(write: () => Result): Result | undefined {
  try {
    return write();
  } catch (error) {
    if (error instanceof InputError) return undefined;
    throw error;
  }
}

/** Refuses a wish for notes that would be heard as something else in most bars of a part. */
function refuseUnheard(placed: readonly PlacedWish[], changes: readonly PartChange[]): void {
  const asked = placed.flatMap(({ wish, parts }) => parts.map(() => wish));
  const at = changes.findIndex(({ heardShare }, i) => {
    const wish = asked[i]!;
    return isJudged(wish) && ownFiguresOf([wish]).length === 0 && heardShare < HEARD_FROM;
  });
  if (at < 0) return;
  const { partName, fromBar, toBar, heardAs, because } = changes[at]!;
  const { role } = asked[at]!;
  const [instead] = heardInstead(heardAs, role!).split(": ");
  throw new InputError({
    action: "rewrite the score",
    problem:
      `in most of bars ${fromBar} to ${toBar} it would be heard as ${instead}, not as ${role} (${because})`,
    where: { part: partName },
    remedy: `${
      instead === "lead" || instead === "bass" ? `Give somebody else the ${instead}` : `Wish for ${instead}`
    }, choose other parts or bars, or insist on it (--insist)`,
  });
}
