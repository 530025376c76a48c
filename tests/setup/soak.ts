/**
 * `deno run -A --v8-flags=--expose-gc tests/setup/soak.ts [COUNT] [LOOKS] [DIFFERENT]`: 1,000 studies of small scores in one
 * process, each written as MusicXML, read, its texture read off the notes, and measured. Fifty scores come again and again,
 * always made anew, so that what the library keeps on purpose is soon full. Prints at ten places how much memory is in use
 * after all that can be is given back: after the first of them it should stay as it is. With as many different scores as
 * studies it rises to what is kept at most, some 60 MB.
 */
import { type Role, type Score, study, textureOf, writeMusicXml } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { type LineNote, smallScore } from "../measures/small_scores.ts";
import { random } from "./random.ts";

const BARS = 4;

/** Instrument, role, lowest pitch, notes in a bar. */
const LINES: readonly (readonly [instrument: string, role: Role, low: number, notes: number])[] = [
  ["violin", "lead", 67, 4],
  ["viola", "pulse", 50, 8],
  ["horn in F", "pad", 50, 1],
  ["double bass", "bass", 30, 2],
];

/** A score of four lines whose notes and dynamics are drawn by a seed. */
function drawnScore(seed: number): Score {
  const next = random(seed);
  return smallScore(
    LINES.map(([instrument, role, low, count]) => ({
      instrument,
      role,
      notes: Array.from({ length: BARS * count }, (_, i): LineNote => ({
        at: i * 4 / count,
        quarters: 4 / count,
        pitch: low + Math.floor(next() * 14),
        dynamic: 3 + Math.floor(next() * 16) / 4,
      })),
    })),
    { bars: BARS, written: false, quartersPerMinute: 60 + seed % 90 },
  );
}

/** Memory in use after all that can be is given back, in MB. */
function megabytesHeld(): number {
  const { gc } = globalThis as { readonly gc?: () => void };
  if (gc === undefined) throw new Error("Start it with --v8-flags=--expose-gc.");
  gc();
  gc();
  return Deno.memoryUsage().heapUsed / 1e6;
}

const [count = 1000, looks = 10, different = 50] = Deno.args.map(Number);
for (let seed = 1; seed <= count; seed++) {
  const score = readMusicXml(new TextEncoder().encode(writeMusicXml(drawnScore(seed % different))));
  study(score, { texture: textureOf(score) });
  if (seed % Math.floor(count / looks) === 0) {
    console.log(`${seed} studies: ${megabytesHeld().toFixed(1)} MB`);
  }
}
