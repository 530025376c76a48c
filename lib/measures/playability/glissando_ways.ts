/** What stands in the way of a glissando, by the way the instrument makes it. */
import { pitchClassOf } from "../../base/modulo.ts";
import type { GlissandoLimit, GlissandoWay } from "../../instruments/guidance.ts";
import { stringsOf } from "../../instruments/special/stops.ts";
import { timpaniDrums } from "../../instruments/special/timpani.ts";
import type { Glissando, Note } from "../../score/model.ts";
import { pitchName, type Seconds, type Ticks } from "../../base/units.ts";
import { held, type Judge, type Said, withArticle } from "./judge.ts";
import { slideGlissando } from "./slide_places.ts";

/** One glissando with everything the rules ask of it. */
export interface GlissandoLine {
  readonly note: Note;
  readonly kind: Glissando["kind"];
  /** Sounding pitch it starts from. */
  readonly from: number;
  readonly to: number;
  /** Semitones between them. */
  readonly span: number;
  /** Its notes that are written out: start, notes in between in the same voice, end. */
  readonly written: readonly Note[];
  readonly lengthTicks: Ticks;
  /** Time it has, or null out of a grace note. */
  readonly seconds: Seconds | null;
  readonly limit: GlissandoLimit;
  readonly judge: Judge;
}

/** A glissando in words. For example `Bb3 down to E3`. */
export function named({ from, to }: GlissandoLine): string {
  return `${pitchName(from)} ${to >= from ? "up" : "down"} to ${pitchName(to)}`;
}

/** What most verdicts share: the span against the limit's semitones. */
function spanning(
  { span, limit }: GlissandoLine,
): Pick<Said, "rule" | "figure" | "limit" | "unit" | "source"> {
  return { rule: "glissando", figure: span, limit: limit.most, unit: "semitones", source: limit.source };
}

/** Whether a glissando can be made, by the way the instrument makes it; null where nothing is to be said. */
export const GLISSANDO_WAYS: Readonly<
  Record<GlissandoWay, (line: GlissandoLine) => Said | null>
> = {
  "slide": bySlide,
  "pedal": byPedal,
  "along one string": alongString,
  "portamento": withinSpan,
  "lipped upward": lipped,
  "bent": continuousWithin,
  "half-valve": continuousWithin,
  "over the strings": overHarp,
  "over the keys": overKeys,
  "over the bars": overKeys,
  "rip": rip,
};

/** A trombone: one partial from end to end. */
function bySlide(line: GlissandoLine): Said | null {
  const { judge, from, to, kind, limit } = line;
  const slide = slideGlissando(judge.instrument.kind, from, to);
  if (slide === null) return withinSpan(line);
  if (slide.possible) return null;
  const reach = Math.abs(slide.reach - from);
  return {
    ...spanning(line),
    limit: Math.min(limit.most, reach),
    severity: kind === "slide" ? "impossible" : "risky",
    what: `${named(line)} cannot be one slide: no partial has both notes within the slide's positions${
      kind === "slide" ? "" : ", so it breaks into pieces"
    }`,
    remedy: reach > 0
      ? `The slide alone leads from ${pitchName(from)} to ${
        pitchName(slide.reach)
      }; go no further, begin on another note, or divide the line between two trombones`
      : `Nothing lies on the slide in that direction from ${
        pitchName(from)
      }; begin on another note, or go the other way`,
  };
}

/** Timpani: one drum from end to end. */
function byPedal(line: GlissandoLine): Said | null {
  const { from, to } = line;
  const drums = timpaniDrums();
  const has = (drum: { readonly low: number; readonly high: number }, pitch: number) =>
    pitch >= drum.low && pitch <= drum.high;
  if (drums.some((drum) => has(drum, from) && has(drum, to))) return null;
  const own = drums.filter((drum) => has(drum, from));
  const ends = own.map(({ low, high }) => to > from ? high : low);
  const reach = ends.reduce((a, b) => Math.abs(b - from) > Math.abs(a - from) ? b : a, from);
  return {
    ...spanning(line),
    limit: Math.abs(reach - from),
    source: own[0]?.source ?? line.limit.source,
    severity: "impossible",
    what: `${named(line)} lies on no one drum of the set, so the pedal cannot lead from one to the other`,
    remedy: reach === from
      ? "Begin on a note that a drum of the set has"
      : `From ${pitchName(from)} a pedal leads as far as ${
        pitchName(reach)
      }; go no further, or strike the last note on the next drum`,
  };
}

