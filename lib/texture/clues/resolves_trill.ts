/** The note on which a trill is resolved. */
import type { CellFeatures } from "../features/features.ts";

/** Whether a bar's only note is the one on which the trill of the bar before is resolved, after its turn. */
export function resolvesTrill({ line, felt }: CellFeatures, before: CellFeatures | undefined): boolean {
  const [note] = line;
  const last = before?.line.at(-1);
  return line.length === 1 && !note!.trill && note!.onsetTicks === felt.startTicks && last !== undefined &&
    before!.turned && last.onsetTicks + last.durationTicks === note!.onsetTicks;
}
