/** What is printed of a part, with some bars taken over by what is written anew in them. */
import { lineName } from "../../instruments/names/line_name.ts";
import { dynamicCourse, isHairpin, signsOfStave } from "../../score/dynamic_course.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Part, PartNotation, Playing, WrittenDynamic } from "../../score/model.ts";
import type { Ticks } from "../../base/units.ts";
import type { BarsFound } from "./bars_asked.ts";

/** What is written into the bars. */
interface NewInPart {
  /** Dynamic signs of the new notes, in order. */
  readonly dynamics: readonly WrittenDynamic[];
  /** Words about who plays, in order. */
  readonly playing: readonly Playing[];
  /** Whether there are new notes. */
  readonly hasNotes: boolean;
  /** Whether these accompany, so that they are no solo. */
  readonly accompanies: boolean;
  /** Where the next note of the part begins after the bars, if there is one. */
  readonly nextTicks: Ticks | undefined;
  /** Grid of the score. */
  readonly ticksPerQuarter: Ticks;
}

/** Quarters for which a player remembers a mark. Common practice, no source. */
const KNOWN_QUARTERS = 32;

/** A part with new signs in some bars; before and after them it reads as it did. */
export function splicePart(part: Part, bars: BarsFound, added: NewInPart): Part {
  const { writtenDynamics, playing: _who, notation, ...rest } = part;
  // Without signs of its own a part is marked as its notes are.
  const signs = writtenDynamics && spliceDynamics(writtenDynamics, bars, added);
  const who = splicePlaying(part, bars, added);
  return {
    ...rest,
    ...(signs ? { writtenDynamics: signs } : {}),
    ...(who.length > 0 ? { playing: who } : {}),
    ...(notation ? { notation: spliceNotation(notation, bars) } : {}),
  };
}

/** Hairpins among signs whose other end is missing. */
export function looseHairpins(signs: readonly WrittenDynamic[]): readonly WrittenDynamic[] {
  const open = new Map<number, WrittenDynamic>();
  const loose: WrittenDynamic[] = [];
  for (const sign of signs) {
    const number = sign.number ?? 1;
    if (isHairpin(sign)) open.set(number, sign);
    else if (sign.kind === "stop") {
      if (!open.delete(number)) loose.push(sign);
    }
  }
  return [...loose, ...open.values()];
}

/**
 * Signs with those of some bars replaced. A hairpin that leads into the bars ends where they begin; what the part had after
 * them is printed again where it next plays, unless a mark stands there or it was marked so last.
 */
function spliceDynamics(
  old: readonly WrittenDynamic[],
  { startTicks, endTicks }: BarsFound,
  { dynamics, nextTicks, ticksPerQuarter }: NewInPart,
): readonly WrittenDynamic[] {
  const before = old.filter((s) => s.onsetTicks < startTicks);
  const opened = looseHairpins(before).filter((s) => s.kind !== "stop");
  const stops = opened.map(({ staff, number }): WrittenDynamic => ({
    onsetTicks: startTicks,
    staff,
    kind: "stop",
    ...(number === undefined ? {} : { number }),
  }));
  const after = old.filter((s) => s.onsetTicks >= endTicks);
  const loose = new Set(looseHairpins(after).filter((s) => s.kind === "stop"));
  const kept = after.filter((s) => !loose.has(s));
  const isMarked = nextTicks === undefined ||
    kept.some((s) => s.kind === "mark" && s.onsetTicks <= nextTicks);
  const was = isMarked ? undefined : marking(old, nextTicks, ticksPerQuarter);
  const last = dynamics.at(-1);
  const isKnown = last?.kind === "mark" && last.mark === was?.mark;
  const again = was === undefined || isKnown ? [] : [was];
  return [...before, ...stops, ...unlessKnown(before, dynamics, ticksPerQuarter), ...again, ...kept];
}

/** New signs without a mark at their start that says what the player has read already. */
function unlessKnown(
  before: readonly WrittenDynamic[],
  added: readonly WrittenDynamic[],
  ticksPerQuarter: Ticks,
): readonly WrittenDynamic[] {
  const [first, ...rest] = added;
  const known = before.at(-1);
  const isKnown = first?.kind === "mark" && known?.kind === "mark" && !known.implied &&
    marking(before, first.onsetTicks, ticksPerQuarter).mark === first.mark &&
    first.onsetTicks - known.onsetTicks < KNOWN_QUARTERS * ticksPerQuarter;
  return isKnown ? rest : added;
}

/** The mark a part has at a place, as its signs say. */
export function marking(
  signs: readonly WrittenDynamic[],
  onsetTicks: Ticks,
  ticksPerQuarter: Ticks,
): WrittenDynamic {
  const running = dynamicCourse(signsOfStave(signs, 1), ticksPerQuarter).running(onsetTicks);
  return { onsetTicks, staff: 0, kind: "mark", mark: dynamicMark(running) };
}

