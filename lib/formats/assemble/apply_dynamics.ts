/** Dynamic marks, hairpins and words such as cresc. become a number for every note. */
import { firstIndex } from "../../base/first_index.ts";
import { DEFAULT_DYNAMIC, dynamicOf } from "../../score/dynamics.ts";
import type { RawMark } from "./raw_score.ts";

/** A mark with its position from the start of the score. */
export interface TimedMark {
  readonly ticks: number;
  readonly mark: RawMark;
}

/** A stretch in which the dynamic moves evenly. */
interface DynamicStretch {
  readonly fromTicks: number;
  readonly toTicks: number;
  readonly from: number;
  readonly to: number;
}

/** Steps a hairpin or cresc. word is worth where no mark tells its end; model assumption. */
const STEPS_WITHOUT_TARGET = 1;
/** Quarters after the end of a hairpin within which a mark is its target; model assumption. */
const TARGET_QUARTERS = 1;
/** Quarters over which a cresc. word grows where no mark follows; model assumption. */
const WORD_QUARTERS = 16;
/** Quarters after a cresc. word within which a mark is its target; model assumption. */
const WORD_REACH_QUARTERS = 64;

const ONE_NOTE_ONLY = /^(sf+z?|f+z|rfz?)$/;
const STRONG_THEN_SOFT = /^(?:s?f+z?|rf)(p+)$/;

/** What a mark means where the running dynamic is known. */
function meaningOf(mark: string, running: number): { readonly onNote?: number; readonly running: number } {
  const word = mark.trim().toLowerCase();
  if (ONE_NOTE_ONLY.test(word)) return { onNote: Math.max(running, dynamicOf(word) ?? 6), running };
  const falls = STRONG_THEN_SOFT.exec(word);
  if (falls) return { onNote: 6, running: dynamicOf(falls[1]!) ?? 3 };
  if (word === "more" || word === "less") return { running: hold(running + (word === "more" ? 1 : -1)) };
  return { running: dynamicOf(word) ?? running };
}

function hold(dynamic: number): number {
  return Math.min(8, Math.max(1, dynamic));
}

/**
 * The dynamic at any place of one stave.
 *
 * Between marks the last one holds. Under a hairpin the number moves evenly from the running dynamic to the
 * mark that stands within a quarter after its end; where none does, or where that mark lies the other way,
 * the hairpin is worth one step. A word such as cresc. moves evenly to the next mark within 64 quarters;
 * otherwise one step over 16 quarters. Sforzato and the like lift the notes they stand at and no others.
 */
export function dynamicCurve(
  marks: readonly TimedMark[],
  ticksPerQuarter: number,
): (ticks: number) => number {
  const course: DynamicCourse = { stretches: [], running: DEFAULT_DYNAMIC, since: 0 };
  const onNote = new Map<number, number>();
  const ahead = marksAhead(marks);
  const levels = marks.filter((m) => m.mark.kind === "dynamic" && !isOneNoteOnly(m.mark));
  marks.forEach(({ ticks, mark }, i) => {
    if (mark.kind === "dynamic") {
      const meaning = meaningOf(mark.mark, levelAt(course, ticks));
      if (meaning.onNote !== undefined) onNote.set(ticks, meaning.onNote);
      if (!isOneNoteOnly(mark)) beginLevel(course, ticks, meaning.running);
    } else if (mark.kind === "wedge" && mark.type !== "stop") {
      const stop = marks[ahead.ofNumber[i]!];
      if (!stop || stop.ticks <= ticks || ticks < course.since) return;
      // A mark at the start of the hairpin is where it begins, even if the file lists it after the hairpin.
      const here = marks[ahead.level[i]!];
      if (here?.ticks === ticks && here.mark.kind === "dynamic" && !isOneNoteOnly(here.mark)) {
        settle(course, ticks);
        course.running = meaningOf(here.mark.mark, course.running).running;
      }
      const { running } = course;
      const target = nextLevel(levels, { from: ticks + 1, to: stop.ticks - 1, running }) ??
        nextLevel(levels, { from: stop.ticks, to: stop.ticks + TARGET_QUARTERS * ticksPerQuarter, running });
      const direction = mark.type === "crescendo" ? 1 : -1;
      grow(course, { from: ticks, to: target?.ticks ?? stop.ticks, target: target?.level, direction });
    } else if (mark.kind === "growth" && ticks >= course.since) {
      const wedge = marks[ahead.wedge[i]!]?.ticks ?? Infinity;
      const reach = Math.min(ticks + WORD_REACH_QUARTERS * ticksPerQuarter, wedge);
      const target = nextLevel(levels, { from: ticks + 1, to: reach, running: course.running });
      const end = target?.ticks ?? Math.min(ticks + WORD_QUARTERS * ticksPerQuarter, wedge);
      grow(course, { from: ticks, to: end, target: target?.level, direction: mark.direction });
    }
  });
  return (ticks) => onNote.get(ticks) ?? levelAt(course, ticks);
}

