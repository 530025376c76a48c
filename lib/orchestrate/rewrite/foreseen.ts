/** What stands against hearing a part as what it is wished for, known before a note is written. */
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import { registerFor } from "../realise/register_for.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { seatsAt } from "./seats_at.ts";
import { type AmongWishes, barIndexesOf, leadsBeside, lowestBeside, pitchesIn } from "./stays.ts";

/** Semitones a part needs between its register and a lead to lie below it. Model assumption. */
const ROOM_BELOW = 7;

/** What is a bass by its place where nothing lies lower. */
const MAY_LIE_LOWEST: readonly Role[] = ["pad", "pulse", "counterline"];

/** A bar in which something stands against hearing a part as it was wished, with what does. */
export interface BarWithReason {
  readonly barIndex: number;
  readonly why: string;
}

/**
 * The bars in which a part cannot be heard as a wish has it, from what goes on beside it alone; none for wishes that keep the
 * notes.
 *
 * @returns bars in order, each with a reason such as `nobody else leads`
 */
export function foreseenFor(
  score: Score,
  texture: Texture,
  { part, ...among }: AmongWishes & { readonly part: number },
): readonly BarWithReason[] {
  const { placed: { wish: { role, octave }, bars: { startTicks } }, all } = among;
  if (role === undefined || role === "rest" || role === "lead" || role === "bass") return [];
  const instrument = instrumentById(seatsAt(score, startTicks)[part]!.instrument);
  const { low, high, home = (low + high) / 2 } = registerFor(instrument, role, octave ?? 0);
  const leads = leadsBeside(score, texture, among);
  const pitches = pitchesIn(score, among.placed);
  const lowest = lowestBeside(score, among);
  return barIndexesOf(among.placed).flatMap((barIndex, i): readonly BarWithReason[] => {
    const led = pitches[i]!.filter((p) => leads[i]!.includes(p.part));
    const under = lowest[i];
    const isAbove = led.length > 0 && led.every(({ pitch }) => pitch < low + ROOM_BELOW);
    const isLowest = !givesBass(all, barIndex) && (under === undefined || under.pitch > home);
    const why = leads[i]!.length === 0
      ? "nobody else leads"
      : instrument.unpitched
      ? undefined
      : isAbove
      ? `it cannot lie below the lead, ${score.parts[led[0]!.part]!.name}`
      : MAY_LIE_LOWEST.includes(role) && isLowest
      ? "nothing lies below it"
      : undefined;
    return why === undefined ? [] : [{ barIndex, why }];
  });
}

/** Whether a wish gives somebody the bass in a bar. */
function givesBass(all: readonly PlacedWish[], barIndex: number): boolean {
  return all.some(({ wish, bars }) =>
    wish.role === "bass" && barIndex >= bars.fromBarIndex && barIndex <= bars.toBarIndex
  );
}
