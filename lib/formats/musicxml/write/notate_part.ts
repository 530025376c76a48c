/** One part as it stands on paper: voices, bars, chords, ties, rests and note values. */
import { barIndexOf } from "../../../score/time.ts";
import { feltBeatTicks } from "./metre_levels.ts";
import { noteValues, type TupletPlace, type TupletSpan, valueOf, type VoiceStretch } from "./note_values.ts";
import type { MetreInput } from "./metre_levels.ts";
import type { Bar, Note, PartNotation, Score, WrittenTuplet } from "../../../score/model.ts";

/** One note head. */
export interface WrittenHead {
  readonly note: Note;
  readonly tieStart: boolean;
  readonly tieStop: boolean;
  /** Which of the heads the source printed for the note this is, from 0; 0 where it is not known. */
  readonly head: number;
  /** True where it begins that head, false where it goes on with it. */
  readonly begins: boolean;
}

/** A chord, a note or a rest with one written value. */
export interface WrittenEvent {
  readonly from: number;
  readonly to: number;
  /** Heads from low to high; none for a rest. */
  readonly heads: readonly WrittenHead[];
  /** Name of the value; empty where no single value fits. */
  readonly type: string;
  readonly dots: number;
  readonly tuplet?: TupletPlace;
  /** A rest of the whole bar. */
  readonly wholeBar: boolean;
  /** A rest that need not be printed, in a second voice. */
  readonly hidden: boolean;
  /** Grace notes before it, in order. */
  readonly graces: readonly Note[];
  /** Half of a two-note tremolo: written with the value of both together where `paired`. */
  readonly tremoloPair?: "start" | "stop";
  /** True where the value is that of both notes of the two-note tremolo together. */
  readonly paired?: boolean;
  /** Where the beam stands, if beams are wanted. */
  readonly beam?: readonly ("begin" | "continue" | "end" | "forward hook" | "backward hook")[];
}

/** One voice of one bar. */
export interface WrittenVoice {
  readonly staff: number;
  /** Voice number in the part: 1 to 4 on the first stave, 5 to 8 on the second. */
  readonly voice: number;
  readonly events: readonly WrittenEvent[];
  /** Grace notes after the last event. */
  readonly closingGraces: readonly Note[];
}

/** A note or chord, not yet cut at bar lines. */
interface Unit {
  readonly from: number;
  readonly to: number;
  readonly heads: readonly WrittenHead[];
}

/** A line of units that do not overlap. */
interface Lane {
  readonly units: Unit[];
  readonly graces: Note[];
}

/** A grace note and its place, in ticks from the bar's start. */
interface PlacedGrace {
  readonly note: Note;
  readonly at: number;
}

/** Metre of a bar as the note values need it. */
function metreOf(score: Score, bar: Bar, index: number): MetreInput {
  const full = bar.beats * score.ticksPerQuarter * 4 / bar.beatUnit;
  return {
    beats: bar.beats,
    beatUnit: bar.beatUnit,
    durationTicks: bar.durationTicks,
    ticksPerQuarter: score.ticksPerQuarter,
    pickup: index === 0 && bar.durationTicks < full,
  };
}

/** Where the source's heads of a note meet, if it still has their length. */
function printedCuts(note: Note): readonly number[] | undefined {
  const heads = note.notation?.heads;
  if (!heads) return undefined;
  const cuts: number[] = [];
  let at = note.onsetTicks;
  for (const ticks of heads) cuts.push(at += ticks);
  return cuts.pop() === note.onsetTicks + note.durationTicks ? cuts : undefined;
}

/**
 * Notes of one voice as chords. A tied note is cut where its source's heads meet; where those are not known, where its
 * companions change, and where grace notes stand between its heads.
 */
