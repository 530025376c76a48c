/** Harp pedals and timpani: whether there is time to tune. */
import { type ChangeTime, changeTimes } from "../../instruments/changes.ts";
import { glissandoLimit } from "../../instruments/guidance.ts";
import {
  HARP_NATURAL,
  HARP_PEDALS,
  type HarpPedal,
  harpPedals,
} from "../../instruments/special/harp_pedals.ts";
import { timpaniDrums, timpaniTuning } from "../../instruments/special/timpani.ts";
import { glissandoEnd } from "../../score/glissandi.ts";
import type { Note, Spelling } from "../../score/model.ts";
import { spelledName } from "../../score/spelled_name.ts";
import { pitchName, type Seconds, type SoundingPitch } from "../../base/units.ts";
import { glissandiOf, type WrittenOut } from "./glissando_places.ts";
import { finding, type FindingPlace, held, inTenths, type Judge, type Said } from "./judge.ts";

/** Pedals of the left foot; the others belong to the right. */
const LEFT_FOOT: readonly HarpPedal[] = ["D", "C", "B"];

/**
 * Pedal changes of a harp that come too fast: a pedal can move once its strings have been plucked for the last
 * time, each foot moves one at a time. The harp is set before it begins, so the first of each letter is free.
 * Notes without a spelling (from MIDI) say nothing about pedals. A glissando sweeps over all seven letters from its
 * start to its end: the notes it is written out in must fit one setting, which stands before it begins.
 */
export function harpPlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument, clock } = judge;
  const move = changeTimes(instrument).find((each) => each.change === "move one pedal");
  if (instrument.kind !== "harp" || move === undefined) return [];
  const places: FindingPlace[] = [];
  const swept = glissandiOf(notes, judge);
  const lastUse = new Map<HarpPedal, Seconds>();
  const use = (pedal: HarpPedal, until: Seconds) =>
    lastUse.set(pedal, Math.max(until, lastUse.get(pedal) ?? until));
  let setting = HARP_NATURAL;
  for (const chord of Map.groupBy(notes.filter((n) => n.spelling), (n) => n.onsetTicks).values()) {
    const first = chord[0]!;
    const now = clock(first.onsetTicks);
    const lines = swept.filter((line) => line.note.onsetTicks === first.onsetTicks);
    places.push(...oneSettingPlaces(lines, judge));
    const asked = chord.map((n) => n.spelling!);
    const ahead = [...asked, ...lines.flatMap(spellingsOf)];
    const change = harpPedals(harpPedals(ahead, setting).possible ? ahead : asked, setting);
    const at = { at: first, rule: "harp pedals", severity: "risky" } as const;
    if (!change.possible) {
      places.push(finding(judge, {
        ...at,
        what: change.reason.replace(/\.$/, ""),
        ...held(0, move.leastSeconds, "seconds"),
        source: move.source,
        remedy: "Respell one of the notes on the neighbouring string, or leave it out",
      }));
      continue;
    }
    const waits = change.moved.filter((pedal) => lastUse.has(pedal))
      .map((pedal) => ({ pedal, seconds: Math.max(0, now - lastUse.get(pedal)!) }));
    places.push(...hurriedFeet(waits, move).map((said) => finding(judge, { ...at, ...said })));
    setting = change.setting;
    for (const { step } of asked) {
      const pedal = HARP_PEDALS.find((each) => each === step);
      if (pedal) use(pedal, now);
    }
    for (const { note, glissando } of lines) {
      const end = clock(glissandoEnd(note, glissando).onsetTicks);
      for (const pedal of HARP_PEDALS) use(pedal, end);
    }
  }
  return places;
}

/** Feet that have to move a pedal sooner than they can, one after another, given how long ago each could begin. */
function hurriedFeet(
  waits: readonly { readonly pedal: HarpPedal; readonly seconds: Seconds }[],
  move: ChangeTime,
): readonly Omit<Said, "rule" | "severity">[] {
  return ["left", "right"].flatMap((foot) => {
    const own = waits.filter(({ pedal }) => LEFT_FOOT.includes(pedal) === (foot === "left"))
      .sort((a, b) => a.seconds - b.seconds);
    const at = own.findIndex(({ seconds }, k) => seconds < (k + 1) * move.leastSeconds);
    if (at < 0) return [];
    const { seconds } = own[at]!;
    const needed = (at + 1) * move.leastSeconds;
    return [{
      what: `the ${foot} foot has ${inTenths(seconds)} s for ${own.length === 1 ? "pedal" : "pedals"} ${
        own.map((w) => w.pedal).join(", ")
      }; it needs ${inTenths(needed)} s`,
      ...held(seconds, needed, "seconds"),
      source: move.source,
      remedy:
        "Respell the notes so that other strings give them, leave a beat before the change, or use a second harp",
    }];
  });
}

/** Spellings of the notes a glissando is written out in. */
function spellingsOf({ written }: WrittenOut): readonly Spelling[] {
  return written.flatMap((n) => n.spelling ?? []);
}

