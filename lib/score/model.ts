/**
 * What is written: every type a score is made of, on one page. All of it is plain readonly data that
 * survives JSON; nothing points to its parent.
 *
 * Time is in whole ticks on one grid per score (`ticksPerQuarter`), so that sums and equality are exact.
 * Bars are indexed from 0 in data (`barIndex`); `Bar.number`, called `bar` in results, is what is printed.
 */
import type { Quarters, SoundingPitch, Ticks } from "../base/units.ts";

/** How a note is begun and shaped, in the words of the trade. */
export type Articulation =
  | "accent"
  | "marcato"
  | "staccato"
  | "staccatissimo"
  | "tenuto"
  | "portato"
  | "spiccato"
  | "breath";

/** A lasting way of playing. `ordinario` is the default. */
export type Technique =
  | "ordinario"
  | "pizzicato"
  | "col legno"
  | "con sordino"
  | "sul ponticello"
  | "sul tasto"
  | "harmonic"
  | "stopped"
  | "flutter";

/** A sign on a note that this library keeps and writes, and no measure uses; the names are those of MusicXML. */
export type PlayingSign =
  | "up-bow"
  | "down-bow"
  | "double-tongue"
  | "triple-tongue"
  | "open-string"
  | "thumb-position"
  | "snap-pizzicato"
  | "stress"
  | "unstress"
  | "soft-accent"
  | "caesura"
  | "scoop"
  | "plop"
  | "doit"
  | "falloff"
  | "turn"
  | "inverted-turn"
  | "delayed-turn"
  | "mordent"
  | "inverted-mordent"
  | "schleifer"
  | "arpeggiate";

/**
 * A line from one note to another, of which only the ends are written. It is kept as an interval and a length,
 * so that a note may be moved or transposed with it.
 */
export interface Glissando {
  /**
   * `slide`: continuous, every pitch in between; `glissando`: over the notes in between, one after another.
   * The names and the difference are those of MusicXML.
   */
  readonly kind: "slide" | "glissando";
  /** Semitones from this note to the note it leads to; negative downwards. */
  readonly semitones: number;
  /** Ticks from the start of this note to the start of the note it leads to; 0 from a grace note to its main note. */
  readonly lengthTicks: Ticks;
}

/** A pitch as spelt on paper: sounding unless said otherwise. */
export interface Spelling {
  /** Letter A to G. */
  readonly step: string;
  /** Semitones up (1 sharp) or down (-1 flat). */
  readonly alter: number;
  /** Octave; middle C begins octave 4. */
  readonly octave: number;
}

/** One end of a slur or of a wavy line, as the source draws it. */
export interface SpanEnd {
  /** Tells the slurs of a part apart, and its wavy lines; both ends have the same. */
  readonly span: number;
  /** Which end. */
  readonly end: "start" | "stop";
  /** Which of the tied note heads it stands at, from 0. */
  readonly head: number;
}

/** Signs on a tied note head that is not the first of its note. */
export interface LaterHead {
  /** Which of the heads, from 1. */
  readonly head: number;
  /** Articulations there. */
  readonly articulations: readonly Articulation[];
  /** Further signs there. */
  readonly signs: readonly PlayingSign[];
}

/**
 * How the source prints a note, where that is more than the note's other fields say. Writers use it as long as
 * it still fits the note; no measure does.
 */
export interface NoteNotation {
  /** Lengths in ticks of the note heads that are tied together, where there are several. */
  readonly heads?: readonly Ticks[];
  /** Slurs that begin or end here. */
  readonly slurs?: readonly SpanEnd[];
  /** Wavy lines that begin or end here. */
  readonly wavyLines?: readonly SpanEnd[];
  /** Heads, from 0, that bear a trill sign, where it is not just the first. */
  readonly trills?: readonly number[];
  /** Tremolo slashes of each head, where they differ. */
  readonly slashes?: readonly number[];
  /** Signs on later heads. */
  readonly later?: readonly LaterHead[];
  /** Name of a grace note's value, for example `16th`. */
  readonly graceValue?: string;
  /** The grace note's stem is crossed. */
  readonly graceSlash?: true;
  /** The grace note stands over or under the one before it. */
  readonly graceChord?: true;
  /** The grace note stands at the end of the bar before. */
  readonly graceAfter?: true;
  /** Shape of the note head in the words of MusicXML, where it is not the usual one. */
  readonly headShape?: string;
  /** Line or space of a note without definite pitch, as read in the treble clef. */
  readonly display?: Pick<Spelling, "step" | "octave">;
}

