/**
 * What a MusicXML text says to the eye, as plain lines that can be counted and compared. It shares no code with the
 * reader or the writer, so that a fault common to both cannot hide.
 */
import { SaxesParser } from "saxes";

/** An element with all that is in it. */
interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: Element[];
  text: string;
}

/** The whole text as a tree. */
function treeOf(xml: string): Element {
  const root: Element = { name: "", attributes: {}, children: [], text: "" };
  const open = [root];
  const parser = new SaxesParser({ position: false });
  parser.on("opentag", (tag) => {
    const element: Element = {
      name: tag.name,
      attributes: tag.attributes as Record<string, string>,
      children: [],
      text: "",
    };
    open.at(-1)!.children.push(element);
    open.push(element);
  });
  parser.on("text", (text) => open.at(-1)!.text += text);
  parser.on("closetag", () => open.pop());
  parser.write(xml).close();
  return root.children[0]!;
}

const child = (element: Element, name: string) => element.children.find((c) => c.name === name);
const all = (element: Element, name: string) => element.children.filter((c) => c.name === name);
const textIn = (element: Element, name: string) => child(element, name)?.text.trim();
/** Without the signs of music fonts, which stand in words for note values and have no letters. */
const oneLine = (text: string) => text.replace(/\s+/g, " ").trim();

/** One head, rest or grace note, with its place. */
interface Head {
  readonly barIndex: number;
  /** Quarters from the start of the bar, and from the start of the part. */
  readonly at: number;
  readonly time: number;
  readonly quarters: number;
  readonly staff: string;
  readonly voice: string;
  /** Step, alteration, octave; empty for a rest. */
  readonly pitch: string;
  readonly grace: boolean;
  /** Which of the grace notes or chords at its place, from 0. */
  readonly rank: number;
  readonly chord: boolean;
  readonly element: Element;
}

/** Facts by subject; every line names part, bar and quarter. */
export type XmlFacts = ReadonlyMap<string, readonly string[]>;

const shown = (quarters: number) => String(Math.round(quarters * 1e4) / 1e4);

/** Names under which the same sign may stand. */
const SIGN_NAMES: Readonly<Record<string, string>> = { "shake": "trill-mark" };

/**
 * Reads the facts of a MusicXML text.
 *
 * @param xml a partwise score
 * @returns lines by subject
 */
export function musicXmlFacts(xml: string): XmlFacts {
  const facts = new Map<string, string[]>();
  const say = (subject: string, line: string) => {
    const list = facts.get(subject);
    if (list) list.push(line);
    else facts.set(subject, [line]);
  };
  all(treeOf(xml), "part").forEach((part, p) => partFacts(part, p, say));
  // A bracket is printed once over the whole score, in however many parts the file has it.
  const brackets = facts.get("endings");
  if (brackets) facts.set("endings", [...new Set(brackets)]);
  return facts;
}

