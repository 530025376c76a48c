/** From a sketch and a plan to real parts. */
import { InputError } from "../errors.ts";
import { breathSeconds } from "../instruments/breath.ts";
import { type Instrument, instrumentById } from "../instruments/catalogue.ts";
import { orchestra as orchestraByName, type OrchestraPart } from "../instruments/orchestra.ts";
import { playability } from "../measures/playability.ts";
import { sortNotes } from "../score/build.ts";
import { dynamicOf } from "../score/dynamics.ts";
import { refineGrid } from "../score/grid.ts";
import type { Bar, Note, Part, Score, Tempo, WrittenLayer } from "../score/model.ts";
import { barIndexOf, clockOf } from "../score/time.ts";
import { type Figure, figureById } from "../texture/figures.ts";
import { type BreathNote, leaveBreaths } from "./breaths.ts";
import { dress } from "./dress.ts";
import { writeAlternating, writeBroken } from "./layers/broken.ts";
import { writeDownbeat, writeHeld, writeRepeated } from "./layers/chords.ts";
import { writeBass, writeSecondLine, writeTune } from "./layers/lines.ts";
import { writeRunIntoBar, writeRunningScale } from "./layers/scale.ts";
import type { LayerTask, LayerWriter } from "./layers/task.ts";
import type { Assignment, Passage, Plan } from "./plan.ts";
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

interface Seat {
  readonly part: OrchestraPart;
  readonly instrument: Instrument;
}

