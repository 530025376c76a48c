/** What each line of a page is read as in each bar, with the facts that decided. */
import { once } from "../../base/memo.ts";
import { pitchName, type Share } from "../../base/units.ts";
import { mayLeadToo } from "../also_possible.ts";
import { BROAD_KINDS } from "../broad_kinds.ts";
import { figureById, type FigureName } from "../figures.ts";
import { type CellFeatures, isPitched } from "../features/features.ts";
import { keptStrokesOf } from "../features/recurrences.ts";
import type { Judgement } from "../judge/judge.ts";
import { rowAt } from "../clues/rows.ts";
import { endsRoll } from "../clues/rolls_on.ts";
import { resolvesTrill } from "../clues/resolves_trill.ts";
import { FLOOR } from "../judge/lead_course.ts";
import { strongestClues } from "../judge/strongest_clues.ts";
import { likeliest } from "../judge/weights.ts";
import type { RoleCell } from "../model.ts";
import { BEATS_OF_BASS } from "../role_does.ts";
import type { Role } from "../roles.ts";
import { RULES } from "../rules.ts";
import { asOneInTurn } from "./as_one_in_turn.ts";
import { asPairsDo } from "./as_pairs_do.ts";
import { goOn } from "./go_on.ts";
import type { JudgedBars, JudgedPage } from "./judged_page.ts";
import { isTune, leadsInATune, leadsOf } from "./lead.ts";
import { ANSWERS, beatFigure, nameFigure, offBeats } from "./name_figure.ts";
import { readShapes, type ShapeReading } from "./read_shapes.ts";
import { type CellStanding, roleOf } from "./role_of.ts";
import type { ScoreFrame } from "../features/score_frame.ts";

/** What a cell was read as, and why. */
export interface Reading {
  readonly role: Role;
  readonly figure: FigureName;
  /** What the notes do, by the weights alone. */
  readonly does: RoleCell["does"];
  /** How sure, 0 to 1. */
  readonly confidence: number;
  /** How much of the lead falls to it, 0 to 1. */
  readonly leadShare: number;
  /** Facts that decided, in a musician's words. */
  readonly facts: readonly string[];
}

/** A role with what decided it. */
type Finding = Omit<Reading, "does" | "leadShare">;

/** Where a cell stands, and what its notes do. */
interface CellPlace extends CellStanding {
  readonly cell: number;
  readonly shape: ShapeReading["shape"];
}

/** What is read where a part is silent. */
export const SILENT: Reading = {
  role: "rest",
  figure: "none",
  does: "silent",
  confidence: 1,
  leadShare: 0,
  facts: [],
};

/** Where a run lands it is what it was, one that runs on without end apart. */
function arrivalOf({ figure }: Reading): Finding {
  const into = /^scale .*into the bar/.test(figure) ? figure : "scale into the bar";
  return { role: "run", figure: into, confidence: 0.8, facts: ["arrives on the downbeat"] };
}

/** What a trill is resolved on belongs to it. */
const RESOLUTION: Finding = {
  role: "trill",
  figure: "trill with a turn",
  confidence: 0.8,
  facts: ["where the trill is resolved"],
};

/** So does the stroke to which a roll leads. */
const LANDING: Finding = {
  role: "trill",
  figure: "roll into the bar",
  confidence: 0.8,
  facts: ["where the roll leads to"],
};

/** Roles that go on as long as a note of theirs is held. */
const HELD_ON: readonly Role[] = ["bass", "pad", "trill", "counterline"];

/** What a note held over the bar line was, it goes on to be. */
function heldOver({ role, figure, confidence }: Reading): Finding {
  return { role, figure, confidence, facts: ["a note held over"] };
}

/** What a cell does by the weights alone; what a figure plainly fills is melody or moving. */
function doesOf({ does: logs, evidence }: Judgement, cell: number): RoleCell["does"] {
  if (!evidence.scene.sounds[cell]) return "silent";
  const does = BROAD_KINDS[likeliest(logs[cell]!)]!;
  const plain = evidence.plain[cell];
  const isFigure = plain !== undefined && plain !== "counterline" && plain !== "bass";
  return isFigure && does !== "melody" ? "moving" : does;
}

/** How much of the lead falls to a cell, to three places; nothing where it is next to nothing. */
function shareOf({ lead }: Judgement, cell: number): number {
  const log = lead.shares[cell]!;
  return log <= FLOOR ? 0 : Math.round(Math.exp(log) * 1000) / 1000;
}

