import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { get as chordCalled } from "@tonaljs/chord";
import { chroma } from "@tonaljs/note";
import { InputError } from "../../../../lib/base/errors.ts";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import type { Note, Score } from "../../../../lib/score/model.ts";
import { playingOrder } from "../../../../lib/score/playing_order.ts";
import { secondsOf } from "../../../../lib/score/time.ts";

// Every expected value below is worked out by hand from the MusicXML 4.0 definitions of the elements used.

interface NoteText {
  readonly chord?: true;
  readonly voice?: number;
  readonly staff?: number;
  readonly alter?: number;
  readonly tie?: readonly ("start" | "stop")[];
  readonly notations?: string;
  readonly extra?: string;
}

/** `<note>` of a pitch such as `G4`. */
function note(pitch: string, duration: number, more: NoteText = {}): string {
  const alter = more.alter === undefined ? "" : `<alter>${more.alter}</alter>`;
  return `<note>${more.extra ?? ""}${more.chord ? "<chord/>" : ""}
    <pitch><step>${pitch[0]}</step>${alter}<octave>${pitch.slice(1)}</octave></pitch>
    <duration>${duration}</duration>${(more.tie ?? []).map((t) => `<tie type="${t}"/>`).join("")}
    <voice>${more.voice ?? 1}</voice><staff>${more.staff ?? 1}</staff>
    ${more.notations ? `<notations>${more.notations}</notations>` : ""}</note>`;
}

const grace = (pitch: string, notations = "") =>
  `<note><grace/><pitch><step>${pitch[0]}</step><octave>${pitch[1]}</octave></pitch><voice>1</voice>${
    notations && `<notations>${notations}</notations>`
  }</note>`;
const rest = (duration: number) => `<note><rest/><duration>${duration}</duration></note>`;
const backup = (duration: number) => `<backup><duration>${duration}</duration></backup>`;
const direction = (type: string, more = "") =>
  `<direction><direction-type>${type}</direction-type>${more}</direction>`;
const dynamics = (mark: string) => direction(`<dynamics><${mark}/></dynamics>`);
const words = (text: string, more = "") => direction(`<words>${text}</words>`, more);
const wedge = (type: string) => direction(`<wedge type="${type}"/>`);
const slur = (type: string, number = 1) => `<slur type="${type}" number="${number}"/>`;
const time = (beats: number | string, unit: number) =>
  `<time><beats>${beats}</beats><beat-type>${unit}</beat-type></time>`;

/** A score of one part with divisions of 4 to a quarter. */
function score(
  bars: readonly string[],
  options: { readonly attributes?: string; readonly list?: string } = {},
): Score {
  const list = options.list ?? `<score-part id="P1"><part-name>Violin</part-name></score-part>`;
  return readMusicXml(`<?xml version="1.0"?>
    <score-partwise version="4.0"><part-list>${list}</part-list><part id="P1">${
    bars.map((bar, i) =>
      `<measure number="${i + 1}">${
        i === 0 ? `<attributes><divisions>4</divisions>${options.attributes ?? ""}</attributes>` : ""
      }${bar}</measure>`
    ).join("")
  }</part></score-partwise>`);
}

const quarters = (s: Score) =>
  s.notes.map((n) => [n.onsetTicks / s.ticksPerQuarter, n.durationTicks / s.ticksPerQuarter]);
const pitches = (s: Score) => s.notes.map((n) => n.soundingPitch);
const pick = <K extends keyof Note>(s: Score, key: K): Note[K][] => s.notes.map((n) => n[key]);
const noticed = (s: Score) => Object.fromEntries(s.notices.map((n) => [n.what, n.count]));

Deno.test("onsets, durations, chords, rests and two voices fall where backup and forward put them", () => {
  const s = score([
    note("C4", 4) + note("E4", 4, { chord: true }) + rest(4) + note("G4", 8) + backup(8) +
    note("C3", 8, { voice: 2 }),
    rest(4) + `<forward><duration>8</duration></forward>` + note("A4", 4),
  ]);
  assertEquals(pitches(s), [60, 64, 48, 67, 69]);
  assertEquals(quarters(s), [[0, 1], [0, 1], [2, 2], [2, 2], [7, 1]]);
  assertEquals(pick(s, "voice"), [1, 1, 2, 1, 1]);
});

Deno.test("ties over a bar line and through a chord make one note, with all its note heads counted", () => {
  const s = score([
    note("C4", 16, { tie: ["start"] }) + note("E4", 16, { chord: true, tie: ["start"] }),
    note("C4", 16, { tie: ["stop", "start"] }) + note("E4", 8, { chord: true }),
    note("C4", 4, { tie: ["stop"] }) + note("C4", 4),
  ]);
  assertEquals(quarters(s), [[0, 9], [0, 4], [4, 2], [9, 1]]);
  assertEquals(pick(s, "noteheads"), [3, 1, 1, 1]);
  assertEquals(noticed(s)["tie with one end only: the note is kept as it is"], 1);
});

Deno.test("a tie prefers its own voice where both voices hold the same pitch", () => {
  const bar = (tie: "start" | "stop") =>
    note("C4", 16, { tie: [tie] }) + backup(16) + note("C4", 16, { voice: 2 });
  const s = score([bar("start"), bar("stop")]);
  assertEquals(s.notes.filter((n) => n.voice === 1).map((n) => n.noteheads), [2]);
  assertEquals(s.notes.filter((n) => n.voice === 2).map((n) => n.noteheads), [1, 1]);
});

Deno.test("the grid is the least common multiple of all divisions, so triplets and quintuplets are exact", () => {
  const xml = (divisions: number, count: number) =>
    `<measure><attributes><divisions>${divisions}</divisions></attributes>${
      Array.from({ length: count }, () => note("C5", 1)).join("")
    }</measure>`;
  const s = readMusicXml(
    `<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>
    <part id="P1">${xml(3, 6)}${xml(5, 10)}${xml(2, 4)}</part></score-partwise>`,
  );
  assertEquals(s.ticksPerQuarter, 30);
  assertEquals(s.bars.map((b) => b.startTicks), [0, 60, 120]);
  assert(s.notes.every((n) => Number.isInteger(n.onsetTicks) && Number.isInteger(n.durationTicks)));
  assertEquals(s.notes.slice(6, 9).map((n) => n.onsetTicks), [60, 66, 72]);
});

