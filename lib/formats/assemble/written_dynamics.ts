/** Dynamics as a source wrote them: kept with their part, and written again where the notes still follow them. */
import type { Note, Part, WrittenDynamic } from "../../score/model.ts";
import { type DynamicCourse, dynamicCourse, signsOfStave } from "../../score/dynamic_course.ts";
import type { TimedMark } from "./raw_score.ts";

/** A fraction of a step that no reader tells apart. */
const SAME_STEPS = 1e-6;

/** What a part keeps of its marks: dynamics, hairpins and words such as cresc. */
export function keptDynamics(marks: readonly TimedMark[]): readonly WrittenDynamic[] {
  return marks.flatMap(({ ticks, mark }): WrittenDynamic[] => {
    const place = { onsetTicks: ticks, staff: mark.staff };
    if (mark.kind === "dynamic") {
      const { pieces, inWords } = mark;
      const more = { ...(pieces ? { pieces } : {}), ...(inWords ? { inWords } : {}) };
      return [{ ...place, kind: "mark", mark: mark.mark, ...more }];
    }
    if (mark.kind === "wedge") return [{ ...place, kind: mark.type, number: mark.number }];
    if (mark.kind === "growth") {
      const inWords = mark.inWords ? { inWords: mark.inWords } : {};
      return [{ ...place, kind: mark.direction === 1 ? "growing" : "fading", ...inWords }];
    }
    return [];
  });
}

/** The dynamics a part was read with, if its notes still have them; undefined also where there are none. */
export function dynamicsInForce(
  part: Part,
  options: { readonly notes: readonly Note[]; readonly ticksPerQuarter: number },
): readonly WrittenDynamic[] | undefined {
  const { notes, ticksPerQuarter } = options;
  if (!part.writtenDynamics) return undefined;
  const courses = new Map<number, DynamicCourse>();
  for (const note of notes) {
    let course = courses.get(note.staff);
    if (!course) {
      course = dynamicCourse(signsOfStave(part.writtenDynamics, note.staff), ticksPerQuarter);
      courses.set(note.staff, course);
    }
    if (Math.abs(course.at(note.onsetTicks) - note.dynamic) > SAME_STEPS) return undefined;
  }
  return part.writtenDynamics;
}
