/** The bars and parts that are to be engraved, as a score of their own. */
import type { Ticks } from "../../base/units.ts";
import type { BarsFound } from "../../orchestrate/rewrite/bars_asked.ts";
import { excerpt, type ScoreWithTexture } from "../../orchestrate/rewrite/excerpt.ts";
import { layersOf } from "../../texture/layers.ts";
import type { Part, Score, WrittenDynamic } from "../../score/model.ts";

/** What of a score is engraved. */
interface WhatToEngrave {
  readonly bars: BarsFound;
  /** Indexes of the parts asked for; undefined for all. */
  readonly parts: readonly number[] | undefined;
  /** Whether parts are shown that rest in all these bars, and were not asked for by name. */
  readonly resting: boolean;
  /** Whether transposing instruments stand where they sound. */
  readonly sounding: boolean;
}

/** The bars and parts as a score of their own. At least one part stays, so that rests show. */
export function scoreToEngrave(
  whole: ScoreWithTexture,
  { bars, parts, resting, sounding }: WhatToEngrave,
): ScoreWithTexture {
  const cut = excerpt(whole, bars);
  const plays = new Set(cut.score.notes.map((n) => n.part));
  const all = [...cut.score.parts.keys()];
  const wanted = parts ?? (resting || plays.size === 0 ? all : all.filter((p) => plays.has(p)));
  const kept = onlyParts(cut, wanted);
  const placed = {
    ...kept.score,
    parts: kept.score.parts.map((part, p) => dynamicsAtEntries(kept.score, { part, p })),
  };
  return { ...kept, score: sounding ? atSoundingPitch(placed) : placed };
}

/** A score with some of its parts. */
function onlyParts({ score, texture }: ScoreWithTexture, parts: readonly number[]): ScoreWithTexture {
  const placeOf = new Map(parts.map((part, place) => [part, place]));
  const moved = (part: number) => placeOf.get(part)!;
  const cells = texture.cells.filter((c) => placeOf.has(c.part)).map((c) => ({ ...c, part: moved(c.part) }));
  const { layers, ...rest } = score;
  return {
    score: {
      ...rest,
      parts: parts.map((p) => score.parts[p]!),
      notes: score.notes.filter((n) => placeOf.has(n.part)).map((n) => ({ ...n, part: moved(n.part) })),
      ...(layers
        ? {
          layers: layers.map((l) => ({ ...l, parts: l.parts.filter((p) => placeOf.has(p)).map(moved) }))
            .filter((l) => l.parts.length > 0),
        }
        : {}),
    },
    texture: { ...texture, cells, layers: layersOf(cells, parts.length) },
  };
}

/** A part whose marks of before stand where it comes in, and not over its rests. */
function dynamicsAtEntries(score: Score, { part, p }: { readonly part: Part; readonly p: number }): Part {
  const { writtenDynamics } = part;
  if (!writtenDynamics) return part;
  const first = score.notes.find((n) => n.part === p && !n.cue)?.onsetTicks;
  const isEarly = (sign: WrittenDynamic) => sign.kind === "mark" && sign.onsetTicks === 0;
  if (first === undefined) return { ...part, writtenDynamics: writtenDynamics.filter((s) => !isEarly(s)) };
  if (first === 0) return part;
  const isMarked = writtenDynamics.some((s) =>
    s.kind === "mark" && s.onsetTicks > 0 && s.onsetTicks <= first
  );
  return {
    ...part,
    writtenDynamics: writtenDynamics.flatMap((sign) =>
      !isEarly(sign) ? [sign] : isMarked ? [] : [{ ...sign, onsetTicks: first }]
    ).toSorted((a, b) => a.onsetTicks - b.onsetTicks),
  };
}

/** An octave in semitones and in steps. */
const [OCTAVE, STEPS] = [12, 7];

/**
 * A score in which transposing instruments stand where they sound; those that sound an octave or two from what they read stay
 * as they are, as custom has it.
 */
function atSoundingPitch(score: Score): Score {
  const keys = keysOf(score);
  const parts = score.parts.map((part): Part => {
    const { transposeSemitones, notation } = part;
    const isInOctaves = transposeSemitones % OCTAVE === 0 &&
      (notation?.transpositions.every((t) => t.semitones % OCTAVE === 0) ?? true);
    if (isInOctaves) return part;
    const octaves = Math.trunc(transposeSemitones / OCTAVE);
    return {
      ...part,
      transposeSemitones: octaves * OCTAVE,
      transposeSteps: octaves * STEPS,
      ...(notation ? { notation: { ...notation, keys, transpositions: [], clefs: [] } } : {}),
    };
  });
  return { ...score, parts };
}

/** Key signatures at concert pitch, where they change. */
function keysOf({ bars }: Score): readonly { readonly fromTicks: Ticks; readonly fifths: number }[] {
  return bars.flatMap(({ startTicks, keyFifths }, i) =>
    i > 0 && bars[i - 1]!.keyFifths === keyFifths ? [] : [{ fromTicks: startTicks, fifths: keyFifths }]
  );
}
