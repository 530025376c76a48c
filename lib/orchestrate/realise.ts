/** From a sketch and a plan to real parts. */
import { InputError } from "../errors.ts";
import { breathSeconds } from "../instruments/breath.ts";
import type { Instrument } from "../instruments/catalogue.ts";
import { orchestra as orchestraByName, type OrchestraPart } from "../instruments/orchestra.ts";
import { playability } from "../measures/playability.ts";
import { sortNotes } from "../score/build.ts";
import { dynamicOf } from "../score/dynamics.ts";
import { refineGrid } from "../score/grid.ts";
import { refuseUnknown } from "../settings.ts";
import type { Bar, Note, Part, Score, Tempo, WrittenLayer } from "../score/model.ts";
import { barIndexOf, clockOf } from "../score/time.ts";
import { type BreathNote, leaveBreaths } from "./breaths.ts";
import { dress } from "./dress.ts";
import type { LayerTask } from "./layers/task.ts";
import { writerOf } from "./layers/writer_of.ts";
import { placeAssignments, type PlacedAssignment, type Seat, seatsOf } from "./place_assignments.ts";
import type { Plan } from "./plan.ts";
import { registerFor } from "./registers.ts";
import { type Harmony, type Sketch, sketchOf } from "./sketch.ts";

/** Options of {@linkcode realise}. */
export interface RealiseOptions {
  /** Who can play: part names, instruments, players. By default the symphony orchestra. */
  readonly orchestra?: readonly OrchestraPart[];
  /** Keep parts that never play. By default they are left out. */
  readonly tacetParts?: boolean;
  /** Refuse what nobody can play. By default true; with false the score is returned and playability tells. */
  readonly refuseImpossible?: boolean;
}

/** Divisions of the quarter note that every setting can write: sixteenths, triplets and thirty-seconds. */
const SETTING_GRID = 24;

/** Seconds a player needs to take a breath between two notes. Common practice, no source. */
const BREATH_GAP_SECONDS = 0.2;

/**
 * Writes real parts: the plan's layers over the sketch's tune and harmony, each part inside its range, with
 * dynamics, articulations, slurs, breaths and rehearsal marks.
 *
 * @param sketch tune, chords, metre and tempo
 * @param plan who takes which role with which figure
 * @param options orchestra and what to do with the impossible
 * @returns a setting: a score that remembers which layer each note belongs to
 * @throws {InputError} when the plan names an unknown part, a part twice in the same bars, a bar outside the
 * sketch, or asks somebody for what cannot be played; the message names the rule and a way out
 *
 * @example
 * ```ts
 * import { assign, demoSketch, realise } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const passage = {
 *   name: "Calm",
 *   fromBar: 1,
 *   toBar: 4,
 *   assignments: [
 *     assign({ role: "lead", parts: ["Flute 1"] }),
 *     assign({ role: "pulse", figure: "repeated eighths", parts: ["Violins II", "Violas"], dynamic: "p" }),
 *   ],
 * };
 * const score = realise(demoSketch(), { name: "two layers", passages: [passage] });
 * assertEquals(score.parts.map((p) => p.name), ["Flute 1", "Violins II", "Violas"]);
 * ```
 */
export function realise(sketch: Sketch, plan: Plan, options: RealiseOptions = {}): Score {
  refuseUnknown("realise the plan", options, ["orchestra", "tacetParts", "refuseImpossible"]);
  const seats = seatsOf(plan, options.orchestra ?? orchestraByName());
  const fine = sketchOf(refineGrid(retimed(sketch.score, plan), SETTING_GRID));
  const placed = placeAssignments(plan, seats, fine.score.bars);
  const used = seats.map((_, i) => options.tacetParts === true || placed.some((a) => a.seats.includes(i)));
  const seatOf = seats.flatMap((_, i) => used[i] ? [i] : []);
  const partOf = new Map(seatOf.map((seat, part) => [seat, part]));

  const stage: Stage = {
    sketch: fine,
    partOf,
    seatOf,
    instrumentOf: (part) => seats[seatOf[part]!]!.instrument,
  };
  // Lead and bass first: what lies between is voiced under the one and clear of the other.
  const layersOf = (wanted: (p: PlacedAssignment) => boolean, frame: Frame) =>
    placed.filter(wanted).flatMap((p) => writeLayer(p, stage, frame));
  const lead = layersOf(isLead, { lead: [], bass: [] });
  const bass = layersOf(isBass, { lead, bass: [] });
  const plain = [...lead, ...bass, ...layersOf((p) => !isLead(p) && !isBass(p), { lead, bass })];
  const notes = dressAll(breatheAll(giveWay(plain, stage), placed, stage), stage);
  const score: Score = {
    title: sketch.title,
    ...(fine.score.composer === undefined ? {} : { composer: fine.score.composer }),
    source: plan.name,
    ticksPerQuarter: fine.score.ticksPerQuarter,
    bars: withRehearsals(fine.score.bars, placed),
    tempos: fine.score.tempos,
    parts: seatOf.map((seat) => seats[seat]!).map(toPart),
    notes: sortNotes(notes),
    chords: fine.score.chords,
    notices: fine.score.notices,
    layers: placed.map((p): WrittenLayer => ({
      id: p.layer,
      role: p.assignment.role,
      figure: p.figure.id,
      parts: p.seats.map((s) => partOf.get(s)!),
      fromBar: p.fromBar,
      toBar: p.toBar,
      passage: p.passage.name,
    })),
  };
  if (options.refuseImpossible !== false) refuseImpossible(score, placed);
  return score;
}