/** A reading whose facts say so where it may lead as well. */
function orLead(reading: Reading): Reading {
  return mayLeadToo(reading)
    ? {
      ...reading,
      facts: [...reading.facts, `also possible as the lead (${reading.leadShare.toFixed(2)} of it)`],
    }
    : reading;
}

/** Whether a part's only note here is where the run of the bar before arrives. */
function arrives(f: CellFeatures, before: CellFeatures, score: ScoreFrame): boolean {
  const [note] = f.line;
  const last = before.line.at(-1);
  return f.line.length === 1 && f.coverage <= 0.75 && before.line.length >= RULES.runFromNotes - 2 &&
    last !== undefined &&
    note!.onsetTicks === score.bars[f.barIndex]!.startTicks &&
    last.onsetTicks + last.durationTicks === note!.onsetTicks;
}

/** A lead that is hardly a tune, such as the top line of hammered chords, goes by the figure it plays. */
function leadReading(
  f: CellFeatures,
  confidence: number,
  { bar, judgement, cell, ...place }: CellPlace & {
    readonly bar: readonly CellFeatures[];
    readonly judgement: Judgement;
  },
): Finding {
  const higher = bar.filter((g) => isPitched(g) && g.meanPitch > f.meanPitch + 0.5).length;
  const clues = strongestClues(judgement.weights.lead, rowAt(judgement.leadRows, cell)).filter((clue) =>
    clue !== "the top line" && !isEmpty(clue, f)
  );
  const figure = isTune(judgement, cell)
    ? "tune"
    : nameFigure(f, roleOf(f, judgement, cell, place).role, place);
  const line = [
    higher === 0 ? "the top line" : `${higher} higher`,
    ...clues,
    f.distinctPitches === 1 ? "one pitch" : `${f.distinctPitches} pitches`,
  ];
  return {
    role: "lead",
    figure,
    confidence,
    facts: [
      ...(figure === "tune" ? [] : [`though in ${figure}`]),
      ...(f.line.length === 0 ? ["a note held over"] : line),
    ],
  };
}

/** Whether a clue speaks of the pitches or the contour of one pitch, of which the reason says all there is. */
function isEmpty(clue: string, { distinctPitches }: CellFeatures): boolean {
  return distinctPitches <= 1 && /pitch|contour/.test(clue);
}

/** The role a moving part's figure is of, where its name says so: what breaks chords or runs is no pulse. */
function roleNamed(figure: FigureName): Role | undefined {
  return figureById(figure)?.role ??
    (/^(broken chord|alternation) in /.test(figure) ? "figuration" : undefined);
}

function secondaryReading(
  f: CellFeatures,
  judgement: Judgement,
  { cell, ...place }: CellPlace,
): Finding {
  const { role: likeliest, confidence, kind } = roleOf(f, judgement, cell, place);
  const figure = nameFigure(f, likeliest, place);
  const role = likeliest === "pulse" ? roleNamed(figure) ?? likeliest : likeliest;
  if (f.line.length === 0) return { role, figure, confidence, facts: ["a note held over"] };
  const clues = kind === undefined
    ? []
    : strongestClues(judgement.weights.kind, judgement.evidence.clues[cell]!, { kind });
  const facts = [
    f.distinctPitches === 1
      ? `one pitch (${pitchName(f.line[0]!.soundingPitch)})`
      : `${f.distinctPitches} pitches`,
    figure,
    f.slurred > 0.5 ? "slurred" : "separate",
    // Of single strokes a rate says nothing.
    ...(role === "punctuation" ? [] : [`${Math.round(f.strokesPerSecond * 10) / 10} per second`]),
    ...clues.filter((clue) => clue !== "slurred" && clue !== "unslurred" && !isEmpty(clue, f)),
  ];
  return { role, figure, confidence, facts };
}

/** Share of the parts that sound in a bar, so many, which do as one part does: strike with it and hold as long. */
function shareAlike(
  bar: readonly CellFeatures[],
  part: number,
  { judgement: { evidence: { scene: { companions } } }, sounding }: {
    readonly judgement: Judgement;
    readonly sounding: number;
  },
): Share {
  const cell = bar[part]!.barIndex * bar.length + part;
  const length = (i: number) => bar[i % bar.length]!.line[0]?.durationTicks ?? 0;
  const isAlike = (i: number) =>
    Math.max(length(i), length(cell)) <= RULES.equallyLongTo * Math.min(length(i), length(cell));
  let alike = 1;
  for (const i of companions.unison[cell]!) if (isAlike(i)) alike++;
  for (const i of companions.rhythm[cell]!) if (isAlike(i)) alike++;
  return alike / Math.max(1, sounding);
}

