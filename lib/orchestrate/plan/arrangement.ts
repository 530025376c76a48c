/** The order of winds of several kinds in a chord: layered, interlocked, enclosed. */
import { divisionOf, type SharingSlip } from "./division.ts";
import type { Divisi, Voicing } from "./extra_columns.ts";
import type { Seat } from "./seat.ts";

/** Voicings that say which wind lies above which. */
const ARRANGED = ["layered", "interlocked", "enclosed"] as const;

/** A voicing that says which wind lies above which. */
export type Arrangement = (typeof ARRANGED)[number];

/** Whether a voicing says which wind lies above which. */
export function isArranged(voicing: Voicing | undefined): voicing is Arrangement {
  return (ARRANGED as readonly (string | undefined)[]).includes(voicing);
}

/** Whether an instrument is one of those that are arranged. */
export function isWind({ family }: { readonly family: string }): boolean {
  return family === "woodwind" || family === "brass";
}

/**
 * Winds from the highest down. Kinds come in the order in which they are given: `layered`, all of a kind above all of
 * the next; `interlocked`, one of each by turns; `enclosed`, the first kind of which there are two above and below the others.
 */
export function arranged<Wind extends { readonly kind: string }>(
  winds: readonly Wind[],
  arrangement: Arrangement,
): readonly Wind[] {
  const kinds = [...Map.groupBy(winds, (w) => w.kind).values()];
  if (arrangement === "layered") return kinds.flat();
  if (arrangement === "interlocked") {
    const most = Math.max(0, ...kinds.map((own) => own.length));
    return Array.from({ length: most }, (_, i) => kinds.flatMap((own) => own.slice(i, i + 1))).flat();
  }
  const outer = kinds.find((own) => own.length > 1) ?? [];
  const upper = Math.ceil(outer.length / 2);
  const inner = kinds.filter((own) => own !== outer).flat();
  return [...outer.slice(0, upper), ...inner, ...outer.slice(upper)];
}

/** Why the winds of a layer cannot lie as they should; undefined where they can. */
export function arrangementSlip(
  { voicing, divisi }: { readonly voicing?: Voicing; readonly divisi?: Divisi },
  seats: readonly Seat[],
): SharingSlip | undefined {
  if (!isArranged(voicing)) return undefined;
  const winds = seats.filter((seat) => isWind(seat.instrument));
  const tonesOf = (own: readonly Seat[]) => own.reduce((sum, s) => sum + divisionOf(divisi, s).tones, 0);
  const kinds = [...Map.groupBy(winds, (w) => w.instrument.kind)];
  if (kinds.length < 2) {
    const [only] = kinds;
    return {
      problem: `${voicing} takes winds of two kinds, and the layer has ${only ? only[0] : "no winds"}${
        only ? " alone" : ""
      }`,
      remedy: "Name winds of another kind as well, or ask for close, open or spread",
    };
  }
  if (voicing === "layered" || kinds.some(([, own]) => tonesOf(own) > 1)) return undefined;
  return {
    problem: `${voicing} takes two winds of one kind at least, and the layer has one of each`,
    remedy: "Name a second player of one kind, or ask for layered, close, open or spread",
  };
}