/** One note of one part, ties already joined. Chord notes are separate notes with the same onset. */
export interface Note {
  /** Index into `score.parts`. */
  readonly part: number;
  /** Start, in ticks from the start of the score. */
  readonly onsetTicks: Ticks;
  /** Written length in ticks, ties joined; 0 for a grace note. */
  readonly durationTicks: Ticks;
  /** Sounding MIDI pitch (C4 = 60). For unpitched percussion the percussion key, see `unpitched`. */
  readonly soundingPitch: SoundingPitch;
  /** Sounding spelling, where the source gave one. */
  readonly spelling?: Spelling;
  /** Loudness on the dynamic scale: 1 ppp, 2 pp, 3 p, 4 mp, 5 mf, 6 f, 7 ff, 8 fff; hairpins give fractions. */
  readonly dynamic: number;
  /** Signs on this note. */
  readonly articulations: readonly Articulation[];
  /** Lasting way of playing in force here. */
  readonly technique: Technique;
  /** Where several ways of playing hold at once (plucked with a mute, a muted harmonic): all of them. */
  readonly techniques?: readonly Technique[];
  /** Further signs on the note. */
  readonly signs?: readonly PlayingSign[];
  /** True when the note is reached under a slur, that is without a new stroke of tongue or bow. */
  readonly slurred: boolean;
  /** A slur begins on this note. */
  readonly slurStart: boolean;
  /** A slur ends on this note. */
  readonly slurStop: boolean;
  /** Slashes through the stem: 0 none, 1 eighths, 2 sixteenths, 3 and more unmeasured unless measured by the tempo. */
  readonly tremoloSlashes: number;
  /**
   * What the source says of the slashes: an unmeasured tremolo is as quick as it comes, whatever their number. Absent where
   * it says nothing, so that only the rate of the strokes can tell.
   */
  readonly tremolo?: "measured" | "unmeasured";
  /** True when the slashes alternate with the next note instead of repeating this one. */
  readonly tremoloAlternates: boolean;
  /** Trill or similar ornament on the note. */
  readonly trill: boolean;
  /** Glissandi and slides that start on this note, where there are any; on a tied note from its start. */
  readonly glissandi?: readonly Glissando[];
  /** Note heads that were tied together to make it (1 for an untied note). */
  readonly noteheads: number;
  /** True for a grace note: no written length of its own. */
  readonly grace: boolean;
  /** True for a cue, printed for orientation and not played. */
  readonly cue: boolean;
  /** True where the note has no definite pitch. */
  readonly unpitched: boolean;
  /** Voice on the stave, from 1. */
  readonly voice: number;
  /** Stave of the part, from 1. */
  readonly staff: number;
  /** How the source prints it, where it came from a page. */
  readonly notation?: NoteNotation;
  /** In a setting: id of the layer the note was written for. */
  readonly layer?: string;
}

/** Signs at a bar that send the players to another bar. {@linkcode unfoldRepeats} follows them. */
export interface BarRepeat {
  /** A repeated stretch begins at the start of this bar. */
  readonly start?: true;
  /** A repeated stretch ends with this bar; how often it is played in all, 2 or more. */
  readonly times?: number;
  /** The bar stands under a bracket: the times through on which it is played. */
  readonly endings?: readonly number[];
  /** A segno stands at the start of this bar. */
  readonly segno?: true;
  /** The coda begins with this bar. */
  readonly coda?: true;
  /** After a jump: from the end of this bar to the coda. */
  readonly toCoda?: true;
  /** After a jump: the end. */
  readonly fine?: true;
  /** At the end of this bar back to the beginning, or to the segno. */
  readonly jump?: "da capo" | "dal segno";
  /** The jump as printed, for example `D.C. al Fine`. */
  readonly jumpWords?: string;
}

