/** Note ons and note offs of a MIDI file become lines of notes: one for each track, channel and program. */
import { addTo } from "../../base/add_to.ts";
import { PERCUSSION_CHANNEL } from "../assemble/midi_addresses.ts";
import { DEFAULT_EXPRESSION, DEFAULT_VOLUME, effectiveVelocity } from "./midi_dynamics.ts";
import type { MidiEvent, MidiFile } from "./midi_events.ts";

/** A note as played. */
export interface MidiNote {
  readonly fromQuarters: number;
  readonly toQuarters: number;
  readonly key: number;
  /** Velocity with channel volume and expression in it. */
  readonly velocity: number;
}

/** What a track is called; empty where it does not say. */
export interface TrackNames {
  readonly track: string;
  readonly instrument: string;
}

/** Notes of one track, channel and program. */
export interface PlayedLine {
  readonly track: number;
  /** Port and channel, in one word. */
  readonly address: string;
  readonly percussion: boolean;
  /** Program from 0, or undefined where none was chosen. */
  readonly program: number | undefined;
  readonly names: TrackNames;
  readonly notes: MidiNote[];
}

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
const SILENT_CONTROLLERS: ReadonlySet<number> = new Set(
  [0, 6, 32, 38, 91, 93, 96, 97, 98, 99, 100, 101, 121],
);
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
  program?: number;
  volume: number;
  expression: number;
}

/**
 * Settings of channels as each track hears them. A file with more parts than channels lets several tracks share
 * one, each with its own program at the start: so a track that sets its channel itself keeps to itself, and the
 * others follow what is set anywhere on the port's channel.
 */
function channelStates(midi: MidiFile): (track: number, address: string) => ChannelState {
  const chosen = midi.tracks.flatMap((t) => t.events).filter((event) => event.kind === "program");
  const own = new Set(chosen.map(({ track, channel }) => `${track}:${channel}`));
  const states = new Map<string, ChannelState>();
  return (track, address) => {
    const key = own.has(`${track}:${address.split(":")[1]}`) ? `${track}:${address}` : address;
    let state = states.get(key);
    if (!state) states.set(key, state = { volume: DEFAULT_VOLUME, expression: DEFAULT_EXPRESSION });
    return state;
  };
}

/** An event of a channel. */
type ChannelEvent = Extract<MidiEvent, { readonly channel: number }>;

/** Collects notes while events go by in order of time. */
interface NoteCollector {
  /** Takes an event; `address` is its port and channel. */
  readonly take: (event: ChannelEvent, address: string, quarters: number) => void;
  /** The lines that hold notes, once all have been taken. */
  readonly finish: (lastQuarters: number) => readonly PlayedLine[];
}

/** Starts without notes; what is not used is counted. */
export function noteCollector(
  midi: MidiFile,
  names: readonly TrackNames[],
  count: (what: string) => void,
): NoteCollector {
  const sounding: Sounding = { lines: new Map(), open: new Map(), stateOf: channelStates(midi), names };
  return {
    take(event, address, quarters) {
      const { kind, track } = event;
      if (kind === "program") sounding.stateOf(track, address).program = event.program;
      else if (kind === "controller") control(sounding, event, { address, quarters, count });
      else {
        const at = { address, place: `${track}:${event.key}`, quarters };
        if (kind === "note on") begin(sounding, event, at);
        else if (!end(sounding, at)) count("note off without its note on: passed over");
      }
    },
    finish(lastQuarters) {
      for (const places of sounding.open.values()) {
        for (const waiting of places.values()) endStuck(waiting, lastQuarters, count);
      }
      return [...sounding.lines.values()].filter((l) => l.notes.length > 0).sort((a, b) => a.track - b.track);
    },
  };
}

/** What sounds while a file is played. */
interface Sounding {
  readonly lines: Map<string, PlayedLine>;
  /** Notes that sound, by address, then by track and key. */
  readonly open: Map<string, Map<string, OpenNote[]>>;
  readonly stateOf: (track: number, address: string) => ChannelState;
  readonly names: readonly TrackNames[];
}

/** Where and when a key is struck or let go. */
interface KeyPlace {
  readonly address: string;
  /** Track and key. */
  readonly place: string;
  readonly quarters: number;
}

function begin(sounding: Sounding, event: ChannelEvent & { kind: "note on" }, at: KeyPlace): void {
  const { lines, open, stateOf, names } = sounding;
  const { track, channel, key } = event;
  const { program, volume, expression } = stateOf(track, at.address);
  const percussion = channel === PERCUSSION_CHANNEL;
  const id = `${track}:${at.address}:${percussion ? "" : program ?? ""}`;
  let line = lines.get(id);
  if (!line) {
    lines.set(
      id,
      line = { track, address: at.address, percussion, program, names: names[track]!, notes: [] },
    );
  }
  let places = open.get(at.address);
  if (!places) open.set(at.address, places = new Map());
  const velocity = effectiveVelocity(event.velocity, volume, expression);
  addTo(places, at.place, { from: at.quarters, velocity, line, key });
}

/** Ends the note of a key that has sounded longest; false where none sounds. */
function end({ open }: Sounding, { address, place, quarters: toQuarters }: KeyPlace): boolean {
  const places = open.get(address);
  const waiting = places?.get(place);
  const ending = waiting?.shift();
  if (!ending) return false;
  const { line, from: fromQuarters, key, velocity } = ending;
  line.notes.push({ fromQuarters, toQuarters, key, velocity });
  if (waiting!.length === 0) places!.delete(place);
  return true;
}

function control(
  sounding: Sounding,
  { track, controller, value }: ChannelEvent & { kind: "controller" },
  at: { readonly address: string; readonly quarters: number; readonly count: (what: string) => void },
): void {
  if (controller === 7) sounding.stateOf(track, at.address).volume = value;
  else if (controller === 11) sounding.stateOf(track, at.address).expression = value;
  else if (ENDS_NOTES.has(controller)) {
    const places = [...sounding.open.get(at.address)?.keys() ?? []];
    for (const place of places) while (end(sounding, { ...at, place }));
  } else if (!SILENT_CONTROLLERS.has(controller)) {
    at.count(`${CONTROLLERS[controller] ?? `controller ${controller}`}: not used`);
  }
}

/** Ends a key's notes that nothing has ended: each is held until the key is struck again. */
function endStuck(
  waiting: readonly OpenNote[],
  lastQuarters: number,
  count: (what: string) => void,
): void {
  let until = lastQuarters;
  for (const [i, { line, from, key, velocity }] of [...waiting.entries()].reverse()) {
    const toQuarters = Math.min(until, from + STUCK_QUARTERS);
    line.notes.push({ fromQuarters: from, toQuarters, key, velocity });
    count("note without its note off: held until its key is struck again, a whole note at most");
    if (i > 0 && waiting[i - 1]!.from < from) until = from;
  }
}
