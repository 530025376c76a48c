/** What a player will stumble over, where, by which rule and source, and what to do about it. */
import { A_SCORE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { atPlace } from "../../base/errors.ts";
import { notesByPart, soundingNotes } from "../../score/build.ts";
import { DEFAULT_DYNAMIC } from "../../score/dynamics.ts";
import type { Note, Part, Score, Tempo } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { partsToldApart } from "../../score/told_apart.ts";
import { applySettings } from "../../base/settings.ts";
import { breathPlaces } from "./breath_places.ts";
import { type Cast, castOf, instrumentChangePlaces } from "./cast.ts";
import { changePlaces, mannerPlaces, tonguingSignPlaces } from "./change_places.ts";
import { chordPlaces } from "./chord_places.ts";
import { PLAYABILITY_CONSTANTS, type PlayabilitySettings } from "./playability_constants.ts";
import { exposurePlaces, loudTuttiBars } from "./exposure_places.ts";
import { glissandoPlaces } from "./glissando_places.ts";
import { keyPlaces } from "./key_places.ts";
import { leapPlaces } from "./leap_places.ts";
import { bowStrokePlaces, ornamentPlaces } from "./ornament_places.ts";
import { withFileDoubts } from "./file_doubts.ts";
import { gatherPlaces, SEVERITIES } from "./gather_places.ts";
import { type FindingPlace, type Judge, lineOf } from "./judge.ts";
import { rangePlaces, registerPlaces } from "./range_places.ts";
import { ratePlaces } from "./rate_places.ts";
import { slidePlaces } from "./slide_places.ts";
import { staminaPlaces } from "./stamina_places.ts";
import { harpPlaces, timpaniPlaces } from "./tuning_places.ts";
import type { Playability, PlayabilityFinding, Severity } from "./playability_results.ts";

export { PLAYABILITY_CONSTANTS } from "./playability_constants.ts";

/** Said wherever limits are reported. */
const PLAYABILITY_CAUTION: string =
  "Limits are guides from the named sources; the players and their teachers decide. " +
  "Stop at pain. Local rules on noise and working time apply.";

/** Options of {@linkcode playability}. */
export interface PlayabilityOptions {
  /** Constants that differ from {@linkcode PLAYABILITY_CONSTANTS}. */
  readonly constants?: Partial<PlayabilitySettings>;
}

const OPTIONS = { constants: undefined };

/**
 * Checks every part against its instrument, one small file per family of rules: range, and registers at their
 * dynamic; repeated-note, legato and trill rates (a limit falls with duration); trills, tremolos and bow strokes;
 * leaps and the trombone's slide; glissandi and slides, in the way the instrument makes them; breath by dynamic and register; stamina, rest and loud exposure; stops, divisi
 * and hands; mutes, plucking and other changes of manner; harp pedals and timpani; transposed key signatures.
 * Places of one rule that follow each other are one finding; {@linkcode gatherFindings} joins parts as well.
 *
 * A part whose instrument is not known is not judged; rates from 40 notes a second and pitches far from all instruments
 * are worth a look at the file and no finding against players. Slashed notes are judged as written out where they are slow enough to be measured; tied notes are one note;
 * cues and grace notes are left out. Tongue and bow are judged by the strokes, fingers by the notes of runs that
 * have slurs in them. Where the tempo is assumed, nothing that depends on it is called impossible; where three
 * instruments and more are beyond everybody under one tempo and none at half of it, the tempo is named instead. A part without
 * any dynamic is not held to its registers' dynamics.
 *
 * Words such as a 2, div. and solo change how many players a line has, and instruments taken up on the way are
 * judged as themselves, with the rest the change needs. Of a MIDI file slurs are not known, and rates are judged
 * as if every note were tongued or bowed.
 *
 * @param score the score
 * @param options constants
 * @returns counts, findings per bar and part, findings with reasons and ways out, most serious first
 * @throws {InputError} when a constant is unknown or not a number
 *
 * Sources: the rows of the instrument catalogue; each finding names its own.
 *
 * @example
 * ```ts
 * import { demoScore, playability } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(playability(demoScore()).whole.impossible, 0);
 * ```
 */
export function playability(score: Score, options: PlayabilityOptions = {}): Playability {
  checkArgument("compute playability", score, A_SCORE);
  checkOptions("compute playability", options, OPTIONS);
  const settings = applySettings("playability", PLAYABILITY_CONSTANTS, options.constants);
  return judgeParts(score, settings, (_part, find) => find());
}

/** A part whose places are wanted, with everything they depend on but the score's bars and tempos. */
interface PartToJudge {
  readonly written: Part;
  readonly notes: readonly Note[];
  /** Bars in which most parts play loud. */
  readonly loudTutti: ReadonlySet<number>;
}

/** As {@linkcode playability}, for callers that judge many scores with parts in common. */
export function judgeParts(
  score: Score,
  settings: PlayabilitySettings,
  recallPlaces: (part: PartToJudge, find: () => readonly FindingPlace[]) => readonly FindingPlace[],
): Playability {
  const clock = clockOf(score);
  const notes = soundingNotes(score);
  const byPart = notesByPart(score);
  const graces = Map.groupBy(score.notes.filter((n) => n.grace && !n.cue), (n) => n.part);
  const loudTutti = loudTuttiBars(notes, score, settings);
  const findPlaces = (part: Part, p: number, own: readonly Note[]): readonly FindingPlace[] => {
    const casts = castOf(part, own);
    const judgeOf = ({ instrument, players }: Pick<Cast, "instrument" | "players">): Judge => ({
      at: { part: p, partName: part.name },
      written: part,
      score,
      graces: graces.get(p) ?? [],
      instrument,
      players,
      clock,
      loudTutti,
      settings,
    });
    return casts.flatMap((cast) => placesOf(cast.notes, judgeOf(cast)))
      .concat(casts[0] ? instrumentChangePlaces(casts, judgeOf(casts[0])) : []);
  };
  const named = partsToldApart(score.parts);
  const places = named.flatMap((part, p): readonly FindingPlace[] => {
    // Of an instrument nobody knows, nothing can be said.
    if (part.instrumentFrom === "fallback") return [];
    const own = byPart[p]!;
    const find = () => atPlace({ part: part.name }, () => findPlaces(part, p, own));
    return recallPlaces({ written: part, notes: own, loudTutti }, find);
  });
  const timed = places.map((place) => underAssumedTempo(place, score.tempos));
  const findings = gatherPlaces(withFileDoubts(timed, score), score);
  return {
    whole: {
      notes: notes.length,
      ...Object.fromEntries(SEVERITIES.map((s) => [s, findings.filter((f) => f.severity === s).length])) as {
        [K in Severity]: number;
      },
    },
    perBar: perBarOf(findings),
    perPart: named.map((part, p) => ({
      part: p,
      partName: part.name,
      findings: findings.filter((f) => f.part === p).length,
    })),
    findings,
    caution: PLAYABILITY_CAUTION,
    settings,
  };
}

/** All rules on one part. */
function placesOf(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const line = lineOf(notes);
  const hasDynamics = notes.some((n) => n.dynamic !== DEFAULT_DYNAMIC);
  return [
    ...rangePlaces(notes, judge),
    ...(hasDynamics ? registerPlaces(notes, judge) : []),
    ...voicesOf(notes).flatMap(({ voice, others }) => [
      ...ratePlaces(voice, judge, { others }),
      ...ornamentPlaces(voice, judge),
      ...bowStrokePlaces(voice, judge),
      ...leapPlaces(voice, judge),
      ...slidePlaces(voice, judge),
      ...changePlaces(voice, judge),
    ]),
    ...breathPlaces(line, judge),
    ...staminaPlaces(line, judge),
    ...exposurePlaces(line, judge),
    ...glissandoPlaces(notes, judge),
    ...chordPlaces(notes, judge),
    ...mannerPlaces(notes, judge),
    ...tonguingSignPlaces(notes, judge),
    ...harpPlaces(notes, judge),
    ...timpaniPlaces(notes, judge),
    ...keyPlaces(line, judge),
  ];
}

/** Voices on one stave are different hands or players: each has its own strokes. */
function voicesOf(
  notes: readonly Note[],
): readonly { readonly voice: readonly Note[]; readonly others: readonly Note[] }[] {
  const voices = [...Map.groupBy(notes, (n) => `${n.staff} ${n.voice}`).values()];
  return voices.map((own) => ({
    voice: lineOf(own),
    others: voices.filter((other) => other !== own).flat(),
  }));
}

const TIMED_UNITS: readonly string[] = [
  "seconds",
  "notes per second",
  "strokes per second",
  "semitones per second",
];

/** What hangs on a tempo nobody wrote is not called impossible, and says so. */
function underAssumedTempo(place: FindingPlace, tempos: readonly Tempo[]): FindingPlace {
  if (!TIMED_UNITS.includes(place.unit)) return place;
  const tempo = tempos.findLast((t) => t.onsetTicks <= place.onsetTicks);
  if (tempo?.origin !== "assumed") return place;
  return {
    ...place,
    severity: place.severity === "impossible" ? "risky" : place.severity,
    what: `${place.what} (the tempo, ${Math.round(tempo.quartersPerMinute)} quarters a minute, is assumed)`,
  };
}

function perBarOf(findings: readonly PlayabilityFinding[]): Playability["perBar"] {
  const counts = new Map<string, { barIndex: number; severity: Severity; findings: number }>();
  for (const f of findings) {
    for (let barIndex = f.fromBarIndex; barIndex <= f.toBarIndex; barIndex++) {
      const key = `${barIndex} ${f.severity}`;
      const entry = counts.get(key) ?? { barIndex, severity: f.severity, findings: 0 };
      counts.set(key, { ...entry, findings: entry.findings + 1 });
    }
  }
  return [...counts.values()].sort((a, b) => a.barIndex - b.barIndex);
}
