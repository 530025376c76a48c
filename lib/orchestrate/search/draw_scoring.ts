/** Scorings of one passage, drawn by chance within what orchestrators do: a lead, a bass, chords, what moves, what answers. */
import { dynamicMark, dynamicOf } from "../../score/dynamics.ts";
import type { Score } from "../../score/model.ts";
import type { FigureId } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";
import type { BarsFound } from "../rewrite/bars_asked.ts";
import { figuresAt } from "../suggest/figures_at.ts";
import { assign, type Assignment, type AssignmentInput } from "../plan/plan.ts";
import { canBeBass, canHold, canLead, canMove, canPunctuate, type PlayerGroup } from "./colours.ts";

/** A passage to be scored. */
export interface ScoringTask {
  readonly score: Score;
  readonly bars: BarsFound;
  /** Lowest and highest note of the tune there, sounding MIDI pitch. */
  readonly tune: { readonly low: number; readonly high: number };
  /** Groups of the orchestra. */
  readonly colours: readonly PlayerGroup[];
  /** How loud the lead is, 1 ppp to 8 fff. */
  readonly level: number;
  /** How much it is to move, from 0 to 1. */
  readonly drive: number;
  /** Layers that stand already. */
  readonly kept: readonly Assignment[];
  /** Seats of these layers. */
  readonly keptSeats: readonly number[];
  /** Groups that lead; empty where that is open. */
  readonly lead: readonly PlayerGroup[];
  /** Groups that have to play. */
  readonly play: readonly PlayerGroup[];
  /** Seats that rest. */
  readonly rest: ReadonlySet<number>;
  /** Seats that rest in the next passage, and so cannot run into it. */
  readonly restsNext: ReadonlySet<number>;
}

/** How often something is done, from 0 to 1.  Common practice, no source. */
const OFTEN = {
  doubledSoft: 0.35,
  doubledLoud: 0.7,
  secondBass: 0.6,
  plucked: 0.35,
  pad: 0.8,
  secondPad: 0.5,
  counterline: 0.25,
  punctuation: 0.4,
  twoMoveTogether: 0.5,
  slurred: 0.6,
} as const;
/** Level from which a tune is doubled as often as not: mf. */
const MEZZO_FORTE = 5;
/** Level from which brass marks beats and the bass grows: f. */
export const FORTE = 6;
/** The softest and loudest that anybody is asked for who is not to lead at another level: pp and ff. */
const [SOFTEST, LOUDEST] = [2, 7];
/** How often each kind of movement is drawn, against the others. */
const MOVES: readonly (readonly [Role, number])[] = [["pulse", 3], ["figuration", 2.5], ["trill", 1], [
  "run",
  1,
]];
/** Strokes a second that go with no drive and with all of it. */
const [SLOW_STROKES, QUICK_STROKES] = [2, 10];

type Random = () => number;

/** One of a list, by weight; undefined where there is none. */
function drawn<T>(list: readonly T[], random: Random, weightOf: (one: T) => number = () => 1): T | undefined {
  const weights = list.map(weightOf);
  let left = random() * weights.reduce((a, b) => a + b, 0);
  return list.find((_, i) => (left -= weights[i]!) < 0) ?? list.at(-1);
}

/** A scoring of a passage; undefined where chance found nobody to lead. */
export function drawScoring(task: ScoringTask, random: Random): readonly Assignment[] | undefined {
  const hand = handOf(task, random);
  if (!hand.has("lead") && !addLead(hand)) return undefined;
  // Who has to play is kept out of the other draws, and placed at the end.
  const bound = task.play.filter(hand.isFree);
  hand.take(bound);
  if (!hand.has("bass")) addBass(hand);
  addMovement(hand);
  addPad(hand);
  addCounterline(hand);
  addPunctuation(hand);
  addTutti(hand);
  bound.forEach((colour) => addBound(hand, colour));
  return hand.layers;
}

