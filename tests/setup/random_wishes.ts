/** Wishes for finished scores, drawn at random: some parts, some bars, anything they could be asked for. */
import { instrumentById } from "../../lib/instruments/catalogue.ts";
import { fitsMetre } from "../../lib/orchestrate/plan/fits_metre.ts";
import type { Wish } from "../../lib/orchestrate/rewrite/wish.ts";
import type { Score } from "../../lib/score/model.ts";
import { type Figure, figuresFor } from "../../lib/texture/figures.ts";
import type { Role } from "../../lib/texture/roles.ts";
import { pick } from "./generated_sketches.ts";

const ROLES: readonly Role[] = [
  "pad",
  "pad",
  "pulse",
  "pulse",
  "figuration",
  "run",
  "trill",
  "counterline",
  "punctuation",
  "bass",
  "lead",
];

/** Whether a figure is one that an instrument could be asked for (common practice, no source). */
function suits({ role, id }: Figure, name: string): boolean {
  const { family, unpitched, sustains, rangeComfortable: { low } } = instrumentById(name);
  if (unpitched || name === "timpani") return role === "pulse" || role === "punctuation" || id === "tremolo";
  if (role === "bass") return low < 48;
  if (role === "trill") {
    return id === "tremolo" ? family === "strings" : ["woodwind", "strings"].includes(family);
  }
  if (role === "run" || role === "figuration") return family !== "brass" && low >= 36;
  return sustains && low >= 34;
}

/** A wish for four to eight bars of a score and one to three of its parts. */
export function randomWish(score: Score, next: () => number): Wish {
  const length = 4 + Math.floor(5 * next());
  const from = Math.floor(next() * Math.max(1, score.bars.length - length));
  const span = {
    fromBar: Number(score.bars[from]!.number),
    toBar: Number(score.bars[Math.min(score.bars.length - 1, from + length - 1)]!.number),
  };
  const kind = next();
  const figure = pick(figuresFor(pick(ROLES, next)).filter((f) => !f.asWritten), next);
  // Most are for figures that go into the metre; what is said of the others is a refusal.
  const isInMetre = fitsMetre(figure, score.bars[from]!, score.ticksPerQuarter);
  if (!isInMetre && next() < 3 / 4) return randomWish(score, next);
  const fit = score.parts.filter((p) => kind >= 0.75 || suits(figure, p.instrument)).map((p) => p.name);
  if (fit.length === 0) return randomWish(score, next);
  const parts = [...new Set(Array.from({ length: 1 + Math.floor(3 * next()) }, () => pick(fit, next)))];
  if (kind < 0.75) {
    const loud = next() < 0.5 ? {} : { dynamic: pick(["pp", "p", "mf", "f"], next) };
    return { ...span, parts, role: figure.role, figure: figure.id, ...loud };
  }
  if (kind < 0.83) return { ...span, parts, role: "rest" };
  return {
    ...span,
    parts,
    ...pick([
      { dynamic: "p", dynamicEnd: "f" },
      { dynamic: "pp" },
      { articulation: "staccato" as const },
      { articulation: "slurred" as const },
      { octave: -1 },
      { technique: "con sordino" as const },
    ], next),
  };
}