Deno.test("decimal divisions are exact, and divisions that would need an absurd grid are rounded with a notice", () => {
  const bar = (divisions: string, duration: string) =>
    `<measure><attributes><divisions>${divisions}</divisions></attributes><note><pitch><step>C</step><octave>4</octave></pitch><duration>${duration}</duration></note></measure>`;
  const read = (body: string) =>
    readMusicXml(
      `<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list><part id="P1">${body}</part></score-partwise>`,
    );
  const decimal = read(bar("0.5", "1") + bar("1", "0.5"));
  assertEquals(quarters(decimal), [[0, 2], [2, 0.5]]);
  const absurd = read(bar("9999991", "9999991") + bar("7", "7"));
  assertEquals(quarters(absurd).map(([, length]) => Math.round(length!)), [1, 1]);
  assert(absurd.notices.some((n) => n.what.includes("rounded")));
});

Deno.test("grace notes have no length, keep the time of what follows, and cue notes are told apart", () => {
  const s = score([grace("D5") + note("C5", 8) + note("E5", 8, { extra: "<cue/>" })]);
  assertEquals(s.notes.map((n) => [n.soundingPitch, n.onsetTicks, n.durationTicks, n.grace, n.cue]), [
    [74, 0, 0, true, false],
    [72, 0, 8, false, false],
    [76, 8, 8, false, true],
  ]);
});

Deno.test("transposition gives sounding pitch, spelling and key, octave and change in mid part included", () => {
  const inBflat = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>";
  const s = score([
    note("C4", 16),
    `<attributes><key><fifths>-1</fifths></key><transpose><diatonic>-2</diatonic><chromatic>-3</chromatic><octave-change>-1</octave-change></transpose></attributes>${
      note("C4", 16)
    }`,
  ], { attributes: `<key><fifths>2</fifths></key>${inBflat}` });
  assertEquals(pitches(s), [58, 45]);
  assertEquals(pick(s, "spelling"), [{ step: "B", alter: -1, octave: 3 }, {
    step: "A",
    alter: 0,
    octave: 2,
  }]);
  // D major for a B flat clarinet sounds C major; F major for an A clarinet sounds D major.
  assertEquals(s.bars.map((b) => b.keyFifths), [0, 2]);
  assertEquals([s.parts[0]!.transposeSemitones, s.parts[0]!.transposeSteps], [-2, -1]);
});

Deno.test("an octave line changes what is printed, not what sounds", () => {
  const s = score([direction(`<octave-shift type="down" size="8"/>`) + note("C6", 16)]);
  assertEquals(pitches(s), [84]);
});

Deno.test("a pickup, a bar longer than its metre and an empty bar have their real lengths", () => {
  const s = score([note("C4", 4), note("D4", 40), ""], { attributes: time(3, 4) });
  assertEquals(s.bars.map((b) => b.durationTicks / s.ticksPerQuarter), [1, 10, 3]);
  assertEquals(s.bars.map((b) => [b.beats, b.beatUnit]), [[3, 4], [3, 4], [3, 4]]);
});

Deno.test("added and alternating time signatures are summed, and eighths get a grid that holds them", () => {
  const s = readMusicXml(
    `<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>
    <part id="P1"><measure><attributes><divisions>1</divisions>${time("3+2", 8)}</attributes></measure>
    <measure><attributes><time><beats>3</beats><beat-type>8</beat-type><beats>1</beats><beat-type>4</beat-type></time></attributes>${
      note("C4", 2)
    }</measure></part></score-partwise>`,
  );
  assertEquals(s.bars.map((b) => [b.beats, b.beatUnit]), [[5, 8], [5, 8]]);
  assertEquals(s.bars[0]!.durationTicks / s.ticksPerQuarter, 2.5);
});

Deno.test("where one part overfills a bar that the others fill, the bar keeps their length, with a notice", () => {
  const part = (id: string, bars: string[]) =>
    `<part id="${id}">${
      bars.map((b, i) =>
        `<measure number="${i + 1}">${
          i === 0 ? "<attributes><divisions>4</divisions></attributes>" : ""
        }${b}</measure>`
      )
        .join("")
    }</part>`;
  const s = readMusicXml(
    `<score-partwise><part-list>${
      ["A", "B", "C"].map((id) => `<score-part id="${id}"><part-name>Viola ${id}</part-name></score-part>`)
        .join("")
    }</part-list>${part("A", [note("C4", 16), note("C4", 16)])}${
      part("B", [note("E4", 16), note("E4", 16)])
    }${part("C", [note("G4", 24), note("G4", 16)])}</score-partwise>`,
  );
  assertEquals(s.bars.map((b) => b.startTicks), [0, 16]);
  assert(s.notices.some((n) => n.what.startsWith("one part holds more than its bar") && n.bar === "1"));
});

Deno.test("what one part holds beyond the last bar makes that bar longer: no note stands outside the score", () => {
  const bar = (inside: string) =>
    `<measure number="1"><attributes><divisions>4</divisions>${time(4, 4)}</attributes>${inside}</measure>`;
  const parts = [note("C4", 16) + note("D4", 16) + note("E4", 8), note("C4", 16), note("C4", 16)];
  const s = readMusicXml(
    `<score-partwise><part-list/>${
      parts.map((inside, i) => `<part id="P${i}">${bar(inside)}</part>`).join("")
    }</score-partwise>`,
  );
  assertEquals(s.bars.map((b) => b.durationTicks), [40]);
  assert(s.notices.some((n) => n.what === "one part holds more than the last bar: the bar is made longer"));
});

Deno.test("a note of a chord that outlasts the chord makes the bar as long as it: no note stands outside the score", () => {
  const s = score([note("C4", 4) + note("E4", 40, { chord: true })], { attributes: time(4, 4) });
  assertEquals([s.bars[0]!.durationTicks, s.notes.map((n) => n.durationTicks)], [40, [4, 40]]);
});

Deno.test("a stave that cannot be meant is the first, with a notice", () => {
  const s = score([0, 2, 17, 65536, 2147483648].map((staff) => note("C4", 16, { staff })));
  assertEquals(s.notes.map((n) => n.staff), [1, 2, 1, 1, 1]);
  assertEquals(s.notices.find((n) => n.what.startsWith("stave that is none"))?.count, 4);
});