function unitsOf(notes: readonly Note[], graces: readonly Note[]): Unit[] {
  const edges = notes.flatMap((n) => [n.onsetTicks, n.onsetTicks + n.durationTicks]);
  const points = [...new Set([...edges, ...graces.map((g) => g.onsetTicks)])].sort((a, b) => a - b);
  const byPlace = new Map<string, WrittenHead[]>();
  for (const note of notes) {
    const end = note.onsetTicks + note.durationTicks;
    const inside = note.noteheads > 1 ? pointsInside(points, note.onsetTicks, end) : [];
    const printed = printedCuts(note);
    const cuts = printed ?? (inside.length < note.noteheads ? inside : []);
    const edges = [note.onsetTicks, ...cuts, end];
    for (let i = 0; i + 1 < edges.length; i++) {
      const key = `${edges[i]}:${edges[i + 1]}`;
      const head = {
        note,
        tieStop: i > 0,
        tieStart: i + 2 < edges.length,
        head: printed ? i : 0,
        begins: printed !== undefined || i === 0,
      };
      const list = byPlace.get(key);
      if (list) list.push(head);
      else byPlace.set(key, [head]);
    }
  }
  return [...byPlace].map(([key, heads]) => {
    const [from, to] = key.split(":").map(Number) as [number, number];
    return { from, to, heads: [...heads].sort((a, b) => a.note.soundingPitch - b.note.soundingPitch) };
  }).sort((a, b) => a.from - b.from || top(b) - top(a));
}

function top(unit: Unit): number {
  return unit.heads.at(-1)!.note.soundingPitch;
}

/** The points strictly between two places. */
function pointsInside(points: readonly number[], from: number, to: number): number[] {
  let low = 0;
  let high = points.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (points[middle]! > from) high = middle;
    else low = middle + 1;
  }
  const found: number[] = [];
  for (let i = low; i < points.length && points[i]! < to; i++) found.push(points[i]!);
  return found;
}

/** Lines without overlaps, the highest first where several begin at once. */
function lanesOf(notes: readonly Note[], graces: readonly Note[]): Lane[] {
  const lanes: Lane[] = [];
  for (const unit of unitsOf(notes, graces)) {
    const lane = lanes.find((l) => (l.units.at(-1)?.to ?? 0) <= unit.from);
    if (lane) lane.units.push(unit);
    else lanes.push({ units: [unit], graces: [] });
  }
  if (lanes.length === 0) lanes.push({ units: [], graces: [] });
  lanes[0]!.graces.push(...graces);
  return lanes;
}

/** Pieces of units that lie in a bar, cut at its ends. */
function piecesIn(units: readonly Unit[], first: number, from: number, to: number): Unit[] {
  const pieces: Unit[] = [];
  for (let i = first; i < units.length && units[i]!.from < to; i++) {
    const unit = units[i]!;
    if (unit.to <= from) continue;
    const cutStart = unit.from < from;
    const cutEnd = unit.to > to;
    pieces.push({
      from: Math.max(unit.from, from) - from,
      to: Math.min(unit.to, to) - from,
      heads: unit.heads.map((h) => ({
        ...h,
        tieStop: h.tieStop || cutStart,
        tieStart: h.tieStart || cutEnd,
        begins: h.begins && !cutStart,
      })),
    });
  }
  return pieces;
}

/** Fills the gaps between pieces with rests, divided where a grace note needs a place. */
function withRests(pieces: readonly Unit[], length: number, graceAt: readonly number[]): Unit[] {
  const filled: Unit[] = [];
  let at = 0;
  const rest = (to: number) => {
    for (const grace of graceAt) {
      if (grace > at && grace < to) {
        filled.push({ from: at, to: grace, heads: [] });
        at = grace;
      }
    }
    if (to > at) filled.push({ from: at, to, heads: [] });
    at = to;
  };
  for (const piece of pieces) {
    rest(piece.from);
    filled.push(piece);
    at = piece.to;
  }
  rest(length);
  return filled;
}

