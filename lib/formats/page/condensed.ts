/** A condensed score: one or two staves for each family, at sounding pitch, with the names of who plays over them. */
import { memoOf } from "../../base/memo.ts";
import type { Ticks } from "../../base/units.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { instrumentOf } from "../../instruments/instrument_of.ts";
import { sortNotes } from "../../score/build.ts";
import { dynamicCourse } from "../../score/dynamic_course.ts";
import type { Note, Part, Score, WrittenWords } from "../../score/model.ts";
import { isLongSilence } from "../../score/silence.ts";
import { type SlurEnds, slurEnds } from "../../score/slur_ends.ts";
import { barIndexOf } from "../../score/time.ts";
import { namesInShort, type PartInOctave } from "./names_in_short.ts";
import { waysInForce } from "./technique_words.ts";

/** A score and the words over its parts. */
interface ScoreWithWords {
  readonly score: Score;
  /** Words by part. */
  readonly words: readonly (readonly WrittenWords[])[];
}

/** What stands together, from the top down, with what an instrument must be. */
const ROWS: readonly (readonly [name: string, holds: (i: Instrument) => boolean])[] = [
  ["Woodwinds", (i) => i.family === "woodwind"],
  ["Brass", (i) => i.family === "brass"],
  ["Timpani", (i) => i.id === "timpani"],
  ["Percussion", (i) => i.unpitched],
  ["Harp and keyboards", (i) => ["keyboard", "plucked", "percussion"].includes(i.family)],
  ["Voices", (i) => i.family === "voice"],
  ["Strings", () => true],
];

/** Middle C divides the two staves; a line stays on its stave until it lies this far beyond, in semitones. Model assumption. */
const [DIVIDING_PITCH, STAYS_WITHIN] = [60, 5];

/** Octaves at most between a line and what is named as its doubling. Model assumption. */
const MOST_OCTAVES = 2;

/**
 * The condensed score a conductor reads through or rehearses from: woodwinds, brass, timpani, percussion, harp and
 * keyboards, voices, strings, each on one stave or two divided at middle C. All is written where it sounds; double basses,
 * piccolo and the like too. Lines that double another of their row, in unison or octaves, are written once and named with
 * it; lines of one rhythm are chords. A stave has the dynamics of the loudest line on it.
 */
export function condensedScore(score: Score): ScoreWithWords {
  const rowOf = score.parts.map(({ instrument }) => {
    const found = instrumentOf(instrument);
    return found ? ROWS.findIndex(([, holds]) => holds(found)) : ROWS.length - 1;
  });
  const notesOf = Map.groupBy(score.notes.filter((n) => !n.cue), (n) => n.part);
  const rows = ROWS.flatMap(([name], row) => {
    const members = [...score.parts.keys()].filter((p) => rowOf[p] === row);
    const playing = members.filter((p) => notesOf.has(p));
    return playing.length > 0 ? [{ name, members: playing }] : [];
  });
  const made = rows.map(({ name, members }, part) => oneRow(score, { name, members, part, notesOf }));
  const { partGroups: _, layers: __, ...rest } = score;
  return {
    score: { ...rest, parts: made.map((m) => m.part), notes: sortNotes(made.flatMap((m) => m.notes)) },
    words: made.map((m) => m.words),
  };
}

interface RowToWrite {
  readonly name: string;
  readonly members: readonly number[];
  /** Index of the row in the condensed score. */
  readonly part: number;
  readonly notesOf: ReadonlyMap<number, readonly Note[]>;
}

interface WrittenRow {
  readonly part: Part;
  readonly notes: readonly Note[];
  readonly words: readonly WrittenWords[];
}

/** A line of a part in one bar. */
interface BarLine extends StaveLine {
  readonly barIndex: number;
  /** First and last bar of the stretch it belongs to. */
  readonly fromBarIndex: number;
  readonly toBarIndex: number;
  /** How loud it is on the whole. */
  readonly dynamic: number;
}

/** A line on its stave, and who doubles it. */
interface StaveLine {
  readonly part: number;
  readonly notes: readonly Note[];
  readonly staff: number;
  /** Parts that play it in another octave or the same, with the octaves above it. */
  readonly doubles: readonly (readonly [part: number, octaves: number])[];
}

