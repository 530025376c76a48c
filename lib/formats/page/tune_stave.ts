/** The sketch on top of a score: the tune alone, for the chord symbols to stand over. */
import { refusals } from "../../base/errors.ts";
import { makeNote, sortNotes } from "../../score/build.ts";
import { DEFAULT_DYNAMIC } from "../../score/dynamics.ts";
import type { Note, Part, Score } from "../../score/model.ts";
import { octavesAway } from "../../score/spelled_name.ts";
import { barIndexOf } from "../../score/time.ts";

/** Pitch about which a tune is read best in the treble clef: the middle line, B4. Common practice, no source. */
const READ_PITCH = 71;

/**
 * The notes of whoever leads in each bar, as one line of a part of its own; of several that lead together one is taken,
 * and kept as long as it leads. Each of its passages stands in the octave in which it is read best.
 *
 * @throws {InputError} when the score is no setting, so that nothing says who leads
 */
export function tuneStave(score: Score): { readonly part: Part; readonly notes: readonly Note[] } {
  if (!score.layers) {
    throw refusals("write MusicXML")(
      "sketch asks for the tune, and nothing in the score says who leads",
      "Give a setting, as realise makes it, or leave sketch out",
    );
  }
  const leads = new Set(score.layers.filter((l) => l.role === "lead").map((l) => l.id));
  const own = score.notes.filter((n) =>
    n.layer !== undefined && leads.has(n.layer) && !n.cue && !n.unpitched
  );
  const runs: { readonly part: number; readonly layer: string; readonly notes: Note[] }[] = [];
  const bars = [...Map.groupBy(own, (n) => barIndexOf(score, n.onsetTicks))].sort((a, b) => a[0] - b[0]);
  for (const [, begun] of bars) {
    // Who comes in after the line so far has ended goes on with it, as with the upbeat to the next phrase.
    for (let left: readonly Note[] = begun; left.length > 0;) {
      const lines = Map.groupBy(left, (n) => n.part);
      const before = runs.at(-1)?.part;
      const part = before !== undefined && lines.has(before) ? before : nearest(lines);
      const top = topOf(lines.get(part)!);
      const layer = top[0]!.layer!;
      if (part !== before || layer !== runs.at(-1)!.layer) runs.push({ part, layer, notes: [] });
      runs.at(-1)!.notes.push(...top);
      const end = Math.max(...top.map((n) => n.onsetTicks + n.durationTicks));
      left = left.filter((n) => n.onsetTicks >= end && n.layer !== layer);
    }
  }
  const notes = runs.flatMap(({ notes }) => {
    const octaves = Math.round((READ_PITCH - meanPitch(notes)) / 12);
    return notes.map((n) => asTune({ ...n, ...octavesAway(n, octaves) }));
  });
  const last = notes.map((n, i) => {
    const next = notes[i + 1]?.onsetTicks ?? Infinity;
    return { ...n, durationTicks: Math.min(n.durationTicks, next - n.onsetTicks) };
  });
  return { part: TUNE, notes: sortNotes(last) };
}

const TUNE: Part = {
  id: "Tune",
  name: "Tune",
  instrument: "tune",
  instrumentFrom: "given",
  players: 1,
  transposeSemitones: 0,
  transposeSteps: 0,
  writtenDynamics: [],
};

/** The part whose line lies nearest to where a tune is read. */
function nearest(lines: ReadonlyMap<number, readonly Note[]>): number {
  const far = (notes: readonly Note[]) => Math.abs(meanPitch(notes) - READ_PITCH);
  return [...lines].reduce((best, line) => (far(line[1]) < far(best[1]) ? line : best))[0];
}

const meanPitch = (notes: readonly Note[]): number =>
  notes.reduce((sum, n) => sum + n.soundingPitch, 0) / notes.length;

function topOf(notes: readonly Note[]): readonly Note[] {
  return [...Map.groupBy(notes, (n) => n.onsetTicks).values()]
    .map((chord) => chord.reduce((a, b) => (b.soundingPitch > a.soundingPitch ? b : a)));
}

/** A note as it stands in a sketch: pitch and length alone. */
function asTune({ onsetTicks, durationTicks, soundingPitch, spelling, grace }: Note): Note {
  const dynamic = DEFAULT_DYNAMIC;
  const spelt = spelling ? { spelling } : {};
  return makeNote({ part: 0, onsetTicks, durationTicks, soundingPitch, ...spelt, grace, dynamic });
}
