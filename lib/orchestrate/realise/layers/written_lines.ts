/** Lines of a sketch as they are written: its inner voices and its bass line. */
import type { Ticks } from "../../../base/units.ts";
import type { Note } from "../../../score/model.ts";
import { OCTAVES } from "./lead_octave.ts";
import { cheapest, type LayerPart, type LayerTask, type LayerWriter, type PlainNote } from "./task.ts";

/** Share of a line that has to be as is wanted in an octave. Model assumption. */
const MOST = 3 / 4;

/** Semitones of which a way to share out the voices is as good as one that is a semitone nearer to where the parts lie best. Model assumption. */
const COSTS = { outOfRange: 200, noSpeech: 40, anotherOctave: 12 } as const;

/**
 * The inner voices as they are written: the higher parts of all layers that have them have the higher voices, each voice somebody where there are parts
 * enough; of more voices than parts those that suit the parts. Each part plays as written where it can, below the lead and above the bass where
 * there is room, else in another octave.
 */
export const writeInnerVoices: LayerWriter = (task) => {
  const voices = task.sketch.innerVoices.map((line) => lineIn(task, line)).filter((line) => line.length > 0);
  const parts = [...task.parts, ...task.sharers ?? []].toSorted((a, b) =>
    homeOf(b) - homeOf(a) || a.index - b.index
  );
  if (voices.length === 0 || task.parts.length === 0) return [];
  const ways = waysToShare(parts, voices.length);
  const costOf = (way: readonly number[]) =>
    parts.reduce((sum, part, i) => sum + misfit(task, voices[way[i]!]!, part), 0);
  const best = cheapest(ways, costOf);
  return parts.flatMap((part, i) => {
    if (!task.parts.includes(part)) return [];
    const line = voices[best[i]!]!;
    return inPart(part, line, task.octave ?? octaveOf(task, line, part));
  });
};

/**
 * The bass line as it is written, in each part that has it so; the deepest of several goes an octave below where it can, as double basses
 * do below cellos. What lies too low for a part is an octave higher.
 */
export const writeBassLine: LayerWriter = (task) => {
  const line = lineIn(task, task.sketch.bassLine);
  const lowest = Math.min(...task.parts.map((p) => p.lowest));
  const isAlone = task.parts.every((p) => p.lowest === lowest);
  return task.parts.flatMap((part) => {
    const own = task.octave ?? octaveOf({ ...task, ceilingsOf: () => [] }, line, part);
    const below = shareOf(line, (pitch) => part.plays(pitch), own - 1) >= MOST;
    const isDeepest = part.lowest === lowest && !isAlone && own === 0 && task.octave === null;
    return inPart(part, line, isDeepest && below ? own - 1 : own).map((n) => {
      const isTooLow = !part.plays(n.soundingPitch) && n.soundingPitch < part.lowest;
      return isTooLow ? inOctave(n, 1) : n;
    });
  });
};

/** Where a part lies best. */
const homeOf = ({ range: { low, high, home } }: LayerPart): number => home ?? (low + high) / 2;

/** What of a line sounds in the bars of a layer; what is held into them is struck anew, and ends with them. */
function lineIn({ sketch, fromBarIndex, toBarIndex }: LayerTask, line: readonly Note[]): readonly Note[] {
  const { bars } = sketch.score;
  const from = bars[fromBarIndex]!.startTicks;
  const to = bars[toBarIndex]!.startTicks + bars[toBarIndex]!.durationTicks;
  const endOf = (n: Note): Ticks => n.onsetTicks + n.durationTicks;
  return line.filter((n) => n.onsetTicks < to && endOf(n) > from).map((n) => {
    const onsetTicks = Math.max(n.onsetTicks, from);
    return { ...n, onsetTicks, durationTicks: Math.min(endOf(n), to) - onsetTicks };
  });
}

/**
 * Ways to give voices to parts, from the highest of both: no part has a higher voice than one above it, and as few voices are left
 * out as can be, in each family too where that goes.
 */
