/** One cause for what no player could do: a tempo that may be misread. */
import type { Score } from "../../score/model.ts";
import { type FindingPlace, held } from "./judge.ts";
import { isWorse } from "./gather_places.ts";

/** Different instruments that have to be beyond their rates before the tempo is doubted. Model assumption. */
const FEWEST_INSTRUMENTS = 3;

/** A beat read as the next longer value, the usual slip, plays twice as fast. */
const MISREAD = 2;

/**
 * Where several instruments are asked for rates that nobody has under one tempo, and none at half of it, the tempo is
 * doubted rather than each of them: one place names it, and theirs are called risky.
 */
export function withDoubtfulTempos(places: readonly FindingPlace[], score: Score): readonly FindingPlace[] {
  const tempoOf = (place: FindingPlace) =>
    score.tempos.findLastIndex((t) => t.onsetTicks <= place.onsetTicks);
  const beyond = places.filter((p) => p.severity === "impossible" && p.unit === "notes per second");
  const doubts = new Map<number, FindingPlace>();
  for (const [tempo, own] of Map.groupBy(beyond, tempoOf)) {
    const instruments = new Set(own.map((p) => score.parts[p.part]!.instrument));
    if (instruments.size < FEWEST_INSTRUMENTS || own.some((p) => p.figure > MISREAD * p.limit)) continue;
    const worst = own.reduce((a, b) => isWorse(b, a) ? b : a);
    const { quartersPerMinute } = score.tempos[tempo]!;
    doubts.set(tempo, {
      ...own.reduce((a, b) => b.onsetTicks < a.onsetTicks ? b : a),
      severity: "impossible",
      rule: "tempo",
      what: `${own.length} places in ${instruments.size} instruments go faster than anybody plays at ${
        Math.round(quartersPerMinute)
      } quarters a minute (${worst.partName} at ${
        worst.figure.toFixed(1)
      } notes per second), and none at half of it`,
      ...held(quartersPerMinute, quartersPerMinute / MISREAD, "quarters per minute"),
      source: "model assumption: a beat read as the next longer value plays twice as fast",
      remedy: "Check the tempo and the note value of its beat in the file; if it is meant, slow it down",
    });
  }
  if (doubts.size === 0) return places;
  const doubted = new Set(beyond.filter((p) => doubts.has(tempoOf(p))));
  return [
    ...places.map((p): FindingPlace =>
      doubted.has(p) ? { ...p, severity: "risky", what: `${p.what} (at a doubtful tempo)` } : p
    ),
    ...doubts.values(),
  ];
}
