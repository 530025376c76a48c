/** What an ABC reader keeps while it goes through a tune, and the fields that change it. */
import { InputError } from "../../base/errors.ts";
import {
  type AbcKey,
  type AbcMetre,
  readKey,
  readMetre,
  readTempo,
  readUnitLength,
  readVoiceProperties,
  usualUnitLength,
} from "./abc_fields.ts";
import { type Fraction, fraction } from "./abc_fraction.ts";
import { type AbcPlaced, type AbcVoice, startVoice } from "./abc_voice.ts";
import type { Tempo, TempoBend } from "../../score/model.ts";
import { isTempo, TEMPO_NOT_USED } from "../../score/tempo_range.ts";
import { beatQuarters } from "../assemble/direction_words.ts";
import type { NoticeList } from "../assemble/notice_list.ts";

/** Voice that music belongs to where the tune names none. */
const ONLY_VOICE = "tune";

/** A tune being read. */
export interface AbcTune {
  /** File, as the user named it. */
  readonly file: string | undefined;
  readonly notices: NoticeList;
  title: string;
  composer: string;
  /** The head is over: `K:` was met. */
  inBody: boolean;
  /** Settings every voice begins with. */
  readonly head: { key: AbcKey; metre: AbcMetre | "free"; unit: Fraction | undefined };
  /** Voices in the order of their first mention. */
  readonly voices: Map<string, AbcVoice>;
  voice: AbcVoice | undefined;
  /** How far accidentals reach. */
  accidentalsReach: "not" | "octave" | "pitch";
  readonly metres: Map<number, AbcMetre>;
  readonly rehearsals: Map<number, string>;
  readonly tempos: AbcPlaced<Omit<Tempo, "onsetTicks">>[];
  readonly chords: AbcPlaced<string>[];
  readonly bends: AbcPlaced<Pick<TempoBend, "kind" | "words">>[];
  /** Last line of music so far. */
  lastRow: number;
}

/** Where something stands in the text, from 1. */
export interface AbcPlace {
  readonly row: number;
  readonly column: number;
}

/** An error at a place of the text; `bar` where it is about a whole bar. */
export function abcError(
  tune: AbcTune,
  place: AbcPlace,
  details: { readonly problem: string; readonly remedy: string; readonly bar?: string },
): InputError {
  const { problem, remedy, bar } = details;
  const voice = tune.voices.size > 1 ? tune.voice?.name : undefined;
  return new InputError({
    action: "read the ABC tune",
    problem,
    where: { file: tune.file, part: voice, bar, row: place.row, column: place.column },
    remedy,
  });
}

/** The voice that music goes to; begun when there is none yet. */
export function currentVoice(tune: AbcTune): AbcVoice {
  return tune.voice ??= voiceOf(tune, ONLY_VOICE);
}

function voiceOf(tune: AbcTune, id: string): AbcVoice {
  const before = tune.voices.get(id);
  if (before) return before;
  const { key, metre } = tune.head;
  const voice = startVoice(id, { key, metre, unit: tune.head.unit ?? usualUnitLength(metre) });
  tune.voices.set(id, voice);
  return voice;
}

/** Fields that say something about a tune's history or its printing, not about its notes. */
const BACKGROUND: ReadonlySet<string> = new Set("ABDFGHNORSXZr");

/** Reads a field, in the head, on a line of the body or in brackets inside music. */
export function readField(
  tune: AbcTune,
  field: { readonly letter: string; readonly value: string },
  place: AbcPlace,
): void {
  const { letter } = field;
  const value = field.value.trim();
  const wrong = (remedy: string) =>
    abcError(tune, place, { problem: `"${letter}:${value}" cannot be read`, remedy });
  switch (letter) {
    case "T":
      if (tune.title === "") tune.title = value;
      else tune.notices.add("further titles (T:): not used");
      return;
    case "C":
      if (tune.composer === "") tune.composer = value;
      return;
    case "M": {
      const metre = readMetre(value);
      if (metre === undefined) throw wrong("Write a time signature such as M:4/4, M:6/8, M:C or M:none");
      return setMetre(tune, metre, place);
    }
    case "L": {
      const unit = readUnitLength(value);
      if (unit === undefined) throw wrong("Write a note length such as L:1/8");
      if (tune.inBody) currentVoice(tune).unit = unit;
      else tune.head.unit = unit;
      return;
    }
    case "Q":
      return setTempo(tune, value, wrong);
    case "K":
      return setKey(tune, value, wrong);
    case "V":
      return setVoice(tune, value, wrong);
    case "P":
      if (!tune.inBody) tune.notices.add("order of sections (P: in the head): not used");
      else tune.rehearsals.set(currentVoice(tune).barIndex, value);
      return;
    case "I":
      return readInstruction(tune, value);
    case "w":
    case "W":
    case "s":
      tune.notices.add(letter === "s" ? "symbol lines (s:): not used" : "words to sing (w:): not used");
      return;
    case "U":
      tune.notices.add("redefined symbols (U:): not used");
      return;
    case "m":
      throw abcError(tune, place, {
        problem: "the tune uses a macro (m:)",
        remedy: "Write the notes out where the macro is used",
      });
    default:
      if (!BACKGROUND.has(letter)) throw wrong("Remove the line, or begin it with % to make it a remark");
  }
}

