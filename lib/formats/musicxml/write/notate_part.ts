/** One part as it stands on paper: voices, bars, chords, ties, rests and note values. */
import { addTo } from "../../../base/add_to.ts";
import { firstIndex } from "../../../base/first_index.ts";
import type { Bar, Note, PartNotation, Score, WrittenPause, WrittenTuplet } from "../../../score/model.ts";
import { barIndexOf, fullBarTicks, groupStarts } from "../../../score/time.ts";
import { feltBeatTicks, type MetreInput, pickupShift } from "./metre_levels.ts";
import { noteValues, type TupletPlace, type TupletSpan, valueOf, type VoiceStretch } from "./note_values.ts";

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
  /** A rest inside a cue of our own, printed as small as its notes. */
  readonly cue?: boolean;
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
  const { beats, beatUnit, groups, durationTicks } = bar;
  const { ticksPerQuarter } = score;
  const pickup = index === 0 && durationTicks < fullBarTicks(bar, ticksPerQuarter);
  return { beats, beatUnit, ...(groups ? { groups } : {}), durationTicks, ticksPerQuarter, pickup };
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
      addTo(byPlace, key, head);
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
  const found: number[] = [];
  for (let i = firstIndex(points.length, (k) => points[k]! > from); i < points.length; i++) {
    if (points[i]! >= to) break;
    found.push(points[i]!);
  }
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
function isPrinted(heads: readonly WrittenHead[]): boolean {
  return heads.every(({ note }) => note.noteheads === 1 || printedCuts(note) !== undefined);
}

/** What one voice has in one bar. */
interface VoiceInBar {
  readonly pieces: readonly Unit[];
  readonly graces: readonly PlacedGrace[];
  /** Places where rests are divided: at grace notes, and at the ends of a pause. */
  readonly cuts: readonly number[];
  /** Beside another voice of the stave, where rests are not printed. */
  readonly isSecondary: boolean;
  /** A cue of our own: its rests are printed up to its last note. */
  readonly isCue: boolean;
  readonly tuplets: readonly TupletSpan[];
}

/** Events of one voice in one bar. */
function eventsOf(voice: VoiceInBar, metre: MetreInput, isPage: boolean): WrittenEvent[] {
  const { graces, isSecondary } = voice;
  const filled = withRests(voice.pieces, metre.durationTicks, [...voice.cuts].sort((a, b) => a - b));
  if (filled.length === 1 && filled[0]!.heads.length === 0 && graces.length === 0) {
    return [{ ...filled[0]!, type: "", dots: 0, wholeBar: true, hidden: isSecondary, graces: [] }];
  }
  const units = tremolosPaired(filled);
  const lastSound = voice.pieces.at(-1)?.from ?? 0;
  const stretches = units.map(([{ from, to, heads }, other]): VoiceStretch => {
    const rest = heads.length === 0;
    return { from, to: other?.to ?? to, rest, whole: isPage && !rest && !other && isPrinted(heads) };
  });
  const values = noteValues(stretches, metre, voice.tuplets);
  return values.flatMap((value, v): WrittenEvent[] => {
    const [unit, other] = units[value.stretch]!;
    const { from, to, type, dots, tuplet } = value;
    const first = values[v - 1]?.stretch !== value.stretch;
    const last = values[v + 1]?.stretch !== value.stretch;
    if (other) {
      if (!first) return [];
      const paired = last && !tuplet && type !== "";
      const half = paired ? value : valueOf(unit.to - unit.from, metre.ticksPerQuarter);
      const look = { type: half?.type ?? "", dots: half?.dots ?? 0, paired, wholeBar: false, hidden: false };
      return [
        { ...look, ...unit, graces: gracesAt(graces, unit.from), tremoloPair: "start" },
        { ...look, ...other, graces: gracesAt(graces, other.from), tremoloPair: "stop" },
      ];
    }
    const before = first ? gracesAt(graces, from) : [];
    const heads = unit.heads.map((h) => ({
      ...h,
      tieStop: h.tieStop || !first,
      tieStart: h.tieStart || !last,
      begins: h.begins && first,
    }));
    const isRest = heads.length === 0 && before.length === 0;
    const isBetween = voice.isCue && to <= lastSound;
    const hidden = isSecondary && isRest && !tuplet && !isBetween;
    const look = { type, dots, wholeBar: false, hidden, ...(tuplet ? { tuplet } : {}) };
    return [{ from, to, ...look, heads, graces: before, ...(isRest && isBetween ? { cue: true } : {}) }];
  });
}

