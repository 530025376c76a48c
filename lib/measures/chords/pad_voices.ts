/** The voices of a pad and its bass from moment to moment, with the chord that is named there. */
import type { Ticks } from "../../base/units.ts";
import { instrumentById } from "../../instruments/names/instrument_by_id.ts";
import { soundingNotes } from "../../score/build.ts";
import { isNoChord, readChordSymbol, type SymbolChord } from "../../score/chord_symbol.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Layer, Texture } from "../../texture/model.ts";

/** One voice: a part, or one note of those it has at once, counted from the highest. */
export interface PadVoice {
  readonly part: number;
  readonly rank: number;
  readonly isBass: boolean;
  /** Voices that make up a chord together: a family of three and more, or all others. */
  readonly choir: string;
}

/** What sounds at one moment. */
export interface PadMoment {
  readonly ticks: Ticks;
  /** Chord by the symbols of the score. */
  readonly chord: SymbolChord | undefined;
  /** Pitch of each voice; undefined where it is silent. */
  readonly pitches: readonly (number | undefined)[];
}

/** A pad with its bass. */
export interface PadCourse {
  readonly voices: readonly PadVoice[];
  readonly moments: readonly PadMoment[];
}

/** Voices from which a family has a chord of its own. */
const CHOIR = 3;

/** The courses of all pads of a texture, over the bars of each. */
export function padCourses(score: Score, texture: Texture): readonly PadCourse[] {
  const notesOf = notesByLayer(score, texture);
  const chordAt = chordsOf(score);
  return texture.layers.filter((l) => l.role === "pad").map((pad) => {
    const own = notesOf(pad);
    const bass = texture.layers
      .filter((l) =>
        l.role === "bass" && l.fromBarIndex <= pad.toBarIndex && l.toBarIndex >= pad.fromBarIndex
      )
      .flatMap(notesOf);
    return courseOf(score, { own, bass, chordAt });
  });
}

/** Pitched notes of each layer. */
function notesByLayer(score: Score, { cells, origin }: Texture): (layer: Layer) => readonly Note[] {
  const parts = score.parts.length;
  const layerOf = (n: Note) =>
    origin === "written" && n.layer !== undefined
      ? n.layer
      : cells[barIndexOf(score, n.onsetTicks) * parts + n.part]!.layer;
  const byLayer = Map.groupBy(soundingNotes(score).filter((n) => !n.unpitched), layerOf);
  // Layers of one role and figure may share an id from time to time.
  return ({ id, fromBarIndex, toBarIndex }) =>
    (byLayer.get(id) ?? []).filter((n) => {
      const bar = barIndexOf(score, n.onsetTicks);
      return bar >= fromBarIndex && bar <= toBarIndex;
    });
}

/** The chord in force by the symbols of a score. */
function chordsOf({ chords }: Score): (ticks: Ticks) => SymbolChord | undefined {
  const read = chords.map(({ onsetTicks, symbol }) => ({
    onsetTicks,
    chord: isNoChord(symbol) ? undefined : readChordSymbol(symbol),
  }));
  return (ticks) => read.findLast((c) => c.onsetTicks <= ticks)?.chord;
}

interface CourseNotes {
  readonly own: readonly Note[];
  readonly bass: readonly Note[];
  readonly chordAt: (ticks: Ticks) => SymbolChord | undefined;
}

function courseOf(score: Score, { own, bass, chordAt }: CourseNotes): PadCourse {
  const ticks = [...new Set([...own, ...bass].map((n) => n.onsetTicks))].sort((a, b) => a - b);
  const of = (notes: readonly Note[]) =>
    [...Map.groupBy(notes, (n) => n.part)].sort(([a], [b]) => a - b)
      .map(([part, line]) => ({ part, pitches: pitchesAt(line, ticks) }));
  const [padParts, bassParts] = [of(own), of(bass)];
  const familyOf = (part: number) => instrumentById(score.parts[part]!.instrument).family;
  const voicesOf = ({ part, pitches }: { part: number; pitches: readonly (readonly number[])[] }) => {
    const most = Math.max(...pitches.map((p) => p.length));
    return Array.from({ length: most }, (_, rank) => ({ part, rank }));
  };
  const padVoices = padParts.flatMap(voicesOf);
  const sizes = Map.groupBy(padVoices, (v) => familyOf(v.part));
  const choirOf = (part: number) => sizes.get(familyOf(part))!.length >= CHOIR ? familyOf(part) : "others";
  const voices: readonly PadVoice[] = [
    ...padVoices.map((v) => ({ ...v, isBass: false, choir: choirOf(v.part) })),
    ...bassParts.map(({ part }) => ({ part, rank: 0, isBass: true, choir: "bass" })),
  ];
  const pitchesOf = (m: number) =>
    voices.map(({ part, rank, isBass }) =>
      (isBass ? bassParts : padParts).find((p) => p.part === part)!.pitches[m]![rank]
    );
  return {
    voices,
    moments: ticks.map((at, m) => ({ ticks: at, chord: chordAt(at), pitches: pitchesOf(m) })),
  };
}

/** Pitches of a part at each of some moments, from the highest down. */
function pitchesAt(line: readonly Note[], ticks: readonly Ticks[]): readonly (readonly number[])[] {
  let next = 0;
  let sounding: Note[] = [];
  return ticks.map((at) => {
    while (next < line.length && line[next]!.onsetTicks <= at) sounding.push(line[next++]!);
    sounding = sounding.filter((n) => n.onsetTicks + n.durationTicks > at);
    return sounding.map((n) => n.soundingPitch).sort((a, b) => b - a);
  });
}