function setMetre(tune: AbcTune, metre: AbcMetre | "free", place: AbcPlace): void {
  if (!tune.inBody) {
    tune.head.metre = metre;
    return;
  }
  const voice = currentVoice(tune);
  if (voice.begun) {
    throw abcError(tune, place, {
      problem: "the time signature changes in the middle of a bar",
      remedy: "Put M: after a bar line",
    });
  }
  voice.metre = metre;
  if (metre !== "free") tune.metres.set(voice.barIndex, metre);
}

function setTempo(tune: AbcTune, value: string, wrong: (remedy: string) => InputError): void {
  const voice = tune.inBody ? currentVoice(tune) : undefined;
  const metre = voice?.metre ?? tune.head.metre;
  const tempo = readTempo(value, voice?.unit ?? tune.head.unit ?? usualUnitLength(metre));
  if (!tempo) throw wrong('Write a tempo such as Q:1/4=120 or Q:"Allegro" 1/4=132');
  const { beatsPerMinute } = tempo;
  const beat = metre === "free" ? 1 : beatQuarters(metre, beatsPerMinute);
  const quartersPerMinute = tempo.quartersPerMinute ?? (beatsPerMinute && beatsPerMinute * beat);
  if (quartersPerMinute === undefined) return tune.notices.add("tempo words (Q:): not used");
  if (!isTempo(quartersPerMinute)) return tune.notices.add(TEMPO_NOT_USED);
  const place = { barIndex: voice?.barIndex ?? 0, offset: voice?.offset ?? fraction(0, 1) };
  const origin = beatsPerMinute === undefined ? "marked" : "assumed";
  tune.tempos.push({
    ...place,
    what: { quartersPerMinute, origin, ...(tempo.words ? { words: tempo.words } : {}) },
  });
  if (origin === "assumed") tune.notices.add("tempo word without a figure: a common tempo assumed");
}

function setKey(tune: AbcTune, value: string, wrong: (remedy: string) => InputError): void {
  const key = readKey(value);
  if (!key) throw wrong("Write a key such as K:C, K:Dm, K:F# mixolydian or K:none");
  const properties = readVoiceProperties(value);
  if (!tune.inBody) {
    tune.head.key = key;
    tune.inBody = true;
    for (const voice of tune.voices.values()) {
      voice.key = key;
      voice.metre = tune.head.metre;
      voice.unit = tune.head.unit ?? usualUnitLength(tune.head.metre);
      voice.keys[0] = { barIndex: 0, fifths: key.fifths };
    }
    if (tune.head.metre !== "free") tune.metres.set(0, tune.head.metre);
    return;
  }
  const voice = currentVoice(tune);
  voice.key = key;
  voice.octaves += properties.octaves;
  voice.keys.push({ barIndex: voice.begun ? voice.barIndex + 1 : voice.barIndex, fifths: key.fifths });
}

function setVoice(tune: AbcTune, value: string, wrong: (remedy: string) => InputError): void {
  const found = /^(\S+)\s*(.*)$/.exec(value);
  if (!found) throw wrong("Give the voice an id such as V:tune");
  const [, id, rest] = found;
  if (id === "*") return;
  const voice = voiceOf(tune, id!);
  const { name, octaves, transpose } = readVoiceProperties(rest!);
  if (name !== undefined) voice.givenName = voice.name = name;
  if (octaves !== 0) voice.octaves = octaves;
  if (transpose !== undefined) voice.transpose = transpose;
  // The standard has music in the head's last named voice only after K:, so naming it there does no harm.
  if (tune.inBody) tune.voice = voice;
}

/** Reads an instruction, `I:` or `%%`. */
export function readInstruction(tune: AbcTune, value: string): void {
  const reach = /^propagate-accidentals\s*:?\s*(not|octave|pitch)\b/.exec(value.trim())?.[1];
  if (reach === "not" || reach === "octave" || reach === "pitch") tune.accidentalsReach = reach;
  else tune.notices.add(`instruction "${value.trim().split(/\s/)[0]}": not used`);
}
