/** What stands on a note head: ties, slurs, tuplets, lines, ornaments and signs. */
import type { Articulation, Note, Part, PlayingSign } from "../../../score/model.ts";
import {
  ARTICULATION_ELEMENTS,
  ARTICULATION_SIGNS,
  ORNAMENT_SIGNS,
  TECHNICAL_SIGNS,
} from "../../assemble/musicxml_names.ts";
import { TREMOLO_SLASHES } from "../../../score/tremolo.ts";
import { canBounce } from "../../assemble/spiccato.ts";
import type { WrittenGlissando } from "./glissando_numbers.ts";
import type { WrittenEvent, WrittenHead } from "./notate_part.ts";
import type { TupletPlace } from "./note_values.ts";
import type { PartToWrite } from "./part_to_write.ts";
import type { WrittenSlurEnd } from "./written_slurs.ts";
import { element, elementAround, type XmlNode } from "./xml_text.ts";

/** A head in its chord. */
interface HeadPlace {
  readonly head: WrittenHead;
  /** Missing for a grace note. */
  readonly event?: WrittenEvent;
  readonly isFirst: boolean;
  readonly pause: boolean;
}

/** The `<notations>` of a head, if it has any. */
export function headNotations(part: PartToWrite, place: HeadPlace): XmlNode | undefined {
  const { head, event, isFirst, pause } = place;
  const { note } = head;
  const [begins, ends] = [!head.tieStop, !head.tieStart];
  const signs = signsOf(place);
  const glissandi = part.glissandi.get(note) ?? [];
  return elementAround("notations", [
    head.tieStop && element("tied", undefined, { type: "stop" }),
    head.tieStart && element("tied", undefined, { type: "start" }),
    ...slurEnds(part.slurs.get(note) ?? [], head),
    ...isFirst ? tupletEnds(event?.tuplet) : [],
    ...glissandi.filter((end) => end.head === "last" ? ends : begins).map(glissandoEnd),
    elementAround("ornaments", ornaments(part, place, signs)),
    elementAround("technical", technical(head, signs).map((name) => element(name))),
    elementAround("articulations", articulations(part, head, signs)),
    begins && note.signs?.includes("arpeggiate") && element("arpeggiate"),
    pause && element("fermata"),
  ]);
}

/** Which signs stand at a head. */
interface HeadSigns {
  /** Whether what a note has stands here: what all notes of a chord have is written once, on the first head. */
  readonly here: (has: (n: Note) => boolean) => boolean;
  /** Signs of a group that are kept by their name. */
  readonly kept: (group: readonly PlayingSign[]) => readonly PlayingSign[];
  /** Articulations of a later head of a tied note, which stand there in the source. */
  readonly later: Note["articulations"];
}

function signsOf({ head, event, isFirst }: HeadPlace): HeadSigns {
  const { note } = head;
  const chord = event?.heads ?? [head];
  const here: HeadSigns["here"] = (has) => has(note) && (isFirst || !chord.every((other) => has(other.note)));
  const later = head.begins && head.head > 0
    ? note.notation?.later?.find((l) => l.head === head.head)
    : undefined;
  const signs = head.tieStop
    ? later?.signs
    : note.signs?.filter((sign) => here((n) => n.signs?.includes(sign) === true));
  const kept: HeadSigns["kept"] = (group) => signs ? group.filter((sign) => signs.includes(sign)) : [];
  return { here, kept, later: later?.articulations ?? [] };
}

function slurEnds(slurs: readonly WrittenSlurEnd[], head: WrittenHead): readonly XmlNode[] {
  if (slurs.length === 0) return [];
  return (["stop", "start"] as const).flatMap((type) => {
    const usual = type === "start" ? !head.tieStop : !head.tieStart;
    return slurs.filter(({ end, head: place }) =>
      end === type && (place === undefined ? usual : head.begins && head.head === place)
    ).map(({ number }) => element("slur", undefined, { type, number }));
  });
}

/** Beginning and end of a tuplet, where they stand at a note or rest. */
export function tupletEnds(tuplet: TupletPlace | undefined): readonly (XmlNode | false)[] {
  if (!tuplet) return [];
  const { starts, stops, attributes = { bracket: "yes" } } = tuplet;
  return [
    starts && element("tuplet", undefined, { type: "start", ...attributes }),
    stops && element("tuplet", undefined, { type: "stop" }),
  ];
}

