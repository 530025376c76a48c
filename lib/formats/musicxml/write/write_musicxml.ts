/** MusicXML 4.0 out of a score: whole scores and single parts. */
import {
  A_COUNT,
  A_NUMBER,
  A_SCORE,
  A_SWITCH,
  checkArgument,
  checkOptions,
  type Kind,
  oneOf,
} from "../../../base/arguments.ts";
import { refusals } from "../../../base/errors.ts";
import { memoOf } from "../../../base/memo.ts";
import { instrumentOf } from "../../../instruments/instrument_of.ts";
import { sortNotes } from "../../../score/build.ts";
import { refineGrid } from "../../../score/refine_grid.ts";
import type { Score, WrittenWords } from "../../../score/model.ts";
import { endTicksOf } from "../../../score/time.ts";
import { OWN_SOFTWARE } from "../../assemble/musicxml_names.ts";
import { condensedScore } from "../../page/condensed.ts";
import { cuesFor } from "../../page/cues.ts";
import { partHeadWords } from "../../page/part_head.ts";
import { shareStaves } from "../../page/shared_staves.ts";
import { tuneStave } from "../../page/tune_stave.ts";
import { type PageLayout, partBars } from "./write_bars.ts";
import { harmonySigns, playingSigns, printedWord, scoreSigns } from "./write_signs.ts";
import { nameOnPaper, partList, xmlPartIds } from "./write_part_list.ts";
import { partsOnPaper } from "./part_on_paper.ts";
import { element, type XmlNode, xmlText } from "./xml_text.ts";

/** How a score is to be written as MusicXML. */
export interface WriteMusicXmlOptions {
  /**
   * Index of the part that carries the chord symbols, or `none`. By default a setting, whose players read notes, has
   * none; the symbols of any other score were on its page and stand over the first part that reads at concert pitch.
   */
  readonly chordSymbols?: number | "none";
  /**
   * Who has a stave: `single`, every part its own (the default); `shared`, first and second, third and fourth wind
   * players of a kind together, with `1.`, `2.` and `a 2` where one plays or both play the same, chords where their
   * rhythm agrees and two voices where it does not; `condensed`, a conductor's short score at sounding pitch:
   * woodwinds, brass, timpani, percussion, harp and keyboards, voices, strings on one or two staves each, with the names of
   * who plays over them, doublings written once. A condensed score is for reading through: what it leaves out is in the
   * full one.
   */
  readonly staves?: "single" | "shared" | "condensed";
  /**
   * Whether the sketch stands on top as a stave of its own: the tune of whoever leads under the chord symbols. Only a setting says who leads; by default not.
   */
  readonly sketch?: boolean;
  /**
   * Whether beams are written, by the groups in which a bar is counted; by default they are: not every program that reads a
   * file works them out, and nobody plays sixteenths from flags.
   */
  readonly beams?: boolean;
  /** Whether runs of empty bars are gathered into one rest, as in a player's part; by default not. */
  readonly multipleRests?: boolean;
}

const WHERE_CHORDS_GO: Kind = {
  noun: `a part's index or "none"`,
  give: 'Give an index from 0, or "none"',
  fits: (value) => value === "none" || A_COUNT.fits(value),
};
const STAVES: Kind = oneOf(["single", "shared", "condensed"]);
const OPTIONS = {
  staves: STAVES,
  sketch: A_SWITCH,
  chordSymbols: WHERE_CHORDS_GO,
  beams: A_SWITCH,
  multipleRests: A_SWITCH,
};

const HEAD = [
  `<?xml version="1.0" encoding="UTF-8"?>`,
  `<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">`,
];

/** Divisions of the quarter that every written score must allow: note values are split down to 32nd notes. */
const FINEST_SPLIT = 32;

const ACTION = "write MusicXML";

function checkGiven(score: Score, options: WriteMusicXmlOptions): void {
  checkArgument(ACTION, score, A_SCORE);
  checkOptions(ACTION, options, OPTIONS);
  const { bars, parts } = score;
  if (parts.length === 0 || bars.length === 0) {
    const what = parts.length === 0 ? "parts" : "bars";
    throw refusals(ACTION)(`the score has no ${what}`, "Give a score with at least one part and one bar");
  }
  const { chordSymbols } = options;
  if (typeof chordSymbols === "number" && !parts[chordSymbols]) {
    const remedy = `Give an index from 0 to ${parts.length - 1}, or "none"`;
    throw refusals(ACTION)(`chordSymbols asks for part ${chordSymbols}`, remedy);
  }
}

