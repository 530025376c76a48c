/** A score with one of the ways out written into it. */
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import {
  A_NUMBER,
  A_RECORD,
  A_TEXTURE,
  checkArgument,
  checkFields,
  type Kind,
} from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { soundsIn } from "./passage_window.ts";
import { nearestFirst } from "../../base/nearest_first.ts";
import { sortNotes } from "../../score/build.ts";
import type { Note, Score, WrittenLayer } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Layer, RoleCell, Texture } from "../../texture/model.ts";
import { silentCell } from "../../texture/silent_cell.ts";
import type { RemedyChange } from "../../measures/balance/remedy_results.ts";

/** Where a change is made. */
export interface ApplyRemedyOptions {
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
}

/** A changed score with its texture: a recognised one is carried over, not read again. */
export interface AppliedRemedy {
  /** The score with the change. */
  readonly score: Score;
  /** Who does what after it. */
  readonly texture: Texture;
}

/** The dynamic scale from ppp to fff. */
const [SOFTEST, LOUDEST] = [1, 8];

const CHANGES: Kind = {
  noun: "a change or a list of them",
  give: "Give the changes of a remedy, for example remedies(score, passage)[0].changes",
  fits: (value) => (Array.isArray(value) ? value : [value]).every((v) => A_RECORD.fits(v) && "kind" in v),
};

/**
 * Writes a way out into a score: all notes of the parts concerned that sound in the bars are changed, those held
 * into the first bar included. A part that doubles takes the role of the part it doubles.
 *
 * @param score the score; not changed
 * @param changes what to change, for example the `changes` of a row of `remedies`; made one after the other
 * @param options bars and texture
 * @returns the new score and its texture
 * @throws {InputError} when a part is not in the score
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { applyRemedy } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const softer = applyRemedy(score, { kind: "dynamic", parts: ["Horn 1"], steps: -2 }, { fromBarIndex: 0, toBarIndex: 7 });
 * assertEquals(softer.score.notes.length, score.notes.length);
 * ```
 */
export function applyRemedy(
  score: Score,
  changes: RemedyChange | readonly RemedyChange[],
  options: ApplyRemedyOptions,
): AppliedRemedy {
  checkFields("change the score", options, {
    fromBarIndex: A_NUMBER,
    toBarIndex: A_NUMBER,
    texture: A_TEXTURE,
  });
  checkArgument("change the score", changes, CHANGES);
  const before: AppliedRemedy = { score, texture: givenTexture("change the score", score, options.texture) };
  const list = "kind" in changes ? [changes] : changes;
  return list.reduce(
    (done, change) => applyOne(done.score, change, { ...options, texture: done.texture }),
    before,
  );
}

function applyOne(
  score: Score,
  change: RemedyChange,
  options: Required<ApplyRemedyOptions>,
): AppliedRemedy {
  const { texture } = options;
  const sounds = soundingIn(score, options);
  const named = "parts" in change ? change.parts : [change.part, change.of];
  const parts = named.map((name) => partIndex(score, name));
  const isMeant = (n: Note) => parts.includes(n.part) && sounds(n);
  switch (change.kind) {
    case "octave":
      return { score: withNotes(score, isMeant, (n) => octaveUp(n, change.octaves)), texture };
    case "dynamic": {
      const played = (n: Note): Note => ({
        ...n,
        dynamic: Math.max(SOFTEST, Math.min(LOUDEST, n.dynamic + change.steps)),
      });
      return { score: withNotes(score, isMeant, played), texture };
    }
    case "rest": {
      const left = { ...score, notes: score.notes.filter((n) => !isMeant(n)) };
      return { score: left, texture: withoutParts(texture, left, { parts, ...options }) };
    }
    case "double":
      return doubled(score, texture, {
        part: parts[0]!,
        of: parts[1]!,
        octaves: change.octaves,
        isMeant: (n) => n.part === parts[1] && sounds(n),
      });
  }
}

function partIndex(score: Score, name: string): number {
  const index = score.parts.findIndex((p) => p.name === name);
  if (index >= 0) return index;
  throw new InputError({
    action: "change the score",
    problem: `there is no part "${name}"`,
    remedy: `Its parts are ${nearestFirst(name, score.parts.map((p) => p.name)).join(", ")}`,
  });
}

