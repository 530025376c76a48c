/** What stands over and under the notes of one part, with its place: tempo, words, dynamics, chord symbols. */
import type { MetronomeMark, Note, Part, Score, WrittenDynamic, WrittenWords } from "../../../score/model.ts";
import { barIndexOf, endTicksOf } from "../../../score/time.ts";
import { dynamicSigns } from "./dynamic_signs.ts";
import { harmonyParts } from "./harmony_kind.ts";
import { feltBeatTicks } from "./metre_levels.ts";
import { VALUE_NAMES, valueOf } from "./note_values.ts";
import { type TechniquePoint, techniqueWords, trueWays } from "./technique_words.ts";
import { readWords } from "../../assemble/direction_words.ts";
import { dynamicsInForce } from "../../assemble/written_dynamics.ts";
import type { XmlLines } from "./xml_lines.ts";

/** A sign with its place. */
export interface PlacedSign {
  readonly ticks: number;
  /** Order among signs of one place. */
  readonly order: number;
  /** True for what ends at its place: at a bar line it stands before it. */
  readonly closes?: boolean;
  /**
   * Writes it.
   *
   * @param xml the text
   * @param offset ticks after the place the text has reached
   */
  readonly write: (xml: XmlLines, offset: number) => void;
}

/** A `<direction>` with one type. */
function direction(
  options: {
    readonly placement: "above" | "below";
    readonly staff?: number | undefined;
    readonly type: ((xml: XmlLines) => void) | readonly ((xml: XmlLines) => void)[];
    readonly sound?: Readonly<Record<string, string | number>>;
  },
): PlacedSign["write"] {
  return (xml, offset) => {
    xml.open("direction", { placement: options.placement });
    for (const type of [options.type].flat()) {
      xml.open("direction-type");
      type(xml);
      xml.close();
    }
    if (offset !== 0) xml.leaf("offset", offset);
    if (options.staff !== undefined) xml.leaf("staff", options.staff);
    if (options.sound) xml.leaf("sound", undefined, options.sound);
    xml.close();
  };
}

/** Rounded for print. */
const shown = (value: number): string => String(Math.round(value * 100) / 100);

/** True where a printed mark says the tempo, as nearly as figures on paper do. */
function saysTempo(mark: MetronomeMark, quartersPerMinute: number): boolean {
  const wholes = VALUE_NAMES.find(([name]) => name === mark.value)?.[1] ?? 1 / 4;
  const figures = mark.perMinute.match(/\d+(\.\d+)?/g)?.map(Number) ?? [];
  const quarters = figures.map((figure) => figure * wholes * 4 * (2 - 0.5 ** mark.dots));
  const [least, most] = [Math.min(...quarters), Math.max(...quarters)];
  return quarters.length > 0 && quartersPerMinute >= least * 0.99 && quartersPerMinute <= most * 1.01;
}

function writeMetronome(xml: XmlLines, mark: MetronomeMark): void {
  xml.open("metronome", { parentheses: mark.bracketed ? "yes" : undefined });
  xml.leaf("beat-unit", mark.value);
  for (let d = 0; d < mark.dots; d++) xml.leaf("beat-unit-dot");
  xml.leaf("per-minute", mark.perMinute);
  xml.close();
}

/**
 * Tempo words and marks, those of the source where it has them. Otherwise several in one bar are a written-out change
 * of pace, and only the first is printed. Of an assumed tempo only the word is printed.
 */
function tempoSigns(score: Score): PlacedSign[] {
  let barOfLast = -1;
  return score.tempos.filter((t) => t.origin === "marked" || t.words !== undefined).map((tempo) => {
    const barIndex = barIndexOf(score, tempo.onsetTicks);
    const bar = score.bars[barIndex]!;
    const beat = feltBeatTicks({ ...bar, ticksPerQuarter: score.ticksPerQuarter });
    const value = valueOf(beat, score.ticksPerQuarter) ?? { type: "quarter", dots: 0 };
    const quarters = value.type === "quarter" && value.dots === 0 ? 1 : beat / score.ticksPerQuarter;
    const perMinute = tempo.quartersPerMinute / quarters;
    const sound = { tempo: tempo.quartersPerMinute };
    const usual = { value: value.type, dots: value.dots, perMinute: shown(perMinute) };
    const kept = tempo.metronome;
    const isKept = kept !== undefined && (kept === "none" || saysTempo(kept, tempo.quartersPerMinute));
    const mark = tempo.origin === "assumed" || kept === "none"
      ? undefined
      : isKept
      ? kept
      : barIndex === barOfLast
      ? undefined
      : usual;
    barOfLast = barIndex;
    const { words } = tempo;
    const types = [
      ...(words === undefined ? [] : [(xml: XmlLines) => xml.leaf("words", words)]),
      ...(mark === undefined ? [] : [(xml: XmlLines) => writeMetronome(xml, mark)]),
    ];
    const write: PlacedSign["write"] = types.length > 0
      ? direction({ placement: "above", type: types, ...(tempo.origin === "assumed" ? {} : { sound }) })
      : (xml, offset) => {
        if (offset === 0) return xml.leaf("sound", undefined, sound);
        xml.open("sound", sound);
        xml.leaf("offset", offset);
        xml.close();
      };
    return { ticks: tempo.onsetTicks, order: 1, write };
  });
}