function retimed(score: Score, plan: Plan): Score {
  const bpm = plan.quartersPerMinute;
  if (bpm === undefined) return score;
  if (!(bpm > 0) || !Number.isFinite(bpm)) {
    throw new InputError({
      action: "realise the plan",
      problem: `its tempo is ${bpm} quarters per minute`,
      where: { file: plan.name },
      remedy: "Give a tempo above 0",
    });
  }
  const tempos: readonly Tempo[] = [{ onsetTicks: 0, quartersPerMinute: bpm, origin: "marked" }];
  return { ...score, tempos };
}

function toPart(seat: Seat, index: number): Part {
  return {
    id: `P${index + 1}`,
    name: seat.part.name,
    instrument: seat.instrument.id,
    instrumentFrom: "given",
    players: seat.part.players,
    transposeSemitones: seat.instrument.transposeSemitones,
    transposeSteps: seat.instrument.transposeSteps,
  };
}

function withRehearsals(bars: readonly Bar[], placed: readonly PlacedAssignment[]): readonly Bar[] {
  const marks = new Map(placed.map((p) => [p.fromBar, p.passage.name]));
  return bars.map((bar, i) => {
    const { rehearsal: _replaced, ...plain } = bar;
    const rehearsal = marks.get(i);
    return rehearsal === undefined ? plain : { ...plain, rehearsal };
  });
}

interface Stage {
  readonly sketch: Sketch;
  /** Index of the part in the score for each seat that plays. */
  readonly partOf: ReadonlyMap<number, number>;
  /** Index of the seat for each part. */
  readonly seatOf: readonly number[];
  readonly instrumentOf: (part: number) => Instrument;
}

/** A note of a layer, before signs are put on it. */
interface LayerNote extends BreathNote {
  readonly from: PlacedAssignment;
}

/** What stands before the layers between are written. */
interface Frame {
  /** Notes of what leads. */
  readonly lead: readonly LayerNote[];
  /** Notes of the bass. */
  readonly bass: readonly LayerNote[];
}

function isLead(p: PlacedAssignment): boolean {
  return p.assignment.role === "lead";
}

function isBass(p: PlacedAssignment): boolean {
  return p.assignment.role === "bass";
}

/** One layer's notes. */
function writeLayer(
  p: PlacedAssignment,
  stage: Stage,
  { lead, bass }: Frame,
): readonly LayerNote[] {
  const { sketch, instrumentOf } = stage;
  const { assignment, figure, fromBar, toBar } = p;
  const melody = isLead(p);
  const parts = p.seats.map((seat) => stage.partOf.get(seat)!);
  // Who chose an octave wants it, and ornaments may shine above the lead.
  const staysBelow = assignment.octave === null && assignment.role !== "trill";
  const taskFor = (own: readonly number[], harmonies: readonly Harmony[]): LayerTask => ({
    sketch,
    figure,
    parts: own.map((index) => ({
      index,
      range: registerFor(instrumentOf(index), assignment.role, melody ? 0 : assignment.octave ?? 0),
      family: instrumentOf(index).family,
    })),
    fromBar,
    toBar,
    harmonies,
    octave: assignment.octave,
    ceilingOf: (h) => staysBelow ? ceilingUnder(lead, h) : undefined,
    bassOf: (h) => pitchesDuring(bass, h),
  });
  const unpitched = parts.filter((part) => instrumentOf(part).unpitched);
  const pitched = parts.filter((part) => !instrumentOf(part).unpitched);
  const written = [
    ...writerOf(figure)(
      taskFor(pitched, sketch.harmonies.filter((h) => h.bar >= fromBar && h.bar <= toBar)),
    ),
    ...writerOf(figure)(taskFor(unpitched, wholeBars(sketch, fromBar, toBar))),
  ];
  const loudest = Math.max(dynamicOf(assignment.dynamic)!, dynamicOf(assignment.dynamicEnd)!);
  return written.map((n): LayerNote => ({
    ...n,
    melody,
    breathSeconds: breathSeconds(instrumentOf(n.part), loudest) ?? Infinity,
    from: p,
  }));
}

/** Drops what reaches beyond its layer's bars where the part has a note of another layer. */
function giveWay(notes: readonly LayerNote[], stage: Stage): readonly LayerNote[] {
  const { bars } = stage.sketch.score;
  const byPart = Map.groupBy(notes, (n) => n.part);
  return notes.filter((n) => {
    const last = bars[n.from.toBar]!;
    if (n.onsetTicks < last.startTicks + last.durationTicks) return true;
    return !byPart.get(n.part)!.some((other) =>
      other.from !== n.from && other.onsetTicks < n.onsetTicks + n.durationTicks &&
      other.onsetTicks + other.durationTicks > n.onsetTicks
    );
  });
}