/** Words that make a soloist of a player. */
const SOLO = /\bsol[oi]\b/i;

/** Most players of winds on a stave. */
const WINDS_ON_A_STAVE = 4;

/** Numbers of players as words have them. */
const NUMBERS: readonly (readonly [RegExp, number])[] = [[/\b(4|iv)\b/i, 4], [/\b(3|iii)\b/i, 3], [
  /\b(2|ii)\b/i,
  2,
]];

/** Who plays what is no solo any more: all of a section, the same player of winds. */
function noSolo(
  { words }: Playing,
  { name, players }: Pick<Part, "name" | "players">,
  fromTicks: Ticks,
): Playing {
  if (players > WINDS_ON_A_STAVE) return { fromTicks, kind: "all", words: "tutti" };
  const number = NUMBERS.find(([said]) => said.test(words))?.[1] ?? lineName(name).numbers[0] ?? 1;
  return { fromTicks, kind: "solo", count: 1, words: `${number}.` };
}

/**
 * Who plays: in the bars as the new notes have it; where they say nothing, everybody of a section that was divided or had a solo, and one player
 * alone whose notes were those of two.
 */
function splicePlaying(
  { name, players, playing: old = [] }: Part,
  { startTicks, endTicks }: BarsFound,
  { playing: added, hasNotes, accompanies }: NewInPart,
): readonly Playing[] {
  const before = old.filter((p) => p.fromTicks < startTicks);
  const inside = old.filter((p) => p.fromTicks >= startTicks && p.fromTicks < endTicks);
  const after = old.filter((p) => p.fromTicks >= endTicks);
  const was = before.at(-1);
  const here: readonly Playing[] = added.length > 0
    ? added
    : was?.kind === "divided"
    ? [{ fromTicks: startTicks, kind: "unison", words: "unis." }]
    : was?.kind === "unison" && players === 1 && hasNotes
    ? [{ fromTicks: startTicks, kind: "solo", count: 1, words: `${lineName(name).numbers[0] ?? 1}.` }]
    : was?.kind === "solo" && accompanies && SOLO.test(was.words)
    ? [noSolo(was, { name, players }, startTicks)]
    : [];
  const then = inside.at(-1) ?? was;
  const isOther = (here.at(-1) ?? was)?.words !== then?.words;
  const again = after[0]?.fromTicks !== endTicks && isOther
    ? [
      then ? { ...then, fromTicks: endTicks } : { fromTicks: endTicks, kind: "all", words: "tutti" } as const,
    ]
    : [];
  return [...before, ...here, ...again, ...after];
}

/** What the page prints, without the words, lines and tuplets of some bars; clefs that change in them change after them. */
function spliceNotation(notation: PartNotation, { startTicks, endTicks }: BarsFound): PartNotation {
  const isInside = (ticks: Ticks) => ticks >= startTicks && ticks < endTicks;
  const lastClefs = [
    ...Map.groupBy(
      notation.clefs.filter((c) => c.fromTicks > startTicks && c.fromTicks < endTicks),
      (c) => c.staff,
    ).values(),
  ]
    .map((own) => ({ ...own.at(-1)!, fromTicks: endTicks }))
    .filter((clef) => !notation.clefs.some((c) => c.fromTicks === endTicks && c.staff === clef.staff));
  return {
    ...notation,
    clefs: [
      ...notation.clefs.filter((c) => c.fromTicks <= startTicks || c.fromTicks >= endTicks),
      ...lastClefs,
    ]
      .sort((a, b) => a.fromTicks - b.fromTicks),
    words: notation.words.filter((w) => !isInside(w.onsetTicks)),
    lines: linesOutside(notation.lines, isInside),
    pauses: notation.pauses.filter((p) => !isInside(p.onsetTicks)),
    tuplets: notation.tuplets.filter((t) => !isInside(t.fromTicks)),
  };
}

/** Lines of which no end stands in some bars, and which do not run over them. */
function linesOutside(
  lines: PartNotation["lines"],
  isInside: (ticks: Ticks) => boolean,
): PartNotation["lines"] {
  const key = (l: PartNotation["lines"][number]) => `${l.kind}|${l.staff}|${l.attributes["number"] ?? ""}`;
  const gone = new Set<PartNotation["lines"][number]>();
  const open = new Map<string, PartNotation["lines"][number][]>();
  for (const line of lines) {
    const own = open.get(key(line)) ?? [];
    own.push(line);
    if (line.attributes["type"] !== "stop") {
      open.set(key(line), own);
      continue;
    }
    open.delete(key(line));
    if (own.some((l) => isInside(l.onsetTicks))) own.forEach((l) => gone.add(l));
  }
  return lines.filter((l) => !gone.has(l) && !isInside(l.onsetTicks));
}
