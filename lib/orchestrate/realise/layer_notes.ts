/** The notes of one layer of a plan, written once for all plans in which it is the same. */
import { memo } from "../../base/memo.ts";
import type { Ticks } from "../../base/units.ts";
import { registersOf } from "../../instruments/registers.ts";
import { figureById } from "../../texture/figures.ts";
import { isArranged } from "../plan/arrangement.ts";
import { divisionOf } from "../plan/division.ts";
import { groupsOfSeats, type PlacedAssignment } from "../plan/place_assignments.ts";
import type { Harmony, Sketch } from "../plan/sketch.ts";
import { isWithin, layerParts } from "./layer_parts.ts";
import { landed } from "./layers/landing.ts";
import { type BassMoves, type LayerTask, type LayerTurn, type PlainNote, UNPITCHED } from "./layers/task.ts";
import { handedOver, turnsOf } from "./layers/turns.ts";
import { writerOf } from "./layers/writer_of.ts";
import {
  beatsOf,
  type Frame,
  isLead,
  type LayerNotes,
  type NotesBesideInText,
  type PlanStage,
} from "./plan_stage.ts";
import { registerFor } from "./register_for.ts";
import { staggered } from "./staggered_entries.ts";
import { underLead } from "./under_lead.ts";

/** One layer's notes, written now or before. */
export function layerNotes(p: PlacedAssignment, stage: PlanStage, frame: Frame): LayerNotes {
  const { assignment, figure, fromBarIndex, toBarIndex } = p;
  const beside = besideInText(p, stage, frame);
  const key = JSON.stringify([
    [
      assignment.role,
      figureById(figure.id) ? figure.id : figure,
      assignment.octave,
      fromBarIndex,
      toBarIndex,
      assignment.entries,
      p.tune,
    ],
    assignment.handOver === undefined ? [] : [assignment.handOver, assignment.parts],
    // Parts go where they speak at the layer's loudness.
    p.seats.map((seat) =>
      registersOf(stage.seats[seat]!.instrument).map((r) => isWithin(r, assignment) ? 1 : 0).join("")
    ),
    p.seats,
    [assignment.divisi, p.seats.map((seat) => divisionOf(assignment.divisi, stage.seats[seat]!).tones)],
    [assignment.voicing, isArranged(assignment.voicing) ? assignment.parts : []],
    sharersOf(p, stage).map((other) => other.seats),
    beside.lead,
    // An octave that was asked for hangs on nothing.
    isLead(p) && assignment.octave !== null ? [] : [beside.bass, padFloorOf(p, stage)],
  ]);
  return stage.memories.layers(
    key,
    () => stage.numbered(withEntries(p, writeLayer(p, stage, notesBeside(p, stage, frame)), stage)),
  );
}

/** Notes of leads and basses beside a layer. */
interface NotesBeside {
  readonly lead: readonly PlainNote[];
  readonly bass: readonly PlainNote[];
}

/** What of leads and basses sounds in the bars of a layer: nothing else of them bears on how it is written. */
export function notesBeside(
  { fromBarIndex, toBarIndex }: PlacedAssignment,
  { sketch: { score: { bars } } }: PlanStage,
  { lead, bass }: Frame,
): NotesBeside {
  const [first, last] = [bars[fromBarIndex]!, bars[toBarIndex]!];
  const end = last.startTicks + last.durationTicks;
  const here = (layers: readonly LayerNotes[]) =>
    layers.flatMap(({ notes }) =>
      notes.filter((n) => n.onsetTicks < end && n.onsetTicks + n.durationTicks > first.startTicks)
    );
  return { lead: here(lead), bass: here(bass) };
}

/** The same in text, written now or before. */
function besideInText(p: PlacedAssignment, stage: PlanStage, frame: Frame): NotesBesideInText {
  const ids = (layers: readonly LayerNotes[]) => layers.map(({ id }) => id).join(" ");
  const key = `${p.fromBarIndex} ${p.toBarIndex}, ${ids(frame.lead)}, ${ids(frame.bass)}`;
  return stage.memories.beside(key, () => {
    const { lead, bass } = notesBeside(p, stage, frame);
    return { lead: linesInText(lead), bass: linesInText(bass) };
  });
}