/** What may be drawn anew in a scoring that stands. */
const JOBS: readonly (readonly [roles: readonly Role[], add: (hand: Hand) => unknown])[] = [
  [["lead"], (hand) => addLead(hand)],
  [["bass"], addBass],
  [["pulse", "figuration", "trill", "run"], addMoving],
  [["pad"], addPad],
  [["counterline"], addCounterline],
  [["punctuation"], addPunctuation],
];
/** How often a scoring is changed by a job more, by one less, or by one that is as loud as another mark; otherwise one is drawn anew. */
const CHANGES = { more: 0.2, less: 0.12, marks: 0.13 } as const;

/**
 * A scoring of a passage with one job drawn anew, one more, one less or one softer or louder. The layers that stay are
 * the task's kept ones; undefined where nobody would lead.
 */
export function redrawScoring(
  task: ScoringTask,
  layers: readonly Assignment[],
  { seatsOf, random }: { readonly seatsOf: (a: Assignment) => readonly number[]; readonly random: Random },
): readonly Assignment[] | undefined {
  const own = layers.filter((a) => !task.kept.includes(a));
  const chance = random();
  const at = drawn(own, random);
  if (at === undefined) return undefined;
  if (chance < CHANGES.marks) {
    const level = (dynamicOf(at.dynamic) ?? task.level) + (random() < 0.5 ? 1 : -1);
    const dynamic = markOf(Math.min(level, task.level));
    return layers.map((a) => a === at ? { ...a, dynamic, dynamicEnd: dynamic } : a);
  }
  const isLess = chance < CHANGES.marks + CHANGES.less;
  const isMore = !isLess && chance < CHANGES.marks + CHANGES.less + CHANGES.more;
  if (isLess && (at.role === "lead" || at.role === "bass")) return undefined;
  const rest = isMore ? layers : layers.filter((a) => a !== at);
  const hand = handOf({ ...task, kept: rest, keptSeats: rest.flatMap(seatsOf) }, random);
  const [, add] = isMore
    ? drawn(JOBS.slice(2).filter(([roles]) => !isFilled(roles, layers)), random) ?? JOBS[2]!
    : JOBS.find(([roles]) => roles.includes(at.role)) ?? JOBS[2]!;
  if (!isLess) add(hand);
  if (!hand.has("lead") || (at.role === "bass" && !hand.has("bass"))) return undefined;
  const order = (a: Assignment) => JOBS.findIndex(([roles]) => roles.includes(a.role as Role));
  return hand.layers.toSorted((a, b) => order(a) - order(b));
}

/** Layers that move at once at the most; of other jobs there is one. Common practice, no source. */
const MOVING_AT_ONCE = 2;

function isFilled(roles: readonly Role[], layers: readonly Assignment[]): boolean {
  const has = layers.filter((a) => roles.includes(a.role)).length;
  return has >= (roles.includes("pulse") ? MOVING_AT_ONCE : 1);
}

/** Everything that is needed to add layers to those that stand. */
function handOf(task: ScoringTask, random: Random): Hand {
  const used = new Set<number>([...task.rest, ...task.keptSeats]);
  const layers: Assignment[] = [...task.kept];
  const isFree = (c: PlayerGroup) => c.seats.every((seat) => !used.has(seat));
  // A line for one goes to the first of its kind that is free, a tune to first violins before second.
  const isFirst = (c: PlayerGroup) =>
    c.seats.length > 1 ||
    task.colours.every((other) =>
      other.seats.length > 1 || other.instrument.id !== c.instrument.id ||
      other.seats[0]! >= c.seats[0]! || !isFree(other)
    );
  const free = (can: (c: PlayerGroup) => boolean) =>
    task.colours.filter((c) => isFree(c) && (c.isSection || isFirst(c)) && can(c));
  const take = (colours: readonly PlayerGroup[]) =>
    colours.flatMap((c) => c.seats).forEach((seat) => used.add(seat));
  return {
    task,
    random,
    layers,
    has: (role) => layers.some((l) => l.role === role),
    isFree,
    take,
    free,
    firsts: (can) => free((c) => isFirst(c) && can(c)),
    add: (colours, input) => {
      take(colours);
      layers.push(assign({ ...input, parts: colours.flatMap((c) => c.parts) }));
    },
    join: (colour, role) => {
      const at = layers.findLastIndex((l) => l.role === role);
      if (at < task.kept.length || !isFree(colour)) return;
      take([colour]);
      layers[at] = assign({
        ...layers[at]!,
        figure: layers[at]!.figure as FigureId,
        parts: [...layers[at]!.parts, ...colour.parts],
      });
    },
    mark: (below) => below === 0 ? dynamicMark(task.level) : markOf(task.level - below),
  };
}

