/** From what a reader found to a finished Score: times, ties, slurs, dynamics, techniques, metre and key. */
import { sortNotes } from "../../score/build.ts";
import type {
  Bar,
  BarRepeat,
  ChordSymbol,
  LaterHead,
  Note,
  NoteNotation,
  Part,
  PartNotation,
  Score,
  Technique,
  Tempo,
  TempoBend,
  WrittenDynamic,
} from "../../score/model.ts";
import { dynamicCourse, signsOfStave } from "../../score/dynamic_course.ts";
import { endTicksOf, fullBarTicks } from "../../score/time.ts";
import { sharedSections } from "../../score/seat_strings.ts";
import { tempoWordIn } from "../../score/tempo_words.ts";
import { partsToldApart } from "../../score/told_apart.ts";
import { refusals } from "../../base/errors.ts";
import { applyGlissandi } from "./apply_glissandi.ts";
import { checkFile } from "./check_file.ts";
import { withStandIns } from "./unknown_instruments.ts";
import { applySlurs, applyWavyLines } from "./apply_spans.ts";
import { techniqueCurve } from "./apply_techniques.ts";
import { beatQuarters } from "./direction_words.ts";
import { impliedDynamics, withImplied } from "./implied_dynamics.ts";
import { joinTies } from "./join_ties.ts";
import { missingArcos } from "./missing_arco.ts";
import { groupsFromBeams, mayBeInGroups } from "./groups_from_beams.ts";
import type { NoticeList } from "./notice_list.ts";
import { readOldHorns } from "./old_horn_notation.ts";
import { barRepeats } from "./repeat_signs.ts";
import { keptDynamics } from "./written_dynamics.ts";
import type { HeldNote } from "./held_note.ts";
import { canBounce, spiccatoCourse } from "./spiccato.ts";
import type { RawBar, RawNotation, RawNote, RawPart, RawPlace, RawScore, TimedMark } from "./raw_score.ts";

/** Tempo where a source gives none, in quarters a minute; model assumption. */
export const DEFAULT_QUARTERS_PER_MINUTE = 120;

/** Most parts accepted; no piece comes near. */
export const MOST_PARTS = 2000;

/** Longest title, composer or name of a part, in characters: what is longer was not meant as one. */
const LONGEST_TITLE = 500;

/** Longest score accepted, in quarters: four days at 120 a minute, so only a broken number reaches it. */
const MAX_QUARTERS = 1e6;

/** Refuses a score that is longer than any. */
export function refuseEndless(quarters: number, file: string | undefined): void {
  if (quarters <= MAX_QUARTERS) return;
  throw refusals("read the score", { file })(
    `it would last ${Math.round(quarters)} quarter notes`,
    "A duration in the file must be wrong; export the score again",
  );
}

/** Finishes a score. */
export function assembleScore(
  found: RawScore,
  options: { readonly notices: NoticeList; readonly file?: string | undefined },
): Score {
  const { notices, file } = options;
  const raw = { ...found, parts: [...withStandIns(found.parts)] };
  if (!raw.parts.some((p) => p.notes.length > 0)) {
    const refuse = refusals("read the score", { file });
    throw refuse("it holds no notes", "Give a score with at least one note in it");
  }
  if ([raw.title, raw.composer, ...raw.parts.map((p) => p.part.name)].some((t) => t.includes("\ufffd"))) {
    notices.add("characters that do not fit the encoding the file declares: shown as \ufffd");
  }
  const shortened = (text: string): string => {
    if (text.length <= LONGEST_TITLE) return text;
    notices.add(`title, composer or name longer than ${LONGEST_TITLE} characters: cut`);
    return `${text.slice(0, LONGEST_TITLE - 1)}…`;
  };
  const bars = barsOf(raw, notices);
  refuseEndless(endTicksOf({ bars }) / raw.ticksPerQuarter, file);
  const ticksOf = (place: RawPlace) => bars[place.barIndex]!.startTicks + place.offsetTicks;
  if (!raw.hornsAsToday) readOldHorns(raw.parts, notices);
  const voicesOf = raw.parts.map(voiceNumbers);
  const signs = signsOf(raw, ticksOf);
  const notes = raw.parts.flatMap((part, index) => {
    const own = notesOf(part, {
      index,
      raw,
      ticksOf,
      notices,
      voiceOf: voicesOf[index]!,
      signs: signs[index]!,
    });
    // In a large score what was found takes as much room as what is made of it.
    part.notes.length = 0;
    return own;
  });
  const named = raw.parts.map((p, i) => partOf(p, { ticksOf, voiceOf: voicesOf[i]!, dynamics: signs[i]! }))
    .map((p) => ({ ...p, name: shortened(p.name) }));
  const parts = sharedSections(partsToldApart(named), notes, {
    given: (p) => raw.parts[p]!.playersGiven === true,
  });
  if (raw.parts.some((p) => p.notation)) {
    checkFile({ bars, parts, notes, ticksPerQuarter: raw.ticksPerQuarter }, notices);
  }
  return {
    title: shortened(raw.title) || "Untitled",
    ...(raw.composer ? { composer: shortened(raw.composer) } : {}),
    source: raw.source,
    ticksPerQuarter: raw.ticksPerQuarter,
    bars,
    tempos: temposOf(raw, bars, ticksOf),
    ...(raw.bends.length > 0 ? { tempoBends: bendsOf(raw, ticksOf) } : {}),
    parts,
    ...(raw.partGroups && raw.partGroups.length > 0 ? { partGroups: raw.partGroups } : {}),
    notes: sortNotes(notes),
    chords: chordsOf(raw, ticksOf),
    notices: notices.list(),
  };
}

