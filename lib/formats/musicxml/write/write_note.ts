/** One `<note>`: a head of a chord, a rest, or a grace note. */
import type { Note } from "../../../score/model.ts";
import type { WrittenAccidental } from "./accidental_signs.ts";
import type { WrittenEvent, WrittenHead, WrittenVoice } from "./notate_part.ts";
import { headNotations, tupletEnds } from "./note_notations.ts";
import type { PartToWrite } from "./part_to_write.ts";
import { percussionDisplay } from "./percussion_display.ts";
import { furtherInstruments, xmlFurtherId, xmlInstrumentId } from "./write_part_list.ts";
import { element, elementAround, type XmlNode } from "./xml_text.ts";

/** Where a note stands. */
interface NotePlace {
  readonly voice: WrittenVoice;
  readonly barStart: number;
  readonly accidentals: ReadonlyMap<WrittenHead | Note, WrittenAccidental>;
}

/** The notes of a chord, or a rest, with the grace notes before it. */
export function eventNotes(part: PartToWrite, event: WrittenEvent, place: NotePlace): readonly XmlNode[] {
  const pause = takePause(part, event, place);
  const heads = event.heads.length > 0 ? event.heads : [undefined];
  return [
    ...graceNotes(part, event.graces, place),
    ...heads.map((head, index) =>
      noteElement(part, { event, head, isFirst: index === 0, pause: pause && index === 0, place })
    ),
  ];
}

/** Whether a pause stands over what begins here; one that the source prints is written once. */
function takePause(part: PartToWrite, event: WrittenEvent, { voice, barStart }: NotePlace): boolean {
  const key = `${voice.staff}|${barStart + event.from}`;
  const left = part.printedPauses.get(key) ?? 0;
  if (left > 0) part.printedPauses.set(key, left - 1);
  return left > 0 || part.pauses.has(`${barStart + event.from}:${barStart + event.to}`);
}

/** A head of an event, or its rest. */
interface NoteToWrite {
  readonly event: WrittenEvent;
  readonly head: WrittenHead | undefined;
  readonly isFirst: boolean;
  readonly pause: boolean;
  readonly place: NotePlace;
}

function noteElement(part: PartToWrite, { event, head, isFirst, pause, place }: NoteToWrite): XmlNode {
  const { voice, accidentals } = place;
  const note = head?.note;
  const accidental = head && accidentals.get(head);
  const isTied = head !== undefined && !note!.cue;
  return element("note", [
    (note?.cue || event.cue) && element("cue"),
    !isFirst && element("chord"),
    note ? pitch(part, note) : element("rest", undefined, event.wholeBar ? { measure: "yes" } : {}),
    element("duration", event.to - event.from),
    isTied && head.tieStop && element("tie", undefined, { type: "stop" }),
    isTied && head.tieStart && element("tie", undefined, { type: "start" }),
    note && instrument(part, note),
    element("voice", voice.voice),
    event.type !== "" && element("type", event.type),
    event.dots > 0 && element("dot"),
    event.dots > 1 && element("dot"),
    accidental && accidentalElement(accidental),
    timeModification(event),
    note && headShape(part, note),
    part.paper.staves > 1 && element("staff", voice.staff),
    ...(isFirst ? event.beam ?? [] : []).map((beam, i) => element("beam", beam, { number: i + 1 })),
    head
      ? headNotations(part, { head, event, isFirst, pause })
      : elementAround("notations", [...tupletEnds(event.tuplet), pause && element("fermata")]),
  ]);
}

function accidentalElement({ name, isCourtesy }: WrittenAccidental): XmlNode {
  return element("accidental", name, { cautionary: isCourtesy ? "yes" : undefined });
}

function timeModification({ paired, tuplet }: WrittenEvent): XmlNode | undefined {
  const ratio = paired ? { actual: 2, normal: 1, unitType: "" } : tuplet;
  return ratio && element("time-modification", [
    element("actual-notes", ratio.actual),
    element("normal-notes", ratio.normal),
    ratio.unitType !== "" && element("normal-type", ratio.unitType),
  ]);
}

/** Grace notes that stand one after another. */
export function graceNotes(part: PartToWrite, graces: readonly Note[], place: NotePlace): readonly XmlNode[] {
  const { voice, accidentals } = place;
  return graces.map((note, i) => {
    const accidental = accidentals.get(note);
    const head = { note, tieStart: false, tieStop: false, head: 0, begins: true };
    return element("note", [
      element("grace", undefined, { slash: note.notation?.graceSlash ? "yes" : undefined }),
      note.cue && element("cue"),
      i > 0 && note.notation?.graceChord && element("chord"),
      pitch(part, note),
      instrument(part, note),
      element("voice", voice.voice),
      element("type", note.notation?.graceValue ?? "eighth"),
      accidental && accidentalElement(accidental),
      headShape(part, note),
      part.paper.staves > 1 && element("staff", voice.staff),
      headNotations(part, { head, isFirst: true, pause: false }),
    ]);
  });
}

/** The octaves that MusicXML names (type `octave` of the schema). */
const [LOWEST_OCTAVE, HIGHEST_OCTAVE] = [0, 9];

function heldOctave(octave: number): number {
  return Math.min(HIGHEST_OCTAVE, Math.max(LOWEST_OCTAVE, octave));
}

function pitch(part: PartToWrite, note: Note): XmlNode {
  if (note.unpitched) {
    const display = note.notation?.display ?? note.spelling ?? displayOf(part, note);
    return element("unpitched", [
      element("display-step", display.step),
      element("display-octave", heldOctave(display.octave)),
    ]);
  }
  const { step, alter, octave } = part.spellings.get(note)!;
  const held = heldOctave(octave);
  // What MIDI keys have below C0 and above B9 (switches between sounds, as a rule) is altered by whole octaves.
  // Rounded to a hundredth of a cent, as XML takes no 1e-9 for a decimal number.
  const semitones = Number((alter + 12 * (octave - held)).toFixed(4));
  return element("pitch", [
    element("step", step),
    semitones !== 0 && element("alter", semitones),
    element("octave", held),
  ]);
}

function displayOf(part: PartToWrite, note: Note): ReturnType<typeof percussionDisplay> {
  return percussionDisplay(Math.round(note.soundingPitch), part.percussionKeys === 1);
}

/** Names the instrument of an unpitched stroke, and of any note where the part has several. */
function instrument({ id, paper: { part } }: PartToWrite, note: Note): XmlNode | undefined {
  if (note.unpitched) {
    const key = Math.round(note.soundingPitch);
    if (key < 0 || key > 127) return undefined;
    return element("instrument", undefined, { id: xmlInstrumentId(id, key) });
  }
  if (!part.instrumentChanges || furtherInstruments(part).size === 0) return undefined;
  const taken = part.instrumentChanges.findLast((c) => c.fromTicks <= note.onsetTicks);
  return element("instrument", undefined, {
    id: xmlFurtherId(id, part, taken?.instrument ?? part.instrument),
  });
}

function headShape(part: PartToWrite, note: Note): XmlNode | undefined {
  const shape = note.notation?.headShape;
  const isCross = note.unpitched && !part.paper.part.notation && displayOf(part, note).cross;
  return shape || isCross ? element("notehead", shape || "x") : undefined;
}
