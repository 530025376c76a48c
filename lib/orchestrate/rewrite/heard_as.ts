/** What parts that were written anew are heard as: the notes read again, by who has not been told. */
import type { Share } from "../../base/units.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { endOfBar } from "../../score/time.ts";
import { type Figure, figureById } from "../../texture/figures.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { recognise } from "../../texture/recognise/recognise.ts";
import { barsBetween, type BarsFound } from "./bars_asked.ts";
import { excerpt, type ScoreWithTexture } from "./excerpt.ts";

/** Bars on either side with which a passage is read: the reading looks so far around. Model assumption. */
const BARS_AROUND = 8;

/** A lead this many semitones lower on average is under a line. */
const ABOVE_SEMITONES = 0.5;

/** A bar in which a part is heard otherwise than it was told, with the reason. */
interface BarWithReason {
  readonly barIndex: number;
  readonly why: string;
}

/** What a part is heard as in some bars. */
interface PartHeard {
  /** Role and figure, the commonest first. */
  readonly heardAs: string;
  /** Share of the bars it sounds in where it is heard in the role it was given; 1 where it is silent. */
  readonly heardShare: Share;
  /** The bars in which it is heard otherwise, indexes from 0. */
  readonly otherwiseIn: readonly number[];
  /** Why it is heard otherwise, in words; empty where it is not. */
  readonly because: string;
}

/** What was read of a passage, and what it was told to be. */
interface PassageRead {
  readonly after: ScoreWithTexture;
  readonly bars: BarsFound;
  /** Cells of a bar as they are read. */
  readonly readIn: (barIndex: number) => readonly RoleCell[];
  /** Notes that sound in a bar. */
  readonly soundingIn: (barIndex: number) => readonly Note[];
}

/**
 * Reads some bars of a score, which does not say who does what in them, and tells what each of some parts is heard as.
 *
 * @param after the score, and what its parts were told to be
 * @param bars the bars
 * @param figures figures of one's own that parts may have
 * @returns for parts that were changed together, what one of them is heard as
 */
export function hearing(
  after: ScoreWithTexture,
  bars: BarsFound,
  figures: readonly Figure[] = [],
): (part: number, together: readonly number[]) => PartHeard {
  const { score } = after;
  const around = barsBetween(score, {
    fromBarIndex: Math.max(0, bars.fromBarIndex - BARS_AROUND),
    toBarIndex: Math.min(score.bars.length - 1, bars.toBarIndex + BARS_AROUND),
  });
  const { layers: _told, ...plain } = excerpt(after, around).score;
  const read: Texture = recognise(plain, { figures });
  const parts = score.parts.length;
  const near = soundingNotes(score).filter((n) =>
    !n.unpitched && n.onsetTicks < bars.endTicks && n.onsetTicks + n.durationTicks > bars.startTicks
  );
  const passage: PassageRead = {
    after,
    bars,
    readIn: (b) => read.cells.slice((b - around.fromBarIndex) * parts, (b - around.fromBarIndex + 1) * parts),
    soundingIn: (b) => {
      const [from, to] = [score.bars[b]!.startTicks, endOfBar(score, b)];
      return near.filter((n) => n.onsetTicks < to && n.onsetTicks + n.durationTicks > from);
    },
  };
  return (part, together) => heardPart(passage, part, new Set(together));
}

/** What one part is heard as. */
function heardPart(passage: PassageRead, part: number, together: ReadonlySet<number>): PartHeard {
  const { after: { score, texture }, bars } = passage;
  const counts = new Map<string, number>();
  const otherwise: BarWithReason[] = [];
  let sounding = 0;
  for (let barIndex = bars.fromBarIndex; barIndex <= bars.toBarIndex; barIndex++) {
    const told = texture.cells[barIndex * score.parts.length + part]!;
    const read = passage.readIn(barIndex);
    if (read[part]!.role === "rest") continue;
    sounding++;
    const heard = heardIn(passage, told, together);
    const words = heard.figure === heard.role ? heard.role : `${heard.role}: ${heard.figure}`;
    counts.set(words, (counts.get(words) ?? 0) + 1);
    if (heard.role !== told.role) {
      otherwise.push({ barIndex, why: whyIn(passage, { told, heard, together }) });
    }
  }
  const words = [...counts].sort((a, b) => b[1] - a[1]).map(([w]) => w);
  return {
    heardAs: words.length === 0 ? "rest" : words.join(", "),
    heardShare: sounding === 0 ? 1 : 1 - otherwise.length / sounding,
    otherwiseIn: otherwise.map((o) => o.barIndex),
    because: reasonsIn(score, otherwise, sounding)[0] ?? "",
  };
}