/** Words and pauses that bend the tempo, each once, though several parts may bring it. */
function bendsOf(raw: RawScore, ticksOf: (place: RawPlace) => number): readonly TempoBend[] {
  const found = new Map<string, TempoBend>();
  for (const bend of raw.bends) {
    const { kind, words, lengthTicks } = bend;
    const onsetTicks = ticksOf(bend);
    const end = kind === "pause" ? { endTicks: onsetTicks + lengthTicks } : {};
    const key = `${kind} ${onsetTicks} ${lengthTicks}`;
    if (!found.has(key)) found.set(key, { onsetTicks, ...end, kind, words });
  }
  return [...found.values()].sort((a, b) => a.onsetTicks - b.onsetTicks);
}

/** Signs of the dynamics of every part: what is printed, and what is meant where a part comes in without a mark. */
function signsOf(
  raw: RawScore,
  ticksOf: (place: RawPlace) => number,
): readonly (readonly WrittenDynamic[])[] {
  const parts = raw.parts.map((part) => ({
    part: part.part,
    notes: part.notes.filter((n) => !n.cue && !n.grace).map((n) => {
      const onsetTicks = ticksOf(n);
      return { onsetTicks, endTicks: onsetTicks + n.durationTicks };
    }).sort((a, b) => a.onsetTicks - b.onsetTicks),
    signs: keptDynamics(timedMarks(part, ticksOf)),
  }));
  const implied = impliedDynamics(parts, raw.ticksPerQuarter);
  return parts.map(({ signs }, i) => withImplied(signs, implied[i]!));
}

/** A part with its words about players and its changes of instrument, in order. */
function partOf(
  raw: RawPart,
  { ticksOf, voiceOf, dynamics }: {
    readonly ticksOf: (place: RawPlace) => number;
    readonly voiceOf: VoiceNumbers;
    readonly dynamics: readonly WrittenDynamic[];
  },
): Part {
  const { part, playing, instrumentChanges, notation } = raw;
  return {
    ...part,
    ...(dynamics.length > 0 || notation ? { writtenDynamics: dynamics } : {}),
    ...(playing.length > 0 ? { playing: inOrder(playing, "fromTicks", ticksOf) } : {}),
    ...(instrumentChanges.length > 0
      ? { instrumentChanges: inOrder(instrumentChanges, "fromTicks", ticksOf) }
      : {}),
    ...(notation ? { notation: notationOf(notation, ticksOf, voiceOf) } : {}),
  };
}

