/** From a written note to what arrives at a listener: power, and what the inner ear gets of it. */
import { atPlace } from "../../base/errors.ts";
import { type Memo, memo, memoOf } from "../../base/memo.ts";
import { powerOfDb, sumDecibels } from "../../hearing/decibels.ts";
import { type BinnedSound, binnedSound } from "../../hearing/model/shared_filters.ts";
import { noiseComponents } from "../../hearing/model/noise.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import { noiseBands } from "../../instruments/sound/noise_bands.ts";
import { soundPowerDb } from "../../instruments/sound/sound_power.ts";
import { harmonicLevels } from "../../instruments/sound/spectra.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import { playersOfNotes } from "../players_at.ts";
import { hzOf } from "../../base/units.ts";
import { type EarGrid, earGrid, type HearingDetail } from "./ear_grid.ts";
import { listeningLevelsDb, type ListeningPlace } from "./listening_place.ts";

/** What one written note sends to the listener while it sounds. */
export interface NoteSound {
  /** The same for equal sounds, different for others. */
  readonly id: number;
  /** Sound power in watts, all players of the part together. */
  readonly powerWatts: number;
  readonly binned: BinnedSound;
}

/** Turns a score's notes into sounds, each distinct note worked out once. */
export interface NoteSounds {
  readonly grid: EarGrid;
  /** Sound of a note; `steps` is how much louder than marked it is played, in steps of the dynamic scale. */
  readonly of: (note: Note, steps?: number) => NoteSound;
  /** The same for one note that is asked for at many strengths. */
  readonly ofNote: (note: Note) => (steps: number) => NoteSound;
  readonly instruments: readonly Instrument[];
}

/** Options of {@linkcode noteSounds}. */
interface NoteSoundOptions {
  readonly hallStrengthDb: number;
  readonly gridStepCam: number;
  readonly accentSteps: number;
}

/** Reference sound power, 1 pW. */
const REFERENCE_WATTS = 1e-12;
/** Dynamics are rounded to this step before sounds are kept. */
const DYNAMIC_STEP = 0.25;
/** fff, beyond which accents add nothing. */
const LOUDEST = 8;

/**
 * Sounds are the costly part. They depend on nothing but the instrument, its players, how much of them reaches the
 * listener, and the note, so seats that agree in these share them, in one score or in many.
 */
const soundsOf = memoOf((_instrument: Instrument) => memo<SeatSounds>(SEATS_KEPT));
/** Sizes, places and ways of playing of one instrument, and sounds of each. */
const SEATS_KEPT = 200, SOUNDS_KEPT = 2_000;
let made = 0;

/** Prepares the sounds of a score's notes. */
export function noteSounds(
  score: Score,
  options: NoteSoundOptions,
  where: ListeningPlace & { readonly detail?: HearingDetail } = {},
): NoteSounds {
  const instruments = score.parts.map((p) => instrumentById(p.instrument));
  const placed = score.parts.map((part, p) => ({ part, instrument: instruments[p]! }));
  const toListenerDb = listeningLevelsDb(placed, where, options.hallStrengthDb);
  const { accentSteps } = options;
  const playersOf = playersOfNotes(score);
  const seats = score.parts.map((_, p) => seatsOf(instruments[p]!, toListenerDb[p]!));
  const seatOf = (note: Note): SeatSounds => seats[note.part]!(note.technique, playersOf(note));
  // What makes a sound that is not known takes them from here: made for each note, it would leave as much behind.
  let asked: Note, askedDynamic: number;
  const make = (): NoteSound => {
    const { part, onsetTicks, soundingPitch, technique } = asked;
    const played = { soundingPitch, dynamic: askedDynamic, technique, players: playersOf(asked) };
    const where = { part: score.parts[part]!.name, bar: score.bars[barIndexOf(score, onsetTicks)]?.number };
    return atPlace(
      where,
      () => soundOf(instruments[part]!, { ...played, toListenerDb: toListenerDb[part]! }),
    );
  };
  const inSeat = (seat: SeatSounds, note: Note, dynamic: number): NoteSound => {
    asked = note;
    askedDynamic = dynamic;
    return seat(64 * note.soundingPitch + dynamic / DYNAMIC_STEP, make);
  };
  return {
    grid: earGrid(options.gridStepCam, where.detail ?? "full"),
    of: (note, steps = 0) => inSeat(seatOf(note), note, dynamicPlayed(note, steps, accentSteps)),
    ofNote: (note) => {
      const seat = seatOf(note);
      const accent = accentOf(note, accentSteps);
      // From one moment to the next most notes are as loud as before.
      let played = NaN;
      let sound: NoteSound | undefined;
      return (steps) => {
        const dynamic = inSteps(note.dynamic + steps + accent);
        if (sound !== undefined && dynamic === played) return sound;
        played = dynamic;
        return sound = inSeat(seat, note, dynamic);
      };
    },
    instruments,
  };
}

