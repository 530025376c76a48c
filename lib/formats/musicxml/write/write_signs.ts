/** What stands over and under the notes of one part, with its place: tempo, words, dynamics, chord symbols. */
import type { MetronomeMark, Note, Part, Score, WrittenDynamic, WrittenWords } from "../../../score/model.ts";
import { isLongSilence } from "../../../score/silence.ts";
import { barIndexOf, endTicksOf } from "../../../score/time.ts";
import { dynamicSigns } from "./dynamic_signs.ts";
import { harmonyParts, type HarmonyStep } from "./harmony_kind.ts";
import { feltBeatTicks } from "./metre_levels.ts";
import { valueOf } from "./note_values.ts";
import { type TechniquePoint, techniqueWords, trueWays } from "../../page/technique_words.ts";
import { spiccatoWords } from "../../assemble/spiccato.ts";
import { readWords } from "../../assemble/direction_words.ts";
import { NOTE_VALUES } from "../../assemble/musicxml_names.ts";
import { dynamicsInForce } from "../../assemble/written_dynamics.ts";
import { isGrowingWord, longHairpinsAsWords } from "../../../score/dynamic_course.ts";
import { element, type XmlNode } from "./xml_text.ts";

/** A sign with its place. */
export interface PlacedSign {
  readonly ticks: number;
  /** Order among signs of one place. */
  readonly order: number;
  /** True for what ends at its place: at a bar line it stands before it. */
  readonly closes?: boolean;
  /** The sign, so many ticks after the place the file has reached. */
  readonly at: (offset: number) => XmlNode;
}

/** How a `<direction>` stands. */
interface DirectionOptions {
  readonly placement?: "above" | "below";
  readonly staff?: number | undefined;
  readonly sound?: Readonly<Record<string, string | number>>;
}

/** A `<direction>` with one type or several. */
function direction(types: readonly XmlNode[], options: DirectionOptions = {}): PlacedSign["at"] {
  const { placement = "above", staff, sound } = options;
  return (offset) =>
    element("direction", [
      ...types.map((type) => element("direction-type", [type])),
      offset !== 0 && element("offset", offset),
      staff !== undefined && element("staff", staff),
      sound && element("sound", undefined, sound),
    ], { placement });
}

/** Rounded for print. */
const shown = (value: number): string => String(Math.round(value * 100) / 100);

/** True where a printed mark says the tempo, as nearly as figures on paper do. */
function saysTempo(mark: MetronomeMark, quartersPerMinute: number): boolean {
  const wholes = NOTE_VALUES.find(([name]) => name === mark.value)?.[1] ?? 1 / 4;
  const figures = mark.perMinute.match(/\d+(\.\d+)?/g)?.map(Number) ?? [];
  const quarters = figures.map((figure) => figure * wholes * 4 * (2 - 0.5 ** mark.dots));
  const [least, most] = [Math.min(...quarters), Math.max(...quarters)];
  return quarters.length > 0 && quartersPerMinute >= least * 0.99 && quartersPerMinute <= most * 1.01;
}

function metronome({ value, dots, perMinute, bracketed }: MetronomeMark): XmlNode {
  return element("metronome", [
    element("beat-unit", value),
    ...Array.from({ length: dots }, () => element("beat-unit-dot")),
    element("per-minute", perMinute),
  ], { parentheses: bracketed ? "yes" : undefined });
}

