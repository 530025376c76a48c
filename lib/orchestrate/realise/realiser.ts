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
import { InputError } from "../../base/errors.ts";
import { orchestra as orchestraByName, type OrchestraPart } from "../../instruments/orchestra.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import { sortNotes } from "../../score/build.ts";
import { clarinetChoices, clarinetsByKey, isClarinet, otherClarinets } from "../../score/clarinets.ts";
import type { Bar, Part, Playing, Score, Tempo, WrittenDynamic, WrittenLayer } from "../../score/model.ts";
import { refineGrid } from "../../score/refine_grid.ts";
import { isTempo, TEMPO_RANGE } from "../../score/tempo_range.ts";
import { clockOf } from "../../score/time.ts";
import { figureById } from "../../texture/figures.ts";
import { placeAssignments, type PlacedAssignment, seatsOf } from "../plan/place_assignments.ts";
import type { Plan } from "../plan/plan.ts";
import type { Seat } from "../plan/seat.ts";
import { type Sketch, sketchOver } from "../plan/sketch.ts";
import { withUpbeats } from "../plan/upbeats.ts";
import { clearingNotices, wishesBalance, withClearLead } from "./clear_lead.ts";
import { layerNotes, notesBeside, turnsIn, writeLayer } from "./layer_notes.ts";
import type { PlainNote } from "./layers/task.ts";
import { refuseMissingLines } from "./missing_line.ts";
import { lineOf } from "./part_line.ts";
import {
  BREATH_GAP_SECONDS,
  type Frame,
  isBass,
  isLead,
  type LayerNotes,
  type Memories,
  newMemories,
  type PartLine,
  type PlanStage,
  type WrittenAssignment,
} from "./plan_stage.ts";
import { playingWords } from "./playing_words.ts";
import { refusalOf } from "./refusal.ts";
import { withStagger } from "./stagger_words.ts";

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
    const lines = writtenLines(stage);
    const setting = settingOf(stage, plan.name, lines);
    const realised = clarinets === "by key"
      ? clarinetsByKey(setting)
      : withNoticeOfClarinets(setting, lines, memories);
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
function withNoticeOfClarinets(setting: Score, lines: readonly PartLine[], memories: Memories): Score {
  const own = lines.filter((_, i) => isClarinet(setting.parts[i]!)).map((line) => line.id);
  const choicesOf = (score: Score) => memories.clarinets(own.join(), () => clarinetChoices(score));
  const told = otherClarinets(setting, choicesOf);
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
  // A lead that has the upbeat to the piece comes in before the bar at which its passage is marked.
  const marked = placed.filter((p) => bars[p.fromBarIndex]!.number === String(p.passage.fromBar));
  const marks = new Map(marked.map((p) => [p.fromBarIndex, p.passage.name]));
  return bars.map((bar, i) => {
    const rehearsal = marks.get(i);
    if (rehearsal === bar.rehearsal) return bar;
    const { rehearsal: _replaced, ...plain } = bar;
    return rehearsal === undefined ? plain : { ...plain, rehearsal };
  });
}
