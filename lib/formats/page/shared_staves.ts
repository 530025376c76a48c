/** Two wind players of a kind on one stave, as full scores print them: `1.`, `2.`, `a 2`, chords, or two voices. */
import type { Ticks } from "../../base/units.ts";
import { instrumentOf } from "../../instruments/instrument_of.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import { printedName } from "../../instruments/names/printed_name.ts";
import { sortNotes } from "../../score/build.ts";
import { dynamicCourse, isHairpin } from "../../score/dynamic_course.ts";
import type { Note, Part, Playing, Score, WrittenDynamic } from "../../score/model.ts";
import { isLongSilence } from "../../score/silence.ts";
import { barIndexOf } from "../../score/time.ts";

/** Highest number of a player that words over the stave are understood with. */
const LAST_NUMBER = 4;

/** Two players next to each other, by the indexes of their parts. */
interface Pair {
  readonly first: number;
  readonly second: number;
  /** Numbers of the players. */
  readonly numbers: readonly [number, number];
}

/**
 * The score with first and second, third and fourth wind players on staves they share. They keep staves of their own
 * where they play at once with unlike dynamics or mutes, which one stave cannot say, and where their source printed
 * them so. What they play is the same: who plays alone, and what both play together, stands in the words about players.
 */
export function shareStaves(score: Score): Score {
  const notesOf = Map.groupBy(score.notes, (n) => n.part);
  const pairs = pairsOf(score.parts).filter(({ first, second }) =>
    fitOneStave(notesOf.get(first) ?? [], notesOf.get(second) ?? [])
  );
  const seconds = new Set(pairs.map((p) => p.second));
  const pairAt = new Map(pairs.map((p) => [p.first, p]));
  const kept = [...score.parts.keys()].filter((i) => !seconds.has(i));
  const placeOf = new Map(kept.map((old, i) => [old, i]));
  for (const { first, second } of pairs) placeOf.set(second, placeOf.get(first)!);
  const notes: Note[] = [];
  const parts = kept.map((old, part): Part => {
    const pair = pairAt.get(old);
    const own = (index: number) => (notesOf.get(index) ?? []).map((n) => ({ ...n, part }));
    if (!pair) {
      for (const note of own(old)) notes.push(note);
      return score.parts[old]!;
    }
    const both = [score.parts[pair.first]!, score.parts[pair.second]!] as const;
    const plain = sharedNotes(score, { pair, upper: own(pair.first), lower: own(pair.second) });
    const shared = underBothSigns(plain, both, score.ticksPerQuarter);
    for (const note of shared.notes) notes.push(note);
    return sharedPart(both[0], pair, shared);
  });
  const layers = score.layers?.map((l) => ({
    ...l,
    parts: [...new Set(l.parts.map((p) => placeOf.get(p)!))],
  }));
  return { ...score, parts, notes: sortNotes(notes), ...(layers ? { layers } : {}) };
}

/** Neighbours of one instrument, the first with an odd number, the second with the next. */
function pairsOf(parts: readonly Part[]): readonly Pair[] {
  return parts.flatMap((part, first): Pair[] => {
    const other = parts[first + 1];
    if (!other || ![part, other].every(isSinglePlayer)) return [];
    const [a, b] = [lineName(part.name), lineName(other.name)];
    const [number = 0] = a.numbers;
    const isPair = a.numbers.length === 1 && b.numbers.length === 1 && number % 2 === 1 &&
      b.numbers[0] === number + 1 && number < LAST_NUMBER && a.stem === b.stem &&
      part.name.startsWith(a.stem);
    const isSame = part.instrument === other.instrument &&
      part.transposeSemitones === other.transposeSemitones && part.transposeSteps === other.transposeSteps;
    return isPair && isSame ? [{ first, second: first + 1, numbers: [number, number + 1] }] : [];
  });
}

/** One wind player alone, whose line no page has printed yet. */
function isSinglePlayer({ players, notation, playing, instrumentChanges, instrument }: Part): boolean {
  const family = instrumentOf(instrument)?.family;
  return players === 1 && !notation && !playing && !instrumentChanges &&
    (family === "woodwind" || family === "brass");
}

/** How far dynamics may lie apart and still be one sign, in steps. Model assumption. */
const SAME_DYNAMIC = 0.5;

/** Whether one stave can say what both do: where they sound at once, as loud and in the same way. */
function fitOneStave(upper: readonly Note[], lower: readonly Note[]): boolean {
  let from = 0;
  for (const a of upper) {
    while (from < lower.length && endOf(lower[from]!) <= a.onsetTicks) from++;
    for (let i = from; i < lower.length && lower[i]!.onsetTicks < endOf(a); i++) {
      const b = lower[i]!;
      if (Math.abs(a.dynamic - b.dynamic) >= SAME_DYNAMIC || waysOf(a) !== waysOf(b)) return false;
    }
  }
  return true;
}

const endOf = (note: Note): Ticks => note.onsetTicks + note.durationTicks;
const waysOf = ({ technique, techniques = [technique] }: Note): string => [...techniques].sort().join();