/** Things in order, each with its place from the start of the score. */
function inOrder<T extends RawPlace, K extends string>(
  list: readonly T[],
  place: K,
  ticksOf: (place: RawPlace) => number,
): readonly (Omit<T, keyof RawPlace> & { readonly [k in K]: number })[] {
  return list.map((each) => ({ each, ticks: ticksOf(each) })).sort((a, b) => a.ticks - b.ticks)
    .map(({ each: { barIndex: _, offsetTicks: __, ...rest }, ticks }) => ({
      ...{ [place]: ticks } as { readonly [k in K]: number },
      ...rest,
    }));
}

/** What is printed of a part, with its places from the start of the score. */
function notationOf(
  raw: RawNotation,
  ticksOf: (place: RawPlace) => number,
  voiceOf: VoiceNumbers,
): PartNotation {
  return {
    ...(raw.printedName === undefined ? {} : { printedName: raw.printedName }),
    staves: raw.staves,
    clefs: inOrder(raw.clefs, "fromTicks", ticksOf),
    keys: inOrder(raw.keys, "fromTicks", ticksOf),
    transpositions: inOrder(raw.transpositions, "fromTicks", ticksOf),
    words: inOrder(raw.words, "onsetTicks", ticksOf),
    lines: inOrder(raw.lines, "onsetTicks", ticksOf),
    pauses: inOrder(raw.pauses, "onsetTicks", ticksOf),
    tuplets: inOrder(raw.tuplets, "fromTicks", ticksOf)
      .map((t) => ({ ...t, voice: voiceOf(t.voice, t.staff) })),
  };
}

/** How a note is printed: its heads, its slurs, and what the reader kept of its first head. */
function printedNote(note: HeldNote, graceAfter: boolean): Pick<Note, "notation"> {
  const { raw: { notation: head }, heads, slurs, wavyLines } = note;
  if (!head && heads.length === 1 && slurs.length === 0 && !graceAfter && !note.trill) return {};
  const trills = heads.flatMap((h, i) => (h.trill ? [i] : []));
  const justFirst = trills.length === 1 && trills[0] === 0 && wavyLines.length === 0;
  const slashes = heads.map((h) => h.tremoloSlashes);
  const notation = {
    ...head,
    ...(heads.length > 1 ? { heads: heads.map((h) => h.durationTicks) } : {}),
    ...(slurs.length > 0 ? { slurs } : {}),
    ...(wavyLines.length > 0 ? { wavyLines } : {}),
    ...(note.trill && !justFirst ? { trills } : {}),
    ...(new Set(slashes).size > 1 ? { slashes } : {}),
    ...laterHeads(heads),
    ...(graceAfter ? { graceAfter } : {}),
  };
  return Object.keys(notation).length > 0 ? { notation } : {};
}

/** Signs on heads after the first; a breath stands at the end of its note anyway. */
function laterHeads(heads: readonly RawNote[]): Pick<NoteNotation, "later"> {
  const later = heads.slice(1).flatMap((h, i): LaterHead[] => {
    const articulations = h.articulations.filter((a) => a !== "breath");
    if (articulations.length === 0 && h.signs.length === 0) return [];
    return [{ head: i + 1, articulations, signs: h.signs }];
  });
  return later.length > 0 ? { later } : {};
}

/** Bars with their starts, real lengths, metre, and the key that most parts have at concert pitch. */
function barsOf(raw: RawScore, notices: NoticeList): readonly Bar[] {
  const keyNow = raw.parts.map(() => undefined as number | undefined);
  const keyAt = raw.parts.map(() => 0);
  let metre: RawMetre = { beats: 4, beatUnit: 4 };
  if (!raw.bars[0]?.metre) notices.add("no time signature at the start: 4/4 taken");
  let startTicks = 0;
  let keyFifths = 0;
  const repeats = barRepeats(raw.bars);
  let contentEnd = 0;
  return raw.bars.map((bar, index) => {
    if (bar.metre) metre = { ...bar.metre, ...groupsShown(raw, index) };
    let keysChanged = false;
    raw.parts.forEach((part, p) => {
      while (keyAt[p]! < part.keys.length && part.keys[keyAt[p]!]!.barIndex <= index) {
        keyNow[p] = part.keys[keyAt[p]!]!.fifths;
        keyAt[p]!++;
        keysChanged = true;
      }
    });
    if (keysChanged) keyFifths = mostFrequent(keyNow.filter((k) => k !== undefined));
    const written = Math.round(fullBarTicks(metre, raw.ticksPerQuarter));
    contentEnd = Math.max(contentEnd, startTicks + bar.contentTicks);
    let durationTicks = barTicks(bar, written);
    if (index === raw.bars.length - 1 && startTicks + durationTicks < contentEnd) {
      // Nothing follows that would be moved, and no note may stand outside the score.
      durationTicks = contentEnd - startTicks;
      notices.add("one part holds more than the last bar: the bar is made longer", undefined, bar.number);
    } else if (durationTicks < bar.contentTicks) {
      notices.add(
        "one part holds more than its bar: the bar keeps the others' length",
        undefined,
        bar.number,
      );
    }
    const result: Bar = {
      number: bar.number,
      startTicks,
      durationTicks,
      ...metre,
      keyFifths,
      ...(bar.rehearsal ? { rehearsal: bar.rehearsal } : {}),
      ...(repeats[index] ? { repeat: repeats[index] } : {}),
      ...(bar.doubleBar && isPlainEnd(repeats, index) ? { doubleBar: true as const } : {}),
    };
    startTicks += durationTicks;
    return result;
  });
}

