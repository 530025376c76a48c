/** Layers that swell: chords struck and grown under a hairpin, rolls that lead into the next bar. */
import { pitchClassOf } from "../../../base/modulo.ts";
import type { Ticks } from "../../../base/units.ts";
import type { Bar } from "../../../score/model.ts";
import { beatTicks } from "../../../score/time.ts";
import { chordNotes, type ChordStroke, strokeOf, voicings } from "./chords.ts";
import { runStart } from "./scale.ts";
import { groupsIn, type LayerTask, type LayerWriter, type PlainNote, UNPITCHED } from "./task.ts";

/** A chord with each harmony, held to its last beat and cut off there, of two beats and less to the last half beat. */
export const writeSwellingStab: LayerWriter = (task) => {
  const { bars, ticksPerQuarter } = task.sketch.score;
  const chords = voicings(task);
  return task.harmonies.flatMap((harmony) => {
    const rest = restAfter(harmony.durationTicks, bars[harmony.barIndex]!, ticksPerQuarter);
    const durationTicks = harmony.durationTicks - rest;
    return chordNotes(task, strokeOf(harmony, chords, { onsetTicks: harmony.onsetTicks, durationTicks }));
  });
};

/** How long a stab is cut off before the next. */
function restAfter(durationTicks: Ticks, bar: Bar, quarter: Ticks): Ticks {
  const groups = groupsIn(bar, quarter);
  const beat = groups.length > 1 ? quarter / 2 : beatTicks(bar, quarter);
  return Math.min(durationTicks / 2, durationTicks > 2 * beat ? beat : quarter / 2);
}

/** Plain strokes on which rolls land, of those whose pitch belongs to the chord there. */
function landingOf(task: LayerTask, stroke: ChordStroke): readonly PlainNote[] {
  const { onsetTicks } = stroke;
  const there = task.sketch.harmonies.find((h) =>
    h.onsetTicks <= onsetTicks && h.onsetTicks + h.durationTicks > onsetTicks
  );
  const classes = there?.tones.map((t) => t.pitchClass) ?? [];
  const fits = (n: PlainNote) =>
    stroke.harmony.symbol === UNPITCHED || classes.includes(pitchClassOf(n.soundingPitch));
  return chordNotes(task, stroke).filter(fits).map((n) => ({ ...n, untrilled: true as const }));
}

/**
 * A roll through the second half of every bar, on the chord with which the bar ends, and a stroke on the downbeat it leads
 * to, even where that is the bar after the layer's last. None leads out of the end of the piece.
 */
export const writeRollIntoBar: LayerWriter = (task) => {
  const { bars, ticksPerQuarter } = task.sketch.score;
  const chords = voicings(task);
  const notes: PlainNote[] = [];
  for (let b = task.fromBarIndex; b <= task.toBarIndex; b++) {
    const here = task.harmonies.findLast((h) => h.barIndex === b);
    const end = bars[b]!.startTicks + bars[b]!.durationTicks;
    if (here === undefined || bars[b + 1] === undefined) continue;
    const onsetTicks = Math.max(here.onsetTicks, runStart(bars[b]!, ticksPerQuarter));
    notes.push(...chordNotes(task, strokeOf(here, chords, { onsetTicks, durationTicks: end - onsetTicks })));
    const landing = {
      onsetTicks: end,
      durationTicks: Math.min(ticksPerQuarter, bars[b + 1]!.durationTicks / 2),
    };
    const there = task.harmonies.find((h) => h.onsetTicks === end) ?? here;
    notes.push(...landingOf(task, strokeOf(there, chords, landing)));
  }
  return notes;
};