/** One row, bar by bar. */
function oneRow(score: Score, { name, members, part, notesOf }: RowToWrite): WrittenRow {
  const lines = rowLines(score, members.flatMap((m) => notesOf.get(m)!));
  const byBar = Map.groupBy(lines, (l) => l.barIndex);
  const loudnessAt = loudnessOf(score);
  const notes: Note[] = [];
  const words: WrittenWords[] = [];
  const said = new Map<number, { readonly text: string; readonly until: Ticks }>();
  const isShared = members.length > 1;
  const waysOf = isShared ? waysByName(score, notesOf) : undefined;
  for (const bar of score.bars.keys()) {
    for (const [staff, here] of Map.groupBy(byBar.get(bar) ?? [], (l) => l.staff)) {
      const written = besideHeld(onOneStave(here, { part, loudnessAt, isShared }), notes);
      for (const note of written) notes.push(note);
      const playing = lines.filter((l) => l.staff === staff && l.fromBarIndex <= bar && l.toBarIndex >= bar);
      const onsetTicks = Math.min(...written.map((n) => n.onsetTicks));
      const named = playing.flatMap((l) => [[l.part, 0] as const, ...l.doubles]);
      const { startTicks, durationTicks } = score.bars[bar]!;
      const { text, spoken } = waysOf?.(named, startTicks + durationTicks) ?? { text: "", spoken: "" };
      const before = said.get(staff);
      const isNew = before?.text !== text ||
        isLongSilence(score, { fromTicks: before.until, toTicks: onsetTicks });
      if (isShared && isNew) words.push({ onsetTicks, staff, words: spoken });
      said.set(staff, { text, until: Math.max(...written.map((n) => n.onsetTicks + n.durationTicks)) });
    }
  }
  return onFewestStaves({
    name: isShared ? name : score.parts[members[0]!]!.name,
    part,
    notes,
    words,
  });
}

/** Names of parts at a place with their ways of playing. */
interface NamedWays {
  /** As they hold: what does not change need not be said again. */
  readonly text: string;
  /** As they are said, with the word that ends what held before, as `Vc. arco`. */
  readonly spoken: string;
}

/** Names parts by how they play, `Vln. I con sord., Vla. pizz.`, since words over a stave would be taken to hold for all on it. */
function waysByName(score: Score, notesOf: ReadonlyMap<number, readonly Note[]>) {
  const waysOf = memoOf((notes: readonly Note[]) =>
    waysInForce(notes.map(({ onsetTicks, technique, techniques }) => ({
      ticks: onsetTicks,
      technique,
      techniques,
    })))
  );
  const lastSaid = new Map<number, string>();
  const inWords = (named: readonly PartInOctave[], wayOf: (part: number) => string) =>
    [...Map.groupBy(named, ([part]) => wayOf(part))]
      .map(([way, own]) => [namesInShort(score, own), way].filter((word) => word !== "").join(" "))
      .join(", ");
  return (named: readonly PartInOctave[], barEnd: Ticks): NamedWays => {
    const wayOf = (part: number) => waysOf(notesOf.get(part)!).findLast((way) => way.ticks < barEnd);
    const holds = (part: number) => wayOf(part)?.holds ?? "";
    const text = inWords(named, holds);
    const spoken = inWords(named, (part) => {
      const isOver = holds(part) === "" && (lastSaid.get(part) ?? "") !== "";
      return isOver ? wayOf(part)!.ends : holds(part);
    });
    for (const [part] of named) lastSaid.set(part, holds(part));
    return { text, spoken };
  };
}

/** How loud a line is at a place: as the signs of its part have it, else as its last note there. */
function loudnessOf(score: Score): (line: BarLine, ticks: Ticks) => number {
  const courseOf = memoOf((part: Part) =>
    part.writtenDynamics ? dynamicCourse(part.writtenDynamics, score.ticksPerQuarter) : undefined
  );
  return ({ part, notes }, ticks) =>
    courseOf(score.parts[part]!)?.running(ticks) ??
      (notes.findLast((n) => n.onsetTicks <= ticks) ?? notes[0]!).dynamic;
}

/**
 * The lines of a row in its bars, those that double another left out. What a part has in one layer is looked at as a
 * whole, so that it keeps to its stave and its doubling; where there are no layers, what it has in one bar.
 */
