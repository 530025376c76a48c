/** What a player will stumble over, where, by which rule and source, and what to do about it. */
import { breathSeconds } from "../instruments/breath.ts";
import { type Instrument, instrumentById } from "../instruments/catalogue.ts";
import { legatoLimit, repeatedNoteLimit } from "../instruments/rates.ts";
import { soundingNotes } from "../score/build.ts";
import type { Note, Score } from "../score/model.ts";
import { barBeatOf, clockOf } from "../score/time.ts";
import { strokeTicks } from "../score/tremolo.ts";
import { applySettings, type Settings } from "../settings.ts";
import { pitchName } from "../units.ts";
import type { Playability, PlayabilityFinding, Severity } from "./results.ts";
import { soundingTicks } from "./sounding.ts";

/** Said wherever limits are reported. */
export const PLAYABILITY_CAUTION: string =
  "Limits are guides from the named sources; the players and their teachers decide. " +
  "Stop at pain. Local rules on noise and working time apply.";

/** Constants of {@linkcode playability}, with their units and sources. */
export const PLAYABILITY_CONSTANTS = {
  burstSeconds: {
    value: 1.5,
    unit: "seconds",
    source: "model assumption",
    meaning: "how long the fastest possible rate can be kept up; beyond it the sustainable rate is the limit",
  },
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

type Constants = Settings<typeof PLAYABILITY_CONSTANTS>;

/** One place, before places are gathered into passages. */
interface Place extends Omit<PlayabilityFinding, "fromBar" | "toBar" | "barNumber" | "beat" | "places"> {
  readonly onsetTicks: number;
  readonly endTicks: number;
}

const SEVERITIES: readonly Severity[] = ["impossible", "risky", "tiring", "note"];

/**
 * Checks every part against its instrument: range, repeated-note and legato rates (a limit falls with duration),
 * breath, loud brass without rest, more notes at once than can be played. Places of one rule that follow each
 * other are one finding.
 *
 * Slashed notes are judged as written out where they are slow enough to be measured; tied notes are one note;
 * notes under a slur are judged by the legato rate.
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
      ...ratePlaces(line, judge),
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

interface Judge {
  readonly at: { readonly part: number; readonly partName: string };
  readonly instrument: Instrument;
  readonly players: number;
  readonly clock: (ticks: number) => number;
  readonly settings: Constants;
  readonly ticksPerQuarter: number;
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

/** A stretch of notes of one kind of motion. */
interface Run {
  readonly kind: "repeated" | "legato";
  readonly from: number;
  to: number;
  count: number;
}

/** Rates are only judged over at least this many steps, so that a grace-like flick does not count. */
const FEWEST_STEPS = 4;

function ratePlaces(line: readonly Note[], judge: Judge): Place[] {
  const { clock, settings } = judge;
  const places: Place[] = [];
  const strokes: {
    ticks: number;
    end: number;
    pitch: number;
    slurred: boolean;
    plucked: boolean;
    short: boolean;
  }[] = [];
  for (const n of line) {
    const step = strokeTicks(n, judge.ticksPerQuarter);
    const perSecond = 1 / Math.max(1e-9, clock(n.onsetTicks + step) - clock(n.onsetTicks));
    const measured = n.tremoloSlashes > 0 && !n.tremoloAlternates &&
      perSecond < settings.tremoloFromPerSecond;
    const count = measured ? Math.round(n.durationTicks / step) : 1;
    for (let k = 0; k < count; k++) {
      const ticks = n.onsetTicks + k * step;
      strokes.push({
        ticks,
        end: measured ? ticks + step : n.onsetTicks + n.durationTicks,
        pitch: n.soundingPitch,
        slurred: n.slurred,
        plucked: n.technique === "pizzicato",
        // A note whose own length is unmeasured tremolo or trill says nothing about single strokes.
        short: !(n.tremoloSlashes > 0 && !measured) && !n.trill,
      });
    }
  }
  let run: Run | undefined;
  const close = () => {
    if (run && run.count >= FEWEST_STEPS) places.push(...judgeRun(run, strokes, judge));
    run = undefined;
  };
  for (let i = 1; i < strokes.length; i++) {
    const [a, b] = [strokes[i - 1]!, strokes[i]!];
    const gap = clock(b.ticks) - clock(a.ticks);
    // Slow motion is nobody's limit; leave it out of the runs.
    if (gap > 0.25 || gap <= 0 || !a.short || !b.short) {
      close();
      continue;
    }
    // Separate notes of changing pitch still need tongue or bow for each; keys, strings and bars do not.
    const stroked = judge.instrument.soundProduction === "blown" ||
      judge.instrument.soundProduction === "bowed";
    const wanted: Run["kind"] = !b.slurred && (stroked || b.pitch === a.pitch) ? "repeated" : "legato";
    if (run && run.kind === wanted) {
      run.to = i;
      run.count++;
    } else {
      close();
      run = { kind: wanted, from: i - 1, to: i, count: 1 };
    }
  }
  close();
  return places;
}

function judgeRun(
  run: Run,
  strokes: readonly {
    readonly ticks: number;
    readonly end: number;
    readonly pitch: number;
    readonly plucked: boolean;
  }[],
  judge: Judge,
): Place[] {
  const { clock, settings, instrument } = judge;
  const first = strokes[run.from]!;
  const last = strokes[run.to]!;
  const plucked = first.plucked && instrument.soundProduction === "bowed";
  const limit = run.kind === "legato"
    ? legatoLimit(instrument)
    : repeatedNoteLimit(instrument, plucked ? { technique: "pizzicato" } : {}) ?? legatoLimit(instrument);
  if (!limit) return [];
  const seconds = clock(last.ticks) - clock(first.ticks);
  const rate = run.count / seconds;
  // The fastest stretch of a few notes decides whether it can be done at all.
  let fastest = 0;
  for (let i = run.from; i + FEWEST_STEPS <= run.to; i++) {
    const stretch = clock(strokes[i + FEWEST_STEPS]!.ticks) - clock(strokes[i]!.ticks);
    fastest = Math.max(fastest, FEWEST_STEPS / stretch);
  }
  const sustained = seconds > settings.burstSeconds;
  const kind = run.kind === "legato" ? "fast slurred notes" : "fast repeated or separate notes";
  const base = {
    ...judge.at,
    onsetTicks: first.ticks,
    endTicks: last.end,
    rule: run.kind === "legato" ? "legato rate" : "repeated-note rate",
    unit: "notes per second",
    source: limit.source,
    remedy: run.kind === "legato"
      ? "Slow it down, thin it out, or share it between players in turn"
      : "Slur it in pairs, halve the rate, share it between players in turn, or give it to an instrument with a faster stroke",
  } as const;
  const round = (x: number) => Math.round(x * 10) / 10;
  if (fastest > limit.burstPerSecond * settings.impossibleFactor) {
    return [{
      ...base,
      severity: "impossible",
      what: `${kind} at ${round(fastest)} per second; ${limit.technique} reaches ${
        round(limit.burstPerSecond)
      }`,
      figure: fastest,
      limit: limit.burstPerSecond,
    }];
  }
  if (fastest > limit.burstPerSecond) {
    return [{
      ...base,
      severity: "risky",
      what: `${kind} at ${round(fastest)} per second; ${limit.technique} reaches ${
        round(limit.burstPerSecond)
      }`,
      figure: fastest,
      limit: limit.burstPerSecond,
    }];
  }
  if (sustained && rate > limit.sustainedPerSecond) {
    return [{
      ...base,
      severity: "tiring",
      what: `${kind} at ${round(rate)} per second for ${round(seconds)} s; ${limit.technique} keeps up ${
        round(limit.sustainedPerSecond)
      }`,
      figure: rate,
      limit: limit.sustainedPerSecond,
    }];
  }
  return [];
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
  const { clock, settings, instrument } = judge;
  if (breathSeconds(instrument, 5) === null) return [];
  return stretches(line, clock, settings.breathGapSeconds).flatMap(([from, to]): Place[] => {
    const notes = line.slice(from, to + 1);
    const start = clock(notes[0]!.onsetTicks);
    const endTicks = notes.at(-1)!.onsetTicks + notes.at(-1)!.durationTicks;
    const seconds = clock(endTicks) - start;
    const dynamic = notes.reduce((sum, n) => sum + n.dynamic, 0) / notes.length;
    const limit = breathSeconds(instrument, dynamic)!;
    if (seconds <= limit) return [];
    const round = (x: number) => Math.round(x * 10) / 10;
    return [{
      ...judge.at,
      onsetTicks: notes[0]!.onsetTicks,
      endTicks,
      severity: seconds > 2 * limit ? "risky" : "tiring",
      rule: "breath",
      what: `${round(seconds)} s without a place to breathe; one breath lasts about ${
        round(limit)
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