/** True when two neighbours are the halves of a two-note tremolo. */
function isTremoloPair(a: Unit | undefined, b: Unit | undefined): boolean {
  return a !== undefined && b !== undefined && a.heads.length > 0 && b.heads.length > 0 &&
    a.heads.some((h) => h.note.tremoloAlternates && h.note.tremoloSlashes > 0) && a.to === b.from &&
    a.to - a.from === b.to - b.from && !a.heads.some((h) => h.tieStop) && !b.heads.some((h) => h.tieStart);
}

/** True where every head is one that the source printed. */
function isPrinted(unit: Unit): boolean {
  return unit.heads.every(({ note }) => note.noteheads === 1 || printedCuts(note) !== undefined);
}

/** Events of one voice in one bar. */
function eventsOf(
  filled: readonly Unit[],
  metre: MetreInput,
  options: {
    readonly graces: readonly PlacedGrace[];
    readonly secondary: boolean;
    readonly printed: boolean;
    readonly tuplets?: readonly TupletSpan[];
  },
): WrittenEvent[] {
  const { graces, secondary, printed } = options;
  if (filled.length === 1 && filled[0]!.heads.length === 0 && graces.length === 0) {
    return [{ ...filled[0]!, type: "", dots: 0, wholeBar: true, hidden: secondary, graces: [] }];
  }
  const stretches: VoiceStretch[] = [];
  const firstOf: number[] = [];
  const pairs = new Set<number>();
  for (let i = 0; i < filled.length; i++) {
    const unit = filled[i]!;
    firstOf.push(i);
    if (isTremoloPair(unit, filled[i + 1])) {
      pairs.add(i);
      stretches.push({ from: unit.from, to: filled[i + 1]!.to, rest: false });
      i++;
    } else {
      const rest = unit.heads.length === 0;
      stretches.push({ from: unit.from, to: unit.to, rest, whole: printed && !rest && isPrinted(unit) });
    }
  }
  const values = noteValues(stretches, metre, options.tuplets);
  const events: WrittenEvent[] = [];
  values.forEach((value, v) => {
    const index = firstOf[value.stretch]!;
    const unit = filled[index]!;
    const first = values[v - 1]?.stretch !== value.stretch;
    const last = values[v + 1]?.stretch !== value.stretch;
    const tuplet = value.tuplet ? { tuplet: value.tuplet } : {};
    const before = first ? gracesAt(graces, value.from) : [];
    const plain = { wholeBar: false, hidden: false };
    if (pairs.has(index)) {
      if (!first) return;
      const other = filled[index + 1]!;
      const paired = last && !value.tuplet && value.type !== "";
      const half = paired ? value : valueOf(unit.to - unit.from, metre.ticksPerQuarter);
      const common = { ...plain, type: half?.type ?? "", dots: half?.dots ?? 0, paired };
      events.push({ ...common, ...unit, graces: gracesAt(graces, unit.from), tremoloPair: "start" });
      events.push({ ...common, ...other, graces: gracesAt(graces, other.from), tremoloPair: "stop" });
      return;
    }
    events.push({
      from: value.from,
      to: value.to,
      type: value.type,
      dots: value.dots,
      ...tuplet,
      wholeBar: false,
      hidden: secondary && unit.heads.length === 0 && !value.tuplet && before.length === 0,
      heads: unit.heads.map((h) => ({
        ...h,
        tieStop: h.tieStop || !first,
        tieStart: h.tieStart || !last,
        begins: h.begins && first,
      })),
      graces: before,
    });
  });
  return events;
}

function gracesAt(graces: readonly PlacedGrace[], at: number): Note[] {
  return graces.filter((g) => g.at === at).map((g) => g.note);
}

/** Beams through a group of flags: number of beams of each value. */
const BEAMS: Readonly<Record<string, number>> = {
  "eighth": 1,
  "16th": 2,
  "32nd": 3,
  "64th": 4,
  "128th": 5,
  "256th": 6,
};