/** Strings: one string from end to end; harmonics are touched along the string and reach further. */
function alongString(line: GlissandoLine): Said | null {
  const { judge, from, to, kind, note, limit } = line;
  if ((note.techniques ?? [note.technique]).includes("harmonic")) return null;
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  const strings = stringsOf(judge.instrument).filter((string) => string.openPitch <= low);
  if (strings.length === 0) return withinSpan(line);
  const over = strings.map((string) => ({ string, beyond: high - string.openPitch - string.reachSemitones }));
  const best = over.reduce((a, b) => b.beyond < a.beyond ? b : a);
  if (best.beyond <= 0) return null;
  const farOver = best.beyond > (judge.settings.impossibleFactor - 1) * best.string.reachSemitones;
  const top = pitchName(best.string.openPitch + best.string.reachSemitones);
  return {
    ...spanning(line),
    figure: high - best.string.openPitch,
    limit: best.string.reachSemitones,
    source: limit.source,
    severity: kind === "glissando" ? "note" : farOver ? "impossible" : "risky",
    what: `${named(line)} does not fit on one string: the ${
      pitchName(best.string.openPitch)
    } string is played up to about ${top}, and the line breaks where the string changes`,
    remedy: `Stay between ${
      pitchName(best.string.openPitch)
    } and ${top}, begin on a higher string, or hand the line ${
      judge.players > 1 ? "from desk to desk" : "to a second player"
    }`,
  };
}

/** As far as the table says, and no word about the way. */
function withinSpan(line: GlissandoLine): Said | null {
  const { span, limit, judge } = line;
  if (limit.unit !== "semitones" || span <= limit.most) return null;
  return {
    ...spanning(line),
    severity: "risky",
    what: `${named(line)}: ${span} semitones in one line; ${
      withArticle(judge.instrument.id)
    } has about ${limit.most}`,
    remedy: "Shorten the glissando, or divide it between two players",
  };
}

/** Winds without a slide: a little is bent, the rest is fingered. */
function continuousWithin(line: GlissandoLine): Said | null {
  const { kind, span, limit, judge } = line;
  if (kind === "glissando") return null;
  const within = span <= limit.most;
  return {
    ...spanning(line),
    severity: within ? "note" : "risky",
    what: within
      ? `${named(line)} as a continuous slide is for advanced players (${limit.way}, ${limit.note})`
      : `${named(line)} as a continuous slide: ${
        withArticle(judge.instrument.id)
      } manages about ${limit.most} semitones (${limit.way})`,
    remedy: within
      ? "Ask the player first, or write a wavy line, which is fingered in steps"
      : "Write a wavy line, which is fingered in steps, or give the slide to strings or a trombone",
  };
}

/** Written D5, from which a clarinet's glissando is smooth: above the break. */
const CLARINET_SMOOTH_FROM = 74;

/** Clarinets and saxophones: upwards by lip and fingers, on the clarinet smooth above the break. */
function lipped(line: GlissandoLine): Said | null {
  const { kind, from, to, span, limit, judge } = line;
  if (kind === "glissando") return null;
  const isClarinet = /clarinet|basset/.test(judge.instrument.kind);
  const smoothFrom = CLARINET_SMOOTH_FROM + judge.instrument.transposeSemitones;
  const below = isClarinet && from < smoothFrom;
  if (to >= from && span <= limit.most && !below) return continuousWithin(line);
  const smooth = pitchName(smoothFrom);
  return {
    ...spanning(line),
    severity: "risky",
    what: `${named(line)} as a continuous slide: ${
      to < from
        ? "the lip leads upwards, hardly down"
        : span > limit.most
        ? `${withArticle(judge.instrument.id)} manages about ${limit.most} semitones`
        : `below sounding ${smooth} the fingers make steps, and only the rest is smooth`
    }`,
    remedy: to >= from && below
      ? `Let it begin as a fingered run and slide from sounding ${smooth}, as is usual, or begin there`
      : "Write a wavy line, which is fingered in steps, or shorten the slide",
  };
}