/** What every line of a page is read as in every bar, from what the models say: of short bars two by two as well. */
export function readingsOf({ pairs, ...bars }: JudgedPage): readonly Reading[] {
  const [kept, parts] = [keptIn(bars), bars.score.parts.length];
  const placeOf = placesIn(bars, kept);
  const own = readingsOfBars(bars, placeOf);
  const joined = pairs === undefined ? [] : readingsOfBars(pairs, placesIn(pairs, keptIn(pairs)));
  const named = (cell: number, role: Role) => nameFigure(bars.features[cell]!, role, placeOf(cell));
  const isAnswered = (cell: number) => placeOf(cell).isAnswered();
  const read = pairs === undefined ? own : asPairsDo(own, { features: bars.features, kept, parts }, {
    joined,
    pairOf: pairs.pairOf,
    named,
    isAnswered,
  });
  const together = (cell: number) =>
    pairs === undefined
      ? undefined
      : joined[pairs.pairOf[Math.floor(cell / parts)]! * parts + cell % parts]!.role;
  return asOneInTurn(read, { features: bars.features, parts, named, together }).map(orLead);
}

/** How long each part keeps its strokes. */
function keptIn({ score, features, judgement }: JudgedBars): ArrayLike<Share> {
  const { rhythmAsBefore } = judgement.evidence.scene.companions;
  return keptStrokesOf(features, { parts: score.parts.length, rhythmAsBefore });
}

/** Where each cell stands among the others of its bar. */
function placesIn(
  { score, features, judgement }: JudgedBars,
  kept: ArrayLike<Share>,
): (cell: number) => CellPlace {
  const parts = score.parts.length;
  const { ticksPerQuarter } = score;
  const shapes = readShapes(score, features, { leads: (cell) => leadsInATune(judgement, cell) });
  const bars = score.bars.map((_, b) => {
    const bar = features.slice(b * parts, (b + 1) * parts);
    const struck = once(() =>
      new Set<FigureName | undefined>(bar.map((f) => beatFigure(f, ticksPerQuarter) ?? offBeats(f)))
    );
    const hasBass = () => BEATS_OF_BASS.some((figure) => struck().has(figure));
    const hasAnswer = () => ANSWERS.some((figure) => struck().has(figure));
    return { bar, sounding: bar.filter((f) => f.sounds).length, hasBass, hasAnswer };
  });
  return (cell) => {
    const [b, p] = [Math.floor(cell / parts), cell % parts];
    const { bar, sounding, hasBass, hasAnswer } = bars[b]!;
    return {
      cell,
      isLowest: judgement.evidence.lowest[b]!.has(p),
      kept: kept[cell]!,
      alike: shareAlike(bar, p, { judgement, sounding }),
      followsBass: hasBass,
      isAnswered: hasAnswer,
      ticksPerQuarter,
      shape: shapes[cell]!.shape,
    };
  };
}

/** The same of bars by themselves. */
function readingsOfBars(
  { score, features, judgement }: JudgedBars,
  placeOf: (cell: number) => CellPlace,
): readonly Reading[] {
  const parts = score.parts.length;
  const readings: Reading[] = [];
  let ledBefore: ReadonlySet<number> = new Set();
  score.bars.forEach((_, barIndex) => {
    const bar = features.slice(barIndex * parts, (barIndex + 1) * parts);
    const leading = leadsOf(judgement, bar, { ledBefore });
    bar.forEach((f, p) => {
      const cell = barIndex * parts + p;
      const before = readings[cell - parts];
      const place = placeOf(cell);
      const finding = leading.has(p)
        ? leadReading(f, leading.get(p)!, { bar, judgement, ...place })
        : before?.role === "run" && arrives(f, features[cell - parts]!, score)
        ? arrivalOf(before)
        : resolvesTrill(f, features[cell - parts])
        ? RESOLUTION
        : before?.figure === "roll into the bar" && endsRoll(f, features[cell - parts])
        ? LANDING
        : f.line.length === 0 && before !== undefined && HELD_ON.includes(before.role)
        ? heldOver(before)
        : f.sounds
        ? secondaryReading(f, judgement, place)
        : SILENT;
      const { role, figure, confidence, facts } = finding;
      const [does, leadShare] = [doesOf(judgement, cell), shareOf(judgement, cell)];
      readings.push(f.sounds ? { role, figure, does, confidence, leadShare, facts } : SILENT);
    });
    ledBefore = new Set(leading.keys());
  });
  return goOn(readings, features, parts);
}
