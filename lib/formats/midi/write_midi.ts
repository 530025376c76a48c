/** Standard MIDI files out of a score. */
import { A_SCORE, A_SWITCH, checkArgument, checkOptions } from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import type { Bar, Note, Score } from "../../score/model.ts";
import { endTicksOf, isCompound } from "../../score/time.ts";
import { metaEvent, type MidiBytesEvent, midiFileBytes, numberBytes, textEvent } from "./midi_bytes.ts";
import { instrumentOf } from "../../instruments/instrument_of.ts";
import { type MidiAddress, midiAddresses, PERCUSSION_CHANNEL } from "../assemble/midi_addresses.ts";
import { DEFAULT_VOLUME, velocityOf, volumeOf } from "./midi_dynamics.ts";
import { type PlayedNote, playedNotes } from "./played_notes.ts";
import { programFor } from "./midi_programs.ts";

/** How a score is to be written as MIDI. */
export interface WriteMidiOptions {
  /** Whether articulations and slurs shape the lengths of notes; by default yes, otherwise lengths are as written. */
  readonly articulate?: boolean;
  /** Whether slashed notes are written out as strokes; by default yes. */
  readonly tremolos?: boolean;
  /** Whether trills are written out with the next note of the key above; by default yes. */
  readonly trills?: boolean;
}

const OPTIONS = { articulate: A_SWITCH, tremolos: A_SWITCH, trills: A_SWITCH };

/** Grid of the file, at least: fine enough for shortened notes. */
const LEAST_TICKS_PER_QUARTER = 480;
/** Largest grid the header can hold (15 bits). */
const MOST_TICKS_PER_QUARTER = 0x7fff;

/** Program of the usual drum kit on the percussion channel (General MIDI level 2; level 1 has only this one). */
const STANDARD_KIT = 0;

/** Velocity added by an accent and by a marcato; model assumption. */
const ACCENTS: Partial<Readonly<Record<Note["articulations"][number], number>>> = { accent: 12, marcato: 18 };

/** A time signature that fills a bar exactly: the printed one, or for irregular bars the shortest that fits. */
function metreThatFits(bar: Bar, ticksPerQuarter: number): { beats: number; beatUnit: number } {
  const whole = ticksPerQuarter * 4;
  if (bar.beats * whole / bar.beatUnit === bar.durationTicks) return bar;
  for (const beatUnit of [bar.beatUnit, 4, 8, 16, 32, 64]) {
    const beats = bar.durationTicks * beatUnit / whole;
    if (Number.isInteger(beats) && beats >= 1 && beats <= 255) return { beats, beatUnit };
  }
  return bar;
}

/** The first track: title, tempo, metre, key, rehearsal marks. */
function conductorTrack(score: Score, scale: (ticks: number) => number): MidiBytesEvent[] {
  const events: MidiBytesEvent[] = [{ ticks: 0, order: 0, bytes: textEvent(3, score.title) }];
  const add = (ticks: number, bytes: readonly number[]) =>
    events.push({ ticks: scale(ticks), order: 0, bytes });
  let metre = "";
  let key: number | undefined;
  for (const bar of score.bars) {
    const { beats, beatUnit } = metreThatFits(bar, score.ticksPerQuarter);
    if (`${beats}/${beatUnit}` !== metre) {
      metre = `${beats}/${beatUnit}`;
      // Clocks in one click of a metronome: 24 to the quarter note.
      const clocks = Math.min(255, Math.round(96 / beatUnit * (isCompound({ beats, beatUnit }) ? 3 : 1)));
      add(
        bar.startTicks,
        metaEvent(0x58, [Math.min(255, beats), Math.round(Math.log2(beatUnit)), clocks, 8]),
      );
    }
    if (bar.keyFifths !== key) {
      key = bar.keyFifths;
      add(bar.startTicks, metaEvent(0x59, [Math.max(-7, Math.min(7, key)) & 0xff, 0]));
    }
    if (bar.rehearsal !== undefined) add(bar.startTicks, textEvent(6, bar.rehearsal));
  }
  for (const tempo of score.tempos) {
    const microseconds = Math.min(0xffffff, Math.max(1, Math.round(60e6 / tempo.quartersPerMinute)));
    add(tempo.onsetTicks, metaEvent(0x51, numberBytes(microseconds, 3)));
  }
  return events;
}

