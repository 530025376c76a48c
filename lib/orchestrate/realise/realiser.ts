/** Writing many plans over one sketch: what two plans share is written once. */
import {
  A_PLAN,
  A_SKETCH,
  A_SWITCH,
  AN_ORCHESTRA_PART,
  checkArgument,
  checkOptions,
  listOf,
  oneOf,
} from "../../base/arguments.ts";
import type { Ticks } from "../../base/units.ts";
import { InputError } from "../../base/errors.ts";
import { type Memo, memo, memoOf } from "../../base/memo.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { breathSeconds } from "../../instruments/breath.ts";
import { registersOf } from "../../instruments/registers.ts";
import { orchestra as orchestraByName, type OrchestraPart } from "../../instruments/orchestra.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import { sortNotes } from "../../score/build.ts";
import { clarinetsByKey, otherClarinets } from "../../score/clarinets.ts";
import { dynamicCourse } from "../../score/dynamic_course.ts";
import { DEFAULT_DYNAMIC } from "../../score/dynamics.ts";
import { refineGrid } from "../../score/refine_grid.ts";
import type {
  Bar,
  Note,
  Part,
  Playing,
  Score,
  Tempo,
  WrittenDynamic,
  WrittenLayer,
} from "../../score/model.ts";
import { isTempo, TEMPO_RANGE } from "../../score/tempo_range.ts";
import { barIndexOf, beatTicks, clockOf } from "../../score/time.ts";
import { figureById } from "../../texture/figures.ts";
import { layerBreath } from "./breath_turns.ts";
import { clearingNotices, wishesBalance, withClearLead } from "./clear_lead.ts";
import { type BreathNote, leaveBreaths } from "./leave_breaths.ts";
import { dress } from "./dress.ts";
import { type BassMoves, type LayerTask, type LayerTurn, type PlainNote, UNPITCHED } from "./layers/task.ts";
import { landed } from "./layers/landing.ts";
import { handedOver, turnsOf } from "./layers/turns.ts";
import { writerOf } from "./layers/writer_of.ts";
import {
  groupsOfSeats,
  placeAssignments,
  type PlacedAssignment,
  seatsOf,
} from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import { isArranged } from "../plan/arrangement.ts";
import { divisionOf } from "../plan/division.ts";
import type { Plan } from "../plan/plan.ts";
import { levelsOf, marksOf } from "../plan/layer_dynamics.ts";
import { plannedDynamics } from "./planned_dynamics.ts";
import { isWithin, layerParts } from "./layer_parts.ts";
import { leaveMuteTime } from "./mute_time.ts";
import { inOneRhythm, playingWords, underOneSlur } from "./playing_words.ts";
import { refusalOf } from "./refusal.ts";
import { registerFor } from "./register_for.ts";
import { underLead } from "./under_lead.ts";
import { withStagger } from "./stagger_words.ts";
import { staggered } from "./staggered_entries.ts";
import { refuseMissingLines } from "./missing_line.ts";
import { withUpbeats } from "../plan/upbeats.ts";
import { type Harmony, type Sketch, sketchOver } from "../plan/sketch.ts";

/** Options of {@linkcode realise}. */
export interface RealiseOptions {
  /** Who can play: part names, instruments, players. By default the symphony orchestra. */
  readonly orchestra?: readonly OrchestraPart[];
  /** Keep parts that never play. By default they are left out. */
  readonly tacetParts?: boolean;
  /** Refuse what nobody can play. By default true; with false the score is returned and playability tells. */
  readonly refuseImpossible?: boolean;
  /**
   * Which clarinets the players take: those of the orchestra (`as listed`, the default where one is given, since that says
   * which there are), or in A or B flat whichever has fewer sharps and flats to read over the whole setting (`by key`, the
   * default otherwise). Where those that are listed have twice as many, a notice says so; `clarinetChoices` says what each
   * would read.
   */
  readonly clarinets?: "as listed" | "by key";
}

/** A plan written out. */
export interface Realised {
  /** The setting. Scores of one realiser whose notes are equal share them. */
  readonly score: Score;
  /** The error that refuses it for what nobody can play, given its findings; undefined when all of it can be played. */
  readonly refusalFor: (findings: readonly PlayabilityFinding[]) => InputError | undefined;
}