Deno.test("tempo comes from metronome marks and sound, with dotted values, and maps to seconds", () => {
  const metronome =
    `<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>40</per-minute></metronome>`;
  const s = score([direction(metronome) + note("C4", 16), `<sound tempo="120"/>` + note("C4", 16)]);
  assertEquals(s.tempos.map((t) => [t.onsetTicks, t.quartersPerMinute, t.origin]), [
    [0, 60, "marked"],
    [16, 120, "marked"],
  ]);
  assertAlmostEquals(secondsOf(s, 32), 4 + 2, 1e-9);
});

Deno.test("a tempo word without a figure is taken at a common tempo and says so; no tempo at all is 120, assumed", () => {
  const s = score([words("Allegro con brio") + note("C4", 16)]);
  assertEquals(s.tempos, [{
    onsetTicks: 0,
    quartersPerMinute: 132,
    origin: "assumed",
    words: "Allegro con brio",
    metronome: "none",
  }]);
  assertEquals(score([note("C4", 16)]).tempos[0], {
    onsetTicks: 0,
    quartersPerMinute: 120,
    origin: "assumed",
  });
});

Deno.test("a hairpin whose number is none is number 1", () => {
  const s = score([direction(`<wedge type="crescendo" number="x"/>`) + note("C4", 16)]);
  assertEquals(JSON.parse(JSON.stringify(s.parts)), s.parts);
});

Deno.test("a hairpin moves evenly from one mark to the next, note by note", () => {
  const s = score([
    dynamics("p") + wedge("crescendo") + [1, 2, 3, 4].map(() => note("C4", 4)).join(""),
    wedge("stop") + dynamics("ff") + note("C4", 16),
  ]);
  assertEquals(pick(s, "dynamic"), [3, 4, 5, 6, 7]);
});

Deno.test("a hairpin without a mark at its end is worth one step, and the step stays", () => {
  const s = score([
    dynamics("f") + wedge("diminuendo") + note("C4", 8) + note("C4", 8) + wedge("stop"),
    note("C4", 16),
  ]);
  assertEquals(pick(s, "dynamic"), [6, 5.5, 5]);
});

Deno.test("a mark that lies the other way interrupts: crescendo, then piano", () => {
  const s = score([
    dynamics("p") + wedge("crescendo") + note("C4", 8) + note("C4", 8) + wedge("stop"),
    dynamics("p") + note("C4", 16),
  ]);
  assertEquals(pick(s, "dynamic"), [3, 3.5, 3]);
});

Deno.test("the word cresc. grows to the next mark", () => {
  const s = score([
    dynamics("p") + note("C4", 16),
    words("cresc.") + note("C4", 8) + note("C4", 8),
    dynamics("f") + note("C4", 16),
  ]);
  assertEquals(pick(s, "dynamic"), [3, 3, 4.5, 6]);
});

Deno.test("hairpins without marks do not add up: the second begins where the last mark was", () => {
  const local = wedge("diminuendo") + note("C4", 8) + note("C4", 8) + wedge("stop");
  const s = score([
    dynamics("p") + local,
    local,
    local,
    wedge("crescendo") + note("C4", 16) + wedge("stop"),
    note("C4", 16),
  ]);
  assertEquals(pick(s, "dynamic"), [3, 2.5, 3, 2.5, 3, 2.5, 2, 3]);
  const swell = score([
    dynamics("mf") + wedge("crescendo") + note("C4", 16) + wedge("stop"),
    local,
    note("C4", 16),
  ]);
  assertEquals(pick(swell, "dynamic"), [5, 6, 5.5, 5]);
});

Deno.test("a cresc. to a forte from a forte begins softer; a cresc. that breaks off into piano does not", () => {
  const grown = (from: string, to: string, word = "cresc.") =>
    pick(
      score([
        dynamics(from) + note("C4", 16),
        words(word) + note("C4", 8) + note("C4", 8),
        dynamics(to) + note("C4", 16),
      ]),
      "dynamic",
    );
  assertEquals(grown("f", "f"), [6, 4, 5, 6]);
  assertEquals(grown("ff", "f"), [7, 4, 5, 6]);
  assertEquals(grown("p", "p"), [3, 3, 3.5, 3]);
  assertEquals(grown("p", "p", "dim."), [3, 5, 4, 3]);
});

Deno.test("sforzato lifts its own note, forte-piano sounds forte once and piano from there on", () => {
  const s = score([
    dynamics("p") + note("C4", 4) + dynamics("sf") + note("C4", 4) + note("C4", 4) + dynamics("fp") +
    note("C4", 4),
    note("C4", 8) + dynamics("sfpp") + note("C4", 4) + note("C4", 4),
  ]);
  assertEquals(pick(s, "dynamic"), [3, 6, 3, 6, 3, 6, 2]);
});

Deno.test("dynamics spelt out in pieces are put together", () => {
  const more = direction(`<dynamics><other-dynamics>più</other-dynamics><f/></dynamics>`);
  const bracketed = direction(
    `<dynamics><other-dynamics>[</other-dynamics><pp/><other-dynamics>]</other-dynamics></dynamics>`,
  );
  const s = score([dynamics("f") + note("C4", 8) + more + note("C4", 8), bracketed + note("C4", 16)]);
  assertEquals(pick(s, "dynamic"), [6, 7, 2]);
});

Deno.test("a stave without dynamics of its own follows the part's; with its own it does not", () => {
  const both = score([dynamics("pp") + note("C5", 16) + backup(16) + note("C3", 16, { staff: 2, voice: 5 })]);
  assertEquals(pick(both, "dynamic"), [2, 2]);
  const own = score([
    dynamics("pp") + note("C5", 16) + backup(16) +
    direction("<dynamics><f/></dynamics>", "<staff>2</staff>") +
    note("C3", 16, { staff: 2, voice: 5 }),
  ]);
  assertEquals(own.notes.map((n) => [n.staff, n.dynamic]), [[2, 6], [1, 2]]);
  assertEquals(pick(own, "voice"), [1, 1]);
});

