/** The part list of a MusicXML file: groups, names, instruments, players, MIDI. */
import { midiAddresses } from "../../assemble/midi_addresses.ts";
import type { Part, Score } from "../../../score/model.ts";
import { instrumentOf, type PartOnPaper } from "./part_on_paper.ts";
import { partGroups, sourceGroups } from "./part_groups.ts";
import type { XmlLines } from "./xml_lines.ts";

/** Ids fit for XML, unique, the parts' own where they can be kept. */
export function xmlPartIds(papers: readonly PartOnPaper[]): readonly string[] {
  const own = papers.map((p) => p.part.id);
  const fit = own.every((id, i) => /^[A-Za-z_][\w.-]*$/.test(id) && own.indexOf(id) === i);
  return fit ? own : papers.map((_, i) => `P${i + 1}`);
}

/** General MIDI percussion keys a part uses, rising; none for pitched parts. */
export function percussionKeysOf(paper: PartOnPaper): readonly number[] {
  const used = new Set(paper.notes.filter((n) => n.unpitched).map((n) => Math.round(n.soundingPitch)));
  if (used.size === 0 && paper.unpitched && paper.instrument?.percussionKey) {
    used.add(paper.instrument.percussionKey);
  }
  return [...used].filter((key) => key >= 0 && key <= 127).sort((a, b) => a - b);
}

/** Id of the instrument that plays a note, by its percussion key where it has no pitch. */
export function xmlInstrumentId(partId: string, key?: number): string {
  return key === undefined ? `${partId}-I1` : `${partId}-K${key}`;
}

/** Instruments that a part takes up besides its own, each once, in order. */
export function furtherInstruments(part: Part): ReadonlyMap<string, string> {
  const found = new Map<string, string>();
  for (const { instrument, name } of part.instrumentChanges ?? []) {
    if (instrument !== part.instrument && !found.has(instrument)) found.set(instrument, name);
  }
  return found;
}

/** Id in the file of an instrument that a part takes up; the part's own id for its own instrument. */
export function xmlFurtherId(partId: string, part: Part, instrument: string): string {
  const place = [...furtherInstruments(part).keys()].indexOf(instrument);
  return place < 0 ? xmlInstrumentId(partId) : `${partId}-I${place + 2}`;
}

/** Catalogue sound ids of percussion keys are not known one by one; a part of one sound carries its own. */
function writeInstruments(xml: XmlLines, paper: PartOnPaper, id: string): readonly (number | undefined)[] {
  const { part, instrument } = paper;
  const keys = percussionKeysOf(paper);
  const hasPitched = paper.notes.some((n) => !n.unpitched) || keys.length === 0;
  const sounds: (number | undefined)[] = [...(hasPitched ? [undefined] : []), ...keys];
  for (const key of sounds) {
    xml.open("score-instrument", { id: xmlInstrumentId(id, key) });
    xml.leaf(
      "instrument-name",
      key === undefined || sounds.length === 1 ? instrument?.id ?? part.name : `${part.name} key ${key}`,
    );
    if (instrument) xml.leaf("instrument-sound", instrument.soundId);
    if (part.players === 1) xml.leaf("solo");
    else xml.leaf("ensemble", part.players);
    xml.close();
  }
  for (const [further, name] of furtherInstruments(part)) {
    xml.open("score-instrument", { id: xmlFurtherId(id, part, further) });
    xml.leaf("instrument-name", name || further);
    const known = instrumentOf(further);
    if (known) xml.leaf("instrument-sound", known.soundId);
    xml.close();
  }
  return sounds;
}

/** Writes the part list. */
export function writePartList(
  xml: XmlLines,
  papers: readonly PartOnPaper[],
  score: Pick<Score, "parts" | "partGroups">,
): void {
  const ids = xmlPartIds(papers);
  const addresses = midiAddresses(papers.map((p) => p.unpitched));
  const groups = sourceGroups(score) ?? partGroups(
    papers.map((p, i) => ({
      family: p.instrument?.family ?? `none ${i}`,
      kind: p.instrument?.kind ?? `none ${i}`,
    })),
  );
  xml.open("part-list");
  papers.forEach((paper, i) => {
    groups.forEach((group, g) => {
      if (group.from !== i) return;
      xml.open("part-group", { type: "start", number: g + 1 });
      if (group.name !== undefined) xml.leaf("group-name", group.name);
      xml.leaf("group-symbol", group.symbol);
      xml.leaf("group-barline", "yes");
      xml.close();
    });
    const id = ids[i]!;
    const { port, channel } = addresses[i]!;
    xml.open("score-part", { id });
    xml.leaf("part-name", paper.part.name);
    const sounds = writeInstruments(xml, paper, id);
    for (const key of sounds) {
      const instrumentId = xmlInstrumentId(id, key);
      if (port > 0) xml.leaf("midi-device", undefined, { id: instrumentId, port: Math.min(16, port + 1) });
      xml.open("midi-instrument", { id: instrumentId });
      xml.leaf("midi-channel", channel + 1);
      const program = paper.instrument?.midiProgram;
      if (key === undefined && typeof program === "number") xml.leaf("midi-program", program + 1);
      if (key !== undefined) xml.leaf("midi-unpitched", key + 1);
      xml.close();
    }
    for (const further of furtherInstruments(paper.part).keys()) {
      const instrumentId = xmlFurtherId(id, paper.part, further);
      if (port > 0) xml.leaf("midi-device", undefined, { id: instrumentId, port: Math.min(16, port + 1) });
      xml.open("midi-instrument", { id: instrumentId });
      xml.leaf("midi-channel", channel + 1);
      const program = instrumentOf(further)?.midiProgram;
      if (typeof program === "number") xml.leaf("midi-program", program + 1);
      xml.close();
    }
    xml.close();
    for (let g = groups.length - 1; g >= 0; g--) {
      if (groups[g]!.to === i) xml.leaf("part-group", undefined, { type: "stop", number: g + 1 });
    }
  });
  xml.close();
}
