/** The last note of figures that run on: where a passage ends, and where the piece does. */
import type { Ticks } from "../../../base/units.ts";
import type { Harmony } from "../../plan/sketch.ts";
import { cheapest, chordNote, type LayerPart, type LayerTask, type PlainNote, tonesWithin } from "./task.ts";

/** Where a layer lands, and for how long. */
interface LandingPlace {
  readonly onsetTicks: Ticks;
  readonly durationTicks: Ticks;
  readonly harmony: Harmony;
}

/** Roles whose figures run on until they land. */
const RUNS_ON: readonly string[] = ["figuration", "run"];

/**
 * Lets what runs on to the end of a layer land, each part on the nearest tone of the chord, an ostinato on its first: on the downbeat that follows; in the
 * last bar of the piece where the tune has its last note, which it shares. What stops before the end of the layer, and
 * who has a note of another layer there, stays as it is.
 */
export function landed(task: LayerTask, notes: readonly PlainNote[]): readonly PlainNote[] {
  if (!RUNS_ON.includes(task.figure.role) || notes.length === 0) return notes;
  const { bars } = task.sketch.score;
  const last = bars[task.toBarIndex]!;
  const end = last.startTicks + last.durationTicks;
  const isLast = bars[task.toBarIndex + 1] === undefined;
  // Bars written anew within a score go on into the bars that stand.
  if (isLast && task.isBeside) return notes;
  const place = isLast ? lastNoteOf(task, notes, end) : downbeatAfter(task, end);
  if (place === undefined) return notes;
  return [...Map.groupBy(notes, (n) => n.part)].flatMap(([index, line]) => {
    const part = task.parts.find((p) => p.index === index);
    const stops = Math.max(...line.map((n) => n.onsetTicks + n.durationTicks));
    if (part === undefined || stops !== end) return line;
    const kept = line.filter((n) => n.onsetTicks < place.onsetTicks)
      .map((n) => ({ ...n, durationTicks: Math.min(n.durationTicks, place.onsetTicks - n.onsetTicks) }));
    const before = kept.toSorted((a, b) => a.onsetTicks - b.onsetTicks).at(-1);
    if (before === undefined) return line;
    if (task.figure.id.startsWith("ostinato")) return [...kept, { ...firstOf(line), ...timeOf(place) }];
    const pitch = nearestTone(part, place.harmony, before.soundingPitch);
    return pitch === undefined ? line : [...kept, chordNote(part, place, pitch)];
  });
}

const firstOf = (line: readonly PlainNote[]) => cheapest(line, (n) => n.onsetTicks);
const timeOf = ({ onsetTicks, durationTicks }: LandingPlace) => ({ onsetTicks, durationTicks });

/** Semitones that it is worth to land on another pitch than the last. Model assumption. */
const SAME_AGAIN = 5;

/** The tone of a chord nearest to a pitch that a part has; rather another than the same again. */
function nearestTone(
  { range: { low, high } }: LayerPart,
  harmony: Harmony,
  pitch: number,
): number | undefined {
  const tones = tonesWithin(harmony.tones.slice(0, 3), low, high);
  if (tones.length === 0) return undefined;
  return cheapest(tones, (p) => p === pitch ? SAME_AGAIN : Math.abs(p - pitch));
}

/** A quarter on the downbeat after a layer. */
function downbeatAfter(
  { sketch: { harmonies, score: { bars, ticksPerQuarter } }, toBarIndex }: LayerTask,
  onsetTicks: Ticks,
): LandingPlace | undefined {
  const harmony = harmonies.find((h) => h.onsetTicks === onsetTicks);
  const durationTicks = Math.min(ticksPerQuarter, bars[toBarIndex + 1]!.durationTicks);
  return harmony && { onsetTicks, durationTicks, harmony };
}

/** Where the tune has its last note, if that is in the last bar and on a stroke of the figure; else the downbeat of that bar. */
function lastNoteOf(
  { sketch: { tune, harmonies, score: { bars } }, toBarIndex }: LayerTask,
  notes: readonly PlainNote[],
  end: Ticks,
): LandingPlace | undefined {
  const { startTicks } = bars[toBarIndex]!;
  const final = tune.at(-1);
  const isOnStroke = final !== undefined && final.onsetTicks > startTicks &&
    notes.some((n) => n.onsetTicks === final.onsetTicks);
  const onsetTicks = isOnStroke ? final.onsetTicks : startTicks;
  const finalEnd = final === undefined ? end : final.onsetTicks + final.durationTicks;
  const harmony = harmonies.findLast((h) => h.onsetTicks <= onsetTicks && h.barIndex === toBarIndex);
  return harmony && {
    onsetTicks,
    durationTicks: (finalEnd > onsetTicks ? Math.min(finalEnd, end) : end) - onsetTicks,
    harmony,
  };
}
