/** How many players a stave has: what a section has is shared by the staves that it plays from at once. */
import { A_RECORD, A_SCORE, A_WHOLE, checkArgument } from "../base/arguments.ts";
import { addTo } from "../base/add_to.ts";
import type { Instrument } from "../instruments/catalogue.ts";
import { instrumentOf } from "../instruments/instrument_of.ts";
import { withoutStave } from "../instruments/names/distinct_names.ts";
import { lineName } from "../instruments/names/line_name.ts";
import type { StringSectionSizes } from "../instruments/orchestra.ts";
import type { Note, Part, Score } from "./model.ts";

/** Players of the five string sections. */
export type StringSizes = Pick<
  StringSectionSizes,
  "violins1" | "violins2" | "violas" | "cellos" | "doubleBasses"
>;

/** Sections of an instrument that has more than one player on a line; choirs have one of each voice. */
const SECTIONS: Readonly<Record<string, readonly (keyof StringSizes)[]>> = {
  "violin": ["violins1", "violins2"],
  "viola": ["violas"],
  "cello": ["cellos"],
  "double bass": ["doubleBasses"],
};

/** Staves of a section sound at once where they do so for this share of the time any of them sounds. Model assumption. */
const AT_ONCE_SHARE = 0.05;

/**
 * The score with string sections of another size: one to a part, or the sizes of the orchestra that will play it. What
 * a section has is shared by the staves that it plays from at once: three staves of violas divide the violas. Solo
 * parts, winds and all others stay as they are.
 *
 * @param score the score
 * @param sizes players of the first and second violins, violas, cellos and double basses, from 1
 * @returns the score with its players; a stave has at least one
 * @throws {InputError} when a size is no whole number from 1
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { sectionSizes } from "ripieno/instruments";
 * import { seatStrings } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const small = sectionSizes().find((row) => row.ensemble === "studio film strings, small")!;
 * const seated = seatStrings(demoScore(), small);
 * assertEquals(seated.parts.find((p) => p.name === "Violins I")?.players, 8);
 * ```
 */
export function seatStrings(score: Score, sizes: StringSizes): Score {
  checkArgument("seat the strings", score, A_SCORE);
  checkArgument("seat the strings", sizes, A_RECORD);
  for (const section of Object.values(SECTIONS).flat()) {
    checkArgument("seat the strings", sizes[section], A_WHOLE, section);
  }
  return { ...score, parts: sharedSections(score.parts, score.notes, { sizes }) };
}

/**
 * Parts with the players of their sections shared out. Without sizes the usual ones are taken, and parts whose players
 * the source gives (`given`) keep them. A part of one player is a soloist's.
 */
export function sharedSections<P extends Pick<Part, "name" | "instrument" | "players" | "notation">>(
  parts: readonly P[],
  notes: readonly Pick<Note, "part" | "onsetTicks" | "durationTicks">[],
  { sizes, given = () => false }: {
    readonly sizes?: StringSizes;
    readonly given?: (part: number) => boolean;
  } = {},
): readonly P[] {
  const staves = parts.flatMap((part, index): Stave[] => {
    const instrument = instrumentOf(part.instrument);
    if (!instrument || instrument.sectionPlayers === 1 || part.players === 1 || given(index)) return [];
    if (sizes && SECTIONS[instrument.id] === undefined) return [];
    const { notation, name } = part;
    return [{ index, instrument, numbers: lineName(notation?.printedName ?? name).numbers }];
  });
  const players = new Map<number, number>();
  for (const own of Map.groupBy(staves, (s) => s.instrument.id).values()) {
    for (const section of sectionsOf(own, sizes)) {
      const share = section.players / mostAtOnce(section.staves.map((s) => s.index), notes);
      for (const { index } of section.staves) players.set(index, (players.get(index) ?? 0) + share);
    }
  }
  return parts.map((part, index) => {
    const shared = players.get(index);
    const own = shared === undefined ? part.players : Math.max(1, Math.round(shared));
    return own === part.players ? part : { ...part, players: own };
  });
}

