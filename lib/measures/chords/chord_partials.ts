/** The partials of a note and of all notes that sound at one instant, as pressure at the listener. */
import { atPlace } from "../../base/errors.ts";
import { sumDecibels } from "../../hearing/decibels.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { soundPowerDb } from "../../instruments/sound/sound_power.ts";
import { harmonicLevels } from "../../instruments/sound/spectra.ts";
import type { Note, Score } from "../../score/model.ts";
import { hzOf } from "../../base/units.ts";
import { shareSounding } from "../sounding.ts";

/** Partials: frequencies, and pressures in any one unit. */
export interface Partials {
  /** Frequencies in Hz, rising. */
  readonly hz: readonly number[];
  readonly amplitudes: readonly number[];
}

/** One note at an instant. */
export interface SoundingNote {
  readonly note: Note;
  /** Its partials at that instant. */
  readonly partials: Partials;
}

/** Level to which amplitudes are relative, in dB re 1 pW: about one player at mezzo-forte. */
const REFERENCE_DB = 90;
/** Partials further below a note's strongest add nothing to its roughness. Model assumption. */
const FAINT_DB = 45;
/** fff. */
const LOUDEST = 8;
/** How long an instant is, in quarters, whatever grid a score counts on: shorter than any note. */
const INSTANT_QUARTERS = 1 / 1000;
const TECHNIQUE_SPECTRA = ["pizzicato", "con sordino"];

/**
 * Partials of one note at full strength, all players of its part together. None for percussion, whose partials are not
 * those of a harmonic tone.
 */
export function notePartials(note: Note, instrument: Instrument, players: number): Partials {
  const isDrum = note.unpitched || instrument.unpitched || instrument.family === "percussion";
  if (isDrum) return { hz: [], amplitudes: [] };
  const accented = note.articulations.includes("accent") || note.articulations.includes("marcato");
  const dynamic = Math.min(LOUDEST, note.dynamic + (accented ? 1 : 0));
  const shape = harmonicLevels(instrument, note.soundingPitch, dynamic, {
    ...(TECHNIQUE_SPECTRA.includes(note.technique) ? { technique: note.technique } : {}),
  });
  const power = soundPowerDb(instrument, dynamic, { soundingPitch: note.soundingPitch, players });
  const shift = power - REFERENCE_DB - sumDecibels(shape);
  const hz: number[] = [];
  const amplitudes: number[] = [];
  shape.forEach((db, i) => {
    if (db < -FAINT_DB) return;
    hz.push(hzOf(note.soundingPitch) * (i + 1));
    amplitudes.push(10 ** ((db + shift) / 20));
  });
  return { hz, amplitudes };
}

/**
 * The notes that sound at an instant, each with its partials: what is plucked or struck has died away as far as it
 * has by then.
 */
export function notesAt(
  score: Pick<Score, "parts" | "ticksPerQuarter">,
  where: {
    readonly ticks: number;
    readonly notes: readonly Note[];
    readonly instruments: readonly Instrument[];
    readonly secondsPerTick: number;
  },
): readonly SoundingNote[] {
  const to = where.ticks + INSTANT_QUARTERS * score.ticksPerQuarter;
  return where.notes.flatMap((note) => {
    const instrument = where.instruments[note.part]!;
    const share = shareSounding(note, instrument, where.ticks, to, where.secondsPerTick);
    if (share <= 0) return [];
    const { name, players } = score.parts[note.part]!;
    const { hz, amplitudes } = atPlace({ part: name }, () => notePartials(note, instrument, players));
    const factor = Math.sqrt(share);
    return hz.length === 0 ? [] : [{ note, partials: { hz, amplitudes: amplitudes.map((a) => a * factor) } }];
  });
}
