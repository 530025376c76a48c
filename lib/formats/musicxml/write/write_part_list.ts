/** The part list of a MusicXML file: groups, names, instruments, players, MIDI. */
import { midiAddresses } from "../../assemble/midi_addresses.ts";
import { instrumentOf } from "../../../instruments/instrument_of.ts";
import { type PrintedName, printedName, withoutKey } from "../../../instruments/names/printed_name.ts";
import type { Part, Score } from "../../../score/model.ts";
import type { PartOnPaper } from "./part_on_paper.ts";
import { partGroups, sourceGroups } from "./part_groups.ts";
import { element, type XmlNode } from "./xml_text.ts";

/** Ids fit for XML, unique, the parts' own where they can be kept. */
export function xmlPartIds(papers: readonly PartOnPaper[]): readonly string[] {
  const own = papers.map((p) => p.part.id);
  const fit = own.every((id, i) => /^[A-Za-z_][\w.-]*$/.test(id) && own.indexOf(id) === i);
  return fit ? own : papers.map((_, i) => `P${i + 1}`);
}

/** General MIDI percussion keys a part uses, rising; none for pitched parts. */
function percussionKeysOf(paper: PartOnPaper): readonly number[] {
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

/** Instruments that a part takes up besides its own, each once, in order, with the names they are written under. */
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

/** What the list says of one instrument of a part. */
interface ListedInstrument {
  readonly id: string;
  readonly name: string;
  readonly soundId: string | undefined;
  /** Whether it is the part's own, of which the list says how many play it. */
  readonly isOwn: boolean;
  readonly program: number | null | undefined;
  readonly key: number | undefined;
}

/** Catalogue sound ids of percussion keys are not known one by one; a part of one sound carries its own. */
function instrumentsOf(paper: PartOnPaper, id: string): readonly ListedInstrument[] {
  const { part, instrument } = paper;
  const keys = percussionKeysOf(paper);
  const hasPitched = paper.notes.some((n) => !n.unpitched) || keys.length === 0;
  const sounds: (number | undefined)[] = [...(hasPitched ? [undefined] : []), ...keys];
  const own = sounds.map((key): ListedInstrument => ({
    id: xmlInstrumentId(id, key),
    name: key === undefined || sounds.length === 1 ? instrument?.id ?? part.name : `${part.name} key ${key}`,
    soundId: instrument?.soundId,
    isOwn: true,
    program: key === undefined ? instrument?.midiProgram : undefined,
    key,
  }));
  const further = [...furtherInstruments(part)].map(([taken, name]): ListedInstrument => ({
    id: xmlFurtherId(id, part, taken),
    name: name || taken,
    soundId: instrumentOf(taken)?.soundId,
    isOwn: false,
    program: instrumentOf(taken)?.midiProgram,
    key: undefined,
  }));
  return [...own, ...further];
}

/** The name of a part as its page has it, or else as custom prints it. */
export function nameOnPaper({ part, instrument }: Pick<PartOnPaper, "part" | "instrument">): PrintedName {
  const { name, notation, transposeSemitones } = part;
  if (!notation) return printedName({ name, instrument, transposeSemitones });
  const full = notation.printedName ?? name;
  return { full, short: undefined, plain: full };
}

/** How parts are named in the margin. */
interface NamesOnPaper {
  /** Whether it is a player's part that stands alone. */
  readonly isAlone: boolean;
  /** Whether parts whose page gives them no short name are given one. */
  readonly shortNames?: boolean;
}

/** A key before a name, as in `Bb Clarinet 1`. */
const KEY_BEFORE = /^[A-G](b|♭|-flat)? (?=\p{Lu})/u;

/** A short form of a name a page has: the trade's, without the key; the name itself where there is none. */
function shortOf(full: string, { part, instrument }: PartOnPaper): string {
  const name = part.name.replace(KEY_BEFORE, "");
  const { short } = printedName({ name, instrument, transposeSemitones: part.transposeSemitones });
  return short === undefined ? full : withoutKey(short);
}

function scorePart(
  paper: PartOnPaper,
  id: string,
  { port, channel, isAlone, shortNames }: NamesOnPaper & { readonly port: number; readonly channel: number },
): XmlNode {
  const { name, players } = paper.part;
  const { full, short = shortNames ? shortOf(full, paper) : undefined } = nameOnPaper(paper);
  const instruments = instrumentsOf(paper, id);
  const playing = players === 1 ? element("solo") : element("ensemble", players);
  return element("score-part", [
    element("part-name", full),
    // At the head of every line of a player's own part it would be in the way.
    short !== undefined && !isAlone && element("part-abbreviation", short),
    ...instruments.map((i) =>
      element("score-instrument", [
        element("instrument-name", i.name),
        i.soundId !== undefined && element("instrument-sound", i.soundId),
        i.isOwn && playing,
      ], { id: i.id })
    ),
    // Whose line it is, where the page says more than its name.
    full !== name && withoutKey(full) === name &&
    element("player", [element("player-name", name)], { id: `${id}-N` }),
    ...instruments.flatMap(({ id, program, key }) => [
      port > 0 && element("midi-device", undefined, { id, port: Math.min(16, port + 1) }),
      element("midi-instrument", [
        element("midi-channel", channel + 1),
        typeof program === "number" && element("midi-program", program + 1),
        key !== undefined && element("midi-unpitched", key + 1),
      ], { id }),
    ]),
  ], { id });
}

/** The part list, of a whole score or of a player's part that stands alone. */
export function partList(
  papers: readonly PartOnPaper[],
  score: Pick<Score, "parts" | "partGroups">,
  { isAlone, shortNames = false }: NamesOnPaper,
): XmlNode {
  const ids = xmlPartIds(papers);
  const addresses = midiAddresses(papers.map((p) => p.unpitched));
  const own = papers.map(({ instrument }, i) => instrument ?? { family: `none ${i}`, kind: `none ${i}` });
  const groups = (sourceGroups(score) ?? partGroups(own)).map((group, g) => ({ ...group, number: g + 1 }));
  return element(
    "part-list",
    papers.flatMap((paper, i) => [
      ...groups.filter((group) => group.from === i).map(({ name, symbol, number }) =>
        element("part-group", [
          name !== undefined && element("group-name", name),
          element("group-symbol", symbol),
          element("group-barline", "yes"),
        ], { type: "start", number })
      ),
      scorePart(paper, ids[i]!, { ...addresses[i]!, isAlone, shortNames }),
      ...groups.filter((group) => group.to === i).toReversed()
        .map(({ number }) => element("part-group", undefined, { type: "stop", number })),
    ]),
  );
}
