/** What a conductor would count in a setting: holes, parallels, silences, notes struck for nothing. */
import { registerFor } from "../../lib/orchestrate/realise/register_for.ts";
import { instrumentById } from "../../lib/instruments/catalogue.ts";
import type { Sketch } from "../../lib/orchestrate/plan/sketch.ts";
import type { Note, Score, WrittenLayer } from "../../lib/score/model.ts";

/** Counts that add up over settings; what is counted stands over what it is counted of. */
export interface CraftCounts {
  /** Moments at which a part of a pad lies at or above the highest lead, from middle C up, and has a chord tone below it. */
  padAboveLead: number;
  padMoments: number;
  /** Parallel fifths and octaves between two parts of one family in a pad, or of its lowest with the bass, and moves of both. */
  parallels: number;
  moves: number;
  /** Bar ends where all players of a pad or an unbroken pulse, or two neighbours, are silent. */
  layerSilences: number;
  neighbourSilences: number;
  barEnds: number;
  /** Held notes struck again on their pitch, without a silence between. */
  restrikes: number;
  heldNotes: number;
  /** Moments at which a chord with a third sounds with it. */
  thirds: number;
  thirdMoments: number;
  /**
   * Moments of a pad of three and more with a hole above a twelfth over the bass, or above a tenth elsewhere, that no lead
   * fills; those of which there would be fewer if one part of the pad took another tone of the chord, in its comfortable range; in semitones.
   */
  holes: number;
  avoidableHoles: number;
  holeMoments: number;
  widestHole: number;
  /** Leading notes and sevenths of dominant sevenths that are left, although the next chord has the tone they lead to. */
  dangling: number;
  tendencies: number;
  /** Chords of the dominant seventh in a choir in which one of them is doubled. */
  doubledTendencies: number;
  dominants: number;
  /** Dominant sevenths whose third or seventh a lead holds to the end, and those of them in which a part of the pad has it too. */
  ledDominants: number;
  ledDoubled: number;
  /** Neighbouring upper voices of a choir more than an octave apart, of all neighbours. */
  wideNeighbours: number;
  neighbours: number;
  /** Moves of second lines: on one pitch, by step. */
  lineRepeats: number;
  lineSteps: number;
  lineMoves: number;
}

export function noCounts(): CraftCounts {
  return {
    padAboveLead: 0,
    padMoments: 0,
    parallels: 0,
    moves: 0,
    layerSilences: 0,
    neighbourSilences: 0,
    barEnds: 0,
    restrikes: 0,
    heldNotes: 0,
    thirds: 0,
    thirdMoments: 0,
    holes: 0,
    avoidableHoles: 0,
    holeMoments: 0,
    widestHole: 0,
    dangling: 0,
    tendencies: 0,
    doubledTendencies: 0,
    dominants: 0,
    ledDominants: 0,
    ledDoubled: 0,
    wideNeighbours: 0,
    neighbours: 0,
    lineRepeats: 0,
    lineSteps: 0,
    lineMoves: 0,
  };
}

const isAt = (n: Note, ticks: number) => n.onsetTicks <= ticks && n.onsetTicks + n.durationTicks > ticks;

