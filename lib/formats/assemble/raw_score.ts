/**
 * A score as a reader finds it: notes by bar and offset, signs not yet applied. `assembleScore` turns it
 * into a Score. Readers of different formats share it, so that ties, slurs, dynamics and techniques are
 * worked out in one place.
 */
import type {
  Articulation,
  Glissando,
  InstrumentChange,
  NoteNotation,
  Part,
  PartGroup,
  Playing,
  PlayingSign,
  Technique,
  Tempo,
  TempoBend,
  WrittenClef,
  WrittenKey,
  WrittenLine,
  WrittenPause,
  WrittenTransposition,
  WrittenTuplet,
  WrittenWords,
} from "../../score/model.ts";

/** Signs at a bar. Several parts may bring the same ones. */
export interface RepeatSigns {
  start?: true;
  /** Repeat ends; played so often. */
  times?: number;
  /** Under a bracket with these numbers. */
  endings?: readonly number[];
  segno?: true;
  /** Coda sign of which it is not said whether it is the goal. */
  codaSign?: true;
  coda?: true;
  toCoda?: true;
  fine?: true;
  /** Back to the beginning or the segno. */
  jump?: "da capo" | "dal segno";
  jumpWords?: string;
}

/** Begins or ends something that spans notes; `number` tells overlapping ones apart. */
export interface RawSpan {
  readonly type: "start" | "stop";
  readonly number: number;
}

/** An end of a glissando or slide. */
export interface RawGlissando extends RawSpan {
  readonly kind: Glissando["kind"];
}

/** A note head as found. */
export interface RawNote {
  barIndex: number;
  offsetTicks: number;
  /** Length in ticks; 0 for a grace note. */
  durationTicks: number;
  soundingPitch: number;
  /** Sounding spelling: letter A to G, or empty where there is none. */
  step: string;
  /** Sounding spelling: semitones up or down. */
  alter: number;
  /** Sounding spelling: octave. */
  octave: number;
  /** Voice as the source numbers it. */
  voice: number;
  /** Stave of the part, from 1. */
  staff: number;
  grace: boolean;
  cue: boolean;
  unpitched: boolean;
  /** Tied to the next note of the pitch. */
  tieStart: boolean;
  /** Tied to the note before of the pitch. */
  tieStop: boolean;
  articulations: readonly Articulation[];
  /** Way of playing of this note alone. */
  technique: Technique | undefined;
  signs: readonly PlayingSign[];
  tremoloSlashes: number;
  /** What the source says of them. */
  tremolo?: "measured" | "unmeasured";
  tremoloAlternates: boolean;
  trill: boolean;
  slurs: readonly RawSpan[];
  /** A beam joins it to the note before. */
  joined: boolean;
  /** Wavy lines after a trill that begin or end here. */
  wavyLines: readonly RawSpan[];
  glissandi: readonly RawGlissando[];
  /** How the head is printed, where the reader keeps it. */
  notation: NoteNotation | undefined;
}

/** Something written over the music that holds from its place on. */
export type RawMark =
  & RawStavePlace
  & (
    | {
      readonly kind: "dynamic";
      readonly mark: string;
      readonly pieces?: readonly string[];
      readonly inWords?: true;
    }
    | { readonly kind: "wedge"; readonly type: "crescendo" | "diminuendo" | "stop"; readonly number: number }
    | { readonly kind: "growth"; readonly direction: 1 | -1; readonly inWords?: true }
    | { readonly kind: "technique"; readonly manner?: Technique; readonly muted?: boolean }
    | { readonly kind: "stroke"; readonly words: string }
  );

/** A mark with its position from the start of the score. */
export interface TimedMark {
  readonly ticks: number;
  readonly mark: RawMark;
}

/** What a reader found printed of a part, by bar and offset. */
export interface RawNotation {
  readonly printedName?: string;
  staves: number;
  readonly clefs: (RawPlace & Omit<WrittenClef, "fromTicks">)[];
  readonly keys: (RawPlace & Omit<WrittenKey, "fromTicks">)[];
  readonly transpositions: (RawPlace & Omit<WrittenTransposition, "fromTicks">)[];
  readonly words: (RawPlace & Omit<WrittenWords, "onsetTicks">)[];
  readonly lines: (RawPlace & Omit<WrittenLine, "onsetTicks">)[];
  readonly pauses: (RawPlace & Omit<WrittenPause, "onsetTicks" | "lengthTicks"> & { lengthTicks: number })[];
  readonly tuplets: RawTuplet[];
}

/** A tuplet; its voice is still the source's. */
export type RawTuplet =
  & RawPlace
  & Omit<WrittenTuplet, "fromTicks" | "lengthTicks">
  & { lengthTicks: number };

