/** How well a movement is read by some weights, beside what people wrote about it. */
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { type LeadInBar, trackLead } from "../../lib/texture/recognise/track_lead.ts";
import type { RoleCell, Texture } from "../../lib/texture/model.ts";
import { RULES } from "../../lib/texture/rules.ts";
import type { TextureWeights } from "../../lib/texture/judge/weights.ts";
import {
  melodyAnnotation,
  melodyParts,
  type Movement,
  scoreOf,
  textureAnnotation,
} from "./texture_corpus.ts";
import { exactShare, labelF1, type LabelPair, LABELS } from "./texture_labels.ts";

/** What is found in a movement, for sums over several. */
export interface LeftOutFigures {
  /** Cells as read and as annotated. */
  readonly pairs: readonly LabelPair[];
  /** Bars with an annotated lead that sounds, with what was read there. */
  readonly leads: readonly {
    readonly hit: boolean;
    readonly surest: boolean;
    readonly chief: boolean;
    readonly doubled: boolean;
    /** How sure the chief line is. */
    readonly confidence: number;
    readonly share: number;
    /** The same for the chief line and its doublings alone … */
    readonly line: Called;
    /** … and for the chief line and every part from a share of the lead on, by {@linkcode SHARES}. */
    readonly called: readonly Called[];
  }[];
}

/** Whether the annotated part is among those called, and their share of the sounding parts. */
export interface Called {
  readonly hit: boolean;
  readonly share: number;
}

/** Shares of the lead from which parts are called: for a third of the sounding parts, for a quarter, and for a fifth. */
export const SHARES = [0.022, RULES.alsoPossibleFrom, 0.08] as const;

/** Who leads in every bar with an annotated lead that sounds, as read. */
export function leadsRead(
  { cells }: Texture,
  track: readonly LeadInBar[],
  melody: readonly (number | undefined)[],
): LeftOutFigures["leads"] {
  const parts = cells.length / Math.max(1, track.length);
  return melody.flatMap((part, b) => {
    const sounding = cells.slice(b * parts, (b + 1) * parts).filter((c) => c.role !== "rest");
    if (part === undefined || !sounding.some((c) => c.part === part)) return [];
    const leads = sounding.filter((c) => c.role === "lead").sort((x, y) => y.confidence - x.confidence);
    const { part: chief, doubledBy, confidence } = track[b]!;
    const called = (is: (cell: RoleCell) => boolean): Called => ({
      hit: sounding.some((c) => c.part === part && is(c)),
      share: sounding.filter(is).length / sounding.length,
    });
    return [{
      hit: leads.some((c) => c.part === part),
      surest: leads[0]?.part === part,
      chief: chief === part,
      doubled: chief === part || doubledBy.includes(part),
      confidence,
      share: leads.length / sounding.length,
      line: called((c) => c.part === chief || doubledBy.includes(c.part)),
      called: SHARES.map((share) => called((c) => c.part === chief || c.leadShare >= share)),
    }];
  });
}

/** What weights make of a movement. */
export function leftOutFigures(
  movement: Movement,
  weights: TextureWeights,
  folders: Readonly<Record<string, URL>>,
): LeftOutFigures {
  const score = scoreOf(movement, folders);
  const parts = score.parts.length;
  const texture = recognise(score, { weights });
  const { cells } = texture;
  const track = trackLead(score, { weights });
  const annotated = movement.texture === undefined ? [] : textureAnnotation(movement, score, folders);
  const melody = movement.melody === undefined ? [] : melodyParts(score, melodyAnnotation(movement, folders));
  return {
    pairs: annotated.map((a) => {
      const own = a.parts.map((p) => cells[a.barIndex * parts + p]!);
      return {
        own: LABELS[(own.find((c) => c.role !== "rest") ?? own[0]!).does],
        truth: a.labels,
      };
    }),
    leads: leadsRead(texture, track, melody),
  };
}

/** The same in words, for a line of a log. */
export function figuresInWords({ pairs, leads }: LeftOutFigures): string {
  const mean = (of: (lead: LeftOutFigures["leads"][number]) => number) =>
    (leads.reduce((sum, l) => sum + of(l), 0) / leads.length).toFixed(3);
  const cells = pairs.length === 0 ? [] : [
    `${pairs.length} cells, exact ${exactShare(pairs).toFixed(3)}, F1 melody/rhythm/harmony ${
      [0, 1, 2].map((l) => labelF1(pairs, l).toFixed(3)).join("/")
    }`,
  ];
  const bars = leads.length === 0 ? [] : [
    `${leads.length} bars, surest ${mean((l) => Number(l.surest))}, chief ${
      mean((l) => Number(l.chief))
    }, or its doubling ${mean((l) => Number(l.doubled))}, called lead ${mean((l) => Number(l.hit))} at ${
      mean((l) => l.share)
    }, the chief line and its doublings ${mean((l) => Number(l.line.hit))} at ${
      mean((l) => l.line.share)
    }, from a share of the lead ${
      SHARES.map((share, k) =>
        `${share} on ${mean((l) => Number(l.called[k]!.hit))} at ${mean((l) => l.called[k]!.share)}`
      ).join(", ")
    }`,
  ];
  return [...cells, ...bars].join("; ");
}
