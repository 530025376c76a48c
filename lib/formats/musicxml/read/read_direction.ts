/** One `<direction>` or `<sound>` of MusicXML: dynamics, hairpins, tempo, words, rehearsal marks. */
import type { MetronomeMark, Tempo, WrittenLine } from "../../../score/model.ts";
import { isTempo, TEMPO_NOT_USED } from "../../../score/tempo_range.ts";
import { beatQuarters, readWords } from "../../assemble/direction_words.ts";
import {
  addRepeat,
  type MusicXmlReading,
  notice,
  type PartReading,
  takeInstrument,
} from "./musicxml_reading.ts";
import { jumpOf } from "../../assemble/repeat_signs.ts";
import { addDynamic, keepWords, offsetTicksOf } from "./read_note.ts";
import { childOf, keptAttributes, numberOf, textOf, type XmlElement } from "./xml_elements.ts";

/** Quarters in each note value that a metronome mark may name. */
const BEAT_QUARTERS: Readonly<Record<string, number>> = {
  "long": 16,
  "breve": 8,
  "whole": 4,
  "half": 2,
  "quarter": 1,
  "eighth": 0.5,
  "16th": 0.25,
  "32nd": 0.125,
  "64th": 0.0625,
};

interface DirectionPlace {
  readonly barIndex: number;
  readonly offsetTicks: number;
  readonly staff: number;
}

/** Reads a direction. */
export function readDirection(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const staff = numberOf(element, "staff") ?? 1;
  const place: DirectionPlace = {
    barIndex: part.barIndex,
    offsetTicks: offsetTicksOf(reading, part, element),
    staff,
  };
  const below = element.attributes["placement"] === "below";
  const types = element.children.filter((c) => c.name === "direction-type");
  const hasMark = types.some((t) => childOf(t, "metronome") !== undefined);
  const { words, bracketed } = withoutBrackets(wordsOf(element), hasMark);
  let metronome: number | undefined;
  let mark: MetronomeMark | undefined;
  let wordTempo: number | undefined;
  let understood = false;
  let codaSign = false;
  for (const directionType of element.children) {
    if (directionType.name !== "direction-type") continue;
    for (const sign of directionType.children) {
      switch (sign.name) {
        case "dynamics":
          addDynamic(reading, part, { dynamics: sign, place });
          break;
        case "wedge": {
          const type = sign.attributes["type"];
          if (type === "crescendo" || type === "diminuendo" || type === "stop") {
            const given = Number(sign.attributes["number"] ?? 1);
            const number = Number.isFinite(given) ? given : 1;
            part.raw.marks.push({ kind: "wedge", type, number, ...place });
          }
          break;
        }
        case "metronome":
          metronome ??= believed(reading, readMetronome(reading, sign));
          mark ??= metronomeMark(sign);
          break;
        case "rehearsal": {
          const bar = reading.score.bars[part.barIndex]!;
          if (sign.text.trim() !== "") bar.rehearsal ??= sign.text.trim();
          break;
        }
        case "words": {
          const result = useWords(reading, part, { text: sign.text, words, place });
          understood ||= result.understood;
          wordTempo ??= result.beatsPerMinute;
          break;
        }
        case "octave-shift":
        case "dashes":
        case "bracket":
        case "pedal":
          // The pitches in the file are those that sound already; an octave line only changes how they are printed.
          keepLine(part, sign, { kind: sign.name, place });
          if (sign.name === "pedal") notice(reading, "pedal: printed again, not heard");
          break;
        case "segno":
          addRepeat(reading, part, { segno: true });
          break;
        case "coda":
          codaSign = true;
          break;
        default:
          notice(reading, `${sign.name.replaceAll("-", " ")}: not used`);
      }
    }
  }
  const sound = childOf(element, "sound");
  const goesToCoda = sound?.attributes["tocoda"] !== undefined ||
    wordsOf(element).some((w) => jumpOf(w)?.toCoda);
  if (codaSign && !goesToCoda) addRepeat(reading, part, { codaSign: true });
  const soundTempo = sound && useSound(reading, part, { sound, place, techniqueKnown: understood });
  const tempo = soundTempo ?? metronome;
  const isTempoWord = (tempo !== undefined || wordTempo !== undefined) && isHeading(words);
  const known = jumpOf(words) !== undefined && words !== "";
  if (!isTempoWord && !known) keepWords(part, words, { ...place, below });
  const printed = {
    ...(isTempoWord && words !== "" ? { words } : {}),
    metronome: mark ? { ...mark, ...(bracketed ? { bracketed } : {}) } : "none",
  } as const;
  if (tempo !== undefined) {
    addTempo(reading, place, { quartersPerMinute: tempo, origin: "marked", ...printed });
  } else if (wordTempo !== undefined) {
    const quartersPerMinute = wordTempo * beatQuarters(part.metre);
    addTempo(reading, place, { quartersPerMinute, origin: "assumed", ...printed });
    notice(reading, "tempo word without a figure: a common tempo assumed");
  }
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
  const words = pieces.join(" ").replace(/\s+/g, " ").trim();
  const open = hasMark ? /\s*[[(]\s*[\])]?$/.exec(words) : null;
  return open ? { words: words.slice(0, open.index), bracketed: true } : { words };
}