type RawMetre = NonNullable<RawBar["metre"]>;

/** Groups that the beams show from a time signature on that prints none. */
function groupsShown(raw: RawScore, from: number): Pick<Bar, "groups" | "groupsFrom"> {
  const metre = raw.bars[from]!.metre!;
  if (metre.groups || !mayBeInGroups(metre)) return {};
  const next = raw.bars.findIndex((bar, i) => i > from && bar.metre);
  const to = next < 0 ? raw.bars.length : next;
  const full = fullBarTicks(metre, raw.ticksPerQuarter);
  const unit = full / metre.beats;
  const heads = raw.parts.flatMap((part) =>
    part.notes.filter((n) =>
      n.barIndex >= from && n.barIndex < to && !n.grace && raw.bars[n.barIndex]!.contentTicks === full
    ).map(({ offsetTicks, joined }) => ({ at: offsetTicks / unit, joined }))
  );
  const groups = groupsFromBeams(metre, heads);
  return groups ? { groups, groupsFrom: "beams" } : {};
}

/** Whether nothing but a bar line stands at the end of a bar: neither the end of the piece, nor a repeat, nor a jump. */
function isPlainEnd(repeats: readonly (BarRepeat | undefined)[], index: number): boolean {
  const { times, jump, fine } = repeats[index] ?? {};
  return index < repeats.length - 1 && times === undefined && jump === undefined && !fine;
}

/**
 * Real length of a bar: its longest content, so that pickups, short last bars and cadenzas come out as
 * written. Only where most of the parts that play in it fill the time signature exactly is a longer part
 * taken for a mistake in the file.
 */
function barTicks(bar: RawBar, written: number): number {
  if (bar.contentTicks === 0) return written;
  const exact = bar.filledTicks.filter((ticks) => ticks === written).length;
  return exact > bar.filledTicks.length / 2 ? written : bar.contentTicks;
}

/** The value that occurs most often, the first of several. */
function mostFrequent(values: readonly number[]): number {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  let best = 0;
  let most = 0;
  for (const [value, count] of counts) if (count > most) [best, most] = [value, count];
  return best;
}

function temposOf(
  raw: RawScore,
  bars: readonly Bar[],
  ticksOf: (place: RawPlace) => number,
): readonly Tempo[] {
  const byTicks = new Map<number, Tempo>();
  for (const tempo of raw.tempos) {
    const onsetTicks = ticksOf(tempo);
    const { barIndex: _, offsetTicks: __, ...rest } = tempo;
    const before = byTicks.get(onsetTicks);
    const printsMark = rest.metronome !== undefined && rest.metronome !== "none";
    if (
      before?.metronome === "none" && before.words !== undefined && rest.words === undefined && printsMark
    ) {
      // The word and the metronome mark stand in directions of their own.
      byTicks.set(onsetTicks, { onsetTicks, words: before.words, ...rest });
    } else if (!before || (before.origin === "assumed" && rest.origin === "marked")) {
      byTicks.set(onsetTicks, { onsetTicks, ...rest });
    }
  }
  const tempos = [...byTicks.values()].sort((a, b) => a.onsetTicks - b.onsetTicks);
  const first = tempos[0];
  // A pickup is played in the tempo that stands over the first full bar.
  const isPickup = first !== undefined && bars.length > 1 && first.onsetTicks === bars[1]!.startTicks &&
    bars[0]!.durationTicks * bars[0]!.beatUnit < bars[0]!.beats * 4 * raw.ticksPerQuarter;
  if (first === undefined || first.onsetTicks > 0) {
    const quartersPerMinute = isPickup
      ? first.quartersPerMinute
      : tempoInTitle(raw.title, bars[0]!) ?? DEFAULT_QUARTERS_PER_MINUTE;
    tempos.unshift({ onsetTicks: 0, quartersPerMinute, origin: "assumed" });
  }
  return tempos;
}

