/** Figures that suit some players at the speed of a passage. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { fullBarTicks, isCompound } from "../../score/time.ts";
import { type Figure, figuresFor } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";
import { playsChords } from "../plan/division.ts";
import { fillsBar, goesAgainst } from "../plan/fits_metre.ts";
import type { PassageGroup } from "./groups_in.ts";
import type { PassageScene } from "./scene.ts";

/** Strokes a second beyond which nobody is asked for a figure. Common practice, no source; the rules judge each player. */
const QUICKEST = 13;

/** Whether beats of a passage divide in three or in two. */
export function feltUnit({ score, bars }: Pick<PassageScene, "score" | "bars">): 2 | 3 {
  return isCompound(score.bars[bars.fromBarIndex]!) ? 3 : 2;
}

/** A figure with its speed. */
interface FigureAt {
  readonly id: Figure["id"];
  readonly role: Role;
  /** Strokes a second; 0 where it has no cell of its own. */
  readonly perSecond: number;
}

/** Strokes a second up to which a family is asked to repeat a note in a background. Common practice, no source. */
const REPEATED: Readonly<Partial<Record<Instrument["family"], number>>> = { brass: 6, woodwind: 8 };

/** Who is asked for a figure. */
type FigurePlayers = Pick<PassageGroup, "family" | "instruments">;

/** Whether a family plays figures of a role. Common practice, no source. */
function isIdiomatic(
  { role, id, shape, tremoloSlashes }: Figure,
  { family, instruments }: FigurePlayers,
): boolean {
  const isDrum = instruments.some((i) => i.unpitched || i.id === "timpani");
  if (isDrum) return false;
  // Slashes are for the bow; what dies away is no pulse.
  if (tremoloSlashes > 0 && family !== "strings") return false;
  if (role === "pulse" && !instruments.every((i) => i.sustains)) return false;
  if (role === "trill") {
    return shape === "tremolo" ? family === "strings" : ["strings", "woodwind"].includes(family);
  }
  if (role === "run" || role === "figuration") return family !== "brass";
  if (id === "rolled chords") return instruments.every(playsChords);
  if (role === "pad") return instruments.every((i) => i.sustains);
  return role !== "bass" || id !== "sustained bass" || instruments.every((i) => i.sustains);
}

/** Strokes of a figure in a quarter note; 0 where it has no cell, and its strokes are not counted by slashes. */
function strokesPerQuarter({ cellQuarters, strokes, tremoloSlashes }: Figure): number {
  if (cellQuarters > 0) return strokes.length / cellQuarters;
  return tremoloSlashes === 1 || tremoloSlashes === 2 ? 2 ** tremoloSlashes : 0;
}

/** Figures of a role for a group, as quick as anybody is asked for, in a metre that they fit. */
export function figuresAt(
  scene: Pick<PassageScene, "score" | "bars" | "figures">,
  role: Role,
  group: FigurePlayers,
): readonly FigureAt[] {
  const { score, bars } = scene;
  const tempo = score.tempos.findLast((t) => t.onsetTicks <= bars.startTicks) ?? score.tempos[0]!;
  const first = score.bars[bars.fromBarIndex]!;
  const lengths = new Set(
    score.bars.slice(bars.fromBarIndex, bars.toBarIndex + 1)
      .map((bar) => fullBarTicks(bar, score.ticksPerQuarter) / score.ticksPerQuarter),
  );
  const fits = (f: Figure) => [...lengths].every((quarters) => fillsBar(f, quarters));
  const own = (scene.figures ?? []).filter((f) => f.role === role);
  return [...own, ...figuresFor(role)].filter((f) =>
    f.asWritten === undefined && fits(f) && !goesAgainst(f, first) && isIdiomatic(f, group)
  ).map((
    f,
  ): FigureAt => ({
    id: f.id,
    role,
    perSecond: strokesPerQuarter(f) * tempo.quartersPerMinute / 60,
  })).filter((f) => f.perSecond <= (role === "pulse" ? REPEATED[group.family] ?? QUICKEST : QUICKEST));
}