/** What is kept of a line's looks, and what it may be in MusicXML 4.0; dashes have no more than their ends. */
const LINE_ATTRIBUTES: Readonly<Record<string, RegExp>> = {
  "number": /^([1-9]|1[0-6])$/,
  "line-type": /^(solid|dashed|dotted|wavy)$/,
};
const OF_KIND: Readonly<Record<WrittenLine["kind"], Readonly<Record<string, RegExp>>>> = {
  "dashes": { "type": /^(start|stop|continue)$/, "number": LINE_ATTRIBUTES["number"]! },
  "bracket": {
    "type": /^(start|stop|continue)$/,
    ...LINE_ATTRIBUTES,
    "line-end": /^(up|down|both|arrow|none)$/,
  },
  "octave-shift": {
    "type": /^(up|down|stop|continue)$/,
    "number": LINE_ATTRIBUTES["number"]!,
    "size": /^(8|15|22)$/,
  },
  "pedal": {
    "type": /^(start|stop|sostenuto|change|continue|discontinue|resume)$/,
    "number": LINE_ATTRIBUTES["number"]!,
    "line": /^(yes|no)$/,
    "sign": /^(yes|no)$/,
  },
};

/** Keeps an end of a line as printed. */
function keepLine(
  part: PartReading,
  element: XmlElement,
  options: { readonly kind: WrittenLine["kind"]; readonly place: DirectionPlace },
): void {
  const { kind, place } = options;
  const attributes = keptAttributes(element, OF_KIND[kind]);
  if (attributes["type"] === undefined || (kind === "bracket" && attributes["line-end"] === undefined)) {
    return;
  }
  part.raw.notation!.lines.push({ ...place, kind, attributes });
}

/** A metronome mark as printed; undefined where it relates two note values. */
function metronomeMark(element: XmlElement): MetronomeMark | undefined {
  const value = textOf(element, "beat-unit");
  const perMinute = textOf(element, "per-minute")?.replace(/\s+/g, " ").trim();
  if (value === undefined || BEAT_QUARTERS[value] === undefined || !perMinute) return undefined;
  const dots = element.children.filter((c) => c.name === "beat-unit-dot").length;
  const bracketed = element.attributes["parentheses"] === "yes";
  return { value, dots, perMinute, ...(bracketed ? { bracketed } : {}) };
}

/** Reads a `<sound>` that stands by itself in a bar. */
export function readSound(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const place: DirectionPlace = {
    barIndex: part.barIndex,
    offsetTicks: offsetTicksOf(reading, part, element),
    staff: 0,
  };
  const tempo = useSound(reading, part, { sound: element, place, techniqueKnown: false });
  if (tempo === undefined) return;
  addTempo(reading, place, { quartersPerMinute: tempo, origin: "marked", metronome: "none" });
}

function addTempo(
  reading: MusicXmlReading,
  place: DirectionPlace,
  tempo: Omit<Tempo, "onsetTicks">,
): void {
  reading.score.tempos.push({ barIndex: place.barIndex, offsetTicks: place.offsetTicks, ...tempo });
}