/** Adds what is counted in a setting of a sketch. */
export function addCraftCounts(counts: CraftCounts, score: Score, sketch: Sketch): void {
  const layers = score.layers ?? [];
  const notesOf = (layer: WrittenLayer) => score.notes.filter((n) => n.layer === layer.id && !n.unpitched);
  const ofRole = (role: string) => layers.filter((l) => l.role === role);
  const lead = ofRole("lead").flatMap(notesOf);
  const bass = ofRole("bass").flatMap(notesOf);
  const factor = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
  const sounds = (notes: readonly Note[], ticks: number) => notes.filter((n) => isAt(n, ticks));
  // Chords of a hand go in parallels by nature, and are rolled where the hand lies.
  for (const layer of ofRole("pad").filter((l) => l.figure === "held chord")) {
    const notes = notesOf(layer);
    const sustained = notes.filter((n) => instrumentById(score.parts[n.part]!.instrument).sustains);
    countHeld(counts, sustained);
    countParallels(counts, [...notes, ...bass], { layer, score });
    for (const h of sketch.harmonies) {
      const at = (h.onsetTicks + h.durationTicks / 4) * factor;
      const [pad, top, low] = [notes, lead, bass].map((some) => sounds(some, at).map((n) => n.soundingPitch));
      if (pad!.length === 0) continue;
      counts.padMoments++;
      // A pad may lie between the octaves of a lead.
      const leading = top!.filter((p) => p >= 60);
      const classes = h.tones.map((t) => t.pitchClass);
      const isAvoidable = sounds(notes, at).some(({ part, soundingPitch }) => {
        const { low } = registerFor(instrumentById(score.parts[part]!.instrument), "pad");
        const room = Array.from({ length: Math.max(0, Math.max(...leading) - low) }, (_, i) => low + i);
        return soundingPitch >= Math.max(...leading) && room.some((p) => classes.includes(p % 12));
      });
      if (leading.length > 0 && isAvoidable) counts.padAboveLead++;
      const third = h.tones[1];
      const interval = third === undefined ? 0 : (third.pitchClass - h.tones[0]!.pitchClass + 12) % 12;
      const all = [...pad!, ...top!, ...low!];
      if (layer.parts.length >= 2 && (interval === 3 || interval === 4)) {
        counts.thirdMoments++;
        if (all.some((p) => p % 12 === third!.pitchClass)) counts.thirds++;
      }
      if (layer.parts.length >= 3 && low!.length > 0) {
        countHoles(counts, { pad: sounds(notes, at), bass: low!, leading, classes, score });
      }
      countNeighbours(counts, sounds(notes, at), choirsIn(layer, score));
    }
    countTendencies(counts, { notes, lead }, { layer, score, sketch });
  }
  for (const layer of layers) countSilences(counts, layer, score);
  for (const layer of ofRole("counterline")) countLine(counts, notesOf(layer));
}

interface HoleMoment {
  readonly pad: readonly Note[];
  readonly bass: readonly number[];
  readonly leading: readonly number[];
  /** Pitch classes of the chord. */
  readonly classes: readonly number[];
  readonly score: Score;
}

function countHoles(counts: CraftCounts, { pad, bass, leading, classes, score }: HoleMoment): void {
  const pitches = [...new Set([...pad.map((n) => n.soundingPitch), ...bass])].sort((x, y) => x - y);
  const limitOver = (below: number) => bass.includes(below) ? 19 : 16;
  counts.holeMoments++;
  const holes = pitches.slice(1).map((above, i) => [pitches[i]!, above] as const).filter(([below, above]) =>
    above - below > limitOver(below) && !leading.some((p) => p > below && p < above)
  );
  if (holes.length === 0) return;
  counts.holes++;
  counts.widestHole = Math.max(counts.widestHole, ...holes.map(([below, above]) => above - below));
  const holesIn = (some: readonly number[]) => {
    const sorted = [...new Set(some)].sort((x, y) => x - y);
    return sorted.slice(1).filter((above, i) =>
      above - sorted[i]! > limitOver(sorted[i]!) && !leading.some((p) => p > sorted[i]! && p < above)
    ).length;
  };
  /** Whether one part could go where fewer holes are left: not from below the lead above it, nor within a fifth over what lies below. */
  const canFill = ([below, above]: readonly [number, number]) =>
    pad.some((n) => {
      const { low, high } = instrumentById(score.parts[n.part]!.instrument).rangeComfortable;
      const top = Math.max(...leading);
      const most = leading.length === 0 || n.soundingPitch >= top ? high : Math.min(high, top - 1);
      const others = [...pad.filter((m) => m !== n).map((m) => m.soundingPitch), ...bass];
      return Array.from({ length: above - below - 1 }, (_, i) => below + 1 + i).some((p) =>
        classes.includes(p % 12) && p >= low && p <= most && p - below >= 7 &&
        holesIn([...others, p]) < holes.length
      );
    });
  if (holes.some(canFill)) counts.avoidableHoles++;
}

/** The choir of a part: a family of three parts and more is one, all others together another. */
function choirsIn(layer: WrittenLayer, score: Score): (part: number) => string {
  const familyOf = (part: number) => instrumentById(score.parts[part]!.instrument).family;
  const sizes = Map.groupBy(layer.parts, familyOf);
  return (part) => (sizes.get(familyOf(part))?.length ?? 0) >= 3 ? familyOf(part) : "mixed";
}

