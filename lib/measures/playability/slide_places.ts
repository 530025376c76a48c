/** How far a trombone's slide has to travel between quick notes. */
import { isGlissandoTo } from "../../score/glissandi.ts";
import type { Note } from "../../score/model.ts";
import { spelledName } from "../../score/spelled_name.ts";
import { COMMON_PRACTICE, finding, type FindingPlace, held, type Judge } from "./judge.ts";

/** Sounding pitch of the first position's fundamental, by kind. Standard facts, recalled. */
const FUNDAMENTALS: Readonly<Record<string, number>> = {
  "alto trombone": 39,
  "tenor trombone": 34,
  "bass trombone": 34,
};
/** Semitones by which the trigger lowers the tube: to F on the tenor and bass trombone. */
const TRIGGER_SEMITONES = 5;
/** Positions of the slide: seven, six with the trigger, whose tube is longer. */
const POSITIONS = { open: 7, trigger: 6 } as const;
/** Highest partial in use. */
const HIGHEST_PARTIAL = 12;
/** Partials far from the notes of the scale. */
const [SEVENTH, ELEVENTH] = [7, 11];

/**
 * Positions of the slide, 1 to 7, in which a note speaks. Empty where there is none, or the kind has no figures.
 */
export function slidePositions(kind: string, soundingPitch: number): readonly number[] {
  const positions = new Set<number>();
  for (const { partial, top, most } of seriesOf(kind)) {
    // Too flat to use as it is, and no place to slide to in time.
    if (partial === SEVENTH) continue;
    const position = top - soundingPitch + 1;
    if (position >= 1 && position <= most) positions.add(position);
  }
  return [...positions].sort((a, b) => a - b);
}

/** One partial of one tube: what the slide alone can reach. */
interface SlideSeries {
  readonly partial: number;
  /** Sounding pitch in first position. */
  readonly top: number;
  /** Positions the slide has there. */
  readonly most: number;
}

/** Every partial in use, with the slide alone and with the trigger, by kind. */
const SERIES: ReadonlyMap<string, readonly SlideSeries[]> = new Map(
  Object.entries(FUNDAMENTALS).map((
    [kind, fundamental],
  ) => [kind, seriesOver(fundamental, kind !== "alto trombone")]),
);

function seriesOf(kind: string): readonly SlideSeries[] {
  return SERIES.get(kind) ?? [];
}

function seriesOver(fundamental: number, hasTrigger: boolean): readonly SlideSeries[] {
  const tubes: { readonly lowered: number; readonly most: number }[] = [{ lowered: 0, most: POSITIONS.open }];
  if (hasTrigger) tubes.push({ lowered: TRIGGER_SEMITONES, most: POSITIONS.trigger });
  return tubes.flatMap(({ lowered, most }) =>
    Array.from({ length: HIGHEST_PARTIAL }, (_, i) => i + 1)
      .filter((partial) => partial !== ELEVENTH)
      .map((partial) => {
        const top = fundamental - lowered + 12 * Math.log2(partial);
        // The slide makes up for a flat seventh partial, except in first position.
        return { partial, top: partial === SEVENTH ? top : Math.round(top), most };
      })
  );
}

/** A slide from one note towards another on one partial. */
interface SlideGlissando {
  /** True when one partial holds both notes, so that the slide alone leads from one to the other. */
  readonly possible: boolean;
  /** Positions the slide moves, where it is possible. */
  readonly travel: number;
  /** Farthest pitch from the first note towards the second that the slide alone reaches; the note itself where none. */
  readonly reach: number;
}

/**
 * Whether a trombone's slide leads from one note to another without a change of partial or trigger, which would break
 * the line. Null for a kind without figures.
 */
export function slideGlissando(kind: string, from: number, to: number): SlideGlissando | null {
  const series = seriesOf(kind);
  if (series.length === 0) return null;
  const own = series.filter(({ top, most }) => from <= top && from >= top - most + 1);
  const ends = own.map(({ top, most }) => to > from ? Math.min(top, to) : Math.max(top - most + 1, to));
  const reach = ends.reduce((a, b) => Math.abs(b - from) > Math.abs(a - from) ? b : a, from);
  return { possible: own.length > 0 && reach === to, travel: Math.abs(reach - from), reach };
}

/**
 * Places where the slide has to travel far between quick notes, whatever positions are chosen for the two. A
 * glissando binds the choice and is judged as one.
 */
export function slidePlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument, settings, clock } = judge;
  if (instrument.family !== "brass" || seriesOf(instrument.kind).length === 0) return [];
  const places: FindingPlace[] = [];
  const positions = new Map<number, readonly number[]>();
  const positionsOf = (pitch: number) => {
    let own = positions.get(pitch);
    if (own === undefined) positions.set(pitch, own = slidePositions(instrument.kind, pitch));
    return own;
  };
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1]!, line[i]!];
    if (isGlissandoTo(a, b)) continue;
    const seconds = clock(b.onsetTicks) - clock(a.onsetTicks);
    if (seconds >= settings.slideSeconds) continue;
    const from = positionsOf(a.soundingPitch), to = positionsOf(b.soundingPitch);
    if (from.length === 0 || to.length === 0) continue;
    const travel = Math.min(...from.flatMap((p) => to.map((q) => Math.abs(p - q))));
    if (travel < settings.slidePositions) continue;
    places.push(finding(judge, {
      at: { onsetTicks: a.onsetTicks, endTicks: b.onsetTicks + b.durationTicks },
      severity: seconds < settings.slideSeconds / 2 ? "risky" : "note",
      rule: "slide",
      what: `${spelledName(judge.score, a)} to ${
        spelledName(judge.score, b)
      } moves the slide ${travel} positions in ${
        Math.round(seconds * 100) / 100
      } s; it takes about ${settings.slideSeconds} s`,
      ...held(seconds, settings.slideSeconds, "seconds"),
      source: COMMON_PRACTICE,
      remedy: "Choose notes in nearer positions, slow the figure down, or give it to a valved instrument",
    }));
  }
  return places;
}