function rehearsalSigns(score: Score): PlacedSign[] {
  return score.bars.flatMap((bar) => {
    const { rehearsal } = bar;
    if (rehearsal === undefined) return [];
    const type = (xml: XmlLines) => xml.leaf("rehearsal", rehearsal);
    return [{ ticks: bar.startTicks, order: 0, write: direction({ placement: "above", type }) }];
  });
}

/** Words over the stave. */
function wordsSign(
  words: string,
  ticks: number,
  more: Partial<Parameters<typeof direction>[0]> = {},
): PlacedSign {
  const type = (xml: XmlLines) => xml.leaf("words", words);
  return { ticks, order: 3, write: direction({ placement: "above", ...more, type }) };
}

/** Words that bend the tempo, unless a part prints them; pauses stand on the notes. */
function bendSigns(score: Score): PlacedSign[] {
  const printed = new Set(
    score.parts.flatMap((p) => p.notation?.words.map((w) => `${w.onsetTicks} ${w.words}`) ?? []),
  );
  return (score.tempoBends ?? []).filter((b) =>
    b.kind !== "pause" && !printed.has(`${b.onsetTicks} ${b.words}`)
  ).map((b) => wordsSign(b.words, b.onsetTicks));
}

/** Segno, coda and jumps; repeat signs and brackets stand at the bar lines. */
function jumpSigns(score: Score): PlacedSign[] {
  return score.bars.flatMap(({ repeat, startTicks, durationTicks }): PlacedSign[] => {
    if (!repeat) return [];
    const last = startTicks + durationTicks - 1;
    const sign = (name: "segno" | "coda") => ({
      ticks: startTicks,
      order: 0,
      write: direction({ placement: "above", type: (xml) => xml.leaf(name), sound: { [name]: name } }),
    });
    const { segno, coda, toCoda, fine, jump, jumpWords } = repeat;
    return [
      ...(segno ? [sign("segno")] : []),
      ...(coda ? [sign("coda")] : []),
      ...(toCoda ? [wordsSign("To Coda", last, { sound: { tocoda: "coda" } })] : []),
      ...(fine ? [wordsSign("Fine", last, { sound: { fine: "yes" } })] : []),
      ...(jump === "da capo" ? [wordsSign(jumpWords ?? "D.C.", last, { sound: { dacapo: "yes" } })] : []),
      ...(jump === "dal segno"
        ? [wordsSign(jumpWords ?? "D.S.", last, { sound: { dalsegno: "segno" } })]
        : []),
    ];
  });
}

/** Signs for the whole score: tempo and rehearsal marks, words that bend the tempo, jumps. */
export function scoreSigns(score: Score): readonly PlacedSign[] {
  return [...rehearsalSigns(score), ...tempoSigns(score), ...bendSigns(score), ...jumpSigns(score)];
}

/** Chord symbols in order. */
export function harmonySigns(score: Score): readonly PlacedSign[] {
  return score.chords.map(({ onsetTicks, symbol }) => ({
    ticks: onsetTicks,
    order: 2,
    write(xml, offset) {
      const { root, kind, text, bass } = harmonyParts(symbol);
      xml.open("harmony");
      xml.open("root");
      // The format wants a root even where there is no chord; it is not shown then.
      if (!root) xml.leaf("root-step", "C", { text: "" });
      else xml.leaf("root-step", root.step);
      if (root && root.alter !== 0) xml.leaf("root-alter", root.alter);
      xml.close();
      xml.leaf("kind", kind, { text });
      if (bass) {
        xml.open("bass");
        xml.leaf("bass-step", bass.step);
        if (bass.alter !== 0) xml.leaf("bass-alter", bass.alter);
        xml.close();
      }
      if (offset !== 0) xml.leaf("offset", offset);
      xml.close();
    },
  }));
}