function partFacts(part: Element, p: number, say: (subject: string, line: string) => void): void {
  let divisions = 1;
  let barStart = 0;
  const heads: Head[] = [];
  all(part, "measure").forEach((measure, barIndex) => {
    let cursor = 0;
    let reach = 0;
    let last = 0;
    let rank = 0;
    const place = (quarters: number) => `P${p} M${barIndex} ${shown(quarters)}`;
    for (const element of measure.children) {
      const duration = Number(textIn(element, "duration") ?? 0) / divisions;
      const offset = Number(textIn(element, "offset") ?? 0) / divisions;
      const here = cursor + offset;
      switch (element.name) {
        case "backup":
          cursor -= duration;
          break;
        case "forward":
          cursor += duration;
          break;
        case "attributes": {
          divisions = Number(textIn(element, "divisions") ?? divisions);
          attributeFacts(element, place(cursor), say);
          break;
        }
        case "direction":
          directionFacts(element, place(here), say);
          break;
        case "harmony": {
          const root = child(element, "root");
          say(
            "chord symbols",
            `${place(here)} ${root ? textIn(root, "root-step") : ""}${textIn(element, "kind")}`,
          );
          break;
        }
        case "barline":
          for (const sign of element.children) {
            if (sign.name === "repeat") say("repeats", `P${p} M${barIndex} ${sign.attributes["direction"]}`);
            if (sign.name === "ending") {
              const type = sign.attributes["type"] === "start" ? "start" : "stop";
              say("endings", `M${barIndex} ${sign.attributes["number"]} ${type}`);
            }
            if (["segno", "coda", "fermata"].includes(sign.name)) {
              say("jumps", `P${p} M${barIndex} ${sign.name}`);
            }
            if (sign.name === "bar-style" && sign.text === "light-light") {
              say("double bars", `P${p} M${barIndex}`);
            }
          }
          break;
        case "note": {
          const chord = child(element, "chord") !== undefined;
          const grace = child(element, "grace") !== undefined;
          const at = chord ? last : cursor;
          if (!chord) rank = grace && heads.at(-1)?.grace && heads.at(-1)!.at === at ? rank + 1 : 0;
          last = at;
          const pitch = child(element, "pitch");
          const unpitched = child(element, "unpitched");
          heads.push({
            barIndex,
            at,
            time: barStart + at,
            quarters: grace ? 0 : duration,
            staff: textIn(element, "staff") ?? "1",
            voice: textIn(element, "voice") ?? "1",
            pitch: pitch
              ? `${textIn(pitch, "step")}${Number(textIn(pitch, "alter") ?? 0)} ${textIn(pitch, "octave")}`
              : unpitched
              ? `x ${textIn(unpitched, "display-step")} ${textIn(unpitched, "display-octave")}`
              : "",
            grace,
            rank,
            chord,
            element,
          });
          if (!chord && !grace) cursor += duration;
          reach = Math.max(reach, cursor);
          break;
        }
      }
    }
    barStart += reach;
  });
  headFacts(heads, p, say);
  signFacts(heads, p, say);
  slurFacts(heads, p, say);
}

function attributeFacts(element: Element, place: string, say: (subject: string, line: string) => void): void {
  for (const c of element.children) {
    const staff = c.attributes["number"] ?? "1";
    const leaves = (names: readonly string[]) => names.map((n) => textIn(c, n) ?? "").join(" ");
    if (c.name === "clef") {
      say("clefs", `${place} ${staff} ${leaves(["sign", "line", "clef-octave-change"])}`.trim());
    }
    if (c.name === "key") say("keys", `${place} ${textIn(c, "fifths")}`);
    if (c.name === "time") {
      say("metres", `${place} ${leaves(["beats", "beat-type"])} ${c.attributes["symbol"] ?? ""}`.trim());
    }
    if (c.name === "transpose") {
      say("transpositions", `${place} ${leaves(["diatonic", "chromatic", "octave-change"])}`.trim());
    }
    if (c.name === "staves") say("staves", `${place} ${c.text.trim()}`);
  }
}

const BRACKETS = /\s*[[(]\s*[\])]?$/;

function directionFacts(element: Element, place: string, say: (subject: string, line: string) => void): void {
  const staff = textIn(element, "staff") ?? "1";
  const signs = all(element, "direction-type").flatMap((t) => t.children);
  const words = oneLine(signs.filter((s) => s.name === "words").map((s) => s.text).join(" "));
  // Brackets round a metronome mark belong to the mark, whichever way they are written.
  const bracketed = signs.some((s) => s.name === "metronome" && s.attributes["parentheses"] === "yes") ||
    BRACKETS.test(words);
  const said = signs.some((s) => s.name === "metronome") ? words.replace(BRACKETS, "") : words;
  if (said !== "") say("words", `${place} ${staff} ${said}`);
  for (const sign of all(element, "direction-type").flatMap((t) => t.children)) {
    switch (sign.name) {
      case "words":
        break;
      case "dynamics":
        say("dynamics", `${place} ${staff} ${sign.children.map((c) => oneLine(c.text) || c.name).join(" ")}`);
        break;
      case "wedge":
        say("hairpins", `${place} ${staff} ${sign.attributes["type"]}`);
        break;
      case "metronome":
        say(
          "metronome marks",
          `${place} ${textIn(sign, "beat-unit")}${".".repeat(all(sign, "beat-unit-dot").length)} = ${
            textIn(sign, "per-minute")
          }${bracketed ? " in brackets" : ""}`,
        );
        break;
      case "rehearsal":
        say("rehearsal marks", `${place} ${oneLine(sign.text)}`);
        break;
      default:
        say(`direction ${sign.name}`, `${place} ${staff} ${sign.attributes["type"] ?? ""}`);
    }
  }
}

