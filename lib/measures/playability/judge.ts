/** What the rules of playability share. */
import { greatestOf } from "../../base/extremes.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import type { Note, Part, Score } from "../../score/model.ts";
import type { Seconds, Ticks } from "../../base/units.ts";
import type { PlayabilitySettings } from "./playability_constants.ts";
import type { PlayabilityFinding } from "./playability_results.ts";
import { soundingTicks } from "../sounding.ts";

/** A stretch of a score. */
interface Span {
  readonly onsetTicks: Ticks;
  readonly endTicks: Ticks;
}

/** What a rule says of a place. */
export type Said = Pick<
  PlayabilityFinding,
  "severity" | "rule" | "what" | "figure" | "limit" | "unit" | "source" | "remedy"
>;

/** One place, before places are gathered into passages. */
export interface FindingPlace extends Span, Said, Pick<PlayabilityFinding, "part" | "partName"> {}

/** Who is judged, and by what. */
export interface Judge {
  /** The part as findings name it. */
  readonly at: { readonly part: number; readonly partName: string };
  readonly written: Part;
  readonly score: Score;
  /** Grace notes of the part: they have no time of their own, but slides start on them. */
  readonly graces: readonly Note[];
  readonly instrument: Instrument;
  readonly players: number;
  readonly clock: (ticks: Ticks) => Seconds;
  /** Indexes of the bars in which most parts play loud. */
  readonly loudTutti: ReadonlySet<number>;
  readonly settings: PlayabilitySettings;
}

/** Said of figures that nobody has published. */
export const COMMON_PRACTICE = "common practice, no source";

/** A figure as findings print it. */
export function inTenths(figure: number): number {
  return Math.round(figure * 10) / 10;
}

/** A name with its article. */
export function withArticle(name: string): string {
  return `${/^[aeiou]/i.test(name) && !/^eu/i.test(name) ? "an" : "a"} ${name}`;
}

/** What is said of a note, of some notes in order, or of a stretch of the part. */
export function finding(
  judge: Pick<Judge, "at">,
  { at, ...said }: Said & { readonly at: Note | readonly Note[] | Span },
): FindingPlace {
  return { ...judge.at, ...spanOf(at), ...said };
}

/** The figure found, the limit it is held against, and the unit of both. */
export function held(figure: number, limit: number, unit: string): Pick<Said, "figure" | "limit" | "unit"> {
  return { figure, limit, unit };
}

function spanOf(at: Note | readonly Note[] | Span): Span {
  if ("endTicks" in at) return { onsetTicks: at.onsetTicks, endTicks: at.endTicks };
  const notes = "durationTicks" in at ? [at] : at;
  return {
    onsetTicks: notes[0]!.onsetTicks,
    endTicks: greatestOf(notes.map((n) => n.onsetTicks + n.durationTicks)),
  };
}

/** One note per onset, the longest: what a single player has to follow. */
export function lineOf(notes: readonly Note[]): readonly Note[] {
  const line: Note[] = [];
  for (const n of notes) {
    const last = line.at(-1);
    if (last?.onsetTicks !== n.onsetTicks) line.push(n);
    else if (n.durationTicks > last.durationTicks) line[line.length - 1] = n;
  }
  return line;
}

/** Stretches of a line without a gap of a given length; breath marks end a stretch too. */
export function stretchesOf(
  line: readonly Note[],
  judge: Pick<Judge, "clock">,
  gapSeconds: Seconds,
): readonly (readonly Note[])[] {
  const result: Note[][] = [];
  let end = -Infinity, breathed = false;
  for (const n of line) {
    if (result.length === 0 || breathed || judge.clock(n.onsetTicks) - end >= gapSeconds) {
      result.push([n]);
      end = -Infinity;
    } else result.at(-1)!.push(n);
    end = Math.max(end, judge.clock(n.onsetTicks + soundingTicks(n)));
    breathed = n.articulations.includes("breath");
  }
  return result;
}

/** How long a note is written. */
export function lengthOf(note: Note, judge: Pick<Judge, "clock">): Seconds {
  return judge.clock(note.onsetTicks + note.durationTicks) - judge.clock(note.onsetTicks);
}

/** How long a note sounds, its articulation counted. */
export function soundingSeconds(note: Note, judge: Pick<Judge, "clock">): Seconds {
  return judge.clock(note.onsetTicks + soundingTicks(note)) - judge.clock(note.onsetTicks);
}