/** Sounds of some players of an instrument who play in one way, by pitch and dynamic. */
type SeatSounds = Memo<NoteSound, number>;

/** The seats of a part. The text for one is made once and not for every note; most notes are played as the one before. */
function seatsOf(
  instrument: Instrument,
  toListenerDb: number,
): (technique: string, players: number) => SeatSounds {
  const kept = soundsOf(instrument);
  const own = memo<SeatSounds>(SEATS_KEPT);
  let seat: SeatSounds | undefined, technique = "", players = 0;
  return (asked, by) => {
    if (seat !== undefined && asked === technique && by === players) return seat;
    technique = asked;
    players = by;
    return seat = own(
      `${technique} ${players}`,
      () => kept(`${players} ${toListenerDb} ${technique}`, () => memo<NoteSound, number>(SOUNDS_KEPT)),
    );
  };
}

/** Dynamic at which a note is played, its accent included. */
export function dynamicPlayed(note: Note, steps: number, accentSteps: number): number {
  return inSteps(note.dynamic + steps + accentOf(note, accentSteps));
}

/** How much louder its accent makes a note. */
function accentOf({ articulations }: Note, accentSteps: number): number {
  return articulations.includes("accent") || articulations.includes("marcato") ? accentSteps : 0;
}

/** A dynamic that sounds are kept for. */
function inSteps(dynamic: number): number {
  return Math.min(LOUDEST, Math.round(dynamic / DYNAMIC_STEP) * DYNAMIC_STEP);
}

/** What a sound depends on, besides its instrument. */
interface Played {
  readonly soundingPitch: number;
  readonly dynamic: number;
  readonly technique: string;
  readonly players: number;
  readonly toListenerDb: number;
}

/** A sound that was not met before. */
export function soundOf(instrument: Instrument, played: Played): NoteSound {
  const powerDb = soundPowerDb(instrument, played.dynamic, {
    soundingPitch: played.soundingPitch,
    players: played.players,
  });
  const binned = inTheEar(instrument, played, powerDb + played.toListenerDb);
  return { id: ++made, powerWatts: REFERENCE_WATTS * powerOfDb(powerDb), binned };
}

/** The harmonics of a pitched note, or the noise of an unpitched one, at their level at the listener. */
function inTheEar(instrument: Instrument, played: Played, levelDb: number): BinnedSound {
  const { soundingPitch, dynamic, technique } = played;
  const bands = noiseBands(instrument, dynamic, { soundingPitch });
  if (bands) {
    const shift = levelDb - sumDecibels(bands.map((band) => band.levelDb));
    const noise = bands.map(({ lowHz, highHz, levelDb: own }) =>
      noiseComponents({ lowHz, highHz, levelDbPerHz: own + shift - 10 * Math.log10(highHz - lowHz) })
    );
    const all = (of: "frequenciesHz" | "levelsDbSpl") => noise.flatMap((n) => [...n[of]]);
    return binnedSound(all("frequenciesHz"), all("levelsDbSpl"), "free");
  }
  const shape = harmonicLevels(instrument, soundingPitch, dynamic, { technique });
  const shift = levelDb - sumDecibels(shape);
  const fundamentalHz = hzOf(soundingPitch);
  return binnedSound(
    Float64Array.from(shape, (_, i) => fundamentalHz * (i + 1)),
    shape.map((db) => db + shift),
    "free",
  );
}