function countNeighbours(counts: CraftCounts, pad: readonly Note[], choirOf: (part: number) => string): void {
  for (const choir of Map.groupBy(pad, (n) => choirOf(n.part)).values()) {
    const pitches = choir.map((n) => n.soundingPitch).sort((a, b) => a - b);
    // Four voices, the lowest of which may lie further off.
    if (pitches.length !== 4) continue;
    pitches.slice(2).forEach((p, i) => {
      counts.neighbours++;
      if (p - pitches[i + 1]! > 12) counts.wideNeighbours++;
    });
  }
}

function countTendencies(
  counts: CraftCounts,
  { notes, lead }: { readonly notes: readonly Note[]; readonly lead: readonly Note[] },
  { layer, score, sketch }: { readonly layer: WrittenLayer; readonly score: Score; readonly sketch: Sketch },
): void {
  const factor = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
  const choirOf = choirsIn(layer, score);
  sketch.harmonies.forEach((h, k) => {
    const [root, third, , seventh] = h.tones.map((t) => t.pitchClass);
    if (seventh === undefined || (third! - root! + 12) % 12 !== 4 || (seventh - root! + 12) % 12 !== 10) {
      return;
    }
    const end = (h.onsetTicks + h.durationTicks) * factor;
    const here = notes.filter((n) => isAt(n, end - 1));
    const middle = (h.onsetTicks + h.durationTicks / 2) * factor;
    const led = lead.filter((n) => isAt(n, end - 1) && isAt(n, middle)).map((n) => n.soundingPitch % 12)
      .filter((tone) => tone === third || tone === seventh);
    if (led.length > 0 && here.length > 2) {
      counts.ledDominants++;
      if (here.some((n) => led.includes(n.soundingPitch % 12))) counts.ledDoubled++;
    }
    for (const choir of Map.groupBy(here, (n) => choirOf(n.part)).values()) {
      counts.dominants++;
      const having = (pc: number) => choir.filter((n) => n.soundingPitch % 12 === pc).length;
      if (having(third!) > 1 || having(seventh) > 1) counts.doubledTendencies++;
    }
    const next = sketch.harmonies[k + 1];
    if (next === undefined || next.symbol === h.symbol) return;
    const classes = next.tones.map((t) => t.pitchClass);
    for (const n of here) {
      const tone = n.soundingPitch % 12;
      const goals = tone === third ? [1] : tone === seventh ? [-1, -2] : [];
      if (!goals.some((by) => classes.includes((tone + by + 12) % 12))) continue;
      const after = notes.filter((m) => m.part === n.part && isAt(m, end)).map((m) => m.soundingPitch);
      if (after.length === 0) continue;
      counts.tendencies++;
      if (![0, ...goals].some((by) => after.includes(n.soundingPitch + by))) counts.dangling++;
    }
  });
}

/** Notes of each part, in order. */
const linesOf = (notes: readonly Note[]) =>
  [...Map.groupBy(notes, (n) => n.part).values()].map((line) =>
    line.toSorted((a, b) => a.onsetTicks - b.onsetTicks)
  );

function countHeld(counts: CraftCounts, notes: readonly Note[]): void {
  for (const line of linesOf(notes)) {
    counts.heldNotes += line.length;
    line.forEach((n, i) => {
      const before = line[i - 1];
      if (
        before?.soundingPitch === n.soundingPitch && before.onsetTicks + before.durationTicks === n.onsetTicks
      ) counts.restrikes++;
    });
  }
}

