/** How the voices of held chords are led: parallels, holes, doubled and dangling leading notes and sevenths. */
import { A_SCORE, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { Score } from "../../score/model.ts";
import { barBeatOf, barIndexOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";
import { partsInWords } from "../layer_words.ts";
import type { VoiceLeadingKind, VoiceLeadingRow } from "./chord_results.ts";
import { padCourses } from "./pad_voices.ts";
import { pitchesAt, type VoiceLeadingPlace, voiceLeadingPlaces } from "./voice_leading_places.ts";

/** Constants of {@linkcode voiceLeading}, with their units and sources. */
export const VOICE_LEADING_CONSTANTS = {
  overBassSemitones: {
    value: 19,
    unit: "semitones",
    source: "common practice, no source; Rimsky-Korsakov 1922, ch. III, rarely more than 12",
    meaning: "how far the lowest voice may lie above the bass without a hole",
  },
  apartSemitones: {
    value: 16,
    unit: "semitones",
    source: "common practice of four-part writing: a tenth",
    meaning: "how far neighbouring voices may lie apart elsewhere",
  },
  gapBars: {
    value: 1,
    unit: "bars",
    source: "model assumption",
    meaning: "places of the same voices this near to each other are one row",
  },
} as const;

/** What one place weighs; a hole besides for each octave that it is too wide. Model assumption; octaves fuse more than fifths (Huron 2001, rule D9). */
const WEIGHTS: Readonly<Record<VoiceLeadingKind, number>> = {
  "no third": 3,
  "parallel octaves": 3,
  "parallel fifths": 2,
  "doubled leading note": 2,
  "leading note left": 1.5,
  "seventh left": 1.5,
  "doubled seventh": 1,
  "hole": 1,
};

/** Options of {@linkcode voiceLeading}. */
export interface VoiceLeadingOptions {
  /** What every part does; by default `textureOf(score)`. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode VOICE_LEADING_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof VOICE_LEADING_CONSTANTS>>;
}

const OPTIONS = { texture: A_TEXTURE, constants: undefined };

/**
 * What a teacher of harmony would mark in the pads of a score: fifths and octaves in parallel between two voices of a choir
 * or with the bass; holes in what sounds; chords without their third; leading notes and sevenths of chords of the dominant
 * seventh that are doubled within a choir, or left otherwise than by step although the next chord has the tone they lead to.
 * A family of three voices and more is a choir, all others together another; voices that go in octaves most of the time are
 * a doubling and no parallels. What depends on the chord is told where the score has chord symbols, as settings have.
 *
 * @param score the score
 * @param options texture and constants
 * @returns a row for each kind and pair of voices over neighbouring bars, the heaviest first
 * @throws {InputError} when an option or constant is unknown
 *
 * Sources: four-part writing as taught; Rimsky-Korsakov 1922, ch. III; the weights are a model assumption.
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { voiceLeading } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * const rows = voiceLeading(demoScore());
 * assert(rows.every((row, i) => i === 0 || row.weight <= rows[i - 1]!.weight));
 * ```
 */
export function voiceLeading(score: Score, options: VoiceLeadingOptions = {}): readonly VoiceLeadingRow[] {
  const action = "look at the voice leading";
  checkArgument(action, score, A_SCORE);
  checkOptions(action, options, OPTIONS);
  const settings = applySettings("voice leading", VOICE_LEADING_CONSTANTS, options.constants);
  const texture = options.texture ?? textureOf(score);
  const limits = { overBass: settings.overBassSemitones, apart: settings.apartSemitones };
  const sounding = pitchesAt(score);
  const groups: VoiceLeadingPlace[][] = [];
  const keyOf = ({ kind, parts }: VoiceLeadingPlace) => `${kind} ${parts.join(" ")}`;
  const open = new Map<string, VoiceLeadingPlace[]>();
  for (const course of padCourses(score, texture)) {
    for (const place of voiceLeadingPlaces(course, { score, limits, sounding })) {
      const group = open.get(keyOf(place));
      const last = group?.at(-1);
      const gap = last ? barIndexOf(score, place.ticks) - barIndexOf(score, last.ticks) : Infinity;
      if (group && gap >= 0 && gap <= settings.gapBars) group.push(place);
      else {
        groups.push([place]);
        open.set(keyOf(place), groups.at(-1)!);
      }
    }
  }
  return groups.map((group) => rowOf(group, score)).sort((a, b) =>
    b.weight - a.weight || a.fromBarIndex - b.fromBarIndex
  );
}

function rowOf(group: readonly VoiceLeadingPlace[], score: Score): VoiceLeadingRow {
  const weightOf = ({ kind, beyond = 0 }: VoiceLeadingPlace) => WEIGHTS[kind] + beyond / 12;
  const heaviest = group.reduce((a, b) => weightOf(b) > weightOf(a) ? b : a);
  const first = barBeatOf(score, group[0]!.ticks);
  return {
    fromBarIndex: first.barIndex,
    toBarIndex: barIndexOf(score, group.at(-1)!.ticks),
    bar: first.bar,
    beat: first.beat,
    kind: heaviest.kind,
    parts: partsInWords(score, heaviest.parts),
    what: heaviest.what,
    semitones: heaviest.semitones,
    places: group.length,
    weight: group.reduce((sum, place) => sum + weightOf(place), 0),
  };
}