function rowLines(score: Score, notes: readonly Note[]): readonly BarLine[] {
  const barOf = (n: Note) => barIndexOf(score, n.onsetTicks);
  const stretches = Map.groupBy(notes, (n) => n.layer ?? `bar ${barOf(n)}`);
  const staffOf = new Map<number, number>();
  return [...stretches.values()].flatMap((stretch) => {
    const own = [...Map.groupBy(stretch, (n) => n.part)].map(([part, notes]) => ({ part, notes }));
    const bars = stretch.map(barOf);
    const [fromBarIndex, toBarIndex] = [Math.min(...bars), Math.max(...bars)];
    return linesOnStaves(own, staffOf).flatMap((line) => {
      const dynamic = line.notes.reduce((sum, n) => sum + n.dynamic, 0) / line.notes.length;
      return [...Map.groupBy(line.notes, barOf)]
        .map(([barIndex, notes]) => ({ ...line, barIndex, fromBarIndex, toBarIndex, dynamic, notes }));
    });
  });
}

/** What a part has in a stretch. */
interface OwnLine {
  readonly part: number;
  readonly notes: readonly Note[];
}

/** Lines of a stretch on their staves, with those that double them. */
function linesOnStaves(
  own: readonly OwnLine[],
  staffOf: Map<number, number>,
): readonly StaveLine[] {
  return [...Map.groupBy(own, tuneOf).values()].flatMap((group) => {
    const far = (l: OwnLine) => Math.abs(meanPitch(l.notes) - DIVIDING_PITCH);
    const chief = group.reduce((best, l) => (far(l) < far(best) ? l : best));
    const octavesOf = (l: OwnLine) => Math.round((meanPitch(l.notes) - meanPitch(chief.notes)) / 12);
    const doubles = group.filter((l) => l !== chief && Math.abs(octavesOf(l)) <= MOST_OCTAVES)
      .map((l) => [l.part, octavesOf(l)] as const);
    const apart = group.filter((l) => l !== chief && !doubles.some(([part]) => part === l.part));
    return [{ ...chief, doubles }, ...apart.map((l) => ({ ...l, doubles: [] }))]
      .map((line) => ({ ...line, staff: staffFor(line, staffOf) }));
  });
}

/** What two lines have in common that double each other. */
function tuneOf({ notes }: OwnLine): string {
  return notes.map((n) => {
    const pitch = n.unpitched ? n.soundingPitch : n.soundingPitch % 12;
    return [n.onsetTicks, n.durationTicks, pitch, n.tremoloSlashes, n.trill].join(":");
  }).sort().join(" ");
}

/** The stave of a line: upper or lower by its middle, and rather where its part was before. */
function staffFor({ part, notes }: OwnLine, staffOf: Map<number, number>): number {
  const before = staffOf.get(part);
  const limit = DIVIDING_PITCH + (before === 1 ? -STAYS_WITHIN : before === 2 ? STAYS_WITHIN : 0);
  const staff = notes.some((n) => n.unpitched) || meanPitch(notes) >= limit ? 1 : 2;
  staffOf.set(part, staff);
  return staff;
}

const meanPitch = (notes: readonly Note[]): number =>
  notes.reduce((sum, n) => sum + n.soundingPitch, 0) / notes.length;