/** The stave of a pair. */
function sharedPart(part: Part, { numbers }: Pair, { playing, dynamics }: SharedNotes): Part {
  const { writtenDynamics: _, ...own } = part;
  const { stem } = lineName(part.name);
  const isEnglish = printedName({ ...part, instrument: undefined }).short !== undefined;
  const plural = isEnglish && !stem.endsWith("s") ? `${stem}s` : stem;
  const signs = dynamics ? { writtenDynamics: dynamics } : {};
  return { ...own, name: `${plural} ${numbers.join(", ")}`, players: 2, playing, ...signs };
}

/** How far a note may lie from what the signs of a shared stave make of it, in steps: hairpins that end a beat apart. Model assumption. */
const HAIRPIN_APART = 0.3;

/** Notes under the signs of both parts, as loud as these say; as they are, and without signs, where that is too far off. */
function underBothSigns(
  shared: SharedNotes,
  parts: readonly [Part, Part],
  ticksPerQuarter: Ticks,
): SharedNotes {
  const [a = [], b = []] = parts.map((p) => p.writtenDynamics);
  const dynamics = bothSigns(a, b);
  const course = dynamicCourse(dynamics, ticksPerQuarter);
  const notes = shared.notes.map((n) => ({ ...n, dynamic: course.at(n.onsetTicks) }));
  const isNear = notes.every((n, i) => Math.abs(n.dynamic - shared.notes[i]!.dynamic) < HAIRPIN_APART);
  return dynamics.length > 0 && isNear ? { ...shared, notes, dynamics } : shared;
}

/** Dynamic signs of two parts: what both have stands once, and so does a hairpin that begins in both. */
function bothSigns(a: readonly WrittenDynamic[], b: readonly WrittenDynamic[]): readonly WrittenDynamic[] {
  const known = new Set(a.map((sign) => JSON.stringify(sign)));
  const dropped = new Set<WrittenDynamic>();
  b.forEach((sign, i) => {
    const isShared = isHairpin(sign) &&
      a.some((s) => s.kind === sign.kind && s.onsetTicks === sign.onsetTicks);
    const stop = isShared ? b.slice(i).find((s) => s.kind === "stop") : undefined;
    if (!stop) return;
    for (const s of [sign, ...b.filter((each) => each.onsetTicks === stop.onsetTicks)]) dropped.add(s);
  });
  return [...a, ...b.filter((sign) => !dropped.has(sign) && !known.has(JSON.stringify(sign)))]
    .sort((x, y) => x.onsetTicks - y.onsetTicks);
}

/** What two players have on their stave. */
interface SharedNotes {
  readonly notes: readonly Note[];
  readonly playing: readonly Playing[];
  readonly dynamics?: readonly WrittenDynamic[];
}

/** Puts two lines on one stave, stretch by stretch between bar lines that no note of theirs crosses. */
function sharedNotes(
  score: Score,
  { pair, upper, lower }: {
    readonly pair: Pair;
    readonly upper: readonly Note[];
    readonly lower: readonly Note[];
  },
): SharedNotes {
  const [one, two] = pair.numbers;
  const words = { upper: `${one}.`, lower: `${two}.`, together: "a 2", both: `${one}. ${two}.` };
  const notes: Note[] = [];
  const playing: Playing[] = [];
  let said: OnOneStave["who"] | undefined;
  let soundedTo = 0;
  const say = (who: OnOneStave["who"], own: readonly Note[]) => {
    const fromTicks = Math.min(...own.map((n) => n.onsetTicks));
    const isAnew = isLongSilence(score, { fromTicks: soundedTo, toTicks: fromTicks });
    // Two notes at once tell for themselves that both play, unless one was alone until then.
    const isPlain = who === "both" && said !== "upper" && said !== "lower";
    if (!isPlain && (who !== said || isAnew)) {
      const kind = who === "together" ? "unison" : "solo";
      const count = who === "together" ? { count: 2 } : who === "both" ? {} : { count: 1 };
      playing.push({ fromTicks, kind, ...count, words: words[who] });
    }
    said = who;
    for (const note of own) soundedTo = Math.max(soundedTo, endOf(note));
  };
  for (const { who, notes: own } of writtenStretches(score, { upper, lower })) {
    notes.push(...own);
    if (who !== "both" || !own.some((n) => n.voice === 2)) say(who, own);
    else for (const bar of barsOf(score, own)) say(...bar);
  }
  return { notes, playing };
}

/** Two voices bar by bar: who sounds, and the notes that begin. */
function barsOf(score: Score, notes: readonly Note[]): readonly [OnOneStave["who"], readonly Note[]][] {
  const first = barIndexOf(score, Math.min(...notes.map((n) => n.onsetTicks)));
  const last = barIndexOf(score, Math.max(...notes.map((n) => n.onsetTicks)));
  return score.bars.slice(first, last + 1).flatMap(({ startTicks, durationTicks }) => {
    const end = startTicks + durationTicks;
    const sounding = notes.filter((n) =>
      n.onsetTicks < end && (endOf(n) > startTicks || n.onsetTicks >= startTicks)
    );
    const begun = sounding.filter((n) => n.onsetTicks >= startTicks);
    const voices = new Set(sounding.map((n) => n.voice));
    if (begun.length === 0) return [];
    return [[voices.size === 2 ? "both" : voices.has(1) ? "upper" : "lower", begun]];
  });
}