Deno.test("a slur covers every note of its voice after the first, and leaves the other voice alone", () => {
  const s = score([
    note("C4", 4, { notations: slur("start") }) + note("D4", 4) + note("E4", 4, { notations: slur("stop") }) +
    note("F4", 4) + backup(16) + note("C3", 8, { voice: 2 }) + note("D3", 8, { voice: 2 }),
  ]);
  const of = (pitch: number) => s.notes.find((n) => n.soundingPitch === pitch)!;
  assertEquals([60, 62, 64, 65, 48, 50].map((p) => of(p).slurred), [false, true, true, false, false, false]);
  assertEquals([of(60).slurStart, of(64).slurStop, of(62).slurStart], [true, true, false]);
});

Deno.test("a slur that ends where the next begins, and slurs with the same number in two voices, are kept apart", () => {
  const s = score([
    note("C4", 4, { notations: slur("start") }) + note("D4", 4, { notations: slur("stop") + slur("start") }) +
    note("E4", 4) + note("F4", 4, { notations: slur("stop") }) + backup(16) +
    note("C3", 4, { voice: 2 }) + note("D3", 4, { voice: 2, notations: slur("start") }) +
    note("E3", 8, { voice: 2, notations: slur("stop") }),
  ]);
  const upper = s.notes.filter((n) => n.voice === 1);
  const lower = s.notes.filter((n) => n.voice === 2);
  assertEquals(upper.map((n) => [n.slurred, n.slurStart, n.slurStop]), [
    [false, true, false],
    [true, true, true],
    [true, false, false],
    [true, false, true],
  ]);
  assertEquals(lower.map((n) => n.slurred), [false, false, true]);
  assertEquals(s.notices, score([note("C4", 16)]).notices);
});

Deno.test("a slur from a grace note leaves its main note's own start; a slur into a tied note ends on it", () => {
  const s = score([
    grace("D5", slur("start")) + note("C5", 8, { notations: slur("stop") }) +
    note("E5", 8, { notations: slur("start", 2) }),
    note("F5", 8, { tie: ["start"] }) + note("F5", 8, { tie: ["stop"], notations: slur("stop", 2) }),
  ]);
  assertEquals(s.notes.map((n) => [n.soundingPitch, n.slurred, n.slurStart, n.slurStop]), [
    [74, false, true, false],
    [72, false, false, true],
    [76, false, true, false],
    [77, true, false, true],
  ]);
});

Deno.test("a slur drawn over a tie binds nothing", () => {
  const s = score([
    note("C4", 16, { tie: ["start"], notations: slur("start") }),
    note("C4", 8, { tie: ["stop"], notations: slur("stop") }) + note("D4", 8),
  ]);
  assertEquals(s.notes.map((n) => [n.slurred, n.slurStart, n.slurStop]), [[false, false, false], [
    false,
    false,
    false,
  ]]);
});

Deno.test("articulations, on one note of a chord as on all of it", () => {
  const signs = (names: string) => `<articulations>${names}</articulations>`;
  const s = score([
    note("C4", 4, { notations: signs("<staccato/><accent/>") }) + note("E4", 4, { chord: true }) +
    note("C4", 4, { notations: signs("<strong-accent/><tenuto/>") }) +
    note("C4", 4, { notations: signs("<staccatissimo/><spiccato/>") }) +
    note("C4", 4, { notations: signs("<detached-legato/><breath-mark/><falloff/>") }),
  ]);
  assertEquals(pick(s, "articulations"), [
    ["staccato", "accent"],
    ["staccato", "accent"],
    ["marcato", "tenuto"],
    ["staccatissimo", "spiccato"],
    ["portato", "breath"],
  ]);
  assertEquals(s.notes.at(-1)!.signs, ["falloff"]);
});

Deno.test("tremolo: slashes on one note, and on two that alternate", () => {
  const tremolo = (type: string, slashes: number) =>
    `<ornaments><tremolo type="${type}">${slashes}</tremolo></ornaments>`;
  const s = score([
    note("C4", 8, { notations: tremolo("single", 2) }) + note("E4", 4, { notations: tremolo("start", 3) }) +
    note("G4", 4, { notations: tremolo("stop", 3) }),
  ]);
  assertEquals(s.notes.map((n) => [n.tremoloSlashes, n.tremoloAlternates]), [[2, false], [3, true], [
    3,
    true,
  ]]);
});

Deno.test("trills by sign and by wavy line; turns, mordents, bowings and tonguings are kept by name", () => {
  const ornament = (names: string) => `<ornaments>${names}</ornaments>`;
  const s = score([
    note("C5", 4, { notations: ornament(`<trill-mark/><wavy-line type="start" number="1"/>`) }) +
    note("D5", 4) +
    note("E5", 4, { notations: ornament(`<wavy-line type="stop" number="1"/>`) }) +
    note("F5", 4, { notations: ornament("<turn/><mordent/>") }),
    note("G5", 4, { notations: "<technical><up-bow/><open-string/></technical>" }) +
    note("A5", 4, { notations: "<technical><double-tongue/><fingering>2</fingering></technical>" }),
  ]);
  assertEquals(pick(s, "trill"), [true, true, true, false, false, false]);
  assertEquals(s.notes.slice(3).map((n) => n.signs), [["turn", "mordent"], ["up-bow", "open-string"], [
    "double-tongue",
  ]]);
  assertEquals(noticed(s)["technical sign fingering: not used"], 1);
});

Deno.test("technique words hold until another takes over; a mute comes back after pizzicato", () => {
  const s = score([
    words("con sord.") + note("C4", 4) + words("pizz.") + note("C4", 4) + words("arco") + note("C4", 4) +
    words("senza sord.") + note("C4", 4),
    words("sul pont.") + note("C4", 4) + words("ord.") + note("C4", 4) + words("col legno") + note("C4", 4) +
    note("C4", 4, { notations: `<technical><harmonic/></technical>` }),
  ]);
  assertEquals(pick(s, "technique"), [
    "con sordino",
    "pizzicato",
    "con sordino",
    "ordinario",
    "sul ponticello",
    "ordinario",
    "col legno",
    "harmonic",
  ]);
});

Deno.test("pizzicato in the sound element stands in for words that are not understood", () => {
  const s = score([
    words("gezupft", `<sound pizzicato="yes"/>`) + note("C4", 16),
    `<sound pizzicato="no"/>` + note("C4", 16),
  ]);
  assertEquals(pick(s, "technique"), ["pizzicato", "ordinario"]);
});

