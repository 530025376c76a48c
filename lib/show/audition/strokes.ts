/** From written notes to strokes in seconds, each with the energy that the balance gives it. */
import { powerOfDb } from "../../hearing/decibels.ts";
import { type PlayedNote, playedNotes } from "../../formats/midi/played_notes.ts";
import { decaySeconds } from "../../instruments/sound/decay.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import { soundPowerDb } from "../../instruments/sound/sound_power.ts";
import { BALANCE_CONSTANTS } from "../../measures/balance/balance_options.ts";
import { heldDynamics } from "../../measures/balance/held_dynamics.ts";
import { listeningLevelsDb, type ListeningPlace } from "../../measures/balance/listening_place.ts";
import { dynamicPlayed } from "../../measures/balance/note_sound.ts";
import { playersOfNotes } from "../../measures/players_at.ts";
import { powerOverTime, soundingTicks } from "../../measures/sounding.ts";
import type { Glissando, Note, Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";

/** One stroke of tongue, bow, finger or stick. */
export interface SoundStroke {
  readonly note: Note;
  readonly instrument: Instrument;
  readonly players: number;
  readonly soundingPitch: number;
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** Dynamic from its start to its end, at even distances; one figure where it stays. */
  readonly dynamics: readonly number[];
  /** Energy at the listener: 0 dB SPL for one second is 1. */
  readonly energy: number;
  /** Time in which its power falls to 1/e; null while it is held. */
  readonly decaySeconds: number | null;
  /** Whether it is reached, and left, without a new stroke. */
  readonly slurred: boolean;
  readonly slurredOn: boolean;
  /** Where its pitch goes, over how many seconds. */
  readonly slide: { readonly kind: Glissando["kind"]; readonly semitones: number } | undefined;
  /** Tells strokes apart, whatever else is rendered. */
  readonly number: number;
}

/** Places along a stroke at which its dynamic is looked up. */
const DYNAMICS_READ = 12;

/** Strokes of a score in the order in which they begin. */
export function strokesOf(
  score: Score,
  notes: readonly Note[],
  place: ListeningPlace,
): readonly SoundStroke[] {
  const instruments = score.parts.map((part) => instrumentById(part.instrument));
  const placed = score.parts.map((part, p) => ({ part, instrument: instruments[p]! }));
  const levels = listeningLevelsDb(placed, place, BALANCE_CONSTANTS.hallStrengthDb.value);
  const playersOf = playersOfNotes(score);
  const clock = clockOf(score);
  const byPart = Map.groupBy(notes.filter((n) => !n.cue), (n) => n.part);
  const strokes = [...byPart].flatMap(([p, own]) => {
    const held = heldDynamics(score.parts[p]!, score.ticksPerQuarter);
    const seat = { instrument: instruments[p]!, levelDb: levels[p]!, clock, held, playersOf };
    return playedNotes(score, { notes: own, articulate: false, tremolos: true, trills: true })
      .flatMap((played) => strokeOf(played, seat));
  });
  return toldApart(strokes.sort((a, b) => a.startSeconds - b.startSeconds || a.number - b.number));
}

/** Two of a part who play the same at once are two all the same: with one number they would be heard as one that is too loud. */
function toldApart(strokes: readonly SoundStroke[]): readonly SoundStroke[] {
  return strokes.map((stroke, i) => {
    let same = 0;
    while (
      strokes[i - same - 1]?.number === stroke.number &&
      strokes[i - same - 1]!.startSeconds === stroke.startSeconds
    ) same++;
    return same === 0 ? stroke : { ...stroke, number: stroke.number + same * 2 ** 40 };
  });
}

/** What the strokes of a part have in common. */
interface SeatedPart {
  readonly instrument: Instrument;
  readonly levelDb: number;
  readonly clock: (ticks: number) => number;
  readonly held: ReturnType<typeof heldDynamics>;
  readonly playersOf: (note: Note) => number;
}

function strokeOf(played: PlayedNote, seat: SeatedPart): readonly SoundStroke[] {
  const { note, onsetTicks, soundingPitch } = played;
  const { instrument, clock } = seat;
  const endTicks = onsetTicks + lengthOf(played);
  if (endTicks <= onsetTicks) return [];
  const startSeconds = clock(onsetTicks), endSeconds = clock(endTicks);
  const { decaySeconds: modelDecay } = powerOverTime(note, instrument);
  const dynamics = dynamicsOf(note, {
    onsetTicks,
    endTicks,
    held: modelDecay === null ? seat.held : undefined,
  });
  const players = seat.playersOf(note);
  const powers = dynamics.map((dynamic) =>
    powerOfDb(
      soundPowerDb(instrument, dynamic, { soundingPitch: note.soundingPitch, players }) + seat.levelDb,
    )
  );
  const power = powers.reduce((sum, one) => sum + one, 0) / powers.length;
  const seconds = endSeconds - startSeconds;
  const lasting = modelDecay === null ? seconds : modelDecay * (1 - Math.exp(-seconds / modelDecay));
  const isWhole = !note.trill && note.tremoloSlashes === 0;
  const [glissando] = note.glissandi ?? [];
  return [{
    note,
    instrument,
    players,
    soundingPitch,
    startSeconds,
    endSeconds,
    dynamics,
    energy: power * lasting,
    // A roll is held in the model; each of its strokes still dies away.
    decaySeconds: decaySeconds(instrument, note.technique),
    slurred: isWhole && note.slurred && !note.grace,
    slurredOn: isWhole && (note.slurStart || note.slurred) && !note.slurStop,
    slide: isWhole && glissando !== undefined ? glissando : undefined,
    number: note.part * 1e9 + Math.round(onsetTicks * 16) + soundingPitch,
  }];
}

/** How long a stroke sounds, in ticks, as the balance has it: articulations shorten, strokes of tremolos and trills do not. */
function lengthOf({ note, durationTicks }: PlayedNote): number {
  if (note.grace || note.durationTicks <= 0 || note.tremoloSlashes > 0 || note.trill) return durationTicks;
  return durationTicks * soundingTicks(note) / note.durationTicks;
}

/** The dynamic along a stroke. */
function dynamicsOf(
  note: Note,
  { onsetTicks, endTicks, held }: {
    readonly onsetTicks: number;
    readonly endTicks: number;
    readonly held: SeatedPart["held"] | undefined;
  },
): readonly number[] {
  const accent = BALANCE_CONSTANTS.accentSteps.value;
  const change = held?.(note);
  if (change === undefined) return [dynamicPlayed(note, 0, accent)];
  return Array.from({ length: DYNAMICS_READ }, (_, k) => {
    const ticks = onsetTicks + (k + 0.5) / DYNAMICS_READ * (endTicks - onsetTicks);
    return dynamicPlayed(note, change(ticks), accent);
  });
}
