/** Notes the instrument does not have, and registers asked for a dynamic they do not give. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Note } from "../../score/model.ts";
import { octavesAway, spelledName } from "../../score/spelled_name.ts";
import { pitchName, type SoundingPitch } from "../../base/units.ts";
import { finding, type FindingPlace, type Judge, lengthOf } from "./judge.ts";
import {
  judgedByWords,
  octavesInRange,
  octaveWords,
  otherModel,
  pitchWords,
  rangeRemedy,
  stepsBeyond,
  writtenName,
} from "./range_ways.ts";

/** Places outside the instrument's range. Harmonics, which sound above the string, are left alone. */
export function rangePlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument } = judge;
  const { low, high } = instrument.rangeExtreme;
  const outside = notes.filter((n) =>
    !n.unpitched && (n.soundingPitch < low || n.soundingPitch > high) && n.technique !== "harmonic"
  );
  if (outside.length === 0) return [];
  const chords = Map.groupBy(notes, (n) => n.onsetTicks);
  return outside.map((n): FindingPlace => {
    const below = n.soundingPitch < low;
    const limit = below ? low : high;
    const written = writtenName(n, judge);
    const model = otherModel(instrument, n.soundingPitch);
    return finding(judge, {
      at: n,
      severity: "impossible",
      rule: "range",
      what: `${spelledName(judge.score, n)} (sounding${
        written === null ? "" : `, written ${written}`
      }) lies ${below ? "below" : "above"} the ${instrument.id}'s ${pitchName(limit)}${judgedByWords(judge)}${
        model ? `; a ${model.id} has it` : ""
      }`,
      figure: n.soundingPitch,
      limit,
      unit: "sounding MIDI pitch",
      source: instrument.source,
      remedy: rangeRemedy(n, judge, chords.get(n.onsetTicks)!),
    });
  });
}

/**
 * Places where a register is marked softer than it speaks or louder than it gives. Short notes pass too quickly
 * to matter; instruments without dynamics of their own, such as the harpsichord, are left alone.
 */
export function registerPlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument, settings } = judge;
  const chords = Map.groupBy(notes, (n) => n.onsetTicks);
  return notes.flatMap((n): FindingPlace[] => {
    const { register } = registerOf(instrument, n.soundingPitch);
    if (register === null || n.unpitched || n.technique === "harmonic") return [];
    if (lengthOf(n, judge) < settings.registerFromSeconds) return [];
    const { softestDynamic: softest, loudestDynamic: loudest } = register;
    const steps = stepsBeyond(instrument, n, judge);
    if (steps === 0) return [];
    const soft = steps < 0;
    const beyond = Math.abs(steps);
    const there = otherRegister(n, judge, chords.get(n.onsetTicks)!);
    const limit = soft ? softest : loudest;
    return [finding(judge, {
      at: n,
      severity: beyond >= settings.riskyDynamicSteps ? "risky" : "note",
      rule: soft ? "too soft for the register" : "too loud for the register",
      what: `${spelledName(judge.score, n)} at ${
        dynamicMark(n.dynamic)
      } in the ${instrument.id}'s ${register.name} register (${register.character}), which ${
        soft ? "speaks safely from" : "gives at most"
      } ${dynamicMark(limit)}`,
      figure: n.dynamic,
      limit,
      unit: "dynamic, 1 ppp to 8 fff",
      source: register.source,
      remedy: soft
        ? `Mark it ${dynamicMark(limit)}, ${there}or ${
          instrument.family === "brass" ? "use a mute" : "give it to another instrument"
        }`
        : `Expect no more than ${dynamicMark(limit)}: ${there}double it, or thin out what covers it`,
    })];
  });
}

/** Whether a register has more than one dynamic. */
function hasDynamics(instrument: Instrument, pitch: SoundingPitch): boolean {
  const { register } = registerOf(instrument, pitch);
  return register !== null && register.softestDynamic < register.loudestDynamic;
}

/** Moving a note to the nearest octave that gives its dynamic, where there is one. */
function otherRegister(note: Note, judge: Judge, chord: readonly Note[]): string {
  const ways = ([1, -1] as const).flatMap((direction) => octavesInRange(note, judge, { chord, direction }))
    .filter(({ soundingPitch }) =>
      hasDynamics(judge.instrument, soundingPitch) &&
      stepsBeyond(judge.instrument, { ...note, soundingPitch }, judge) === 0
    )
    .sort((a, b) => Math.abs(a.octaves) - Math.abs(b.octaves));
  const way = ways[0];
  if (way === undefined) return "";
  return `move it ${way.octaves > 0 ? "up" : "down"} ${octaveWords(way.octaves)} (${
    pitchWords(octavesAway(note, way.octaves), judge)
  }), `;
}