/** Notes under one beam: a felt beat, a bar of 3/8, and where the beat is shorter than a quarter, a quarter. */
function beamGroupTicks(metre: MetreInput): number {
  const beat = feltBeatTicks(metre);
  if (metre.beats === 3 && metre.beatUnit >= 8) return beat * 3;
  if (metre.beatUnit === 2) return metre.ticksPerQuarter;
  const wholeQuarters = metre.durationTicks % metre.ticksPerQuarter === 0;
  return beat < metre.ticksPerQuarter && wholeQuarters ? metre.ticksPerQuarter : beat;
}

/** Adds beams. */
function withBeams(events: readonly WrittenEvent[], metre: MetreInput): WrittenEvent[] {
  const shift = metre.pickup
    ? metre.beats * metre.ticksPerQuarter * 4 / metre.beatUnit - metre.durationTicks
    : 0;
  const groupLength = beamGroupTicks(metre);
  const result = [...events];
  let group: number[] = [];
  const close = () => {
    const counts = group.map((i) => BEAMS[events[i]!.type]!);
    if (group.length > 1) {
      group.forEach((i, g) => {
        const beam: ("begin" | "continue" | "end" | "forward hook" | "backward hook")[] = [];
        for (let level = 1; level <= counts[g]!; level++) {
          const before = (counts[g - 1] ?? 0) >= level;
          const after = (counts[g + 1] ?? 0) >= level;
          beam.push(
            before && after
              ? "continue"
              : before
              ? "end"
              : after
              ? "begin"
              : g === 0
              ? "forward hook"
              : "backward hook",
          );
        }
        result[i] = { ...events[i]!, beam };
      });
    }
    group = [];
  };
  let groupOf = -1;
  events.forEach((event, i) => {
    const here = Math.floor((event.from + shift) / groupLength);
    const beamed = event.heads.length > 0 && BEAMS[event.type] !== undefined && !event.paired &&
      !event.heads[0]!.note.cue;
    if (here !== groupOf || !beamed) close();
    groupOf = here;
    if (beamed) group.push(i);
  });
  close();
  return result;
}

/** What {@linkcode notatePart} is given. */
export interface NotateOptions {
  /** Notes of the part in score order, each on its stave. */
  readonly notes: readonly Note[];
  readonly staves: number;
  /** Whether beams are worked out; otherwise they are left to whoever reads the file. */
  readonly beams: boolean;
  /** How the source prints the part: its heads are kept whole, and rests under a pause are rests of their own. */
  readonly notation?: PartNotation | undefined;
}

/**
 * Puts one part on paper: the voices of every bar, at least one for every stave. The score's grid must hold
 * 32nd notes exactly.
 */