/**
 * What a part is heard as in a bar. The reading calls all melody lead: beside a line that has more of the lead, or that led and is
 * still heard to lead, a second melody is a counterline, and a run or a trill is what it is. What was told to be the bass is it
 * where nothing lies lower, or where it goes in octaves with what does.
 */
function heardIn(
  passage: PassageRead,
  told: RoleCell,
  together: ReadonlySet<number>,
): Pick<RoleCell, "role" | "figure" | "reason"> {
  const { after: { score, texture } } = passage;
  const read = passage.readIn(told.barIndex);
  const own = read[told.part]!;
  const { role, figure } = told;
  if (own.role === role) return own;
  if (role === "lead") return isWithLead(passage, told, together) ? { ...own, role, figure } : own;
  const chief = read.reduce((a, b) => b.leadShare > a.leadShare ? b : a);
  const leadsOn = read.some((cell, p) =>
    cell.role === "lead" && !together.has(p) &&
    texture.cells[told.barIndex * score.parts.length + p]!.role === "lead"
  );
  const isBeside = leadsOn || !together.has(chief.part) && chief.leadShare > own.leadShare;
  if (own.role === "lead" && !isBeside) return own;
  if (role === "bass" && isGround(passage, told, together)) return { ...own, role, figure };
  if (own.role !== "lead") return own;
  const plays = figureById(own.figure)?.role ?? "lead";
  if (plays !== "lead") return { ...own, role: plays };
  return { ...own, role: "counterline", figure: "second line" };
}

/** Share of its notes in which a part goes in octaves with another for it to be with it what that is. Model assumption. */
const IN_OCTAVES = 0.5;

/** Whether a part lies lowest in a bar, or goes in octaves with what does, be it one part or whatever sounds lowest at the moment. */
function isGround(passage: PassageRead, told: RoleCell, together: ReadonlySet<number>): boolean {
  const [lowest] = lowerThan(passage, told, together);
  if (lowest === undefined) return true;
  if (goesWith(passage, told, lowest)) return true;
  const notes = passage.soundingIn(told.barIndex);
  const own = notes.filter((n) => n.part === told.part);
  const { startTicks } = passage.after.score.bars[told.barIndex]!;
  const grounded = own.filter(({ onsetTicks, soundingPitch }) => {
    const at = Math.max(onsetTicks, startTicks);
    const under = Math.min(
      ...notes.filter((n) =>
        !together.has(n.part) && n.onsetTicks <= at && n.onsetTicks + n.durationTicks > at
      ).map((n) => n.soundingPitch),
    );
    return under >= soundingPitch || (soundingPitch - under) % 12 === 0;
  });
  return grounded.length > IN_OCTAVES * own.length;
}

/** Whether a part has in a bar what one that leads has, in unison or octaves: who doubles a lead leads, also where it holds. */
function isWithLead(passage: PassageRead, told: RoleCell, together: ReadonlySet<number>): boolean {
  return passage.readIn(told.barIndex).some((cell, p) =>
    cell.role === "lead" && !together.has(p) && goesWith(passage, told, p)
  );
}

/** Whether a part goes in unison or octaves with another in a bar. */
function goesWith(
  { after: { score }, soundingIn }: PassageRead,
  { barIndex, part }: Pick<RoleCell, "barIndex" | "part">,
  other: number,
): boolean {
  const { startTicks } = score.bars[barIndex]!;
  const notes = soundingIn(barIndex);
  const own = notes.filter((n) => n.part === part);
  const beside = notes.filter((n) => n.part === other);
  const alike = own.filter(({ onsetTicks, soundingPitch }) => {
    const at = Math.max(onsetTicks, startTicks);
    return beside.some((n) =>
      n.onsetTicks <= at && n.onsetTicks + n.durationTicks > at &&
      (n.soundingPitch - soundingPitch) % 12 === 0
    );
  });
  return alike.length > IN_OCTAVES * own.length;
}

