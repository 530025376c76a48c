/** Places where the lead sinks, and what would help. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { powerOfDb } from "../../hearing/decibels.ts";
import { percent } from "../../base/words.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Score } from "../../score/model.ts";
import { barBeatOf } from "../../score/time.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import { namesInWords, partsInWords } from "../layer_words.ts";
import { roleInWords } from "../../texture/role_in_words.ts";
import type { SpanRow } from "../rows.ts";
import { runsOf } from "../runs.ts";
import { notesIn } from "../sounding.ts";
import { leadHeard } from "./lead_heard.ts";
import { atPower, type MomentLayer, type SoundingLayer } from "./moment.ts";
import { HELD_OVER } from "./placed_notes.ts";
import type { NoteSounds } from "./note_sound.ts";
import type { BalanceBar, BalanceWarning } from "./balance_results.ts";

/** Two dynamics softer, as power: 12 dB, about two of the steps between recalled pp and ff figures. Model assumption. */
const TWO_DYNAMICS_POWER = powerOfDb(-12);

/** Softening a layer is only advised when the lead then keeps this much more. Model assumption. */
const WORTH_SAYING = 0.05;

/** A bar in which the lead sinks. */
export interface CoveredBar {
  readonly barIndex: number;
  /** Audible share of the lead. */
  readonly share: number;
  /** What sounds with its notes, and what it would keep if each of those layers played two dynamics softer. */
  readonly eased: readonly EasedLayer[];
}

/** A layer that sounds with the lead's notes. */
interface Coverer {
  readonly id: string;
  readonly role: Role;
  /** Its parts that sound there and do not merge with the lead all the time, as often as they were met. */
  readonly parts: readonly number[];
  /** Their mean dynamic. */
  readonly dynamic: number;
}

/** A layer, and the audible share the lead would have if it played two dynamics softer. */
interface EasedLayer extends Coverer {
  readonly share: number;
}

/** A note of the lead with what sounds in its stretches. */
interface HeardLeadNote {
  /** Layers that sound in each stretch of the note. */
  readonly stretches: readonly (readonly MomentLayer[])[];
  readonly seconds: number;
}

/** Whether a layer sounds beside the lead and does not just double it. */
export function mayCover({ role, content }: SoundingLayer): boolean {
  return role !== "lead" && content.sounds.length > 0;
}

/** The layers that sound with the lead's notes and do not just double it. None where the lead is alone. */
export function coverersOf(notes: readonly HeardLeadNote[]): readonly Coverer[] {
  const others = notes.flatMap((n) => n.stretches.flat()).filter(mayCover);
  return [...Map.groupBy(others, (l) => l.id)].map(([id, met]) => {
    const covering = met.flatMap((l) => l.parts.filter((p) => p.covers));
    return {
      id,
      role: met[0]!.role,
      parts: covering.map((p) => p.part),
      dynamic: mean(covering, (p) => p.dynamic)!,
    };
  });
}

/** What each layer would free if it played two dynamics softer: the lead judged anew on the same notes. */
export function easedBy(
  notes: readonly HeardLeadNote[],
  coverers: readonly Coverer[],
  { sounds, twoEarsDb }: { readonly sounds: NoteSounds; readonly twoEarsDb: number },
): readonly EasedLayer[] {
  const total = notes.reduce((sum, m) => sum + m.seconds, 0);
  return coverers.map((coverer) => {
    const sum = notes.reduce((acc, { stretches, seconds }) => {
      const softer = stretches.map((s) =>
        s.map((l) => l.id === coverer.id ? atPower(l, TWO_DYNAMICS_POWER) : l)
      );
      return acc + leadHeard(sounds.grid, softer, twoEarsDb).audibleShare * seconds;
    }, 0);
    return { ...coverer, share: sum / total };
  });
}

/**
 * Gathers covered bars into passages and says what would help: softening the layer that frees most, where that
 * helps at all.
 */
