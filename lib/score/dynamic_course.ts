/** What dynamic marks, hairpins and words such as cresc. make of the dynamic from place to place. */
import { firstIndex } from "../base/first_index.ts";
import { DEFAULT_DYNAMIC, dynamicOf, STRONG_THEN_SOFT } from "./dynamics.ts";
import type { Bar, WrittenDynamic } from "./model.ts";
import { lastAtOrBefore } from "./time.ts";

/** A stretch in which the dynamic moves evenly. */
interface DynamicStretch {
  readonly fromTicks: number;
  readonly toTicks: number;
  readonly from: number;
  readonly to: number;
}

/** Steps a hairpin or cresc. word is worth where no mark tells its end; model assumption. */
const STEPS_WITHOUT_TARGET = 1;
/** Steps a cresc. word leads up to its mark where what runs before it is no softer than that; model assumption. */
const STEPS_TO_TARGET = 2;
/** Quarters after the end of a hairpin within which a mark is its target; model assumption. */
const TARGET_QUARTERS = 1;
/** Quarters over which a cresc. word grows where no mark follows; model assumption. */
const WORD_QUARTERS = 16;
/** Quarters after a cresc. word within which a mark is its target; model assumption. */
const WORD_REACH_QUARTERS = 64;

/** Bars over which a hairpin is drawn at most: a longer one would run over line ends, and a word says it better. Common practice, no source. */
const HAIRPIN_BARS = 4;

/** Whether a sign begins a hairpin. */
export function isHairpin({ kind }: WrittenDynamic): boolean {
  return kind === "crescendo" || kind === "diminuendo";
}

/** Whether a sign is a word that grows or fades, as cresc. */
export function isGrowingWord({ kind }: WrittenDynamic): boolean {
  return kind === "growing" || kind === "fading";
}

/**
 * Signs in which what grows or fades over more than four bars does so by a word rather than a hairpin: where a hairpin leads
 * to a mark that such a word would lead to as well.
 */
export function longHairpinsAsWords(
  signs: readonly WrittenDynamic[],
  { bars, ticksPerQuarter }: { readonly bars: readonly Bar[]; readonly ticksPerQuarter: number },
): readonly WrittenDynamic[] {
  const dropped = new Set<WrittenDynamic>();
  return signs.map((sign, i): WrittenDynamic => {
    const { onsetTicks, staff, kind } = sign;
    const [stop, goal] = [signs[i + 1], signs[i + 2]];
    if (!isHairpin(sign) || stop?.kind !== "stop") return sign;
    const begun = bars.filter((b) => b.startTicks >= onsetTicks && b.startTicks < stop.onsetTicks).length;
    const isLong = begun > HAIRPIN_BARS &&
      stop.onsetTicks - onsetTicks <= WORD_REACH_QUARTERS * ticksPerQuarter;
    const isMarked = goal?.kind === "mark" && goal.onsetTicks === stop.onsetTicks && goal.mark !== "sfz";
    if (!isLong || !isMarked) return sign;
    dropped.add(stop);
    return { onsetTicks, staff, kind: kind === "crescendo" ? "growing" : "fading" };
  }).filter((sign) => !dropped.has(sign));
}

const ONE_NOTE_ONLY = /^(sf+z?|f+z|rfz?)$/;

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

/** The dynamic of a stave, 1 ppp to 8 fff. */
export interface DynamicCourse {
  /** What a note has that begins at a place. */
  readonly at: (ticks: number) => number;
  /** What runs at a place, apart from the stress of sf, fp and the like. */
  readonly running: (ticks: number) => number;
  /** What a mark gives the notes at its place and no others, where one stands there. */
  readonly stress: (ticks: number) => number | undefined;
  /** Whether what runs moves or is marked anew after the first place and before the second. */
  readonly changesWithin: (fromTicks: number, toTicks: number) => boolean;
}

/** Signs of one stave. A stave without signs of its own follows those of the whole part. */
export function signsOfStave(signs: readonly WrittenDynamic[], staff: number): readonly WrittenDynamic[] {
  const hasOwn = signs.some((s) => s.staff === staff);
  return signs.filter((s) => s.staff === 0 || s.staff === staff || !hasOwn);
}

