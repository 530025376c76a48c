/** Events of a MIDI file become lines of notes: one for each track, channel and program. */
import { isTempo, TEMPO_NOT_USED } from "../../score/tempo_range.ts";
import { DEFAULT_EXPRESSION, DEFAULT_VOLUME, effectiveVelocity } from "./midi_dynamics.ts";
import { PERCUSSION_CHANNEL } from "../assemble/midi_addresses.ts";
import type { MidiEvent, MidiFile } from "./midi_events.ts";

/** A note as played. */
export interface MidiNote {
  readonly fromQuarters: number;
  readonly toQuarters: number;
  readonly key: number;
  /** Velocity with channel volume and expression in it. */
  readonly velocity: number;
}

/** Notes of one track, channel and program. */
export interface PlayedLine {
  readonly track: number;
  /** Port and channel, in one word. */
  readonly address: string;
  readonly percussion: boolean;
  /** Program from 0, or undefined where none was chosen. */
  readonly program: number | undefined;
  readonly trackName: string;
  readonly instrumentName: string;
  readonly notes: MidiNote[];
}

/** What a file plays. */
export interface PlayedFile {
  readonly title: string;
  /** Lines with notes, by track. */
  readonly lines: readonly PlayedLine[];
  readonly tempos: readonly { readonly quarters: number; readonly microseconds: number }[];
  readonly metres: readonly {
    readonly quarters: number;
    readonly beats: number;
    readonly beatUnit: number;
  }[];
  readonly keys: readonly { readonly quarters: number; readonly fifths: number }[];
  /** Markers, which become rehearsal marks. */
  readonly markers: readonly { readonly quarters: number; readonly text: string }[];
  /** How long the file lasts, in quarters, where it holds nothing but rests; else 0. */
  readonly restQuarters: number;
  readonly halfTickQuarters: number;
  /** What was met and not used, with counts. */
  readonly unused: ReadonlyMap<string, number>;
}

/** Tempo of a file that counts in seconds: two quarters a second. */
const QUARTERS_PER_SECOND = 2;

/** Controllers worth naming in a notice. */
const CONTROLLERS: Readonly<Record<number, string>> = {
  1: "modulation wheel",
  5: "portamento time",
  10: "pan",
  64: "sustain pedal",
  65: "portamento",
  66: "sostenuto pedal",
  67: "soft pedal",
};
/** Controllers that choose banks and parameters: nothing a score shows. */
const SILENT_CONTROLLERS: ReadonlySet<number> = new Set([
  0,
  32,
  6,
  38,
  96,
  97,
  98,
  99,
  100,
  101,
  91,
  93,
  121,
]);
/** All sound off, all notes off, and the four mode messages, which end notes too (MIDI 1.0). */
const ENDS_NOTES: ReadonlySet<number> = new Set([120, 123, 124, 125, 126, 127]);

/** Longest a note without its end is held, so that it does not sound through the piece: a whole note; model assumption. */
const STUCK_QUARTERS = 4;

/** A note that has begun. */
interface OpenNote {
  readonly from: number;
  readonly velocity: number;
  readonly line: PlayedLine;
  readonly key: number;
}

/** What a channel is set to. */
interface ChannelState {
  program: number | undefined;
  volume: number;
  expression: number;
}

/**
 * Settings of channels as each track hears them. A file with more parts than channels lets several tracks share
 * one, each with its own program at the start: so a track that sets its channel itself keeps to itself, and the
 * others follow what is set anywhere on the port's channel.
 */
function channelStates(midi: MidiFile): (track: number, address: string) => ChannelState {
  const own = new Set<string>();
  for (const track of midi.tracks) {
    for (const event of track.events) {
      if (event.kind === "program") own.add(`${event.track}:${event.channel}`);
    }
  }
  const states = new Map<string, ChannelState>();
  return (track, address) => {
    const key = own.has(`${track}:${address.split(":")[1]}`) ? `${track}:${address}` : address;
    let state = states.get(key);
    if (!state) {
      state = { program: undefined, volume: DEFAULT_VOLUME, expression: DEFAULT_EXPRESSION };
      states.set(key, state);
    }
    return state;
  };
}

