/** A short number that stands for every note of a score, to compare with what another program read. */
import { createHash } from "node:crypto";
import type { Score } from "../../lib/score/model.ts";

/** Thousandths of a quarter, so that two ways of rounding tuplets agree. */
function thousandths(quarters: number): number {
  return Math.floor(quarters * 1000 + 0.5 + 1e-6);
}

/**
 * Fingerprint of a score's pitched notes without grace notes: one line `onset|length|pitch` for each, in
 * thousandths of a quarter and MIDI numbers, `tied` for the length of notes of several tied heads, sorted,
 * joined by line ends; the first 16 digits of the SHA-256 of that.
 *
 * @param score the score
 * @returns how many notes there are, and the fingerprint
 */
export function noteFingerprint(score: Score): { readonly notes: number; readonly fingerprint: string } {
  const quarters = (ticks: number) => thousandths(ticks / score.ticksPerQuarter);
  const lines = score.notes.filter((n) => !n.grace && !n.unpitched).map((n) =>
    `${quarters(n.onsetTicks)}|${n.noteheads > 1 ? "tied" : quarters(n.durationTicks)}|${n.soundingPitch}`
  ).sort();
  const fingerprint = createHash("sha256").update(lines.join("\n")).digest("hex").slice(0, 16);
  return { notes: lines.length, fingerprint };
}
