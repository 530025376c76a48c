/** Glissandi and slides: whether the instrument can make them, in the time given, and how. */
import { counted } from "../../base/words.ts";
import { glissandoLimit, type GlissandoWay } from "../../instruments/guidance.ts";
import { legatoLimit, speedOver } from "../../instruments/rates.ts";
import { glissandoEnd, glissandoTargets } from "../../score/glissandi.ts";
import type { Glissando, Note } from "../../score/model.ts";
import { GLISSANDO_WAYS, type GlissandoLine, named } from "./glissando_ways.ts";
import {
  COMMON_PRACTICE,
  finding,
  type FindingPlace,
  held,
  inTenths,
  type Judge,
  type Said,
  withArticle,
} from "./judge.ts";
import { slideGlissando } from "./slide_places.ts";

/** A note and the glissandi that start on it, with the notes in which they are written out. */
export interface WrittenOut {
  readonly note: Note;
  readonly glissando: Glissando;
  /** Start, notes in between in the same voice, end, in order. */
  readonly written: readonly Note[];
}

/**
 * The glissandi of a part, with the notes in which each is written out: often the first octave of a harp's is.
 */
export function glissandiOf(
  notes: readonly Note[],
  { graces }: Pick<Judge, "graces">,
): readonly WrittenOut[] {
  const [first, last] = [notes[0]?.onsetTicks ?? 0, notes.at(-1)?.onsetTicks ?? -1];
  const within = graces.filter((n) => n.onsetTicks >= first && n.onsetTicks <= last);
  const starts = [...notes, ...within].filter((n) => n.glissandi && !n.unpitched);
  if (starts.length === 0) return [];
  const all = [...notes, ...graces];
  const targetOf = glissandoTargets(all);
  return starts.flatMap((note) =>
    note.glissandi!.map((glissando) => {
      const end = glissandoEnd(note, glissando);
      const target = targetOf(note, glissando);
      const between = all.filter((n) =>
        n !== note && n !== target && n.staff === note.staff && n.voice === note.voice && !n.glissandi &&
        (n.grace ? n.onsetTicks >= note.onsetTicks : n.onsetTicks > note.onsetTicks) &&
        n.onsetTicks < end.onsetTicks
      );
      return { note, glissando, written: [note, ...between, ...(target ? [target] : [])] };
    })
  );
}

/**
 * Places where a glissando or slide cannot be made, or not in its time: by the limits of the catalogue, in the way the
 * instrument makes them. A harp's straight line is read as over the strings, as harpists do. None where the catalogue
 * has no limit for the instrument.
 */
export function glissandoPlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const limit = glissandoLimit(judge.instrument);
  if (limit === null) return [];
  const found = glissandiOf(notes, judge);
  const lines = found.map(({ note, glissando, written }): GlissandoLine => {
    const { kind, lengthTicks } = glissando;
    const to = note.soundingPitch + glissando.semitones;
    return {
      note,
      kind,
      from: note.soundingPitch,
      to,
      span: Math.abs(glissando.semitones),
      written,
      lengthTicks,
      seconds: note.grace ? null : judge.clock(note.onsetTicks + lengthTicks) - judge.clock(note.onsetTicks),
      limit,
      judge,
    };
  });
  const verdicts = lines.flatMap((line) =>
    [GLISSANDO_WAYS[limit.way](line), tooQuick(line), fades(line)].map((said) => ({ line, said }))
  );
  const chords = [...Map.groupBy(lines, (line) => line.note.onsetTicks).values()];
  const handfuls = chords.map((chord) => ({ line: chord[0]!, said: tooMany(chord) }));
  return [...verdicts, ...handfuls].flatMap(({ line, said }): FindingPlace[] => {
    if (said === null) return [];
    const { onsetTicks } = line.note;
    const at = { onsetTicks, endTicks: onsetTicks + Math.max(1, line.lengthTicks) };
    return [finding(judge, { at, ...said })];
  });
}

/** Lines that two hands can sweep at once: two to a hand on the harp. Common practice, no source. */
const AT_ONCE: Partial<Record<GlissandoWay, number>> = {
  "over the keys": 2,
  "over the bars": 2,
  "over the strings": 4,
};