/**
 * The dynamic at any place of one stave, from its signs in order.
 *
 * Between marks the last one holds. Under a hairpin the number moves evenly from the running dynamic to the
 * mark that stands within a quarter after its end; where none does, or where that mark lies the other way,
 * the hairpin is worth one step. Such hairpins do not add up: one that would lead further than a step from the last
 * mark begins at that mark again. A word such as cresc. moves evenly to the next mark within 64 quarters; otherwise
 * one step over 16 quarters. Where it leads to a forte from a forte, something softer went unprinted, and the cresc.
 * begins two steps below; a dim. from piano to piano likewise above (a cresc. to a piano is one that breaks off).
 * Sforzato and the like lift the notes they stand at and no others.
 */
export function dynamicCourse(signs: readonly WrittenDynamic[], ticksPerQuarter: number): DynamicCourse {
  const course: CourseSoFar = { stretches: [], running: DEFAULT_DYNAMIC, marked: DEFAULT_DYNAMIC, since: 0 };
  const onNote = new Map<number, number>();
  const follow: Follow = {
    signs,
    ahead: signsAhead(signs),
    levels: signs.filter((s) => s.kind === "mark" && !isOneNoteOnly(s)),
    ticksPerQuarter,
  };
  signs.forEach((sign, i) => {
    if (sign.kind === "mark") {
      const meaning = meaningOf(sign.mark ?? "", levelAt(course, sign.onsetTicks));
      if (meaning.onNote !== undefined) onNote.set(sign.onsetTicks, meaning.onNote);
      if (!isOneNoteOnly(sign)) beginLevel(course, sign.onsetTicks, meaning.running);
    } else if (isHairpin(sign)) {
      followHairpin(course, i, follow);
    } else if (sign.kind !== "stop") {
      followWord(course, i, follow);
    }
  });
  const { stretches, running, since } = course;
  const all = [...stretches, { fromTicks: since, toTicks: Infinity, from: running, to: running }];
  return {
    at: (ticks) => onNote.get(ticks) ?? levelAt(course, ticks),
    running: (ticks) => levelAt(course, ticks),
    stress: (ticks) => onNote.get(ticks),
    changesWithin: (from, to) => {
      for (let i = firstIndex(all.length, (k) => all[k]!.toTicks > from); i < all.length; i++) {
        const stretch = all[i]!;
        if (stretch.fromTicks >= to) return false;
        if (stretch.from !== stretch.to || stretch.fromTicks > from) return true;
      }
      return false;
    },
  };
}

/** What following one sign needs to know of the others. */
interface Follow {
  readonly signs: readonly WrittenDynamic[];
  readonly ahead: SignsAhead;
  /** Marks that hold from where they stand. */
  readonly levels: readonly WrittenDynamic[];
  readonly ticksPerQuarter: number;
}

function followHairpin(
  course: CourseSoFar,
  i: number,
  { signs, ahead, levels, ticksPerQuarter }: Follow,
): void {
  const { onsetTicks: ticks, kind } = signs[i]!;
  const stop = signs[ahead.ofNumber[i]!]?.onsetTicks;
  if (stop === undefined || stop <= ticks || ticks < course.since) return;
  // A mark at the start of the hairpin is where it begins, even if the file lists it after the hairpin.
  const here = signs[ahead.level[i]!];
  if (here?.onsetTicks === ticks && here.kind === "mark" && !isOneNoteOnly(here)) {
    settle(course, ticks);
    course.running = course.marked = meaningOf(here.mark ?? "", course.running).running;
  }
  const { running } = course;
  const direction = kind === "crescendo" ? 1 : -1;
  const target = nextLevel(levels, { from: ticks + 1, to: stop - 1, running }) ??
    nextLevel(levels, { from: stop, to: stop + TARGET_QUARTERS * ticksPerQuarter, running });
  if (target === undefined && Math.abs(running + direction - course.marked) > STEPS_WITHOUT_TARGET) {
    settle(course, ticks);
    course.running = course.marked;
  }
  grow(course, { from: ticks, to: target?.ticks ?? stop, target: target?.level, direction });
}

function followWord(course: CourseSoFar, i: number, { signs, ahead, levels, ticksPerQuarter }: Follow): void {
  const { onsetTicks: ticks, kind } = signs[i]!;
  if (ticks < course.since) return;
  const direction = kind === "growing" ? 1 : -1;
  const hairpin = signs[ahead.wedge[i]!]?.onsetTicks ?? Infinity;
  const reach = Math.min(ticks + WORD_REACH_QUARTERS * ticksPerQuarter, hairpin);
  const target = nextLevel(levels, { from: ticks + 1, to: reach, running: course.running });
  const end = target?.ticks ?? Math.min(ticks + WORD_QUARTERS * ticksPerQuarter, hairpin);
  if (target !== undefined && isGoal(target.level, course.running, direction)) {
    settle(course, ticks);
    course.running = hold(target.level - direction * STEPS_TO_TARGET);
  }
  grow(course, { from: ticks, to: end, target: target?.level, direction });
}

