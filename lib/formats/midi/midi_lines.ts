/** A MIDI file played through: its notes, and its maps of tempo, metre and key. */
import { greatestOf } from "../../base/extremes.ts";
import { isTempo, TEMPO_NOT_USED } from "../../score/tempo_range.ts";
import { PERCUSSION_CHANNEL } from "../assemble/midi_addresses.ts";
import type { MidiEvent, MidiFile, MidiTrack } from "./midi_events.ts";
import { noteCollector, type PlayedLine, type TrackNames } from "./midi_notes.ts";

/** Something from a place on. */
type FromQuarters<T> = Readonly<T> & { readonly quarters: number };

/** What a file says of time, in order. */
interface MidiMaps {
  readonly tempos: FromQuarters<{ microseconds: number }>[];
  readonly metres: FromQuarters<{ beats: number; beatUnit: number }>[];
  readonly keys: FromQuarters<{ fifths: number }>[];
  /** Markers, which become rehearsal marks. */
  readonly markers: FromQuarters<{ text: string }>[];
}

/** What a file plays. */
export interface PlayedFile extends Readonly<MidiMaps> {
  readonly title: string;
  /** Lines with notes, by track. */
  readonly lines: readonly PlayedLine[];
  /** How long the file lasts, in quarters, where it holds nothing but rests; else 0. */
  readonly restQuarters: number;
  readonly halfTickQuarters: number;
}

/** Tempo of a file that counts in seconds: two quarters a second. */
const QUARTERS_PER_SECOND = 2;

/** Lines of parts that choose an instrument and rest, as a page of cues is written; none where notes were lost. */
function restingLines(midi: MidiFile, names: readonly TrackNames[]): readonly PlayedLine[] {
  const holdsNotes = midi.tracks.some((t) =>
    t.events.some((e) => e.kind === "note on" || e.kind === "note off")
  );
  if (holdsNotes || !midi.complete) return [];
  return midi.tracks.flatMap((track, index): PlayedLine[] => {
    const chosen = track.events.find((event) => event.kind === "program");
    if (!chosen) return [];
    const port = track.events.find((event) => event.kind === "port")?.port ?? 0;
    const percussion = chosen.channel === PERCUSSION_CHANNEL;
    return [{
      track: index,
      address: `${port}:${chosen.channel}`,
      percussion,
      program: percussion ? undefined : chosen.program,
      names: names[index]!,
      notes: [],
    }];
  });
}

/** Events of all tracks in order of time; tracks of format 2 follow one another at bar lines. */
function inOrder(midi: MidiFile, ticksPerQuarter: number): MidiEvent[] {
  const placed: MidiEvent[] = [];
  let offset = 0;
  midi.tracks.forEach((track) => {
    for (const event of track.events) {
      placed.push(offset === 0 ? event : { ...event, ticks: event.ticks + offset });
    }
    if (midi.format !== 2) return;
    const metre = track.events.findLast((e) => e.kind === "metre");
    const quarters = metre && metre.beats > 0 ? metre.beats * 4 / metre.beatUnit : 4;
    const barTicks = quarters * ticksPerQuarter;
    const from = metre?.ticks ?? 0;
    offset += from + Math.ceil((track.endTicks - from) / barTicks) * barTicks;
  });
  return placed.sort((a, b) => a.ticks - b.ticks || a.track - b.track);
}

/** The first name of a track and of its instrument. */
function namesOf({ events }: MidiTrack): TrackNames {
  const texts = events.filter((event) => event.kind === "text")
    .map(({ type, text }) => ({ type, text: text.replace(/\s+/g, " ").trim() }));
  const first = (type: number) => texts.find((t) => t.type === type && t.text !== "")?.text ?? "";
  return { track: first(3), instrument: first(4) };
}

function addToMaps(
  { tempos, metres, keys, markers }: MidiMaps,
  event: MidiEvent,
  at: { readonly quarters: number; readonly inSeconds: boolean; readonly count: (what: string) => void },
): void {
  const { quarters, inSeconds, count } = at;
  if (event.kind === "tempo") {
    const { microseconds } = event;
    if (inSeconds) count("tempo where time is counted in seconds: passed over");
    else if (!isTempo(60e6 / microseconds)) count(TEMPO_NOT_USED);
    else tempos.push({ quarters, microseconds });
  } else if (event.kind === "metre") {
    const { beats, beatUnit } = event;
    if (beats > 0 && beatUnit <= 64) metres.push({ quarters, beats, beatUnit });
    else count("time signature that cannot be used: passed over");
  } else if (event.kind === "key") {
    if (Math.abs(event.fifths) <= 7) keys.push({ quarters, fifths: event.fifths });
    else count("key signature that cannot be used: passed over");
  } else if (event.kind === "text" && event.type === 6 && event.text.trim() !== "") {
    markers.push({ quarters, text: event.text.trim() });
  }
}

/** Plays a file through; what is not used is counted. */
export function collectPlayed(midi: MidiFile, count: (what: string) => void): PlayedFile {
  const ticksPerQuarter = midi.ticksPerQuarter ?? midi.ticksPerSecond! / QUARTERS_PER_SECOND;
  const inSeconds = midi.ticksPerQuarter === undefined;
  if (inSeconds) count("time counted in seconds (SMPTE): read at 120 quarters a minute");
  const names = midi.tracks.map(namesOf);
  const ports: number[] = midi.tracks.map(() => 0);
  const notes = noteCollector(midi, names, count);
  const maps: MidiMaps = { tempos: [], metres: [], keys: [], markers: [] };
  let last = 0;
  for (const event of inOrder(midi, ticksPerQuarter)) {
    const quarters = event.ticks / ticksPerQuarter;
    last = Math.max(last, quarters);
    if (event.kind === "port") ports[event.track] = event.port;
    else if ("channel" in event) notes.take(event, `${ports[event.track]}:${event.channel}`, quarters);
    else addToMaps(maps, event, { quarters, inSeconds, count });
  }
  const playing = notes.finish(last);
  const resting = playing.length === 0 ? restingLines(midi, names) : [];
  if (resting.length > 0) count("no part plays a note: read as a score of rests");
  for (const line of playing) line.notes.sort((a, b) => a.fromQuarters - b.fromQuarters || a.key - b.key);
  const lines = [...playing, ...resting];
  const firstTrackPlays = lines.some((l) => l.track === 0) && midi.format !== 0;
  const lastTicks = greatestOf(midi.tracks.map((t) => t.endTicks));
  return {
    ...maps,
    title: firstTrackPlays ? "" : names[0]!.track,
    lines,
    restQuarters: playing.length === 0 ? lastTicks / ticksPerQuarter : 0,
    halfTickQuarters: 0.5 / ticksPerQuarter,
  };
}