const isNote = (head: Head) => head.pitch !== "";
const placeOf = (p: number, h: Head) =>
  `P${p} M${h.barIndex} ${shown(h.at)}${h.grace ? ` grace ${h.rank}` : ""} staff ${h.staff}`;

/** Heads, what they are joined to, grace notes, voices, tuplets. */
function headFacts(heads: readonly Head[], p: number, say: (subject: string, line: string) => void): void {
  const open: {
    pitch: string;
    end: number;
    voice: string;
    line: string;
    quarters: number;
    heads: string[];
  }[] = [];
  for (const h of heads) {
    const shape = () => `${textIn(h.element, "type") ?? ""}${".".repeat(all(h.element, "dot").length)}`;
    const ratio = child(h.element, "time-modification");
    const tuplet = ratio ? ` ${textIn(ratio, "actual-notes")}:${textIn(ratio, "normal-notes")}` : "";
    if (!isNote(h)) {
      const hidden = h.element.attributes["print-object"] === "no";
      if (!hidden && tuplet) {
        say("rests in tuplets", `${placeOf(p, h)} ${shown(h.quarters)} ${shape()}${tuplet}`);
      }
      continue;
    }
    const cue = child(h.element, "cue") ? " cue" : "";
    const slash = child(h.element, "grace")?.attributes["slash"] === "yes" ? " slashed" : "";
    if (h.grace) {
      say("grace notes", `${placeOf(p, h)} ${h.pitch}${cue}`);
      say("grace values", `${placeOf(p, h)} ${h.pitch} ${shape()}${slash}`);
      continue;
    }
    say("heads", `${placeOf(p, h)} ${h.pitch} ${shown(h.quarters)}${cue}`);
    say("values", `${placeOf(p, h)} ${h.pitch} ${shape()}${tuplet}`);
    if (child(h.element, "notehead")) say("head shapes", `${placeOf(p, h)} ${textIn(h.element, "notehead")}`);
    if (!h.chord) {
      for (const t of notations(h, "tuplet")) {
        say(
          "tuplet brackets",
          `P${p} M${h.barIndex} ${shown(t.attributes["type"] === "stop" ? h.at : h.at)} ${
            t.attributes["type"]
          }`,
        );
      }
    }
    const ties = all(h.element, "tie").map((t) => t.attributes["type"]);
    let joined = ties.includes("stop")
      ? open.find((o) => o.pitch === h.pitch && o.voice === h.voice && Math.abs(o.end - h.time) < 1e-6) ??
        open.find((o) => o.pitch === h.pitch && Math.abs(o.end - h.time) < 1e-6)
      : undefined;
    if (joined) {
      joined.end += h.quarters;
      joined.quarters += h.quarters;
      open.splice(open.indexOf(joined), 1);
    } else {joined = {
        pitch: h.pitch,
        end: h.time + h.quarters,
        voice: h.voice,
        line: `${placeOf(p, h)} ${h.pitch}`,
        quarters: h.quarters,
        heads: [],
      };}
    if (ties.includes("start")) open.push(joined);
    else say("notes", `${joined.line} ${shown(joined.quarters)}${cue}`);
  }
  for (const left of open) say("notes", `${left.line} ${shown(left.quarters)}`);
  // Voices are numbered as anyone likes: what is compared is which notes of a bar and stave stand in one of them.
  const voices = new Map<string, string[]>();
  for (const h of heads) {
    if (!isNote(h)) continue;
    const key = `P${p} M${h.barIndex} voice ${h.voice}`;
    voices.set(key, [...voices.get(key) ?? [], `${shown(h.at)}${h.grace ? "g" : ""} ${h.staff} ${h.pitch}`]);
  }
  for (const [key, notes] of voices) {
    say("voices", `${key.replace(/ voice .*/, "")}: ${notes.sort().join(", ")}`);
  }
}

function notations(h: Head, name: string): readonly Element[] {
  return all(h.element, "notations").flatMap((n) => all(n, name));
}

