/** The whole line of one part: breaths, dynamics and signs on what its layers give it. */
import { memoOf } from "../../base/memo.ts";
import type { Ticks } from "../../base/units.ts";
import { breathSeconds } from "../../instruments/breath.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { sortNotes } from "../../score/build.ts";
import { dynamicCourse } from "../../score/dynamic_course.ts";
import { DEFAULT_DYNAMIC } from "../../score/dynamics.ts";
import type { Bar, Note, Score, WrittenDynamic } from "../../score/model.ts";
import { barIndexOf, clockOf, endOfBar } from "../../score/time.ts";
import { levelsOf, marksOf } from "../plan/layer_dynamics.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";
import { layerBreath } from "./breath_turns.ts";
import { dress } from "./dress.ts";
import { type BreathNote, leaveBreaths } from "./leave_breaths.ts";
import { leaveMuteTime } from "./mute_time.ts";
import {
  type AiredLine,
  type AiredNote,
  beatsOf,
  BREATH_GAP_SECONDS,
  type PartLine,
  type PlanStage,
  type WrittenAssignment,
} from "./plan_stage.ts";
import { plannedDynamics } from "./planned_dynamics.ts";
import { inOneRhythm, underOneSlur } from "./playing_words.ts";

/** A note of a part, before signs are put on it. */
interface LayerNote extends BreathNote {
  readonly from: PlacedAssignment;
}

/** The line of one part from its layers, written now or before. */
export function lineOf(seat: number, layers: readonly WrittenAssignment[], stage: PlanStage): PartLine {
  const own = layers.filter((l) => l.placed.seats.includes(seat));
  const { instrument } = stage.seats[seat]!;
  const { score } = stage.sketch;
  const isEverMuted = own.some((l) => l.placed.assignment.technique === "con sordino");
  // How many slashes a tremolo needs, and how soon a mute has to be taken, depends on the tempo.
  const hangsOnTempo = isEverMuted || own.some((l) => l.placed.figure.tremoloSlashes > 0);
  const { notes: aired, breaths } = airedLine(seat, own, stage);
  const key = JSON.stringify([
    seat,
    stage.partOf.get(seat),
    hangsOnTempo ? score.tempos : [],
    own.map(({ placed: { layer, assignment: a }, written }) => [
      written.id,
      layer,
      marksOf(a),
      a.articulation,
      a.technique,
    ]),
  ]);
  // At another tempo most lines breathe where they did.
  return stage.memories.lines(`${key} ${breaths}`, () => {
    const breathed = aired.map((n): LayerNote => ({ ...n, from: own[n.of]!.placed }));
    const muted = isEverMuted
      ? leaveMuteTime(breathed, { instrument, clock: clockOf(score), beats: placesOf(score).beats })
      : breathed;
    const dynamics = plannedDynamics(muted, score);
    const notes = sortNotes(dressAll(muted, { instrument, dynamics }, stage));
    return { id: stage.memories.nextNumber(), notes, dynamics };
  });
}

/** The notes of a part with its breaths, written now or before: other strokes and ways of playing leave them as they are. */
function airedLine(seat: number, own: readonly WrittenAssignment[], stage: PlanStage): AiredLine {
  const { score } = stage.sketch;
  const breathes = breathSeconds(stage.seats[seat]!.instrument, DEFAULT_DYNAMIC) !== null;
  const key = JSON.stringify([
    seat,
    stage.partOf.get(seat),
    own.map(({ placed, written }) => [written.id, marksOf(placed.assignment)]),
    // Who breathes depends on the tempo and on who takes turns.
    breathes ? score.tempos : [],
    breathes ? own.map((l) => l.placed.seats.map((s) => stage.seats[s]!.part.players > 1)) : [],
  ]);
  return stage.memories.aired(key, () => {
    const plain = own.flatMap(({ placed, written }, of) => {
      const { kind, turns, secondsOf } = layerBreath(placed, seat, { seats: stage.seats, score });
      const dynamicAt = dynamicWithin(placed, score.bars);
      return (written.bySeat.get(seat) ?? []).map((n): AiredNote => ({
        ...n,
        part: stage.partOf.get(seat)!,
        kind,
        turns,
        breathSeconds: secondsOf(dynamicAt(n.onsetTicks), n.soundingPitch),
        of,
      }));
    });
    const ends = own.map(({ placed: { toBarIndex } }) => endOfBar(score, toBarIndex));
    const notes = breathe(giveWay(plain, ends), stage).toSorted((a, b) => a.onsetTicks - b.onsetTicks);
    const { breaths, nextNumber } = stage.memories;
    return { notes, breaths: breaths(breathsInText(notes), nextNumber) };
  });
}