/** Places where notes begin, with what is wanted of the first note there. */
function pointsOf(notes: readonly Note[]) {
  const points: (TechniquePoint & { endTicks: number; readonly dynamic: number })[] = [];
  for (const note of notes) {
    const last = points.at(-1);
    const endTicks = note.onsetTicks + note.durationTicks;
    if (last && last.ticks === note.onsetTicks) last.endTicks = Math.max(last.endTicks, endTicks);
    else {
      const { dynamic, technique, techniques } = note;
      points.push({ ticks: note.onsetTicks, endTicks, dynamic, technique, techniques });
    }
  }
  return points;
}

/** True where both staves ask for the same dynamic wherever notes begin together. */
function stavesAgree(notes: readonly Note[]): boolean {
  const dynamicAt = new Map<number, number>();
  return notes.every((n) => {
    const before = dynamicAt.get(n.onsetTicks);
    dynamicAt.set(n.onsetTicks, n.dynamic);
    return before === undefined || Math.abs(before - n.dynamic) < 1e-6;
  });
}

/** Marks that MusicXML has an element for, as readers of ours name them. */
const MARK_ELEMENT = /^(p{1,6}|f{1,6}|mp|mf|sf|sfp|sfpp|fp|rf|rfz|sfz|sffz|fz|n|pf|sfzp)$/;

/** A dynamic sign of the source, as it stood there. */
function keptSign(sign: WrittenDynamic, staves: number): PlacedSign {
  const { onsetTicks: ticks, kind } = sign;
  const staff = staves > 1 && sign.staff > 0 ? sign.staff : undefined;
  const mark = sign.mark ?? "mf";
  const type = (xml: XmlLines) => {
    if (kind === "growing" || kind === "fading") xml.leaf("words", kind === "growing" ? "cresc." : "dim.");
    else if (kind !== "mark") {
      xml.leaf("wedge", undefined, { type: kind, number: Math.min(16, Math.max(1, sign.number ?? 1)) });
    } else if (sign.pieces) writePieces(xml, sign.pieces);
    else if (mark === "more" || mark === "less") xml.leaf("words", mark === "more" ? "più f" : "meno f");
    else writePieces(xml, [mark]);
  };
  const closes = kind === "stop";
  return { ticks, order: 5, closes, write: direction({ placement: "below", staff, type }) };
}

/** A mark with brackets or words round it. */
function writePieces(xml: XmlLines, pieces: readonly string[]): void {
  xml.open("dynamics");
  for (const piece of pieces) {
    if (MARK_ELEMENT.test(piece)) xml.leaf(piece);
    else xml.leaf("other-dynamics", piece);
  }
  xml.close();
}

/** The words of a page, without those about dynamics, and without those that are no longer true. */
function printedWords(
  part: Part,
  isTrue: { readonly ways: ReadonlySet<WrittenWords>; readonly bends: ReadonlySet<number> },
  staves: number,
): PlacedSign[] {
  return (part.notation?.words ?? []).filter((word) => {
    const { manner, muted, bendsTempo } = readWords(word.words);
    if (saysDynamics(word.words)) return false;
    if ((manner !== undefined || muted !== undefined) && !isTrue.ways.has(word)) return false;
    return bendsTempo === undefined || isTrue.bends.has(word.onsetTicks);
  }).map((words) => printedWord(words, staves));
}

function printedWord({ words, onsetTicks, staff, below }: WrittenWords, staves: number): PlacedSign {
  return wordsSign(words, onsetTicks, {
    ...(staves > 1 ? { staff } : {}),
    ...(below ? { placement: "below" } : {}),
  });
}

/** True for words such as `cresc.` or `sempre f`. */
function saysDynamics(words: string): boolean {
  const { growth, dynamic } = readWords(words);
  return growth !== undefined || dynamic !== undefined;
}

/** Dashes, brackets, octave and pedal lines of a page. */
function printedLines(part: Part, staves: number): PlacedSign[] {
  return (part.notation?.lines ?? []).map(({ onsetTicks, staff, kind, attributes }) => ({
    ticks: onsetTicks,
    order: attributes["type"] === "stop" ? 2 : 4,
    closes: attributes["type"] === "stop",
    write: direction({
      placement: kind === "pedal" ? "below" : "above",
      ...(staves > 1 ? { staff } : {}),
      type: (xml) => xml.leaf(kind, undefined, attributes),
    }),
  }));
}