/** Tubes of a double horn in first position of the valves, sounding; standard facts, recalled. */
const HORN_FUNDAMENTALS = [29, 34];
/** Semitones by which the valves lengthen a tube. */
const HORN_VALVES = 6;
/** How far a note may be from a partial to be taken for it, in semitones. */
const IN_TUNE = 0.35;
/** Fewest partials between the ends that make a rip rather than a leap. Common practice, no source. */
const RIP_PARTIALS = 1;

/** A horn: up the harmonic series of one fingering. */
function rip(line: GlissandoLine): Said | null {
  const { from, to, limit } = line;
  if (to < from) {
    return {
      ...spanning(line),
      limit: 0,
      severity: "risky",
      what: `${named(line)}: a horn rips upwards over its harmonics; downwards it is half-valved and unsure`,
      remedy: "Turn it upwards, write a short fall without a target, or give it to trombones",
    };
  }
  const partialsBetween = HORN_FUNDAMENTALS.flatMap((open) =>
    Array.from({ length: HORN_VALVES + 1 }, (_, lowered) => {
      const partialOf = (pitch: number) => {
        const partial = Math.round(2 ** ((pitch - open + lowered) / 12));
        return Math.abs(open - lowered + 12 * Math.log2(partial) - pitch) <= IN_TUNE ? partial : 0;
      };
      return [partialOf(from), partialOf(to)] as const;
    })
  ).filter(([low, high]) => low >= 2 && high >= low && high <= limit.most).map(([low, high]) =>
    high - low - 1
  );
  // A note that is on no tube together with the other is approached from the harmonic next to it.
  const most = Math.max(...partialsBetween);
  if (partialsBetween.length === 0 || most >= RIP_PARTIALS) return null;
  return {
    rule: "glissando",
    ...held(Math.max(0, most), RIP_PARTIALS, "partials in between"),
    source: limit.source,
    severity: "note",
    what: `${named(line)}: hardly a harmonic lies between the two, so it sounds as a leap`,
    remedy: "Begin lower or end higher, so that the rip runs over several harmonics",
  };
}

/** White keys and natural bars, by pitch class. */
const NATURALS: readonly number[] = [0, 2, 4, 5, 7, 9, 11];

/** Keys and bars: steps only, and over one row of them. */
function overKeys(line: GlissandoLine): Said | null {
  const { kind, span, written, from, to, judge, limit } = line;
  const who = withArticle(judge.instrument.id);
  const keys = limit.way === "over the keys";
  const rows = keys ? ["white keys", "black keys"] as const : ["natural bars", "accidental bars"] as const;
  if (kind === "slide") {
    return {
      ...spanning(line),
      limit: 0,
      unit: "semitones without steps",
      severity: "impossible",
      what: `${named(line)} is drawn as a continuous slide; ${who} has steps only`,
      remedy: `Write a glissando (a wavy line) over ${rows[0]} or over ${
        rows[1]
      }, or give the slide to strings`,
    };
  }
  const isNatural = (pitch: number) => NATURALS.includes(pitchClassOf(pitch));
  const inside = written.slice(1).filter((n) => n.soundingPitch !== to).map((n) =>
    isNatural(n.soundingPitch)
  );
  const chromatic = new Set(inside).size > 1;
  if (span < 2 || !chromatic && isNatural(from) === isNatural(to)) return null;
  return {
    rule: "glissando",
    ...held(2, 1, keys ? "kinds of keys" : "rows of bars"),
    source: limit.source,
    severity: chromatic ? "risky" : "note",
    what: chromatic
      ? `${named(line)} is written out in ${rows[0]} and ${rows[1]}: one hand sweeps over one kind only`
      : `${named(line)} begins and ends on different kinds: the sweep runs over ${rows[0]} or over ${
        rows[1]
      }, and one end has to be struck by itself`,
    remedy: chromatic
      ? `Write it in ${rows[0]} only or ${
        rows[1]
      } only; both hands together give a chromatic one at a moderate pace`
      : `Begin and end on ${rows[0]}, or leave the last note to the other hand`,
  };
}

/** A harp's letters and pedals are judged with its other pedals. */
function overHarp(_line: GlissandoLine): Said | null {
  return null;
}
