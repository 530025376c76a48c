/** Places where the lead sinks, and what would help. */
import { powerOfDb } from "../../hearing/decibels.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Note, Score } from "../../score/model.ts";
import { barBeatOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import { namesInWords, partsOfLayer } from "../layer_words.ts";
import { leadHeard } from "./lead_heard.ts";
import { atPower, type MomentLayer } from "./moment.ts";
import type { NoteSounds } from "./note_sound.ts";
import type { BalanceBar, BalanceWarning } from "./balance_results.ts";

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

/** A note of the lead with what sounds in its stretches. */
export interface LeadNote {
  /** Layers that sound in each stretch of the note. */
  readonly stretches: readonly (readonly MomentLayer[])[];
  /** How long it lasts. */
  readonly seconds: number;
}

/**
 * What each layer would free if it played two dynamics softer: the lead judged anew on the same notes.
 *
 * @param notes the notes of the lead in one bar
 * @param sounds filters of the ear
 * @param twoEarsDb how much weaker the rest covers the lead than it would from the same place
 * @returns audible share of the lead by layer id
 */
export function easedBy(
  notes: readonly LeadNote[],
  sounds: NoteSounds,
  twoEarsDb: number,
): ReadonlyMap<string, number> {
  const total = notes.reduce((sum, m) => sum + m.seconds, 0);
  const others = notes.flatMap((n) =>
    n.stretches.flat().filter((l) => l.role !== "lead" && l.content.length > 0)
  );
  return new Map([...new Set(others.map((l) => l.id))].map((id) => {
    const sum = notes.reduce((acc, { stretches, seconds }) => {
      const softer = stretches.map((s) => s.map((l) => l.id === id ? atPower(l, TWO_DYNAMICS_POWER) : l));
      return acc + leadHeard(sounds.grid, softer, twoEarsDb).audibleShare * seconds;
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
 * @param coveredBelowShare share under which the lead counts as covered
 * @returns one warning per passage
 */
export function warningsOf(
  covered: readonly CoveredBar[],
  perBar: readonly BalanceBar[],
  score: Score,
  texture: Texture,
  coveredBelowShare: number = 0.1,
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
    const where = { fromBar: bars[0]!.bar, toBar: bars.at(-1)!.bar };
    const cover = best && coverInWords(score, texture, { ...where, layer: best.id });
    const { lead, barNumber } = perBar[where.fromBar]!;
    return {
      kind: "lead covered",
      ...where,
      barNumber,
      beat: barBeatOf(score, score.bars[where.fromBar]!.startTicks).beat,
      what: coveredInWords(score, { lead, share, cover, ...where }),
      remedy: remedyFor(best, share),
      figure: share,
      limit: coveredBelowShare,
      unit: "share of its loudness",
    };
  });
}

const percent = (x: number) => `${Math.round(100 * x)} %`;

/** The lead in its register, what it keeps, and under whom. */
function coveredInWords(
  score: Score,
  { lead, share, cover, fromBar, toBar }: {
    readonly lead: string;
    readonly share: number;
    readonly cover: string | undefined;
    readonly fromBar: number;
    readonly toBar: number;
  },
): string {
  const names = lead.split(" + ");
  const several = names.length > 1;
  const part = score.parts.findIndex((p) => p.name === lead);
  const register = part < 0 ? "" : weakRegister(score, part, { fromBar, toBar });
  return `${namesInWords(names)}${register === "" ? "" : `, in its ${register} register,`} ${
    several ? "keep" : "keeps"
  } ` +
    `${percent(share)} of ${several ? "their" : "its"} loudness${
      cover === undefined ? "" : ` under ${cover}`
    }`;
}

/** A register this much weaker than the best one is worth naming, in dB. Model assumption. */
const WEAK_DB = -3;

/** The register most of a part's notes lie in, where it is a weak one; otherwise empty. */
function weakRegister(score: Score, part: number, where: BarSpan): string {
  const instrument = instrumentById(score.parts[part]!.instrument);
  const own = notesIn(score, where, (n) => n.part === part);
  const weak = own.flatMap((n) => registerOf(instrument, n.soundingPitch).register ?? [])
    .filter((r) => r.powerOffsetDb <= WEAK_DB);
  return 2 * weak.length > own.length ? weak[0]!.name : "";
}

/** For example `the pad (Trombone 1–3) at ff`. */
function coverInWords(
  score: Score,
  texture: Texture,
  where: BarSpan & { readonly layer: string },
): string | undefined {
  const parts = partsOfLayer(texture, score, where);
  const notes = notesIn(score, where, (n) => parts.includes(n.part));
  if (notes.length === 0) return undefined;
  const dynamic = notes.reduce((sum, n) => sum + n.dynamic, 0) / notes.length;
  const words = layerInWords(where.layer, where, score, texture);
  return `${words[0]!.toLowerCase()}${words.slice(1)} at ${dynamicMark(dynamic)}`;
}

/** Bars from and to, inclusive. */
interface BarSpan {
  readonly fromBar: number;
  readonly toBar: number;
}

/** Notes that sound in some bars. */
function notesIn(
  score: Score,
  { fromBar, toBar }: BarSpan,
  isWanted: (note: Note) => boolean,
): readonly Note[] {
  const last = score.bars[toBar]!;
  const from = score.bars[fromBar]!.startTicks;
  const to = last.startTicks + last.durationTicks;
  return score.notes.filter((n) =>
    n.onsetTicks < to && n.onsetTicks + n.durationTicks > from && !n.cue && isWanted(n)
  );
}

/** What to do, with what softening the layer that covers most would give. */
function remedyFor(
  best: { readonly id: string; readonly eased: number } | undefined,
  share: number,
): string {
  if (!best) return "Double the lead, move it an octave away, or let fewer parts play";
  return best.eased - share >= WORTH_SAYING
    ? `Two dynamics softer there, the lead would keep ${percent(best.eased)}; ` +
      "or double the lead, or move it an octave away"
    : `Even two dynamics softer there, the lead would keep ${percent(best.eased)} only: ` +
      "double the lead, move it an octave away, or let fewer parts play";
}

/** A layer's role and parts over some bars. */
function layerInWords(id: string, where: BarSpan, score: Score, texture: Texture): string {
  const parts = partsOfLayer(texture, score, { ...where, layer: id });
  if (parts.length === 0) return "What is held over from the bar before";
  const count = score.parts.length;
  const cell = texture.cells.slice(where.fromBar * count, (where.toBar + 1) * count)
    .find((c) => c.layer === id)!;
  return `The ${cell.role} (${namesInWords(parts.map((p) => score.parts[p]!.name))})`;
}