/** Divisions of the quarter note that every setting can write: sixteenths, triplets and thirty-seconds. */
const SETTING_GRID = 24;

/** Seconds a player needs to take a breath between two notes. Common practice, no source. */
const BREATH_GAP_SECONDS = 0.2;

/** Layers, lines and scores kept; a line of sixteenths over fifty bars takes about 200 kB. */
const KEPT = { layers: 300, lines: 150, scores: 6 } as const;

const OPTIONS = {
  orchestra: listOf(AN_ORCHESTRA_PART, "a list of parts"),
  tacetParts: A_SWITCH,
  refuseImpossible: A_SWITCH,
  clarinets: oneOf(["as listed", "by key"]),
};

/**
 * Prepares the writing of plans over a sketch. A layer is written once for all plans in which it has the same parts,
 * figure and octave under the same lead and over the same bass; a part's line once for all plans in which it also has
 * the same dynamics, strokes and breaths. The result is the same as from a realiser that is new, and it throws what
 * {@linkcode realise} throws.
 */
export function realiserOf(sketch: Sketch, options: RealiseOptions = {}): (plan: Plan) => Realised {
  checkArgument("realise the plan", sketch, A_SKETCH);
  checkOptions("realise the plan", options, OPTIONS);
  return realiserBeside(sketch, options, { lead: [], bass: [] });
}

/** Notes that stand already, on the sketch's grid: what is written goes under the one and clear of the other. */
export interface StandingNotes {
  readonly lead: readonly PlainNote[];
  readonly bass: readonly PlainNote[];
}

/** {@linkcode realiserOf} beside notes that stand already. */
export function realiserBeside(
  sketch: Sketch,
  options: RealiseOptions,
  standing: StandingNotes,
): (plan: Plan) => Realised {
  const orchestra = options.orchestra ?? orchestraByName();
  const clarinets = options.clarinets ?? (options.orchestra ? "as listed" : "by key");
  const fine = sketchOver(refineGrid(sketch.score, SETTING_GRID));
  const factor = fine.score.ticksPerQuarter / sketch.score.ticksPerQuarter;
  const memories = newMemories();
  let layersWritten = 0;
  const numbered = (notes: readonly PlainNote[]): LayerNotes => ({
    id: layersWritten++,
    notes,
    bySeat: Map.groupBy(notes, (n) => n.part),
  });
  const frame: Frame = {
    lead: standingLayers(standing.lead, factor).map(numbered),
    bass: standingLayers(standing.bass, factor).map(numbered),
  };

  const written = (plan: Plan): Realised => {
    const seats = seatsOf(plan, orchestra);
    const score = retimed(fine.score, plan);
    const { bars, ticksPerQuarter } = score;
    const placed = withUpbeats(placeAssignments(plan, seats, bars), { plan, seats, bars, ticksPerQuarter });
    refuseMissingLines(plan, placed, fine);
    const seatOf = [...seats.keys()]
      .filter((i) => options.tacetParts === true || placed.some((a) => a.seats.includes(i)));
    const partOf = new Map(seatOf.map((seat, part) => [seat, part]));
    const stage: PlanStage = {
      plan,
      sketch: { ...fine, score },
      seats,
      seatOf,
      partOf,
      placed,
      memories,
      numbered,
      frame,
    };
    const setting = settingOf(stage, plan.name, writtenLines(stage));
    const realised = clarinets === "by key" ? clarinetsByKey(setting) : withNoticeOfClarinets(setting);
    const write = (p: PlacedAssignment) => writeLayer(p, stage, notesBeside(p, stage, frame));
    return {
      score: realised,
      refusalFor: (findings) => refusalOf(realised, findings, { seats, placed, write }),
    };
  };

  return (plan) => {
    checkArgument("realise the plan", plan, A_PLAN);
    const realised = inBalance(plan, written);
    if (options.refuseImpossible !== false) {
      const refusal = realised.refusalFor(playability(realised.score).findings);
      if (refusal) throw refusal;
    }
    return realised;
  };
}

/** A setting that tells where its clarinets had less to read on their other instrument. */
function withNoticeOfClarinets(setting: Score): Score {
  const told = otherClarinets(setting);
  return told === undefined ? setting : { ...setting, notices: [...setting.notices, told] };
}