function glissandoEnd({ kind, type, number, worded }: WrittenGlissando): XmlNode {
  const line = kind === "slide" ? "solid" : "wavy";
  return element(kind, worded ? "gliss." : undefined, { type, number, "line-type": line });
}

function ornaments(part: PartToWrite, place: HeadPlace, { here, kept }: HeadSigns) {
  const { head, event, isFirst } = place;
  const { note } = head;
  const { trillMark, wavyEnds } = trillSigns(part, place);
  const slashes = isFirst && !note.grace ? slashesOf(head) : 0;
  const type = event?.tremoloPair ??
    (note.tremolo === "unmeasured" && !saysUnmeasured(note, part.paper.part) ? "unmeasured" : "single");
  return [
    ...kept(ORNAMENT_SIGNS).map((name) => element(name)),
    trillMark && here((n) => n.trill) && element("trill-mark"),
    ...wavyEnds.map((end) => element("wavy-line", undefined, { ...end })),
    slashes > 0 && element("tremolo", Math.min(8, slashes), { type }),
  ];
}

/**
 * Whether the slashes of a note that was written for a setting say by themselves that they are not counted: it has as many
 * as its tempo needs. The file's own word for it is printed as the sign of a buzz roll by programs that keep to the format.
 */
function saysUnmeasured({ layer, tremoloSlashes }: Note, { notation }: Part): boolean {
  return (layer !== undefined || notation === undefined) && tremoloSlashes >= TREMOLO_SLASHES;
}

/** Slashes through the stem of a head. */
function slashesOf({ note: { tremoloSlashes, notation }, head }: WrittenHead): number {
  const printed = notation?.slashes;
  return printed?.[0] === tremoloSlashes ? printed[head] ?? tremoloSlashes : tremoloSlashes;
}

/** Whether a head bears a trill sign, and what it has of a wavy line: as the source draws them, or over ties. */
function trillSigns(
  part: PartToWrite,
  { head, isFirst }: HeadPlace,
): { readonly trillMark: boolean; readonly wavyEnds: readonly { type: "start" | "stop"; number: number }[] } {
  const { note } = head;
  const begins = !head.tieStop;
  if (part.paper.part.notation) {
    const printed = (place: number) => head.begins && head.head === place;
    const lines = note.notation?.wavyLines ?? [];
    return {
      trillMark: note.notation?.trills?.some(printed) ?? begins,
      wavyEnds: lines.filter((l) => printed(l.head) && part.wavyLines.has(l.span))
        .map(({ end, span }) => ({ type: end, number: 1 + span % MOST_LINES })),
    };
  }
  if (!note.trill || !isFirst || begins !== head.tieStart) return { trillMark: begins, wavyEnds: [] };
  return { trillMark: begins, wavyEnds: [{ type: begins ? "start" : "stop", number: 1 }] };
}

/** Most lines of a kind that can be told apart (`number-level` of MusicXML 4.0). */
const MOST_LINES = 16;

/** Harmonics on every note that is one, stopped notes once for a chord, and what is kept. */
function technical({ note, tieStop }: WrittenHead, { here, kept }: HeadSigns): readonly string[] {
  const has = (technique: Note["technique"]) => (n: Note) =>
    n.techniques?.includes(technique) ?? n.technique === technique;
  return [
    ...(!tieStop && has("harmonic")(note) ? ["harmonic"] : []),
    ...(!tieStop && here(has("stopped")) ? ["stopped"] : []),
    ...kept(TECHNICAL_SIGNS),
  ];
}

function articulations(
  part: PartToWrite,
  { note, tieStart, tieStop }: WrittenHead,
  { here, kept, later }: HeadSigns,
) {
  const nameOf = (sign: Articulation) =>
    ARTICULATION_ELEMENTS[
      sign === "spiccato" && canBounce(note) && part.isDotted(note.onsetTicks) ? "staccato" : sign
    ];
  // A breath comes after the note, every other sign belongs to its beginning.
  const own = note.articulations.filter((sign) =>
    !(sign === "breath" ? tieStart : tieStop) && here((n) => n.articulations.includes(sign))
  );
  return [
    ...[...own, ...later].map((sign) =>
      element(nameOf(sign), undefined, sign === "marcato" ? { type: "up" } : {})
    ),
    ...kept(ARTICULATION_SIGNS).map((name) => element(name)),
  ];
}
