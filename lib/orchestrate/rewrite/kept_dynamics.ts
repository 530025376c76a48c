/** The dynamics a part has in some bars, under notes that are written anew. */
import type { Ticks } from "../../base/units.ts";
import { dynamicCourse, isGrowingWord, isHairpin, signsOfStave } from "../../score/dynamic_course.ts";
import { DYNAMIC_MARKS, dynamicMark } from "../../score/dynamics.ts";
import type { Note, WrittenDynamic } from "../../score/model.ts";
import type { BarsFound } from "./bars_asked.ts";

/** New notes with the dynamics that were there. */
interface KeptDynamics {
  readonly notes: readonly Note[];
  /** Signs in the bars, in order. */
  readonly signs: readonly WrittenDynamic[];
}

/** Whether a sign says how loud it is from there on, rather than stressing a note. */
function isLevel({ kind, mark = "" }: WrittenDynamic): boolean {
  return kind === "mark" && (DYNAMIC_MARKS as readonly string[]).includes(mark.trim().toLowerCase());
}

/**
 * New notes as loud as the old ones were at their place: marks stand where the next new note begins, and so do the ends of
 * hairpins of a bar or more, and words such as cresc. that lead to one of them. Stresses and short hairpins belonged to notes that are gone.
 *
 * @param signs dynamic signs of the part, in order
 * @param notes the new notes of the part, in order
 * @param score grid, the bars, and where the part came in
 */
export function keptDynamics(
  signs: readonly WrittenDynamic[],
  notes: readonly Note[],
  { bars, enteredTicks, beside, barTicks, ticksPerQuarter }: {
    readonly bars: BarsFound;
    /** Where the part first played in the bars: what was marked there holds from there on, and for new notes within a bar before. */
    readonly enteredTicks: Ticks;
    /** How loud those are that accompany before it came in, as a mark; undefined where nobody does. */
    readonly beside: string | undefined;
    /** Length of a bar. */
    readonly barTicks: Ticks;
    readonly ticksPerQuarter: Ticks;
  },
): KeptDynamics {
  const onsets = [...new Set(notes.filter((n) => !n.grace).map((n) => n.onsetTicks))].sort((a, b) => a - b);
  const [first] = onsets;
  if (first === undefined) return { notes, signs: [] };
  const nextFrom = (ticks: Ticks) => onsets.find((onset) => onset >= ticks);
  const old = dynamicCourse(signsOfStave(signs, 1), ticksPerQuarter);
  const inside = signs.filter((s) => s.onsetTicks >= bars.startTicks && s.onsetTicks < bars.endTicks);
  const asMarked = (ticks: Ticks): string => dynamicMark(old.running(ticks));
  const entry = nextFrom(enteredTicks);
  const levels = beside !== undefined && entry !== undefined && entry - first >= barTicks
    ? new Map([[first, beside], [entry, asMarked(enteredTicks)]])
    : new Map([[first, asMarked(Math.max(first, enteredTicks))]]);
  for (const { onsetTicks } of inside.filter(isLevel)) {
    const onset = nextFrom(onsetTicks);
    if (onset !== undefined && onsetTicks > enteredTicks) levels.set(onset, asMarked(onset));
  }
  const marks = [...levels].sort((a, b) => a[0] - b[0])
    .filter(([, mark], i, all) => i === 0 || mark !== all[i - 1]![1])
    .map(([onsetTicks, mark]): WrittenDynamic => ({ onsetTicks, staff: 0, kind: "mark", mark }));
  const kept = [...marks, ...wordsIn(inside, nextFrom), ...hairpinsIn(inside, { nextFrom, barTicks })]
    .sort((a, b) => a.onsetTicks - b.onsetTicks || Number(b.kind === "stop") - Number(a.kind === "stop"));
  const course = dynamicCourse(kept, ticksPerQuarter);
  return { notes: notes.map((n) => ({ ...n, dynamic: course.at(n.onsetTicks) })), signs: kept };
}

/** Words that lead to a mark in the bars, at new notes. */
function wordsIn(
  signs: readonly WrittenDynamic[],
  nextFrom: (ticks: Ticks) => Ticks | undefined,
): readonly WrittenDynamic[] {
  return signs.flatMap((sign, i): readonly WrittenDynamic[] => {
    const goal = signs.slice(i + 1).find(isLevel);
    if (!isGrowingWord(sign) || goal === undefined) return [];
    const [from, to] = [nextFrom(sign.onsetTicks), nextFrom(goal.onsetTicks)];
    if (from === undefined || to === undefined || from >= to) return [];
    return [{ onsetTicks: from, staff: 0, kind: sign.kind }];
  });
}

/** Hairpins of a bar or more, from a new note to another. */
function hairpinsIn(
  signs: readonly WrittenDynamic[],
  { nextFrom, barTicks }: {
    readonly nextFrom: (ticks: Ticks) => Ticks | undefined;
    readonly barTicks: Ticks;
  },
): readonly WrittenDynamic[] {
  return signs.flatMap((sign, i): readonly WrittenDynamic[] => {
    if (!isHairpin(sign)) return [];
    const stop = signs.slice(i + 1).find((s) => s.kind === "stop" && s.number === sign.number);
    if (stop === undefined || stop.onsetTicks - sign.onsetTicks < barTicks) return [];
    const [from, to] = [nextFrom(sign.onsetTicks), nextFrom(stop.onsetTicks)];
    if (from === undefined || to === undefined || from >= to) return [];
    const hairpin = { staff: 0, number: 1 };
    return [
      { ...hairpin, onsetTicks: from, kind: sign.kind },
      { ...hairpin, onsetTicks: to, kind: "stop" },
    ];
  });
}