/** One bar. */
export interface Bar {
  /** Number as printed; the pickup is often 0, and endings may repeat or carry letters. */
  readonly number: string;
  /** Start in ticks. */
  readonly startTicks: Ticks;
  /** Real length in ticks, which need not be the time signature's. */
  readonly durationTicks: Ticks;
  /** Upper figure of the time signature. */
  readonly beats: number;
  /** Lower figure of the time signature. */
  readonly beatUnit: number;
  /** Time signature printed as C or as a crossed C. */
  readonly timeSymbol?: "common" | "cut";
  /** Groups in which the bar is counted, in units of the lower figure, where the source says: 3, 2, 2 for 3+2+2/8. */
  readonly groups?: readonly number[];
  /** The groups are those of the beams, and the time signature does not print them. */
  readonly groupsFrom?: "beams";
  /** Key signature, sharps positive, flats negative, at concert pitch. */
  readonly keyFifths: number;
  /** Rehearsal mark or passage name printed here. */
  readonly rehearsal?: string;
  /** Repeats, endings and jumps, where there are any. */
  readonly repeat?: BarRepeat;
  /** A double bar line stands at the end of this bar; the end of the piece, of a repeat and at a jump needs none. */
  readonly doubleBar?: true;
}

/** A word or sign that bends the tempo. {@linkcode bendTempo} turns them into tempos. */
export interface TempoBend {
  /** Where it stands, in ticks; for a pause, where the note or rest under it begins. */
  readonly onsetTicks: Ticks;
  /** For a pause (fermata): where the note or rest under it ends. */
  readonly endTicks?: Ticks;
  /** Growing slower, growing quicker, back to the tempo before, back to the first tempo, held. */
  readonly kind: "slower" | "quicker" | "a tempo" | "first tempo" | "pause";
  /** The words as printed; empty for a pause. */
  readonly words: string;
}

/** A metronome mark as printed. */
export interface MetronomeMark {
  /** Name of the note value, for example `quarter`. */
  readonly value: string;
  /** Dots of the value. */
  readonly dots: number;
  /** Figure or figures. */
  readonly perMinute: string;
  /** It stands in brackets. */
  readonly bracketed?: true;
}

/** A tempo from here on. */
export interface Tempo {
  /** Where it begins, in ticks. */
  readonly onsetTicks: Ticks;
  /** Quarter notes per minute. */
  readonly quartersPerMinute: number;
  /** `marked` in the source, or `assumed` where the source had none. */
  readonly origin: "marked" | "assumed";
  /** The word over it as printed, for example `Allegretto`. */
  readonly words?: string;
  /** The source's metronome mark; `none` where it gives the tempo to be played, not to be read. */
  readonly metronome?: MetronomeMark | "none";
}

/** A chord symbol over the music, as the source wrote it. */
export interface ChordSymbol {
  /** Where it begins, in ticks. */
  readonly onsetTicks: Ticks;
  /** Symbol, for example `Dm7` or `F/A`. */
  readonly symbol: string;
}

/** Who of a line plays from here on, as the words over the stave say. */
export interface Playing {
  /** Where it begins, in ticks. */
  readonly fromTicks: Ticks;
  /** One player, all in unison (`a 2`, `unis.`), the line divided, or everybody again. */
  readonly kind: "solo" | "unison" | "divided" | "all";
  /** How many play, or into how many groups the line divides, where the words say so. */
  readonly count?: number;
  /** The words as printed. */
  readonly words: string;
}

/** Another instrument taken up inside a part. */
export interface InstrumentChange {
  /** First note played on it, in ticks. */
  readonly fromTicks: Ticks;
  /** Catalogue id. */
  readonly instrument: string;
  /** Name in the source. */
  readonly name: string;
}