/** The dynamic as far as it has been followed: how it has moved, and what is running since a place. */
interface CourseSoFar {
  readonly stretches: DynamicStretch[];
  running: number;
  /** What was last marked, or led to a mark. */
  marked: number;
  since: number;
}

/** Ends what has been running, at a position. */
function settle(course: CourseSoFar, ticks: number): void {
  const { stretches, running, since } = course;
  if (ticks > since) stretches.push({ fromTicks: since, toTicks: ticks, from: running, to: running });
  course.since = Math.max(since, ticks);
}

/** A mark takes over, also in the midst of a hairpin. */
function beginLevel(course: CourseSoFar, ticks: number, level: number): void {
  cutAt(course.stretches, ticks);
  course.since = Math.min(course.since, Math.max(ticks, course.stretches.at(-1)?.toTicks ?? 0));
  settle(course, ticks);
  course.running = course.marked = level;
}

function grow(
  course: CourseSoFar,
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
  if (fits) course.marked = end;
  course.since = Math.max(course.since, toTicks);
}

/** Whether a mark is where a cresc. or dim. leads, though what runs is there already or beyond. */
function isGoal(level: number, running: number, direction: number): boolean {
  return direction === 1
    ? level >= dynamicOf("f")! && running >= level
    : level <= dynamicOf("p")! && running <= level;
}

/** The first level that a mark brings between two places, the last included. */
function nextLevel(
  levels: readonly WrittenDynamic[],
  { from, to, running }: { readonly from: number; readonly to: number; readonly running: number },
): { readonly ticks: number; readonly level: number } | undefined {
  const found = levels[firstIndex(levels.length, (i) => levels[i]!.onsetTicks >= from)];
  if (!found || found.onsetTicks > to) return undefined;
  const meaning = meaningOf(found.mark ?? "", running);
  return { ticks: found.onsetTicks, level: meaning.onNote ?? meaning.running };
}

/** For each sign the index of the next one of a kind after it; beyond the last where there is none. */
interface SignsAhead {
  /** The next hairpin, or end of one, of the same number, where the sign is one. */
  readonly ofNumber: Int32Array;
  /** The next mark at the same place, or else the first sign at a later one. */
  readonly level: Int32Array;
  /** The next hairpin, or end of one, at a later place. */
  readonly wedge: Int32Array;
}

/** Looks ahead from all signs at once, from the last to the first. */
function signsAhead(signs: readonly WrittenDynamic[]): SignsAhead {
  const none = signs.length;
  const table = () => new Int32Array(none + 1).fill(none);
  const ofNumber = table(), level = table(), wedge = table(), later = table(), wedgeFrom = table();
  const numbered = new Map<number, number>();
  for (let i = none - 1; i >= 0; i--) {
    const sign = signs[i]!;
    const { onsetTicks, kind, number = 1 } = sign;
    const next = signs[i + 1];
    const isWedge = isHairpin(sign) || kind === "stop";
    const nextIsLater = next !== undefined && next.onsetTicks > onsetTicks;
    later[i] = nextIsLater ? i + 1 : later[i + 1]!;
    level[i] = nextIsLater || next?.kind === "mark" ? i + 1 : level[i + 1]!;
    wedge[i] = wedgeFrom[later[i]!]!;
    wedgeFrom[i] = isWedge ? i : wedgeFrom[i + 1]!;
    if (!isWedge) continue;
    ofNumber[i] = numbered.get(number) ?? none;
    numbered.set(number, i);
  }
  return { ofNumber, level, wedge };
}

function isOneNoteOnly({ mark = "" }: WrittenDynamic): boolean {
  return ONE_NOTE_ONLY.test(mark.trim().toLowerCase());
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

function levelAt({ stretches, running, since }: CourseSoFar, ticks: number): number {
  if (ticks >= since || stretches.length === 0) return running;
  const at = lastAtOrBefore(stretches, ticks, (stretch) => stretch.fromTicks);
  const { fromTicks, toTicks, from, to } = stretches[at]!;
  const share = Math.min(1, Math.max(0, (ticks - fromTicks) / (toTicks - fromTicks)));
  return from + (to - from) * share;
}