/** Uses what a `<sound>` says; gives its tempo. */
function useSound(
  reading: MusicXmlReading,
  part: PartReading,
  options: { readonly sound: XmlElement; readonly place: DirectionPlace; readonly techniqueKnown: boolean },
): number | undefined {
  const { sound, place, techniqueKnown } = options;
  const { tempo, pizzicato } = sound.attributes;
  if (pizzicato !== undefined && !techniqueKnown) {
    const manner = pizzicato === "yes" ? "pizzicato" : "ordinario";
    part.raw.marks.push({ kind: "technique", manner, ...place });
  }
  const jumps = sound.attributes;
  if (jumps["dacapo"] === "yes") addRepeat(reading, part, { jump: "da capo" });
  if (jumps["dalsegno"] !== undefined) addRepeat(reading, part, { jump: "dal segno" });
  if (jumps["tocoda"] !== undefined) addRepeat(reading, part, { toCoda: true });
  if (jumps["fine"] !== undefined) addRepeat(reading, part, { fine: true });
  if (jumps["coda"] !== undefined) addRepeat(reading, part, { coda: true });
  if (jumps["segno"] !== undefined) addRepeat(reading, part, { segno: true });
  if (jumps["forward-repeat"] === "yes") addRepeat(reading, part, { start: true });
  for (const child of sound.children) {
    if (child.name === "swing") notice(reading, "swing: not used");
    if (child.name === "instrument-change") {
      takeInstrument(part, child.attributes["id"] ?? "", place.offsetTicks);
      if (!part.instruments.has(child.attributes["id"] ?? "")) {
        notice(reading, "change of instrument that the part list does not name: not used");
      }
    }
    if (child.name === "play") {
      const mute = textOf(child, "mute");
      if (mute !== undefined) {
        part.raw.marks.push({ kind: "technique", muted: mute !== "off", ...place });
      }
    }
  }
  return tempo === undefined ? undefined : believed(reading, Number(tempo));
}

/** A tempo that is believed; of any other a notice is left. */
function believed(reading: MusicXmlReading, quartersPerMinute: number | undefined): number | undefined {
  if (quartersPerMinute === undefined || isTempo(quartersPerMinute)) return quartersPerMinute;
  notice(reading, TEMPO_NOT_USED);
  return undefined;
}

/** Words of a direction. */
function wordsOf(element: XmlElement): readonly string[] {
  return element.children.filter((c) => c.name === "direction-type").flatMap((c) => c.children)
    .filter((c) => c.name === "words").map((c) => c.text);
}

/** Uses words over the music; tells whether a way of playing was among them. */
function useWords(
  reading: MusicXmlReading,
  part: PartReading,
  options: { readonly text: string; readonly words: string; readonly place: DirectionPlace },
): { readonly understood: boolean; readonly beatsPerMinute: number | undefined } {
  const { text, words, place } = options;
  if (!/[\p{L}\d]/u.test(text)) return { understood: false, beatsPerMinute: undefined };
  const meaning = readWords(text);
  const { manner, muted, growth, dynamic, beatsPerMinute } = meaning;
  const technique = manner !== undefined || muted !== undefined;
  if (technique) {
    part.raw.marks.push({
      kind: "technique",
      ...(manner === undefined ? {} : { manner }),
      ...(muted === undefined ? {} : { muted }),
      ...place,
    });
  }
  if (dynamic !== undefined) part.raw.marks.push({ kind: "dynamic", mark: dynamic, inWords: true, ...place });
  if (growth !== undefined) {
    part.raw.marks.push({ kind: "growth", direction: growth, inWords: true, ...place });
  }
  const jump = jumpOf(text);
  if (jump) addRepeat(reading, part, jump);
  const { barIndex, offsetTicks } = place;
  // A direction of several words is one sign, such as `Solo` and `I.`.
  const before = part.raw.playing.at(-1);
  const isSame = before?.barIndex === barIndex && before.offsetTicks === offsetTicks &&
    before.words === words;
  const players = readWords(words).players ?? meaning.players;
  if (players && !isSame) {
    part.raw.playing.push({ barIndex, offsetTicks, ...players, words });
  }
  if (meaning.bendsTempo) {
    reading.score.bends.push({ barIndex, offsetTicks, kind: meaning.bendsTempo, words, lengthTicks: 0 });
    notice(reading, "rit., accel., a tempo: kept; the tempo stays steady unless they are asked for");
  }
  const known = [manner, muted, growth, dynamic, beatsPerMinute, players, meaning.bendsTempo, jump];
  if (known.every((m) => m === undefined)) notice(reading, "words of expression: not used");
  return { understood: technique, beatsPerMinute };
}

/** Quarters a minute of a metronome mark; undefined where it relates two note values. */
function readMetronome(reading: MusicXmlReading, metronome: XmlElement): number | undefined {
  const unit = BEAT_QUARTERS[textOf(metronome, "beat-unit") ?? ""];
  const figures = textOf(metronome, "per-minute")?.match(/\d+(\.\d+)?/g)?.map(Number);
  if (unit === undefined || !figures || figures.length === 0) {
    notice(reading, "tempo relation between note values: not used");
    return undefined;
  }
  const range = figures.slice(0, 2);
  const perMinute = range.reduce((sum, figure) => sum + figure, 0) / range.length;
  const dots = metronome.children.filter((c) => c.name === "beat-unit-dot").length;
  return perMinute * unit * (2 - 0.5 ** dots);
}
