/** Where a role sits on an instrument when the plan does not say. */
import type { Instrument } from "../../instruments/catalogue.ts";
import type { Role } from "../../texture/roles.ts";
import type { VoiceRange } from "./layers/task.ts";

/** Register each role prefers, sounding MIDI pitch. Common practice, no source. */
const PREFERRED: Readonly<Record<Role, VoiceRange>> = {
  lead: { low: 0, high: 127 },
  counterline: { low: 48, high: 79 },
  run: { low: 57, high: 91 },
  figuration: { low: 48, high: 86 },
  pulse: { low: 52, high: 81 },
  trill: { low: 60, high: 88 },
  punctuation: { low: 43, high: 81 },
  pad: { low: 48, high: 76 },
  bass: { low: 24, high: 60 },
  rest: { low: 0, high: 127 },
};

/** Smallest span worth placing a layer in, in semitones. */
const SMALLEST_SPAN = 14;

/** Drums that are tuned to root and fifth: a third or a seventh of theirs rings on under the next chord. Common practice, no source. */
const ROOT_OR_FIFTH: readonly string[] = ["timpani"];

/**
 * The span of pitches a role is placed in on an instrument: where the role's usual register, moved by octaves, and the
 * instrument's comfortable range overlap, or the end of the comfortable range that is nearest to it; and where in it the
 * part lies best: the same role sits lower on a cello than on a violin.
 */
export function registerFor(instrument: Instrument, role: Role, octave: number = 0): VoiceRange {
  const { low, high } = instrument.rangeComfortable;
  const wish = { low: PREFERRED[role].low + 12 * octave, high: PREFERRED[role].high + 12 * octave };
  let from = Math.max(low, wish.low);
  let to = Math.min(high, wish.high);
  if (to - from < SMALLEST_SPAN) {
    const span = Math.min(SMALLEST_SPAN, high - low);
    if ((wish.low + wish.high) / 2 < (low + high) / 2) {
      from = Math.min(Math.max(low, to - span), high - span);
      to = from + span;
    } else {
      to = Math.max(Math.min(high, from + span), low + span);
      from = to - span;
    }
  }
  // Low instruments sit below the middle; high ones do not rise above it, where they would press upon the lead.
  const middle = (from + to) / 2;
  const home = Math.max(from, Math.min(middle, (middle + (low + high) / 2 + 12 * octave) / 2));
  return {
    low: from,
    high: to,
    home,
    ...(ROOT_OR_FIFTH.includes(instrument.id) ? { rootOrFifth: true } : {}),
  };
}