Deno.test("chord symbols become text, rehearsal marks name their bar", () => {
  const harmony = (root: string, kind: string, more = "") =>
    `<harmony><root><root-step>${root}</root-step></root><kind>${kind}</kind>${more}</harmony>`;
  const s = score([
    direction("<rehearsal>B</rehearsal>") + harmony("D", "minor-seventh") + note("C4", 8) +
    harmony("F", "major", "<bass><bass-step>A</bass-step></bass>") + note("C4", 8),
    harmony(
      "G",
      "dominant",
      "<degree><degree-value>9</degree-value><degree-alter>-1</degree-alter><degree-type>add</degree-type></degree>",
    ) +
    note("C4", 8) +
    "<harmony><root><root-step>B</root-step><root-alter>-1</root-alter></root><kind>half-diminished</kind></harmony>" +
    note("C4", 8),
  ]);
  assertEquals(s.chords.map((c) => [c.onsetTicks, c.symbol]), [[0, "Dm7"], [8, "F/A"], [16, "G7b9"], [
    24,
    "Bbm7b5",
  ]]);
  assertEquals(s.bars[0]!.rehearsal, "B");
});

Deno.test("instruments are found by sound id, then by name; players by the name", () => {
  const listed = (name: string, sound: string) =>
    score([note("C4", 16)], {
      list:
        `<score-part id="P1"><part-name>${name}</part-name><score-instrument id="I1"><instrument-name>x</instrument-name>${sound}</score-instrument></score-part>`,
    }).parts[0]!;
  const bySound = listed("Top line", "<instrument-sound>wind.reed.oboe</instrument-sound>");
  assertEquals([bySound.instrument, bySound.instrumentFrom], ["oboe", "sound id"]);
  const byName = listed("Bassoon 2", "");
  assertEquals([byName.instrument, byName.instrumentFrom, byName.players], ["bassoon", "name", 1]);
  assertEquals(listed("Bassoon 1, 2", "").players, 2);
  assertEquals(listed("3 Bassoons", "").players, 3);
  assertEquals(listed("Violins I, II", "").players, 2 * listed("Violin I", "").players);
  assertEquals(listed("Violin solo", "").players, 1);
  assert(listed("Violin 1", "").players > 4);
});

Deno.test("unpitched strokes take the percussion key that the part lists", () => {
  const s = score([
    `<note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched><duration>16</duration><instrument id="I2"/></note>`,
  ], {
    list:
      `<score-part id="P1"><part-name>Percussion</part-name><score-instrument id="I1"><instrument-name>Snare</instrument-name></score-instrument>
      <score-instrument id="I2"><instrument-name>Triangle</instrument-name></score-instrument>
      <midi-instrument id="I1"><midi-unpitched>39</midi-unpitched></midi-instrument>
      <midi-instrument id="I2"><midi-unpitched>82</midi-unpitched></midi-instrument></score-part>`,
  });
  assertEquals(s.notes.map((n) => [n.unpitched, n.soundingPitch]), [[true, 81]]);
});

Deno.test("unpitched strokes without a listed key take the key of the instrument's name (General MIDI level 1 percussion map)", () => {
  const stroke = (id: string) =>
    `<note><unpitched/><duration>8</duration>${id && `<instrument id="${id}"/>`}</note>`;
  const s = score([stroke("I1") + stroke("I2")], {
    list:
      `<score-part id="P1"><part-name>Percussion</part-name><score-instrument id="I1"><instrument-name>Triangle</instrument-name></score-instrument>
      <score-instrument id="I2"><instrument-name>Tambourine</instrument-name></score-instrument></score-part>`,
  });
  assertEquals(pitches(s), [81, 54]);
  const only = score([stroke("")], {
    list: `<score-part id="P1"><part-name>Triangle</part-name></score-part>`,
  });
  assertEquals([only.parts[0]!.instrument, only.notes[0]!.soundingPitch], ["triangle", 81]);
});

Deno.test("timewise and partwise give the same score", () => {
  const list =
    `<part-list><score-part id="A"><part-name>Flute</part-name></score-part><score-part id="B"><part-name>Oboe</part-name></score-part></part-list>`;
  const bars = [["C5", "E4"], ["D5", "F4"]];
  const attributes = "<attributes><divisions>2</divisions></attributes>";
  const cell = (bar: number, part: number) => (bar === 0 ? attributes : "") + note(bars[bar]![part]!, 8);
  const partwise = `<score-partwise>${list}${
    ["A", "B"].map((id, p) =>
      `<part id="${id}">${
        bars.map((_, b) => `<measure number="${b + 1}">${cell(b, p)}</measure>`).join("")
      }</part>`
    ).join("")
  }</score-partwise>`;
  const timewise = `<score-timewise>${list}${
    bars.map((_, b) =>
      `<measure number="${b + 1}">${
        ["A", "B"].map((id, p) => `<part id="${id}">${cell(b, p)}</part>`).join("")
      }</measure>`
    ).join("")
  }</score-timewise>`;
  assertEquals(readMusicXml(timewise), readMusicXml(partwise));
});

Deno.test("parts come in the order of the part list, and ids missing or unknown do not stop the reading", () => {
  const list =
    `<part-list><score-part id="A"><part-name>Flute</part-name></score-part><score-part id="B"><part-name>Oboe</part-name></score-part></part-list>`;
  const part = (id: string, pitch: string) =>
    `<part ${id}><measure><attributes><divisions>1</divisions></attributes>${
      note(pitch, 4)
    }</measure></part>`;
  const s = readMusicXml(
    `<score-partwise>${list}${part(`id="B"`, "C4")}${part(`id="A"`, "C5")}${part("", "C3")}</score-partwise>`,
  );
  assertEquals(s.parts.map((p) => p.name), ["Flute", "Oboe", "Part 3"]);
  assertEquals(s.notes.map((n) => [n.part, n.soundingPitch]), [[0, 72], [1, 60], [2, 48]]);
  assertEquals(new Set(s.parts.map((p) => p.id)).size, 3);
});

