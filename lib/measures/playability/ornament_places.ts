/** Trills and alternating tremolos the instrument does not have, and bow strokes that do not go that fast. */
import { repeatedNoteLimit, trillLimit } from "../../instruments/rates.ts";
import { stopOn, stringsOf } from "../../instruments/special/stops.ts";
import type { Articulation, Note } from "../../score/model.ts";
import { spelledName } from "../../score/spelled_name.ts";
import { pitchName } from "../../base/units.ts";
import { COMMON_PRACTICE, finding, type FindingPlace, held, inTenths, type Judge } from "./judge.ts";
import { quickRuns, strokesOf } from "./strokes.ts";

/** Lip trills on the trombone speak above this pitch (Bb3): remark in data/rates.csv. */
const LIP_TRILL_FROM_PITCH = 58;

/** Widest alternation of two notes that a wind can blur into a tremolo, in semitones: common practice, no source. */
const WIND_TREMOLO_SEMITONES = { woodwind: 12, brass: 4 } as const;

/** Which bow stroke a sign asks for, and what players do where it does not go that fast. */
const BOW_STROKES: Partial<Readonly<Record<Articulation, { technique: string; instead: string }>>> = {
  spiccato: { technique: "spiccato", instead: "the bow goes over into sautillé" },
  marcato: { technique: "martelé", instead: "the players stay on the string and lean on the notes" },
};

/** Trills and alternating tremolos that lie badly. */
export function ornamentPlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  return [...trillPlaces(line, judge), ...tremoloPlaces(line, judge)];
}

function trillPlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument } = judge;
  if (instrument.family !== "brass") return [];
  const limit = trillLimit(instrument);
  if (limit?.technique !== "lip trill" || !instrument.kind.includes("trombone")) return [];
  return line.filter((n) => n.trill && n.soundingPitch < LIP_TRILL_FROM_PITCH).map((n) => (finding(judge, {
    at: n,
    severity: "risky",
    rule: "trill",
    what: `a trill on ${spelledName(judge.score, n)}; lip trills speak from ${
      pitchName(LIP_TRILL_FROM_PITCH)
    } up`,
    ...held(n.soundingPitch, LIP_TRILL_FROM_PITCH, "sounding MIDI pitch"),
    source: limit.source,
    remedy: "Give the trill to a valved instrument or the strings, or let the trombone hold the note",
  })));
}

function tremoloPlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument } = judge;
  const places: FindingPlace[] = [];
  for (let i = 0; i + 1 < line.length; i++) {
    const [a, b] = [line[i]!, line[i + 1]!];
    if (!a.tremoloAlternates || !b.tremoloAlternates) continue;
    const semitones = Math.abs(a.soundingPitch - b.soundingPitch);
    const most = widestTremolo(a, b, judge);
    if (semitones > most) {
      places.push(finding(judge, {
        at: { onsetTicks: a.onsetTicks, endTicks: b.onsetTicks + b.durationTicks },
        severity: "risky",
        rule: "wide tremolo",
        what: `a tremolo between ${spelledName(judge.score, a)} and ${
          spelledName(judge.score, b)
        }, ${semitones} semitones`,
        ...held(semitones, most, "semitones"),
        source: instrument.family === "strings" ? stringsOf(instrument)[0]!.source : COMMON_PRACTICE,
        remedy: "Bring the two notes closer, or divide them between players who each repeat one",
      }));
    }
    i++;
  }
  return places;
}

function widestTremolo(a: Note, b: Note, { instrument, players }: Judge): number {
  if (instrument.family === "woodwind" || instrument.family === "brass") {
    return players > 1 ? Infinity : WIND_TREMOLO_SEMITONES[instrument.family];
  }
  if (instrument.family !== "strings") return Infinity;
  const { possible } = stopOn(instrument, [a.soundingPitch, b.soundingPitch]);
  return possible ? Infinity : stringsOf(instrument)[0]!.handSemitones;
}

/**
 * Bow strokes asked for by a sign on every note (spiccato, martelé) faster than the stroke goes: the players will
 * play them, but differently.
 */
export function bowStrokePlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  if (judge.instrument.soundProduction !== "bowed") return [];
  const strokes = strokesOf(line, judge);
  return Object.entries(BOW_STROKES).flatMap(([sign, { technique, instead }]): FindingPlace[] => {
    const limit = repeatedNoteLimit(judge.instrument, { technique });
    if (limit === null) return [];
    const marked = strokes.filter((s) => s.note.articulations.includes(sign as Articulation));
    return quickRuns(marked, judge, limit).flatMap((run): FindingPlace[] => {
      const rate = (run.length - 1) / (judge.clock(run.at(-1)!.ticks) - judge.clock(run[0]!.ticks));
      if (rate <= limit.burstPerSecond) return [];
      return [finding(judge, {
        at: { onsetTicks: run[0]!.ticks, endTicks: run.at(-1)!.end },
        severity: "note",
        rule: "bow stroke",
        what: `${technique} at ${inTenths(rate)} per second; it goes up to ${
          inTenths(limit.burstPerSecond)
        }, then ${instead}`,
        ...held(rate, limit.burstPerSecond, "strokes per second"),
        source: limit.source,
        remedy: "Leave the stroke to the players, or slow it down where you need this one",
      })];
    });
  });
}
