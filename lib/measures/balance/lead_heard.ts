/** One note of the lead against everything else. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { dbOfPower, powerOfDb } from "../../hearing/decibels.ts";
import { handbookWeight } from "../../instruments/sound/handbook_weight.ts";
import type { Score } from "../../score/model.ts";
import type { Role } from "../../texture/roles.ts";
import type { EarGrid } from "./ear_grid.ts";
import { type Content, scaled, sonesBeside, together } from "./heard.ts";
import type { PlayedLayer, SoundingLayer } from "./moment.ts";
import type { NoteSounds } from "./note_sound.ts";
import type { BalanceNote } from "./balance_results.ts";

/** What the three models say of one note. */
export type LeadHeard = Pick<BalanceNote, "handbookDb" | "powerDb" | "partialSones" | "audibleShare">;

/** A rest this much weaker, in dB, is as good as none: the lead is alone; a lead this much weaker is held here. Model assumption. */
const MOST_DB = 60;

function differenceDb(a: number, b: number): number {
  return a <= 0 ? -MOST_DB : Math.max(-MOST_DB, Math.min(MOST_DB, dbOfPower(a / b)));
}

/**
 * Loudness of some layers while they sound, alone and beside the mean of the others: a short note is judged by
 * how it sounds, not by the silence after it.
 */
export function heardBeside(
  grid: EarGrid,
  layers: readonly SoundingLayer[],
  others: readonly SoundingLayer[],
): { readonly alone: number; readonly partial: number } {
  const share = Math.max(0, ...layers.map((l) => l.soundingShare));
  if (share === 0) return { alone: 0, partial: 0 };
  const signal = scaled(together(layers.map((l) => l.all)), 1 / share);
  const { alone, left } = sonesBeside(grid, signal, others.map((l) => l.all));
  return { alone, partial: left };
}

const isLead = (layer: { readonly role: Role }) => layer.role === "lead";

/**
 * A note of the lead as the ear has it: its loudness alone and beside the rest, mean over its stretches. Where the
 * rest sets in late, plays short notes or dies away, the note is heard. Notes that double the lead or have its pitch
 * merge with it: it is judged as if they were not there.
 */
export function leadHeard(
  grid: EarGrid,
  stretches: readonly (readonly SoundingLayer[])[],
  twoEarsDb: number,
): Pick<LeadHeard, "partialSones" | "audibleShare"> & { readonly aloneSones: number } {
  const covering = powerOfDb(-twoEarsDb);
  let alone = 0, left = 0;
  for (const moment of stretches) {
    const leads: Content[] = [], rest: Content[] = [];
    for (const layer of moment) {
      if (isLead(layer)) leads.push(layer.all);
      else rest.push(layer.content);
    }
    const lead = together(leads);
    if (lead.sounds.length === 0) continue;
    const heard = sonesBeside(grid, lead, rest, covering);
    alone += heard.alone;
    left += heard.left;
  }
  return {
    aloneSones: alone / Math.max(1, stretches.length),
    partialSones: left / Math.max(1, stretches.length),
    audibleShare: alone > 0 ? Math.min(1, left / alone) : 0,
  };
}

/**
 * The lead against the rest by handbook and power, while the lead sounds.
 *
 * The handbook's ratios hold for players at one dynamic: all parts are weighed at the lead's dynamic, so the figure
 * says who has more players of more weight, not who is marked louder. Null where the lead is alone: there is nothing
 * to differ from.
 */
export function leadWeighed(
  moment: readonly PlayedLayer[],
  score: Score,
  sounds: NoteSounds,
): Pick<LeadHeard, "handbookDb" | "powerDb"> {
  const lead = moment.filter(isLead);
  const rest = moment.filter((l) => !isLead(l));
  const share = Math.max(0, ...lead.map((l) => l.soundingShare));
  const watts = (layers: readonly PlayedLayer[]) => layers.reduce((sum, l) => sum + l.watts, 0);
  const common = mean(lead.flatMap((l) => l.parts), (p) => p.dynamic) ?? 0;
  const weight = (layers: readonly PlayedLayer[]) => {
    const weighed = new Set<number>();
    let sum = 0;
    for (const layer of layers) {
      for (const { part } of layer.parts) {
        if (weighed.has(part)) continue;
        weighed.add(part);
        sum += handbookWeight(sounds.instruments[part]!, common, { players: score.parts[part]!.players });
      }
    }
    return sum;
  };
  const leadWatts = share > 0 ? watts(lead) / share : 0, restWatts = watts(rest);
  if (restWatts <= leadWatts * powerOfDb(-MOST_DB)) return { handbookDb: null, powerDb: null };
  return {
    handbookDb: differenceDb(weight(lead), weight(rest)),
    powerDb: differenceDb(leadWatts, restWatts),
  };
}
