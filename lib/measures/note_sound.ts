/** From a written note to what arrives at a listener: power, and excitation of the ear. */
import { powerOfDb, sumDecibels } from "../hearing/decibels.ts";
import { type ErbGrid, erbGrid } from "../hearing/erb_grid.ts";
import { componentExcitation } from "../hearing/excitation.ts";
import { type Instrument, instrumentById } from "../instruments/catalogue.ts";
import { soundPowerDb } from "../instruments/sound_power.ts";
import { harmonicLevels } from "../instruments/spectra.ts";
import type { Note, Score } from "../score/model.ts";
import { hzOf } from "../units.ts";

/** What one written note sends to the listener while it sounds. */
export interface NoteSound {
  /** Sound power in watts, all players of the part together. */
  readonly powerWatts: number;
  /** Excitation of the ear's filters, one power per filter of the grid. */
  readonly excitation: Float64Array;
}

/** Turns a score's notes into sounds, each distinct note worked out once. */
export interface NoteSounds {
  /** Filters the excitations belong to. */
  readonly grid: ErbGrid;
  /** Sound of a note. */
  readonly of: (note: Note) => NoteSound;
  /** Instrument of each part. */
  readonly instruments: readonly Instrument[];
}

/** Options of {@linkcode noteSounds}. */
export interface NoteSoundOptions {
  /** Strength of the hall in dB: how much louder a source is than at 10 m in the open. */
  readonly hallStrengthDb: number;
  /** Distance between the ear's filters in Cam. */
  readonly gridStepCam: number;
  /** How much louder an accented note is played, in steps of the dynamic scale. */
  readonly accentSteps: number;
}

/** Reference sound power, 1 pW. */
const REFERENCE_WATTS = 1e-12;
/** Level of a source in a room: Lp = Lw - 31 dB + G. Source: definition of strength G, ISO 3382-1:2009, Annex A. */
const POWER_TO_LEVEL_DB = -31;
/** Dynamics are rounded to this step before sounds are kept. */
const DYNAMIC_STEP = 0.25;
/** fff, beyond which accents add nothing. */
const LOUDEST = 8;

/** Grids are kept by their step, since per-filter constants are kept with them. */
const grids = new Map<number, ErbGrid>();

/** Excitations are the costly part; they depend on nothing but these figures. */
const excitations = new Map<string, Float64Array>();
const EXCITATIONS_KEPT = 20_000;

/**
 * Prepares the sounds of a score's notes.
 *
 * @param score the score
 * @param options hall and grid
 * @returns a function from notes to sounds, and the grid
 */
export function noteSounds(score: Score, options: NoteSoundOptions): NoteSounds {
  let grid = grids.get(options.gridStepCam);
  if (!grid) {
    grid = erbGrid({ stepCam: options.gridStepCam });
    grids.set(options.gridStepCam, grid);
  }
  const filters = grid;
  const instruments = score.parts.map((p) => instrumentById(p.instrument));
  const kept = new Map<string, NoteSound>();
  const of = (note: Note): NoteSound => {
    const accented = note.articulations.includes("accent") || note.articulations.includes("marcato");
    const played = note.dynamic + (accented ? options.accentSteps : 0);
    const dynamic = Math.min(LOUDEST, Math.round(played / DYNAMIC_STEP) * DYNAMIC_STEP);
    const key = `${note.part} ${note.soundingPitch} ${dynamic}`;
    const known = kept.get(key);
    if (known) return known;
    const instrument = instruments[note.part]!;
    const players = score.parts[note.part]!.players;
    const powerDb = soundPowerDb(instrument, dynamic, { soundingPitch: note.soundingPitch, players });
    const levelDb = powerDb + POWER_TO_LEVEL_DB + options.hallStrengthDb;
    const excitationKey =
      `${options.gridStepCam} ${instrument.id} ${note.soundingPitch} ${dynamic} ${levelDb}`;
    let excitation = excitations.get(excitationKey);
    if (!excitation) {
      excitation = excite(filters, instrument, note, dynamic, levelDb);
      if (excitations.size >= EXCITATIONS_KEPT) excitations.clear();
      excitations.set(excitationKey, excitation);
    }
    const sound: NoteSound = {
      powerWatts: REFERENCE_WATTS * powerOfDb(powerDb),
      excitation,
    };
    kept.set(key, sound);
    return sound;
  };
  return { grid: filters, of, instruments };
}

function excite(
  grid: ErbGrid,
  instrument: Instrument,
  note: Note,
  dynamic: number,
  levelDb: number,
): Float64Array {
  const shape = harmonicLevels(instrument, note.soundingPitch, dynamic);
  const totalDb = sumDecibels(shape);
  const fundamentalHz = hzOf(note.soundingPitch);
  const frequencies = Float64Array.from(shape, (_, i) => fundamentalHz * (i + 1));
  const levels = Float64Array.from(shape, (db) => db - totalDb + levelDb);
  return componentExcitation(grid, frequencies, levels);
}