/** The words of a page about ways of playing that are true of a stave's notes. */
function printedWays(
  part: Part,
  options: { readonly points: readonly TechniquePoint[]; readonly staff: number; readonly staves: number },
) {
  const { points, staff, staves } = options;
  const own = (part.notation?.words ?? []).filter((w) => w.staff === staff || staves === 1);
  const ways = own.map((word) => {
    const { manner, muted } = readWords(word.words);
    return { word, ticks: word.onsetTicks, manner, muted };
  });
  return trueWays(points, ways.filter((w) => w.manner !== undefined || w.muted !== undefined));
}

/** Bars of silence after which a dynamic is printed again; common practice, no source. */
const SILENT_BARS = 4;

/** Dynamics, hairpins and words of one part. */
export function playingSigns(
  score: Score,
  options: { readonly part: Part; readonly notes: readonly Note[]; readonly staves: number },
): readonly PlacedSign[] {
  const notes = options.notes.filter((n) => !n.cue);
  const { playing = [], instrumentChanges = [], notation } = options.part;
  const printed = new Set(notation?.words.map((w) => `${w.onsetTicks} ${w.words}`));
  const isPrinted = (ticks: number, words: string) => printed.has(`${ticks} ${words}`);
  const signs: PlacedSign[] = [
    ...playing.filter((p) => !isPrinted(p.fromTicks, p.words)).map((p) => wordsSign(p.words, p.fromTicks)),
    ...(notation ? [] : instrumentChanges.map((c) => wordsSign(c.name, c.fromTicks))),
  ];
  const dynamicsOf = (own: readonly Note[], staff: number | undefined) => {
    let number = 0;
    const first = score.bars[0];
    const found = dynamicSigns(pointsOf(own), {
      endTicks: endTicksOf(score),
      silenceTicks: SILENT_BARS *
        (first ? first.beats * 4 * score.ticksPerQuarter / first.beatUnit : Infinity),
    });
    for (const sign of found) {
      if (sign.kind === "mark") {
        const type = (xml: XmlLines) => {
          xml.open("dynamics");
          xml.leaf(sign.mark);
          xml.close();
        };
        signs.push({ ticks: sign.ticks, order: 5, write: direction({ placement: "below", staff, type }) });
      } else {
        if (sign.kind !== "stop") number = staff ?? 1;
        const here = number;
        const type = (xml: XmlLines) => xml.leaf("wedge", undefined, { type: sign.kind, number: here });
        const order = sign.kind === "stop" ? 4 : 6;
        const closes = sign.kind === "stop";
        signs.push({
          ticks: sign.ticks,
          order,
          closes,
          write: direction({ placement: "below", staff, type }),
        });
      }
    }
  };
  const staves = Array.from({ length: options.staves }, (_, i) => i + 1);
  const { ticksPerQuarter } = score;
  const kept = dynamicsInForce(options.part, { notes: options.notes, ticksPerQuarter });
  if (kept) {
    const words = Map.groupBy(
      (notation?.words ?? []).filter((w) => saysDynamics(w.words)),
      (w) => `${w.onsetTicks} ${w.staff}`,
    );
    for (const sign of kept) {
      if (!notation || !sign.inWords) signs.push(keptSign(sign, options.staves));
      else {
        // Words about dynamics stand among the marks, in their order.
        const found = words.get(`${sign.onsetTicks} ${sign.staff}`)?.shift();
        if (found) signs.push({ ...printedWord(found, options.staves), order: 5 });
      }
    }
  } else if (options.staves === 1 || stavesAgree(notes)) dynamicsOf(notes, undefined);
  else for (const staff of staves) dynamicsOf(notes.filter((n) => n.staff === staff), staff);
  const ways = new Set<WrittenWords>();
  for (const staff of staves) {
    const points = pointsOf(options.staves === 1 ? notes : notes.filter((n) => n.staff === staff));
    const printed = printedWays(options.part, { points, staff, staves: options.staves });
    for (const { word } of printed) ways.add(word);
    for (const { ticks, words, pizzicato } of techniqueWords(points, printed)) {
      signs.push(wordsSign(words, ticks, {
        staff: options.staves === 1 ? undefined : staff,
        ...(pizzicato ? { sound: { pizzicato } } : {}),
      }));
    }
  }
  const bends = new Set(score.tempoBends?.map((b) => b.onsetTicks));
  signs.push(
    ...printedWords(options.part, { ways, bends }, options.staves),
    ...printedLines(options.part, options.staves),
  );
  return signs;
}
