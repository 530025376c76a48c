/** What a player will stumble over, where, by which rule and source, and what to do about it. */
import { breathSeconds } from "../instruments/breath.ts";
import { instrumentById } from "../instruments/catalogue.ts";
import { soundingNotes } from "../score/build.ts";
import { DEFAULT_DYNAMIC } from "../score/dynamics.ts";
import type { Note, Score } from "../score/model.ts";
import { barBeatOf, clockOf } from "../score/time.ts";
import { applySettings, type Settings } from "../settings.ts";
import { pitchName } from "../units.ts";
import { inTenths, type Judge, type Place } from "./playability_place.ts";
import { ratePlaces } from "./playability_rates.ts";
import type { Playability, PlayabilityFinding, Severity } from "./results.ts";
import { soundingTicks } from "./sounding.ts";

/** Said wherever limits are reported. */
export const PLAYABILITY_CAUTION: string =
  "Limits are guides from the named sources; the players and their teachers decide. " +
  "Stop at pain. Local rules on noise and working time apply.";

/** Constants of {@linkcode playability}, with their units and sources. */
export const PLAYABILITY_CONSTANTS = {
  impossibleFactor: {
    value: 1.25,
    unit: "1",
    source: "model assumption: limits are planning figures, so only a clear excess is called impossible",
    meaning: "how far over the fastest rate counts as impossible",
  },
  tremoloFromPerSecond: {
    value: 9,
    unit: "strokes per second",
    source: "model assumption",
    meaning: "slashes faster than this are played as an unmeasured tremolo and not held against the rates",
  },
  breathGapSeconds: {
    value: 0.15,
    unit: "seconds",
    source: "common practice, no source",
    meaning: "shortest gap in which a player snatches a breath",
  },
  restSeconds: {
    value: 2,
    unit: "seconds",
    source: "common practice, no source",
    meaning: "shortest gap that rests the lip",
  },
  loudBrassSeconds: {
    value: 60,
    unit: "seconds",
    source: "common practice, no source",
    meaning: "how long brass may play forte and louder without such a rest",
  },
  loudFrom: {
    value: 5.5,
    unit: "dynamic, 1 ppp to 8 fff",
    source: "model assumption",
    meaning: "what counts as loud",
  },
} as const;