/**
 * Writes a score as a standard MIDI file of format 1: a first track with tempo, metre, key and rehearsal
 * marks, then one track for each part with its name in UTF-8.
 *
 * A part's program comes from the catalogue; plucked strings and muted trumpets have programs of their own.
 * Dynamics are shared between velocity and channel volume. Percussion without pitch plays on channel 10; from
 * the sixteenth pitched part on, parts go to a second port. Quarter tones are rounded to semitones, cue notes
 * are not played. On a grid of more than 32,767 ticks to a quarter, positions are rounded.
 *
 * Bars are played once, as printed, and the tempo is steady between marks; give `unfoldRepeats(score)` or
 * `bendTempo(score)` for repeats, rit. and pauses.
 *
 * @param score the score
 * @param options lengths, tremolos, trills
 * @returns the file
 * @throws {InputError} when the score has no parts, or an option is unknown
 *
 * Source of the format: MIDI Manufacturers Association, Standard MIDI Files 1.0 (1988).
 *
 * @example
 * ```ts
 * import { demoScore, writeMidi } from "ripieno";
 * import { readMidi } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const back = readMidi(writeMidi(score, { tremolos: false, trills: false }));
 * assertEquals(back.parts.length > 0, true);
 * ```
 */
export function writeMidi(score: Score, options: WriteMidiOptions = {}): Uint8Array {
  checkArgument("write MIDI", score, A_SCORE);
  checkOptions("write MIDI", options, OPTIONS);
  if (score.parts.length === 0) {
    throw refusals("write MIDI")("the score has no parts", "Give a score with at least one part");
  }
  const { articulate = true, tremolos = true, trills = true } = options;
  const factor = Math.max(1, Math.ceil(LEAST_TICKS_PER_QUARTER / score.ticksPerQuarter));
  const ticksPerQuarter = Math.min(MOST_TICKS_PER_QUARTER, score.ticksPerQuarter * factor);
  const scale = (ticks: number) => Math.round(ticks * ticksPerQuarter / score.ticksPerQuarter);

  const partNotes = Map.groupBy(score.notes.filter((n) => !n.cue), (n) => n.part);
  const instruments = score.parts.map((p) => instrumentOf(p.instrument));
  const percussion = instruments.map((instrument, i) =>
    partNotes.get(i)?.every((n) => n.unpitched) ?? instrument?.unpitched ?? false
  );
  const addresses = midiAddresses(percussion);
  const tracks = score.parts.map((part, index) =>
    partTrack(playedNotes(score, { notes: partNotes.get(index) ?? [], articulate, tremolos, trills }), {
      name: part.name,
      instrument: instruments[index],
      ...addresses[index]!,
      hasPorts: addresses.some((a) => a.port > 0),
      articulate,
      scale,
    })
  );
  return midiFileBytes([conductorTrack(score, scale), ...tracks], {
    ticksPerQuarter,
    endTicks: scale(endTicksOf(score)),
  });
}

/** How a part is written. */
interface TrackOptions extends MidiAddress {
  readonly name: string;
  readonly instrument: Instrument | undefined;
  /** Whether the file needs more than one port. */
  readonly hasPorts: boolean;
  readonly articulate: boolean;
  readonly scale: (ticks: number) => number;
}

function partTrack(played: readonly PlayedNote[], options: TrackOptions): readonly MidiBytesEvent[] {
  const { name, instrument, port, channel, articulate, scale } = options;
  const events: MidiBytesEvent[] = [];
  const add = (ticks: number, order: number, bytes: readonly number[]) =>
    events.push({ ticks, order, bytes });
  if (options.hasPorts) add(0, 0, metaEvent(0x21, [port]));
  add(0, 0, textEvent(3, name));
  const isPitched = channel !== PERCUSSION_CHANNEL;
  let program = -1;
  let volume = -1;
  // A part that rests still says what it is; the reader finds a score of rests by that.
  if (played.length === 0) {
    add(0, 2, [0xc0 | channel, isPitched ? instrument?.midiProgram ?? 0 : STANDARD_KIT]);
  }
  for (const stroke of played.toSorted((a, b) => a.onsetTicks - b.onsetTicks)) {
    const { note } = stroke;
    const on = scale(stroke.onsetTicks);
    const off = Math.max(on + 1, scale(stroke.onsetTicks + stroke.durationTicks));
    if (isPitched) {
      const wanted = programFor(instrument, note.technique);
      if (wanted !== program) add(program < 0 ? 0 : on, 2, [0xc0 | channel, program = wanted]);
      const loud = volumeOf(note.dynamic);
      if (loud !== volume) add(volume < 0 ? 0 : on, 3, [0xb0 | channel, 7, volume = loud]);
    }
    const accent = articulate ? Math.max(0, ...note.articulations.map((a) => ACCENTS[a] ?? 0)) : 0;
    const share = isPitched ? DEFAULT_VOLUME / volume : 1;
    const velocity = Math.min(127, Math.max(1, Math.round((velocityOf(note.dynamic) + accent) * share)));
    const pitch = Math.min(127, Math.max(0, Math.round(stroke.soundingPitch)));
    add(on, 4, [0x90 | channel, pitch, velocity]);
    add(off, 1, [0x80 | channel, pitch, 64]);
  }
  return events;
}
