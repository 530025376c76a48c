/** Clues a part gives of what it is for: named numbers per bar and part, read over three spans and beside the other parts. */
import { instrumentById } from "../../instruments/catalogue.ts";
import type { CellFeatures } from "../features/features.ts";
import { type Companions, companionsOf } from "../features/overlaps.ts";
import { type Patterns, recurrencesOf } from "../features/recurrences.ts";
import { BAR_CLUES, writeBarClues } from "./bar_clues.ts";
import { besideOf } from "./beside.ts";
import { COUNT_WIDTH, countsOf } from "./counts.ts";
import { rowsFor } from "./rows.ts";
import { countedAt, SPAN_CLUES, SPAN_WIDTH, SPANS, writeSpanClues } from "./span_clues.ts";
import type { ScoreFrame } from "../features/score_frame.ts";

/** Names of all clues, in the order of a row. */
export const CLUES: readonly string[] = [...SPAN_CLUES, ...BAR_CLUES];

/** Clues of a score. */
export interface Clues {
  /** Rows of {@linkcode CLUES}, by bar, then part; all zero where a part is silent. */
  readonly rows: readonly Float64Array[];
  /** Which parts do the same. */
  readonly companions: Companions;
}

/** First and last bar of a span of so many units at least around a bar. */
function spanOf(lengths: readonly number[], bar: number, units: number): readonly [number, number] {
  const target = units * 0.9;
  let [from, to] = [bar, bar];
  let length = lengths[bar]!;
  while (length < target && (from > 0 || to + 1 < lengths.length)) {
    if (to + 1 < lengths.length) length += lengths[++to]!;
    if (from > 0) length += lengths[--from]!;
  }
  return [from, to];
}

/** Counts of all parts of a bar, summed over each of the spans around it. */
function sumsOver(
  counts: Float64Array,
  bar: number,
  { lengths, parts }: { readonly lengths: readonly number[]; readonly parts: number },
): readonly Float64Array[] {
  const width = parts * COUNT_WIDTH;
  const own = counts.subarray(bar * width, (bar + 1) * width);
  return SPANS.map(([, units]) => {
    const [from, to] = spanOf(lengths, bar, units);
    if (from === to) return own;
    const sums = new Float64Array(width);
    for (let b = from; b <= to; b++) {
      const at = b * width;
      for (let i = 0; i < width; i++) sums[i]! += counts[at + i]!;
    }
    return sums;
  });
}

/** Clues of every bar and part. */
export function cluesOf(score: ScoreFrame, features: readonly CellFeatures[], patterns: Patterns): Clues {
  const parts = score.parts.length;
  const counts = countsOf(score, features);
  const companions = companionsOf(score, features);
  const recurrences = recurrencesOf(score, features, {
    patterns,
    pitchesAsBefore: companions.pitchesAsBefore,
  });
  const instruments = score.parts.map((p) => instrumentById(p.instrument));
  const firstStrings = instruments.findIndex((i) => i.family === "strings");
  const lengths = score.bars.map(({ durationTicks }, b) =>
    parts === 0 ? 1 : durationTicks / features[b * parts]!.felt.unitTicks
  );
  /** Units since each part came in. */
  const sinceEntry = new Float64Array(parts);
  const rows = rowsFor(features.map((f) => f.sounds), CLUES.length);
  score.bars.forEach((_, b) => {
    const sounding = Array.from({ length: parts }, (_, p) => p).filter((p) =>
      features[b * parts + p]!.sounds
    );
    if (sounding.length === 0) return;
    const sums = sumsOver(counts, b, { lengths, parts });
    const near = (p: number) => countedAt(sums[1]!, p * COUNT_WIDTH);
    const beside = besideOf(sounding, { near, instruments });
    for (const part of sounding) {
      const index = b * parts + part;
      const soundsBefore = features[index - parts]?.sounds ?? false;
      sinceEntry[part] = soundsBefore ? sinceEntry[part]! + lengths[b - 1]! : 0;
      const row = rows[index]!;
      let at = 0;
      for (const [k, span] of sums.entries()) {
        // A bar of four beats is all that is near.
        if (span === sums[k - 1]) row.copyWithin(at, at - SPAN_WIDTH, at);
        else writeSpanClues(row, at, countedAt(span, part * COUNT_WIDTH));
        at += SPAN_WIDTH;
      }
      writeBarClues(row, at, {
        index,
        part,
        features: features[index]!,
        counted: countedAt(counts, index * COUNT_WIDTH),
        instrument: instruments[part]!,
        firstStrings: part === firstStrings,
        beside,
        companions,
        soundsBefore,
        soundsAfter: features[index + parts]?.sounds ?? false,
        sinceEntry: sinceEntry[part]!,
        recurrences,
      });
    }
  });
  return { rows, companions };
}
