/** Places gathered into passages: one finding per passage, not per note. */
import type { Score } from "../../score/model.ts";
import { barBeatOf, barIndexOf } from "../../score/time.ts";
import type { FindingPlace } from "./judge.ts";
import type { PlayabilityFinding, Severity } from "./playability_results.ts";

/** Severities from the worst down. */
export const SEVERITIES: readonly Severity[] = ["impossible", "risky", "tiring", "note"];

/** Places of one part and rule at most this many bars apart are one finding. */
const BARS_APART = 4;

/**
 * One finding per passage: places of one part and rule that follow each other, with the words of the worst one
 * and the place of the first.
 */
export function gatherPlaces(places: readonly FindingPlace[], score: Score): readonly PlayabilityFinding[] {
  const findings: PlayabilityFinding[] = [];
  for (const group of Map.groupBy(places, (p) => `${p.part} ${p.rule}`).values()) {
    let open:
      | { worst: FindingPlace; fromBarIndex: number; toBarIndex: number; first: FindingPlace; places: number }
      | undefined;
    const close = () => {
      if (!open) return;
      const { onsetTicks: _start, endTicks: _end, ...worst } = open.worst;
      const place = barBeatOf(score, open.first.onsetTicks);
      findings.push({
        ...worst,
        fromBarIndex: open.fromBarIndex,
        toBarIndex: open.toBarIndex,
        bar: place.bar,
        beat: place.beat,
        places: open.places,
      });
      open = undefined;
    };
    for (const p of group.toSorted((a, b) => a.onsetTicks - b.onsetTicks)) {
      const fromBarIndex = barIndexOf(score, p.onsetTicks);
      const toBarIndex = barIndexOf(score, Math.max(p.onsetTicks, p.endTicks - 1));
      if (open && fromBarIndex - open.toBarIndex <= BARS_APART) {
        open.toBarIndex = Math.max(open.toBarIndex, toBarIndex);
        open.places++;
        if (isWorse(p, open.worst)) open.worst = p;
      } else {
        close();
        open = { worst: p, first: p, fromBarIndex, toBarIndex, places: 1 };
      }
    }
    close();
  }
  return findings.sort((a, b) =>
    SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity) || a.fromBarIndex - b.fromBarIndex ||
    a.part - b.part
  );
}

/** Whether one figure is worse than another: more serious, or further from its limit. */
export function isWorse(
  a: Pick<PlayabilityFinding, "severity" | "figure" | "limit">,
  b: Pick<PlayabilityFinding, "severity" | "figure" | "limit">,
): boolean {
  const rank = SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity);
  return rank < 0 || rank === 0 && Math.abs(a.figure - a.limit) > Math.abs(b.figure - b.limit);
}
