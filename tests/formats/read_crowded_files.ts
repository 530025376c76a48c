/**
 * Reads files (and writes one) in which very much is left open, or lies over each other, in a process of its own:
 * `deno run -A tests/formats/read_crowded_files.ts`. Prints one line of JSON for each: how many, and notes read.
 * What looks through all that is open at each note takes minutes for some of them.
 */
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { readMidi } from "../../lib/formats/midi/read_midi.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { playingOrder } from "../../lib/score/playing_order.ts";
import type { Score } from "../../lib/score/model.ts";

const times = (count: number, text: (i: number) => string): string =>
  Array.from({ length: count }, (_, i) => text(i)).join("");

/** A tune without metre, sixteen notes to a line. */
const tune = (count: number, text: (i: number) => string): string =>
  times(count, (i) => text(i) + (i % 16 === 15 ? "|\n" : ""));
const abc = (music: string): Score => readAbc(`X:1\nL:1/16\nM:none\nK:C\n${music}`);

const ATTRIBUTES =
  `<attributes><divisions>4</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`;
const note = (notations: string, rest = ""): string =>
  `<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration>${rest}<notations>${notations}</notations></note>`;
const direction = (type: string): string => `<direction><direction-type>${type}</direction-type></direction>`;

/** One part of full bars of sixteen notes. */
const xml = (count: number, text: (i: number) => string): Score =>
  readMusicXml(
    `<score-partwise><part-list><score-part id="P"><part-name>A</part-name></score-part></part-list><part id="P">${
      times(
        Math.ceil(count / 16),
        (b) =>
          `<measure number="${b + 1}">${b === 0 ? ATTRIBUTES : ""}${
            times(16, (k) => text(b * 16 + k))
          }</measure>`,
      )
    }</part></score-partwise>`,
  );

/** One track of events. */
function midi(count: number, event: (i: number) => readonly number[]): Score {
  const track = [...Array.from({ length: count }, (_, i) => event(i)).flat(), 0, 0xff, 0x2f, 0];
  const length = [24, 16, 8, 0].map((shift) => track.length >> shift & 255);
  const head = [0x4d, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 0, 0, 1, 1, 0xe0];
  return readMidi(Uint8Array.from([...head, 0x4d, 0x54, 0x72, 0x6b, ...length].concat(track)));
}

/** A score that is written as well as read. */
function written(score: Score): Score {
  writeMusicXml(score);
  return score;
}

const FILES: Readonly<Record<string, readonly [number, (count: number) => Score]>> = {
  "ABC, open slurs": [50_000, (n) => abc(tune(n, () => "(C"))],
  "ABC, slurs in slurs": [20_000, (n) => abc(tune(n, () => "(C") + tune(n, () => "C)"))],
  "ABC, ties into rests": [30_000, (n) => abc(tune(n, () => "C-z"))],
  "ABC, brackets": [5000, (n) => abc(times(n, () => "|:CDEF|1CDEF:|2CDEF|"))],
  "ABC, voices": [2000, (n) => readAbc(`X:1\nM:4/4\nL:1/4\nK:C\n${times(n, (i) => `V:${i}\nCDEF|\n`)}`)],
  "ABC, a chord": [10_000, (n) => abc(`[${"C".repeat(n)}]`)],
  "ABC, tuplets in tuplets": [20_000, (n) => abc(`${"(3".repeat(n)}CDE`)],
  "MusicXML, slurs of many numbers": [
    20_000,
    (n) => xml(n, (i) => note(`<slur type="start" number="${i}"/>`)),
  ],
  "MusicXML, wavy lines in wavy lines": [20_000, (n) =>
    xml(n, (i) => {
      const [type, number] = i < n / 2 ? ["start", i] : ["stop", n - 1 - i];
      return note(`<ornaments><wavy-line type="${type}" number="${number}"/></ornaments>`);
    })],
  "MusicXML, glissandi of many numbers": [
    20_000,
    (n) => xml(n, (i) => note(`<glissando type="start" number="${i}"/>`)),
  ],
  "MusicXML, wedges of many numbers": [
    20_000,
    (n) => xml(n, (i) => direction(`<wedge type="crescendo" number="${i}"/>`) + note("")),
  ],
  "MusicXML, wedges at one place": [40_000, (n) =>
    xml(
      16,
      (k) => (k > 0 ? "" : times(n, (i) => direction(`<wedge type="crescendo" number="${i}"/>`))) + note(""),
    )],
  "MusicXML, cresc. without end": [
    20_000,
    (n) => xml(n, () => direction("<words>cresc.</words>") + note("")),
  ],
  "MusicXML, open brackets": [10_000, (n) =>
    xml(
      n,
      (i) =>
        (i % 16 > 0
          ? ""
          : `<barline location="left"><ending number="${i / 16 + 1}" type="start"/></barline>`) +
        note(""),
    )],
  // Its writer may look at every note of the bar for each that no tuplet explains; that took three minutes.
  "written: a bar off every grid": [
    8000,
    (n) => written(abc(`${times(n, (i) => `C31/37D6/37${i % 8 === 7 ? "\n" : ""}`)}|`)),
  ],
  "MIDI, notes that never end": [40_000, (n) => midi(n, () => [0x30, 0x90, 60, 80])],
};

if (import.meta.main) {
  for (const [name, [count, read]] of Object.entries(FILES)) {
    const since = performance.now();
    const score = read(count);
    playingOrder(score);
    const milliseconds = Math.round(performance.now() - since);
    console.log(JSON.stringify({ name, count, notes: score.notes.length, milliseconds }));
  }
}