/** The quickest mark on the scale of a metronome; what would be quicker is counted in quarters. Common practice, no source. */
const QUICKEST_MARK = 208;

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
    const isTooQuick = beat < score.ticksPerQuarter &&
      tempo.quartersPerMinute * score.ticksPerQuarter / beat > QUICKEST_MARK;
    const value = (isTooQuick ? undefined : valueOf(beat, score.ticksPerQuarter)) ??
      { type: "quarter", dots: 0 };
    const quarters = value.type === "quarter" && value.dots === 0 ? 1 : beat / score.ticksPerQuarter;
    const perMinute = tempo.quartersPerMinute / quarters;
    const { words, quartersPerMinute, metronome: kept } = tempo;
    const assumed = tempo.origin === "assumed";
    const usual = { value: value.type, dots: value.dots, perMinute: shown(perMinute) };
    const isKept = kept !== undefined && kept !== "none" && saysTempo(kept, quartersPerMinute);
    const printsNone = assumed || kept === "none" || (!isKept && barIndex === barOfLast);
    const mark = printsNone ? undefined : isKept ? kept : usual;
    barOfLast = barIndex;
    const sound = { tempo: quartersPerMinute };
    const types = [
      ...(words === undefined ? [] : [element("words", words)]),
      ...(mark === undefined ? [] : [metronome(mark)]),
    ];
    const at: PlacedSign["at"] = types.length > 0
      ? direction(types, assumed ? {} : { sound })
      : (offset) => element("sound", offset === 0 ? undefined : [element("offset", offset)], sound);
    return { ticks: tempo.onsetTicks, order: 1, at };
  });
}

function rehearsalSigns(score: Score): PlacedSign[] {
  return score.bars.flatMap((bar) => {
    const { rehearsal } = bar;
    if (rehearsal === undefined) return [];
    return [{ ticks: bar.startTicks, order: 0, at: direction([element("rehearsal", rehearsal)]) }];
  });
}