/** Notes cut at the end of the last bar; one that begins outside the bars cannot be written. */
function insideBars(score: Score): Score {
  const endTicks = endTicksOf(score);
  for (const note of score.notes) {
    const last = note.durationTicks > 0 ? endTicks - 1 : endTicks;
    const part = score.parts[note.part];
    if (note.onsetTicks >= 0 && note.onsetTicks <= last && part) continue;
    const quarters = note.onsetTicks / score.ticksPerQuarter;
    const problem = part
      ? `a note begins ${quarters} quarters from the start, outside the bars`
      : `a note belongs to part ${note.part}, which is not there`;
    throw refusals(ACTION, { part: part?.name })(problem, "Give the score bars and parts for all its notes");
  }
  if (score.notes.every((n) => n.onsetTicks + n.durationTicks <= endTicks)) return score;
  const cut = score.notes.map((n) => ({
    ...n,
    durationTicks: Math.min(n.durationTicks, endTicks - n.onsetTicks),
  }));
  return { ...score, notes: cut };
}

/**
 * Writes a score as MusicXML 4.0 (partwise), ready for any program that engraves: parts transposed for their
 * players, clefs and keys, note values split at beats and tied, tuplets, dynamics and hairpins where they
 * change, slurs, glissandi, articulations, words for ways of playing, tremolo slashes, tempo and rehearsal marks,
 * chord symbols, brackets by family, standard sound ids and player counts.
 *
 * Every key change stands in the file for each part as that part reads it. Verovio 6.3.0 takes one key for all
 * parts where it changes inside a piece, so its picture of transposed parts is wrong from there on; the file is
 * not.
 *
 * Beams, stems and layout are left to the program that reads the file. Chord symbols stand at concert pitch.
 * A note that runs past the last bar is cut there; a glissando whose end is not in the score is left out. A dynamic is printed to the nearest mark; it is printed again after four bars of silence.
 *
 * @param score the score
 * @param options who has a stave, chord symbols, beams, multiple rests
 * @returns the file's text; it is valid against the W3C schema
 * @throws {InputError} when the score has no parts or bars, a note begins outside them, or an option is unknown
 *
 * Source of the format: W3C Music Notation Community Group, MusicXML 4.0 (2021).
 *
 * @example
 * ```ts
 * import { writeMusicXml } from "ripieno";
 * import { makeNote } from "ripieno/score";
 * import type { Score } from "ripieno";
 * import { assert } from "@std/assert";
 * const score: Score = {
 *   title: "One note",
 *   source: "example",
 *   ticksPerQuarter: 1,
 *   bars: [{ number: "1", startTicks: 0, durationTicks: 4, beats: 4, beatUnit: 4, keyFifths: 0 }],
 *   tempos: [{ onsetTicks: 0, quartersPerMinute: 60, origin: "marked" }],
 *   parts: [{
 *     id: "P1",
 *     name: "Horn",
 *     instrument: "horn in F",
 *     instrumentFrom: "given",
 *     players: 1,
 *     transposeSemitones: -7,
 *     transposeSteps: -4,
 *   }],
 *   notes: [makeNote({ part: 0, onsetTicks: 0, durationTicks: 4, soundingPitch: 60 })],
 *   chords: [],
 *   notices: [],
 * };
 * assert(writeMusicXml(score).includes("<step>G</step>")); // a horn in F reads a fifth higher
 * ```
 *
 * @example Two players on a stave
 * ```ts
 * import { demoPlans, demoSketch, realise, writeMusicXml } from "ripieno";
 * import { assert } from "@std/assert";
 * const score = realise(demoSketch(), demoPlans().rotating);
 * const xml = writeMusicXml(score, { staves: "shared" });
 * assert(xml.includes("<part-name>Horns in F 1, 2</part-name>"));
 * ```
 *
 * @example A short score to conduct from, the tune on top
 * ```ts
 * import { demoPlans, demoSketch, realise, writeMusicXml } from "ripieno";
 * import { assert } from "@std/assert";
 * const score = realise(demoSketch(), demoPlans().moving);
 * const xml = writeMusicXml(score, { staves: "condensed", sketch: true });
 * assert(xml.includes("<part-name>Tune</part-name>") && xml.includes("<part-name>Woodwinds</part-name>"));
 * ```
 */