/** Bars in unison from which on `a 2` is worth saying between bars in which each has notes of his own. */
const UNISON_BARS = 4;

/**
 * The stretches in which anything sounds, as they stand on the stave. A few bars in unison between others are written
 * with two stems, so that words do not come and go.
 */
function writtenStretches(
  score: Score,
  { upper, lower }: { readonly upper: readonly Note[]; readonly lower: readonly Note[] },
): readonly OnOneStave[] {
  const stretches = stretchesOf(score, [...upper, ...lower]).map(([from, to]) => {
    const within = (line: readonly Note[]) => line.filter((n) => n.onsetTicks >= from && n.onsetTicks < to);
    const own = { upper: within(upper), lower: within(lower) };
    return { ...own, ...onOneStave(own.upper, own.lower), bars: (to - from) / score.bars[0]!.durationTicks };
  });
  const sounds = (i: number) => (stretches[i]?.notes.length ?? 0) > 0;
  return stretches.flatMap((stretch, i): OnOneStave[] => {
    if (!sounds(i)) return [];
    if (stretch.who !== "together") return [stretch];
    let [first, last] = [i, i];
    const isTogether = (k: number) => sounds(k) && stretches[k]!.who === "together";
    while (isTogether(first - 1)) first--;
    while (isTogether(last + 1)) last++;
    const bars = stretches.slice(first, last + 1).reduce((sum, s) => sum + s.bars, 0);
    const isBeside = [first - 1, last + 1].some((k) => sounds(k) && stretches[k]!.who === "both");
    if (!isBeside || bars >= UNISON_BARS) return [stretch];
    return [{ notes: [...inVoice(stretch.upper, 1), ...inVoice(stretch.lower, 2)], who: "both" }];
  });
}

/** Stretches of whole bars that no note crosses. */
function stretchesOf(score: Score, notes: readonly Note[]): readonly (readonly [from: Ticks, to: Ticks])[] {
  const stretches: (readonly [Ticks, Ticks])[] = [];
  const sorted = notes.toSorted((a, b) => a.onsetTicks - b.onsetTicks);
  let [from, held, next] = [0, 0, 0];
  for (const { startTicks, durationTicks } of score.bars) {
    const end = startTicks + durationTicks;
    for (; next < sorted.length && sorted[next]!.onsetTicks < end; next++) {
      held = Math.max(held, endOf(sorted[next]!));
    }
    if (held > end) continue;
    stretches.push([from, end]);
    from = end;
  }
  return stretches;
}

/** Notes of two players as they stand on a stave, and which of them play. */
interface OnOneStave {
  readonly notes: readonly Note[];
  readonly who: "upper" | "lower" | "together" | "both";
}

/** Unison once, or with two stems where it differs in more than pitch; chords where the rhythm agrees and nobody crosses, two voices otherwise. */
function onOneStave(upper: readonly Note[], lower: readonly Note[]): OnOneStave {
  if (lower.length === 0) return { notes: inVoice(upper, 1), who: "upper" };
  if (upper.length === 0) return { notes: inVoice(lower, 1), who: "lower" };
  const isSameRhythm = upper.length === lower.length && upper.every((a, i) => isPlayedAlike(a, lower[i]!));
  if (isSameRhythm && upper.every((a, i) => a.soundingPitch === lower[i]!.soundingPitch)) {
    return { notes: inVoice(upper, 1), who: "together" };
  }
  if (isSameRhythm && upper.every((a, i) => a.soundingPitch > lower[i]!.soundingPitch && !a.grace)) {
    return { notes: [...inVoice(upper, 1), ...inVoice(lower, 1)], who: "both" };
  }
  // A breath of one of them, or a note held longer, is no reason to say who plays the same tune.
  const isSameTune = upper.length === lower.length &&
    upper.every((a, i) =>
      a.onsetTicks === lower[i]!.onsetTicks && a.soundingPitch === lower[i]!.soundingPitch
    );
  const who = isSameTune ? "together" : "both";
  return { notes: [...inVoice(upper, 1), ...inVoice(lower, 2)], who };
}

const inVoice = (notes: readonly Note[], voice: number) => notes.map((n) => ({ ...n, voice, staff: 1 }));

/** True for two notes that differ in nothing but their pitch. */
function isPlayedAlike(a: Note, b: Note): boolean {
  const facts = ({ part: _, soundingPitch: __, spelling: ___, layer: ____, dynamic, ...rest }: Note) =>
    JSON.stringify([Math.round(dynamic * 50), rest]);
  return facts(a) === facts(b);
}