/** Signs on notes, by chord: a sign stands on one head and is meant for all. */
function signFacts(heads: readonly Head[], p: number, say: (subject: string, line: string) => void): void {
  const said = new Set<string>();
  const once = (subject: string, line: string) => {
    if (!said.has(`${subject}${line}`)) say(subject, line);
    said.add(`${subject}${line}`);
  };
  for (const h of heads) {
    const place = placeOf(p, h);
    for (const group of ["articulations", "ornaments", "technical"]) {
      for (const sign of notations(h, group).flatMap((g) => g.children)) {
        if (sign.name === "accidental-mark") continue;
        const name = SIGN_NAMES[sign.name] ?? sign.name;
        const more = name === "tremolo"
          ? ` ${sign.attributes["type"] ?? "single"} ${sign.text.trim()}`
          : name === "wavy-line"
          ? ` ${sign.attributes["type"]}`
          : "";
        once(name === "tremolo" ? "tremolos" : group, `${place} ${name}${more}`);
      }
    }
    for (const name of ["fermata", "arpeggiate", "glissando", "slide"]) {
      for (const sign of notations(h, name)) {
        once(
          name === "fermata" ? "pauses" : name,
          `${place} ${sign.attributes["type"] ?? ""}`.replace(" upright", "").trim(),
        );
      }
    }
    for (const sign of notations(h, "dynamics")) {
      say(
        "dynamics",
        `P${p} M${h.barIndex} ${shown(h.at)} ${h.staff} ${
          sign.children.map((c) => oneLine(c.text) || c.name).join(" ")
        }`,
      );
    }
  }
}

/** Slurs, from note to note. */
function slurFacts(heads: readonly Head[], p: number, say: (subject: string, line: string) => void): void {
  interface End {
    readonly type: string;
    readonly number: string;
    readonly head: Head;
    readonly order: number;
  }
  const ends: End[] = heads.flatMap((head, order) =>
    notations(head, "slur").map((s) => ({
      type: s.attributes["type"] ?? "",
      number: s.attributes["number"] ?? "1",
      head,
      order,
    }))
  );
  const within = (h: Head) => (h.grace ? 0 : 1);
  ends.sort((a, b) =>
    a.head.time - b.head.time || within(a.head) - within(b.head) ||
    (a.head === b.head ? (a.type === b.type ? 0 : a.type === "stop" ? -1 : 1) : a.order - b.order)
  );
  const open: End[] = [];
  const spot = (h: Head) =>
    `M${h.barIndex} ${shown(h.at)}${h.grace ? ` grace ${h.rank}` : ""} staff ${h.staff}`;
  for (const end of ends) {
    if (end.type === "start") open.push(end);
    if (end.type !== "stop") continue;
    const same = open.filter((o) => o.number === end.number);
    const start = same.findLast((o) => o.head.voice === end.head.voice) ?? same.at(-1);
    if (!start) {
      say("loose slur ends", `P${p} ${spot(end.head)} stop`);
      continue;
    }
    open.splice(open.indexOf(start), 1);
    say("slurs", `P${p} ${spot(start.head)} to ${spot(end.head)}`);
  }
  for (const end of open) say("loose slur ends", `P${p} ${spot(end.head)} start`);
}

/** What one text says and the other does not. */
export interface FactDifference {
  /** What it is about. */
  readonly subject: string;
  /** Lines of the first text that the second lacks. */
  readonly lost: readonly string[];
  /** Lines of the second text that the first has not. */
  readonly added: readonly string[];
}

/**
 * Compares what two texts say.
 *
 * @param a facts of the source
 * @param b facts of what was written
 * @returns the subjects in which they differ
 */
export function factDifferences(a: XmlFacts, b: XmlFacts): readonly FactDifference[] {
  const without = (from: readonly string[], taken: readonly string[]) => {
    const counts = new Map<string, number>();
    for (const line of taken) counts.set(line, (counts.get(line) ?? 0) + 1);
    return from.filter((line) => {
      const left = counts.get(line) ?? 0;
      counts.set(line, left - 1);
      return left <= 0;
    });
  };
  return [...new Set([...a.keys(), ...b.keys()])].sort().flatMap((subject) => {
    const [x, y] = [a.get(subject) ?? [], b.get(subject) ?? []];
    if (x.length === y.length && x.every((line, i) => line === y[i])) return [];
    const difference = { subject, lost: without(x, y), added: without(y, x) };
    return difference.lost.length + difference.added.length > 0 ? [difference] : [];
  });
}