/** Options of {@linkcode playability}. */
export interface PlayabilityOptions {
  /** Constants that differ from {@linkcode PLAYABILITY_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof PLAYABILITY_CONSTANTS>>;
}

const SEVERITIES: readonly Severity[] = ["impossible", "risky", "tiring", "note"];

/**
 * Checks every part against its instrument: range, repeated-note and legato rates (a limit falls with duration),
 * breath, loud brass without rest, more notes at once than can be played. Places of one rule that follow each
 * other are one finding.
 *
 * Slashed notes are judged as written out where they are slow enough to be measured; tied notes are one note.
 * Tongue and bow are judged by the strokes, fingers by the notes of runs that have slurs in them.
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
  const settings = applySettings("playability", PLAYABILITY_CONSTANTS, options.constants);
  const clock = clockOf(score);
  const notes = soundingNotes(score);
  const byPart = Map.groupBy(notes, (n) => n.part);
  const places: Place[] = [];
  score.parts.forEach((part, p) => {
    const own = byPart.get(p) ?? [];
    if (own.length === 0) return;
    const instrument = instrumentById(part.instrument);
    const at = { part: p, partName: part.name };
    const line = lineOf(own);
    const judge: Judge = {
      at,
      instrument,
      players: part.players,
      clock,
      settings,
      ticksPerQuarter: score.ticksPerQuarter,
    };
    places.push(
      ...rangePlaces(own, judge),
      // Voices on one stave are different hands or players: each has its own strokes.
      ...[...Map.groupBy(own, (n) => `${n.staff} ${n.voice}`).values()].flatMap((voice) =>
        ratePlaces(lineOf(voice), judge)
      ),
      ...breathPlaces(line, judge),
      ...loudPlaces(line, judge),
      ...chordPlaces(own, judge),
    );
  });
  const findings = gather(places, score);
  return {
    whole: {
      notes: notes.length,
      ...Object.fromEntries(SEVERITIES.map((s) => [s, findings.filter((f) => f.severity === s).length])) as {
        [K in Severity]: number;
      },
    },
    perBar: perBarOf(findings),
    perPart: score.parts.map((part, p) => ({
      part: p,
      partName: part.name,
      findings: findings.filter((f) => f.part === p).length,
    })),
    findings,
    caution: PLAYABILITY_CAUTION,
    settings,
  };
}

/** One note per onset, the longest; what a single player has to follow. */
function lineOf(notes: readonly Note[]): readonly Note[] {
  const line: Note[] = [];
  for (const n of notes) {
    const last = line.at(-1);
    if (last?.onsetTicks !== n.onsetTicks) line.push(n);
    else if (n.durationTicks > last.durationTicks) line[line.length - 1] = n;
  }
  return line;
}

function rangePlaces(notes: readonly Note[], judge: Judge): Place[] {
  const { low, high } = judge.instrument.rangeExtreme;
  return notes.flatMap((n): Place[] => {
    if (n.unpitched || n.soundingPitch >= low && n.soundingPitch <= high || n.technique === "harmonic") {
      return [];
    }
    const below = n.soundingPitch < low;
    const limit = below ? low : high;
    return [{
      ...judge.at,
      onsetTicks: n.onsetTicks,
      endTicks: n.onsetTicks + n.durationTicks,
      severity: "impossible",
      rule: "range",
      what: `${pitchName(n.soundingPitch)} (sounding) lies ${
        below ? "below" : "above"
      } the ${judge.instrument.id}'s ${pitchName(limit)}`,
      figure: n.soundingPitch,
      limit,
      unit: "sounding MIDI pitch",
      source: judge.instrument.source,
      remedy: `Move it ${below ? "up" : "down"} an octave, or give it to an instrument that has the note`,
    }];
  });
}

/** Stretches without a gap of a given length. */
function stretches(
  line: readonly Note[],
  clock: (ticks: number) => number,
  gapSeconds: number,
): [number, number][] {
  const result: [number, number][] = [];
  let from = 0;
  let end = -Infinity;
  line.forEach((n, i) => {
    const start = clock(n.onsetTicks);
    const breathed = line[i - 1]?.articulations.includes("breath") === true;
    if (i > 0 && (breathed || start - end >= gapSeconds)) {
      result.push([from, i - 1]);
      from = i;
      end = -Infinity;
    }
    end = Math.max(end, clock(n.onsetTicks + soundingTicks(n)));
  });
  if (line.length > 0) result.push([from, line.length - 1]);
  return result;
}

function breathPlaces(line: readonly Note[], judge: Judge): Place[] {
  const { clock, settings, instrument, players } = judge;
  // Several players on a line breathe in turn.
  if (players > 1 || breathSeconds(instrument, DEFAULT_DYNAMIC) === null) return [];
  return stretches(line, clock, settings.breathGapSeconds).flatMap(([from, to]): Place[] => {
    const notes = line.slice(from, to + 1);
    const start = clock(notes[0]!.onsetTicks);
    const endTicks = notes.at(-1)!.onsetTicks + notes.at(-1)!.durationTicks;
    const seconds = clock(endTicks) - start;
    const dynamic = notes.reduce((sum, n) => sum + n.dynamic, 0) / notes.length;
    const limit = breathSeconds(instrument, dynamic)!;
    if (seconds <= limit) return [];
    return [{
      ...judge.at,
      onsetTicks: notes[0]!.onsetTicks,
      endTicks,
      severity: seconds > 2 * limit ? "risky" : "tiring",
      rule: "breath",
      what: `${inTenths(seconds)} s without a place to breathe; one breath lasts about ${
        inTenths(limit)
      } s at this dynamic`,
      figure: seconds,
      limit,
      unit: "seconds",
      source: "planning figure from air flow, data/breath.csv",
      remedy: "Leave a short rest at a phrase end, or let two players take turns",
    }];
  });
}

function loudPlaces(line: readonly Note[], judge: Judge): Place[] {
  const { clock, settings, instrument } = judge;
  if (instrument.family !== "brass") return [];
  return stretches(line, clock, settings.restSeconds).flatMap(([from, to]): Place[] => {
    const notes = line.slice(from, to + 1);
    const loud = notes.filter((n) => n.dynamic >= settings.loudFrom);
    const seconds = loud.reduce(
      (sum, n) => sum + clock(n.onsetTicks + soundingTicks(n)) - clock(n.onsetTicks),
      0,
    );
    if (seconds <= settings.loudBrassSeconds) return [];
    return [{
      ...judge.at,
      onsetTicks: notes[0]!.onsetTicks,
      endTicks: notes.at(-1)!.onsetTicks + notes.at(-1)!.durationTicks,
      severity: "tiring",
      rule: "loud without rest",
      what: `${Math.round(seconds)} s of loud playing without ${settings.restSeconds} s of rest`,
      figure: seconds,
      limit: settings.loudBrassSeconds,
      unit: "seconds",
      source: "common practice, no source",
      remedy: "Rest the player for a few bars, or let an assistant or another section take part of it",
    }];
  });
}

function chordPlaces(notes: readonly Note[], judge: Judge): Place[] {
  const { instrument, players } = judge;
  const most = instrument.mostNotes * players;
  const byOnset = Map.groupBy(notes, (n) => n.onsetTicks);
  return [...byOnset].flatMap(([onsetTicks, chord]): Place[] => {
    const pitches = new Set(chord.filter((n) => !n.unpitched).map((n) => n.soundingPitch));
    if (pitches.size <= most) return [];
    return [{
      ...judge.at,
      onsetTicks,
      endTicks: onsetTicks + chord[0]!.durationTicks,
      severity: "note",
      rule: "notes at once",
      what: `${pitches.size} notes at once for ${players === 1 ? "one player" : `${players} players`}`,
      figure: pitches.size,
      limit: most,
      unit: "notes",
      source: "common practice, no source",
      remedy: "Say how many players share the line, or divide it",
    }];
  });
}

/** Places of one part and rule at most this many bars apart are one finding. */
const BARS_APART = 2;

function gather(places: readonly Place[], score: Score): readonly PlayabilityFinding[] {
  const findings: PlayabilityFinding[] = [];
  const groups = Map.groupBy(places, (p) => `${p.part} ${p.rule}`);
  for (const group of groups.values()) {
    let open: { worst: Place; fromBar: number; toBar: number; first: Place; places: number } | undefined;
    const close = () => {
      if (!open) return;
      const { onsetTicks: _start, endTicks: _end, ...worst } = open.worst;
      const place = barBeatOf(score, open.first.onsetTicks);
      findings.push({
        ...worst,
        fromBar: open.fromBar,
        toBar: open.toBar,
        barNumber: place.bar,
        beat: place.beat,
        places: open.places,
      });
      open = undefined;
    };
    for (const p of group.toSorted((a, b) => a.onsetTicks - b.onsetTicks)) {
      const fromBar = barBeatOf(score, p.onsetTicks).barIndex;
      const toBar = barBeatOf(score, Math.max(p.onsetTicks, p.endTicks - 1)).barIndex;
      if (open && fromBar - open.toBar <= BARS_APART) {
        open.toBar = Math.max(open.toBar, toBar);
        open.places++;
        if (isWorse(p, open.worst)) open.worst = p;
      } else {
        close();
        open = { worst: p, first: p, fromBar, toBar, places: 1 };
      }
    }
    close();
  }
  return findings.sort((a, b) =>
    SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity) || a.fromBar - b.fromBar ||
    a.part - b.part
  );
}

function isWorse(a: Place, b: Place): boolean {
  const rank = SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity);
  return rank < 0 || rank === 0 && Math.abs(a.figure - a.limit) > Math.abs(b.figure - b.limit);
}

function perBarOf(findings: readonly PlayabilityFinding[]): Playability["perBar"] {
  const counts = new Map<string, { bar: number; severity: Severity; findings: number }>();
  for (const f of findings) {
    for (let bar = f.fromBar; bar <= f.toBar; bar++) {
      const key = `${bar} ${f.severity}`;
      const entry = counts.get(key) ?? { bar, severity: f.severity, findings: 0 };
      counts.set(key, { ...entry, findings: entry.findings + 1 });
    }
  }
  return [...counts.values()].sort((a, b) => a.bar - b.bar);
}
