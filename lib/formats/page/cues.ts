/** Cues: what a player who has counted many bars hears just before coming in, in small notes. */
import type { Ticks } from "../../base/units.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { instrumentOf } from "../../instruments/instrument_of.ts";
import { printedName } from "../../instruments/names/printed_name.ts";
import { makeNote } from "../../score/build.ts";
import type { Note, Part, Score, WrittenWords } from "../../score/model.ts";
import { octavesAway } from "../../score/spelled_name.ts";
import { barIndexOf, beatTicks, clockOf } from "../../score/time.ts";
import { CLEFS, COMFORT_SEMITONES } from "./clefs.ts";
import { octaveWords } from "./names_in_short.ts";

/** What stands in a part besides its own notes. */
interface Additions {
  /** Notes in score order of the part; cues. */
  readonly notes: readonly Note[];
  /** Words over the stave. */
  readonly words: readonly WrittenWords[];
}

/** Bars of rest after which a player is given a cue. Common practice, no source. */
const COUNTED_BARS = 8;

/** Most bars of a cue; where bars are as long as this, in seconds, one is enough. Common practice, no source. */
const [CUE_BARS, LONG_BAR_SECONDS] = [2, 4];

/** A place where a player comes in after a long rest. */
interface Entry {
  /** Where the cue ends. */
  readonly ticks: Ticks;
  /** First bar of the cue, if anybody plays there. */
  readonly cueFrom: number;
  /** Last bar that belongs to the rest, wholly or in part. */
  readonly cueTo: number;
}

/**
 * Cues for one part: one or two bars before each entry after eight bars of rest or more, from the part that leads
 * there, or else from the one that is best followed.
 *
 * @param score the score
 * @param partIndex whose part it is
 * @returns notes of that part, all of them cues, and the names of who plays them
 */
export function cuesFor(score: Score, partIndex: number): Additions {
  const own = score.notes.filter((n) => n.part === partIndex);
  if (own.some((n) => n.cue)) return { notes: [], words: [] };
  const lines = Map.groupBy(score.notes.filter((n) => !n.cue && !n.grace), (n) => n.part);
  const cues = entriesOf(score, own).map((entry) => cueAt(score, { entry, partIndex, lines }));
  const found = cues.filter((cue) => cue !== undefined);
  return { notes: found.flatMap((c) => c.notes), words: found.flatMap((c) => c.words) };
}

/** Entries of a part after long rests. */
function entriesOf(score: Score, own: readonly Note[]): readonly Entry[] {
  const clock = clockOf(score);
  const entries: Entry[] = [];
  let soundedTo = 0;
  for (const { onsetTicks, durationTicks } of own) {
    const empty = onsetTicks <= soundedTo
      ? 0
      : score.bars.filter((b) => b.startTicks >= soundedTo && b.startTicks + b.durationTicks <= onsetTicks)
        .length;
    soundedTo = Math.max(soundedTo, onsetTicks + durationTicks);
    if (empty < COUNTED_BARS) continue;
    const entryBar = barIndexOf(score, onsetTicks);
    const { startTicks } = score.bars[entryBar]!;
    // What is heard of the entry's own bar leads in where it is a beat at least.
    const isInside = onsetTicks - startTicks >= beatTicks(score.bars[entryBar]!, score.ticksPerQuarter);
    const cueTo = isInside ? entryBar : entryBar - 1;
    const bar = score.bars[entryBar - 1]!;
    const seconds = clock(bar.startTicks + bar.durationTicks) - clock(bar.startTicks);
    const bars = seconds >= LONG_BAR_SECONDS ? 1 : CUE_BARS;
    const ticks = isInside ? onsetTicks : startTicks;
    entries.push({ ticks, cueFrom: Math.min(entryBar - 1, cueTo + 1 - bars), cueTo });
  }
  return entries;
}

/** What a cue is chosen from. */
interface CueChoice {
  readonly entry: Entry;
  readonly partIndex: number;
  /** Notes by part. */
  readonly lines: ReadonlyMap<number, readonly Note[]>;
}

/** A part that may be followed into an entry. */
interface Candidate {
  readonly part: number;
  readonly line: readonly Note[];
  readonly worth: number;
}

/** The cue before an entry; undefined where nobody can be followed. */
function cueAt(score: Score, { entry, partIndex, lines }: CueChoice): Additions | undefined {
  const reader = score.parts[partIndex]!;
  let best: Candidate | undefined;
  for (const [part, notes] of lines) {
    if (part === partIndex) continue;
    const line = sameLayer(topLine(notes, score.bars[entry.cueFrom]!.startTicks, entry.ticks));
    const worth = worthAsCue(score, { part, line, entry, reader });
    if (worth !== undefined && (best === undefined || worth > best.worth)) best = { part, line, worth };
  }
  if (best === undefined) return undefined;
  return written(score, { cue: best, partIndex, entry });
}

/** The upper line of a part between two places, cut there. */
function topLine(notes: readonly Note[], from: Ticks, to: Ticks): readonly Note[] {
  const inside = notes.filter((n) => n.onsetTicks < to && n.onsetTicks + n.durationTicks > from);
  const tops: Note[] = [];
  for (const [onset, chord] of Map.groupBy(inside, (n) => Math.max(n.onsetTicks, from))) {
    const top = chord.reduce((a, b) => (b.soundingPitch > a.soundingPitch ? b : a));
    const end = Math.min(top.onsetTicks + top.durationTicks, to);
    tops.push({ ...top, onsetTicks: onset, durationTicks: end - onset });
  }
  tops.sort((a, b) => a.onsetTicks - b.onsetTicks);
  return tops.map((n, i) => {
    const next = tops[i + 1]?.onsetTicks ?? Infinity;
    return { ...n, durationTicks: Math.min(n.durationTicks, next - n.onsetTicks) };
  });
}

