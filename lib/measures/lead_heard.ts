/** One moment of the lead against everything else. */
import { dbOfPower } from "../hearing/decibels.ts";
import type { ErbGrid } from "../hearing/erb_grid.ts";
import { layerLoudness } from "../hearing/layer_loudness.ts";
import { handbookWeight } from "../instruments/handbook_weight.ts";
import type { Score } from "../score/model.ts";
import type { MomentLayer } from "./moment.ts";
import type { NoteSounds } from "./note_sound.ts";
import type { BalanceNote } from "./results.ts";

/** What the three models say of one moment. */
export type LeadHeard = Pick<BalanceNote, "handbookDb" | "powerDb" | "partialSones" | "audibleShare">;

/** Differences are held within this many dB, which also stands for one side being silent. */
const MOST_DB = 60;

function differenceDb(a: number, b: number): number {
  if (b <= 0) return MOST_DB;
  if (a <= 0) return -MOST_DB;
  return Math.max(-MOST_DB, Math.min(MOST_DB, dbOfPower(a / b)));
}

/**
 * Adds excitations.
 *
 * @param layers layers of a moment
 * @param size filters of the grid
 * @returns their sum
 */
function sumExcitation(layers: readonly MomentLayer[], size: number): Float64Array {
  const sum = new Float64Array(size);
  for (const { excitation } of layers) for (let c = 0; c < size; c++) sum[c]! += excitation[c]!;
  return sum;
}

/**
 * Loudness of some layers while they sound, alone and beside the mean of the others: a short note is judged by
 * how it sounds, not by the silence after it.
 *
 * @param grid the ear's filters
 * @param layers layers that are listened for
 * @param others everything else
 * @returns sones alone and in the presence of the others
 */
export function heardBeside(
  grid: ErbGrid,
  layers: readonly MomentLayer[],
  others: readonly MomentLayer[],
): { readonly alone: number; readonly partial: number } {
  const size = grid.centresHz.length;
  const share = Math.max(0, ...layers.map((l) => l.soundingShare));
  if (share === 0) return { alone: 0, partial: 0 };
  const signal = sumExcitation(layers, size).map((x) => x / share);
  const { alone, partial } = layerLoudness(grid, [signal, sumExcitation(others, size)]);
  return { alone: alone[0]!, partial: partial[0]! };
}

/**
 * The lead against the rest in one moment, by all three models, while the lead sounds.
 *
 * The handbook's ratios hold for players at one dynamic: all parts are weighed at the lead's dynamic, so the
 * figure says who has more players of more weight, not who is marked louder.
 *
 * @param moment layers that sound together, a lead among them
 * @param score the score, for its players
 * @param sounds instruments and grid
 * @returns differences in dB, partial loudness in sones, audible share
 */
export function leadAgainstRest(moment: readonly MomentLayer[], score: Score, sounds: NoteSounds): LeadHeard {
  const lead = moment.filter((l) => l.role === "lead");
  const rest = moment.filter((l) => l.role !== "lead");
  const { alone, partial } = heardBeside(sounds.grid, lead, rest);
  const share = Math.max(0, ...lead.map((l) => l.soundingShare));
  const watts = (layers: readonly MomentLayer[]) => layers.reduce((sum, l) => sum + l.watts, 0);
  const dynamics = lead.flatMap((l) => [...l.dynamics.values()]);
  const common = dynamics.reduce((a, b) => a + b, 0) / Math.max(1, dynamics.length);
  const weight = (layers: readonly MomentLayer[]) => {
    const parts = new Set(layers.flatMap((l) => [...l.dynamics.keys()]));
    return [...parts].reduce(
      (sum, p) => sum + handbookWeight(sounds.instruments[p]!, common, { players: score.parts[p]!.players }),
      0,
    );
  };
  return {
    handbookDb: differenceDb(weight(lead), weight(rest)),
    powerDb: differenceDb(share > 0 ? watts(lead) / share : 0, watts(rest)),
    partialSones: partial,
    audibleShare: alone > 0 ? Math.min(1, partial / alone) : 0,
  };
}
