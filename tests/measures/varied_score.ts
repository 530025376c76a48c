/** A score so varied that little of it can be known from before. */
import type { Role, Score } from "ripieno";
import { seededNumbers } from "../hearing/orchestral_sounds.ts";
import { type Line, type LineNote, smallScore } from "./small_scores.ts";

/** How many bars it has. */
export const BARS = 500;

/** Instrument, role, lowest pitch, notes in a bar. */
const KINDS: readonly (readonly [instrument: string, role: Role, low: number, notes: number])[] = [
  ["violin", "lead", 67, 4],
  ["viola", "pulse", 50, 8],
  ["horn in F", "pad", 50, 1],
  ["clarinet in Bb", "figuration", 55, 16],
  ["double bass", "bass", 30, 4],
  ["trumpet in C", "punctuation", 58, 2],
];

/** Thirty parts without two equal bars, always the same for a seed. */
export function variedScore(seed: number): Score {
  const next = seededNumbers(seed);
  const lines = Array.from({ length: 30 }, (_, p): Line => {
    const [instrument, role, low, count] = KINDS[p % KINDS.length]!;
    const notes = Array.from({ length: BARS * count }, (_, i): LineNote => ({
      at: i * 4 / count,
      quarters: 4 / count,
      pitch: low + Math.floor(next() * 14),
      dynamic: 3 + Math.floor(next() * 16) / 4,
    }));
    return { instrument, role, layer: role, notes, players: instrument === "violin" ? 12 : 1 };
  });
  return smallScore(lines, { bars: BARS });
}