/** Notes of the layer that a line ends in, where it was written in layers: what came before is another story. */
function sameLayer(line: readonly Note[]): readonly Note[] {
  const layer = line.at(-1)?.layer;
  return layer === undefined ? line : line.filter((n) => n.layer === layer);
}

/** What speaks for a line as a cue, in points. Model assumption: who leads first, then a tune that can be told by ear. */
const POINTS = {
  lead: 4,
  moves: 2,
  changesPitch: 2,
  perDynamicStep: 0.5,
  sameFamily: 1,
  busy: -2,
  perOctaveMoved: -0.5,
} as const;

/** Notes in a bar from which a cue is slower to read than to count. Model assumption. */
const BUSY_NOTES = 9;

/** How well a line can be followed into an entry; undefined where it is silent in the last bar before it. */
function worthAsCue(
  score: Score,
  { part, line, entry, reader }: {
    readonly part: number;
    readonly line: readonly Note[];
    readonly entry: Entry;
    readonly reader: Part;
  },
): number | undefined {
  const { startTicks } = score.bars[entry.cueTo]!;
  const last = line.filter((n) => n.onsetTicks >= startTicks);
  if (last.length === 0 || line.some((n) => n.unpitched)) return undefined;
  const [own, other] = [reader, score.parts[part]!].map((p) => instrumentOf(p.instrument)?.family);
  // Drums are followed by drummers.
  if (score.parts[part]!.instrument === "timpani" && own !== "percussion") return undefined;
  const octaves = Math.abs(octavesToRead(line, reader, instrumentOf(reader.instrument)));
  const perBar = line.length / (entry.cueTo - entry.cueFrom + 1);
  const leads = score.layers?.some((l) => l.role === "lead" && l.id === last[0]!.layer) ?? false;
  return (leads ? POINTS.lead : 0) + (last.length > 1 ? POINTS.moves : 0) +
    (new Set(line.map((n) => n.soundingPitch)).size > 1 ? POINTS.changesPitch : 0) +
    last[0]!.dynamic * POINTS.perDynamicStep + (own === other ? POINTS.sameFamily : 0) +
    octaves * POINTS.perOctaveMoved +
    (perBar >= BUSY_NOTES || line.some((n) => n.tremoloSlashes > 0) ? POINTS.busy : 0);
}

/** A cue as it stands in the reader's part: in a fitting octave, with the name of who plays it. */
function written(
  score: Score,
  { cue, partIndex, entry }: {
    readonly cue: Candidate;
    readonly partIndex: number;
    readonly entry: Entry;
  },
): Additions {
  const reader = score.parts[partIndex]!;
  // A bar in which the other part does not play yet needs no small rests.
  const firstBar = barIndexOf(score, cue.line[0]!.onsetTicks);
  const fromTicks = Math.max(score.bars[entry.cueFrom]!.startTicks, score.bars[firstBar]!.startTicks);
  const instrument = instrumentOf(reader.instrument);
  const octaves = instrument?.unpitched ? 0 : octavesToRead(cue.line, reader, instrument);
  const source = score.parts[cue.part]!;
  const { plain } = printedName({ ...source, instrument: instrumentOf(source.instrument) });
  const elsewhere = octaves === 0 ? "" : ` (sounds${octaveWords(-octaves)})`;
  const notes = cue.line.map((n) => cueNote(n, { part: partIndex, octaves, instrument }));
  return { notes, words: [{ onsetTicks: fromTicks, staff: 1, words: `${plain}${elsewhere}` }] };
}

/** One note of a cue. Without a definite pitch, players read its rhythm above the stave. */
function cueNote(
  note: Note,
  { part, octaves, instrument }: {
    readonly part: number;
    readonly octaves: number;
    readonly instrument: Instrument | undefined;
  },
): Note {
  const { onsetTicks, durationTicks, dynamic } = note;
  const plain = { part, onsetTicks, durationTicks, dynamic, cue: true };
  if (instrument?.unpitched) {
    const soundingPitch = instrument.percussionKey ?? note.soundingPitch;
    const notation = { display: { step: "A", octave: 5 } };
    return { ...makeNote({ ...plain, soundingPitch, unpitched: true }), notation };
  }
  const { soundingPitch, spelling } = octavesAway(note, octaves);
  return makeNote({ ...plain, soundingPitch, ...(spelling ? { spelling } : {}) });
}

/** Octaves by which a line is moved so that it lies on the reader's stave: as few as will do. */
function octavesToRead(line: readonly Note[], reader: Part, instrument: Instrument | undefined): number {
  const written = line.map((n) => n.soundingPitch - reader.transposeSemitones);
  const middle = middleLineOf(reader, line[0]!.onsetTicks, instrument);
  const [low, high] = [Math.min(...written), Math.max(...written)];
  const beyond = (octaves: number) =>
    Math.max(
      0,
      middle - COMFORT_SEMITONES - low - 12 * octaves,
      high + 12 * octaves - middle - COMFORT_SEMITONES,
    );
  return [0, 1, -1, 2, -2, 3, -3, 4, -4].reduce((best, other) => beyond(other) < beyond(best) ? other : best);
}

/** Pitch of the middle line of the stave a part reads from: as its page has it, or the instrument's first clef. */
function middleLineOf(part: Part, ticks: Ticks, instrument: Instrument | undefined): number {
  const printed = part.notation?.clefs.findLast((c) => c.staff === 1 && c.fromTicks <= ticks);
  const clef = printed &&
    Object.values(CLEFS).find((c) => c.sign === printed.sign && c.line === printed.line);
  return (clef ?? CLEFS[instrument?.clefs[0] ?? "G"] ?? CLEFS["G"]!).middleLine;
}
