/** How much of what the project writes it reads back: by role and figure, counted per bar and part that sounds. */
import { barIndexOf, beatsCounted, beatTicks, fullBarTicks, shortGroupTicks } from "../../lib/score/time.ts";
import type { Bar, Score } from "../../lib/score/model.ts";
import { figureById } from "../../lib/texture/figures.ts";
import type { RoleCell } from "../../lib/texture/model.ts";
import type { Role } from "../../lib/texture/roles.ts";
import { recognise, type RecogniseOptions } from "../../lib/texture/recognise/recognise.ts";
import { writtenTexture } from "../../lib/texture/written.ts";

/** One bar of one part of a setting: what it was written as, and what it is read as. */
export interface ReadBack {
  readonly written: RoleCell;
  readonly read: RoleCell;
  /** Whether the role is the one it was written with. */
  readonly role: boolean;
  /** Whether the figure is, too. */
  readonly figure: boolean;
}

/** Which beats strokes are on that a chord follows on, by figure: figures that are the same in some bars are one. */
const beatsOf: Readonly<Record<string, (beats: readonly number[]) => readonly number[]>> = {
  "after-beats": (beats) => beats.slice(1),
  "after-beats on two and four": (beats) =>
    beats.length % 2 === 0 ? beats.filter((_, i) => i % 2 === 1) : beats.slice(1),
};

/** Where the strokes of a figure stand in a bar and how long they last, in ticks from the bar line. */
function strokesIn(score: Score, bar: Bar, id: string): string {
  const figure = figureById(id);
  const { startTicks, durationTicks } = bar;
  const quarter = score.ticksPerQuarter;
  const changes = score.chords.map((c) => c.onsetTicks - startTicks).filter((at) =>
    at > 0 && at < durationTicks
  );
  const stretches = [0, ...changes].map((from, i) => [from, changes[i] ?? durationTicks] as const);
  const beat = beatTicks(bar, quarter);
  const once: Readonly<Record<string, number>> = {
    "bass on the downbeat": Math.max(beat, durationTicks >= 2 * quarter ? quarter : 0),
    "stroke on the downbeat": quarter / 2,
  };
  if (figure === undefined) return "";
  const beats = countedIn(bar, quarter);
  const answer = beatsOf[id]?.(beats);
  if (answer !== undefined) return answer.join(" ");
  if (id === "bass on one and three" && (beats.length % 2 === 1 || beats.length === 2)) {
    return strokesIn(score, bar, "bass on the downbeat");
  }
  if (once[id] !== undefined) return `0:${Math.min(once[id], stretches[0]![1])}`;
  // Where nobody has a hand for chords, those to be rolled are held.
  if (["held chord", "rolled chords", "sustained bass"].includes(id)) {
    return stretches.map(([from, to]) => `${from}:${to - from}`).join(" ");
  }
  if (figure.cellQuarters === 0) return id;
  const isAnew = figure.cellQuarters > 1 && figure.role !== "pulse";
  const groups = shortGroupTicks(bar, quarter);
  const inGroups = groups.map((from, i) => [from, groups[i + 1] ?? durationTicks] as const);
  if (figure.role === "bass" && groups.length > 1) {
    return stretches.flatMap(([from, to]) =>
      joinedIn(inGroups, from, to, figure.strokes[0]!.length * quarter)
    )
      .map(([onset, end]) => `${onset}:${end - onset}`).join(" ");
  }
  return (isAnew ? stretches : inGroups).flatMap(([from, to]) =>
    Array.from(
      { length: Math.ceil((to - from) / (figure.cellQuarters * quarter)) },
      (_, cell) =>
        figure.strokes.map(({ at, length }) => {
          const onset = from + (cell * figure.cellQuarters + at) * quarter;
          return [onset, Math.min(length * quarter, to - onset)] as const;
        }),
    ).flat().filter(([onset]) => onset < to)
  ).map(([onset, length]) => `${onset}:${length}`).join(" ");
}

/** Beats of a bar in quarters from the bar line: in four in alla breve. */
function countedIn(bar: Bar, quarter: number): readonly number[] {
  const beat = fullBarTicks(bar, quarter) / beatsCounted(bar);
  return Array.from({ length: Math.ceil(bar.durationTicks / beat) }, (_, i) => i * beat);
}

/** What of some groups lies in a stretch, those joined that together are no longer than a bass's stroke. */
function joinedIn(
  groups: readonly (readonly [from: number, to: number])[],
  from: number,
  to: number,
  most: number,
): readonly (readonly [from: number, to: number])[] {
  const joined: [number, number][] = [];
  for (const group of groups) {
    const [start, end] = [Math.max(group[0], from), Math.min(group[1], to)];
    if (start >= end) continue;
    const last = joined.at(-1);
    if (last && end - last[0] <= most) last[1] = end;
    else joined.push([start, end]);
  }
  return joined;
}

