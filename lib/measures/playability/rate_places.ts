/** How fast tongue, bow, hands and fingers are asked to go, against what they can. */
import { greatestOf } from "../../base/extremes.ts";
import {
  legatoLimit,
  repeatedNoteLimit,
  separateNoteLimit,
  type SpeedLimit,
  speedOver,
  tonguingSupport,
  trillLimit,
} from "../../instruments/rates.ts";
import type { Note } from "../../score/model.ts";
import { COMMON_PRACTICE, finding, type FindingPlace, inTenths, type Judge, type Said } from "./judge.ts";
import { standingPizzicato } from "./standing_pizzicato.ts";
import {
  alternationOf,
  FEWEST_STEPS,
  isRumble,
  type Manner,
  movingShare,
  quickRuns,
  speedFactorOf,
  type StrokeRun,
  strokesOf,
} from "./strokes.ts";

type RateRule = "repeated-note rate" | "legato rate" | "trill rate";

/** Widest written-out trill that is held against the trill rate, in semitones: a step on brass, a third elsewhere. */
const TRILL_SEMITONES = { brass: 2, other: 4 } as const;

/** What one hand does alone, by the names the rates stand under. */
const ONE_HAND = ["one hand", "one string, one hand"] as const;

/** Rates that differ by less than this are the same: tempos and grids do not divide evenly. */
const SLACK = 1.001;

const MANNERS: readonly Manner[] = ["ordinary", "pizzicato", "col legno"];

/**
 * Places of one voice where strokes or changes of note come faster than the instrument allows: separate strokes
 * against the repeated-note rate, or, where the pitch moves, the rate of separate notes; runs with slurs in them, and
 * all moving notes of what is struck, plucked or sung, against the legato rate; written-out trills against the trill
 * rate. Registers that are slow to speak lower the limits. Where other voices of the part move too, a hand is taken.
 */
export function ratePlaces(
  line: readonly Note[],
  judge: Judge,
  options: { readonly others?: readonly Note[] } = {},
): FindingPlace[] {
  const { others = [] } = options;
  const { instrument } = judge;
  const strokes = strokesOf(line, judge);
  const stroked = instrument.family !== "keyboard" &&
    (instrument.soundProduction === "blown" || instrument.soundProduction === "bowed");
  const places: FindingPlace[] = [];
  // Where every note needs its own stroke, all strokes count; keys, strings and bars only repeat one by one.
  for (const manner of MANNERS) {
    const own = strokes.filter((s) => !s.slurred && s.manner === manner);
    const repeated = strokeLimit(judge, manner);
    const moving = manner !== "ordinary" || !stroked ? repeated : separateNoteLimit(instrument);
    const runs = quickRuns(own, judge, {
      sustainedPerSecond: Math.min(
        repeated?.sustainedPerSecond ?? Infinity,
        moving?.sustainedPerSecond ?? Infinity,
      ),
      joins: (a, b) => stroked || a.pitch === b.pitch,
    });
    for (const run of runs) {
      const limit = movingShare(run) >= 0.5 ? moving : oneHandLimit(run, others, judge) ?? repeated;
      places.push(...judgeRun(run, judge, { rule: "repeated-note rate", limit, line }));
    }
  }
  const legato = legatoLimit(instrument);
  for (
    const run of quickRuns(strokes, judge, { sustainedPerSecond: legato?.sustainedPerSecond ?? Infinity })
  ) {
    const slurs = run.some((s, i) => i > 0 && s.slurred);
    if (stroked && !slurs || movingShare(run) < 0.5) continue;
    const semitones = alternationOf(run);
    const widest = TRILL_SEMITONES[instrument.family === "brass" ? "brass" : "other"];
    const trill = semitones !== null && semitones <= widest ? trillLimit(instrument) : null;
    places.push(...judgeRun(
      run,
      judge,
      trill ? { rule: "trill rate", limit: trill, line } : { rule: "legato rate", limit: legato, line },
    ));
  }
  return places;
}

