/** From what a reader found to a finished Score: times, ties, slurs, dynamics, techniques, metre and key. */
import { makeNote, sortNotes } from "../../score/build.ts";
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
} from "../../score/model.ts";
import { InputError } from "../../base/errors.ts";
import { dynamicCurve } from "./apply_dynamics.ts";
import { applyGlissandi } from "./apply_glissandi.ts";
import { applySlurs, applyWavyLines } from "./apply_spans.ts";
import { techniqueCurve } from "./apply_techniques.ts";
import { distinctNames } from "./distinct_names.ts";
import { joinTies } from "./join_ties.ts";
import type { NoticeList } from "./notice_list.ts";
import { barRepeats } from "./repeat_signs.ts";
import { keptDynamics, marksByStaff } from "./written_dynamics.ts";
import type { HeldNote } from "./held_note.ts";
import type { RawBar, RawNotation, RawNote, RawPart, RawPlace, RawScore } from "./raw_score.ts";

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
  throw new InputError({
    action: "read the score",
    problem: `it would last ${Math.round(quarters)} quarter notes`,
    where: { file },
    remedy: "A duration in the file must be wrong; export the score again",
  });
}

/** Finishes a score. */
export function assembleScore(
  raw: RawScore,
  options: { readonly notices: NoticeList; readonly file?: string | undefined },
): Score {
  const { notices, file } = options;
  if (!raw.parts.some((p) => p.notes.length > 0)) {
    throw new InputError({
      action: "read the score",
      problem: "it holds no notes",
      where: { file },
      remedy: "Give a score with at least one note in it",
    });
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
  const last = bars.at(-1)!;
  refuseEndless((last.startTicks + last.durationTicks) / raw.ticksPerQuarter, file);
  const ticksOf = (place: RawPlace) => bars[place.barIndex]!.startTicks + place.offsetTicks;
  const notes: Note[] = [];
  const voicesOf = raw.parts.map(voiceNumbers);
  raw.parts.forEach((part, index) => {
    for (const note of notesOf(part, { index, raw, ticksOf, notices, voiceOf: voicesOf[index]! })) {
      notes.push(note);
    }
    // In a large score what was found takes as much room as what is made of it.
    part.notes.length = 0;
  });
  return {
    title: shortened(raw.title) || "Untitled",
    ...(raw.composer ? { composer: shortened(raw.composer) } : {}),
    source: raw.source,
    ticksPerQuarter: raw.ticksPerQuarter,
    bars,
    tempos: temposOf(raw, bars, ticksOf),
    ...(raw.bends.length > 0 ? { tempoBends: bendsOf(raw, ticksOf) } : {}),
    parts: withDistinctNames(
      raw.parts.map((p, i) => partOf(p, ticksOf, voicesOf[i]!)).map((p) => ({
        ...p,
        name: shortened(p.name),
      })),
    ),
    ...(raw.partGroups && raw.partGroups.length > 0 ? { partGroups: raw.partGroups } : {}),
    notes: sortNotes(notes),
    chords: chordsOf(raw, ticksOf),
    notices: notices.list(),
  };
}

/** Parts told apart by their names; what the page prints is kept for the page. */
function withDistinctNames(parts: readonly Part[]): readonly Part[] {
  const names = distinctNames(parts.map((p) => p.name));
  return parts.map((part, i) => {
    const { notation } = part;
    const name = names[i]!;
    if (name === part.name || notation === undefined) return { ...part, name };
    return { ...part, name, notation: { ...notation, printedName: part.name } };
  });
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

/** A part with its words about players and its changes of instrument, in order. */
function partOf(raw: RawPart, ticksOf: (place: RawPlace) => number, voiceOf: VoiceNumbers): Part {
  const timed = <T extends RawPlace>(list: readonly T[]) =>
    list.map(({ barIndex, offsetTicks, ...rest }) => ({
      fromTicks: ticksOf({ barIndex, offsetTicks }),
      ...rest,
    }))
      .sort((a, b) => a.fromTicks - b.fromTicks);
  const marks = raw.marks.map((mark) => ({ ticks: ticksOf(mark), mark }));
  const dynamics = keptDynamics(marks.sort((a, b) => a.ticks - b.ticks));
  return {
    ...raw.part,
    ...(dynamics.length > 0 || raw.notation ? { writtenDynamics: dynamics } : {}),
    ...(raw.playing.length > 0 ? { playing: timed(raw.playing) } : {}),
    ...(raw.instrumentChanges.length > 0 ? { instrumentChanges: timed(raw.instrumentChanges) } : {}),
    ...(raw.notation ? { notation: notationOf(raw.notation, ticksOf, voiceOf) } : {}),
  };
}

/** What is printed of a part, with its places from the start of the score. */
function notationOf(
  raw: RawNotation,
  ticksOf: (place: RawPlace) => number,
  voiceOf: VoiceNumbers,
): PartNotation {
  const inOrder = <T extends RawPlace>(list: readonly T[]) =>
    [...list].sort((a, b) => ticksOf(a) - ticksOf(b));
  const from = <T extends RawPlace>(list: readonly T[]) =>
    inOrder(list).map(({ barIndex, offsetTicks, ...rest }) => ({
      fromTicks: ticksOf({ barIndex, offsetTicks }),
      ...rest,
    }));
  const onset = <T extends RawPlace>(list: readonly T[]) =>
    inOrder(list).map(({ barIndex, offsetTicks, ...rest }) => ({
      onsetTicks: ticksOf({ barIndex, offsetTicks }),
      ...rest,
    }));
  return {
    staves: raw.staves,
    clefs: from(raw.clefs),
    keys: from(raw.keys),
    transpositions: from(raw.transpositions),
    words: onset(raw.words),
    lines: onset(raw.lines),
    pauses: onset(raw.pauses),
    tuplets: from(raw.tuplets).map((t) => ({ ...t, voice: voiceOf(t.voice, t.staff) })),
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
  let metre = { beats: 4, beatUnit: 4 };
  if (!raw.bars[0]?.metre) notices.add("no time signature at the start: 4/4 taken");
  let startTicks = 0;
  let keyFifths = 0;
  const repeats = barRepeats(raw.bars);
  let contentEnd = 0;
  return raw.bars.map((bar, index) => {
    metre = bar.metre ?? metre;
    let keysChanged = false;
    raw.parts.forEach((part, p) => {
      while (keyAt[p]! < part.keys.length && part.keys[keyAt[p]!]!.barIndex <= index) {
        keyNow[p] = part.keys[keyAt[p]!]!.fifths;
        keyAt[p]!++;
        keysChanged = true;
      }
    });
    if (keysChanged) keyFifths = mostFrequent(keyNow.filter((k) => k !== undefined));
    const written = Math.round(metre.beats * 4 * raw.ticksPerQuarter / metre.beatUnit);
    contentEnd = Math.max(contentEnd, startTicks + bar.contentTicks);
    let durationTicks = barTicks(bar, written);
    if (index === raw.bars.length - 1 && startTicks + durationTicks < contentEnd) {
      // Nothing follows that would be moved, and no note may stand outside the score.
      durationTicks = contentEnd - startTicks;
      notices.add(
        "one part holds more than the last bar: the bar is made longer",
        undefined,
        bar.number,
      );
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
    const quartersPerMinute = isPickup ? first.quartersPerMinute : DEFAULT_QUARTERS_PER_MINUTE;
    tempos.unshift({ onsetTicks: 0, quartersPerMinute, origin: "assumed" });
  }
  return tempos;
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
  const byStaff = new Map<number, Set<number>>();
  for (const note of part.notes) {
    const voices = byStaff.get(note.staff);
    if (voices) voices.add(note.voice);
    else byStaff.set(note.staff, new Set([note.voice]));
  }
  const ranks = new Map<number, Map<number, number>>();
  for (const [staff, voices] of byStaff) {
    ranks.set(staff, new Map([...voices].sort((a, b) => a - b).map((voice, i) => [voice, i + 1])));
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

function notesOf(
  part: RawPart,
  options: {
    readonly index: number;
    readonly raw: RawScore;
    readonly ticksOf: (place: RawPlace) => number;
    readonly notices: NoticeList;
    readonly voiceOf: VoiceNumbers;
  },
): Note[] {
  const { index, raw, ticksOf, notices, voiceOf } = options;
  const name = part.part.name;
  const placed = part.notes.map((n) => ({ raw: n, onsetTicks: ticksOf(n) }));
  placed.sort((a, b) => a.onsetTicks - b.onsetTicks);
  const heads = placed.map((p) => p.raw);
  const { held, noteOf, looseEnds } = joinTies(placed);
  const count = (what: string, found: readonly RawNote[]) => {
    for (const head of found) notices.add(what, name, raw.bars[head.barIndex]?.number);
  };
  count("tie with one end only: the note is kept as it is", looseEnds);
  count("slur with one end only: not used", applySlurs(heads, held, noteOf));
  count(
    "wavy line with one end only: the trill stands on its first note",
    applyWavyLines(heads, held, noteOf),
  );
  const lines = applyGlissandi(heads, noteOf);
  count("glissando or slide with one end only: not used", lines.oneEnd);
  count("glissando or slide from a note to itself: not used", lines.toItself);

  const marks = part.marks.map((mark) => ({ ticks: ticksOf(mark), mark }));
  marks.sort((a, b) => a.ticks - b.ticks);
  const staffMarks = marksByStaff(marks);
  const curves = new Map<
    number,
    { dynamic: ReturnType<typeof dynamicCurve>; technique: ReturnType<typeof techniqueCurve> }
  >();
  const curvesOf = (staff: number) => {
    let found = curves.get(staff);
    if (!found) {
      const own = staffMarks(staff);
      found = { dynamic: dynamicCurve(own, raw.ticksPerQuarter), technique: techniqueCurve(own) };
      curves.set(staff, found);
    }
    return found;
  };
  const barStarts = new Set(raw.bars.map((_, barIndex) => ticksOf({ barIndex, offsetTicks: 0 })));
  const isBarStart = (ticks: number) => barStarts.has(ticks);
  return held.map((note) => {
    const { raw: head, onsetTicks } = note;
    const curve = curvesOf(head.staff);
    return makeNote({
      part: index,
      onsetTicks,
      durationTicks: note.endTicks - onsetTicks,
      soundingPitch: head.soundingPitch,
      ...(head.step ? { spelling: { step: head.step, alter: head.alter, octave: head.octave } } : {}),
      dynamic: curve.dynamic(onsetTicks),
      articulations: note.breath && !head.articulations.includes("breath")
        ? [...head.articulations, "breath"]
        : head.articulations,
      ...techniqueOf(head, curve.technique(onsetTicks)),
      ...(head.signs.length > 0 ? { signs: head.signs } : {}),
      slurred: note.slurred,
      slurStart: note.slurStart,
      slurStop: note.slurStop,
      tremoloSlashes: head.tremoloSlashes,
      ...(head.tremolo === undefined ? {} : { tremolo: head.tremolo }),
      tremoloAlternates: head.tremoloAlternates,
      trill: note.trill,
      ...(note.glissandi.length > 0 ? { glissandi: note.glissandi } : {}),
      noteheads: note.noteheads,
      grace: head.grace,
      cue: head.cue,
      unpitched: head.unpitched,
      voice: voiceOf(head.voice, head.staff),
      staff: head.staff,
      ...(part.notation
        ? printedNote(note, head.grace && head.offsetTicks > 0 && isBarStart(onsetTicks))
        : {}),
    });
  });
}