function countParallels(
  counts: CraftCounts,
  notes: readonly Note[],
  { layer, score }: { readonly layer: WrittenLayer; readonly score: Score },
): void {
  const familyOf = (part: number) => instrumentById(score.parts[part]!.instrument).family;
  const sizes = Map.groupBy(layer.parts, familyOf);
  /** Choirs of one family have a chord of their own, which may double another's. */
  const groupOf = (part: number) => (sizes.get(familyOf(part))?.length ?? 0) >= 3 ? familyOf(part) : "mixed";
  const isPair = (i: number, j: number) => {
    const own = [i, j].filter((part) => layer.parts.includes(part));
    return own.length === 2 ? groupOf(i) === groupOf(j) : own.length === 1;
  };
  const moments = [...new Set(notes.map((n) => n.onsetTicks))].sort((a, b) => a - b);
  const parts = [...new Set(notes.map((n) => n.part))];
  /** What a part sounds; of a hand's chord the top. */
  const at = (part: number, ticks: number) => {
    const here = notes.filter((n) => n.part === part && isAt(n, ticks)).map((n) => n.soundingPitch);
    return here.length === 0 ? undefined : Math.max(...here);
  };
  for (let m = 1; m < moments.length; m++) {
    const [before, here] = [moments[m - 1]!, moments[m]!].map((ticks) =>
      parts.map((part) => at(part, ticks))
    );
    for (let i = 0; i < parts.length; i++) {
      for (let j = i + 1; j < parts.length; j++) {
        if (!isPair(parts[i]!, parts[j]!)) continue;
        const [a, b, c, d] = [before![i], before![j], here![i], here![j]];
        if (a === undefined || b === undefined || c === undefined || d === undefined) continue;
        if (a === c || b === d || (a === b && c === d)) continue;
        counts.moves++;
        const [first, second] = [Math.abs(a - b), Math.abs(c - d)];
        const isPerfect = first % 12 === second % 12 && (second % 12 === 7 || second % 12 === 0);
        if (isPerfect && Math.sign(c - a) === Math.sign(d - b)) counts.parallels++;
      }
    }
  }
}

/** Pulses that sound to the end of the bar. */
const UNBROKEN = /^(held chord|repeated )/;

function countSilences(counts: CraftCounts, layer: WrittenLayer, score: Score): void {
  if (layer.parts.length < 2 || !UNBROKEN.test(layer.figure)) return;
  const own = layer.parts.map((part) => score.notes.filter((n) => n.part === part && n.layer === layer.id));
  for (const bar of score.bars.slice(layer.fromBarIndex, layer.toBarIndex)) {
    const last = bar.startTicks + bar.durationTicks - 1;
    // Nobody plays where there is no chord.
    if (!own.some((notes) => notes.some((n) => isAt(n, bar.startTicks)))) continue;
    const silent = own.map((notes) => notes.length > 0 && !notes.some((n) => isAt(n, last)));
    counts.barEnds++;
    if (silent.every((is) => is)) counts.layerSilences++;
    if (silent.some((is, i) => is && silent[i + 1] === true)) counts.neighbourSilences++;
  }
}

function countLine(counts: CraftCounts, notes: readonly Note[]): void {
  for (const line of linesOf(notes)) {
    line.slice(1).forEach((n, i) => {
      const size = Math.abs(n.soundingPitch - line[i]!.soundingPitch);
      counts.lineMoves++;
      if (size === 0) counts.lineRepeats++;
      else if (size <= 2) counts.lineSteps++;
    });
  }
}

/** The counts as lines of words. */
export function craftInWords(c: CraftCounts): string {
  const share = (a: number, b: number) => `${a} of ${b} (${b === 0 ? 0 : (100 * a / b).toFixed(2)} %)`;
  return [
    `pad at or above the lead: ${share(c.padAboveLead, c.padMoments)}`,
    `parallels in pads: ${share(c.parallels, c.moves)}`,
    `bar ends where a whole layer is silent: ${
      share(c.layerSilences, c.barEnds)
    }; neighbours: ${c.neighbourSilences}`,
    `struck again: ${share(c.restrikes, c.heldNotes)}`,
    `third present: ${share(c.thirds, c.thirdMoments)}`,
    `holes: ${share(c.holes, c.holeMoments)}, widest ${c.widestHole} semitones; avoidable: ${
      share(c.avoidableHoles, c.holeMoments)
    }`,
    `leading notes and sevenths left hanging: ${share(c.dangling, c.tendencies)}; doubled: ${
      share(c.doubledTendencies, c.dominants)
    }`,
    `leading notes and sevenths of a lead doubled in the pad: ${share(c.ledDoubled, c.ledDominants)}`,
    `neighbours in four parts more than an octave apart: ${share(c.wideNeighbours, c.neighbours)}`,
    `second line: on one pitch ${share(c.lineRepeats, c.lineMoves)}, by step ${
      share(c.lineSteps, c.lineMoves)
    }`,
  ].join("\n");
}