export function warningsOf(
  covered: readonly CoveredBar[],
  perBar: readonly BalanceBar[],
  score: Score,
  { texture, coveredBelowShare }: { readonly texture: Texture; readonly coveredBelowShare: number },
): readonly BalanceWarning[] {
  const passages = runsOf(
    covered,
    (before, c) =>
      before.barIndex === c.barIndex - 1 && perBar[before.barIndex]!.lead === perBar[c.barIndex]!.lead,
  );
  return passages.map((bars): BalanceWarning => {
    const share = mean(bars, (c) => c.share)!;
    const best = mostEasing(bars);
    const where = { fromBarIndex: bars[0]!.barIndex, toBarIndex: bars.at(-1)!.barIndex };
    const { lead, bar } = perBar[where.fromBarIndex]!;
    return {
      kind: "lead covered",
      ...where,
      bar,
      beat: barBeatOf(score, score.bars[where.fromBarIndex]!.startTicks).beat,
      what: coveredInWords(score, {
        lead,
        kept: keptInWords(share, coveredBelowShare),
        cover: coverInWords(score, best, cellsOf(score, texture, where)),
        ...where,
      }),
      remedy: remedyFor(best.share, share),
      figure: share,
      limit: coveredBelowShare,
      unit: "share of its loudness",
    };
  });
}

/**
 * What frees most over some bars if it plays softer: a layer, taken together with those of its role that some of the same
 * parts play in other bars or to another figure.
 */
function mostEasing(bars: readonly CoveredBar[]): EasedLayer {
  const groups: EasedLayer[][] = [];
  for (const layer of bars.flatMap((c) => c.eased)) {
    const group = groups.find((g) =>
      g[0]!.role === layer.role && g.some((l) => l.parts.some((p) => layer.parts.includes(p)))
    );
    if (group) group.push(layer);
    else groups.push([layer]);
  }
  const over = groups.map((met): EasedLayer => ({
    ...met[0]!,
    parts: met.flatMap((l) => l.parts),
    dynamic: mean(met, (l) => l.dynamic)!,
    share: mean(
      bars,
      (c) => Math.max(c.share, ...c.eased.filter((l) => met.includes(l)).map((l) => l.share)),
    )!,
  }));
  return over.reduce((best, l) => l.share > best.share ? l : best);
}

/** A share in whole per cent, never as many as the limit that it lies below. */
function keptInWords(share: number, belowShare: number): string {
  return percent(Math.min(share, Math.max(0, Math.ceil(100 * belowShare) - 1) / 100));
}

/** The lead in its register, what it keeps, and under whom. */
function coveredInWords(
  score: Score,
  { lead, kept, cover, fromBarIndex, toBarIndex }: {
    readonly lead: string;
    readonly kept: string;
    readonly cover: string;
    readonly fromBarIndex: number;
    readonly toBarIndex: number;
  },
): string {
  const names = lead.split(" + ");
  const several = names.length > 1;
  const part = score.parts.findIndex((p) => p.name === lead);
  const register = part < 0 ? "" : weakRegister(score, part, { fromBarIndex, toBarIndex });
  return `${namesInWords(names)}${register === "" ? "" : `, in its ${register} register,`} ${
    several ? "keep" : "keeps"
  } ` +
    `${kept} of ${several ? "their" : "its"} loudness under ${cover}`;
}

/** A register this much weaker than the best one is worth naming, in dB. Model assumption. */
const WEAK_DB = -3;

/** The register most of a part's notes lie in, where it is a weak one; otherwise empty. */
function weakRegister(score: Score, part: number, where: SpanRow): string {
  const instrument = instrumentById(score.parts[part]!.instrument);
  const own = notesIn(score, where, (n) => n.part === part && !n.cue);
  const weak = own.flatMap((n) => registerOf(instrument, n.soundingPitch).register ?? [])
    .filter((r) => r.powerOffsetDb <= WEAK_DB);
  return 2 * weak.length > own.length ? weak[0]!.name : "";
}

/** For example `the pad (Trombone 1–3) at ff`. */
function coverInWords(
  score: Score,
  { id, role, parts, dynamic }: Coverer,
  cells: readonly RoleCell[],
): string {
  const what = id === HELD_OVER
    ? "what is held over"
    : `the ${roleInWords(role, cells.filter((c) => parts.includes(c.part)), score)}`;
  const names = partsInWords(score, parts);
  return `${what} (${names}) at ${dynamicMark(dynamic)}`;
}

/** The cells of some bars. */
function cellsOf(
  score: Score,
  { cells }: Texture,
  { fromBarIndex, toBarIndex }: SpanRow,
): readonly RoleCell[] {
  return cells.slice(fromBarIndex * score.parts.length, (toBarIndex + 1) * score.parts.length);
}

/** What to do, with what softening the layer that covers most would give. */
function remedyFor(eased: number, share: number): string {
  return eased - share >= WORTH_SAYING
    ? `Two dynamics softer there, the lead would keep ${percent(eased)}; ` +
      "or double the lead, or move it an octave away"
    : `Even two dynamics softer there, the lead would keep ${percent(eased)} only: ` +
      "double the lead, move it an octave away, or let fewer parts play";
}