/** A plan written out, with softer dynamics where its lead is to be clear; what was changed is noticed. */
function inBalance(plan: Plan, write: (plan: Plan) => Realised): Realised {
  const asked = write(plan);
  if (!wishesBalance(plan)) return asked;
  const softer = withClearLead(plan, (each) => write(each).score);
  const played = write(softer);
  const notices = clearingNotices(plan, softer, { asked: asked.score, played: played.score });
  return { ...played, score: { ...played.score, notices: [...played.score.notices, ...notices] } };
}

/** Notes that stand already as a layer on a finer grid; none where there are none. */
function standingLayers(
  notes: readonly PlainNote[],
  factor: number,
): readonly (readonly PlainNote[])[] {
  if (notes.length === 0) return [];
  return [
    notes.map(({ part, soundingPitch, onsetTicks, durationTicks }) => ({
      part,
      soundingPitch,
      onsetTicks: onsetTicks * factor,
      durationTicks: durationTicks * factor,
    })),
  ];
}

/**
 * The lines of all parts that play. Bass and lead are written first: the lead stays clear of the bass, and what lies
 * between is voiced under the one and clear of the other.
 */
function writtenLines(stage: PlanStage): readonly PartLine[] {
  const write = (wanted: (p: PlacedAssignment) => boolean, frame: Frame): readonly WrittenAssignment[] =>
    stage.placed.filter(wanted).map((placed) => ({ placed, written: layerNotes(placed, stage, frame) }));
  const notesOf = (layers: readonly WrittenAssignment[]) => layers.map((l) => l.written);
  const bass = write(isBass, stage.frame);
  const grounded: Frame = { ...stage.frame, bass: [...stage.frame.bass, ...notesOf(bass)] };
  const lead = write(isLead, grounded);
  const between = write((p) => !isLead(p) && !isBass(p), {
    ...grounded,
    lead: [...stage.frame.lead, ...notesOf(lead)],
  });
  return stage.seatOf.map((seat) => lineOf(seat, [...lead, ...bass, ...between], stage));
}

/** The score of a plan's lines. */
function settingOf(stage: PlanStage, source: string, lines: readonly PartLine[]): Score {
  const { sketch: { title, score }, seats, seatOf, partOf, placed, memories } = stage;
  const key = lines.map((line) => line.id).join(" ");
  return {
    title,
    ...(score.composer === undefined ? {} : { composer: score.composer }),
    source,
    ticksPerQuarter: score.ticksPerQuarter,
    bars: withRehearsals(score.bars, placed),
    tempos: score.tempos,
    parts: seatOf.map((seat, index) => {
      const own = placed.filter((p) => p.seats.includes(seat));
      const { notes } = lines[index]!;
      const playing = withStagger(seats[seat]!, notes, {
        layers: own,
        playing: playingWords(seats[seat]!, own, notes, (p) => turnsIn(p, stage)),
        clock: clockOf(score),
        gapSeconds: BREATH_GAP_SECONDS,
      });
      return toPart(seats[seat]!, index, { playing, dynamics: lines[index]!.dynamics });
    }),
    notes: memories.scores(key, () => sortNotes(lines.flatMap((line) => line.notes))),
    chords: score.chords,
    notices: score.notices,
    layers: placed.map((p): WrittenLayer => ({
      id: p.layer,
      role: p.assignment.role,
      figure: p.figure.id,
      ...(figureById(p.figure.id) ? {} : { shape: p.figure.shape }),
      parts: p.seats.map((s) => partOf.get(s)!),
      fromBarIndex: p.fromBarIndex,
      toBarIndex: p.toBarIndex,
      passage: p.passage.name,
    })),
  };
}

function retimed(score: Score, plan: Plan): Score {
  const bpm = plan.quartersPerMinute;
  if (bpm === undefined) return score;
  if (!isTempo(bpm)) {
    throw new InputError({
      action: "realise the plan",
      problem: `its tempo is ${bpm} quarters per minute`,
      where: { file: plan.name },
      remedy: `Give one ${TEMPO_RANGE}`,
    });
  }
  const tempos: readonly Tempo[] = [{ onsetTicks: 0, quartersPerMinute: bpm, origin: "marked" }];
  return { ...score, tempos };
}

