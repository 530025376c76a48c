/** One cause for what no player could do: a tempo that may be misread. */
import type { Score, Tempo } from "../../score/model.ts";
import { tempoWordIn } from "../../score/tempo_words.ts";
import { type FindingPlace, held } from "./judge.ts";
import { isWorse } from "./gather_places.ts";

/** Different instruments that have to be beyond their rates before the tempo is doubted. Model assumption. */
const FEWEST_INSTRUMENTS = 3;

/** A beat read as the next longer value, the usual slip, plays twice as fast. */
const MISREAD = 2;

/** Beats a minute up to which a word is slow: adagio and slower. Common practice, no source. */
const SLOW_WORD = 66;

/**
 * Where several instruments are asked for rates that nobody has under one tempo, and none at half of it, the tempo is
 * doubted rather than each of them: one place names it, and theirs are called risky. A slow word is doubted sooner: where
 * its figure is quicker than the word is usually taken, and several instruments are at their rates.
 */
export function withDoubtfulTempos(places: readonly FindingPlace[], score: Score): readonly FindingPlace[] {
  const tempoOf = (place: FindingPlace) =>
    score.tempos.findLastIndex((t) => t.onsetTicks <= place.onsetTicks);
  const quick = places.filter((p) => p.unit === "notes per second" && p.figure > p.limit);
  const doubts = new Map<number, Doubt>();
  for (const [tempo, own] of Map.groupBy(quick, tempoOf)) {
    const doubt = beyondEverybody(own, score, score.tempos[tempo]!) ??
      quickForItsWord(own, score, score.tempos[tempo]!);
    if (doubt) doubts.set(tempo, doubt);
  }
  if (doubts.size === 0) return places;
  const doubted = new Set([...doubts.values()].flatMap((d) => d.places));
  return [
    ...places.map((p): FindingPlace =>
      doubted.has(p)
        ? {
          ...p,
          severity: p.severity === "impossible" ? "risky" : p.severity,
          what: `${p.what} (at a doubtful tempo)`,
        }
        : p
    ),
    ...[...doubts.values()].map((d) => d.named),
  ];
}

/** A tempo that is doubted, in one place, and the places that rest on it. */
interface Doubt {
  readonly named: FindingPlace;
  readonly places: readonly FindingPlace[];
}

/** What several instruments cannot do, and all could at half the tempo. */
function beyondEverybody(quick: readonly FindingPlace[], score: Score, tempo: Tempo): Doubt | undefined {
  const places = quick.filter((p) => p.severity === "impossible");
  const instruments = instrumentsOf(places, score);
  if (instruments < FEWEST_INSTRUMENTS || places.some((p) => p.figure > MISREAD * p.limit)) return undefined;
  const worst = places.reduce((a, b) => isWorse(b, a) ? b : a);
  const what = `${places.length} places in ${instruments} instruments go faster than anybody plays at ${
    Math.round(tempo.quartersPerMinute)
  } quarters a minute (${worst.partName} at ${
    worst.figure.toFixed(1)
  } notes per second), and none at half of it`;
  return { places, named: named(places, tempo, { severity: "impossible", what }) };
}

/** A slow word with a quick figure, under which several instruments are at their rates. */
function quickForItsWord(places: readonly FindingPlace[], score: Score, tempo: Tempo): Doubt | undefined {
  const found = tempo.origin === "marked" ? tempoWordIn(tempo.words ?? "") : undefined;
  const { quartersPerMinute: quarters } = tempo;
  if (found === undefined || found.beatsPerMinute > SLOW_WORD || quarters <= found.beatsPerMinute) {
    return undefined;
  }
  const instruments = instrumentsOf(places, score);
  if (instruments < FEWEST_INSTRUMENTS) return undefined;
  const what =
    `${
      Math.round(quarters)
    } quarters a minute is quick for “${tempo.words}”, about ${found.beatsPerMinute} as a guide, and ${places.length} places in ${instruments} instruments are beyond what is comfortable there; ` +
    `the figure may count the next shorter value`;
  return { places, named: named(places, tempo, { severity: "risky", what }) };
}

function instrumentsOf(places: readonly FindingPlace[], score: Score): number {
  return new Set(places.map((p) => score.parts[p.part]!.instrument)).size;
}

/** The doubt at the first of its places. */
function named(
  places: readonly FindingPlace[],
  { quartersPerMinute }: Tempo,
  said: Pick<FindingPlace, "severity" | "what">,
): FindingPlace {
  return {
    ...places.reduce((a, b) => b.onsetTicks < a.onsetTicks ? b : a),
    ...said,
    rule: "tempo",
    ...held(quartersPerMinute, quartersPerMinute / MISREAD, "quarters per minute"),
    source: "model assumption: a beat read as the next longer value plays twice as fast",
    remedy: "Check the tempo and the note value of its beat in the file; if it is meant, slow it down",
  };
}