export function notatePart(score: Score, options: NotateOptions): readonly (readonly WrittenVoice[])[] {
  const { notes, staves, notation } = options;
  const printed = notation !== undefined;
  const pausesIn = Map.groupBy(notation?.pauses ?? [], (p) => barIndexOf(score, p.onsetTicks));
  const groups = new Map<string, { staff: number; notes: Note[]; graces: Note[] }>();
  const keyOf = (n: Note) =>
    `${String(n.staff).padStart(2, "0")}|${n.cue ? 1 : 0}|${String(n.voice).padStart(4, "0")}`;
  for (const note of notes) {
    const key = keyOf(note);
    const group = groups.get(key) ?? { staff: note.staff, notes: [], graces: [] };
    if (note.durationTicks > 0) group.notes.push(note);
    else group.graces.push(note);
    groups.set(key, group);
  }
  const tupletsOf = Map.groupBy(
    notation?.tuplets ?? [],
    (t) => `${t.staff}|${t.voice}|${barIndexOf(score, t.fromTicks)}`,
  );
  const lanes: {
    staff: number;
    lane: Lane;
    first: number;
    firstGrace: number;
    voice: number | undefined;
  }[] = [];
  for (const [, group] of [...groups].sort(([a], [b]) => (a < b ? -1 : 1))) {
    const { staff, voice } = (group.notes[0] ?? group.graces[0])!;
    lanesOf(group.notes, group.graces).forEach((lane, i) => {
      // Lines beside the first of a voice have no tuplets of the page.
      lanes.push({ staff, lane, first: 0, firstGrace: 0, voice: i === 0 ? voice : undefined });
    });
  }
  return score.bars.map((bar, index) => {
    const metre = metreOf(score, bar, index);
    const from = bar.startTicks;
    const to = from + bar.durationTicks;
    const isLast = index === score.bars.length - 1;
    const nextTicks = score.bars[index + 1]?.startTicks;
    const cutsOn = (staff: number) =>
      (pausesIn.get(index) ?? []).filter((p) => p.staff === staff)
        .flatMap((p) => [p.onsetTicks - from, p.onsetTicks + p.lengthTicks - from]).sort((a, b) => a - b);
    const voices: WrittenVoice[] = [];
    for (let staff = 1; staff <= staves; staff++) {
      let rank = 0;
      let used = 0;
      for (const entry of lanes) {
        if (entry.staff !== staff) continue;
        rank++;
        const { units, graces } = entry.lane;
        while (entry.first < units.length && units[entry.first]!.to <= from) entry.first++;
        const pieces = piecesIn(units, entry.first, from, to);
        const here: PlacedGrace[] = [];
        while (
          entry.firstGrace < graces.length &&
          (graces[entry.firstGrace]!.onsetTicks < to || isLast ||
            standsBefore(graces[entry.firstGrace]!, nextTicks))
        ) {
          const grace = graces[entry.firstGrace++]!;
          here.push({ note: grace, at: placeOfGrace(grace.onsetTicks - from, pieces, bar.durationTicks) });
        }
        if (pieces.length === 0 && here.length === 0) continue;
        const secondary = used > 0;
        used++;
        const cuts = [...here.map((g) => g.at), ...(secondary ? [] : cutsOn(staff))].sort((a, b) => a - b);
        const filled = withRests(pieces, bar.durationTicks, cuts);
        const tuplets = tupletsIn(tupletsOf.get(`${staff}|${entry.voice}|${index}`) ?? [], from, to);
        const events = eventsOf(filled, metre, { graces: here, secondary, printed, tuplets });
        voices.push({
          staff,
          voice: (staff - 1) * 4 + rank,
          events: options.beams ? withBeams(events, metre) : events,
          closingGraces: gracesAt(here, bar.durationTicks),
        });
      }
      if (used === 0) {
        const rest = withRests([], bar.durationTicks, cutsOn(staff));
        const events = eventsOf(rest, metre, { graces: [], secondary: false, printed });
        voices.push({ staff, voice: (staff - 1) * 4 + 1, events, closingGraces: [] });
      }
    }
    return voices;
  });
}

/** Tuplets of a voice that lie in a bar, one after another. */
function tupletsIn(tuplets: readonly WrittenTuplet[], from: number, to: number): TupletSpan[] {
  const spans: TupletSpan[] = [];
  for (const { fromTicks, lengthTicks, actual, normal, value, attributes } of tuplets) {
    const span = {
      from: fromTicks - from,
      to: fromTicks + lengthTicks - from,
      actual,
      normal,
      value,
      attributes,
    };
    if (span.from < (spans.at(-1)?.to ?? 0) || span.to > to - from) continue;
    spans.push(span);
  }
  return spans;
}

/** True for a grace note that stands at the end of this bar, before the next one. */
function standsBefore(grace: Note, nextTicks: number | undefined): boolean {
  return grace.notation?.graceAfter === true && grace.onsetTicks === nextTicks;
}

/** A grace note that falls inside a longer note of its own voice is moved to that note's end. */
function placeOfGrace(at: number, pieces: readonly Unit[], length: number): number {
  const inside = pieces.find((p) => p.from < at && at < p.to);
  return Math.min(inside ? inside.to : at, length);
}