/** Glissandi that begin together and ask for one letter in two forms: one pedal cannot give both. */
function oneSettingPlaces(lines: readonly WrittenOut[], judge: Judge): FindingPlace[] {
  const spellings = lines.flatMap(spellingsOf);
  const limit = glissandoLimit(judge.instrument);
  if (limit === null || harpPedals(spellings).possible) return [];
  const forms = (step: string) => [
    ...new Map(spellings.filter((s) => s.step === step).map((s) => [s.alter, s])).values(),
  ];
  const letter = HARP_PEDALS.find((step) => forms(step).length > 1);
  const { note, glissando } = lines[0]!;
  const end = glissandoEnd(note, glissando);
  const who = lines.length > 1
    ? `${lines.length} glissandi together ask`
    : `the glissando ${spelledName(judge.score, note)} to ${pitchName(end.soundingPitch)} asks`;
  return [finding(judge, {
    at: { onsetTicks: note.onsetTicks, endTicks: Math.max(note.onsetTicks + 1, end.onsetTicks) },
    severity: "impossible",
    rule: "glissando pedals",
    what: letter
      ? `${who} for ${
        forms(letter).map(spelt).join(" and ")
      }, and the ${letter} pedal gives one of them: seven pedals set seven notes to the octave`
      : `${who} for a double sharp or flat, which no pedal gives`,
    ...held(letter ? forms(letter).length : 0, 1, "forms of one letter"),
    source: limit.source,
    remedy:
      "Respell one of the notes on the neighbouring string, keep to seven letters with one form each, or pluck the odd note by itself",
  })];
}

/** `C sharp`. */
function spelt({ step, alter }: Spelling): string {
  return `${step} ${alter > 0 ? "sharp" : alter < 0 ? "flat" : "natural"}`;
}

/**
 * Timpani that have to be retuned faster than a drum can be, or more notes at once than drums. The set is tuned
 * before it begins; then the drum that is not needed for longest is taken. A glissando is made on a drum that has
 * both its notes, and leaves the drum on the second.
 */
export function timpaniPlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument, clock } = judge;
  const retune = changeTimes(instrument).find((each) => each.change === "retune one drum");
  if (instrument.kind !== "timpani" || retune === undefined) return [];
  const drums = timpaniDrums();
  const strokes = notes.filter((n) => !n.unpitched && drums.some((d) => holds(d, n.soundingPitch)));
  const tuned: (SoundingPitch | null)[] = [...firstTuning(strokes)];
  const lastUse = drums.map(() => -Infinity);
  return strokes.flatMap((n, i): FindingPlace[] => {
    const now = clock(n.onsetTicks);
    const end = n.glissandi?.[0] && glissandoEnd(n, n.glissandi[0]);
    const hasBoth = (at: number) => end === undefined || holds(drums[at]!, end.soundingPitch);
    const bound = drums.some((d, at) => holds(d, n.soundingPitch) && hasBoth(at));
    const ends = (at: number) => !bound || hasBoth(at);
    let drum = tuned.findIndex((pitch, at) => pitch === n.soundingPitch && ends(at));
    let place: FindingPlace[] = [];
    if (drum < 0) {
      const next = (pitch: SoundingPitch | null) => {
        const later = strokes.findIndex((m, j) => j > i && m.soundingPitch === pitch);
        return later < 0 ? Infinity : later;
      };
      const fit = drums.flatMap((d, at) => holds(d, n.soundingPitch) && ends(at) ? [at] : []);
      const ready = fit.filter((at) => now - lastUse[at]! >= retune.leastSeconds);
      drum = ready.length > 0
        ? ready.reduce((a, b) => next(tuned[b]!) > next(tuned[a]!) ? b : a)
        : fit.reduce((a, b) => lastUse[b]! < lastUse[a]! ? b : a);
      const seconds = now - lastUse[drum]!;
      if (seconds < retune.leastSeconds) {
        place = [finding(judge, {
          at: n,
          severity: "risky",
          rule: "timpani retuning",
          what: `${spelledName(judge.score, n)} needs a drum retuned in ${
            inTenths(seconds)
          } s; it takes ${retune.leastSeconds} s, ${retune.comfortableSeconds} s to do it calmly`,
          ...held(seconds, retune.leastSeconds, "seconds"),
          source: retune.source,
          remedy:
            `Keep to ${drums.length} notes at a time, leave rests before the new note, or use a second player with drums of his own`,
        })];
      }
      tuned[drum] = n.soundingPitch;
    }
    lastUse[drum] = now;
    if (end && bound) {
      tuned[drum] = end.soundingPitch;
      lastUse[drum] = clock(end.onsetTicks);
    }
    return place;
  });
}

function holds(drum: { readonly low: number; readonly high: number }, pitch: SoundingPitch): boolean {
  return pitch >= drum.low && pitch <= drum.high;
}

/** The tuning that serves longest from the start: drums free for the notes that come first. */
function firstTuning(strokes: readonly Note[]): readonly (SoundingPitch | null)[] {
  let tuning: readonly (SoundingPitch | null)[] = timpaniDrums().map(() => null);
  const pitches: SoundingPitch[] = [];
  for (const { soundingPitch } of strokes) {
    if (pitches.includes(soundingPitch)) continue;
    pitches.push(soundingPitch);
    const next = timpaniTuning(pitches);
    if (!next.possible) break;
    tuning = next.pitches;
  }
  return tuning;
}
