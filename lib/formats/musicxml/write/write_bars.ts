/** The bars of one part as MusicXML. */
import type { Bar, Note, Score } from "../../../score/model.ts";
import { barIndexOf, fullBarTicks } from "../../../score/time.ts";
import { accidentalsOfBar, type Alterations, type WrittenAccidental } from "./accidental_signs.ts";
import { notatePart, type WrittenHead, type WrittenVoice } from "./notate_part.ts";
import { type PartOnPaper, writtenKeyAt } from "./part_on_paper.ts";
import { type PartToWrite, partToWrite } from "./part_to_write.ts";
import { type ChangeInside, multipleRest, partAttributes } from "./write_attributes.ts";
import { leftBarline, rightBarline } from "./write_barlines.ts";
import { eventNotes, graceNotes } from "./write_note.ts";
import type { PlacedSign } from "./write_signs.ts";
import { element, type XmlNode } from "./xml_text.ts";

/** How the bars are to be written. */
interface BarOptions {
  /** Id of the part in the file. */
  readonly id: string;
  /** Signs over and under the notes, in any order. */
  readonly signs: readonly PlacedSign[];
  readonly beams: boolean;
  /** Whether cues were chosen for this part, and are not those of its page. */
  readonly ourCues: boolean;
  /** Whether a voice has no rests while others of its stave sound. */
  readonly fewRests: boolean;
  /** Whether runs of empty bars are gathered, as in a player's part. */
  readonly multipleRests: boolean;
  /** Whether the first bar says that bar numbers are to be printed. */
  readonly barNumbers: boolean;
  readonly layout: PageLayout;
}

/** What a page says of its looks that a file for other programs leaves to them. */
export interface PageLayout {
  /** True where the music goes on after the last bar: then no bar line ends the piece. */
  readonly goesOn?: boolean;
  /** Indexes of the bars that begin a page; an engraver that is to draw each line by itself is given a page for each. */
  readonly newPages?: ReadonlySet<number>;
  /** Whether parts whose page gives them no short name are given one. */
  readonly shortNames?: boolean;
}

/** The bars of one part, made one by one; the score's grid must hold 32nd notes exactly. */
export function* partBars(score: Score, paper: PartOnPaper, options: BarOptions): Iterable<XmlNode> {
  const { notes, staves, part: { notation } } = paper;
  const written = notatePart(score, {
    notes,
    staves,
    beams: options.beams,
    notation,
    ourCues: options.ourCues || notation === undefined,
    fewRests: options.fewRests,
  });
  const part = partToWrite(score, paper, options.id);
  const attributes = partAttributes(score, paper);
  const accidentals = accidentalsOf(part);
  const signsIn = signsByBar(score, options.signs);
  const runs = options.multipleRests ? emptyRuns(score, written, signsIn) : new Map<number, number>();
  for (const [index, bar] of score.bars.entries()) {
    const voices = written[index]!;
    const implicit = bar.durationTicks < fullBarTicks(bar, score.ticksPerQuarter) &&
      (index === 0 || !/^[1-9]\d*$/.test(bar.number));
    const numbering = index === 0 && options.barNumbers && element("measure-numbering", "system");
    const newPage = options.layout.newPages?.has(index) ? { "new-page": "yes" } : undefined;
    yield element("measure", [
      (numbering || newPage) && element("print", numbering ? [numbering] : undefined, newPage),
      leftBarline(score.bars, index),
      attributes.atStart(index),
      ...barMusic(part, {
        bar,
        voices,
        signs: signsIn[index]!,
        changes: attributes.inside(index),
        gathered: runs.get(index),
        accidentals: accidentals(voices, writtenKeyAt(score, paper, index)),
      }),
      rightBarline(score.bars, index, options.layout.goesOn),
    ], { number: bar.number || index + 1, implicit: implicit ? "yes" : undefined });
  }
}

function signsByBar(score: Score, signs: readonly PlacedSign[]): readonly (readonly PlacedSign[])[] {
  const signsIn: PlacedSign[][] = score.bars.map(() => []);
  for (const sign of [...signs].sort((a, b) => a.ticks - b.ticks || a.order - b.order)) {
    // What ends with a bar stands in it, not at the beginning of the next.
    const place = sign.closes ? Math.max(0, sign.ticks - 1) : sign.ticks;
    signsIn[barIndexOf(score, place)]?.push(sign);
  }
  return signsIn;
}

/** What a bar holds. */
interface BarToWrite {
  readonly bar: Bar;
  readonly voices: readonly WrittenVoice[];
  readonly signs: readonly PlacedSign[];
  readonly changes: readonly ChangeInside[];
  /** How many empty bars are gathered from this one on, where any are. */
  readonly gathered: number | undefined;
  readonly accidentals: ReadonlyMap<WrittenHead | Note, WrittenAccidental>;
}

