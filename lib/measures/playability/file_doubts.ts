/** What lies in the file and in no player: a tempo that may be misread, figures that nobody writes in earnest. */
import { allPitches } from "../../instruments/all_pitches.ts";
import type { Score, Tempo } from "../../score/model.ts";
import { tempoWordIn } from "../../score/tempo_words.ts";
import { type FindingPlace, held } from "./judge.ts";
import { isWorse } from "./gather_places.ts";

/**
 * Places with what the file may have wrong said as such: slips of values and pitches, and tempos that are doubted rather
 * than each of those who cannot follow them.
 */
export function withFileDoubts(places: readonly FindingPlace[], score: Score): readonly FindingPlace[] {
  return withDoubtfulTempos(withSlips(places), score);
}

/** Notes per second from which a line is no line any more but a slip of values or tempo; tones fuse far below. Model assumption. */
const NOBODY_FROM = 40;

/** Semitones beyond the lowest and highest of all instruments from which a pitch is a slip. Model assumption. */
const BEYOND_ALL = 24;

const REMEDY = "Check the values, the tempo and the transposition in the file, and export it again";

/**
 * Places that are asked of no player: rates from 40 notes a second, and pitches two octaves beyond all instruments. They are worth
 * a look at the file, and no finding against whoever plays the part.
 */
function withSlips(places: readonly FindingPlace[]): readonly FindingPlace[] {
  const { low, high } = allPitches();
  const isNowhere = (pitch: number) => pitch < low - BEYOND_ALL || pitch > high + BEYOND_ALL;
  return places.map((place): FindingPlace => {
    const { rule, unit, figure, what } = place;
    const tooQuick = unit === "notes per second" && figure >= NOBODY_FROM;
    const nowhere = rule === "range" && isNowhere(figure);
    if (!tooQuick && !nowhere) return place;
    const doubt = tooQuick ? "nobody writes that for a player" : "no instrument is near that pitch";
    return {
      ...place,
      severity: "note",
      rule: "check the file",
      what: `${what}; ${doubt}`,
      source: "model assumption: a slip of the file",
      remedy: REMEDY,
    };
  });
}

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
function withDoubtfulTempos(places: readonly FindingPlace[], score: Score): readonly FindingPlace[] {
  const tempoOf = (place: FindingPlace) =>
    score.tempos.findLastIndex((t) => t.onsetTicks <= place.onsetTicks);
  const quick = places.filter((p) =>
    p.unit === "notes per second" && p.figure > p.limit && p.rule !== "check the file"
  );
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
