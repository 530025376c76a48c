/** The lines beside a tune: the inner voices and the bass line of keyboard music, a short score or a full one, as they are written. */
import type { Ticks } from "../../base/units.ts";
import { memoOf } from "../../base/memo.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf, beatTicks, endOfBar } from "../../score/time.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { handsOf } from "./hands.ts";
import { voicesOf } from "./voices_of.ts";

/** Lines of a score beside its tune, as notes of that score. */
export interface LinesBeside {
  /** The inner voices, from the highest. */
  readonly innerVoices: readonly (readonly Note[])[];
  readonly bassLine: readonly Note[];
}

/** What the lines lie beside. */
interface LinesOptions {
  /** The tune, as notes of the score. */
  readonly tune: readonly Note[];
  readonly texture: Texture;
  /** Where chords change. */
  readonly changes: readonly Ticks[];
  readonly startTicks: Ticks;
  readonly endTicks: Ticks;
}

/** Staves up to which a score is read voice by voice; of more, the inner voices are its counterlines. Model assumption. */
const MOST_STAVES = 5;

/** Share of its notes from which a line goes in octaves with another, and is no line of its own. Model assumption. */
const DOUBLING = 0.75;

/** One stave in one bar, or one part. */
interface StaveBar {
  /** What begins there. */
  readonly notes: readonly Note[];
  /** The same without the tune, and what doubles it. */
  readonly own: readonly Note[];
  readonly cell: RoleCell | undefined;
  readonly mean: number;
}

/**
 * The lines beside the tune. On few staves: the lowest line of the lowest stave, where it does not lie above the tune, is the bass;
 * of a figure it is what lies lowest under each chord. All else that is no figure is inner voices. In a full score the bass
 * is what lies lowest and does not double the tune; the inner voices are its counterlines.
 */
export function linesBeside(score: Score, options: LinesOptions): LinesBeside {
  const { startTicks, endTicks, tune } = options;
  const notes = soundingNotes(score).filter((n) =>
    n.onsetTicks >= startTicks && n.onsetTicks < endTicks && !n.unpitched && !n.grace
  );
  const isShort = new Set(notes.map(staveKey)).size <= MOST_STAVES;
  const bars = [...Map.groupBy(notes, (n) => barIndexOf(score, n.onsetTicks))].map(([barIndex, own]) =>
    linesOfBar(score, stavesOfBar(score, own, { barIndex, isShort, options }), { barIndex, isShort, options })
  );
  const bassLine = oneAtATime(bars.flatMap((bar) => bar.bass));
  const voices = voicesOf(bars.flatMap((bar) => bar.inner));
  const innerVoices = voices.map(oneAtATime).filter((line) =>
    !isDoubling(line, tune) && !isDoubling(line, bassLine)
  );
  return { innerVoices, bassLine };
}

const staveKey = ({ part, staff }: Note): string => `${part} ${staff}`;
const noteKey = ({ part, onsetTicks, soundingPitch }: Note): string =>
  `${part} ${onsetTicks} ${soundingPitch}`;
const endOf = ({ onsetTicks, durationTicks }: Note): Ticks => onsetTicks + durationTicks;

/** What the staves of a bar have. */
function stavesOfBar(
  score: Score,
  notes: readonly Note[],
  { barIndex, isShort, options: { tune, texture } }: {
    readonly barIndex: number;
    readonly isShort: boolean;
    readonly options: LinesOptions;
  },
): readonly StaveBar[] {
  const led = new Set(tune.map(noteKey));
  return [...Map.groupBy(notes, staveKey).values()].map((all): StaveBar => {
    const [first] = all;
    const leading = all.filter((n) => led.has(noteKey(n)));
    const others = all.filter((n) => !led.has(noteKey(n)));
    return {
      notes: all,
      own: withoutOctaves(others, leading),
      cell: isShort
        ? handCell(score, texture, { ...first!, barIndex })
        : texture.cells[barIndex * score.parts.length + first!.part],
      mean: all.reduce((sum, n) => sum + n.soundingPitch, 0) / all.length,
    };
  });
}

/** What a stave is for in a bar: as a hand where its part has several. */
function handCell(
  score: Score,
  texture: Texture,
  { part, staff, barIndex }: Pick<Note, "part" | "staff"> & { readonly barIndex: number },
): RoleCell | undefined {
  const hands = handsOf(score)(part);
  if (hands === undefined) return texture.cells[barIndex * score.parts.length + part];
  return hands.texture.cells[barIndex * hands.staves.length + hands.staves.indexOf(staff)];
}