/** What the draws of one scoring share. */
interface Hand {
  readonly task: ScoringTask;
  readonly random: Random;
  /** The layers so far. */
  readonly layers: readonly Assignment[];
  /** Whether a layer has a role. */
  readonly has: (role: Role) => boolean;
  /** Whether nobody of a group plays yet. */
  readonly isFree: (c: PlayerGroup) => boolean;
  /** Keeps groups out of what is drawn from now on. */
  readonly take: (colours: readonly PlayerGroup[]) => void;
  /** Groups that are free and can do something. */
  readonly free: (can: (c: PlayerGroup) => boolean) => readonly PlayerGroup[];
  /** Likewise; of each kind only the first. */
  readonly firsts: (can: (c: PlayerGroup) => boolean) => readonly PlayerGroup[];
  readonly add: (colours: readonly PlayerGroup[], input: Omit<AssignmentInput, "parts">) => void;
  /** Lets a free group join the layer of a role, where there is one that is not kept from before. */
  readonly join: (colour: PlayerGroup, role: Role) => void;
  /** The mark so many steps below the lead's. */
  readonly mark: (below: number) => string;
}

function markOf(level: number): string {
  return dynamicMark(Math.max(SOFTEST, Math.min(LOUDEST, level)));
}

/** Whether two groups go together on one line: strings with all, winds with winds of their kind. Common practice, no source. */
function doubles(a: PlayerGroup, b: PlayerGroup): boolean {
  const [one, other] = [a.instrument.family, b.instrument.family];
  return a.instrument.id !== b.instrument.id
    ? one === other || one === "strings" || other === "strings"
    : a.isSection;
}

/** Lowest comfortable note of instruments that have a tune where it is loud, such as the piccolo, sounding MIDI pitch. Common practice, no source. */
const PIERCING = 72;

/** How much less often than others an instrument that lends a colour is asked to move. */
const SELDOM = 0.03;

/** Whether an instrument has tunes at a level: trumpets from mf, trombones from f. Common practice, no source. */
export function leadsAt({ instrument: i }: PlayerGroup, level: number): boolean {
  if (i.rangeComfortable.low >= PIERCING) return level >= FORTE;
  if (i.family !== "brass" || i.id.startsWith("horn")) return true;
  return level >= (/trumpet|cornet|flugelhorn/.test(i.id) ? MEZZO_FORTE : FORTE);
}

/** Adds the groups that are to lead, or some that can; false where there are none. */
function addLead(hand: Hand): boolean {
  const { task, isFree, add, mark } = hand;
  const lead = task.lead.length > 0 ? task.lead : drawLead(hand);
  if (lead.length === 0 || !lead.every(isFree)) return false;
  add(lead, { role: "lead", dynamic: mark(0) });
  return true;
}

/** How often several winds of a kind have a soft tune together, against one of them. Common practice, no source. */
const CROWDED = 0.15;

