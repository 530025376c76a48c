/** Notes the instrument does not have, and registers asked for a dynamic they do not give. */
import { registerOf } from "../../instruments/registers.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Note } from "../../score/model.ts";
import { pitchName } from "../../base/units.ts";
import { type Judge, lengthOf, type Place } from "./judge.ts";

/**
 * Places outside the instrument's range. Harmonics, which sound above the string, are left alone.
 *
 * @param notes notes of the part
 * @param judge instrument, tempo and constants
 * @returns the places
 */
export function rangePlaces(notes: readonly Note[], judge: Judge): Place[] {
  const { low, high } = judge.instrument.rangeExtreme;
  return notes.flatMap((n): Place[] => {
    if (n.unpitched || n.soundingPitch >= low && n.soundingPitch <= high || n.technique === "harmonic") {
      return [];
    }
    const below = n.soundingPitch < low;
    const limit = below ? low : high;
    return [{
      ...judge.at,
      onsetTicks: n.onsetTicks,
      endTicks: n.onsetTicks + n.durationTicks,
      severity: "impossible",
      rule: "range",
      what: `${pitchName(n.soundingPitch)} (sounding) lies ${
        below ? "below" : "above"
      } the ${judge.instrument.id}'s ${pitchName(limit)}`,
      figure: n.soundingPitch,
      limit,
      unit: "sounding MIDI pitch",
      source: judge.instrument.source,
      remedy: wayBack(n.soundingPitch, judge),
    }];
  });
}

const OCTAVES = ["", "an octave", "two octaves", "three octaves", "four octaves"];

/** As many octaves as it takes to come into range, and where that leads; or another instrument. */
function wayBack(pitch: number, { instrument }: Judge): string {
  const { low, high } = instrument.rangeExtreme;
  const isBelow = pitch < low;
  const octaves = Math.ceil((isBelow ? low - pitch : pitch - high) / 12);
  const there = pitch + (isBelow ? 12 : -12) * octaves;
  if (there < low || there > high) return "Give it to an instrument that has the note";
  return `Move it ${isBelow ? "up" : "down"} ${OCTAVES[octaves] ?? `${octaves} octaves`} (${
    pitchName(there)
  }), or give it to an instrument that has the note`;
}

/**
 * Places where a register is marked softer than it speaks or louder than it gives. Short notes pass too quickly
 * to matter; instruments without dynamics of their own, such as the harpsichord, are left alone.
 *
 * @param notes notes of the part
 * @param judge instrument, tempo and constants
 * @returns the places
 */
export function registerPlaces(notes: readonly Note[], judge: Judge): Place[] {
  const { instrument, settings } = judge;
  return notes.flatMap((n): Place[] => {
    const { register } = registerOf(instrument, n.soundingPitch);
    if (register === null || n.unpitched || n.technique === "harmonic") return [];
    if (lengthOf(n, judge) < settings.registerFromSeconds) return [];
    const { softestDynamic: softest, loudestDynamic: loudest } = register;
    // A marking is a step wide: halfway to the next one counts as still reached.
    const soft = n.dynamic < softest - 0.5;
    // Louder than a register gives only means that it is covered, so a step is let pass.
    const given = soft ? 0 : settings.coveredSteps;
    const beyond = (soft ? softest - n.dynamic : n.dynamic - loudest) - given;
    if (softest === loudest || beyond < 0.5) return [];
    const limit = soft ? softest : loudest;
    return [{
      ...judge.at,
      onsetTicks: n.onsetTicks,
      endTicks: n.onsetTicks + n.durationTicks,
      severity: beyond >= settings.riskyDynamicSteps ? "risky" : "note",
      rule: soft ? "too soft for the register" : "too loud for the register",
      what: `${pitchName(n.soundingPitch)} at ${
        dynamicMark(n.dynamic)
      } in the ${instrument.id}'s ${register.name} register (${register.character}), which ${
        soft ? "speaks safely from" : "gives at most"
      } ${dynamicMark(limit)}`,
      figure: n.dynamic,
      limit,
      unit: "dynamic, 1 ppp to 8 fff",
      source: register.source,
      remedy: soft
        ? `Mark it ${dynamicMark(limit)}, move it to a register that speaks softly, or ${
          instrument.family === "brass" ? "use a mute" : "give it to another instrument"
        }`
        : `Expect no more than ${
          dynamicMark(limit)
        }: move it to a stronger register, double it, or thin out what covers it`,
    }];
  });
}