/** Octaves in which a line is doubled on a keyboard. */
const DOUBLED_AT = [-24, -12, 12, 24] as const;

/** Notes without those that double a line in octaves, next to it in the hand, where that is doubled through most of the bar. */
function withoutOctaves(notes: readonly Note[], line: readonly Note[]): readonly Note[] {
  if (line.length < 2) return notes;
  const isNext = (a: Note, b: Note) =>
    !notes.some((n) =>
      n.onsetTicks === a.onsetTicks &&
      (n.soundingPitch - a.soundingPitch) * (n.soundingPitch - b.soundingPitch) < 0
    );
  const doubling = DOUBLED_AT.map((semitones) =>
    notes.filter((other) =>
      line.some((n) =>
        n.onsetTicks === other.onsetTicks && n.durationTicks === other.durationTicks &&
        n.voice === other.voice && other.soundingPitch === n.soundingPitch + semitones && isNext(n, other)
      )
    )
  ).filter((own) => own.length > DOUBLING * line.length).flat();
  return doubling.length === 0 ? notes : notes.filter((n) => !doubling.includes(n));
}

function isOctaveOf(a: Note, b: Note): boolean {
  return a.onsetTicks === b.onsetTicks && (a.soundingPitch - b.soundingPitch) % 12 === 0;
}

/** Notes of a line by onset. */
const byOnset = memoOf((line: readonly Note[]) => Map.groupBy(line, (n) => n.onsetTicks));

/** Notes of which so few may meet another line by chance. Model assumption. */
const FEW = 3;

/** Whether a line has what another has at the same time, in whatever octave. */
function isDoubling(line: readonly Note[], other: readonly Note[]): boolean {
  const shared = line.filter((n) => byOnset(other).get(n.onsetTicks)?.some((o) => isOctaveOf(n, o)));
  return shared.length > DOUBLING * line.length;
}

/** What of a bar belongs to the lines. */
interface BarLines {
  readonly bass: readonly Note[];
  readonly inner: readonly Note[];
}

/** Bass and inner voices of a bar, as notes. */
function linesOfBar(
  score: Score,
  staves: readonly StaveBar[],
  { barIndex, isShort, options }: {
    readonly barIndex: number;
    readonly isShort: boolean;
    readonly options: LinesOptions;
  },
): BarLines {
  if (!isShort) return linesOfFullBar(score, staves, { barIndex, options });
  const lowest = staves.reduce((a, b) => b.mean < a.mean ? b : a);
  const bass = bassOf(score, lowest, { barIndex, changes: options.changes })
    .filter((n) => !options.tune.some((t) => isUnder(t, n)));
  const taken = new Set(bass.map(noteKey));
  const inner = staves.filter((s) => !isFigure(score, s, barIndex)).flatMap((s) => {
    const others = s.own.filter((n) => !taken.has(noteKey(n)));
    return s === lowest ? withoutOctaves(others, bass) : others;
  });
  return { bass, inner };
}

/** Bass and inner voices of a bar of a full score: what lies lowest and does not double the tune, whatever it is for; and counterlines. */
function linesOfFullBar(
  score: Score,
  staves: readonly StaveBar[],
  { barIndex, options: { tune, changes } }: { readonly barIndex: number; readonly options: LinesOptions },
): BarLines {
  const inner = staves.filter((s) => s.cell?.role === "counterline").flatMap((s) => s.own);
  const isDrum = ({ notes: [n] }: StaveBar) => score.parts[n!.part]!.instrument === "timpani";
  const others = staves.filter(({ own }) => own.length > 0 && (own.length < FEW || !isDoubling(own, tune)));
  const [lowest] = others.filter((s) => !isDrum(s)).toSorted((a, b) => a.mean - b.mean);
  if (lowest === undefined) return { bass: [], inner };
  const bass = bassOf(score, lowest, { barIndex, changes }).filter((n) => !tune.some((t) => isUnder(t, n)));
  return { bass, inner: inner.filter((n) => !bass.includes(n)) };
}

/** Whether a note of the tune sounds where another begins, and lower. */
function isUnder(tune: Note, n: Note): boolean {
  return tune.onsetTicks <= n.onsetTicks && endOf(tune) > n.onsetTicks &&
    tune.soundingPitch < n.soundingPitch;
}

