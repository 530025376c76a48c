/** The turn in which a trill ends: part of the trill, not of the line. */
import type { Note } from "../../score/model.ts";

/** Whether a bar ends in the turn of a trill: two notes without its sign, the one below and the trilled one. */
export function endsInTurn(line: readonly Note[]): boolean {
  const [trilled, below, main] = line.slice(-3);
  return trilled !== undefined && below !== undefined && main !== undefined &&
    trilled.trill && !below.trill && !main.trill && main.soundingPitch === trilled.soundingPitch &&
    Math.abs(trilled.soundingPitch - below.soundingPitch - 2) <= 1;
}

/** A bar that ends in a turn, with the trill in its place. */
export function withoutTurn(line: readonly Note[]): readonly Note[] {
  const trilled = line.at(-3)!;
  const last = line.at(-1)!;
  return [
    ...line.slice(0, -3),
    { ...trilled, durationTicks: last.onsetTicks + last.durationTicks - trilled.onsetTicks },
  ];
}