/**
 * Whether one section plays from two staves: they bear one name that says which section it is, or that can only mean
 * one. Two staves called `Violin` are first and second violins, two called `Viola` are the violas divided.
 */
export function areOneSection(a: NamedPart, b: NamedPart): boolean {
  const [own, other] = [a, b].map(({ notation, name }) => notation?.printedName ?? withoutStave(name));
  if (own !== other || a.instrument !== b.instrument) return false;
  const { numbers, isDivided } = lineName(own!);
  return numbers.length > 0 || isDivided ||
    (instrumentOf(a.instrument)?.sectionPlayers ?? 1) > 1 && (SECTIONS[a.instrument]?.length ?? 1) === 1;
}

type NamedPart = Pick<Part, "name" | "instrument" | "notation">;

/** A stave that a section plays from. */
interface Stave {
  readonly index: number;
  readonly instrument: Instrument;
  /** Numbers in its name: those of sections, of desks or of what it is divided into. */
  readonly numbers: readonly number[];
}

interface Section {
  readonly staves: readonly Stave[];
  readonly players: number;
}

/**
 * Staves of one instrument by the section that plays from them. Numbers tell the violins apart as long as there are no
 * others than 1 and 2; two staves without them are first and second violins; else all of the instrument share them.
 */
function sectionsOf(staves: readonly Stave[], sizes: StringSizes | undefined): readonly Section[] {
  const { id, sectionPlayers } = staves[0]!.instrument;
  const names = SECTIONS[id];
  const players = names?.map((name) => sizes?.[name] ?? sectionPlayers) ?? [sectionPlayers];
  const areTold = staves.every((s) =>
    s.numbers.length > 0 && s.numbers.every((n) => n >= 1 && n <= players.length)
  );
  const bySection = new Map<number, Stave[]>();
  staves.forEach((stave, i) => {
    const sections = areTold ? stave.numbers : staves.length <= players.length ? [i + 1] : [];
    for (const section of sections) addTo(bySection, section, stave);
  });
  return bySection.size > 0 && players.length > 1
    ? [...bySection].map(([section, own]) => ({ staves: own, players: players[section - 1]! }))
    : [{ staves, players: players.reduce((a, b) => a + b, 0) }];
}

/** Most staves that sound at once for a while worth counting; all of them where nothing sounds. */
function mostAtOnce(
  parts: readonly number[],
  notes: readonly Pick<Note, "part" | "onsetTicks" | "durationTicks">[],
): number {
  if (parts.length === 1) return 1;
  const changes: (readonly [ticks: number, by: 1 | -1])[] = [];
  const own = Map.groupBy(notes.filter((n) => parts.includes(n.part)), (n) => n.part);
  for (const line of own.values()) {
    let [from, to] = [-Infinity, -Infinity];
    const close = () => to > from && changes.push([from, 1], [to, -1]);
    for (const { onsetTicks, durationTicks } of line.toSorted((a, b) => a.onsetTicks - b.onsetTicks)) {
      if (onsetTicks > to) {
        close();
        from = onsetTicks;
      }
      to = Math.max(to, onsetTicks + durationTicks);
    }
    close();
  }
  if (changes.length === 0) return parts.length;
  changes.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const ticksOf = Array.from({ length: parts.length + 1 }, () => 0);
  let [sounding, since] = [0, 0];
  for (const [ticks, by] of changes) {
    ticksOf[sounding]! += ticks - since;
    [sounding, since] = [sounding + by, ticks];
  }
  const atLeast = (count: number) => ticksOf.slice(count).reduce((a, b) => a + b, 0);
  const least = AT_ONCE_SHARE * atLeast(1);
  return parts.length - Array.from(parts, (_, i) => parts.length - i).findIndex((n) => atLeast(n) >= least);
}