export function writeMusicXml(score: Score, options: WriteMusicXmlOptions = {}): string {
  checkGiven(score, options);
  return scoreText(arranged(fineScore(score), options), options);
}

/** A page to be engraved at once: its text, and what stands where. */
interface MusicXmlPage {
  readonly text: string;
  /** Parts of the page from the top: their ids in the score it was made of, and how many staves each has. */
  readonly parts: readonly { readonly id: string; readonly staves: number }[];
}

/**
 * A score as {@linkcode writeMusicXml} writes it, for an engraver that is to break its lines where it is told and to say more
 * over the parts than the score does.
 *
 * @param words words over the parts besides, by part of the score; only where every part has its own stave
 */
export function musicXmlPage(
  score: Score,
  options: WriteMusicXmlOptions,
  { words = [], ...layout }: PageLayout & { readonly words?: readonly (readonly WrittenWords[])[] },
): MusicXmlPage {
  checkGiven(score, options);
  const fine = fineScore(score);
  const factor = fine.ticksPerQuarter / score.ticksPerQuarter;
  const page = arranged(fine, options);
  const over = words.map((own) => own.map((w) => ({ ...w, onsetTicks: w.onsetTicks * factor })));
  const allWords = page.words.length > 0 ? page.words : over;
  return {
    text: scoreText({ ...page, words: allWords }, options, layout),
    parts: partsOnPaper(page.score).map(({ part, staves }) => ({ id: part.id, staves })),
  };
}

/** The score on the staves that are asked for. */
function arranged(
  score: Score,
  { staves = "single", sketch = false, chordSymbols }: WriteMusicXmlOptions,
): ScoreOnPaper {
  const page = staves === "condensed"
    ? condensedScore(score)
    : { score: staves === "shared" ? shareStaves(score) : score, words: [] };
  const over = chordStave(score, page.score, chordSymbols);
  if (!sketch) return { ...page, chordStave: over };
  const { part, notes } = tuneStave(score);
  const below = page.score.notes.map((n) => ({ ...n, part: n.part + 1 }));
  return {
    score: { ...page.score, parts: [part, ...page.score.parts], notes: sortNotes([...notes, ...below]) },
    words: [[], ...page.words],
    chordStave: chordSymbols === undefined ? 0 : over < 0 ? -1 : over + 1,
  };
}

/** The stave that carries the chord symbols: they are written at concert pitch, so it must read at concert pitch. */
function chordStave(score: Score, page: Score, wanted: number | "none" | undefined): number {
  if (wanted === "none" || (wanted === undefined && score.layers)) return -1;
  if (wanted !== undefined) return staveOf(page, score, wanted);
  return Math.max(0, page.parts.findIndex((p) => p.transposeSemitones % 12 === 0));
}

/** The stave of a page that a part stands on: its own, that of the player before, or where staves are few the first. */
function staveOf(page: Score, score: Score, part: number): number {
  const own = page.parts.findIndex((p) => p.id === score.parts[part]!.id);
  return own >= 0 || part === 0 ? Math.max(0, own) : staveOf(page, score, part - 1);
}

/** What is put on paper: a score whose grid holds every note value, and words that stand over its parts besides. */
interface ScoreOnPaper {
  readonly score: Score;
  /** Words by part. */
  readonly words: readonly (readonly WrittenWords[])[];
  /** Index of the part that the chord symbols stand over; -1 for none. */
  readonly chordStave: number;
  /** Name of the only part, where it is a player's part. */
  readonly partName?: string;
  /** Whether its cues were chosen here. */
  readonly ourCues?: boolean;
}

/** A score ready to be put on paper: of one whose parts are written one by one it is made once. */
const fineScore = memoOf((score: Score): Score => refineGrid(insideBars(score), FINEST_SPLIT));