/** Quarters a minute of the first tempo word in a title, such as `Symphony No. 5, Andante con moto`. */
function tempoInTitle(title: string, metre: Pick<Bar, "beats" | "beatUnit">): number | undefined {
  const beatsPerMinute = tempoWordIn(title)?.beatsPerMinute;
  return beatsPerMinute && beatsPerMinute * beatQuarters(metre, beatsPerMinute);
}

function chordsOf(raw: RawScore, ticksOf: (place: RawPlace) => number): readonly ChordSymbol[] {
  const byTicks = new Map<number, ChordSymbol>();
  for (const chord of raw.chords) {
    const onsetTicks = ticksOf(chord);
    if (!byTicks.has(onsetTicks)) byTicks.set(onsetTicks, { onsetTicks, symbol: chord.symbol });
  }
  return [...byTicks.values()].sort((a, b) => a.onsetTicks - b.onsetTicks);
}

/** From the source's voice and its stave to the voice on the stave, from 1. */
type VoiceNumbers = (voice: number, staff: number) => number;

/** Voice numbers from 1 on each stave, in the order of the source's numbers. */
function voiceNumbers(part: RawPart): VoiceNumbers {
  const ranks = new Map<number, ReadonlyMap<number, number>>();
  for (const [staff, notes] of Map.groupBy(part.notes, (n) => n.staff)) {
    const voices = [...new Set(notes.map((n) => n.voice))].sort((a, b) => a - b);
    ranks.set(staff, new Map(voices.map((voice, i) => [voice, i + 1])));
  }
  return (voice, staff) => ranks.get(staff)?.get(voice) ?? 1;
}

/** The way of playing of a note: its own sign first, then the manner in force, then the mute. */
function techniqueOf(
  head: RawNote,
  inForce: readonly Technique[],
): Pick<Note, "technique" | "techniques"> {
  const own = head.technique;
  const techniques = own === undefined
    ? inForce
    : own === "pizzicato"
    ? [own, ...inForce.filter((t) => t === "con sordino")]
    : [own, ...inForce.filter((t) => t !== own)];
  return {
    technique: techniques[0] ?? "ordinario",
    ...(techniques.length > 1 ? { techniques } : {}),
  };
}

/** What a part's notes are made with. */
interface NotesOptions {
  readonly index: number;
  readonly raw: RawScore;
  readonly ticksOf: (place: RawPlace) => number;
  readonly notices: NoticeList;
  readonly voiceOf: VoiceNumbers;
  /** Signs of its dynamics, those that are meant and not printed included. */
  readonly signs: readonly WrittenDynamic[];
}