/** Notes by line, the same for the same lines whoever plays them. */
function linesInText(notes: readonly PlainNote[]): string {
  const lines = new Map<number, number>();
  let text = "";
  for (const { part, onsetTicks, durationTicks, soundingPitch } of notes) {
    if (!lines.has(part)) lines.set(part, lines.size);
    text += `${lines.get(part)} ${onsetTicks} ${durationTicks} ${soundingPitch},`;
  }
  return text;
}

/** A layer's notes with its players coming in as the plan has it. */
function withEntries(
  { assignment, figure, fromBarIndex, toBarIndex }: PlacedAssignment,
  notes: readonly PlainNote[],
  { sketch: { score: { bars, ticksPerQuarter } } }: PlanStage,
): readonly PlainNote[] {
  const first = Math.min(...notes.map((n) => n.onsetTicks));
  return staggered(notes, {
    entries: assignment.entries ?? "together",
    beats: beatsOf(bars.slice(fromBarIndex, toBarIndex + 1), ticksPerQuarter).filter((b) => b >= first),
    isStruck: figure.shape === "repeated notes",
  });
}

export function writeLayer(
  p: PlacedAssignment,
  stage: PlanStage,
  { lead, bass }: NotesBeside,
): readonly PlainNote[] {
  const { sketch, seats, plan } = stage;
  const { ticksPerQuarter } = sketch.score;
  const { assignment, figure, fromBarIndex, toBarIndex } = p;
  const turns = turnsIn(p, stage);
  const instrumentOf = (seat: number) => seats[seat]!.instrument;
  const ceilings = memo<readonly number[], Harmony>(Infinity);
  const ceilingsAt = (h: Harmony) => ceilings(h, () => ceilingsUnder(lead, h));
  const bassLines = [...Map.groupBy(bass, (n) => n.part).values()];
  // Who chose an octave wants it, and trills may shine above the lead.
  const staysBelow = assignment.octave === null && !figure.trill;
  const keepsUnder = stage.frame.lead.length > 0 && staysBelow && assignment.role === "figuration";
  const ceilingsOver = (harmonies: readonly Harmony[]) => harmonies.flatMap((h) => ceilingsAt(h).slice(0, 1));
  const taskFor = (own: readonly number[], harmonies: readonly Harmony[]): LayerTask => ({
    sketch,
    figure,
    parts: underLead(
      layerParts(p, own, { seats, plan: plan.name }),
      keepsUnder ? ceilingsOver(harmonies) : [],
    ),
    voicing: assignment.voicing,
    fromBarIndex,
    toBarIndex,
    harmonies,
    ...(p.tune ? { tune: p.tune } : {}),
    octave: assignment.octave,
    ceilingsOf: (h) => staysBelow ? ceilingsAt(h) : [],
    padFloor: padFloorOf(p, stage),
    bassOf: (h) => pitchesDuring(bass, h),
    ...(stage.frame.lead.length + stage.frame.bass.length > 0 ? { isBeside: true } : {}),
    bassMoves: (from, to) => movesIn(bassLines, from, to),
    ledTo: (from, to) => heldIn(lead, from, to),
    ...(turns ? { turns } : {}),
    sharers: sharersOf(p, stage).flatMap((other) =>
      layerParts(other, other.seats, { seats, plan: plan.name })
    ),
  });
  const unpitched = p.seats.filter((seat) => instrumentOf(seat).unpitched);
  const pitched = p.seats.filter((seat) => !instrumentOf(seat).unpitched);
  const harmonies = sketch.harmonies.filter((h) => h.barIndex >= fromBarIndex && h.barIndex <= toBarIndex);
  // Those who take a pulse over have its whole chord, where it lay before; other figures go from register to register.
  const apart = turns !== undefined && assignment.role === "pulse"
    ? groupsOfSeats(assignment, seats).map((own) => own.filter((seat) => pitched.includes(seat)))
    : [pitched];
  const notes = [
    ...apart.map((own) => taskFor(own, harmonies)).flatMap((task) => landed(task, writerOf(figure)(task))),
    ...writerOf(figure)(taskFor(unpitched, wholeBars(sketch, fromBarIndex, toBarIndex))),
  ];
  return turns === undefined ? notes : handedOver(notes, { turns, ticksPerQuarter });
}