/** Roles whose notes are no voices where they are struck more often than the beat. */
const FIGURES: readonly string[] = ["figuration", "run", "trill", "pulse", "punctuation"];

/** Semitones over which a figure in beats goes at least, and a voice does not. Model assumption. */
const WIDE = 12;

/** Whether what a stave has beside the tune in a bar is a figure, and no voices. */
function isFigure(score: Score, { cell, own }: StaveBar, barIndex: number): boolean {
  if (cell === undefined || own.length === 0) return false;
  if (isStriding(own)) return true;
  const bar = score.bars[barIndex]!;
  const beats = bar.durationTicks / beatTicks(bar, score.ticksPerQuarter);
  const pitches = own.map((n) => n.soundingPitch);
  const isWide = cell.role === "figuration" && Math.max(...pitches) - Math.min(...pitches) > WIDE;
  return FIGURES.includes(cell.role) && (isWide || byOnset(own).size > beats);
}

/** Whether a hand goes to and fro between a bass and chords above it, which it does not hold together. */
function isStriding(notes: readonly Note[]): boolean {
  const strokes = [...Map.groupBy(notes, (n) => n.onsetTicks).values()];
  const isHeldInto = (n: Note) =>
    notes.some((m) => m !== n && m.onsetTicks < n.onsetTicks && endOf(m) > n.onsetTicks);
  const singles = strokes.filter((s) => s.length === 1 && !isHeldInto(s[0]!)).flat();
  const chords = strokes.filter((s) => s.length > 1 && !s.some(isHeldInto));
  return singles.length > 0 && chords.length > 0 && singles.length + chords.length === strokes.length &&
    Math.max(...singles.map((n) => n.soundingPitch)) <
      Math.min(...chords.flat().map((n) => n.soundingPitch));
}

/** The bass of a stave in a bar. */
function bassOf(
  score: Score,
  stave: StaveBar,
  { barIndex, changes }: { readonly barIndex: number; readonly changes: readonly Ticks[] },
): readonly Note[] {
  const { own } = stave;
  if (isStriding(own)) {
    return own.filter((n) => byOnset(own).get(n.onsetTicks)!.length === 1);
  }
  const isBroken = stave.cell?.role === "figuration" && isFigure(score, stave, barIndex);
  return isBroken ? lowestUnderChords(score, own, { barIndex, changes }) : edgeOf(own, -1);
}

/** What lies lowest under each chord of a bar, as long as the chord. */
function lowestUnderChords(
  score: Score,
  notes: readonly Note[],
  { barIndex, changes }: { readonly barIndex: number; readonly changes: readonly Ticks[] },
): readonly Note[] {
  const [start, end] = [score.bars[barIndex]!.startTicks, endOfBar(score, barIndex)];
  const edges = [start, ...changes.filter((at) => at > start && at < end), end];
  return edges.slice(1).flatMap((to, i) => {
    const own = notes.filter((n) => n.onsetTicks >= edges[i]! && n.onsetTicks < to);
    if (own.length === 0) return [];
    const lowest = own.reduce((a, b) => b.soundingPitch < a.soundingPitch ? b : a);
    const { notation: _heads, ...plain } = lowest;
    return [{ ...plain, onsetTicks: own[0]!.onsetTicks, durationTicks: to - own[0]!.onsetTicks }];
  });
}

/** The upper (1) or lower (-1) edge of some notes: what begins inside while a note of the edge sounds is none of it. */
export function edgeOf(notes: readonly Note[], side: 1 | -1): readonly Note[] {
  const line: Note[] = [];
  const strokes = [...Map.groupBy(notes, (n) => n.onsetTicks)].sort((a, b) => a[0] - b[0]);
  for (const [, stroke] of strokes) {
    const outer = stroke.reduce((a, b) => side * (b.soundingPitch - a.soundingPitch) > 0 ? b : a);
    const held = line.at(-1);
    const isInner = held !== undefined && endOf(held) > outer.onsetTicks &&
      side * (held.soundingPitch - outer.soundingPitch) > 0;
    if (!isInner) line.push(outer);
  }
  return line;
}

/** Each note of a line as long as it is alone: to the next at most. */
export function oneAtATime(line: readonly Note[]): readonly Note[] {
  return line.map((note, i) => {
    const room = (line[i + 1]?.onsetTicks ?? Infinity) - note.onsetTicks;
    return note.durationTicks > room ? { ...note, durationTicks: room } : note;
  });
}