function waysToShare(parts: readonly LayerPart[], voices: number): readonly (readonly number[])[] {
  const ways = (left: number, from: number): readonly (readonly number[])[] =>
    left === 0
      ? [[]]
      : Array.from({ length: voices - from }, (_, i) => from + i).flatMap((voice) =>
        ways(left - 1, voice).map((rest) => [voice, ...rest])
      );
  const isFull = (own: readonly number[]) => new Set(own).size === Math.min(own.length, voices);
  const full = ways(parts.length, 0).filter(isFull);
  const choirs = [...Map.groupBy(parts.keys(), (i) => parts[i]!.family).values()];
  const inChoirs = full.filter((way) => choirs.every((own) => isFull(own.map((i) => way[i]!))));
  return inChoirs.length > 0 ? inChoirs : full;
}

/** Share of a line whose pitches, so many octaves away, are as is wanted. */
function shareOf(
  line: readonly Note[],
  fits: (pitch: number, n: Note) => boolean,
  octave: number,
): number {
  return line.filter((n) => fits(n.soundingPitch + 12 * octave, n)).length / line.length;
}

/** How ill a line suits a part in its best octave, as semitones from where the part lies best. */
function misfit(task: LayerTask, line: readonly Note[], part: LayerPart): number {
  const octave = octaveOf(task, line, part);
  const mean = line.reduce((sum, n) => sum + n.soundingPitch, 0) / line.length + 12 * octave;
  return COSTS.outOfRange * (1 - shareOf(line, part.plays, octave)) +
    COSTS.noSpeech * (1 - shareOf(line, part.speaks, octave)) +
    COSTS.anotherOctave * Math.abs(octave) + Math.abs(mean - homeOf(part));
}

/**
 * The octave in which a part has a line: one in which it has all of it, or as much as it can; then where most of it speaks, lies below
 * the lead and above the bass; then the nearest to what is written.
 */
function octaveOf(task: LayerTask, line: readonly Note[], part: LayerPart): number {
  const leads = edgesOf(task, (h) => task.ceilingsOf(h)[0] ?? Infinity, Math.min);
  const basses = edgesOf(task, (h) => Math.min(...task.bassOf(h)), Math.max);
  const isMost = (fits: (pitch: number, n: Note) => boolean) => (octave: number) =>
    shareOf(line, fits, octave) >= MOST ? 1 : 0;
  // What of a bass lies too low for a part is played an octave higher, and moves no other note.
  const isBass = task.figure.role === "bass";
  const ranks: readonly ((octave: number) => number)[] = [
    isBass ? isMost(part.plays) : (octave) => shareOf(line, part.plays, octave),
    isMost(part.speaks),
    isMost((pitch, n) => pitch < leads(n)),
    ...(isBass ? [] : [isMost((pitch, n) => pitch > basses(n))]),
  ];
  return OCTAVES.reduce<number>((best, octave) => {
    const difference = ranks.map((rank) => rank(octave) - rank(best)).find((d) => d !== 0) ?? 0;
    return difference > 0 ? octave : best;
  }, 0);
}

/** What bounds a note over the chords it sounds in. */
function edgesOf(
  { harmonies }: LayerTask,
  edgeOf: (harmony: LayerTask["harmonies"][number]) => number,
  worst: (...values: number[]) => number,
): (n: Note) => number {
  const edges = harmonies.map((h) => ({ ...h, edge: edgeOf(h) })).filter((h) => Number.isFinite(h.edge));
  return ({ onsetTicks, durationTicks }) => {
    const own = edges.filter((h) =>
      h.onsetTicks < onsetTicks + durationTicks && h.onsetTicks + h.durationTicks > onsetTicks
    );
    return own.length === 0 ? (worst === Math.min ? Infinity : -Infinity) : worst(...own.map((h) => h.edge));
  };
}

function inPart(part: LayerPart, line: readonly Note[], octave: number): readonly PlainNote[] {
  return line.map((n) =>
    inOctave({
      part: part.index,
      ...(part.group === undefined ? {} : { group: part.group }),
      onsetTicks: n.onsetTicks,
      durationTicks: n.durationTicks,
      soundingPitch: n.soundingPitch,
      ...(n.spelling ? { spelling: n.spelling } : {}),
      articulations: n.articulations,
      slurred: n.slurred,
      slurStart: n.slurStart,
    }, octave)
  );
}

function inOctave({ spelling, ...n }: PlainNote, octave: number): PlainNote {
  return {
    ...n,
    soundingPitch: n.soundingPitch + 12 * octave,
    ...(spelling ? { spelling: { ...spelling, octave: spelling.octave + octave } } : {}),
  };
}