Deno.test("title and composer come from the head", () => {
  const body =
    `<part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list><part id="P1"><measure>${
      note("C5", 1)
    }</measure></part>`;
  const s = readMusicXml(
    `<score-partwise><work><work-title>Études</work-title></work><movement-title>No. 1 &amp; 2</movement-title><identification><creator type="composer">A. B.</creator></identification>${body}</score-partwise>`,
    { file: "etudes.musicxml" },
  );
  assertEquals([s.title, s.composer, s.source], ["Études, No. 1 & 2", "A. B.", "etudes.musicxml"]);
});

Deno.test("a title or a name that goes on for pages is cut, with a notice", () => {
  const long = "la ".repeat(100_000);
  const s = readMusicXml(`<score-partwise><work><work-title>${long}</work-title></work>
<part-list><score-part id="P1"><part-name>${long}</part-name></score-part></part-list>
<part id="P1"><measure><attributes><divisions>1</divisions></attributes>${
    note("C4", 4)
  }</measure></part></score-partwise>`);
  assertEquals([s.title.length, s.parts[0]!.name.length], [500, 500]);
  assertEquals(s.notices.find((n) => n.what.includes("longer than 500 characters"))?.count, 2);
});

Deno.test("UTF-16, Latin-1 and a byte-order mark are read by what the file says", () => {
  const xml = (encoding: string) =>
    `<?xml version="1.0" encoding="${encoding}"?><score-partwise><movement-title>Élan</movement-title><part-list><score-part id="P1"><part-name>Flöte</part-name></score-part></part-list><part id="P1"><measure>${
      note("C5", 1)
    }</measure></part></score-partwise>`;
  const latin = Uint8Array.from(xml("ISO-8859-1"), (c) => c.charCodeAt(0));
  const wide = new Uint8Array([
    0xff,
    0xfe,
    ...[...xml("UTF-16")].flatMap((c) => [c.charCodeAt(0) & 255, c.charCodeAt(0) >> 8]),
  ]);
  const marked = new Uint8Array([0xef, 0xbb, 0xbf, ...new TextEncoder().encode(xml("UTF-8"))]);
  for (const bytes of [latin, wide, marked]) {
    const before = bytes.slice();
    const s = readMusicXml(bytes);
    assertEquals([s.title, s.parts[0]!.name], ["Élan", "Flöte"]);
    assertEquals(bytes, before);
  }
  assertThrows(
    () => readMusicXml(Uint8Array.from(xml("klingon"), (c) => c.charCodeAt(0))),
    InputError,
    `"klingon"`,
  );
});

Deno.test("nothing is dropped in silence: notices are counted, with part and bar of the first", () => {
  const s = score([
    note("C4", 16, { extra: "" }).replace("</note>", "<lyric><text>la</text></lyric></note>"),
    note("C4", 16, { notations: "<fermata/>" }) +
    `<barline location="right"><repeat direction="backward"/></barline>`,
  ]);
  const of = (what: string) => s.notices.find((n) => n.what.startsWith(what))!;
  assertEquals([of("lyrics").count, of("lyrics").part, of("lyrics").bar], [1, "Violin", "1"]);
  assertEquals(of("pause").bar, "2");
  assertEquals(s.tempoBends, [{ onsetTicks: 16, endTicks: 32, kind: "pause", words: "" }]);
  assertEquals(s.bars.map((b) => b.repeat), [undefined, { times: 2 }]);
});

Deno.test("who plays: words about players are kept in their part, with a count where they say one", () => {
  const s = score([
    words("a 2") + note("C4", 4) + words("1.") + note("C4", 4) + words("div. a 3") + note("C4", 4) +
    words("unis.") +
    note("C4", 4),
  ]);
  assertEquals(s.parts[0]!.playing, [
    { fromTicks: 0, kind: "unison", count: 2, words: "a 2" },
    { fromTicks: 4, kind: "solo", count: 1, words: "1." },
    { fromTicks: 8, kind: "divided", count: 3, words: "div. a 3" },
    { fromTicks: 12, kind: "unison", words: "unis." },
  ]);
  assertEquals(s.notices, noticesOfTempo(s));
});

/** Notices that every score without a metre of its own brings. */
function noticesOfTempo(s: Score): Score["notices"] {
  return s.notices.filter((n) => /time signature/.test(n.what));
}

Deno.test("another instrument inside a part is found by the notes that name it", () => {
  const named = (id: string) => note("C5", 8).replace("<voice>", `<instrument id="${id}"/><voice>`);
  const list = `<score-part id="P1"><part-name>Flute</part-name>
    <score-instrument id="A"><instrument-name>Flute</instrument-name><instrument-sound>wind.flutes.flute</instrument-sound></score-instrument>
    <score-instrument id="B"><instrument-name>Piccolo</instrument-name><instrument-sound>wind.flutes.flute.piccolo</instrument-sound></score-instrument></score-part>`;
  const s = score([named("A") + named("B"), named("B") + named("A")], { list });
  assertEquals(s.parts[0]!.instrument, "flute");
  assertEquals(s.parts[0]!.instrumentChanges, [
    { fromTicks: 8, instrument: "piccolo", name: "Piccolo" },
    { fromTicks: 24, instrument: "flute", name: "Flute" },
  ]);
});

Deno.test("several ways of playing at once are all kept: a mute under pizzicato, a harmonic near the bridge", () => {
  const harmonic = { notations: "<technical><harmonic/></technical>" };
  const s = score([
    words("con sord.") + note("C4", 4) + words("pizz.") + note("C4", 4) + words("arco, sul pont.") +
    note("C6", 4, harmonic) + note("E4", 4, { chord: true }) + words("ord.") + words("senza sord.") +
    note("C4", 4),
  ]);
  assertEquals(s.notes.map((n) => [n.technique, n.techniques]), [
    ["con sordino", undefined],
    ["pizzicato", ["pizzicato", "con sordino"]],
    ["sul ponticello", ["sul ponticello", "con sordino"]],
    ["harmonic", ["harmonic", "sul ponticello", "con sordino"]],
    ["ordinario", undefined],
  ]);
});