/** What breathing makes of a line whose notes are known: where they stand, how long they are, and the commas. */
function breathsInText(notes: readonly AiredNote[]): string {
  let text = "";
  for (const { onsetTicks, durationTicks, articulations } of notes) {
    text += `${onsetTicks} ${durationTicks}${articulations?.includes("breath") ? "," : ";"}`;
  }
  return text;
}

/** How loud a layer is about at each place, on the scale of dynamics. */
function dynamicWithin(
  { assignment, fromBarIndex, toBarIndex }: PlacedAssignment,
  bars: readonly Bar[],
): (ticks: Ticks) => number {
  const start = bars[fromBarIndex]!.startTicks;
  const end = bars[toBarIndex]!.startTicks + bars[toBarIndex]!.durationTicks;
  const levels = levelsOf(assignment);
  return (ticks) => {
    const at = (levels.length - 1) * Math.min(1, Math.max(0, (ticks - start) / (end - start)));
    const leg = Math.min(levels.length - 2, Math.floor(at));
    return levels[leg]! + (levels[leg + 1]! - levels[leg]!) * (at - leg);
  };
}

/** Drops what reaches beyond its layer's bars where the part has a note of another layer. */
function giveWay(notes: readonly AiredNote[], ends: readonly Ticks[]): readonly AiredNote[] {
  return notes.filter((n) =>
    n.onsetTicks < ends[n.of]! ||
    !notes.some((other) =>
      other.of !== n.of && other.onsetTicks < n.onsetTicks + n.durationTicks &&
      other.onsetTicks + other.durationTicks > n.onsetTicks
    )
  );
}

/** Breaths over the whole of a part, if its player needs any. */
function breathe(notes: readonly AiredNote[], stage: PlanStage): readonly AiredNote[] {
  const { score } = stage.sketch;
  const line = notes.toSorted((a, b) => a.onsetTicks - b.onsetTicks);
  if (line.every((n) => n.breathSeconds === Infinity)) return line;
  return leaveBreaths(line, {
    gapSeconds: BREATH_GAP_SECONDS,
    clock: clockOf(score),
    ...placesOf(score),
    ticksPerQuarter: score.ticksPerQuarter,
  });
}

/** Beats of a score, in order, and the ends of its bars, each with the number of whole bars up to it: the same for all parts. */
const placesOf = memoOf(({ bars, ticksPerQuarter }: Score) => {
  const firstWhole = bars.findIndex((b) => b.durationTicks === bars[1]?.durationTicks);
  const barEnds = new Map(
    bars.map((b, i) => [b.startTicks + b.durationTicks, i + 1 - Math.max(0, firstWhole)]),
  );
  return { barEnds, beats: beatsOf(bars, ticksPerQuarter) };
});

/** Dynamics, strokes and signs for every layer of a part; unpitched instruments get their one sound. */
function dressAll(
  notes: readonly LayerNote[],
  { instrument, dynamics }: { readonly instrument: Instrument; readonly dynamics: readonly WrittenDynamic[] },
  stage: PlanStage,
): readonly Note[] {
  const { score } = stage.sketch;
  const clock = clockOf(score);
  const course = dynamicCourse(dynamics, score.ticksPerQuarter);
  return [...Map.groupBy(notes, (n) => n.from)].flatMap(([p, own]) => {
    const dressing = {
      layer: p.layer,
      assignment: p.assignment,
      figure: p.figure,
      dynamicAt: course.at,
      ticksPerQuarter: score.ticksPerQuarter,
      clock,
      barOf: (ticks: Ticks) => barIndexOf(score, ticks),
      joins: ["blown", "bowed"].includes(instrument.soundProduction) &&
        p.assignment.technique !== "pizzicato",
    };
    // The groups of a divided part stand as one chord, each with slurs of its own.
    const groups = [...Map.groupBy(inOneRhythm(own), (n) => n.group).values()];
    const isAlone = groups.length === 1;
    const dressed = underOneSlur(groups.map((group) => dress(group, { ...dressing, isAlone })));
    if (!instrument.unpitched) return dressed;
    return dressed.map(({ spelling: _none, ...note }): Note => ({
      ...note,
      soundingPitch: instrument.percussionKey ?? note.soundingPitch,
      unpitched: true,
    }));
  });
}
