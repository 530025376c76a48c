/** Ways of playing become words over the stave, once where they change. */
import type { Technique } from "../../score/model.ts";

/** Words at a place. */
interface TechniqueWords {
  readonly ticks: number;
  readonly words: string;
  /** Whether players pluck from here, for readers that play: `yes`, `no`, or nothing changed. */
  readonly pizzicato?: "yes" | "no";
}

/** Words that begin a manner; harmonics and stopped notes carry a sign on each note instead. */
const BEGIN: Partial<Readonly<Record<Technique, string>>> = {
  "pizzicato": "pizz.",
  "col legno": "col legno",
  "sul ponticello": "sul pont.",
  "sul tasto": "sul tasto",
  "flutter": "flutter-tongue",
};
/** Words of a mute put on. */
const MUTED = "con sord.";
/** Words that end it. */
const END: Partial<Readonly<Record<Technique, string>>> = {
  "pizzicato": "arco",
  "col legno": "arco",
  "sul ponticello": "ord.",
  "sul tasto": "ord.",
  "flutter": "ord.",
};

/**
 * What a point asks for: its manner, its mute, or neither where only a sign on the note tells; what is
 * missing is left as it was.
 */
function wantedAt(
  point: TechniquePoint,
): { readonly manner?: Technique; readonly muted?: boolean } {
  const own: readonly Technique[] = point.techniques ?? [point.technique];
  const manner = own.find((t) => BEGIN[t] !== undefined);
  const signed = own.some((t) => t === "harmonic" || t === "stopped");
  const muted = own.includes("con sordino");
  if (point.techniques) return { manner: manner ?? "ordinario", muted };
  if (signed) return {};
  return manner === undefined ? { manner: "ordinario", muted } : { manner };
}

/** Ways of playing at a place. */
export interface TechniquePoint {
  readonly ticks: number;
  readonly technique: Technique;
  /** All of them, where there are several. */
  readonly techniques?: readonly Technique[] | undefined;
}

/** Words of a page about ways of playing. */
interface PrintedWay {
  readonly ticks: number;
  readonly manner?: Technique | undefined;
  readonly muted?: boolean | undefined;
}

/**
 * The words of a page that are still true: the first note after them that can tell is played so. Points are
 * the places where notes begin, in order.
 */
export function trueWays<W extends PrintedWay>(
  points: readonly TechniquePoint[],
  printed: readonly W[],
): readonly W[] {
  let reached = 0;
  return printed.filter(({ ticks, manner, muted }) => {
    while (reached < points.length && points[reached]!.ticks < ticks) reached++;
    const next = points[reached];
    if (!next) return true;
    const wanted = wantedAt(next);
    return (manner === undefined || wanted.manner === undefined || wanted.manner === manner) &&
      (muted === undefined || wanted.muted === undefined || wanted.muted === muted);
  });
}

/** A change of the way of playing: its words, and how it goes on. */
interface WayChange extends TechniqueWords {
  readonly manner: Technique;
  readonly muted: boolean;
}

/** Words that one stave needs besides those that stand there already. */
export function techniqueWords(
  points: readonly TechniquePoint[],
  printed: readonly PrintedWay[] = [],
): readonly TechniqueWords[] {
  return wayChanges(points, printed);
}

function wayChanges(points: readonly TechniquePoint[], printed: readonly PrintedWay[]): readonly WayChange[] {
  const words: WayChange[] = [];
  let reached = 0;
  let manner: Technique = "ordinario";
  let muted = false;
  const wants = points.map(wantedAt);
  // Where a point says nothing of the mute, it is taken off early if the next that does is without.
  let next = false;
  const mutes = wants.map(() => false);
  for (let i = wants.length - 1; i >= 0; i--) mutes[i] = next = wants[i]!.muted ?? next;
  for (const [i, { ticks }] of points.entries()) {
    const wanted = wants[i]!;
    for (; reached < printed.length && printed[reached]!.ticks <= ticks; reached++) {
      manner = printed[reached]!.manner ?? manner;
      muted = printed[reached]!.muted ?? muted;
    }
    if (wanted.manner !== undefined && wanted.manner !== manner) {
      const text = wanted.manner === "ordinario" ? END[manner]! : BEGIN[wanted.manner]!;
      const pizzicato = wanted.manner === "pizzicato"
        ? "yes" as const
        : manner === "pizzicato"
        ? "no" as const
        : undefined;
      manner = wanted.manner;
      words.push({ ticks, words: text, manner, muted, ...(pizzicato ? { pizzicato } : {}) });
    }
    const mute: boolean = wanted.muted ?? (muted && mutes[i]!);
    if (muted !== mute) {
      muted = mute;
      words.push({ ticks, words: muted ? MUTED : "senza sord.", manner, muted });
    }
  }
  return words;
}

/** How a part plays from a place on. */
export interface WayInForce {
  readonly ticks: number;
  /** Words that hold from here; nothing where it plays as usual. */
  readonly holds: string;
  /** The word that ended what held before. */
  readonly ends: string;
}

/** Ways of playing of a part, place by place, for where they are said beside its name. */
export function waysInForce(points: readonly TechniquePoint[]): readonly WayInForce[] {
  return wayChanges(points, []).map(({ ticks, words, manner, muted }): WayInForce => {
    const held = [BEGIN[manner], muted ? MUTED : undefined].filter((word) => word !== undefined);
    return { ticks, holds: held.join(", "), ends: held.includes(words) ? "" : words };
  });
}