Deno.test("repeats, brackets over several bars and jumps are kept with their bars", () => {
  const barline = (location: string, inner: string) => `<barline location="${location}">${inner}</barline>`;
  const s = score([
    barline("left", `<repeat direction="forward"/>`) + note("C4", 16),
    barline("left", `<ending number="1" type="start"/>`) + note("D4", 16),
    note("E4", 16) + barline("right", `<ending number="1" type="stop"/><repeat direction="backward"/>`),
    barline("left", `<ending number="2" type="start"/>`) + note("F4", 16) +
    barline("right", `<ending number="2" type="discontinue"/>`),
    direction("<segno/>") + note("G4", 16),
    direction("<coda/>") + note("A4", 16),
    note("B4", 16) + words("D.S. al Coda"),
    direction("<coda/>") + note("C5", 16),
  ]);
  assertEquals(s.bars.map((b) => b.repeat), [
    { start: true },
    { endings: [1] },
    { endings: [1], times: 2 },
    { endings: [2] },
    { segno: true },
    { toCoda: true },
    { jump: "dal segno", jumpWords: "D.S. al Coda" },
    { coda: true },
  ]);
  assertEquals(playingOrder(s).map((b) => b + 1), [1, 2, 3, 1, 4, 5, 6, 7, 5, 6, 8]);
});

Deno.test("what cannot be read is refused with the place and a remedy", () => {
  const cases: [string, RegExp][] = [
    [
      `<score-partwise><part-list></score-partwise>`,
      /XML is broken: unexpected close tag .*row 1, column \d+/,
    ],
    [`not xml at all`, /XML is broken/],
    [``, /XML is broken|no notes/],
    [`<html><body/></html>`, /root is <html>/],
    [`<opus/>`, /opus, a list of scores/],
    [
      `<!DOCTYPE score-partwise [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><score-partwise>&b;</score-partwise>`,
      /declares entities of its own/,
    ],
    [
      `<!DOCTYPE score-partwise SYSTEM "file:///etc/passwd"><score-partwise>&x;</score-partwise>`,
      /XML is broken/,
    ],
    [
      `<score-partwise><part-list><score-part id="P1"/></part-list><part id="P1"><measure/></part></score-partwise>`,
      /holds no notes/,
    ],
    [`<score-partwise>${"<a>".repeat(300)}`, /nested more than 200 deep/],
  ];
  for (const [xml, message] of cases) {
    const error = assertThrows(() => readMusicXml(xml, { file: "x.xml" }), InputError) as InputError;
    assert(message.test(error.message), error.message);
    assert(error.remedy.length > 10);
    assertEquals(error.where.file, "x.xml");
  }
});

Deno.test("a bar in a bar, a part in a part, a note in a note are refused with their place", () => {
  const c = note("C4", 16);
  const bar = (inside: string, number = 1) => `<measure number="${number}">${inside}</measure>`;
  const partwise = (inside: string) =>
    `<score-partwise><part-list><score-part id="P1"><part-name>Oboe</part-name></score-part></part-list>
${inside}</score-partwise>`;
  const part = (inside: string) => `<part id="P1">${inside}</part>`;
  const first = `<attributes><divisions>4</divisions></attributes>${c}`;
  const cases: readonly (readonly [xml: string, problem: string, part?: string, bar?: string])[] = [
    [partwise(part(bar(`${first}\n${bar(c, 2)}`))), "<measure> stands in <measure>", "Oboe", "1"],
    [partwise(part(`${bar(first)}\n${part(bar(c))}`)), "<part> stands in <part>", "Oboe", "1"],
    [partwise(part(bar(`${first}\n${part(bar(c))}`))), "<part> stands in <measure>", "Oboe", "1"],
    [partwise(part(bar(first + `\n<note>${c}</note>`))), "<note> stands in <note>", "Oboe", "1"],
    [partwise(part(`${bar(first)}\n${c}`)), "<note> stands in <part>", "Oboe", "1"],
    [partwise(`${part(bar(first))}\n${partwise("")}`), "<score-partwise> stands in <score-partwise>"],
    [
      `<score-timewise><part-list><score-part id="P1"><part-name>Oboe</part-name></score-part></part-list>
<measure number="1"><part id="P1">${first}</part>\n<measure number="2"><part id="P1">${c}</part></measure></measure>
</score-timewise>`,
      "<measure> stands in <measure>",
    ],
  ];
  for (const [xml, problem, part, bar] of cases) {
    const { message, where } = assertThrows(
      () => readMusicXml(xml),
      InputError,
      problem,
    ) as InputError;
    assertEquals([problem, where.part, where.bar], [problem, part, bar]);
    assert(where.row! >= 1 && message.length <= 300);
  }
  const direction = readMusicXml(partwise(part(`${bar(first)}<direction/>${bar(c, 2)}`)));
  assertEquals(direction.notes.length, 2);
  assert(direction.notices.some((n) => n.what === "direction outside a bar: not used"));
});

Deno.test("impossible pitches, durations and divisions are refused with part, bar and line", () => {
  for (
    const [body, message] of [
      [note("H4", 4), `step "H"`],
      [note("C99", 4), "octave 99"],
      [note("C4", -4), `a duration is "-4"`],
      [note("C4", NaN), `a duration is "NaN"`],
      [note("C4", 1e15), "too long"],
      [note("C4", 4 * 1020 + 1), "too long"],
      [rest(4 * 4096 + 1), "too long"],
      [note("C4", 4000).repeat(5), "the bar holds more than 4096 quarter notes"],
      [`<attributes><divisions>0</divisions></attributes>${note("C4", 4)}`, "divisions"],
      [`<attributes><divisions>-3</divisions></attributes>${note("C4", 4)}`, "divisions"],
    ] as const
  ) {
    const error = assertThrows(() => score([note("C4", 16), body]), InputError, message) as InputError;
    assertEquals([error.where.part, error.where.bar], ["Violin", "2"]);
  }
});