/** The file's text. */
function scoreText(
  { score, words, chordStave, partName, ourCues = false }: ScoreOnPaper,
  options: WriteMusicXmlOptions,
  layout: PageLayout = {},
): string {
  const papers = partsOnPaper(score);
  const ids = xmlPartIds(papers);
  const { beams = true, multipleRests = false } = options;
  const parts = papers.map((paper, index) => {
    const id = ids[index]!;
    const signs = [
      ...(index === 0 ? scoreSigns(score) : []),
      ...(index === chordStave ? harmonySigns(score) : []),
      ...playingSigns(score, paper),
      ...(words[index] ?? []).map((each) => printedWord(each, paper.staves)),
    ];
    return element(
      "part",
      partBars(score, paper, {
        id,
        signs,
        beams,
        multipleRests,
        ourCues,
        fewRests: options.staves === "condensed",
        barNumbers: index === 0,
        layout,
      }),
      { id },
    );
  });
  const supports = (name: string, isWritten: boolean) =>
    element("supports", undefined, { element: name, type: isWritten ? "yes" : "no" });
  return xmlText(
    HEAD,
    element("score-partwise", [
      element("work", [element("work-title", score.title)]),
      element("identification", [
        score.composer !== undefined && element("creator", score.composer, { type: "composer" }),
        element("encoding", [
          element("software", OWN_SOFTWARE),
          supports("accidental", true),
          supports("beam", beams),
          supports("stem", false),
        ]),
      ]),
      ...(partName === undefined ? [] : partCredits(score, partName)),
      partList(papers, score, { isAlone: partName !== undefined, ...layout }),
      ...parts,
    ], { version: "4.0" }),
  );
}

/** What stands at the head of a player's part: whose it is, the title and the composer. */
function partCredits(score: Score, partName: string): readonly XmlNode[] {
  const credit = (type: string, words: string, justify: "left" | "center" | "right") =>
    element("credit", [
      element("credit-type", type),
      element("credit-words", words, { justify, halign: justify, valign: "top" }),
    ], { page: 1 });
  return [
    credit("part name", partName, "left"),
    credit("title", score.title, "center"),
    ...(score.composer === undefined ? [] : [credit("composer", score.composer, "right")]),
  ];
}

/** How one part is to be written. */
export interface WritePartOptions extends Omit<WriteMusicXmlOptions, "staves" | "sketch"> {
  /**
   * Whether the player is given cues: after eight bars of rest or more the last bar or two of who leads into the entry,
   * in small notes. By default true.
   */
  readonly cues?: boolean;
}

/**
 * Writes one part of a score as a file of its own, for the player's desk: the same notes, with tempo and
 * rehearsal marks, runs of empty bars gathered, cues before entries after long rests, the tunings of kettledrums, and
 * `tacet` where nothing (more) comes. Cues are written for the reader's key and clef, in an octave that lies on the
 * stave, and are read back as cues ({@linkcode Note}): nothing plays or measures them.
 *
 * @param score the score
 * @param partIndex index of the part, from 0
 * @param options as for {@linkcode writeMusicXml}, and cues; chord symbols are left out unless asked for
 * @returns the file's text
 * @throws {InputError} when there is no such part
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise, writePart } from "ripieno";
 * import { assert } from "@std/assert";
 * const score = realise(demoSketch(), demoPlans().rotating);
 * const oboe = score.parts.findIndex((part) => part.name === "Oboe 1");
 * assert(writePart(score, oboe).includes("<words>Hn. 1 (sounds 8vb)</words>")); // the horn leads into its first entry
 * assert(!writePart(score, oboe, { cues: false }).includes("<cue/>"));
 * ```
 */
export function writePart(score: Score, partIndex: number, options: WritePartOptions = {}): string {
  const action = "write the part";
  const { staves: _none, sketch: _neither, ...kinds } = OPTIONS;
  checkOptions(action, options, { ...kinds, cues: A_SWITCH });
  checkArgument(action, partIndex, A_NUMBER, "the part's index");
  checkArgument(action, score, A_SCORE);
  const part = score.parts[partIndex];
  if (!part) {
    const remedy = `Give an index from 0 to ${score.parts.length - 1}`;
    throw refusals(action)(`there is no part ${partIndex}`, remedy);
  }
  const { cues = true, ...rest } = options;
  checkGiven(score, rest);
  const fine = fineScore(score);
  const cue = cues ? cuesFor(fine, partIndex) : { notes: [], words: [] };
  const { layers: _, partGroups: __, ...whole } = fine;
  const own = [...fine.notes.filter((n) => n.part === partIndex), ...cue.notes];
  const alone = {
    ...whole,
    parts: [fine.parts[partIndex]!],
    notes: sortNotes(own.map((n) => ({ ...n, part: 0 }))),
  };
  const words = [...partHeadWords(fine, partIndex), ...cue.words];
  const partName = nameOnPaper({ part, instrument: instrumentOf(part.instrument) }).full;
  return scoreText(
    {
      score: alone,
      words: [words],
      partName,
      chordStave: typeof rest.chordSymbols === "number" ? 0 : -1,
      ourCues: cue.notes.length > 0,
    },
    { multipleRests: true, ...rest },
  );
}
