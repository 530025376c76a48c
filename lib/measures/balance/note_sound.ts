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
const soundsOf = memoOf((_instrument: Instrument) => memo<Memo<NoteSound, number>>(SEATS_KEPT));
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
  // The text for a seat is made once, not for every note.
  const playersOf = playersOfNotes(score);
  const seats = score.parts.map((_, p) => {
    const kept = soundsOf(instruments[p]!);
    const own = memo<Memo<NoteSound, number>>(SEATS_KEPT);
    const make = () => memo<NoteSound, number>(SOUNDS_KEPT);
    return (technique: string, players: number) =>
      own(`${technique} ${players}`, () => kept(`${players} ${toListenerDb[p]!} ${technique}`, make));
  });
  const of = (note: Note, steps = 0): NoteSound => {
    const { soundingPitch, technique } = note;
    const accented = note.articulations.includes("accent") || note.articulations.includes("marcato");
    const louder = note.dynamic + steps + (accented ? options.accentSteps : 0);
    const dynamic = Math.min(LOUDEST, Math.round(louder / DYNAMIC_STEP) * DYNAMIC_STEP);
    const players = playersOf(note);
    return seats[note.part]!(technique, players)(64 * soundingPitch + dynamic / DYNAMIC_STEP, () => {
      const { name } = score.parts[note.part]!;
      const played = { soundingPitch, dynamic, technique, players, toListenerDb: toListenerDb[note.part]! };
      const where = { part: name, bar: score.bars[barIndexOf(score, note.onsetTicks)]?.number };
      return atPlace(where, () => soundOf(instruments[note.part]!, played));
    });
  };
  return { grid: earGrid(options.gridStepCam, where.detail ?? "full"), of, instruments };
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