/** Whether a note sounds in the bars; refuses bars that the score does not have. */
function soundingIn(
  score: Score,
  { fromBarIndex, toBarIndex }: Pick<ApplyRemedyOptions, "fromBarIndex" | "toBarIndex">,
): (note: Note) => boolean {
  if (score.bars[fromBarIndex] && score.bars[toBarIndex]) {
    return soundsIn(score, { fromBarIndex, toBarIndex });
  }
  throw new InputError({
    action: "change the score",
    problem: `it has no bars with the indexes ${fromBarIndex} to ${toBarIndex}`,
    remedy: `Give indexes from 0 to ${score.bars.length - 1}`,
  });
}

function withNotes(score: Score, isMeant: (n: Note) => boolean, change: (n: Note) => Note): Score {
  return { ...score, notes: sortNotes(score.notes.map((n) => isMeant(n) ? change(n) : n)) };
}

function octaveUp(note: Note, octaves: number): Note {
  const { spelling } = note;
  return {
    ...note,
    soundingPitch: note.soundingPitch + 12 * octaves,
    ...(spelling === undefined ? {} : { spelling: { ...spelling, octave: spelling.octave + octaves } }),
  };
}

/** A part that rested plays with another. */
function doubled(score: Score, texture: Texture, { part, of, octaves, isMeant }: {
  readonly part: number;
  readonly of: number;
  readonly octaves: number;
  readonly isMeant: (n: Note) => boolean;
}): AppliedRemedy {
  const copies = score.notes.filter(isMeant).map((n): Note => {
    const { signs: _signs, techniques: _techniques, ...plain } = octaveUp(n, octaves);
    return { ...plain, part, technique: "ordinario", staff: 1, voice: 1 };
  });
  const layersUsed = new Set(copies.map((n) => n.layer));
  const parts = score.parts.length;
  const bars = new Set(copies.flatMap((n) => {
    const first = barIndexOf(score, n.onsetTicks);
    const last = barIndexOf(score, n.onsetTicks + Math.max(1, n.durationTicks) - 1);
    return Array.from({ length: last - first + 1 }, (_, i) => first + i);
  }));
  const cells = texture.cells.map((cell, i): RoleCell => {
    if (i % parts !== part || !bars.has(Math.floor(i / parts))) return cell;
    const source = texture.cells[i - part + of]!;
    return { ...source, part, reason: `doubles ${score.parts[of]!.name}` };
  });
  const joined = new Set(
    cells.filter((c, i) => c !== texture.cells[i]).map((c) => c.layer).filter((l) => l !== ""),
  );
  const withPart = <T extends Layer | WrittenLayer>(layer: T, isIt: boolean): T =>
    isIt && layer.parts.includes(of) && !layer.parts.includes(part)
      ? { ...layer, parts: [...layer.parts, part].sort((a, b) => a - b) }
      : layer;
  return {
    score: {
      ...score,
      notes: sortNotes([...score.notes, ...copies]),
      ...(score.layers === undefined
        ? {}
        : { layers: score.layers.map((l) => withPart(l, layersUsed.has(l.id))) }),
    },
    texture: {
      ...texture,
      cells,
      layers: texture.layers.map((l) =>
        withPart(l, joined.has(l.id) && [...bars].some((b) => b >= l.fromBarIndex && b <= l.toBarIndex))
      ),
    },
  };
}

/** Cells of parts that no longer sound become rests. */
function withoutParts(texture: Texture, score: Score, { parts, fromBarIndex, toBarIndex }: {
  readonly parts: readonly number[];
  readonly fromBarIndex: number;
  readonly toBarIndex: number;
}): Texture {
  const count = score.parts.length;
  const cells = texture.cells.map((cell, i): RoleCell => {
    const bar = Math.floor(i / count);
    return bar >= fromBarIndex && bar <= toBarIndex && parts.includes(i % count) && cell.role !== "rest"
      ? silentCell(cell, "left out")
      : cell;
  });
  return { ...texture, cells };
}