/** The stroke a manner of playing allows; the wood of the bow bounces no faster than its hair in spiccato. */
function strokeLimit(judge: Judge, manner: Manner): SpeedLimit | null {
  const { instrument } = judge;
  if (instrument.soundProduction !== "bowed" || manner === "ordinary") return repeatedNoteLimit(instrument);
  if (manner === "pizzicato") return repeatedNoteLimit(instrument, { technique: "pizzicato" });
  const spiccato = repeatedNoteLimit(instrument, { technique: "spiccato" });
  return spiccato && { ...spiccato, technique: "col legno (taken as spiccato)", source: COMMON_PRACTICE };
}

/** What is left to one hand while the other plays another voice; null where both are free or it makes no odds. */
function oneHandLimit(run: StrokeRun, others: readonly Note[], judge: Judge): SpeedLimit | null {
  const [from, to] = [run[0]!.ticks, run.at(-1)!.ticks];
  const taken = others.filter((n) => n.onsetTicks > from && n.onsetTicks < to).length;
  if (2 * taken < run.length) return null;
  for (const technique of ONE_HAND) {
    const limit = repeatedNoteLimit(judge.instrument, { technique });
    if (limit !== null) return limit;
  }
  return null;
}

function judgeRun(
  run: StrokeRun,
  judge: Judge,
  options: { readonly rule: RateRule; readonly limit: SpeedLimit | null; readonly line: readonly Note[] },
): FindingPlace[] {
  const { rule, limit: best, line } = options;
  if (!best) return [];
  const factor = speedFactorOf(run, judge);
  const limit = {
    burstPerSecond: factor * best.burstPerSecond,
    sustainedPerSecond: factor * best.sustainedPerSecond,
  };
  const seconds = run.map((s) => judge.clock(s.ticks));
  const length = seconds.at(-1)! - seconds[0]!;
  const rate = (run.length - 1) / length;
  // The fastest few notes decide whether it can be done at all, the whole run whether it can be kept up.
  const fastest = greatestOf(
    seconds.slice(FEWEST_STEPS).map((end, i) => FEWEST_STEPS / (end - seconds[i]!)),
  );
  const keptUp = speedOver(limit, length);
  const way = askedWayOf(rule, judge, run);
  const base = {
    at: { onsetTicks: run[0]!.ticks, endTicks: run.at(-1)!.end },
    rule,
    unit: "notes per second",
    source: best.source,
    remedy: remedyOf(rule, judge, { run, way }),
  };
  if (fastest > SLACK * limit.burstPerSecond) {
    return [finding(judge, tooFast(base, judge, { run, line, best, factor, fastest, way }))];
  }
  if (rate <= SLACK * keptUp) return [];
  return [finding(judge, {
    ...base,
    severity: "tiring",
    what: `${kindWords(rule, run)} at ${inTenths(rate)} per second for ${
      inTenths(length)
    } s; ${best.technique} keeps up ${inTenths(keptUp)} that long${slowWords(factor)}`,
    figure: rate,
    limit: keptUp,
  })];
}

/** What is known of a run that goes faster than the burst rate. */
interface TooFast {
  readonly run: StrokeRun;
  readonly line: readonly Note[];
  /** The limit of the instrument in its best register. */
  readonly best: SpeedLimit;
  /** Share of it that the run's registers leave. */
  readonly factor: number;
  readonly fastest: number;
  readonly way: AskedWay | null;
}