interface PlacedAssignment {
  readonly passage: Passage;
  readonly assignment: Assignment;
  readonly figure: Figure;
  readonly seats: readonly number[];
  readonly fromBar: number;
  readonly toBar: number;
  readonly layer: string;
}

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
  const seats = seatsOf(plan, options.orchestra ?? orchestraByName());
  const fine = sketchOf(refineGrid(retimed(sketch.score, plan), SETTING_GRID));
  const placed = place(plan, seats, fine.score.bars);
  const used = seats.map((_, i) => options.tacetParts === true || placed.some((a) => a.seats.includes(i)));
  const partOf = new Map(seats.flatMap((_, i) => used[i] ? [i] : []).map((seat, part) => [seat, part]));

  const stage: Stage = { sketch: fine, seats, partOf };
  const [leading, others] = [placed.filter(leads), placed.filter((p) => !leads(p))];
  const lead = leading.flatMap((p) => writeLayer(p, stage, []));
  const plain = [...lead, ...others.flatMap((p) => writeLayer(p, stage, lead))];
  const notes = dressAll(breatheAll(giveWay(plain, stage), placed, stage), stage);
  const score: Score = {
    title: sketch.title,
    ...(fine.score.composer === undefined ? {} : { composer: fine.score.composer }),
    source: plan.name,
    ticksPerQuarter: fine.score.ticksPerQuarter,
    bars: withRehearsals(fine.score.bars, placed),
    tempos: fine.score.tempos,
    parts: seats.filter((_, i) => used[i]).map(toPart),
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

function seatsOf(plan: Plan, orchestra: readonly OrchestraPart[]): readonly Seat[] {
  for (const [name, players] of Object.entries(plan.players ?? {})) {
    if (!Number.isInteger(players) || players < 1) {
      throw new InputError({
        action: "realise the plan",
        problem: `it gives "${name}" ${players} players`,
        where: { file: plan.name },
        remedy: "Give a whole number from 1",
      });
    }
    if (!orchestra.some((p) => p.name === name)) {
      throw new InputError({
        action: "realise the plan",
        problem: `it sets the players of "${name}", which is not in the orchestra`,
        where: { file: plan.name },
        remedy: `Its parts are ${orchestra.map((p) => p.name).join(", ")}`,
      });
    }
  }
  return orchestra.map((part) => ({
    part: { ...part, players: plan.players?.[part.name] ?? part.players },
    instrument: instrumentById(part.instrument),
  }));
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

/** Seats a name in a plan stands for: one part, or all numbered parts of a plural such as `Horns`. */
function seatsNamed(name: string, seats: readonly Seat[]): readonly number[] {
  const wanted = name.trim().toLowerCase();
  const exact = seats.findIndex((s) => s.part.name.toLowerCase() === wanted);
  if (exact >= 0) return [exact];
  const stem = wanted.replace(/s$/, "");
  return seats.flatMap((s, i) =>
    s.part.name.toLowerCase().replace(/\s+(?:[0-9]+|[ivx]+)$/, "").replace(/s$/, "") === stem ? [i] : []
  );
}

function place(plan: Plan, seats: readonly Seat[], bars: readonly Bar[]): readonly PlacedAssignment[] {
  const placed: PlacedAssignment[] = [];
  const takenBy = new Map<string, PlacedAssignment>();
  const fail = (
    problem: string,
    assignment: Assignment | undefined,
    column: string,
    remedy: string,
  ): never => {
    const where = assignment?.where;
    throw new InputError({
      action: "realise the plan",
      problem,
      where: where?.row === undefined ? { file: plan.name, ...where } : { ...where, column },
      remedy,
    });
  };
  const barIndex = (printed: number) => bars.findIndex((b) => b.number === String(printed));
  if (plan.passages.every((p) => p.assignments.length === 0)) {
    fail("it has no layers", undefined, "passage", "Add at least one passage with a lead");
  }
  for (const passage of plan.passages) {
    const [fromBar, toBar] = [barIndex(passage.fromBar), barIndex(passage.toBar)];
    const at = passage.assignments[0];
    const missing = fromBar < 0 ? passage.fromBar : toBar < 0 ? passage.toBar : undefined;
    if (missing !== undefined) {
      fail(
        `the passage "${passage.name}" reaches to bar ${missing}, but the sketch has bars ${
          bars[0]?.number
        } to ${bars.at(-1)?.number}`,
        at,
        fromBar < 0 ? "from_bar" : "to_bar",
        "Use bars of the sketch",
      );
    }
    if (toBar < fromBar) {
      fail(
        `the passage "${passage.name}" ends in bar ${passage.toBar}, before it begins in bar ${passage.fromBar}`,
        at,
        "to_bar",
        "Swap them",
      );
    }
    passage.assignments.forEach((assignment, i) => {
      const figure = figureById(assignment.figure);
      if (!figure || figure.role !== assignment.role) {
        return fail(
          `"${assignment.figure}" is not a figure of ${assignment.role}`,
          assignment,
          "figure",
          "Use assign() to check it",
        );
      }
      const chosen: number[] = [];
      for (const name of assignment.parts) {
        const found = seatsNamed(name, seats);
        if (found.length === 0) {
          fail(
            `"${name}" is not in the orchestra`,
            assignment,
            "parts",
            `Its parts are ${seats.map((s) => s.part.name).join(", ")}`,
          );
        }
        for (const seat of found) {
          if (chosen.includes(seat)) {
            fail(
              `"${seats[seat]!.part.name}" is named twice in one layer`,
              assignment,
              "parts",
              "Name each part once",
            );
          }
          chosen.push(seat);
        }
      }
      const entry: PlacedAssignment = {
        passage,
        assignment,
        figure,
        seats: chosen.sort((a, b) => a - b),
        fromBar,
        toBar,
        layer: `${passage.name} ${passage.fromBar}-${passage.toBar}: ${i + 1} ${assignment.role}`,
      };
      for (const seat of chosen) {
        for (let b = fromBar; b <= toBar; b++) {
          const other = takenBy.get(`${seat} ${b}`);
          if (other) {
            fail(
              `"${seats[seat]!.part.name}" has two roles in bar ${
                bars[b]!.number
              }, ${other.assignment.role} and ${assignment.role}`,
              assignment,
              "parts",
              "Give each part one role at a time, or use another player of the section",
            );
          }
          takenBy.set(`${seat} ${b}`, entry);
        }
      }
      placed.push(entry);
    });
  }
  return placed;
}

function withRehearsals(bars: readonly Bar[], placed: readonly PlacedAssignment[]): readonly Bar[] {
  const marks = new Map(placed.map((p) => [p.fromBar, p.passage.name]));
  return bars.map((bar, i) => {
    const { rehearsal: _replaced, ...plain } = bar;
    const rehearsal = marks.get(i);
    return rehearsal === undefined ? plain : { ...plain, rehearsal };
  });
}

const WRITERS: Readonly<Record<string, LayerWriter>> = {
  tune: writeTune,
  "second line": writeSecondLine,
  "scale into the bar": writeRunIntoBar,
  "running scale": writeRunningScale,
  "stroke on the downbeat": writeDownbeat,
};

function writerOf(figure: Figure): LayerWriter {
  const own = WRITERS[figure.id];
  if (own) return own;
  switch (figure.pitches) {
    case "repeated":
      return writeRepeated;
    case "broken":
      return writeBroken;
    case "alternating":
      return writeAlternating;
    case "root":
      return writeBass;
    default:
      return writeHeld;
  }
}

interface Stage {
  readonly sketch: Sketch;
  readonly seats: readonly Seat[];
  readonly partOf: ReadonlyMap<number, number>;
}

/** A note of a layer, before signs are put on it. */
interface LayerNote extends BreathNote {
  readonly from: PlacedAssignment;
}

function leads(p: PlacedAssignment): boolean {
  return p.assignment.role === "lead";
}

/** One layer's notes; `lead` are the notes of what leads, which the layer stays below. */
function writeLayer(
  p: PlacedAssignment,
  stage: Stage,
  lead: readonly LayerNote[],
): readonly LayerNote[] {
  const { sketch, seats, partOf } = stage;
  const { assignment, figure, fromBar, toBar } = p;
  const melody = leads(p);
  const seatOf = new Map([...partOf].map(([seat, part]) => [part, seat]));
  // Who chose an octave wants it, and ornaments may shine above the lead.
  const staysBelow = assignment.octave === null && assignment.role !== "trill";
  const taskFor = (own: readonly number[], harmonies: readonly Harmony[]): LayerTask => ({
    sketch,
    figure,
    parts: own.map((seat) => ({
      index: partOf.get(seat)!,
      range: registerFor(seats[seat]!.instrument, assignment.role, melody ? 0 : assignment.octave ?? 0),
      family: seats[seat]!.instrument.family,
    })),
    fromBar,
    toBar,
    harmonies,
    octave: assignment.octave,
    ceilingOf: (h) => staysBelow ? ceilingUnder(lead, h) : undefined,
  });
  const unpitched = p.seats.filter((seat) => seats[seat]!.instrument.unpitched);
  const pitched = p.seats.filter((seat) => !unpitched.includes(seat));
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
    breathSeconds: breathSeconds(seats[seatOf.get(n.part)!]!.instrument, loudest) ?? Infinity,
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
    const seat = [...stage.partOf].find(([, index]) => index === part)![0];
    const seats = placed.find((p) => p.seats.includes(seat))!.seats.filter((s) =>
      stage.seats[s]!.instrument.soundProduction === "blown"
    );
    return leaveBreaths(line, {
      stagger: seats.length === 1 ? 0 : seats.indexOf(seat) / (seats.length - 1),
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
  const seatOf = new Map([...stage.partOf].map(([seat, part]) => [part, seat]));
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
      const { instrument } = stage.seats[seatOf.get(n.part)!]!;
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
  const end = harmony.onsetTicks + harmony.durationTicks;
  const pitches = lead
    .filter((n) => n.onsetTicks < end && n.onsetTicks + n.durationTicks > harmony.onsetTicks)
    .map((n) => n.soundingPitch)
    .filter((pitch) => pitch >= LOWEST_CEILING);
  return pitches.length === 0 ? undefined : Math.min(...pitches);
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
