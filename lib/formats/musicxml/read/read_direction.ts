/** One `<direction>` or `<sound>` of MusicXML: dynamics, hairpins, tempo, words, rehearsal marks. */
import type { MetronomeMark, Tempo, WrittenLine } from "../../../score/model.ts";
import { isTempo, TEMPO_NOT_USED } from "../../../score/tempo_range.ts";
import { beatQuarters, readWords } from "../../assemble/direction_words.ts";
import { NOTE_VALUES } from "../../assemble/musicxml_names.ts";
import type { RawStavePlace } from "../../assemble/raw_score.ts";
import { jumpOf } from "../../assemble/repeat_signs.ts";
import { addDynamic, keepWords, offsetTicksOf, oneLine } from "./keep_marks.ts";
import {
  addRepeat,
  type MusicXmlReading,
  notice,
  type PartReading,
  takeInstrument,
} from "./musicxml_reading.ts";
import { childOf, childrenOf, keptAttributes, numberOf, textOf, type XmlElement } from "./xml_elements.ts";

/** Quarters in each note value that a metronome mark may name. */
const BEAT_QUARTERS: ReadonlyMap<string, number> = new Map(
  NOTE_VALUES.map(([name, wholes]) => [name, 4 * wholes]),
);

/** A direction while its signs are read. */
interface DirectionReading {
  readonly reading: MusicXmlReading;
  readonly part: PartReading;
  readonly place: RawStavePlace;
  /** All its words. */
  readonly words: string;
}

/** What a direction says of the tempo, and what else is only known once all of it is read. */
interface DirectionFacts {
  /** Quarters a minute of a metronome mark. */
  metronome?: number | undefined;
  /** The mark as printed. */
  mark?: MetronomeMark | undefined;
  /** Beats a minute of a word. */
  wordTempo?: number | undefined;
  /** A way of playing was among the words. */
  tellsTechnique?: boolean;
  codaSign?: boolean;
}

/** Reads a direction. */
export function readDirection(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const place = placeOf(reading, part, element);
  const signs = childrenOf(element, "direction-type").flatMap((type) => type.children);
  const pieces = signs.filter((sign) => sign.name === "words").map((sign) => sign.text);
  const { words, bracketed } = withoutBrackets(pieces, signs.some((sign) => sign.name === "metronome"));
  const facts: DirectionFacts = {};
  for (const sign of signs) readSign({ reading, part, place, words }, sign, facts);
  const sound = childOf(element, "sound");
  const goesToCoda = sound?.attributes["tocoda"] !== undefined || pieces.some((w) => jumpOf(w)?.toCoda);
  if (facts.codaSign && !goesToCoda) addRepeat(reading, part, { codaSign: true });
  const tempo = (sound && useSound(reading, part, { sound, place, tellsTechnique: facts.tellsTechnique })) ??
    facts.metronome;
  const { mark, wordTempo } = facts;
  const isTempoWord = (tempo !== undefined || wordTempo !== undefined) && isHeading(words);
  if (!isTempoWord && !jumpOf(words)) {
    keepWords(part, words, { ...place, below: element.attributes["placement"] === "below" });
  }
  const printed = {
    ...(isTempoWord && words !== "" ? { words } : {}),
    metronome: mark ? { ...mark, ...(bracketed ? { bracketed } : {}) } : "none",
  } as const;
  if (tempo !== undefined) {
    addTempo(reading, place, { quartersPerMinute: tempo, origin: "marked", ...printed });
  } else if (wordTempo !== undefined) {
    const quartersPerMinute = wordTempo * beatQuarters(part.metre, wordTempo);
    addTempo(reading, place, { quartersPerMinute, origin: "assumed", ...printed });
    notice(reading, "tempo word without a figure: a common tempo assumed");
  }
}

function placeOf(reading: MusicXmlReading, part: PartReading, element: XmlElement): RawStavePlace {
  const staff = numberOf(element, "staff") ?? 1;
  return { barIndex: part.barIndex, offsetTicks: offsetTicksOf(reading, part, element), staff };
}

function readSign(at: DirectionReading, sign: XmlElement, facts: DirectionFacts): void {
  const { reading, part, place } = at;
  switch (sign.name) {
    case "dynamics":
      return addDynamic(reading, part, { dynamics: sign, place });
    case "wedge":
      return readWedge(at, sign);
    case "metronome":
      facts.metronome ??= believed(reading, readMetronome(reading, sign));
      facts.mark ??= metronomeMark(sign);
      return;
    case "rehearsal": {
      const text = sign.text.trim();
      if (text !== "") reading.score.bars[part.barIndex]!.rehearsal ??= text;
      return;
    }
    case "words":
      return useWords(at, sign.text, facts);
    case "octave-shift":
    case "dashes":
    case "bracket":
    case "pedal":
      // The pitches in the file are those that sound already; an octave line only changes how they are printed.
      keepLine(part, sign, { kind: sign.name, place });
      if (sign.name === "pedal") notice(reading, "pedal: printed again, not heard");
      return;
    case "segno":
      return addRepeat(reading, part, { segno: true });
    case "coda":
      facts.codaSign = true;
      return;
    default:
      notice(reading, `${sign.name.replaceAll("-", " ")}: not used`);
  }
}