function tooFast<B extends Pick<Said, "unit" | "source" | "remedy"> & { readonly rule: RateRule }>(
  base: B,
  judge: Judge,
  { run, line, best, factor, fastest, way }: TooFast,
): B & Said {
  const limit = factor * best.burstPerSecond;
  // What some players have is worth asking for, so it is never called impossible.
  const some = way !== null && fastest <= SLACK * factor * way.limit.burstPerSecond;
  const beyond = fastest > limit * judge.settings.impossibleFactor && !some;
  // What the register alone forbids is not told as notes, but comes off as noise.
  const within = fastest <= SLACK * best.burstPerSecond;
  const rumbles = movingShare(run) >= 0.5 && isRumble(run, fastest);
  const since = run[0]!.manner === "pizzicato" ? standingPizzicato(line, run[0]!.note, judge) : null;
  const parts = [
    `${kindWords(base.rule, run)} at ${inTenths(fastest)} per second`,
    `; ${best.technique} reaches ${inTenths(limit)}${slowWords(factor)}`,
    way && `, ${way.limit.technique}, ${way.who}, ${inTenths(factor * way.limit.burstPerSecond)}`,
    rumbles && "; so low and fast it is heard as a rumble, an effect",
    since && `; ${since}: an arco may be missing`,
  ];
  return {
    ...base,
    severity: beyond && since === null ? "impossible" : rumbles && within ? "note" : "risky",
    what: parts.filter((part) => part !== null && part !== false).join(""),
    remedy: since !== null
      ? `Check the file for a missing arco. Else: ${lowerFirst(base.remedy)}`
      : rumbles
      ? `Leave it as an effect, which players simplify. If every note matters: ${lowerFirst(base.remedy)}`
      : base.remedy,
    figure: fastest,
    limit,
  };
}

function lowerFirst(sentence: string): string {
  return sentence[0]!.toLowerCase() + sentence.slice(1);
}

/** Said where the registers of a run are slow to speak. */
function slowWords(factor: number): string {
  return factor < 0.95 ? " in this register" : "";
}

function kindWords(rule: RateRule, run: StrokeRun): string {
  if (rule === "trill rate") return "a written-out trill";
  if (rule === "repeated-note rate") return "fast repeated or separate notes";
  return run.some((s) => s.slurred) ? "fast slurred notes" : "fast moving notes";
}

/** A quicker way that is not the custom of the instrument, so that players have to be asked. */
interface AskedWay {
  readonly limit: SpeedLimit;
  /** Who has it. */
  readonly who: string;
  /** What to ask for. */
  readonly ask: string;
}

function askedWayOf(rule: RateRule, { instrument }: Judge, run: StrokeRun): AskedWay | null {
  if (rule !== "repeated-note rate") return null;
  if (run[0]!.manner === "pizzicato") {
    const limit = repeatedNoteLimit(instrument, { technique: "two-finger pizzicato" });
    return limit && { limit, who: "if asked for", ask: "ask for two fingers in turn" };
  }
  if (tonguingSupport(instrument)?.double !== "advanced") return null;
  const limit = repeatedNoteLimit(instrument, { technique: "double tonguing" });
  return limit &&
    { limit, who: "which only some players have", ask: "ask whether the player double-tongues" };
}

function remedyOf(
  rule: RateRule,
  { instrument, players }: Judge,
  what: { readonly run: StrokeRun; readonly way: AskedWay | null },
): string {
  const share = players > 1
    ? "divide the players and let them take turns"
    : "share it between two players in turn";
  const { manner, note } = what.run[0]!;
  if (rule === "trill rate") return `Write a trill sign and leave the speed to the player, or ${share}`;
  if (rule === "legato rate") return `Leave out every second note, slow it down, or ${share}`;
  const ask = what.way ? `; or ${what.way.ask}` : "";
  if (manner !== "ordinary") return `Halve the rate, take the bow as usual, or ${share}${ask}`;
  if (instrument.soundProduction === "bowed") {
    const tremolo = note.tremoloSlashes > 0 ? "leave the tremolo unmeasured" : "write it as a tremolo";
    return `Slur it in pairs, ${tremolo}, halve the rate, or ${share}`;
  }
  if (instrument.soundProduction === "blown" && instrument.family !== "keyboard") {
    return `Slur it in pairs, halve the rate, or ${share}${ask}`;
  }
  return `Halve the rate, write it as a roll or tremolo, or ${share}`;
}
