/** How loud a held note goes on where its part has signs under it: an fp, a hairpin, a new mark. */
import { memo, memoOf } from "../../base/memo.ts";
import { type DynamicCourse, dynamicCourse, signsOfStave } from "../../score/dynamic_course.ts";
import type { Note, Part, WrittenDynamic } from "../../score/model.ts";
import type { Ticks } from "../../base/units.ts";

/** How much louder than at its start a note is at a place, in steps of the dynamic scale. */
type StepsAfterStart = (ticks: Ticks) => number;

/** How long the stress of an sf or fp lasts, in quarters: an eighth. Model assumption. */
const STRESS_QUARTERS = 0.5;

/** Courses of the staves under the same signs: scores that differ elsewhere share them. */
const knownCourses = memoOf((_signs: readonly WrittenDynamic[]) => memo<DynamicCourse>(8));

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
  const courses = new Map<number, DynamicCourse>();
  const courseOf = (staff: number): DynamicCourse => {
    let course = courses.get(staff);
    if (course === undefined) {
      course = knownCourses(signs)(
        `${staff} ${ticksPerQuarter}`,
        () => dynamicCourse(signsOfStave(signs, staff), ticksPerQuarter),
      );
      courses.set(staff, course);
    }
    return course;
  };
  return (note) => {
    const { running, stress: stressAt, changesWithin } = courseOf(note.staff);
    const from = note.onsetTicks, to = from + note.durationTicks;
    const stressTo = from + STRESS_QUARTERS * ticksPerQuarter;
    const stress = stressAt(from);
    if (!changesWithin(from, to) && (stress === undefined || stressTo >= to)) return undefined;
    return stress === undefined
      ? stepsAfter(running, { start: running(from), stressTo: -Infinity })
      : stepsAfter(running, { start: stress, stressTo });
  };
}

/**
 * How much louder than at its start a note is that is under stress up to a place. On its own: inside, each note that does not
 * change would leave as much behind.
 */
function stepsAfter(
  running: (ticks: Ticks) => number,
  { start, stressTo }: { readonly start: number; readonly stressTo: Ticks },
): StepsAfterStart {
  return (ticks) => ticks < stressTo ? 0 : running(ticks) - start;
}