function readWedge({ part, place }: DirectionReading, { attributes: { type, number } }: XmlElement): void {
  if (type !== "crescendo" && type !== "diminuendo" && type !== "stop") return;
  const given = Number(number ?? 1);
  part.raw.marks.push({ kind: "wedge", type, number: Number.isFinite(given) ? given : 1, ...place });
}

/** True for words that say a tempo and nothing that bends it, nor how to play. */
function isHeading(words: string): boolean {
  const { bendsTempo, manner, muted, growth, dynamic, players } = readWords(words);
  return [bendsTempo, manner, muted, growth, dynamic, players].every((m) => m === undefined);
}

/** All words of a direction, without the brackets that stand round a metronome mark. */
function withoutBrackets(
  pieces: readonly string[],
  hasMark: boolean,
): { readonly words: string; readonly bracketed?: true } {
  const words = oneLine(pieces.join(" "));
  const open = hasMark ? /\s*[[(]\s*[\])]?$/.exec(words) : null;
  return open ? { words: words.slice(0, open.index), bracketed: true } : { words };
}

const LINE_NUMBER = /^([1-9]|1[0-6])$/;

/** What is kept of a line's looks, and what it may be in MusicXML 4.0; dashes have no more than their ends. */
const LINE_ATTRIBUTES: Readonly<Record<WrittenLine["kind"], Readonly<Record<string, RegExp>>>> = {
  "dashes": { "type": /^(start|stop|continue)$/, "number": LINE_NUMBER },
  "bracket": {
    "type": /^(start|stop|continue)$/,
    "number": LINE_NUMBER,
    "line-type": /^(solid|dashed|dotted|wavy)$/,
    "line-end": /^(up|down|both|arrow|none)$/,
  },
  "octave-shift": {
    "type": /^(up|down|stop|continue)$/,
    "number": LINE_NUMBER,
    "size": /^(8|15|22)$/,
  },
  "pedal": {
    "type": /^(start|stop|sostenuto|change|continue|discontinue|resume)$/,
    "number": LINE_NUMBER,
    "line": /^(yes|no)$/,
    "sign": /^(yes|no)$/,
  },
};

/** Keeps an end of a line as printed. */
function keepLine(
  part: PartReading,
  element: XmlElement,
  { kind, place }: { readonly kind: WrittenLine["kind"]; readonly place: RawStavePlace },
): void {
  const attributes = keptAttributes(element, LINE_ATTRIBUTES[kind]);
  if (attributes["type"] === undefined || (kind === "bracket" && attributes["line-end"] === undefined)) {
    return;
  }
  part.raw.notation!.lines.push({ ...place, kind, attributes });
}

/** A metronome mark as printed; undefined where it relates two note values. */
function metronomeMark(element: XmlElement): MetronomeMark | undefined {
  const value = textOf(element, "beat-unit");
  const perMinute = oneLine(textOf(element, "per-minute"));
  if (value === undefined || !BEAT_QUARTERS.has(value) || !perMinute) return undefined;
  const dots = childrenOf(element, "beat-unit-dot").length;
  const bracketed = element.attributes["parentheses"] === "yes";
  return { value, dots, perMinute, ...(bracketed ? { bracketed } : {}) };
}

/** Quarters a minute of a metronome mark; undefined where it relates two note values. */
function readMetronome(reading: MusicXmlReading, metronome: XmlElement): number | undefined {
  const unit = BEAT_QUARTERS.get(textOf(metronome, "beat-unit") ?? "");
  const figures = textOf(metronome, "per-minute")?.match(/\d+(\.\d+)?/g)?.map(Number);
  if (unit === undefined || !figures || figures.length === 0) {
    notice(reading, "tempo relation between note values: not used");
    return undefined;
  }
  const range = figures.slice(0, 2);
  const perMinute = range.reduce((sum, figure) => sum + figure, 0) / range.length;
  const dots = childrenOf(metronome, "beat-unit-dot").length;
  return perMinute * unit * (2 - 0.5 ** dots);
}

