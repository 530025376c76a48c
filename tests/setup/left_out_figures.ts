/** How well a movement is read by some weights, beside what people wrote about it. */
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { trackLead } from "../../lib/texture/recognise/track_lead.ts";
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
    readonly share: number;
  }[];
}

/** What weights make of a movement. */
export function leftOutFigures(
  movement: Movement,
  weights: TextureWeights,
  folders: Readonly<Record<string, URL>>,
): LeftOutFigures {
  const score = scoreOf(movement, folders);
  const parts = score.parts.length;
  const { cells } = recognise(score, { weights });
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
    leads: melody.flatMap((part, b) => {
      const sounding = cells.slice(b * parts, (b + 1) * parts).filter((c) => c.role !== "rest");
      if (part === undefined || !sounding.some((c) => c.part === part)) return [];
      const leads = sounding.filter((c) => c.role === "lead").sort((x, y) => y.confidence - x.confidence);
      const { part: chief, doubledBy } = track[b]!;
      return [{
        hit: leads.some((c) => c.part === part),
        surest: leads[0]?.part === part,
        chief: chief === part,
        doubled: chief === part || doubledBy.includes(part),
        share: leads.length / sounding.length,
      }];
    }),
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
    }, or its doubling ${mean((l) => Number(l.doubled))}, hit ${mean((l) => Number(l.hit))} at ${
      mean((l) => l.share)
    }`,
  ];
  return [...cells, ...bars].join("; ");
}
