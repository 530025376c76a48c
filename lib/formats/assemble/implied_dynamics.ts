/** How loud a part comes in where nothing is printed at its entry: as those do with whom it comes in. */
import { median } from "simple-statistics";
import { addTo } from "../../base/add_to.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import { type DynamicCourse, dynamicCourse, signsOfStave } from "../../score/dynamic_course.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Part, WrittenDynamic } from "../../score/model.ts";

/** A part as far as its entries go: when it sounds, and what is printed of dynamics. */
interface EnteringPart {
  readonly part: Pick<Part, "name" | "instrument">;
  /** Times of its notes in ticks, in order. */
  readonly notes: readonly { readonly onsetTicks: number; readonly endTicks: number }[];
  readonly signs: readonly WrittenDynamic[];
}

/** Rest in quarters after which a part comes in anew. Model assumption. */
const REST_QUARTERS = 8;
/** Quarters around an entry in which a mark is its own. Model assumption, as for the mark at a hairpin's end. */
const OWN_MARK_QUARTERS = 1;
/** Least difference, in steps of the dynamic scale, that is worth a mark. Model assumption. */
const LEAST_STEPS = 1;
/** Least number of parts of other families that say how loud an entry is. Model assumption. */
const FEWEST_OTHERS = 3;

/**
 * Marks that are meant and not printed, for each part: where it comes in at the beginning or after a rest without a
 * mark of its own, and others that begin a note with it have been marked since its own last sign. Players of its own
 * line say it (Horn 1 for Horn 2), where there are none its family, else the others, by their median. Common practice
 * of players, no source; only what is printed counts as a sign, so the order of parts changes nothing.
 */
export function impliedDynamics(
  parts: readonly EnteringPart[],
  ticksPerQuarter: number,
): readonly (readonly WrittenDynamic[])[] {
  const courses = parts.map(({ signs }) => dynamicCourse(signsOfStave(signs, 1), ticksPerQuarter));
  const starting = startingAt(parts);
  return parts.map((entering, p) =>
    entriesOf(entering, REST_QUARTERS * ticksPerQuarter).flatMap(({ ticks, restsFrom }): WrittenDynamic[] => {
      const isOwn = ({ kind, onsetTicks }: WrittenDynamic) =>
        kind === "mark" && onsetTicks >= restsFrom &&
        onsetTicks <= ticks + OWN_MARK_QUARTERS * ticksPerQuarter;
      if (entering.signs.some(isOwn) || isUnderHairpin(entering.signs, ticks)) return [];
      const since = lastSignBefore(entering.signs, restsFrom);
      const told = (starting.get(ticks) ?? []).filter((q) =>
        q !== p && lastSignBefore(parts[q]!.signs, ticks + 1) > since
      );
      const level = levelTold(
        told.map((q) => ({ own: parts[q]!.part, course: courses[q]! })),
        entering.part,
        ticks,
      );
      if (level === undefined || Math.abs(level - courses[p]!.running(ticks)) < LEAST_STEPS) return [];
      return [{ onsetTicks: ticks, staff: 0, kind: "mark", mark: dynamicMark(level), implied: true }];
    })
  );
}

/** The signs of a part with those that are meant, in order; at one place what is meant comes first. */
export function withImplied(
  signs: readonly WrittenDynamic[],
  implied: readonly WrittenDynamic[],
): readonly WrittenDynamic[] {
  return [...implied, ...signs].sort((a, b) => a.onsetTicks - b.onsetTicks);
}

/** Whether a place lies under a hairpin, which says itself how loud it is there. */
function isUnderHairpin(signs: readonly WrittenDynamic[], ticks: number): boolean {
  const hairpins = signs.filter((s) => ["crescendo", "diminuendo", "stop"].includes(s.kind));
  const before = hairpins.findLast((s) => s.onsetTicks <= ticks);
  const after = hairpins.find((s) => s.onsetTicks > ticks);
  return before !== undefined && before.kind !== "stop" && after?.kind === "stop";
}

interface PartEntry {
  readonly ticks: number;
  /** Where the rest before it begins; before everything for the first. */
  readonly restsFrom: number;
}

function entriesOf({ notes }: EnteringPart, leastTicks: number): readonly PartEntry[] {
  let end = -Infinity;
  return notes.flatMap(({ onsetTicks, endTicks }): readonly PartEntry[] => {
    const restsFrom = end;
    end = Math.max(end, endTicks);
    return onsetTicks - restsFrom >= leastTicks ? [{ ticks: onsetTicks, restsFrom }] : [];
  });
}

/** Which parts begin a note at a place. */
function startingAt(parts: readonly EnteringPart[]): ReadonlyMap<number, readonly number[]> {
  const starting = new Map<number, number[]>();
  parts.forEach(({ notes }, p) => {
    for (const { onsetTicks } of notes) {
      if (starting.get(onsetTicks)?.at(-1) !== p) addTo(starting, onsetTicks, p);
    }
  });
  return starting;
}

function lastSignBefore(signs: readonly WrittenDynamic[], ticks: number): number {
  return signs.findLast((s) => s.onsetTicks < ticks)?.onsetTicks ?? -Infinity;
}

function levelTold(
  told: readonly { readonly own: EnteringPart["part"]; readonly course: DynamicCourse }[],
  part: EnteringPart["part"],
  ticks: number,
): number | undefined {
  const family = (each: EnteringPart["part"]) => instrumentById(each.instrument).family;
  const desk = told.filter(({ own }) =>
    own.instrument === part.instrument && lineName(own.name).stem === lineName(part.name).stem
  );
  const kin = told.filter(({ own }) => family(own) === family(part));
  const others = told.length >= FEWEST_OTHERS ? told : [];
  const group = [desk, kin, others].find((each) => each.length > 0);
  return group && median(group.map(({ course }) => course.running(ticks)));
}