/** Units of a voice, the second half of a two-note tremolo with its first. */
function tremolosPaired(filled: readonly Unit[]): readonly (readonly [Unit, other?: Unit])[] {
  const units: (readonly [Unit, other?: Unit])[] = [];
  for (let i = 0; i < filled.length; i++) {
    const [unit, next] = [filled[i]!, filled[i + 1]];
    if (isTremoloPair(unit, next)) units.push([unit, filled[++i]!]);
    else units.push([unit]);
  }
  return units;
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

/** Where beams begin in a bar counted in groups of short values, in ticks of a full bar; elsewhere nothing. */
function beamStarts(metre: MetreInput): readonly number[] {
  const starts = metre.beatUnit >= 8 ? groupStarts(metre) : [];
  return starts.length > 1 ? starts.map((at) => at * 4 * metre.ticksPerQuarter / metre.beatUnit) : [];
}

/** Notes under one beam: a felt beat, a bar of 3/8, and where the beat is shorter than a quarter, a quarter. */
function beamGroupTicks(metre: MetreInput): number {
  const beat = feltBeatTicks(metre);
  if (metre.beats === 3 && metre.beatUnit >= 8) return beat * 3;
  if (metre.beatUnit === 2) return metre.ticksPerQuarter;
  const wholeQuarters = metre.durationTicks % metre.ticksPerQuarter === 0;
  return beat < metre.ticksPerQuarter && wholeQuarters ? metre.ticksPerQuarter : beat;
}

type Beam = NonNullable<WrittenEvent["beam"]>[number];

/** Adds beams. */
function withBeams(events: readonly WrittenEvent[], metre: MetreInput): WrittenEvent[] {
  const shift = pickupShift(metre);
  const groupLength = beamGroupTicks(metre);
  const starts = beamStarts(metre);
  const halves = eighthsInHalves(events, metre);
  const groupAt = (at: number) =>
    starts.length > 0
      ? starts.findLastIndex((start) => start <= at)
      : halves.has(Math.floor(at / (2 * groupLength)))
      ? Math.floor(at / (2 * groupLength)) * 2
      : Math.floor(at / groupLength);
  const result = [...events];
  let group: number[] = [];
  const close = () => {
    const counts = group.map((i) => BEAMS[events[i]!.type]!);
    if (group.length > 1) group.forEach((i, g) => result[i] = { ...events[i]!, beam: beamsOf(counts, g) });
    group = [];
  };
  let groupOf = -1;
  events.forEach((event, i) => {
    const here = groupAt(event.from + shift);
    const beamed = event.heads.length > 0 && BEAMS[event.type] !== undefined && !event.paired;
    if (here !== groupOf || !beamed) close();
    groupOf = here;
    if (beamed) group.push(i);
  });
  close();
  return result;
}

/** Halves of a bar of 4/4, counted from 0, that are filled with plain eighths: they stand under one beam (common practice, no source). */
function eighthsInHalves(events: readonly WrittenEvent[], metre: MetreInput): ReadonlySet<number> {
  if (metre.beats !== 4 || metre.beatUnit !== 4 || metre.pickup) return new Set();
  const half = 2 * metre.ticksPerQuarter;
  return new Set([0, 1].filter((k) => {
    const own = events.filter((e) => e.from >= k * half && e.from < (k + 1) * half);
    return own.length === 4 &&
      own.every((e, i) =>
        e.type === "eighth" && e.heads.length > 0 && !e.paired && e.from === k * half + i * half / 4
      );
  }));
}

/** The beams of one note of a group, from the number of beams that each has. */
function beamsOf(counts: readonly number[], place: number): readonly Beam[] {
  return Array.from({ length: counts[place]! }, (_, i): Beam => {
    const before = (counts[place - 1] ?? 0) > i;
    const after = (counts[place + 1] ?? 0) > i;
    if (before) return after ? "continue" : "end";
    return after ? "begin" : place === 0 ? "forward hook" : "backward hook";
  });
}

/** What {@linkcode notatePart} is given. */
interface NotateOptions {
  /** Notes of the part in score order, each on its stave. */
  readonly notes: readonly Note[];
  readonly staves: number;
  /** Whether beams are worked out; otherwise they are left to whoever reads the file. */
  readonly beams: boolean;
  /** Whether cues are no page's: the player's own rest stands beside them, and their rests are printed. */
  readonly ourCues: boolean;
  /** Whether a voice has no rests while others of its stave sound, as in a condensed score. */
  readonly fewRests: boolean;
  /** How the source prints the part: its heads are kept whole, and rests under a pause are rests of their own. */
  readonly notation?: PartNotation | undefined;
}

/**
 * Puts one part on paper: the voices of every bar, at least one for every stave. The score's grid must hold
 * 32nd notes exactly.
 */
export function notatePart(score: Score, options: NotateOptions): readonly (readonly WrittenVoice[])[] {
  const { notes, staves, beams, notation, ourCues, fewRests } = options;
  const lanes = lanesOfPart(notes);
  const pausesIn = Map.groupBy(notation?.pauses ?? [], (p) => barIndexOf(score, p.onsetTicks));
  const tupletsIn = Map.groupBy(notation?.tuplets ?? [], (t) => barIndexOf(score, t.fromTicks));
  return score.bars.map((bar, index) => {
    const metre = metreOf(score, bar, index);
    const place: BarPlace = {
      from: bar.startTicks,
      to: bar.startTicks + bar.durationTicks,
      next: score.bars[index + 1]?.startTicks,
      pauses: pausesIn.get(index) ?? [],
      tuplets: tupletsIn.get(index) ?? [],
    };
    return Array.from({ length: staves }, (_, i) => {
      const own = voicesInBar(lanes.filter((lane) => lane.staff === i + 1), place, i + 1, ourCues);
      const all = own.map(([, voice]) => eventsOf(voice, metre, notation !== undefined));
      return own.map(([rank, voice], v): WrittenVoice => {
        const events = fewRests ? withFewRests(all[v]!, all.toSpliced(v, 1)) : all[v]!;
        return {
          staff: i + 1,
          voice: i * 4 + rank,
          events: beams ? withBeams(events, metre) : events,
          closingGraces: gracesAt(voice.graces, bar.durationTicks),
        };
      });
    }).flat();
  });
}

/** The events of a voice, its rests hidden where other voices sound all the while. */
function withFewRests(events: WrittenEvent[], others: readonly (readonly WrittenEvent[])[]): WrittenEvent[] {
  const sounding = others.flat().filter((e) => e.heads.length > 0).toSorted((a, b) => a.from - b.from);
  const reachedFrom = (from: number) =>
    sounding.reduce((end, e) => e.from <= end && e.to > end ? e.to : end, from);
  return events.map((e) => {
    const isRest = e.heads.length === 0 && e.graces.length === 0 && e.tuplet === undefined;
    return isRest && reachedFrom(e.from) >= e.to ? { ...e, hidden: true } : e;
  });
}

/** A lane of a stave, and how far it has been put on paper. */
interface LaneOnPaper extends Lane {
  readonly staff: number;
  /** The voice of the page, whose tuplets it has; lanes beside the first of a voice have none. */
  readonly voice: number | undefined;
  readonly isCue: boolean;
  first: number;
  firstGrace: number;
}

/** The lanes of a part: by stave, the cues after the others, by voice. */
function lanesOfPart(notes: readonly Note[]): readonly LaneOnPaper[] {
  const keyOf = (n: Note) =>
    `${String(n.staff).padStart(2, "0")}|${n.cue ? 1 : 0}|${String(n.voice).padStart(4, "0")}`;
  const groups = [...Map.groupBy(notes, keyOf)].sort(([a], [b]) => (a < b ? -1 : 1));
  return groups.flatMap(([, group]) => {
    const { staff, voice, cue } = group[0]!;
    const graces = group.filter((n) => n.durationTicks <= 0);
    return lanesOf(group.filter((n) => n.durationTicks > 0), graces).map((lane, i) => ({
      ...lane,
      staff,
      voice: i === 0 ? voice : undefined,
      isCue: cue,
      first: 0,
      firstGrace: 0,
    }));
  });
}

/** Where a bar lies, and what the page has in it. */
interface BarPlace {
  readonly from: number;
  readonly to: number;
  /** Where the next bar begins, if there is one. */
  readonly next: number | undefined;
  readonly pauses: readonly WrittenPause[];
  readonly tuplets: readonly WrittenTuplet[];
}

/** The voices of one stave in a bar, with their places among its lanes; a rest where none has anything there. */
function voicesInBar(
  lanes: readonly LaneOnPaper[],
  { from, to, next, pauses, tuplets }: BarPlace,
  staff: number,
  isOurs: boolean,
): readonly (readonly [rank: number, VoiceInBar])[] {
  const pauseEnds = pauses.filter((p) => p.staff === staff)
    .flatMap((p) => [p.onsetTicks - from, p.onsetTicks + p.lengthTicks - from]);
  const voices: (readonly [number, VoiceInBar])[] = [];
  for (const [i, lane] of lanes.entries()) {
    const { units } = lane;
    while (lane.first < units.length && units[lane.first]!.to <= from) lane.first++;
    const pieces = piecesIn(units, lane.first, from, to);
    const graces: PlacedGrace[] = [];
    for (let note = lane.graces[lane.firstGrace]; note; note = lane.graces[++lane.firstGrace]) {
      const isHere = note.onsetTicks < to || next === undefined || standsBefore(note, next);
      if (!isHere) break;
      graces.push({ note, at: placeOfGrace(note.onsetTicks - from, pieces, to - from) });
    }
    if (pieces.length === 0 && graces.length === 0) continue;
    const isCue = isOurs && lane.isCue;
    // Beside a cue stands the player's own rest.
    if (isCue && voices.length === 0) voices.push([i === 0 ? lanes.length + 1 : 1, SILENT]);
    const isSecondary = voices.length > 0;
    const cuts = [...graces.map((g) => g.at), ...(isSecondary ? [] : pauseEnds)];
    const own = tuplets.filter((t) => t.staff === staff && t.voice === lane.voice);
    voices.push([i + 1, { pieces, graces, cuts, isSecondary, isCue, tuplets: tupletSpans(own, from, to) }]);
  }
  if (voices.length > 0) return voices;
  return [[1, { ...SILENT, cuts: pauseEnds }]];
}

/** A voice that rests for a bar. */
const SILENT: VoiceInBar = {
  pieces: [],
  graces: [],
  cuts: [],
  isSecondary: false,
  isCue: false,
  tuplets: [],
};

/** Tuplets of a voice that lie in a bar, one after another. */
function tupletSpans(tuplets: readonly WrittenTuplet[], from: number, to: number): TupletSpan[] {
  const spans: TupletSpan[] = [];
  for (const { fromTicks, lengthTicks, actual, normal, value, attributes } of tuplets) {
    const at = fromTicks - from;
    const span = { from: at, to: at + lengthTicks, actual, normal, value, attributes };
    if (span.from < (spans.at(-1)?.to ?? 0) || span.to > to - from) continue;
    spans.push(span);
  }
  return spans;
}

/** True for a grace note that stands at the end of this bar, before the next one. */
function standsBefore(grace: Note, nextTicks: number): boolean {
  return grace.notation?.graceAfter === true && grace.onsetTicks === nextTicks;
}

/** A grace note that falls inside a longer note of its own voice is moved to that note's end. */
function placeOfGrace(at: number, pieces: readonly Unit[], length: number): number {
  const inside = pieces.find((p) => p.from < at && at < p.to);
  return Math.min(inside ? inside.to : at, length);
}
