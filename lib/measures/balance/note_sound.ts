/** From a written note to what arrives at a listener: power, and what the inner ear gets of it. */
import { atPlace } from "../../base/errors.ts";
import { powerOfDb, sumDecibels } from "../../hearing/decibels.ts";
import { type BinnedSound, binnedSound } from "../../hearing/model/shared_filters.ts";
import { noiseComponents } from "../../hearing/model/noise.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import { noiseBands } from "../../instruments/sound/noise_bands.ts";
import { soundPowerDb } from "../../instruments/sound/sound_power.ts";
import { harmonicLevels } from "../../instruments/sound/spectra.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
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
export interface NoteSoundOptions {
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

/** Sounds of one seat, by way of playing and by pitch and dynamic. */
type SeatSounds = Map<string, Map<number, NoteSound>>;

/**
 * Sounds are the costly part. They depend on nothing but the instrument, its players, how much of them reaches the
 * listener, and the note, so seats that agree in these share them, in one score or in many.
 */
let kept = new WeakMap<Instrument, Map<string, SeatSounds>>();
const SOUNDS_KEPT = 20_000;
let made = 0;

function soundsOfSeat(instrument: Instrument, players: number, toListenerDb: number): SeatSounds {
  let ofInstrument = kept.get(instrument);
  if (!ofInstrument) kept.set(instrument, ofInstrument = new Map());
  const key = `${players} ${toListenerDb}`;
  let sounds = ofInstrument.get(key);
  if (!sounds) ofInstrument.set(key, sounds = new Map());
  return sounds;
}

/** Prepares the sounds of a score's notes. */
export function noteSounds(
  score: Score,
  options: NoteSoundOptions,
  where: ListeningPlace & { readonly detail?: HearingDetail } = {},
): NoteSounds {
  const instruments = score.parts.map((p) => instrumentById(p.instrument));
  const seats = score.parts.map((part, p) => ({ part, instrument: instruments[p]! }));
  const toListenerDb = listeningLevelsDb(seats, where, options.hallStrengthDb);
  const ofPart = score.parts.map(({ players }, p) =>
    soundsOfSeat(instruments[p]!, players, toListenerDb[p]!)
  );
  const of = (note: Note, steps = 0): NoteSound => {
    const { part, soundingPitch, technique } = note;
    const accented = note.articulations.includes("accent") || note.articulations.includes("marcato");
    const played = note.dynamic + steps + (accented ? options.accentSteps : 0);
    const dynamic = Math.min(LOUDEST, Math.round(played / DYNAMIC_STEP) * DYNAMIC_STEP);
    let ofTechnique = ofPart[part]!.get(technique);
    if (!ofTechnique) ofPart[part]!.set(technique, ofTechnique = new Map());
    // Dynamics are in steps of a quarter, up to 8.
    const key = soundingPitch * 64 + dynamic / DYNAMIC_STEP;
    const known = ofTechnique.get(key);
    if (known) return known;
    const { players, name } = score.parts[part]!;
    const where = { part: name, bar: score.bars[barIndexOf(score, note.onsetTicks)]?.number };
    const sound = atPlace(where, () =>
      soundOf(instruments[part]!, {
        soundingPitch,
        dynamic,
        technique,
        players,
        toListenerDb: toListenerDb[part]!,
      }));
    ofTechnique.set(key, sound);
    return sound;
  };
  return { grid: earGrid(options.gridStepCam, where.detail ?? "full"), of, instruments };
}

/** A sound that was not met before. */
function soundOf(
  instrument: Instrument,
  played: Omit<Played, "levelDb"> & { readonly players: number; readonly toListenerDb: number },
): NoteSound {
  const { soundingPitch, dynamic, technique, players, toListenerDb } = played;
  const powerDb = soundPowerDb(instrument, dynamic, { soundingPitch, players });
  const binned = inTheEar(instrument, {
    soundingPitch,
    dynamic,
    technique,
    levelDb: powerDb + toListenerDb,
  });
  if (++made % SOUNDS_KEPT === 0) kept = new WeakMap();
  return { id: made, powerWatts: REFERENCE_WATTS * powerOfDb(powerDb), binned };
}

/** What a sound in the ear depends on, besides its instrument. */
interface Played {
  readonly soundingPitch: number;
  readonly dynamic: number;
  readonly technique: string;
  readonly levelDb: number;
}

/** The harmonics of a pitched note, or the noise of an unpitched one, at their level at the listener. */
function inTheEar(instrument: Instrument, played: Played): BinnedSound {
  const { soundingPitch, dynamic, technique, levelDb } = played;
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