function notesOf(part: RawPart, options: NotesOptions): readonly Note[] {
  const { raw, ticksOf } = options;
  const held = heldNotes(part, options);
  const curvesOf = staveCurves(part, held, options);
  const barStarts = new Set(raw.bars.map((_, barIndex) => ticksOf({ barIndex, offsetTicks: 0 })));
  return held.map((note): Note => {
    const { raw: head, onsetTicks } = note;
    const { dynamic, technique, isSpiccato } = curvesOf(head.staff);
    const ways = techniqueOf(head, technique(onsetTicks));
    const signs = isSpiccato(onsetTicks) && canBounce(ways)
      ? head.articulations.map((a) => (a === "staccato" ? "spiccato" : a))
      : head.articulations;
    const { step, alter, octave } = head;
    const made: { -readonly [Field in keyof Note]: Note[Field] } = {
      dynamic: dynamic(onsetTicks),
      articulations: note.breath && !signs.includes("breath") ? [...signs, "breath"] : signs,
      technique: ways.technique,
      slurred: note.slurred,
      slurStart: note.slurStart,
      slurStop: note.slurStop,
      tremoloSlashes: head.tremoloSlashes,
      tremoloAlternates: head.tremoloAlternates,
      trill: note.trill,
      noteheads: note.heads.length,
      grace: head.grace,
      cue: head.cue,
      unpitched: head.unpitched,
      voice: options.voiceOf(head.voice, head.staff),
      staff: head.staff,
      part: options.index,
      onsetTicks,
      durationTicks: note.endTicks - onsetTicks,
      soundingPitch: head.soundingPitch,
    };
    // What few notes have comes after: to put it between the others by spreads takes several times as long.
    if (step) made.spelling = { step, alter, octave };
    if (ways.techniques) made.techniques = ways.techniques;
    if (head.signs.length > 0) made.signs = head.signs;
    if (head.tremolo !== undefined) made.tremolo = head.tremolo;
    if (note.glissandi.length > 0) made.glissandi = note.glissandi;
    const isAfter = head.grace && head.offsetTicks > 0 && barStarts.has(onsetTicks);
    return part.notation ? Object.assign(made, printedNote(note, isAfter)) : made;
  });
}

/** Notes with their ties joined, and what spans several of them worked out; what lacks an end is counted. */
function heldNotes(part: RawPart, { raw, ticksOf, notices }: NotesOptions): readonly HeldNote[] {
  const placed = part.notes.map((n) => ({ raw: n, onsetTicks: ticksOf(n) }));
  placed.sort((a, b) => a.onsetTicks - b.onsetTicks);
  const heads = placed.map((p) => p.raw);
  const { held, noteOf, looseEnds } = joinTies(placed);
  const count = (what: string, found: readonly RawNote[]) => {
    for (const head of found) notices.add(what, part.part.name, raw.bars[head.barIndex]?.number);
  };
  count("tie with one end only: the note is kept as it is", looseEnds);
  count("slur with one end only: not used", applySlurs(heads, held, noteOf));
  const wavy = applyWavyLines(heads, held, noteOf);
  count("wavy line with one end only: the trill stands on its first note", wavy);
  const lines = applyGlissandi(heads, noteOf);
  count("glissando or slide with one end only: not used", lines.oneEnd);
  count("glissando or slide from a note to itself: not used", lines.toItself);
  return held;
}

const MISSING_ARCO = "slur or tremolo under a pizz.: an arco is missing before it, the bow is taken up there";

/** Dynamics and ways of playing on each stave of a part. */
function staveCurves(part: RawPart, held: readonly HeldNote[], options: NotesOptions) {
  const { raw, ticksOf, notices, signs } = options;
  const marks = timedMarks(part, ticksOf);
  const curveOf = (staff: number) => {
    const own = marks.filter(({ mark }) =>
      mark.kind === "technique" && (mark.staff === 0 || mark.staff === staff)
    );
    const taken = missingArcos(own, held.filter((n) => n.raw.staff === staff), raw.ticksPerQuarter);
    for (const { shownBy } of taken) {
      notices.add(MISSING_ARCO, part.part.name, raw.bars[shownBy.raw.barIndex]?.number);
    }
    const strokes = marks.flatMap(({ ticks, mark }) =>
      mark.kind === "stroke" && (mark.staff === 0 || mark.staff === staff)
        ? [{ ticks, words: mark.words }]
        : []
    );
    return {
      isSpiccato: spiccatoCourse(strokes),
      dynamic: dynamicCourse(signsOfStave(signs, staff), raw.ticksPerQuarter).at,
      technique: techniqueCurve(own, taken.map((t) => t.ticks)),
    };
  };
  const curves = new Map<number, ReturnType<typeof curveOf>>();
  return (staff: number) => {
    let found = curves.get(staff);
    if (!found) curves.set(staff, found = curveOf(staff));
    return found;
  };
}

function timedMarks(part: RawPart, ticksOf: (place: RawPlace) => number): readonly TimedMark[] {
  return part.marks.map((mark) => ({ ticks: ticksOf(mark), mark })).sort((a, b) => a.ticks - b.ticks);
}