function toPart(
  seat: Seat,
  index: number,
  { playing, dynamics }: {
    readonly playing: readonly Playing[];
    readonly dynamics: readonly WrittenDynamic[];
  },
): Part {
  return {
    id: `P${index + 1}`,
    name: seat.part.name,
    instrument: seat.instrument.id,
    instrumentFrom: "given",
    players: seat.part.players,
    transposeSemitones: seat.instrument.transposeSemitones,
    transposeSteps: seat.instrument.transposeSteps,
    ...(playing.length > 0 ? { playing } : {}),
    ...(dynamics.length > 0 ? { writtenDynamics: dynamics } : {}),
  };
}

function withRehearsals(bars: readonly Bar[], placed: readonly PlacedAssignment[]): readonly Bar[] {
  const marks = new Map(placed.map((p) => [p.fromBarIndex, p.passage.name]));
  return bars.map((bar, i) => {
    const { rehearsal: _replaced, ...plain } = bar;
    const rehearsal = marks.get(i);
    return rehearsal === undefined ? plain : { ...plain, rehearsal };
  });
}

interface Memories {
  readonly layers: Memo<LayerNotes>;
  readonly lines: Memo<PartLine>;
  /** The same by what breathing has left of them. */
  readonly breathed: Memo<PartLine>;
  readonly nextLine: () => number;
  readonly scores: Memo<readonly Note[]>;
}

function newMemories(): Memories {
  let linesWritten = 0;
  return {
    layers: memo(KEPT.layers),
    lines: memo(KEPT.lines),
    breathed: memo(KEPT.lines),
    nextLine: () => linesWritten++,
    scores: memo(KEPT.scores),
  };
}

/** What the plan is written on. */
interface PlanStage {
  readonly plan: Plan;
  readonly sketch: Sketch;
  readonly seats: readonly Seat[];
  /** The seats that play, and the index of the part in the score for each. */
  readonly seatOf: readonly number[];
  readonly partOf: ReadonlyMap<number, number>;
  readonly placed: readonly PlacedAssignment[];
  readonly memories: Memories;
  readonly numbered: (notes: readonly PlainNote[]) => LayerNotes;
  /** Leads and basses that stand already. */
  readonly frame: Frame;
}

/** A layer's notes as its writer gave them, parts counted by seats. */
interface LayerNotes {
  /** Number that tells it from other layers written before. */
  readonly id: number;
  readonly notes: readonly PlainNote[];
  /** The same by the seats of their parts. */
  readonly bySeat: ReadonlyMap<number, readonly PlainNote[]>;
}

/** A layer of the plan with its notes. */
interface WrittenAssignment {
  readonly placed: PlacedAssignment;
  readonly written: LayerNotes;
}

/** A note of a part, before signs are put on it. */
interface LayerNote extends BreathNote {
  readonly from: PlacedAssignment;
}

/** What stands before the layers between are written. */
interface Frame {
  readonly lead: readonly LayerNotes[];
  readonly bass: readonly LayerNotes[];
}

function isLead(p: PlacedAssignment): boolean {
  return p.assignment.role === "lead";
}

function isBass(p: PlacedAssignment): boolean {
  return p.assignment.role === "bass";
}

/** One layer's notes, written now or before. */
function layerNotes(p: PlacedAssignment, stage: PlanStage, frame: Frame): LayerNotes {
  const { assignment, figure, fromBarIndex, toBarIndex } = p;
  const beside = notesBeside(p, stage, frame);
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
    linesInText(beside.lead),
    // An octave that was asked for hangs on nothing.
    isLead(p) && assignment.octave !== null ? [] : [linesInText(beside.bass), padFloorOf(p, stage)],
  ]);
  return stage.memories.layers(
    key,
    () => stage.numbered(withEntries(p, writeLayer(p, stage, beside), stage)),
  );
}

/** Notes of leads and basses beside a layer. */
interface NotesBeside {
  readonly lead: readonly PlainNote[];
  readonly bass: readonly PlainNote[];
}