/** Words over the stave. */
function wordsSign(words: string, ticks: number, options: DirectionOptions = {}): PlacedSign {
  return { ticks, order: 3, at: direction([element("words", words)], options) };
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
      at: direction([element(name)], { sound: { [name]: name } }),
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
  return score.chords.map(({ onsetTicks, symbol }) => {
    const { root, kind, text, bass } = harmonyParts(symbol);
    const step = (name: "root" | "bass", { step, alter }: HarmonyStep) =>
      element(name, [element(`${name}-step`, step), alter !== 0 && element(`${name}-alter`, alter)]);
    return {
      ticks: onsetTicks,
      order: 2,
      at: (offset) =>
        element("harmony", [
          // The format wants a root even where there is no chord; it is not shown then.
          root ? step("root", root) : element("root", [element("root-step", "C", { text: "" })]),
          element("kind", kind, { text }),
          bass && step("bass", bass),
          offset !== 0 && element("offset", offset),
        ]),
    };
  });
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

/** A dynamic sign as it stands in the part, with the word that stands beside it: "p cresc.". */
function keptSign(sign: WrittenDynamic, staves: number, beside: readonly WrittenDynamic[] = []): PlacedSign {
  const { onsetTicks: ticks, kind } = sign;
  const staff = staves > 1 && sign.staff > 0 ? sign.staff : undefined;
  return {
    ticks,
    order: 5,
    closes: kind === "stop",
    at: direction([sign, ...beside].map(typeOfKept), { placement: "below", staff }),
  };
}

function typeOfKept(sign: WrittenDynamic): XmlNode {
  const { kind, mark = "mf", number = 1, pieces } = sign;
  if (isGrowingWord(sign)) {
    return element("words", kind === "growing" ? "cresc." : "dim.", { "font-style": "italic" });
  }
  if (kind !== "mark") {
    return element("wedge", undefined, { type: kind, number: Math.min(16, Math.max(1, number)) });
  }
  if (!pieces && mark === "more") return element("words", "più f");
  if (!pieces && mark === "less") return element("words", "meno f");
  return dynamics(pieces ?? [mark]);
}

/** A mark, with brackets or words round it where it has them. */
function dynamics(pieces: readonly string[]): XmlNode {
  return element(
    "dynamics",
    pieces.map((piece) => MARK_ELEMENT.test(piece) ? element(piece) : element("other-dynamics", piece)),
  );
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

/** Words as a page has them, at their stave. */
export function printedWord({ words, onsetTicks, staff, below }: WrittenWords, staves: number): PlacedSign {
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
    at: direction([element(kind, undefined, attributes)], {
      placement: kind === "pedal" ? "below" : "above",
      ...(staves > 1 ? { staff } : {}),
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

/** Marks and hairpins worked out from the notes of one stave, or of all of them (0). */
function dynamicsOf(score: Score, notes: readonly Note[], staff: number): readonly WrittenDynamic[] {
  const found = dynamicSigns(pointsOf(notes), {
    endTicks: endTicksOf(score),
    isLongSilence: (fromTicks, toTicks) => isLongSilence(score, { fromTicks, toTicks }),
  });
  return longHairpinsAsWords(
    found.map(({ ticks: onsetTicks, ...sign }) => ({
      onsetTicks,
      staff,
      number: Math.max(1, staff),
      ...sign,
    })),
    score,
  );
}

/** The dynamics that the source has; words about dynamics stand among the marks, in their order. */
function keptSigns(kept: readonly WrittenDynamic[], part: Part, staves: number): readonly PlacedSign[] {
  const { notation } = part;
  const words = Map.groupBy(
    (notation?.words ?? []).filter((w) => saysDynamics(w.words)),
    (w) => `${w.onsetTicks} ${w.staff}`,
  );
  const isBeside = (mark: WrittenDynamic | undefined, word: WrittenDynamic | undefined) =>
    mark?.kind === "mark" && word !== undefined && isGrowingWord(word) && !word.inWords &&
    mark.onsetTicks === word.onsetTicks && mark.staff === word.staff;
  return kept.flatMap((sign, i): readonly PlacedSign[] => {
    if (!notation || !sign.inWords) {
      if (isBeside(kept[i - 1], sign)) return [];
      return [keptSign(sign, staves, isBeside(sign, kept[i + 1]) ? [kept[i + 1]!] : [])];
    }
    const found = words.get(`${sign.onsetTicks} ${sign.staff}`)?.shift();
    return found ? [{ ...printedWord(found, staves), order: 5 }] : [];
  });
}

/** Words about players and ways of playing: those of the page that are true, and what else the notes ask for. */
function wordSigns(score: Score, { part, notes, staves }: PartSigns): readonly PlacedSign[] {
  const { playing = [], instrumentChanges = [], notation } = part;
  const onPage = new Set(notation?.words.map((w) => `${w.onsetTicks} ${w.words}`));
  const missing = playing.filter((p) => !onPage.has(`${p.fromTicks} ${p.words}`));
  const ways = new Set<WrittenWords>();
  const needed: PlacedSign[] = [];
  for (let staff = 1; staff <= staves; staff++) {
    const own = staves === 1 ? notes : notes.filter((n) => n.staff === staff);
    const at = { staff: staves === 1 ? undefined : staff };
    if (!notation) needed.push(...spiccatoWords(own).map((w) => wordsSign(w.words, w.ticks, at)));
    const points = pointsOf(own);
    const printed = printedWays(part, { points, staff, staves });
    for (const { word } of printed) ways.add(word);
    for (const { ticks, words, pizzicato } of techniqueWords(points, printed)) {
      const sound = pizzicato ? { sound: { pizzicato } } : {};
      needed.push(wordsSign(words, ticks, { ...at, ...sound }));
    }
  }
  const bends = new Set(score.tempoBends?.map((b) => b.onsetTicks));
  return [
    ...missing.map((p) => wordsSign(p.words, p.fromTicks)),
    ...(notation ? [] : instrumentChanges.map((c) => wordsSign(c.name, c.fromTicks))),
    ...needed,
    ...printedWords(part, { ways, bends }, staves),
  ];
}

/** A part whose signs are written. */
interface PartSigns {
  readonly part: Part;
  readonly notes: readonly Note[];
  readonly staves: number;
}

/** Dynamics, hairpins and words of one part. */
export function playingSigns(score: Score, paper: PartSigns): readonly PlacedSign[] {
  const { part, staves } = paper;
  const notes = paper.notes.filter((n) => !n.cue);
  const { ticksPerQuarter } = score;
  const kept = dynamicsInForce(part, { notes, ticksPerQuarter });
  const worked = () =>
    staves === 1 || stavesAgree(notes)
      ? dynamicsOf(score, notes, 0)
      : Array.from({ length: staves }, (_, i) =>
        dynamicsOf(score, notes.filter((n) => n.staff === i + 1), i + 1)).flat();
  return [
    ...keptSigns(kept?.filter((d) => !d.implied) ?? worked(), part, staves),
    ...wordSigns(score, { part, notes, staves }),
    ...printedLines(part, staves),
  ];
}
