/** Dynamics as a source wrote them: kept with their part, and written again where the notes still follow them. */
import type { Note, Part, WrittenDynamic } from "../../score/model.ts";
import { dynamicCurve, type TimedMark } from "./apply_dynamics.ts";
import type { RawMark } from "./raw_score.ts";

/** A fraction of a step that no reader tells apart. */
const SAME_STEPS = 1e-6;

/** Marks for each stave. A stave without dynamics of its own follows those of the whole part. */
export function marksByStaff(marks: readonly TimedMark[]): (staff: number) => readonly TimedMark[] {
  const isLevel = (m: TimedMark) => m.mark.kind !== "technique";
  const stavesWithLevels = new Set(marks.filter(isLevel).map((m) => m.mark.staff));
  return (staff) =>
    marks.filter((m) =>
      m.mark.staff === 0 || m.mark.staff === staff || (isLevel(m) && !stavesWithLevels.has(staff))
    );
}

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

function markOf(dynamic: WrittenDynamic): TimedMark {
  const { onsetTicks: ticks, staff, kind } = dynamic;
  const place = { barIndex: 0, offsetTicks: ticks, staff };
  const mark: RawMark = kind === "mark"
    ? { ...place, kind: "dynamic", mark: dynamic.mark ?? "mf" }
    : kind === "growing" || kind === "fading"
    ? { ...place, kind: "growth", direction: kind === "growing" ? 1 : -1 }
    : { ...place, kind: "wedge", type: kind, number: dynamic.number ?? 1 };
  return { ticks, mark };
}

/** The dynamics a part was read with, if its notes still have them; undefined also where there are none. */
export function dynamicsInForce(
  part: Part,
  options: { readonly notes: readonly Note[]; readonly ticksPerQuarter: number },
): readonly WrittenDynamic[] | undefined {
  const { notes, ticksPerQuarter } = options;
  if (!part.writtenDynamics) return undefined;
  const byStaff = marksByStaff(part.writtenDynamics.map(markOf));
  const curves = new Map<number, (ticks: number) => number>();
  for (const note of notes) {
    let curve = curves.get(note.staff);
    if (!curve) curves.set(note.staff, curve = dynamicCurve(byStaff(note.staff), ticksPerQuarter));
    if (Math.abs(curve(note.onsetTicks) - note.dynamic) > SAME_STEPS) return undefined;
  }
  return part.writtenDynamics;
}