/** What of leads and basses sounds in the bars of a layer: nothing else of them bears on how it is written. */
function notesBeside(
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

function writeLayer(
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

/** Whose turn it is in a layer whose players hand over. */
function turnsIn(
  { assignment, fromBarIndex, toBarIndex }: PlacedAssignment,
  { seats, sketch: { score: { bars, ticksPerQuarter } } }: PlanStage,
): readonly LayerTurn[] | undefined {
  const { handOver } = assignment;
  const groups = groupsOfSeats(assignment, seats);
  return handOver && turnsOf(bars.slice(fromBarIndex, toBarIndex + 1), { handOver, groups, ticksPerQuarter });
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

/** The whole line of one part: its notes and its dynamic signs. */
interface PartLine {
  /** Number that tells it from other lines written before. */
  readonly id: number;
  readonly notes: readonly Note[];
  readonly dynamics: readonly WrittenDynamic[];
}

function lineOf(seat: number, layers: readonly WrittenAssignment[], stage: PlanStage): PartLine {
  const own = layers.filter((l) => l.placed.seats.includes(seat));
  const { instrument } = stage.seats[seat]!;
  const { score } = stage.sketch;
  const breathes = breathSeconds(instrument, DEFAULT_DYNAMIC) !== null;
  const isEverMuted = own.some((l) => l.placed.assignment.technique === "con sordino");
  const written = JSON.stringify([
    seat,
    stage.partOf.get(seat),
    // How many slashes a tremolo needs, and how soon a mute has to be taken, depends on the tempo.
    own.some((l) => l.placed.figure.tremoloSlashes > 0) || isEverMuted ? score.tempos : [],
    own.map(({ placed: { layer, assignment: a }, written }) => [
      written.id,
      layer,
      marksOf(a),
      a.articulation,
      a.technique,
    ]),
  ]);
  // Who breathes depends on the tempo and on who takes turns.
  const air = breathes
    ? JSON.stringify([
      score.tempos,
      own.map((l) => l.placed.seats.map((s) => stage.seats[s]!.part.players > 1)),
    ])
    : "";
  return stage.memories.lines(`${written} ${air}`, () => {
    const plain = own.flatMap(({ placed, written }) => {
      const { kind, turns, secondsOf } = layerBreath(placed, seat, { seats: stage.seats, score });
      const dynamicAt = dynamicWithin(placed, score.bars);
      return (written.bySeat.get(seat) ?? []).map((n): LayerNote => ({
        ...n,
        part: stage.partOf.get(seat)!,
        kind,
        turns,
        breathSeconds: secondsOf(dynamicAt(n.onsetTicks), n.soundingPitch),
        from: placed,
      }));
    });
    const breathed = breathe(giveWay(plain, stage), stage).toSorted((a, b) => a.onsetTicks - b.onsetTicks);
    // At another tempo most lines breathe where they did.
    return stage.memories.breathed(`${written} ${breathsInText(breathed)}`, () => {
      const muted = isEverMuted
        ? leaveMuteTime(breathed, { instrument, clock: clockOf(score), beats: placesOf(score).beats })
        : breathed;
      const dynamics = plannedDynamics(muted, score);
      const notes = sortNotes(dressAll(muted, { instrument, dynamics }, stage));
      return { id: stage.memories.nextLine(), notes, dynamics };
    });
  });
}

/** What breathing makes of a line whose notes are known: where they stand, how long they are, and the commas. */
function breathsInText(notes: readonly LayerNote[]): string {
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
function giveWay(notes: readonly LayerNote[], stage: PlanStage): readonly LayerNote[] {
  const { bars } = stage.sketch.score;
  return notes.filter((n) => {
    const last = bars[n.from.toBarIndex]!;
    if (n.onsetTicks < last.startTicks + last.durationTicks) return true;
    return !notes.some((other) =>
      other.from !== n.from && other.onsetTicks < n.onsetTicks + n.durationTicks &&
      other.onsetTicks + other.durationTicks > n.onsetTicks
    );
  });
}

/** Breaths over the whole of a part, if its player needs any. */
function breathe(notes: readonly LayerNote[], stage: PlanStage): readonly LayerNote[] {
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

/** Beats of some bars, in order. */
function beatsOf(bars: readonly Bar[], ticksPerQuarter: Ticks): readonly Ticks[] {
  return bars.flatMap((bar) => {
    const beat = beatTicks(bar, ticksPerQuarter);
    return Array.from(
      { length: Math.ceil(bar.durationTicks / beat) },
      (_, i) => bar.startTicks + i * beat,
    );
  });
}

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
