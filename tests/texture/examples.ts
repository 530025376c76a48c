/** Small scores of our own, written part by part, to check readings of textures against. */
import { makeNote, type NoteInput, sortNotes } from "../../lib/score/build.ts";
import { instrumentById } from "../../lib/instruments/catalogue.ts";
import type { Score } from "../../lib/score/model.ts";
import { pitchOf } from "../../lib/base/units.ts";

/** Grid of the examples. */
export const QUARTER = 24;

/** What all notes of a part may share. */
export type Signs = Partial<Omit<NoteInput, "part" | "onsetTicks" | "durationTicks" | "soundingPitch">>;

/** One part: instrument, its music, and what all its notes share. */
export type PartText = readonly [instrument: string, music: string, signs?: Signs];

/**
 * A score from short texts. Music is words of pitches and lengths in quarters, `C4:1`, `C4+E4:1/2`, `r:2`; a bar in
 * round brackets with a number is repeated, `(C4:1/4 D4:1/4)x8`.
 *
 * @param parts instrument, music, signs
 * @param metre quarters to a bar and quarters per minute
 * @returns the score
 */
export function example(
  parts: readonly PartText[],
  { quartersPerBar = 4, quartersPerMinute = 120 } = {},
): Score {
  let end = 0;
  const notes = parts.flatMap(([instrument, music, signs], part) => {
    const { unpitched, percussionKey } = instrumentById(instrument);
    let at = 0;
    return wordsOf(music).flatMap((word) => {
      const [pitches, length] = word.split(":") as [string, string];
      const [over, under = "1"] = length.split("/") as [string, string?];
      const durationTicks = Number(over) / Number(under) * QUARTER;
      const onsetTicks = at;
      at += durationTicks;
      end = Math.max(end, at);
      return pitches === "r" ? [] : pitches.split("+").map((name) =>
        makeNote({
          part,
          onsetTicks,
          durationTicks,
          soundingPitch: unpitched ? percussionKey ?? 60 : pitchOf(name)!,
          unpitched,
          ...signs,
        })
      );
    });
  });
  const barTicks = quartersPerBar * QUARTER;
  return {
    title: "example",
    source: "example",
    ticksPerQuarter: QUARTER,
    bars: Array.from({ length: Math.ceil(end / barTicks) }, (_, i) => ({
      number: String(i + 1),
      startTicks: i * barTicks,
      durationTicks: barTicks,
      beats: quartersPerBar,
      beatUnit: 4,
      keyFifths: 0,
    })),
    tempos: [{ onsetTicks: 0, quartersPerMinute, origin: "marked" }],
    parts: parts.map(([instrument], i) => ({
      id: `P${i + 1}`,
      name: instrument,
      instrument,
      instrumentFrom: "given",
      players: 1,
      transposeSemitones: 0,
      transposeSteps: 0,
    })),
    notes: sortNotes(notes),
    chords: [],
    notices: [],
  };
}

function wordsOf(music: string): readonly string[] {
  const unfolded = music.replace(
    /\(([^)]*)\)x(\d+)/g,
    (_, inner: string, times: string) => `${inner} `.repeat(Number(times)),
  );
  return unfolded.trim().split(/\s+/).filter((w) => w !== "");
}