/** The lines of a stave in a bar: those of one rhythm as chords in one voice, the highest voice first. */
function onOneStave(
  lines: readonly BarLine[],
  { part, loudnessAt, isShared }: {
    readonly part: number;
    readonly loudnessAt: ReturnType<typeof loudnessOf>;
    /** Whether several parts stand on it, whose ways of playing are said with their names. */
    readonly isShared: boolean;
  },
): readonly Note[] {
  const rhythmOf = ({ notes }: BarLine) =>
    [...new Set(notes.map((n) => `${n.onsetTicks}:${n.durationTicks}:${n.tremoloSlashes}`))].sort().join(" ");
  const voices = [...Map.groupBy(lines, rhythmOf).values()]
    .map((own) => own.toSorted((a, b) => meanPitch(b.notes) - meanPitch(a.notes)))
    .sort((a, b) => meanPitch(b[0]!.notes) - meanPitch(a[0]!.notes));
  const byLoudness = lines.toSorted((a, b) => b.dynamic - a.dynamic);
  // Who has not come in yet says nothing of how loud it is.
  const loudestAt = (ticks: Ticks) => byLoudness.find((l) => l.notes.some((n) => n.onsetTicks <= ticks))!;
  const ways = new Set(lines.flatMap((l) => l.notes.map(({ technique }) => technique)));
  const technique = ways.size === 1 && !isShared ? [...ways][0]! : "ordinario";
  return voices.flatMap((own, v) => {
    // What two have in one chord is one head.
    const seen = new Set<string>();
    const slursAt = slursOf(own[0]!.notes);
    return own.flatMap((line, l) =>
      line.notes.flatMap((n): Note[] => {
        const { notation: _, layer: __, techniques: ___, glissandi: ____, ...plain } = n;
        const key = `${n.onsetTicks} ${n.durationTicks} ${n.soundingPitch}`;
        if (seen.has(key)) return [];
        seen.add(key);
        // One slur for a chord, that of its upper line, under which all of it lies.
        const { slurred, slurStart, slurStop } = slursAt.get(n.onsetTicks) ?? NO_SLUR;
        const isFirst = l === 0 && n === line.notes.find((m) => m.onsetTicks === n.onsetTicks);
        const slurs = { slurred, slurStart: isFirst && slurStart, slurStop: isFirst && slurStop };
        const dynamic = loudnessAt(loudestAt(n.onsetTicks), n.onsetTicks);
        // Several kinds of dots on one stave are dots.
        const articulations = n.articulations.map((a) => (a === "spiccato" ? "staccato" : a));
        return [{
          ...plain,
          ...slurs,
          part,
          staff: line.staff,
          voice: v + 1,
          dynamic,
          technique,
          articulations,
        }];
      })
    );
  });
}

/** Notes of the bars before that may still sound: of these the last are enough. */
const LATEST = 100;

/** The notes of a stave in a bar, in other voices than notes held into it from before that they would run into. */
function besideHeld(written: readonly Note[], before: readonly Note[]): readonly Note[] {
  const held = before.slice(-LATEST).filter((h) =>
    written.some((n) => n.staff === h.staff && n.onsetTicks < h.onsetTicks + h.durationTicks)
  );
  const taken = new Set(held.map((h) => h.voice));
  const isFree = !written.some((n) =>
    held.some((h) => h.voice === n.voice && n.onsetTicks < h.onsetTicks + h.durationTicks)
  );
  if (isFree) return written;
  const free = Array.from({ length: written.length + held.length }, (_, i) => i + 1).filter((v) =>
    !taken.has(v)
  );
  return written.map((n) => ({ ...n, voice: free[n.voice - 1]! }));
}

const NO_SLUR: SlurEnds = { slurred: false, slurStart: false, slurStop: false };

/**
 * Slurs of a line in one bar, by place: they end with the bar, since in the next the line may be another's lower one, or in another
 * voice.
 */
function slursOf(notes: readonly Note[]): ReadonlyMap<Ticks, SlurEnds> {
  const chords = [...Map.groupBy(notes.toSorted((a, b) => a.onsetTicks - b.onsetTicks), (n) => n.onsetTicks)];
  const joined = chords.map(([, chord], i) => i > 0 && chord.some((n) => n.slurred));
  const ends = slurEnds(joined);
  return new Map(chords.map(([onsetTicks], i) => [onsetTicks, ends[i]!]));
}

/** The row as a part; where nothing lies on one of its staves, on the other alone. */
function onFewestStaves(
  { name, part, notes, words }: {
    readonly name: string;
    readonly part: number;
    readonly notes: readonly Note[];
    readonly words: readonly WrittenWords[];
  },
): WrittenRow {
  const isOne = new Set(notes.map((n) => n.staff)).size === 1;
  const onFirst = <T extends { readonly staff: number }>(list: readonly T[]): readonly T[] =>
    isOne ? list.map((each) => ({ ...each, staff: 1 })) : list;
  return {
    part: {
      id: `R${part + 1}`,
      name,
      instrument: name === "Timpani" ? "timpani" : name,
      instrumentFrom: "given",
      players: 1,
      transposeSemitones: 0,
      transposeSteps: 0,
    },
    notes: onFirst(notes),
    words: onFirst(words),
  };
}