/** The dynamic as far as it has been followed: how it has moved, and what is running since a place. */
interface DynamicCourse {
  readonly stretches: DynamicStretch[];
  running: number;
  since: number;
}

/** Ends what has been running, at a position. */
function settle(course: DynamicCourse, ticks: number): void {
  const { stretches, running, since } = course;
  if (ticks > since) stretches.push({ fromTicks: since, toTicks: ticks, from: running, to: running });
  course.since = Math.max(since, ticks);
}

/** A mark takes over, also in the midst of a hairpin. */
function beginLevel(course: DynamicCourse, ticks: number, level: number): void {
  cutAt(course.stretches, ticks);
  course.since = Math.min(course.since, Math.max(ticks, course.stretches.at(-1)?.toTicks ?? 0));
  settle(course, ticks);
  course.running = level;
}

function grow(
  course: DynamicCourse,
  span: {
    readonly from: number;
    readonly to: number;
    readonly target: number | undefined;
    readonly direction: number;
  },
): void {
  const { from: fromTicks, to: toTicks, target, direction } = span;
  settle(course, fromTicks);
  const { running } = course;
  const fits = target !== undefined && Math.sign(target - running) === direction;
  const end = fits ? target : hold(running + direction * STEPS_WITHOUT_TARGET);
  const start = Math.max(course.since, fromTicks);
  if (toTicks > start) course.stretches.push({ fromTicks: start, toTicks, from: running, to: end });
  course.running = end;
  course.since = Math.max(course.since, toTicks);
}

/** The first level that a mark brings between two places, the last included. */
function nextLevel(
  levels: readonly TimedMark[],
  { from, to, running }: { readonly from: number; readonly to: number; readonly running: number },
): { readonly ticks: number; readonly level: number } | undefined {
  const found = levels[firstIndex(levels.length, (i) => levels[i]!.ticks >= from)];
  if (!found || found.ticks > to || found.mark.kind !== "dynamic") return undefined;
  const meaning = meaningOf(found.mark.mark, running);
  return { ticks: found.ticks, level: meaning.onNote ?? meaning.running };
}

/** For each mark the index of the next one of a kind after it; beyond the last where there is none. */
interface MarksAhead {
  /** The next wedge of the same number, where the mark is a wedge. */
  readonly ofNumber: Int32Array;
  /** The next dynamic at the same place, or else the first mark at a later one. */
  readonly level: Int32Array;
  /** The next wedge at a later place. */
  readonly wedge: Int32Array;
}

/** Looks ahead from all marks at once, from the last to the first. */
function marksAhead(marks: readonly TimedMark[]): MarksAhead {
  const none = marks.length;
  const table = () => new Int32Array(none + 1).fill(none);
  const ofNumber = table(), level = table(), wedge = table(), later = table(), wedgeFrom = table();
  const numbered = new Map<number, number>();
  for (let i = none - 1; i >= 0; i--) {
    const { ticks, mark } = marks[i]!;
    const next = marks[i + 1];
    const nextIsLater = next !== undefined && next.ticks > ticks;
    later[i] = nextIsLater ? i + 1 : later[i + 1]!;
    level[i] = nextIsLater || next?.mark.kind === "dynamic" ? i + 1 : level[i + 1]!;
    wedge[i] = wedgeFrom[later[i]!]!;
    wedgeFrom[i] = mark.kind === "wedge" ? i : wedgeFrom[i + 1]!;
    if (mark.kind !== "wedge") continue;
    ofNumber[i] = numbered.get(mark.number) ?? none;
    numbered.set(mark.number, i);
  }
  return { ofNumber, level, wedge };
}

function isOneNoteOnly(mark: RawMark): boolean {
  return mark.kind === "dynamic" && ONE_NOTE_ONLY.test(mark.mark.trim().toLowerCase());
}

/** Shortens a stretch that a mark interrupts. */
function cutAt(stretches: DynamicStretch[], ticks: number): void {
  const last = stretches.at(-1);
  if (!last || last.toTicks <= ticks) return;
  stretches.pop();
  if (last.fromTicks >= ticks) return;
  const share = (ticks - last.fromTicks) / (last.toTicks - last.fromTicks);
  stretches.push({ ...last, toTicks: ticks, to: last.from + (last.to - last.from) * share });
}

function levelAt({ stretches, running, since }: DynamicCourse, ticks: number): number {
  if (ticks >= since || stretches.length === 0) return running;
  const next = firstIndex(stretches.length, (i) => stretches[i]!.fromTicks > ticks);
  const { fromTicks, toTicks, from, to } = stretches[Math.max(0, next - 1)]!;
  const share = Math.min(1, Math.max(0, (ticks - fromTicks) / (toTicks - fromTicks)));
  return from + (to - from) * share;
}