function tooMany(chord: readonly GlissandoLine[]): Said | null {
  const { limit, judge } = chord[0]!;
  const most = (AT_ONCE[limit.way] ?? Infinity) * judge.players;
  if (chord.length <= most) return null;
  return {
    rule: "glissando",
    ...held(chord.length, most, "glissandi at once"),
    source: COMMON_PRACTICE,
    severity: "risky",
    what: `${chord.length} glissandi at once for ${
      judge.players === 1 ? "two hands" : counted(judge.players, "player")
    } on ${withArticle(judge.instrument.id)}`,
    remedy: `Leave ${most} of them, or use ${judge.players === 1 ? "a second" : "another"} player`,
  };
}

/** Ways whose wavy line is fingered in steps; strings and voices glide along either line. */
const FINGERED: readonly GlissandoWay[] = ["lipped upward", "bent", "half-valve"];

/** More semitones a second than the table has; fingered lines are held to the rate of the fingers. */
function tooQuick(line: GlissandoLine): Said | null {
  const { judge, seconds, span, limit, kind } = line;
  if (seconds === null || seconds <= 0 || span === 0) return null;
  const perSecond = span / seconds;
  const base = {
    rule: "glissando speed",
    figure: inTenths(perSecond),
    unit: "semitones per second",
  } as const;
  const what = `${named(line)} in ${Math.round(seconds * 100) / 100} s`;
  if (limit.way === "slide") return slideTooQuick(line);
  if (limit.fastestSemitonesPerSecond !== null) {
    if (perSecond <= limit.fastestSemitonesPerSecond) return null;
    return {
      ...base,
      limit: limit.fastestSemitonesPerSecond,
      source: limit.source,
      severity: "risky",
      what: `${what} is ${inTenths(perSecond)} semitones a second; ${
        limit.way === "pedal" ? "a drum's pedal" : withArticle(judge.instrument.id)
      } makes about ${limit.fastestSemitonesPerSecond}`,
      remedy: "Give it more time, or make it shorter",
    };
  }
  const fingers = kind === "glissando" && FINGERED.includes(limit.way) ? legatoLimit(judge.instrument) : null;
  const most = fingers ? speedOver(fingers, seconds) : Infinity;
  if (perSecond <= most * judge.settings.impossibleFactor) return null;
  return {
    ...base,
    limit: inTenths(most),
    source: fingers!.source,
    severity: "note",
    what: `${what}, fingered in steps, is ${Math.round(perSecond)} notes a second; past about ${
      inTenths(most)
    } it is smeared, not every note is heard`,
    remedy: "Leave it as an effect, give it more time, or write out the notes that matter",
  };
}

/** A trombone's slide moves as fast as between two plain notes. */
function slideTooQuick(line: GlissandoLine): Said | null {
  const { judge, seconds, from, to } = line;
  const { slideSeconds, slidePositions } = judge.settings;
  const slide = slideGlissando(judge.instrument.kind, from, to);
  if (!slide?.possible || slide.travel < slidePositions || seconds! >= slideSeconds) return null;
  return {
    rule: "glissando speed",
    ...held(seconds!, slideSeconds, "seconds"),
    source: COMMON_PRACTICE,
    severity: seconds! < slideSeconds / 2 ? "risky" : "note",
    what: `${named(line)} moves the slide ${inTenths(slide.travel)} positions in ${
      Math.round(seconds! * 100) / 100
    } s; it takes about ${slideSeconds} s`,
    remedy: "Give it more time, or make it shorter",
  };
}

/** What was struck or plucked once dies away under a long slide. */
function fades(line: GlissandoLine): Said | null {
  const { judge, seconds, note, limit } = line;
  const plucked = judge.instrument.soundProduction !== "bowed" || note.technique === "pizzicato";
  const struckOnce = limit.way === "pedal" || limit.way === "along one string" && plucked;
  const rolled = note.tremoloSlashes > 0 || note.trill;
  const { glissandoFadesSeconds: most } = judge.settings;
  if (!struckOnce || rolled || seconds === null || seconds <= most) return null;
  return {
    rule: "glissando speed",
    ...held(inTenths(seconds), most, "seconds"),
    source: COMMON_PRACTICE,
    severity: "note",
    what: `${named(line)} over ${inTenths(seconds)} s on one ${
      limit.way === "pedal" ? "stroke" : "pluck"
    } dies away on the way; it is heard for about ${most} s`,
    remedy: limit.way === "pedal" ? "Write a roll, or a shorter glissando" : "Shorten it, or let it be bowed",
  };
}