/** Lines of parts that choose an instrument and rest, as a page of cues is written; none where notes were lost. */
function restingLines(
  midi: MidiFile,
  names: { readonly trackNames: readonly string[]; readonly instrumentNames: readonly string[] },
): PlayedLine[] {
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
      trackName: names.trackNames[index]!,
      instrumentName: names.instrumentNames[index]!,
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

/** Plays a file through and collects its notes. */
export function collectPlayed(midi: MidiFile): PlayedFile {
  const ticksPerQuarter = midi.ticksPerQuarter ?? midi.ticksPerSecond! / QUARTERS_PER_SECOND;
  const unused = new Map<string, number>();
  const count = (what: string) => void unused.set(what, (unused.get(what) ?? 0) + 1);
  if (midi.ticksPerQuarter === undefined) {
    count("time counted in seconds (SMPTE): read at 120 quarters a minute");
  }
  const lines = new Map<string, PlayedLine>();
  const open = new Map<string, Map<string, OpenNote[]>>();
  const trackNames: string[] = midi.tracks.map(() => "");
  const instrumentNames: string[] = midi.tracks.map(() => "");
  const ports: number[] = midi.tracks.map(() => 0);
  for (const [index, track] of midi.tracks.entries()) {
    for (const event of track.events) {
      if (event.kind !== "text" || event.type === 6) continue;
      const list = event.type === 3 ? trackNames : instrumentNames;
      list[index] ||= event.text.replace(/\s+/g, " ").trim();
    }
  }
  const tempos: { quarters: number; microseconds: number }[] = [];
  const metres: { quarters: number; beats: number; beatUnit: number }[] = [];
  const keys: { quarters: number; fifths: number }[] = [];
  const markers: { quarters: number; text: string }[] = [];
  const stateOf = channelStates(midi);
  const close = (address: string, place: string, toQuarters: number): boolean => {
    const places = open.get(address);
    const waiting = places?.get(place);
    const ending = waiting?.shift();
    if (!ending) return false;
    ending.line.notes.push({
      fromQuarters: ending.from,
      toQuarters,
      key: ending.key,
      velocity: ending.velocity,
    });
    if (waiting!.length === 0) places!.delete(place);
    return true;
  };
  const closeAll = (address: string, toQuarters: number): number => {
    let closed = 0;
    for (const place of [...open.get(address)?.keys() ?? []]) {
      while (close(address, place, toQuarters)) closed++;
    }
    return closed;
  };
  let last = 0;
  for (const event of inOrder(midi, ticksPerQuarter)) {
    const quarters = event.ticks / ticksPerQuarter;
    last = Math.max(last, quarters);
    const { track } = event;
    switch (event.kind) {
      case "note on":
      case "note off": {
        const address = `${ports[track]}:${event.channel}`;
        const place = `${track}:${event.key}`;
        if (event.kind === "note off") {
          if (!close(address, place, quarters)) count("note off without its note on: passed over");
          break;
        }
        const state = stateOf(track, address);
        const percussion = event.channel === PERCUSSION_CHANNEL;
        const id = `${track}:${address}:${percussion ? "" : state.program ?? ""}`;
        let line = lines.get(id);
        if (!line) {
          line = {
            track,
            address,
            percussion,
            program: state.program,
            trackName: trackNames[track]!,
            instrumentName: instrumentNames[track]!,
            notes: [],
          };
          lines.set(id, line);
        }
        const velocity = effectiveVelocity(event.velocity, state.volume, state.expression);
        const places = open.get(address) ?? new Map<string, OpenNote[]>();
        open.set(address, places);
        const waiting = places.get(place) ?? [];
        places.set(place, waiting);
        waiting.push({ from: quarters, velocity, line, key: event.key });
        break;
      }
      case "controller": {
        const address = `${ports[track]}:${event.channel}`;
        if (event.controller === 7) stateOf(track, address).volume = event.value;
        else if (event.controller === 11) stateOf(track, address).expression = event.value;
        else if (ENDS_NOTES.has(event.controller)) {
          closeAll(address, quarters);
        } else if (!SILENT_CONTROLLERS.has(event.controller)) {
          count(`${CONTROLLERS[event.controller] ?? `controller ${event.controller}`}: not used`);
        }
        break;
      }
      case "program":
        stateOf(track, `${ports[track]}:${event.channel}`).program = event.program;
        break;
      case "port":
        ports[track] = event.port;
        break;
      case "tempo":
        if (midi.ticksPerQuarter === undefined) count("tempo where time is counted in seconds: passed over");
        else if (!isTempo(60e6 / event.microseconds)) count(TEMPO_NOT_USED);
        else tempos.push({ quarters, microseconds: event.microseconds });
        break;
      case "metre":
        if (event.beats > 0 && event.beatUnit <= 64) {
          metres.push({ quarters, beats: event.beats, beatUnit: event.beatUnit });
        } else count("time signature that cannot be used: passed over");
        break;
      case "key":
        if (Math.abs(event.fifths) <= 7) keys.push({ quarters, fifths: event.fifths });
        else count("key signature that cannot be used: passed over");
        break;
      case "text":
        if (event.type === 6 && event.text.trim() !== "") markers.push({ quarters, text: event.text.trim() });
    }
  }
  for (const places of open.values()) {
    for (const waiting of places.values()) {
      let toQuarters = last;
      for (let i = waiting.length - 1; i >= 0; i--) {
        const { line, from, ...note } = waiting[i]!;
        line.notes.push({
          ...note,
          fromQuarters: from,
          toQuarters: Math.min(toQuarters, from + STUCK_QUARTERS),
        });
        count("note without its note off: held until its key is struck again, a whole note at most");
        if (i > 0 && waiting[i - 1]!.from < from) toQuarters = from;
      }
    }
  }
  let found = [...lines.values()].filter((l) => l.notes.length > 0)
    .sort((a, b) => a.track - b.track);
  const rests = found.length === 0;
  if (rests) {
    found = restingLines(midi, { trackNames, instrumentNames });
    if (found.length > 0) count("no part plays a note: read as a score of rests");
  }
  for (const line of found) line.notes.sort((a, b) => a.fromQuarters - b.fromQuarters || a.key - b.key);
  const firstTrackPlays = found.some((l) => l.track === 0) && midi.format !== 0;
  return {
    title: firstTrackPlays ? "" : trackNames[0]!,
    lines: found,
    tempos,
    metres,
    keys,
    markers,
    restQuarters: rests ? Math.max(...midi.tracks.map((t) => t.endTicks)) / ticksPerQuarter : 0,
    halfTickQuarters: 0.5 / ticksPerQuarter,
    unused,
  };
}