/** A dynamic sign as the source wrote it; what it means for each note stands in `Note.dynamic`. */
export interface WrittenDynamic {
  /** Where it stands, in ticks. */
  readonly onsetTicks: Ticks;
  /** Stave it stands at; 0 for the whole part. */
  readonly staff: number;
  /** A mark, the beginning or end of a hairpin, or a word such as cresc. or dim. */
  readonly kind: "mark" | "crescendo" | "diminuendo" | "stop" | "growing" | "fading";
  /** The mark, for example `mf`; `more` and `less` for più f, meno f and the like. */
  readonly mark?: string;
  /** Tells hairpins apart that lie over each other. */
  readonly number?: number;
  /** The mark with all that is printed with it, piece by piece, for example `(`, `f`, `)`. */
  readonly pieces?: readonly string[];
  /** It is said by the words printed there. */
  readonly inWords?: true;
  /** It is meant and not printed: the part comes in with others that are marked. */
  readonly implied?: true;
}

/** Words over or under a stave, as printed. */
export interface WrittenWords {
  /** Where they stand, in ticks. */
  readonly onsetTicks: Ticks;
  /** Stave they stand at, from 1. */
  readonly staff: number;
  /** The words. */
  readonly words: string;
  /** They stand below the stave. */
  readonly below?: true;
}

/** A line over or under a stave: one of its ends. */
export interface WrittenLine {
  /** Where the end stands, in ticks. */
  readonly onsetTicks: Ticks;
  /** Stave, from 1. */
  readonly staff: number;
  /** Kind of line, in the words of MusicXML. */
  readonly kind: "dashes" | "bracket" | "octave-shift" | "pedal";
  /** What MusicXML says of the line there: which end, its number, its look. */
  readonly attributes: Readonly<Record<string, string>>;
}

/** A clef from here on. */
export interface WrittenClef {
  /** Where it stands, in ticks. */
  readonly fromTicks: Ticks;
  /** Stave, from 1. */
  readonly staff: number;
  /** `G`, `F`, `C`, `percussion` and the like, in the words of MusicXML. */
  readonly sign: string;
  /** Line it stands on, from below. */
  readonly line?: number;
  /** Octaves the stave sounds higher than the clef alone would say. */
  readonly octaves?: number;
}

/** A key signature from here on, as the player reads it. */
export interface WrittenKey {
  /** Where it stands, in ticks. */
  readonly fromTicks: Ticks;
  /** Sharps, or flats where negative. */
  readonly fifths: number;
}

/** A transposition from here on. */
export interface WrittenTransposition {
  /** Where it stands, in ticks. */
  readonly fromTicks: Ticks;
  /** Semitones from written to sounding pitch. */
  readonly semitones: number;
  /** Staff steps from written to sounding pitch. */
  readonly steps: number;
}

/** A pause sign on what begins at a place. */
export interface WrittenPause {
  /** Where the note or rest under it begins, in ticks. */
  readonly onsetTicks: Ticks;
  /** Its length in ticks. */
  readonly lengthTicks: Ticks;
  /** Stave, from 1. */
  readonly staff: number;
}

/** A tuplet as printed. */
export interface WrittenTuplet {
  /** Where it begins, in ticks. */
  readonly fromTicks: Ticks;
  /** Its length in ticks. */
  readonly lengthTicks: Ticks;
  /** Stave, from 1. */
  readonly staff: number;
  /** Voice on the stave, from 1. */
  readonly voice: number;
  /** Notes played … */
  readonly actual: number;
  /** … in the time of so many. */
  readonly normal: number;
  /** Name of the value counted, for example `eighth`. */
  readonly value: string;
  /** What MusicXML says of its bracket and figure. */
  readonly attributes: Readonly<Record<string, string>>;
}

/**
 * How the source prints a part. Writers use it as long as the notes still follow it; without it they choose
 * staves, clefs, keys and words themselves.
 */
export interface PartNotation {
  /**
   * Name as the page has it, where other parts have it too and the part's own name tells them apart, or where it says
   * the key as well: `Clarinet in A 1`.
   */
  readonly printedName?: string;
  /** Staves. */
  readonly staves: number;
  /** Clefs in order. */
  readonly clefs: readonly WrittenClef[];
  /** Key signatures in order. */
  readonly keys: readonly WrittenKey[];
  /** Transpositions that the part changes to, in order, after the first. */
  readonly transpositions: readonly WrittenTransposition[];
  /** Words in order; tempo words and jumps stand with the tempos and bars. */
  readonly words: readonly WrittenWords[];
  /** Dashes, brackets, octave and pedal lines, in order. */
  readonly lines: readonly WrittenLine[];
  /** Pause signs in order. */
  readonly pauses: readonly WrittenPause[];
  /** Tuplets in order. */
  readonly tuplets: readonly WrittenTuplet[];
}

