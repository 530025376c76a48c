/** Places where the lead sinks, and what would help. */
import { powerOfDb } from "../hearing/decibels.ts";
import type { Score } from "../score/model.ts";
import type { Texture } from "../texture/model.ts";
import { leadAgainstRest } from "./lead_heard.ts";
import type { MomentLayer } from "./moment.ts";
import type { NoteSounds } from "./note_sound.ts";
import type { BalanceBar, BalanceWarning } from "./results.ts";

/** Two dynamics softer, as power: 12 dB, about two of the steps between recalled pp and ff figures. Model assumption. */
const TWO_DYNAMICS_POWER = powerOfDb(-12);

/** Softening a layer is only advised when the lead then keeps this much more. Model assumption. */
const WORTH_SAYING = 0.05;

/** A bar in which the lead sinks. */
export interface CoveredBar {
  /** Bar index from 0. */
  readonly bar: number;
  /** Audible share of the lead. */
  readonly share: number;
  /** Audible share it would have if a layer played two dynamics softer, by layer id. */
  readonly eased: ReadonlyMap<string, number>;
}

/** Stretches of a bar's lead with what sounds in each. */
export interface LeadMoment {
  /** Layers that sound. */
  readonly moment: readonly MomentLayer[];
  /** How long it lasts. */
  readonly seconds: number;
}

/**
 * What each layer would free if it played two dynamics softer: the lead judged anew on the same notes.
 *
 * @param moments the notes of the lead in one bar
 * @param score the score
 * @param sounds instruments and grid
 * @returns audible share of the lead by layer id
 */
export function easedBy(
  moments: readonly LeadMoment[],
  score: Score,
  sounds: NoteSounds,
): ReadonlyMap<string, number> {
  const total = moments.reduce((sum, m) => sum + m.seconds, 0);
  const ids = new Set(moments.flatMap((m) => m.moment.filter((l) => l.role !== "lead").map((l) => l.id)));
  return new Map([...ids].map((id) => {
    const sum = moments.reduce((acc, { moment, seconds }) => {
      const softer = moment.map((l) =>
        l.id === id ? { ...l, excitation: l.excitation.map((x) => x * TWO_DYNAMICS_POWER) } : l
      );
      return acc + leadAgainstRest(softer, score, sounds).audibleShare * seconds;
    }, 0);
    return [id, total > 0 ? sum / total : 0];
  }));
}

/**
 * Gathers covered bars into passages and says what would help: softening the layer that frees most, where that
 * helps at all.
 *
 * @param covered bars in order
 * @param perBar balance per bar
 * @param score the score
 * @param texture who does what
 * @returns one warning per passage
 */
export function warningsOf(
  covered: readonly CoveredBar[],
  perBar: readonly BalanceBar[],
  score: Score,
  texture: Texture,
): readonly BalanceWarning[] {
  const passages: CoveredBar[][] = [];
  for (const c of covered) {
    const last = passages.at(-1)?.at(-1);
    if (last && last.bar === c.bar - 1 && perBar[last.bar]!.lead === perBar[c.bar]!.lead) {
      passages.at(-1)!.push(c);
    } else passages.push([c]);
  }
  return passages.map((bars): BalanceWarning => {
    const mean = (of: (c: CoveredBar) => number) => bars.reduce((sum, c) => sum + of(c), 0) / bars.length;
    const share = mean((c) => c.share);
    const ids = [...new Set(bars.flatMap((c) => [...c.eased.keys()]))];
    const best = ids.map((id) => ({ id, eased: mean((c) => c.eased.get(id) ?? c.share) }))
      .sort((a, b) => b.eased - a.eased)[0];
    const { lead } = perBar[bars[0]!.bar]!;
    return {
      fromBar: bars[0]!.bar,
      toBar: bars.at(-1)!.bar,
      what: `${lead} ${lead.includes(" + ") ? "keep" : "keeps"} ${percent(share)} of ${
        lead.includes(" + ") ? "their" : "its"
      } loudness`,
      remedy: remedyFor(best, share, (id) => layerInWords(id, bars, score, texture)),
    };
  });
}

const percent = (x: number) => `${Math.round(100 * x)} %`;

/** What to do, with what softening the layer that covers most would give. */
function remedyFor(
  best: { readonly id: string; readonly eased: number } | undefined,
  share: number,
  inWords: (id: string) => string,
): string {
  if (!best) return "Double the lead, move it an octave away, or let fewer parts play";
  return best.eased - share >= WORTH_SAYING
    ? `${inWords(best.id)} covers it most; two dynamics softer there, the lead would keep ${
      percent(best.eased)
    }. ` +
      "Or double the lead, or move it an octave away"
    : `${inWords(best.id)} covers it most, but even two dynamics softer there, the lead would keep ${
      percent(best.eased)
    } only: double the lead, move it an octave away, or let fewer parts play`;
}

/** A layer's role and parts over some bars. */
function layerInWords(id: string, bars: readonly CoveredBar[], score: Score, texture: Texture): string {
  const parts = score.parts.length;
  const cells = bars.flatMap((c) => texture.cells.slice(c.bar * parts, (c.bar + 1) * parts)).filter((c) =>
    c.layer === id
  );
  const names = [...new Set(cells.map((c) => c.part))].sort((a, b) => a - b).map((p) => score.parts[p]!.name);
  const shown = names.length > 4
    ? `${names.slice(0, 3).join(", ")} and ${names.length - 3} more`
    : names.join(", ");
  return cells.length === 0 ? "What is held over from the bar before" : `The ${cells[0]!.role} (${shown})`;
}
