/** One range of tempos for every door: files pass over what lies outside and say so, a user's own figure is refused. */
import { assertEquals, assertMatch, assertRejects, assertThrows } from "@std/assert";
import { metaEvent } from "../../lib/formats/midi/midi_bytes.ts";
import { FASTEST_TEMPO, isTempo, SLOWEST_TEMPO, TEMPO_NOT_USED } from "../../lib/score/tempo_range.ts";
import {
  demoPlans,
  demoSketch,
  InputError,
  readAbc,
  realise,
  type Score,
  sketchOf,
  sweep,
  vary,
  writeMidi,
} from "ripieno";
import { readMidi, readMusicXml } from "ripieno/formats";
import { bendTempo } from "ripieno/score";

const STRANGE = [0, 3.9, 1201, 60_000_000, 1e308];
const TAKEN = [SLOWEST_TEMPO, 10, 500, FASTEST_TEMPO];

/** A bar of one note under `inside`, then a bar at 90, which no notice may hide. */
const musicXml = (inside: string) =>
  readMusicXml(
    `<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>${inside}
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note></measure>
<measure number="2"><sound tempo="90"/><note><rest/><duration>4</duration></note></measure></part></score-partwise>`,
  );

const metronome = (figure: number | string) =>
  `<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>${figure}</per-minute></metronome></direction-type></direction>`;

/** A MIDI file of one note with a tempo of so many microseconds to a quarter. */
function midi(microseconds: number): Score {
  const track = [
    ...[0, ...metaEvent(0x51, [microseconds >> 16, (microseconds >> 8) & 255, microseconds & 255])],
    ...[0, 0x90, 60, 80, 96, 0x80, 60, 0, 0, 0xff, 0x2f, 0],
  ];
  const head = [..."MThd"].map((c) => c.charCodeAt(0)).concat(0, 0, 0, 6, 0, 0, 0, 1, 0, 96);
  return readMidi(
    Uint8Array.from([...head, ...[..."MTrk"].map((c) => c.charCodeAt(0)), 0, 0, 0, track.length, ...track]),
  );
}

const firstTempo = (score: Score) => {
  const { quartersPerMinute, origin } = score.tempos[0]!;
  return [quartersPerMinute, origin, score.notices.find((n) => n.what === TEMPO_NOT_USED)?.count ?? 0];
};

Deno.test("a file's tempo outside the range is passed over with a notice; inside it is taken as it stands", () => {
  const doors: Record<string, (tempo: number) => Score> = {
    "sound of MusicXML": (tempo) => musicXml(`<sound tempo="${tempo}"/>`),
    "metronome mark of MusicXML": (tempo) =>
      musicXml(metronome(tempo.toLocaleString("en", { useGrouping: false }))),
    "Q: of ABC": (tempo) =>
      readAbc(`X:1\nQ:1/4=${tempo.toLocaleString("en", { useGrouping: false })}\nK:C\nC8|D8|`),
  };
  for (const [door, read] of Object.entries(doors)) {
    for (const tempo of STRANGE) {
      assertEquals([door, tempo, ...firstTempo(read(tempo))], [door, tempo, 120, "assumed", 1]);
    }
    for (const tempo of TAKEN) {
      assertEquals([door, tempo, ...firstTempo(read(tempo))], [door, tempo, tempo, "marked", 0]);
    }
  }
  for (const strange of ["-5", "NaN", "quick", ""]) {
    assertEquals(firstTempo(musicXml(`<sound tempo="${strange}"/>`)), [120, "assumed", 1], strange);
  }
  // Zero, one and the most microseconds that three bytes hold: no tempo, 60,000,000 and 3.58 a minute.
  for (const microseconds of [0, 1, 49_999, 0xffffff]) {
    assertEquals(firstTempo(midi(microseconds)), [120, "assumed", 1]);
  }
  assertEquals(firstTempo(midi(50_000)), [1200, "marked", 0]);
  assertEquals(firstTempo(midi(15_000_000)), [4, "marked", 0]);
});

Deno.test("a metronome mark that can be believed counts where the figure for playing cannot", () => {
  const both = metronome(84).replace("</direction>", `<sound tempo="60000000"/></direction>`);
  assertEquals(firstTempo(musicXml(both)), [84, "marked", 1]);
});

Deno.test("a user's own tempo outside the range is refused with the range, wherever it is given", async () => {
  const { moving } = demoPlans();
  const sketch = demoSketch();
  for (const tempo of [...STRANGE, -60, NaN]) {
    const calls = [
      () => vary(moving, { quartersPerMinute: tempo }),
      () => realise(sketch, { ...moving, quartersPerMinute: tempo }),
      () =>
        sketchOf({
          ...sketch.score,
          tempos: [{ onsetTicks: 0, quartersPerMinute: tempo, origin: "marked" }],
        }),
    ];
    for (const call of calls) assertMatch(assertThrows(call, InputError).message, /4 to 1200/);
    if (Number.isNaN(tempo)) continue; // a sweep refuses what is no figure before it looks at ranges
    assertMatch(
      (await assertRejects(() => sweep(moving, { tempo: [tempo] }, { sketch }), InputError)).message,
      /4 to 1200/,
    );
  }
  for (const tempo of TAKEN) {
    assertEquals(vary(moving, { quartersPerMinute: tempo }).quartersPerMinute, tempo);
  }
});

Deno.test("a bent tempo stays in the range, so that its MIDI file is read back with every tempo", () => {
  const { score } = demoSketch();
  const slow: Score = {
    ...score,
    tempos: [{ onsetTicks: 0, quartersPerMinute: 5, origin: "marked" }],
    tempoBends: [
      { onsetTicks: 0, kind: "slower", words: "rit." },
      { onsetTicks: 0, endTicks: score.ticksPerQuarter, kind: "pause", words: "" },
    ],
  };
  const bent = bendTempo(slow);
  assertEquals(bent.tempos.filter((t) => !isTempo(t.quartersPerMinute)), []);
  const back = readMidi(writeMidi(bent));
  assertEquals(back.notices.filter((n) => n.what === TEMPO_NOT_USED), []);
});
