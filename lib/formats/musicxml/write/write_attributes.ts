/** The `<attributes>` of a part: time signatures, keys, clefs and transpositions, where they change. */
import { addTo } from "../../../base/add_to.ts";
import type { Bar, Score, WrittenClef } from "../../../score/model.ts";
import type { Interval } from "../../../score/spelling.ts";
import { barIndexOf } from "../../../score/time.ts";
import type { PartOnPaper } from "./part_on_paper.ts";
import { element, elementAround, type XmlNode } from "./xml_text.ts";

/** Groups of a bar that its time signature shows. */
function printedGroups({ groups, groupsFrom }: Bar): readonly number[] | undefined {
  return groupsFrom === undefined ? groups : undefined;
}

/** A clef, key or transposition that changes inside a bar. */
export interface ChangeInside {
  /** Place in ticks from the bar's start. */
  readonly at: number;
  readonly staff: number;
  readonly attributes: XmlNode;
}

/** What changes where in a part. */
interface PartAttributes {
  /** The attributes at the start of a bar, if it needs any. */
  readonly atStart: (barIndex: number) => XmlNode | undefined;
  /** Changes inside a bar, in order. */
  readonly inside: (barIndex: number) => readonly ChangeInside[];
}

function keyElement(fifths: number): XmlNode {
  return element("key", [element("fifths", fifths)]);
}

function transpose({ semitones, steps }: Interval): XmlNode {
  const octaves = Math.trunc(semitones / 12);
  return element("transpose", [
    element("diatonic", steps - 7 * octaves),
    element("chromatic", semitones - 12 * octaves),
    octaves !== 0 && element("octave-change", octaves),
  ]);
}

function clefElement({ sign, line, octaves, staff }: WrittenClef, staves: number): XmlNode {
  return element("clef", [
    element("sign", sign),
    line !== undefined && element("line", line),
    octaves !== undefined && element("clef-octave-change", octaves),
  ], staves > 1 ? { number: staff } : {});
}

/** A run of empty bars is gathered into one rest from here on. */
export function multipleRest(bars: number): XmlNode {
  return element("attributes", [element("measure-style", [element("multiple-rest", bars)])]);
}

/** Looks up where the attributes of a part change. */
export function partAttributes(score: Score, { part, keys, clefs, staves }: PartOnPaper): PartAttributes {
  const transpositions = part.notation?.transpositions ?? [];
  const keyAt = new Map(keys.map((k) => [k.fromTicks, k.fifths]));
  const clefsAt = Map.groupBy(clefs, (c) => c.fromTicks);
  const transpositionAt = new Map(transpositions.map((t) => [t.fromTicks, t]));
  const inside = new Map<number, ChangeInside[]>();
  const changes = [
    ...keys.map((k) => ({ ...k, staff: 1, change: keyElement(k.fifths) })),
    ...transpositions.map((t) => ({ ...t, staff: 1, change: transpose(t) })),
    ...clefs.map((c) => ({ ...c, change: clefElement(c, staves) })),
  ].sort((a, b) => a.fromTicks - b.fromTicks);
  for (const { fromTicks, staff, change } of changes) {
    const barIndex = barIndexOf(score, fromTicks);
    const at = fromTicks - (score.bars[barIndex]?.startTicks ?? 0);
    if (at > 0) addTo(inside, barIndex, { at, staff, attributes: element("attributes", [change]) });
  }
  return {
    atStart(index) {
      const [before, bar] = [score.bars[index - 1], score.bars[index]!];
      const fifths = keyAt.get(bar.startTicks);
      const changed = transpositionAt.get(bar.startTicks);
      const isNewTime = before?.beats !== bar.beats || before.beatUnit !== bar.beatUnit ||
        before.timeSymbol !== bar.timeSymbol || String(printedGroups(before)) !== String(printedGroups(bar));
      const { transposeSemitones: semitones, transposeSteps: steps } = part;
      return elementAround("attributes", [
        !before && element("divisions", score.ticksPerQuarter),
        fifths !== undefined && keyElement(fifths),
        isNewTime && element("time", [
          element("beats", printedGroups(bar)?.join("+") ?? bar.beats),
          element("beat-type", bar.beatUnit),
        ], { symbol: bar.timeSymbol }),
        !before && staves > 1 && element("staves", staves),
        ...(clefsAt.get(bar.startTicks) ?? []).map((clef) => clefElement(clef, staves)),
        !before && (semitones !== 0 || steps !== 0) && transpose({ semitones, steps }),
        changed && transpose(changed),
      ]);
    },
    inside: (index) => inside.get(index) ?? [],
  };
}
