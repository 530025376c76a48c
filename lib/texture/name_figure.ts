/** Naming the figure a part plays, in the words of the figure table. */
import type { CellFeatures } from "./features.ts";
import { FIGURES } from "./figures.ts";
import type { Role } from "./roles.ts";

/** Rhythm of the bar's notes as positions within a quarter, with how often each occurs. */
function positionsInQuarter(f: CellFeatures, ticksPerQuarter: number): ReadonlyMap<number, number> {
  const counts = new Map<number, number>();
  for (const n of f.line) {
    const at = Math.round((n.onsetTicks % ticksPerQuarter) / ticksPerQuarter * 24) / 24;
    counts.set(at, (counts.get(at) ?? 0) + 1);
  }
  return counts;
}

/** How well strokes of a cell agree with where the notes fall, 0 to 1. */
function agreement(
  strokes: readonly { readonly at: number }[],
  positions: ReadonlyMap<number, number>,
): number {
  const total = [...positions.values()].reduce((a, b) => a + b, 0);
  if (total === 0) return 0;
  let explained = 0;
  for (const [at, count] of positions) {
    if (strokes.some((s) => Math.abs(s.at - at) < 1 / 24)) explained += count;
  }
  const filled =
    strokes.filter((s) => [...positions.keys()].some((at) => Math.abs(s.at - at) < 1 / 24)).length;
  return explained / total * (filled / strokes.length);
}

/** Whether the bar's notes swing between two pitches, which may change with the harmony. */
function alternates({ line }: CellFeatures): boolean {
  if (line.length < 3) return new Set(line.map((n) => n.soundingPitch)).size === 2;
  const back = line.slice(2).filter((n, i) =>
    n.soundingPitch === line[i]!.soundingPitch && n.soundingPitch !== line[i + 1]!.soundingPitch
  );
  return back.length >= 0.6 * (line.length - 2);
}

/** Note value whose length is nearest, for figures the table has no word for. */
function valueName(quarters: number): string {
  const values: readonly (readonly [number, string])[] = [
    [4, "whole notes"],
    [2, "half notes"],
    [1, "quarters"],
    [1 / 2, "eighths"],
    [1 / 3, "triplets"],
    [1 / 4, "sixteenths"],
    [1 / 8, "thirty-seconds"],
  ];
  return values.reduce((best, v) =>
    Math.abs(Math.log(quarters / v[0])) < Math.abs(Math.log(quarters / best[0])) ? v : best
  )[1];
}

/**
 * Name of the figure a part plays in a bar: the table's figure of that role whose rhythm agrees best, or a plain
 * description where none does.
 *
 * @param features what the part's notes look like
 * @param role role it was given
 * @param ticksPerQuarter grid of the score
 * @returns the name
 */
export function nameFigure(features: CellFeatures, role: Role, ticksPerQuarter: number): string {
  const f = features;
  const written = f.meanQuarters;
  if (role === "pad") return "held chord";
  if (role === "trill") return f.trill >= f.tremolo ? "trill" : "tremolo";
  if (role === "run") {
    const quarters = f.line.reduce((sum, n) => sum + n.durationTicks, 0) / ticksPerQuarter;
    return quarters > 0.8 * f.barQuarters ? "running scale" : "scale into the bar";
  }
  if (role === "punctuation") {
    return f.onsets === 1 && f.offBeat === 0 ? "stroke on the downbeat" : "separate strokes";
  }
  if (role === "counterline") return "second line";
  if (role === "bass" && written >= 1.5) {
    return f.strokes > 1 && f.repeats > 0.5 && written <= 2 ? "bass in half notes" : "sustained bass";
  }
  if (role === "bass") return written >= 0.75 ? "bass on every quarter" : `bass in ${valueName(written)}`;
  if (role === "pulse" && f.tremolo > 0.5) return `repeated ${valueName(written)}`;
  if (role === "pulse" || role === "figuration") {
    const positions = positionsInQuarter(f, ticksPerQuarter);
    const wanted = role === "pulse" ? ["repeated"] : alternates(f) ? ["alternating"] : ["broken"];
    let best: string | undefined;
    let bestFit = 0.75;
    for (const figure of FIGURES) {
      if (figure.role !== role || !wanted.includes(figure.pitches) || figure.cellQuarters !== 1) continue;
      const fit = agreement(figure.strokes, positions);
      if (fit > bestFit) {
        best = figure.id;
        bestFit = fit;
      }
    }
    if (best) return best;
    if (written > 0) {
      return `${
        role === "pulse" ? "repeated" : wanted[0] === "broken" ? "broken chord in" : "alternation in"
      } ${valueName(written)}`;
    }
  }
  return role;
}
