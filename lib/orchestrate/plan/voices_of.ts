/** Notes shared out to voices, each of which has one at a time. */
import type { Ticks } from "../../base/units.ts";
import type { Note } from "../../score/model.ts";

/** Most inner voices. Five-part writing has three. Common practice, no source. */
const MOST_VOICES = 3;

/** Share of the strokes in which so many notes sound for there to be so many voices. Model assumption. */
const OFTEN = 0.2;

/** Costs of a note in a voice, as semitones of a leap. Model assumption. */
const COSTS = {
  /** On another stave or in another voice of the page than the note before. */
  elsewhere: 5,
  /** While the note before still sounds. */
  cutting: 12,
} as const;

/** A voice as far as it has come. */
interface VoiceSoFar {
  readonly notes: Note[];
  /** Pitch of the last note; before the first, where the voice usually lies. */
  last: number;
  /** Place on the page of the last note. */
  place: string | undefined;
  end: Ticks;
}

const placeOf = ({ part, staff, voice }: Note): string => `${part} ${staff} ${voice}`;

/**
 * Voices of some notes, from the highest: as many as sound together often. Each note goes to the voice that comes from nearest,
 * or that stands in its voice on the page; voices do not cross.
 */
export function voicesOf(notes: readonly Note[]): readonly (readonly Note[])[] {
  const strokes = strokesOf(notes);
  if (strokes.length === 0) return [];
  const sounding = strokes.map(([at]) => soundingAt(notes, at));
  const often = (count: number) =>
    sounding.filter((now) => now.length >= count).length >= OFTEN * strokes.length;
  const count = Array.from({ length: MOST_VOICES }, (_, i) => MOST_VOICES - i).find(often) ?? 1;
  const full = sounding.filter((now) => now.length >= count);
  const voices = Array.from({ length: count }, (_, i): VoiceSoFar => ({
    notes: [],
    last: full.reduce((sum, now) => sum + now[i]!.soundingPitch, 0) / full.length,
    place: full.length > 0 ? placeOf(full[0]![i]!) : undefined,
    end: -Infinity,
  }));
  const printed = Map.groupBy(notes, (n) => n.onsetTicks);
  for (const [at, stroke] of strokes) {
    const taken = giveOut(stroke.slice(0, count), voices, at);
    giveUnisons(printed.get(at) ?? [], voices.filter((v) => !taken.has(v) && v.end <= at));
  }
  return voices.map((v) => v.notes).filter((own) => own.length > 0);
}

/** Notes by onset, each pitch once, from the highest. */
function strokesOf(notes: readonly Note[]): readonly (readonly [Ticks, readonly Note[]])[] {
  return [...Map.groupBy(notes, (n) => n.onsetTicks)].sort((a, b) => a[0] - b[0]).map(([at, stroke]) => [
    at,
    [...new Map(stroke.map((n) => [n.soundingPitch, n])).values()]
      .sort((a, b) => b.soundingPitch - a.soundingPitch),
  ]);
}

function soundingAt(notes: readonly Note[], at: Ticks): readonly Note[] {
  const now = notes.filter((n) => n.onsetTicks <= at && n.onsetTicks + n.durationTicks > at);
  return [...new Map(now.map((n) => [n.soundingPitch, n])).values()]
    .sort((a, b) => b.soundingPitch - a.soundingPitch);
}

/** Gives the notes of a stroke to voices, the higher to the higher, in the way that costs least; says which have one now. */
function giveOut(
  stroke: readonly Note[],
  voices: readonly VoiceSoFar[],
  at: Ticks,
): ReadonlySet<VoiceSoFar> {
  const costOf = (n: Note, v: VoiceSoFar) =>
    Math.abs(n.soundingPitch - v.last) + (v.place === placeOf(n) ? 0 : COSTS.elsewhere) +
    (v.end > at ? COSTS.cutting : 0);
  const best = (i: number, from: number): { readonly cost: number; readonly to: readonly number[] } => {
    if (i === stroke.length) return { cost: 0, to: [] };
    let found: { cost: number; to: readonly number[] } = { cost: Infinity, to: [] };
    for (let v = from; v <= voices.length - (stroke.length - i); v++) {
      const rest = best(i + 1, v + 1);
      const cost = costOf(stroke[i]!, voices[v]!) + rest.cost;
      if (cost < found.cost) found = { cost, to: [v, ...rest.to] };
    }
    return found;
  };
  const { to } = best(0, 0);
  to.forEach((v, i) => give(stroke[i]!, voices[v]!));
  return new Set(to.map((v) => voices[v]!));
}

/** Voices that have a unison with another on the page, where it is printed for both, have it here. */
function giveUnisons(printed: readonly Note[], resting: readonly VoiceSoFar[]): void {
  for (const voice of resting) {
    const own = printed.find((n) => placeOf(n) === voice.place);
    if (own !== undefined) give(own, voice);
  }
}

function give(n: Note, voice: VoiceSoFar): void {
  voice.notes.push(n);
  voice.last = n.soundingPitch;
  voice.place = placeOf(n);
  voice.end = n.onsetTicks + n.durationTicks;
}