/** Breaths for every blown part, over the whole of it. */
function breatheAll(
  notes: readonly LayerNote[],
  placed: readonly PlacedAssignment[],
  stage: Stage,
): readonly LayerNote[] {
  const { score } = stage.sketch;
  const clock = clockOf(score);
  const barEnds = score.bars.map((b) => b.startTicks + b.durationTicks);
  return [...Map.groupBy(notes, (n) => n.part)].flatMap(([part, own]) => {
    const line = own.toSorted((a, b) => a.onsetTicks - b.onsetTicks);
    if (line.every((n) => n.breathSeconds === Infinity)) return line;
    const fellows = placed.find((p) => p.seats.includes(stage.seatOf[part]!))!.seats
      .map((seat) => stage.partOf.get(seat)!)
      .filter((fellow) => stage.instrumentOf(fellow).soundProduction === "blown");
    return leaveBreaths(line, {
      stagger: fellows.length === 1 ? 0 : fellows.indexOf(part) / (fellows.length - 1),
      gapSeconds: BREATH_GAP_SECONDS,
      clock,
      barEnds,
      ticksPerQuarter: score.ticksPerQuarter,
    });
  });
}

/** Dynamics, strokes and signs for every layer; unpitched instruments get their one sound. */
function dressAll(notes: readonly LayerNote[], stage: Stage): readonly Note[] {
  const { score } = stage.sketch;
  return [...Map.groupBy(notes, (n) => n.from)].flatMap(([p, own]) => {
    const start = score.bars[p.fromBar]!.startTicks;
    const end = score.bars[p.toBar]!.startTicks + score.bars[p.toBar]!.durationTicks;
    const [first, last] = [dynamicOf(p.assignment.dynamic)!, dynamicOf(p.assignment.dynamicEnd)!];
    const plain = own.map(({ melody: _melody, breathSeconds: _seconds, from: _from, ...note }) => note);
    const dressed = dress(plain, {
      layer: p.layer,
      assignment: p.assignment,
      figure: p.figure,
      dynamicAt: (ticks) =>
        first + (last - first) * Math.min(1, Math.max(0, (ticks - start) / (end - start))),
      barOf: (ticks) => barIndexOf(score, ticks),
    });
    return dressed.map((n): Note => {
      const instrument = stage.instrumentOf(n.part);
      if (!instrument.unpitched) return n;
      const { spelling: _none, ...plainNote } = n;
      return { ...plainNote, soundingPitch: instrument.percussionKey ?? n.soundingPitch, unpitched: true };
    });
  });
}

/** For what has no definite pitch: strokes need no chord, so every bar is one stretch. */
function wholeBars(sketch: Sketch, fromBar: number, toBar: number): readonly Harmony[] {
  const anyTone = { pitchClass: 0, name: "C" };
  return sketch.score.bars.slice(fromBar, toBar + 1).map((bar, i): Harmony => ({
    bar: fromBar + i,
    onsetTicks: bar.startTicks,
    durationTicks: bar.durationTicks,
    symbol: "unpitched",
    tones: [anyTone],
    bass: anyTone,
  }));
}

/** A lead lower than middle C is accompanied from above. Common practice, no source. */
const LOWEST_CEILING = 60;

/** Lowest note of what leads while a harmony lasts, leads with no room below them left aside. */
function ceilingUnder(lead: readonly LayerNote[], harmony: Harmony): number | undefined {
  const pitches = pitchesDuring(lead, harmony).filter((pitch) => pitch >= LOWEST_CEILING);
  return pitches.length === 0 ? undefined : Math.min(...pitches);
}

/** Different pitches of what sounds while a harmony lasts. */
function pitchesDuring(notes: readonly LayerNote[], harmony: Harmony): readonly number[] {
  const end = harmony.onsetTicks + harmony.durationTicks;
  const sounding = notes.filter((n) =>
    n.onsetTicks < end && n.onsetTicks + n.durationTicks > harmony.onsetTicks
  );
  return [...new Set(sounding.map((n) => n.soundingPitch))];
}

function refuseImpossible(score: Score, placed: readonly PlacedAssignment[]): void {
  const worst = playability(score).findings.find((f) => f.severity === "impossible");
  if (!worst) return;
  const row = placed.find((p) =>
    p.fromBar <= worst.fromBar && p.toBar >= worst.fromBar &&
    score.layers!.some((l) => l.id === p.layer && l.parts.includes(worst.part))
  );
  throw new InputError({
    action: `write the ${row?.assignment.role ?? "part"}`,
    problem: `${worst.what} (rule: ${worst.rule})`,
    where: {
      ...row?.assignment.where,
      part: worst.partName,
      bar: worst.barNumber,
      beat: Math.round(worst.beat * 100) / 100,
    },
    remedy: worst.remedy,
  });
}