/** Parts that sound lower than one in a bar and were not changed with it, the lowest first. */
function lowerThan(
  { soundingIn }: PassageRead,
  { barIndex, part }: Pick<RoleCell, "barIndex" | "part">,
  together: ReadonlySet<number>,
): readonly number[] {
  const heights = heightsIn(soundingIn(barIndex));
  return [...heights].filter(([p, height]) =>
    !together.has(p) && height < (heights.get(part) ?? -Infinity) - ABOVE_SEMITONES
  )
    .sort((a, b) => a[1] - b[1]).map(([p]) => p);
}

/** Mean pitch of each part. */
function heightsIn(notes: readonly Note[]): ReadonlyMap<number, number> {
  return new Map(
    [...Map.groupBy(notes, (n) => n.part)].map(([part, own]) => [
      part,
      own.reduce((sum, n) => sum + n.soundingPitch, 0) / own.length,
    ]),
  );
}

/** Why a part is heard otherwise than it was told: what lies above, below or beside it, else what the reading goes by. */
function whyIn(
  passage: PassageRead,
  { told, heard, together }: {
    readonly told: RoleCell;
    readonly heard: Pick<RoleCell, "role" | "reason">;
    readonly together: ReadonlySet<number>;
  },
): string {
  const { after: { score, texture }, soundingIn } = passage;
  const { part, barIndex } = told;
  const nameOf = (p: number) => score.parts[p]!.name;
  const notes = soundingIn(barIndex);
  const [lowest] = lowerThan(passage, told, together);
  if (told.role === "bass" && lowest !== undefined) return `the bass lies below it, in ${nameOf(lowest)}`;
  if (heard.role === "bass" && lowest === undefined) return "nothing lies below it";
  const { startTicks } = score.bars[barIndex]!;
  const begunBy = (p: number) => notes.filter((n) => n.part === p && n.onsetTicks >= startTicks).length;
  const heights = heightsIn(notes);
  const others = [...heights.keys()].filter((p) => !together.has(p)).sort((a, b) => a - b);
  if (heard.role === "lead") {
    const leads = others.filter((p) => texture.cells[barIndex * score.parts.length + p]!.role === "lead");
    if (leads.length === 0) return "nobody else leads";
    if (leads.every((p) => heights.get(p)! < heights.get(part)!)) {
      return `it lies above the lead, ${nameOf(leads[0]!)}`;
    }
    if (leads.every((p) => begunBy(p) < begunBy(part))) {
      return `it moves more than the lead, ${nameOf(leads[0]!)}`;
    }
  }
  const strokesOf = (p: number) =>
    notes.filter((n) => n.part === p && n.onsetTicks >= startTicks).map((n) => n.onsetTicks).join(" ");
  const beside = others.find((p) => strokesOf(p) !== "" && strokesOf(p) === strokesOf(part));
  if (beside !== undefined) return `it strikes with ${nameOf(beside)}`;
  // The reading's own words, without the part and its role.
  return heard.reason.slice(nameOf(part).length + 2).split(", ").slice(1, 4).join(", ");
}

/** Reasons with the bars they are for, the commonest first; without bars where they hold in all of so many. */
function reasonsIn(score: Score, all: readonly BarWithReason[], bars: number): readonly string[] {
  const byReason = [...Map.groupBy(all, (o) => o.why)].sort((a, b) => b[1].length - a[1].length);
  return byReason.map(([why, where]) => {
    if (where.length === bars) return why;
    const [first, last] = [where[0]!.barIndex, where.at(-1)!.barIndex].map((b) => score.bars[b]!.number);
    return `${why} in ${
      first === last
        ? `bar ${first}`
        : where.length === where.at(-1)!.barIndex - where[0]!.barIndex + 1
        ? `bars ${first} to ${last}`
        : `${where.length} of its bars`
    }`;
  });
}

/** What a part is heard as instead of what it was told, of roles and figures of which the commonest comes first. */
export function heardInstead(heardAs: string, told: string): string {
  const all = heardAs.split(", ");
  return all.find((words) => words.split(": ")[0] !== told) ?? all[0]!;
}