/** The voices of a bar one after another, with signs at the first of them. */
function* barMusic(part: PartToWrite, { bar, voices, accidentals, ...given }: BarToWrite): Iterable<XmlNode> {
  const { startTicks: barStart, durationTicks } = bar;
  let changes = given.changes;
  let cursor = 0;
  for (const [v, voice] of voices.entries()) {
    yield* move(cursor, 0);
    cursor = 0;
    const signs = v === 0 ? [...given.signs] : [];
    const place = { voice, barStart, accidentals };
    for (const event of voice.events) {
      const isSigned = signs.length > 0 && signs[0]!.ticks - barStart < event.to;
      if (event.hidden && !isSigned) continue;
      yield* move(cursor, event.from, [
        element("voice", voice.voice),
        part.paper.staves > 1 && element("staff", voice.staff),
      ]);
      const isHere = (c: ChangeInside) => c.staff === voice.staff && c.at === event.from;
      yield* changes.filter(isHere).map((c) => c.attributes);
      changes = changes.filter((c) => !isHere(c));
      while (signs.length > 0 && signs[0]!.ticks - barStart < event.to) {
        const sign = signs.shift()!;
        yield sign.at(sign.ticks - barStart - event.from);
      }
      cursor = event.hidden ? event.from : event.to;
      if (event.hidden) continue;
      // Behind the signs: some programs pass over what stands between a rest of many bars and its first bar.
      if (v === 0 && given.gathered !== undefined) yield multipleRest(given.gathered);
      yield* eventNotes(part, event, place);
    }
    for (const sign of signs) yield sign.at(sign.ticks - barStart - cursor);
    yield* graceNotes(part, voice.closingGraces, place);
  }
  // Where no note or rest begins, the place is sought out.
  for (const { at, attributes } of changes) {
    yield* move(cursor, at);
    cursor = at;
    yield attributes;
  }
  if (changes.length > 0) yield* move(cursor, durationTicks);
}

/** Moves from one place of the bar to another. */
function move(from: number, to: number, ahead: readonly (XmlNode | false)[] = []): readonly XmlNode[] {
  if (from === to) return [];
  const duration = element("duration", Math.abs(to - from));
  return to < from ? [element("backup", [duration])] : [element("forward", [duration, ...ahead])];
}

/** Accidentals of the bars of a part, each found in order of time over all voices of a stave. */
function accidentalsOf(
  { spellings, paper: { part } }: PartToWrite,
): (
  voices: readonly WrittenVoice[],
  keyFifths: number,
) => ReadonlyMap<WrittenHead | Note, WrittenAccidental> {
  const before = new Map<number, Alterations>();
  return (voices, keyFifths) => {
    const signs = new Map<WrittenHead | Note, WrittenAccidental>();
    for (const [staff, ofStaff] of Map.groupBy(voices, (v) => v.staff)) {
      // A page has the courtesies that its editor wanted; none are added.
      const courtesies = part.notation ? undefined : before.get(staff) ?? new Map();
      const { signFor, altered } = accidentalsOfBar(keyFifths, courtesies);
      before.set(staff, altered);
      const here = ofStaff.flatMap(({ events, closingGraces }) => [
        ...events.flatMap(({ from: at, graces, heads }) => [
          ...graces.map((note) => ({ at, key: note, note })),
          ...heads.filter((h) => !h.tieStop).map((head) => ({ at, key: head, note: head.note })),
        ]),
        ...closingGraces.map((note) => ({ at: Infinity, key: note, note })),
      ]);
      here.sort((a, b) => (a.at === b.at ? 0 : a.at - b.at));
      for (const { key, note } of here) {
        const spelling = spellings.get(note);
        const sign = spelling && signFor(spelling);
        if (sign) signs.set(key, sign);
      }
    }
    return signs;
  };
}

/** Lengths of the runs of empty bars that may be gathered, at the index of their first bar. */
function emptyRuns(
  score: Score,
  bars: readonly (readonly WrittenVoice[])[],
  signsIn: readonly (readonly PlacedSign[])[],
): ReadonlyMap<number, number> {
  const runs = new Map<number, number>();
  const isEmpty = (i: number) => bars[i]!.every((v) => v.events.length === 1 && v.events[0]!.wholeBar);
  const breaks = (i: number) => {
    const [bar, before] = [score.bars[i]!, score.bars[i - 1]!];
    return signsIn[i]!.length > 0 || bar.keyFifths !== before.keyFifths || bar.beats !== before.beats ||
      bar.beatUnit !== before.beatUnit || bar.durationTicks !== before.durationTicks ||
      bar.repeat !== undefined || before.repeat !== undefined;
  };
  for (let i = 0; i < bars.length;) {
    let end = i;
    while (end < bars.length && isEmpty(end) && (end === i || !breaks(end))) end++;
    if (end - i > 1) runs.set(i, end - i);
    i = Math.max(end, i + 1);
  }
  return runs;
}