/** Other layers that share the inner voices of the same bars. */
function sharersOf(p: PlacedAssignment, { placed }: PlanStage): readonly PlacedAssignment[] {
  if (p.figure.id !== "inner voices") return [];
  return placed.filter((other) =>
    other !== p && other.figure.id === p.figure.id && other.fromBarIndex === p.fromBarIndex &&
    other.toBarIndex === p.toBarIndex
  );
}

/** Semitones that a pad is left above the lowest note of its highest part. Model assumption. */
const PAD_ROOM = 7;

/** From which pitch on a lead leaves the pads in its bars room below it; 0 for other layers and where there are none. */
function padFloorOf(p: PlacedAssignment, { placed, seats }: PlanStage): number {
  if (!isLead(p)) return 0;
  const lows = placed.filter((other) =>
    other.assignment.role === "pad" && other.assignment.octave === null &&
    other.fromBarIndex <= p.toBarIndex && other.toBarIndex >= p.fromBarIndex
  ).flatMap((pad) => pad.seats.map((seat) => registerFor(seats[seat]!.instrument, "pad").low + PAD_ROOM));
  return Math.max(0, ...lows);
}

/** For what has no definite pitch: strokes need no chord, so every bar is one stretch. */
function wholeBars(sketch: Sketch, fromBarIndex: number, toBarIndex: number): readonly Harmony[] {
  const anyTone = { pitchClass: 0, name: "C" };
  return sketch.score.bars.slice(fromBarIndex, toBarIndex + 1).map((bar, i): Harmony => ({
    barIndex: fromBarIndex + i,
    onsetTicks: bar.startTicks,
    durationTicks: bar.durationTicks,
    symbol: UNPITCHED,
    tones: [anyTone],
    bass: anyTone,
  }));
}

/** A lead lower than middle C is accompanied from above. Common practice, no source. */
const LOWEST_CEILING = 60;

/** Lowest note of each part that leads while a harmony lasts, from low to high; what leaves no room below it is left aside. */
function ceilingsUnder(lead: readonly PlainNote[], harmony: Harmony): readonly number[] {
  const high = soundingDuring(lead, harmony).filter((n) => n.soundingPitch >= LOWEST_CEILING);
  const lines = [...Map.groupBy(high, (n) => n.part).values()];
  const lowest = lines.map((line) => Math.min(...line.map((n) => n.soundingPitch)));
  return [...new Set(lowest)].sort((a, b) => a - b);
}

/** Different pitches of what sounds while a harmony lasts. */
function pitchesDuring(notes: readonly PlainNote[], harmony: Harmony): readonly number[] {
  return [...new Set(soundingDuring(notes, harmony).map((n) => n.soundingPitch))];
}

/** The first and the last pitch of each line that sounds in a stretch. */
function movesIn(lines: readonly (readonly PlainNote[])[], from: Ticks, to: Ticks): BassMoves {
  const sounding = lines.map((line) =>
    line.filter((n) => n.onsetTicks < to && n.onsetTicks + n.durationTicks > from)
  ).filter((own) => own.length > 0);
  return {
    first: sounding.map((own) => own[0]!.soundingPitch),
    last: sounding.map((own) => own.at(-1)!.soundingPitch),
    lowest: sounding.map((own) => Math.min(...own.map((n) => n.soundingPitch))),
  };
}

/** Pitches that sound at the end of a stretch and through half of it at least. */
function heldIn(notes: readonly PlainNote[], from: Ticks, to: Ticks): readonly number[] {
  return notes.filter((n) => n.onsetTicks <= (from + to) / 2 && n.onsetTicks + n.durationTicks >= to)
    .map((n) => n.soundingPitch);
}

function soundingDuring(notes: readonly PlainNote[], harmony: Harmony): readonly PlainNote[] {
  const end = harmony.onsetTicks + harmony.durationTicks;
  return notes.filter((n) => n.onsetTicks < end && n.onsetTicks + n.durationTicks > harmony.onsetTicks);
}

/** Whose turn it is in a layer whose players hand over. */
export function turnsIn(
  { assignment, fromBarIndex, toBarIndex }: PlacedAssignment,
  { seats, sketch: { score: { bars, ticksPerQuarter } } }: PlanStage,
): readonly LayerTurn[] | undefined {
  const { handOver } = assignment;
  const groups = groupsOfSeats(assignment, seats);
  return handOver && turnsOf(bars.slice(fromBarIndex, toBarIndex + 1), { handOver, groups, ticksPerQuarter });
}