/** One line of a score. */
export interface Part {
  /** Id, unique in the score. */
  readonly id: string;
  /** Name, for example `Horn 1`; readers tell parts of one name apart by a number. */
  readonly name: string;
  /** Catalogue id of the instrument, for example `horn in F`. */
  readonly instrument: string;
  /** How the instrument was found: by standard sound id, by name, by MIDI program, or not at all. */
  readonly instrumentFrom: "sound id" | "name" | "program" | "given" | "fallback";
  /** Players on the line. */
  readonly players: number;
  /** Semitones from written to sounding pitch, as in the source. */
  readonly transposeSemitones: number;
  /** Staff steps from written to sounding pitch. */
  readonly transposeSteps: number;
  /** Words about who plays, in order. */
  readonly playing?: readonly Playing[];
  /** Changes of instrument, in order. */
  readonly instrumentChanges?: readonly InstrumentChange[];
  /** Dynamic signs of the source, in order; writers use them as long as the notes still follow them. */
  readonly writtenDynamics?: readonly WrittenDynamic[];
  /** How the source prints the part, where it came from a page. */
  readonly notation?: PartNotation;
}

/** Parts joined by a brace or bracket in the margin. */
export interface PartGroup {
  /** Ids of the parts, from top to bottom. */
  readonly parts: readonly string[];
  /** Sign in the margin. */
  readonly symbol: "none" | "brace" | "line" | "bracket" | "square";
  /** Name beside it, where it has one. */
  readonly name?: string;
}

/** Something a reader could not use, counted. */
export interface Notice {
  /** What it was and what became of it. */
  readonly what: string;
  /** How often it occurred. */
  readonly count: number;
  /** File it was in. */
  readonly file?: string;
  /** Part of the first occurrence. */
  readonly part?: string;
  /** Printed bar of the first occurrence. */
  readonly bar?: string;
}

/** A layer a setting was written with. */
export interface WrittenLayer {
  /** Id, unique in the score. */
  readonly id: string;
  /** What the layer is for. */
  readonly role: string;
  /** Pattern it plays. */
  readonly figure: string;
  /** What the notes of the pattern do, where it is one of somebody's own. */
  readonly shape?: string;
  /** Parts in it, as indexes into `score.parts`. */
  readonly parts: readonly number[];
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** Name of the passage. */
  readonly passage: string;
}

/** A whole piece. */
export interface Score {
  /** Title. */
  readonly title: string;
  /** Composer, where known. */
  readonly composer?: string;
  /** File or sketch it came from. */
  readonly source: string;
  /** Grid: ticks to a quarter note. */
  readonly ticksPerQuarter: Ticks;
  /** Bars in order, without gaps. */
  readonly bars: readonly Bar[];
  /** Tempos in order; never empty, the first at tick 0. */
  readonly tempos: readonly Tempo[];
  /** Words and pauses that bend the tempo, in order, where there are any. */
  readonly tempoBends?: readonly TempoBend[];
  /** Parts from top to bottom. */
  readonly parts: readonly Part[];
  /** Groups of parts as the source joins them; without them writers join families. */
  readonly partGroups?: readonly PartGroup[];
  /** All notes, by onset, then part, grace notes first, then pitch. */
  readonly notes: readonly Note[];
  /** Chord symbols in order. */
  readonly chords: readonly ChordSymbol[];
  /** What was not used. */
  readonly notices: readonly Notice[];
  /** In a setting: the layers it was written with. */
  readonly layers?: readonly WrittenLayer[];
}

/** A place in musical terms. */
export interface BarBeat {
  /** Index of the bar, from 0. */
  readonly barIndex: number;
  /** Printed bar number. */
  readonly bar: string;
  /** Beat from 1, in units of the time signature's lower figure. */
  readonly beat: number;
  /** Quarters from the start of the score. */
  readonly quarters: Quarters;
}
