/** The dynamic signs of a part as its plan has them: marks where a layer begins, hairpins that begin and end under notes. */
import type { Ticks } from "../../base/units.ts";
import { dynamicMark, dynamicOf } from "../../score/dynamics.ts";
import type { Bar, WrittenDynamic } from "../../score/model.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";

/** A note of a part with the layer it stands in. */
interface PlacedNote {
  readonly onsetTicks: Ticks;
  readonly durationTicks: Ticks;
  readonly from: Pick<PlacedAssignment, "assignment" | "toBarIndex">;
}

/** Bars of silence after which a mark is printed again; common practice, no source. */
const SILENT_BARS = 4;

/**
 * Dynamic signs of one part. Each layer begins with its mark, where that is new or the part has been silent; a hairpin
 * runs from the layer's first note to the first of its last bar, or to its last note, where what it leads to is printed. Under a
 * single long note it ends on the note's last quarter.
 *
 * @param notes the part's notes, in order
 * @param score bars and grid
 * @returns signs in order, for the whole part
 */
export function plannedDynamics(
  notes: readonly PlacedNote[],
  { bars, ticksPerQuarter }: { readonly bars: readonly Bar[]; readonly ticksPerQuarter: Ticks },
): readonly WrittenDynamic[] {
  const signs: WrittenDynamic[] = [];
  const silence = SILENT_BARS * (bars[0]?.durationTicks ?? 0);
  let running: number | undefined;
  let soundedTo = 0;
  const mark = (onsetTicks: Ticks, dynamic: number) => {
    signs.push({ onsetTicks, staff: 0, kind: "mark", mark: dynamicMark(dynamic) });
    running = dynamic;
  };
  for (const [{ assignment, toBarIndex }, own] of Map.groupBy(notes, (n) => n.from)) {
    const first = own[0]!.onsetTicks;
    const end = Math.max(...own.map((n) => n.onsetTicks + n.durationTicks));
    const [from, to] = [dynamicOf(assignment.dynamic)!, dynamicOf(assignment.dynamicEnd)!];
    if (running !== from || first - soundedTo >= silence) mark(first, from);
    if (from !== to) {
      const stop = hairpinEnd(own, bars[toBarIndex]!.startTicks, ticksPerQuarter);
      const hairpin = { staff: 0, number: 1 };
      signs.push({ ...hairpin, onsetTicks: first, kind: to > from ? "crescendo" : "diminuendo" });
      signs.push({ ...hairpin, onsetTicks: stop, kind: "stop" });
      mark(stop, to);
    }
    soundedTo = Math.max(soundedTo, end);
  }
  return signs;
}

/** Where a hairpin over some notes ends: on a note of the last bar, or under the one that is held into it. */
function hairpinEnd(notes: readonly PlacedNote[], lastBar: Ticks, quarter: Ticks): Ticks {
  const first = notes[0]!.onsetTicks;
  const inLastBar = notes.find((n) => n.onsetTicks >= lastBar && n.onsetTicks > first);
  if (inLastBar) return inLastBar.onsetTicks;
  const { onsetTicks, durationTicks } = notes.at(-1)!;
  const end = onsetTicks + durationTicks;
  if (end > lastBar && lastBar > onsetTicks) return lastBar;
  return onsetTicks > first ? onsetTicks : end - Math.min(quarter, durationTicks / 2);
}
