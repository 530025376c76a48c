/** Wishes with their bars and parts found in the score. */
import { InputError } from "../../base/errors.ts";
import { either } from "../../base/words.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import { partsNear, seatsNamed } from "../plan/place_assignments.ts";
import { barsAsked, type BarsFound } from "./bars_asked.ts";
import { seatsAt } from "./seats_at.ts";
import type { Wish } from "./wish.ts";

/** A wish with its bars and parts found. */
export interface PlacedWish {
  readonly wish: Wish;
  readonly bars: BarsFound;
  /** Part indexes, each once. */
  readonly parts: readonly number[];
}

/** Finds bars and parts of some wishes; refuses what the score does not have, and two wishes for a part in one bar. */
export function placeWishes(score: Score, wishes: readonly Wish[], action: string): readonly PlacedWish[] {
  const placed = wishes.map((wish): PlacedWish => {
    const bars = barsAsked(score, wish, { action });
    return { wish, bars, parts: partsNamed(score, wish.parts, { action, bars }) };
  });
  const taken = new Set<string>();
  for (const { bars, parts } of placed) {
    for (const part of parts) {
      for (let b = bars.fromBarIndex; b <= bars.toBarIndex; b++) {
        const key = `${part} ${b}`;
        if (taken.has(key)) {
          throw new InputError({
            action,
            problem: `two wishes are for the same part`,
            where: { part: score.parts[part]!.name, bar: score.bars[b]!.number },
            remedy: "Give a part one wish in a bar",
          });
        }
        taken.add(key);
      }
    }
  }
  return placed;
}

/** Indexes of the parts of a score that some names mean. */
export function partsNamed(
  score: Score,
  names: readonly string[],
  { action, bars }: { readonly action: string; readonly bars: BarsFound },
): readonly number[] {
  const seats = seatsAt(score, bars.startTicks)
    .map((part) => ({ part, instrument: instrumentById(part.instrument) }));
  const refuse = (problem: string, remedy: string) =>
    new InputError({ action, problem, where: { file: score.source }, remedy });
  if (names.length === 0) throw refuse("a wish names no part", partsNear("", score.parts));
  return [
    ...new Set(names.flatMap((name) => {
      const alike = score.parts.filter((p) => p.name === name).length;
      if (alike > 1) {
        throw refuse(
          `${alike} parts are called "${name}"`,
          `Give them names of their own in the score, such as "${name} 1" and "${name} 2"`,
        );
      }
      const found = seatsNamed(name, seats);
      if (found.length === 0) throw refuse(`there is no part "${name}"`, otherNames(name, seats));
      return found;
    })),
  ].sort((a, b) => a - b);
}

/** Names that could be meant: the numbered parts of a name, and its plural for all of them; else those that are nearest. */
function otherNames(name: string, seats: Parameters<typeof seatsNamed>[1]): string {
  const numbered = seatsNamed(`${name.trim()}s`, seats).map((seat) => seats[seat]!.part.name);
  if (numbered.length === 0) return partsNear(name, seats.map((s) => s.part));
  return `Name ${either([...numbered.map((one) => `"${one}"`), `"${name.trim()}s" for all of them`])}`;
}