/** A part as found. */
export interface RawPart {
  /** What the finished part will be. */
  readonly part: Part;
  readonly notes: RawNote[];
  readonly marks: RawMark[];
  /** Key signatures at concert pitch, by bar. */
  readonly keys: { readonly barIndex: number; readonly fifths: number }[];
  readonly playing: (RawPlace & Omit<Playing, "fromTicks">)[];
  readonly instrumentChanges: (RawPlace & Omit<InstrumentChange, "fromTicks">)[];
  /** What is printed, where the source is a page. */
  readonly notation?: RawNotation;
  /** Whether the source says how many players the part has. */
  readonly playersGiven?: boolean;
}

/** A bar as found. */
export interface RawBar {
  number: string;
  /** Longest content of any part, in ticks. */
  contentTicks: number;
  /** Length of the content of each part that has notes in the bar, in ticks. */
  filledTicks: number[];
  /** Time signature that begins here. */
  metre?: {
    readonly beats: number;
    readonly beatUnit: number;
    readonly timeSymbol?: "common" | "cut";
    readonly groups?: readonly number[];
  };
  rehearsal?: string;
  repeat?: RepeatSigns;
  doubleBar?: true;
}

/** Something for the whole score at a place. */
export interface RawPlace {
  readonly barIndex: number;
  offsetTicks: number;
}

/** A place at a stave; 0 for the whole part. */
export interface RawStavePlace extends RawPlace {
  readonly staff: number;
}

/** A whole score as found. */
export interface RawScore {
  title: string;
  composer: string;
  /** File or other source. */
  readonly source: string;
  ticksPerQuarter: number;
  readonly bars: RawBar[];
  readonly parts: RawPart[];
  partGroups?: readonly PartGroup[];
  readonly tempos: (RawPlace & Omit<Tempo, "onsetTicks">)[];
  readonly bends: (RawPlace & Omit<TempoBend, "onsetTicks" | "endTicks"> & { lengthTicks: number })[];
  readonly chords: (RawPlace & { readonly symbol: string })[];
  /** Whether the file's bass clefs of horns are surely meant as today's, however low the notes come to lie. */
  hornsAsToday?: boolean;
}

/** What stands on most heads: thousands share one empty list. */
const NONE: readonly never[] = [];

/** A note head with nothing on it but what is given. */
export function rawNote(
  given:
    & Pick<
      RawNote,
      "barIndex" | "offsetTicks" | "durationTicks" | "soundingPitch" | "step" | "alter" | "octave"
    >
    & Partial<Omit<RawNote, "tremolo">>,
): RawNote {
  // Field by field: copying what is given as a whole takes several times as long, and a file has a note on every line.
  return {
    barIndex: given.barIndex,
    offsetTicks: given.offsetTicks,
    durationTicks: given.durationTicks,
    soundingPitch: given.soundingPitch,
    step: given.step,
    alter: given.alter,
    octave: given.octave,
    voice: given.voice ?? 1,
    staff: given.staff ?? 1,
    grace: given.grace ?? false,
    cue: given.cue ?? false,
    unpitched: given.unpitched ?? false,
    tieStart: given.tieStart ?? false,
    tieStop: given.tieStop ?? false,
    articulations: given.articulations ?? NONE,
    technique: given.technique,
    signs: given.signs ?? NONE,
    tremoloSlashes: given.tremoloSlashes ?? 0,
    tremoloAlternates: given.tremoloAlternates ?? false,
    trill: given.trill ?? false,
    slurs: given.slurs ?? NONE,
    joined: given.joined ?? false,
    wavyLines: given.wavyLines ?? NONE,
    glissandi: given.glissandi ?? NONE,
    notation: given.notation,
  };
}

/** Makes the grid finer by a whole factor: every position and length is multiplied, in place. */
export function refineRawGrid(raw: RawScore, factor: number): void {
  raw.ticksPerQuarter *= factor;
  for (const bar of raw.bars) {
    bar.contentTicks *= factor;
    bar.filledTicks = bar.filledTicks.map((ticks) => ticks * factor);
  }
  const places: Iterable<RawPlace & { lengthTicks?: number; durationTicks?: number }>[] = [
    ...[raw.tempos, raw.chords, raw.bends],
    ...raw.parts.flatMap(({ notes, marks, playing, instrumentChanges, notation }) => [
      ...[notes, marks, playing, instrumentChanges],
      ...Object.values(notation ?? {}).filter((list) => typeof list === "object"),
    ]),
  ];
  for (const list of places) {
    for (const place of list) {
      place.offsetTicks *= factor;
      if (place.lengthTicks !== undefined) place.lengthTicks *= factor;
      if (place.durationTicks !== undefined) place.durationTicks *= factor;
    }
  }
}