function drawLead({ task, random, firsts }: Hand): readonly PlayerGroup[] {
  const isLoud = task.level >= MEZZO_FORTE;
  const able = firsts((c) => canLead(c, task.tune));
  // Where only brass could lead, it leads softly too.
  const suited = able.filter((c) => leadsAt(c, task.level));
  const candidates = suited.length > 0 ? suited : able;
  const weight = (c: PlayerGroup) => isSeveral(c) === isLoud ? 2 : c.isSection ? 1.5 : isLoud ? 1 : CROWDED;
  const first = drawn(candidates, random, weight);
  if (!first) return [];
  if (random() > (isLoud ? OFTEN.doubledLoud : OFTEN.doubledSoft)) return [first];
  const others = candidates.filter((c) =>
    doubles(first, c) && c.seats.every((s) => !first.seats.includes(s))
  );
  const second = drawn(others, random, weight);
  return inOrder(second ? [first, second] : [first]);
}

/** Lowest comfortable note below which an instrument joins basses and is none alone, sounding MIDI pitch. Common practice, no source. */
const CONTRA = 30;

/** Whether some groups are too deep to be the bass by themselves: double basses without cellos or bassoons. */
export function areAllContra(groups: readonly PlayerGroup[]): boolean {
  return groups.every((c) => c.instrument.rangeComfortable.low < CONTRA);
}

/** How often each family is the bass, against the others; brass helps where it is loud. Common practice, no source. */
function bassWeight({ instrument: i }: PlayerGroup, isLoud: boolean): number {
  if (i.family === "strings") return 6;
  if (i.family === "brass") return isLoud ? 0.5 : 0.02;
  return i.rangeComfortable.low < CONTRA ? 0.1 : 1;
}

function addBass({ task, random, free, add, mark }: Hand): void {
  const isLoud = task.level >= FORTE;
  const weight = (c: PlayerGroup) => bassWeight(c, isLoud);
  const first = drawn(free(canBeBass), random, weight);
  if (!first) return;
  // Double basses alone are a thin bass: the cellos go with them where they can, or else bassoons.
  const isAlone = areAllContra([first]);
  const joins = free((c) => canBeBass(c) && c.instrument.id !== first.instrument.id);
  const own = joins.filter((c) => isLoud || c.instrument.family === first.instrument.family);
  const deep = joins.filter((c) => !areAllContra([c]) && (isLoud || c.instrument.family !== "brass"));
  const others = !isAlone
    ? own
    : own.some((c) => !areAllContra([c]))
    ? own.filter((c) => deep.includes(c))
    : deep;
  const second = isLoud || isAlone || random() < OFTEN.secondBass ? drawn(others, random, weight) : undefined;
  const colours = inOrder(second ? [first, second] : [first]);
  const figures = figuresAt(task, "bass", groupOf(colours));
  const wantsMoving = random() < task.drive;
  const suited = figures.filter((f) => (f.id === "sustained bass") !== wantsMoving);
  const figure = drawn(suited.length > 0 ? suited : figures, random);
  if (!figure) return;
  const plucks = wantsMoving && !isLoud && colours.every((c) => c.instrument.family === "strings") &&
    random() < OFTEN.plucked;
  add(colours, {
    role: "bass",
    figure: figure.id,
    dynamic: mark(1),
    ...(plucks ? { technique: "pizzicato" as const } : {}),
  });
}

/** Groups as they stand in the score. */
function inOrder(colours: readonly PlayerGroup[]): readonly PlayerGroup[] {
  return colours.toSorted((a, b) => a.seats[0]! - b.seats[0]!);
}

/** The instruments of some groups, as figures are judged by. */
function groupOf(colours: readonly PlayerGroup[]) {
  return { family: colours[0]!.instrument.family, instruments: colours.map((c) => c.instrument) };
}

function addMovement(hand: Hand): void {
  const { task, random } = hand;
  const layers =
    [task.drive > 0.1, random() < task.drive, random() < task.drive - 0.5].filter(Boolean).length;
  for (let i = 0; i < layers; i++) addMoving(hand);
}

/** Lowest comfortable note from which an instrument is asked for runs and trills over others, sounding MIDI pitch. Common practice, no source. */
const NIMBLE = 45;

/** Instruments that lend a colour now and then: keyboards and mallets beside the harp. Common practice, no source. */
const isColour = ({ instrument: i }: PlayerGroup) => i.family === "percussion" || i.family === "keyboard";

