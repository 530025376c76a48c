/** Small settings for tests: a line per part, each in a layer of its own unless told otherwise. */
import type { Note, Role, Score } from "ripieno";
import { makeNote, sortNotes } from "ripieno/score";

/** One note of a line, in quarters. */
export interface LineNote extends Partial<Note> {
  /** Onset in quarters from the start. */
  readonly at: number;
  /** Length in quarters. */
  readonly quarters: number;
  /** Sounding pitch. */
  readonly pitch: number;
}

/** One part with what it plays. */
export interface Line {
  readonly instrument: string;
  readonly role: Role;
  readonly notes: readonly LineNote[];
  readonly name?: string;
  readonly players?: number;
  /** Id of the layer; by default one of its own. */
  readonly layer?: string;
  readonly figure?: string;
}

export interface SmallScoreOptions {
  readonly bars?: number;
  readonly beats?: number;
  readonly beatUnit?: number;
  readonly quartersPerMinute?: number;
  /** Length of a first, short bar. */
  readonly pickupQuarters?: number;
  /** Further tempos: quarters from the start, quarters per minute. */
  readonly tempos?: readonly (readonly [number, number])[];
  /** False for a score whose texture has to be recognised. */
  readonly written?: boolean;
}

/** Divisible by all values used here, down to 64ths and triplets of 32nds. */
export const TICKS_PER_QUARTER = 96;

const ticks = (quarters: number) => Math.round(quarters * TICKS_PER_QUARTER);

export function smallScore(lines: readonly Line[], options: SmallScoreOptions = {}): Score {
  const { bars = 2, beats = 4, beatUnit = 4, quartersPerMinute = 120, tempos = [], written = true } = options;
  const pickup = ticks(options.pickupQuarters ?? 0);
  const full = ticks(beats * 4 / beatUnit);
  const starts = Array.from({ length: bars }, (_, b) => pickup + b * full);
  const allBars = [
    ...(pickup > 0 ? [{ number: "0", startTicks: 0, durationTicks: pickup }] : []),
    ...starts.map((startTicks, b) => ({ number: String(b + 1), startTicks, durationTicks: full })),
  ];
  const layerOf = (line: Line, p: number) => line.layer ?? `${line.role} ${p}`;
  const ids = [...new Set(lines.map(layerOf))];
  return {
    title: "small",
    source: "made by the test",
    ticksPerQuarter: TICKS_PER_QUARTER,
    bars: allBars.map((b) => ({ ...b, beats, beatUnit, keyFifths: 0 })),
    tempos: [{ onsetTicks: 0, quartersPerMinute, origin: "marked" as const }].concat(
      tempos.map(([at, q]) => ({ onsetTicks: ticks(at), quartersPerMinute: q, origin: "marked" as const })),
    ),
    parts: lines.map((line, p) => ({
      id: `P${p + 1}`,
      name: line.name ?? `${line.instrument} ${p + 1}`,
      instrument: line.instrument,
      instrumentFrom: "given",
      players: line.players ?? 1,
      transposeSemitones: 0,
      transposeSteps: 0,
    })),
    notes: sortNotes(
      lines.flatMap((line, part) =>
        line.notes.map(({ at, quarters, pitch, ...rest }) =>
          makeNote({
            part,
            onsetTicks: ticks(at),
            durationTicks: ticks(quarters),
            soundingPitch: pitch,
            ...(written ? { layer: layerOf(line, part) } : {}),
            ...rest,
          })
        )
      ),
    ),
    chords: [],
    notices: [],
    ...(written
      ? {
        layers: ids.map((id) => {
          const parts = lines.flatMap((line, p) => layerOf(line, p) === id ? [p] : []);
          const { role, figure = "tune" } = lines[parts[0]!]!;
          return { id, role, figure, parts, fromBarIndex: 0, toBarIndex: allBars.length - 1, passage: "all" };
        }),
      }
      : {}),
  };
}

/** The same pitch every so many quarters, each note as long as the step. */
export function repeatedNotes(
  pitch: number,
  every: number,
  options: Partial<Note> & { readonly from?: number; readonly to?: number } = {},
): readonly LineNote[] {
  const { from = 0, to = 8, ...rest } = options;
  const count = Math.round((to - from) / every);
  return Array.from({ length: count }, (_, i) => ({ at: from + i * every, quarters: every, pitch, ...rest }));
}

/** The same line with something changed on every note. */
export function withNotes(line: Line, change: Partial<Note>): Line {
  return { ...line, notes: line.notes.map((n) => ({ ...n, ...change })) };
}

/** The whole object frozen, all the way down. */
export function deepFreeze<T>(value: T): T {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const member of Object.values(value)) deepFreeze(member);
  }
  return value;
}

/** Paths of all numbers in a result that are not finite. */
export function notFinite(value: unknown, path = ""): string[] {
  if (typeof value === "number") return Number.isFinite(value) ? [] : [`${path} is ${value}`];
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([key, member]) => notFinite(member, `${path}/${key}`));
}