/** Reads a `<sound>` that stands by itself in a bar. */
export function readSound(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const place = { ...placeOf(reading, part, element), staff: 0 };
  const tempo = useSound(reading, part, { sound: element, place });
  if (tempo === undefined) return;
  addTempo(reading, place, { quartersPerMinute: tempo, origin: "marked", metronome: "none" });
}

function addTempo(
  reading: MusicXmlReading,
  { barIndex, offsetTicks }: RawStavePlace,
  tempo: Omit<Tempo, "onsetTicks">,
): void {
  reading.score.tempos.push({ barIndex, offsetTicks, ...tempo });
}

/** Uses what a `<sound>` says; gives its tempo. */
function useSound(
  reading: MusicXmlReading,
  part: PartReading,
  options: {
    readonly sound: XmlElement;
    readonly place: RawStavePlace;
    readonly tellsTechnique?: boolean | undefined;
  },
): number | undefined {
  const { sound, place, tellsTechnique } = options;
  const { tempo, pizzicato, dacapo, dalsegno, tocoda, fine, coda, segno, ...more } = sound.attributes;
  if (pizzicato !== undefined && !tellsTechnique) {
    const manner = pizzicato === "yes" ? "pizzicato" : "ordinario";
    part.raw.marks.push({ kind: "technique", manner, ...place });
  }
  if (dacapo === "yes") addRepeat(reading, part, { jump: "da capo" });
  if (dalsegno !== undefined) addRepeat(reading, part, { jump: "dal segno" });
  if (tocoda !== undefined) addRepeat(reading, part, { toCoda: true });
  if (fine !== undefined) addRepeat(reading, part, { fine: true });
  if (coda !== undefined) addRepeat(reading, part, { coda: true });
  if (segno !== undefined) addRepeat(reading, part, { segno: true });
  if (more["forward-repeat"] === "yes") addRepeat(reading, part, { start: true });
  if (childOf(sound, "swing")) notice(reading, "swing: not used");
  for (const { attributes: { id = "" } } of childrenOf(sound, "instrument-change")) {
    takeInstrument(part, id, place.offsetTicks);
    if (!part.instruments.has(id)) {
      notice(reading, "change of instrument that the part list does not name: not used");
    }
  }
  for (const play of childrenOf(sound, "play")) {
    const mute = textOf(play, "mute");
    if (mute !== undefined) part.raw.marks.push({ kind: "technique", muted: mute !== "off", ...place });
  }
  return tempo === undefined ? undefined : believed(reading, Number(tempo));
}

/** A tempo that is believed; of any other a notice is left. */
function believed(reading: MusicXmlReading, quartersPerMinute: number | undefined): number | undefined {
  if (quartersPerMinute === undefined || isTempo(quartersPerMinute)) return quartersPerMinute;
  notice(reading, TEMPO_NOT_USED);
  return undefined;
}

/** Uses words over the music. */
function useWords(at: DirectionReading, text: string, facts: DirectionFacts): void {
  if (!/[\p{L}\d]/u.test(text)) return;
  const { reading, part, place, words } = at;
  const { marks, playing } = part.raw;
  const { barIndex, offsetTicks } = place;
  const meaning = readWords(text);
  const { manner, muted, stroke, growth, dynamic, beatsPerMinute, bendsTempo } = meaning;
  facts.wordTempo ??= beatsPerMinute;
  if (manner !== undefined || muted !== undefined) {
    facts.tellsTechnique = true;
    const ways = { ...(manner === undefined ? {} : { manner }), ...(muted === undefined ? {} : { muted }) };
    marks.push({ kind: "technique", ...ways, ...place });
  }
  if (stroke !== undefined) marks.push({ kind: "stroke", words: text, ...place });
  if (dynamic !== undefined) marks.push({ kind: "dynamic", mark: dynamic, inWords: true, ...place });
  if (growth !== undefined) marks.push({ kind: "growth", direction: growth, inWords: true, ...place });
  const jump = jumpOf(text);
  if (jump) addRepeat(reading, part, jump);
  // A direction of several words is one sign, such as `Solo` and `I.`.
  const before = playing.at(-1);
  const isSame = before?.barIndex === barIndex && before.offsetTicks === offsetTicks &&
    before.words === words;
  const players = readWords(words).players ?? meaning.players;
  if (players && !isSame) playing.push({ barIndex, offsetTicks, ...players, words });
  if (bendsTempo) {
    reading.score.bends.push({ barIndex, offsetTicks, kind: bendsTempo, words, lengthTicks: 0 });
    notice(reading, "rit., accel., a tempo: kept; the tempo stays steady unless they are asked for");
  }
  const known = [manner, muted, stroke, growth, dynamic, beatsPerMinute, players, bendsTempo, jump];
  if (known.every((m) => m === undefined)) notice(reading, "words of expression: not used");
}