/** How far the middles of two ranges may lie apart for one figure, in semitones: no piccolo with a bass clarinet. Common practice, no source. */
const ONE_FIGURE = 24;
/** The same beside a piccolo: flutes and oboes, no cor anglais. Common practice, no source. */
const BESIDE_PICCOLO = 17;

/** Whether two groups share a figure: strings with strings, woodwind with woodwind, brass with its like. Common practice, no source. */
export function movesWith(a: PlayerGroup, b: PlayerGroup): boolean {
  const middle = ({ instrument: { rangeComfortable: r } }: PlayerGroup) => (r.low + r.high) / 2;
  const isPiercing = [a, b].some((c) => c.instrument.rangeComfortable.low >= PIERCING);
  if (Math.abs(middle(a) - middle(b)) > (isPiercing ? BESIDE_PICCOLO : ONE_FIGURE)) return false;
  return a.instrument.family === "brass"
    ? a.instrument.id === b.instrument.id
    : a.instrument.family === b.instrument.family;
}

/** Whether a group may have a role whose last note may lie in the next passage. */
export function mayLand(
  c: PlayerGroup,
  role: Role,
  { restsNext }: Pick<ScoringTask, "restsNext">,
): boolean {
  return role !== "run" || c.seats.every((seat) => !restsNext.has(seat));
}

/** Whether a group is asked to move at a level: brass in its choirs, horns and trumpets from mf, low brass from f; harp and celesta where they are heard, below f; others always. Common practice, no source. */
export function movesAt(c: PlayerGroup, level: number): boolean {
  if (c.instrument.family === "plucked" || c.instrument.id === "celesta") return level < FORTE;
  if (c.instrument.family !== "brass") return true;
  return c.seats.length > 1 && level >= (c.instrument.rangeComfortable.low >= NIMBLE ? MEZZO_FORTE : FORTE);
}

/** Whether an instrument is asked for a role that moves: low ones for no runs and trills, the highest for no repeated chords. Common practice, no source. */
export function isSuitedTo(
  { instrument: { rangeComfortable: { low } } }: PlayerGroup,
  role: string,
): boolean {
  return role === "run" || role === "trill" ? low >= NIMBLE : role !== "pulse" || low < PIERCING;
}

/** Figures that groups may be asked for through a whole passage: none that runs on quicker than with all the drive there is. */
export function figuresThrough(
  task: Omit<ScoringTask, "drive">,
  role: Role,
  groups: readonly PlayerGroup[],
): ReturnType<typeof figuresAt> {
  return figuresAt(task, role, groupOf(groups)).filter((f) =>
    f.perSecond <= QUICK_STROKES || f.id.includes("into the bar")
  );
}

function addMoving({ task, random, free, add, mark }: Hand): void {
  const [role] = drawn(MOVES, random, ([, weight]) => weight)!;
  const able = (c: PlayerGroup) =>
    canMove(c) && movesAt(c, task.level) && mayLand(c, role, task) && isSuitedTo(c, role);
  const candidates = free((c) => able(c) && figuresThrough(task, role, [c]).length > 0);
  const first = drawn(candidates, random, (c) => isSeveral(c) ? 2 : isColour(c) ? SELDOM : 1);
  if (!first) return;
  const others = candidates.filter((c) =>
    movesWith(first, c) && c.seats.every((s) => !first.seats.includes(s))
  );
  const second = random() < OFTEN.twoMoveTogether ? drawn(others, random) : undefined;
  const colours = inOrder(second ? [first, second] : [first]);
  const wanted = SLOW_STROKES + (QUICK_STROKES - SLOW_STROKES) * task.drive;
  const figure = drawn(
    figuresThrough(task, role, colours),
    random,
    (f) => f.perSecond > 0 ? Math.exp(-2 * Math.abs(Math.log(f.perSecond / wanted))) : 0.3,
  );
  if (!figure) return;
  const isBlownOrBowed = ["woodwind", "strings"].includes(first.instrument.family);
  const slurs = role === "run" || (role === "figuration" && isBlownOrBowed && random() < OFTEN.slurred);
  add(colours, {
    role,
    figure: figure.id,
    dynamic: mark(1),
    ...(slurs ? { articulation: "slurred" as const } : {}),
  });
}

