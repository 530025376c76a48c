/** How loud a held note goes on where its part has signs under it: an fp, a hairpin, a new mark. */
import { dynamicOf } from "../../score/dynamics.ts";
import type { Note, Part, WrittenDynamic } from "../../score/model.ts";
import type { Ticks } from "../../base/units.ts";

/** How much louder than at its start a note is at a place, in steps of the dynamic scale. */
type StepsAfterStart = (ticks: Ticks) => number;

/** A stretch in which the running dynamic moves evenly; after it the last value holds. */
interface RunningStretch {
  readonly from: Ticks;
  readonly to: Ticks;
  readonly first: number;
  readonly last: number;
}

/** Signs that lift the note they stand at and no other: sf, fz, rf, and those that fall back at once, fp, sfp. */
const LIFTS = /^(s?f+z?|f+z|rfz?|sf+z?)(p*)$/;
const PLAIN = /^(p+|mp|mf|f+|pf|n)$/;
/** How long the stress of an sf or fp lasts, in quarters: an eighth. Model assumption. */
const STRESS_QUARTERS = 0.5;
/** What a hairpin or word is worth where no mark tells its end, in steps. Model assumption, as in reading. */
const STEPS_WITHOUT_TARGET = 1;
/** Quarters over which a word such as cresc. works, where no mark ends it. Model assumption, as in reading. */
const WORD_QUARTERS = 16;
const FORTE = 6;
const MEZZO_FORTE = 5;

/**
 * Prepares the dynamics under held notes of a part. Where a part has no signs, or none lies under a note, the note
 * keeps the strength of its start.
 *
 * Only the change since the start is told, so a part that is played softer or louder as a whole keeps its shape.
 */
export function heldDynamics(
  part: Part,
  ticksPerQuarter: Ticks,
): (note: Note) => StepsAfterStart | undefined {
  const signs = part.writtenDynamics ?? [];
  if (signs.length === 0) return () => undefined;
  const { stretches, stresses } = runningDynamic(signs, ticksPerQuarter);
  const running = (ticks: Ticks): number => {
    let now = MEZZO_FORTE;
    for (const s of stretches) {
      if (s.from > ticks) break;
      now = ticks >= s.to ? s.last : s.first + (s.last - s.first) * (ticks - s.from) / (s.to - s.from);
    }
    return now;
  };
  return (note) => {
    const from = note.onsetTicks, to = from + note.durationTicks;
    const stressTo = from + STRESS_QUARTERS * ticksPerQuarter;
    const stress = stresses.get(from);
    const moves = stretches.some((s) => s.from > from && s.from < to || s.from <= from && s.to > from);
    if (!moves && (stress === undefined || stressTo >= to)) return undefined;
    const start = stress ?? running(from);
    return (ticks) => ticks < stressTo && stress !== undefined ? 0 : running(ticks) - start;
  };
}

function runningDynamic(
  signs: readonly WrittenDynamic[],
  ticksPerQuarter: Ticks,
): { readonly stretches: readonly RunningStretch[]; readonly stresses: ReadonlyMap<Ticks, number> } {
  const stretches: RunningStretch[] = [];
  const stresses = new Map<Ticks, number>();
  let now = MEZZO_FORTE;
  const hold = (from: Ticks, value: number) => {
    stretches.push({ from, to: from, first: value, last: value });
    now = value;
  };
  const move = (from: Ticks, to: Ticks, value: number) => {
    const last = Math.min(8, Math.max(1, value));
    stretches.push({ from, to: Math.max(from, to), first: now, last });
    now = last;
  };
  signs.forEach((sign, i) => {
    const { onsetTicks, kind } = sign;
    const mark = sign.mark?.trim().toLowerCase() ?? "";
    if (kind === "mark") {
      if (mark === "more" || mark === "less") hold(onsetTicks, now + (mark === "more" ? 1 : -1));
      else if (PLAIN.test(mark)) hold(onsetTicks, dynamicOf(mark) ?? now);
      else {
        const stress = LIFTS.exec(mark);
        if (!stress) return;
        if (stress[2]) hold(onsetTicks, dynamicOf(stress[2]) ?? 3);
        stresses.set(onsetTicks, Math.max(FORTE, now));
      }
      return;
    }
    if (kind === "stop") return;
    const way = kind === "crescendo" || kind === "growing" ? 1 : -1;
    const later = signs.slice(i + 1);
    const marks = later.filter((s) => s.kind === "mark" && PLAIN.test(s.mark ?? ""));
    const word = kind === "growing" || kind === "fading";
    const end = word
      ? Math.min(marks[0]?.onsetTicks ?? Infinity, onsetTicks + WORD_QUARTERS * ticksPerQuarter)
      : later.find((s) => s.kind === "stop" && s.number === sign.number)?.onsetTicks ?? marks[0]?.onsetTicks;
    if (end === undefined) return;
    const target = marks.find((s) => s.onsetTicks >= end && s.onsetTicks <= end + ticksPerQuarter);
    const value = target ? dynamicOf(target.mark!) ?? now : now;
    move(onsetTicks, end, (value - now) * way > 0 ? value : now + way * STEPS_WITHOUT_TARGET);
  });
  return { stretches: stretches.sort((a, b) => a.from - b.from), stresses };
}