Deno.test("every chord kind that is written as a symbol is one the chord library reads back to the right tones", () => {
  // Tones above C from the definitions of the kinds in MusicXML 4.0 (kind-value), counted in semitones.
  const kinds: Record<string, number[]> = {
    "major": [0, 4, 7],
    "minor": [0, 3, 7],
    "augmented": [0, 4, 8],
    "diminished": [0, 3, 6],
    "dominant": [0, 4, 7, 10],
    "major-seventh": [0, 4, 7, 11],
    "minor-seventh": [0, 3, 7, 10],
    "diminished-seventh": [0, 3, 6, 9],
    "augmented-seventh": [0, 4, 8, 10],
    "half-diminished": [0, 3, 6, 10],
    "major-minor": [0, 3, 7, 11],
    "major-sixth": [0, 4, 7, 9],
    "minor-sixth": [0, 3, 7, 9],
    "dominant-ninth": [0, 4, 7, 10, 2],
    "major-ninth": [0, 4, 7, 11, 2],
    "minor-ninth": [0, 3, 7, 10, 2],
    "suspended-second": [0, 2, 7],
    "suspended-fourth": [0, 5, 7],
    "power": [0, 7],
  };
  for (const [kind, tones] of Object.entries(kinds)) {
    const s = score([
      `<harmony><root><root-step>C</root-step></root><kind>${kind}</kind></harmony>${note("C4", 16)}`,
    ]);
    const chord = chordCalled(s.chords[0]!.symbol);
    assertEquals([kind, chord.notes.map((name) => chroma(name))], [kind, tones]);
  }
});

Deno.test("groups of parts are kept with their names; parts without music leave them", () => {
  const part = (id: string) => `<score-part id="${id}"><part-name>Violin</part-name></score-part>`;
  const group = (type: string, number: number, inner = "") =>
    `<part-group type="${type}" number="${number}">${inner}</part-group>`;
  const music = (id: string) =>
    `<part id="${id}"><measure number="1"><attributes><divisions>4</divisions></attributes>${
      note("C4", 16)
    }</measure></part>`;
  const s = readMusicXml(
    `<score-partwise><part-list>${
      group("start", 1, "<group-name>Strings</group-name><group-symbol>bracket</group-symbol>")
    }${part("A")}${group("start", 2, "<group-symbol>square</group-symbol>")}${part("B")}${part("C")}${
      group("stop", 1)
    }${part("D")}${group("stop", 2)}</part-list>${music("A")}${music("B")}${music("D")}</score-partwise>`,
  );
  assertEquals(s.partGroups, [
    { parts: ["A", "B"], symbol: "bracket", name: "Strings" },
    { parts: ["B", "D"], symbol: "square" },
  ]);
});

const line = (kind: "glissando" | "slide", type: string, number = 1) =>
  `<${kind} type="${type}" number="${number}"/>`;

Deno.test("glissandi and slides are kept on the note they start from, with interval and length", () => {
  const s = score([
    note("C4", 4, { notations: line("slide", "start") }) +
    note("G4", 4, { notations: line("slide", "stop") + line("glissando", "start") }) +
    note("A4", 2) + note("B4", 2) + note("C3", 4, { notations: line("glissando", "stop") }),
  ]);
  assertEquals(pick(s, "glissandi"), [
    [{ kind: "slide", semitones: 7, lengthTicks: 4 }],
    [{ kind: "glissando", semitones: -19, lengthTicks: 8 }],
    undefined,
    undefined,
    undefined,
  ]);
  assertEquals(s.notices, noticesOfTempo(s));
  assertEquals(JSON.parse(JSON.stringify(s)), s);
});

Deno.test("glissandi of a chord lead each to its own note, numbered apart or alike; from a tied note from its start", () => {
  const chord = (second: number) =>
    score([
      note("C4", 8, { tie: ["start"] }) + note("E4", 8, { chord: true, tie: ["start"] }) +
      note("C4", 4, { tie: ["stop"], notations: line("slide", "start") }) +
      note("E4", 4, { chord: true, tie: ["stop"], notations: line("slide", "start", second) }) +
      note("D4", 4, { notations: line("slide", "stop") }) +
      note("G4", 4, { chord: true, notations: line("slide", "stop", second) }),
    ]);
  for (const s of [chord(1), chord(2)]) {
    assertEquals(pick(s, "glissandi"), [
      [{ kind: "slide", semitones: 2, lengthTicks: 12 }],
      [{ kind: "slide", semitones: 3, lengthTicks: 12 }],
      undefined,
      undefined,
    ]);
  }
});

Deno.test("a slide out of a grace note or into one, on a transposing part, over a finer grid", () => {
  const s = score([
    grace("C4", line("slide", "start")) + note("G4", 4, { notations: line("slide", "stop") }) +
    note("C4", 1.5, { notations: line("slide", "start") }) + note("C4", 2.5) +
    grace("D4", line("slide", "stop")) + note("E4", 8),
  ], { attributes: "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>" });
  const found = s.notes.flatMap((n) => n.glissandi ?? []);
  assertEquals(found, [{ kind: "slide", semitones: 7, lengthTicks: 0 }, {
    kind: "slide",
    semitones: 2,
    lengthTicks: s.ticksPerQuarter,
  }]);
});

Deno.test("a glissando that lacks an end, or ends on its own tied note, is a notice; the notes stay", () => {
  const of = (s: Score) =>
    s.notices.filter((n) => n.what.startsWith("glissando")).map((n) => [n.what, n.count, n.part, n.bar]);
  const oneEnd = "glissando or slide with one end only: not used";
  const start = score([note("C4", 16), note("D4", 16, { notations: line("slide", "start") })]);
  assertEquals(of(start), [[oneEnd, 1, "Violin", "2"]]);
  const stop = score([note("C4", 16, { notations: line("glissando", "stop", 3) })]);
  assertEquals(of(stop), [[oneEnd, 1, "Violin", "1"]]);
  // The first start has lost its stop; a slide does not end a glissando.
  const lost = score([
    note("C4", 4, { notations: line("slide", "start") }) +
    note("D4", 4, { notations: line("slide", "start") }) +
    note("E4", 4, { notations: line("glissando", "stop") }) +
    note("F4", 4, { notations: line("slide", "stop") }),
  ]);
  assertEquals(of(lost), [[oneEnd, 2, "Violin", "1"]]);
  assertEquals(pick(lost, "glissandi")[1], [{ kind: "slide", semitones: 3, lengthTicks: 8 }]);
  const itself = score([
    note("C4", 8, { tie: ["start"], notations: line("slide", "start") }) +
    note("C4", 8, { tie: ["stop"], notations: line("slide", "stop") }),
  ]);
  assertEquals(of(itself), [["glissando or slide from a note to itself: not used", 1, "Violin", "1"]]);
  assertEquals([start, stop, lost, itself].map((s) => s.notes.length), [2, 1, 4, 1]);
});