/** Groups that are several voices: horns, clarinets and bassoons, sections. */
const isSeveral = (c: PlayerGroup) => c.seats.length > 1 || c.isSection;

function addPad({ task, random, free, add, mark }: Hand): void {
  if (random() > OFTEN.pad) return;
  const isLoud = task.level >= FORTE;
  const holds = (c: PlayerGroup) =>
    canHold(c) && isSeveral(c) &&
    (isLoud || c.instrument.family !== "brass" || c.instrument.id.startsWith("horn"));
  const candidates = free(holds);
  const first = drawn(candidates, random);
  if (!first) return;
  const others = candidates.filter((c) =>
    c.instrument.family === first.instrument.family && c.seats.every((s) => !first.seats.includes(s))
  );
  const wantsMore = first.seats.length < 3 || random() < OFTEN.secondPad;
  const second = wantsMore ? drawn(others, random) : undefined;
  add(inOrder(second ? [first, second] : [first]), { role: "pad", dynamic: mark(isLoud ? 1 : 2) });
}

/** How likely each free group joins in where all play; string sections do in any case. */
const JOINS = 0.6;

/** From f on, groups that are left join what is there: the tune, the chords, the bass. */
function addTutti({ task, random, free, join }: Hand): void {
  if (task.level < FORTE) return;
  for (const colour of free((c) => isSeveral(c) && c.instrument.sustains && !c.instrument.unpitched)) {
    if (!colour.isSection && random() > JOINS) continue;
    const roles: readonly Role[] = [
      ...(canLead(colour, task.tune) && colour.instrument.family !== "brass" ? ["lead" as const] : []),
      ...(canHold(colour) ? ["pad" as const] : []),
      ...(canBeBass(colour) ? ["bass" as const] : []),
    ];
    const role = drawn(roles, random);
    if (role) join(colour, role);
  }
}

function addCounterline({ task, random, firsts, add, mark }: Hand): void {
  if (random() > OFTEN.counterline) return;
  const sings = (c: PlayerGroup) =>
    canHold(c) && leadsAt(c, task.level) && (c.isSection || c.seats.length === 1);
  const singer = drawn(firsts(sings), random);
  if (singer) add([singer], { role: "counterline", dynamic: mark(1) });
}

function addPunctuation({ task, random, free, add, mark }: Hand): void {
  if (task.level < FORTE || random() > OFTEN.punctuation) return;
  const first = drawn(free((c) => canPunctuate(c) && c.seats.length > 1), random);
  if (!first) return;
  const drum = free((c) => c.instrument.id === "timpani");
  add([first, ...drum.slice(0, 1)], { role: "punctuation", articulation: "accent", dynamic: mark(1) });
}

/** Gives a group that has to play something it can do. */
function addBound({ task, random, add, mark }: Hand, colour: PlayerGroup): void {
  const roles: readonly Role[] = [
    ...(canHold(colour) ? ["pad" as const] : []),
    ...(canMove(colour) ? MOVES.map(([role]) => role) : []),
    ...(canBeBass(colour) ? ["bass" as const] : []),
    "punctuation",
  ];
  const able = roles.filter((role) =>
    role === "punctuation" ||
    (mayLand(colour, role, task) && figuresAt(task, role, groupOf([colour])).length > 0)
  );
  const role = drawn(able, random)!;
  const figure = role === "punctuation"
    ? undefined
    : drawn(figuresAt(task, role, groupOf([colour])), random)!.id;
  add([colour], { role, ...(figure ? { figure } : {}), dynamic: mark(role === "pad" ? 2 : 1) });
}