/** Roles whose figures go somewhere, and come to rest at the end of a piece. */
const GOES_ON: readonly Role[] = ["figuration", "run"];

/** Whether a part that has had a figure rests on one stroke in the last bar, as the tune does: that is a held note. */
export function comesToRest(setting: Score, { barIndex, part, role }: RoleCell): boolean {
  if (barIndex !== setting.bars.length - 1 || !GOES_ON.includes(role)) return false;
  const from = setting.bars[barIndex]!.startTicks;
  return new Set(
    setting.notes.filter((n) => n.part === part && n.onsetTicks >= from).map((n) => n.onsetTicks),
  ).size === 1;
}

/**
 * Every bar in which a part of a setting sounds, but for a last one in which a figure comes to rest. Two figures of one role are one where both are the same strokes in the
 * bar, such as a bass in half notes and a sustained one in 2/4; and where no bass is written, the lowest line is the bass
 * by the vocabulary's own word, whatever layer it was written in, if the bass would have the same strokes.
 */
export function readBackOf(setting: Score, options: RecogniseOptions = {}): readonly ReadBack[] {
  const { cells } = recognise(setting, options);
  const written = writtenTexture(setting)!.cells;
  const parts = setting.parts.length;
  const lowest = lowestOfBars(setting);
  return written.flatMap((own, i): readonly ReadBack[] => {
    if (own.role === "rest" || comesToRest(setting, own)) return [];
    const read = cells[i]!;
    const bar = setting.bars[own.barIndex]!;
    const isSame = own.figure === read.figure ||
      strokesIn(setting, bar, own.figure) === strokesIn(setting, bar, read.figure);
    const hasBass = written.slice(i - own.part, i - own.part + parts).some((c) => c.role === "bass");
    const isBass = read.role === "bass" && !hasBass && isSame && lowest[own.barIndex] === own.part;
    const role = own.role === read.role || isBass;
    return [{ written: own, read, role, figure: role && isSame }];
  });
}

/** The part of each bar with the lowest note of definite pitch. */
function lowestOfBars(setting: Score): readonly (number | undefined)[] {
  const lowest: { pitch: number; part: number | undefined }[] = setting.bars.map(() => ({
    pitch: 128,
    part: undefined,
  }));
  for (const n of setting.notes) {
    if (n.unpitched) continue;
    const last = barIndexOf(setting, n.onsetTicks + n.durationTicks - 1);
    for (let b = barIndexOf(setting, n.onsetTicks); b <= last; b++) {
      if (n.soundingPitch < lowest[b]!.pitch) lowest[b] = { pitch: n.soundingPitch, part: n.part };
    }
  }
  return lowest.map(({ part }) => part);
}

/** How much of something was read back. */
export interface ReadBackCount {
  readonly what: string;
  readonly cells: number;
  readonly role: number;
  readonly figure: number;
  /** What the others were read as, the commonest first. */
  readonly otherwise: string;
}

/** Counts of some cells. */
function countOf(what: string, rows: readonly ReadBack[]): ReadBackCount {
  const wrong = Map.groupBy(rows.filter((r) => !r.figure), ({ read }) => `${read.role}: ${read.figure}`);
  return {
    what,
    cells: rows.length,
    role: rows.filter((r) => r.role).length,
    figure: rows.filter((r) => r.figure).length,
    otherwise: [...wrong].sort((a, b) => b[1].length - a[1].length).slice(0, 3)
      .map(([name, list]) => `${name} ${list.length}`).join(", "),
  };
}

/** Counts of all cells, of each role and of each figure. */
export function countsOf(rows: readonly ReadBack[]): readonly ReadBackCount[] {
  const by = (name: (row: ReadBack) => string) =>
    [...Map.groupBy(rows, name)].map(([what, list]) => countOf(what, list));
  return [
    countOf("all", rows),
    ...by(({ written }) => written.role),
    ...by(({ written }) => `${written.role}: ${written.figure}`).toSorted((a, b) => a.what < b.what ? -1 : 1),
  ];
}

/** A row of the table in words. */
export function rowInWords({ what, cells, role, figure, otherwise }: ReadBackCount): string {
  const percent = (count: number) => (100 * count / cells).toFixed(1).padStart(6);
  return `${what.padEnd(42)}${String(cells).padStart(7)}${percent(role)}${percent(figure)}  ${otherwise}`;
}
