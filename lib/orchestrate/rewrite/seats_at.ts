/** The parts of a finished score as an orchestra that can be written for. */
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import type { Part, Score } from "../../score/model.ts";
import type { Ticks } from "../../base/units.ts";

/** The instrument a part has in hand at a place. */
function instrumentAt(part: Part, ticks: Ticks): string {
  return part.instrumentChanges?.findLast((change) => change.fromTicks <= ticks)?.instrument ??
    part.instrument;
}

/** Who sits in the parts of a score at a place: names, players, and what they have in hand there. */
export function seatsAt(score: Score, ticks: Ticks): readonly OrchestraPart[] {
  return score.parts.map((part) => ({
    name: part.name,
    instrument: instrumentAt(part, ticks),
    players: part.players,
  }));
}
