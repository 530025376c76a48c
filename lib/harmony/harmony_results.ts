/** What reading the harmony gives. */
import type { Share, SoundingPitch, Ticks } from "../base/units.ts";
import type { Settings } from "../base/settings.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";

/** From where to where. */
export interface TickSpan {
  /** Start, in ticks from the start of the score. */
  readonly startTicks: Ticks;
  /** End, in ticks. */
  readonly endTicks: Ticks;
}

/** A key by its tonic and mode. */
export interface LocalKey {
  /** Pitch class of the tonic, 0 for C to 11 for B. */
  readonly tonic: number;
  /** Major or minor. */
  readonly mode: "major" | "minor";
  /** As it is said, for example `E minor` or `Ab major`. */
  readonly name: string;
}

/** A stretch of one harmony. */
export interface HarmonySpan extends TickSpan {
  /** Index of the bar it starts in, from 0. */
  readonly barIndex: number;
  /** That bar as printed. */
  readonly bar: string;
  /** Beat it starts on, from 1, in units of the time signature's lower figure. */
  readonly beat: number;
  /** Chord symbol, for example `Dm7/F`; `N.C.` for no chord. */
  readonly symbol: string;
  /** Pitch class of the root, 0 for C to 11 for B; null for no chord. */
  readonly root: number | null;
  /**
   * Kind of chord, for example `minor seventh`; `suspended fourth` and ninths where they stand for a bar or more; null for no
   * chord.
   */
  readonly quality: string | null;
  /** Pitch classes of its tones, from the root upwards; empty for no chord. */
  readonly tones: readonly number[];
  /**
   * Pitch class of the bass: the root where it lies in the bass for a fifth of the span, else the first bass note if it is
   * of the chord, else the one held longest; null where nothing sounds.
   */
  readonly bass: number | null;
  /** 0 with the root in the bass, 1 with the third, 2 the fifth, 3 the seventh; null with another bass or no chord. */
  readonly inversion: number | null;
  /** Key that the chord is heard in; null before the first chord and where none ever sounds. */
  readonly key: LocalKey | null;
  /** Step of the key that the root stands on, with the chord: `V7`, `ii6`, `bVI`, `Ger65`; empty for no chord. */
  readonly degree: string;
  /** How sure the chord is: its odds against all other chords there, from 0 to 1; 1 where a printed symbol says it. */
  readonly confidence: Share;
  /** Share of what sounds that belongs to the chord, each pitch by its time; 0 for no chord. */
  readonly explainedShare: Share;
  /** Where the chord comes from. */
  readonly origin: "notes" | "symbol";
}

/** How a note stands beside the chord. */
export type NonChordKind =
  | "passing"
  | "neighbour"
  | "suspension"
  | "anticipation"
  | "pedal"
  | "appoggiatura"
  | "escape"
  | "free";

/** A note that does not belong to a chord it sounds in. */
export interface NonChordNote {
  /** Index of the note in `score.notes`. */
  readonly note: number;
  /** Part index. */
  readonly part: number;
  /** Index of the span, in `spans`. */
  readonly span: number;
  /** Index of the bar, from 0, in which it is foreign first. */
  readonly barIndex: number;
  /** That bar as printed. */
  readonly bar: string;
  /** Beat from 1. */
  readonly beat: number;
  /** Sounding MIDI pitch. */
  readonly soundingPitch: SoundingPitch;
  /** What it is. */
  readonly kind: NonChordKind;
}

/** The harmony of a score. */
export interface HarmonyReading {
  /** Stretches of one harmony, in order and without gaps, unless spans were given that have some. */
  readonly spans: readonly HarmonySpan[];
  /** Notes that are not of the chord, in the order of the score. */
  readonly nonChordNotes: readonly NonChordNote[];
  /** The constants it was read by. */
  readonly settings: Settings<typeof HARMONY_CONSTANTS>;
}
