import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertMatch,
  assertThrows,
} from "@std/assert";
import { demoPlans, demoSketch, realise } from "ripieno";
import { readMidi, readMusicXml, writeMidi, writeMusicXml } from "ripieno/formats";
import { readHarmony } from "../../../lib/harmony/read_harmony.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { reharmonise } from "../../../lib/orchestrate/plan/reharmonise.ts";
import { sketchFrom } from "../../../lib/orchestrate/rewrite/sketch_from.ts";
import { readChords, readRoles } from "../../../lib/orchestrate/rewrite/corrections.ts";
import type { Sketch } from "../../../lib/orchestrate/plan/sketch.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";
import { wholePlan } from "../sketches.ts";
import { annotatedChords, chordScore } from "../../setup/annotated_chords.ts";
import { leadsRead } from "../../setup/left_out_figures.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";
import {
  corpusFolders,
  melodyAnnotation,
  melodyParts,
  MORE_MOVEMENTS,
  scoreOf,
} from "../../setup/texture_corpus.ts";
import type { Note } from "../../../lib/score/model.ts";
import { barIndexOf } from "../../../lib/score/time.ts";
import { trackLead } from "../../../lib/texture/recognise/track_lead.ts";

const classes = ({ tune }: Sketch) => tune.map((n) => n.soundingPitch % 12);

/** Two hands on two staves: a tune in chords above, a broken chord below that rises over middle C. */
const PIANO =
  `<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Piano</part-name>
</score-part></part-list><part id="P1">${
    ["C E G", "A C E", "F A C", "G B D"].map((chord, i) => {
      const [a, b, c] = chord.split(" ");
      const note = (step: string, octave: number, duration: number, staff: number, more = "") =>
        `<note>${more}<pitch><step>${step}</step><octave>${octave}</octave></pitch><duration>${duration}</duration><voice>${
          staff === 1 ? 1 : 5
        }</voice><staff>${staff}</staff></note>`;
      return `<measure number="${i + 1}">${
        i === 0
          ? `<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>`
          : ""
      }${note(c!, 5, 4, 1)}${note(a!, 5, 4, 1, "<chord/>")}${
        note(b!, 5, 4, 1)
      }<backup><duration>8</duration></backup>${
        [a, c, b, c, a, c, b, c].map((s) => note(s!, 3, 1, 2)).join("")
      }</measure>`;
    }).join("")
  }</part></score-partwise>`;

Deno.test("a piano piece gives its upper line and its chords", () => {
  const sketch = sketchFrom(readMusicXml(PIANO, { file: "piano.musicxml" }));
  const top = ["G E", "E C", "C A", "D B"].flatMap((bar, i) => {
    const of: Record<string, number> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };
    const [a] = ["C E G", "A C E", "F A C", "G B D"][i]!.split(" ");
    // The upper of the two notes struck together on the first beat.
    const [first, second] = bar.split(" ");
    return [Math.max(of[first!]!, of[a!]!), of[second!]!];
  });
  assertEquals(classes(sketch), top);
  assertEquals([...new Set(sketch.harmonies.map((h) => h.symbol))], ["C", "Am", "F", "G"]);
});

Deno.test("what one hand of a pianist has under a rest of the other is no tune", () => {
  const note = (pitch: string, duration: number, staff: number) =>
    `<note>${
      pitch === "r" ? "<rest/>" : `<pitch><step>${pitch[0]}</step><octave>${pitch[1]}</octave></pitch>`
    }<duration>${duration}</duration><voice>${staff === 1 ? 1 : 5}</voice><staff>${staff}</staff></note>`;
  const piano = (bars: readonly (readonly [right: string, left: string])[]) =>
    readMusicXml(
      `<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Piano</part-name></score-part></part-list><part id="P1">${
        bars.map((hands, i) =>
          `<measure number="${i + 1}">${
            i > 0
              ? ""
              : "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>"
          }${
            hands.map((hand, h) =>
              hand.split(" ").map((n) => note(n.split(":")[0]!, Number(n.split(":")[1] ?? 1), h + 1)).join("")
            ).join("<backup><duration>8</duration></backup>")
          }</measure>`
        ).join("")
      }</part></score-partwise>`,
      { file: "piano.musicxml" },
    );
  const broken = ["C2 G3 C3 G3 E3 G3 C3 G3", "F2 C3 F3 C3 A3 C3 F3 C3", "G2 D3 G3 D3 B3 D3 G3 D3"];
  const tune = ["G5:3 E5:1 r:4", "A5:3 C5:1 r:4", "B5:3 G5:1 r:4"];
  const order = [0, 1, 2, 0, 1, 2, 0, 0];
  const right = sketchFrom(piano(order.map((i) => [tune[i]!, broken[i]!])));
  assert(right.tune.every((n) => n.soundingPitch >= 72), right.tune.map((n) => n.soundingPitch).join(" "));
  assertEquals(right.tune.length, 2 * order.length);
});

Deno.test("a short score in two voices without chord symbols can be set for orchestra", () => {
  const score = readAbc(
    `X:1\nT:Ford\nM:3/4\nL:1/4\nQ:1/4=96\nK:G\nV:1\nV:2 clef=bass\nV:1\nd B d | e c e | d A F | G3 |\nV:2\n[G,B,]3 | [C,G,]3 | [D,F,]3 | [G,,D,]3 |\n`,
    { file: "ford.abc" },
  );
  const sketch = sketchFrom(score);
  assertEquals(classes(sketch), [2, 11, 2, 4, 0, 4, 2, 9, 6, 7]);
  const setting = realise(
    sketch,
    wholePlan(sketch, { role: "lead", parts: ["Oboe 1"] }, {
      role: "pulse",
      parts: ["Violas", "Violins II"],
    }),
  );
  assertGreater(setting.notes.length, 30);
});

Deno.test("a setting gives its own tune and chords back, from its layers, from MusicXML and from MIDI", () => {
  const own = demoSketch();
  const setting = realise(own, demoPlans().moving);
  const chordsAt = ({ harmonies, score }: Sketch) =>
    harmonies.map((h) => [score.bars[h.barIndex]!.number, h.tones.map((t) => t.pitchClass).join()]);
  const written = sketchFrom(setting);
  assertEquals(classes(written), classes(own));
  assertEquals(chordsAt(written), chordsAt(own));
  for (const score of [readMusicXml(writeMusicXml(setting)), readMidi(writeMidi(setting))]) {
    const read = sketchFrom(score);
    const bars = (s: Sketch) => new Map(s.harmonies.map((h) => [h.barIndex, h.tones[0]!.pitchClass]));
    const [ours, theirs] = [bars(own), bars(read)];
    const same = [...ours].filter(([bar, root]) => theirs.get(bar) === root).length;
    assertGreater(same / ours.size, 0.9);
    assertGreater(read.tune.length, 0.9 * own.tune.length);
  }
});

Deno.test("some bars give their own tune and chords and nothing beyond, and other chords can be put under them", () => {
  const setting = realise(demoSketch(), demoPlans().held);
  const sketch = sketchFrom(setting, { fromBar: 9, toBar: 12 });
  const [from, to] = [setting.bars[8]!.startTicks, setting.bars[12]!.startTicks];
  assert(sketch.tune.every((n) => n.onsetTicks >= from && n.onsetTicks < to));
  assertEquals([...new Set(sketch.harmonies.map((h) => h.barIndex))], [8, 9, 10, 11]);
  assertEquals(
    new Set(reharmonise(sketch, { [sketch.harmonies[0]!.symbol]: "Gm7" }).harmonies.map((h) => h.symbol)).has(
      "Gm7",
    ),
    true,
  );
});

Deno.test("tables corrected by hand hold in place of what was read", () => {
  const score = realise(demoSketch(), demoPlans().held);
  const texture = textureOf(score);
  const harmony = readChords("bar,beat,chord\n1,1,Dm\n2,1,F#dim7\n3,1,Gm\n", { score });
  const other = readRoles(
    "bar,to_bar,part,role,figure\n1,4,Violins I,pad,held chord\n1,4,Flute 1,rest,\n1,4,Cellos,lead,tune\n",
    {
      score,
      texture,
    },
  );
  const sketch = sketchFrom(score, { texture: other, harmony, fromBar: 1, toBar: 3 });
  assertEquals(sketch.harmonies.map((h) => h.symbol), ["Dm", "F#dim7", "Gm"]);
  const cellos = score.parts.findIndex((p) => p.name === "Cellos");
  const first = score.notes.find((n) => n.part === cellos)!;
  assertEquals(sketch.tune[0]!.soundingPitch, first.soundingPitch);
  const refused = (text: string, words: RegExp) =>
    assertMatch(assertThrows(() => readRoles(text, { score, texture }), InputError).message, words);
  refused("bar,part,role\n1,Kazoo,pad\n", /no part "Kazoo".*row 2, column part/);
  refused("bar,part,role\n99,Cellos,pad\n", /no bar 99/);
  refused("bar,part,role\n1,Cellos,hum\n", /"hum" is not a role/);
});

Deno.test("tune and chords of open scores are those that the readers read", () => {
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  const score = openScore(new URL("Beach_Op.32_2.mxl", folder));
  const texture = textureOf(score);
  const harmony = readHarmony(score, { texture });
  const sketch = sketchFrom(score, { texture, harmony });
  const parts = score.parts.length;
  const sounding = new Set(score.notes.map((n) => `${n.onsetTicks} ${n.soundingPitch} ${n.part}`));
  for (const n of sketch.tune) {
    const bar = score.bars.findLastIndex((b) => b.startTicks <= n.onsetTicks);
    const leads = texture.cells.slice(bar * parts, (bar + 1) * parts).filter((c) => c.role === "lead").map((
      c,
    ) => c.part);
    assert(leads.some((p) => sounding.has(`${n.onsetTicks} ${n.soundingPitch} ${p}`)), `bar ${bar + 1}`);
  }
  const withChord = harmony.spans.filter((s) => s.root !== null);
  assertEquals(new Set(sketch.harmonies.map((h) => h.symbol)), new Set(withChord.map((s) => s.symbol)));
});

/**
 * Chords of the S3 symphonies (Lin et al., ISMIR 2024, MIT): of eight movements the root agrees by time in 0.783, of the sketch as of the reader.
 * Main melodies of OpenScore Orchestra (annotations CC BY-SA: Hauptstimme annotation team): of 10,185 bars of 32 movements the chief
 * line or a doubling of it is the annotated part in 0.788, and the tune of the sketch is that part's in 0.772; in 162 of these the lead holds, which is no
 * tune. Here one movement of each.
 */
Deno.test("chords of the sketch agree with an annotation as those of the reader, and its tune is the annotated part's as often as who leads", () => {
  const [chords, melodies] = [sharedFolder("s3-symphonies"), corpusFolders()];
  if (!chords || !melodies) return;
  const [name] = ["dv2"] as const;
  const score = chordScore(chords, name);
  const harmony = readHarmony(score);
  const { harmonies } = sketchFrom(score, { harmony, texture: textureOf(score) });
  const quarter = score.ticksPerQuarter;
  const agreeing = (rows: readonly (readonly [from: number, to: number, root: number | null])[]) =>
    annotatedChords(chords, name).reduce((sum, chord) =>
      rows.reduce((own, [from, to, root]) => {
        const both = Math.min(chord.toQuarters, to / quarter) - Math.max(chord.fromQuarters, from / quarter);
        return both > 0 && root === chord.root ? own + both : own;
      }, sum), 0);
  const read = agreeing(harmony.spans.map((s) => [s.startTicks, s.endTicks, s.root]));
  const own = agreeing(
    harmonies.map((h) => [h.onsetTicks, h.onsetTicks + h.durationTicks, h.tones[0]!.pitchClass]),
  );
  assertAlmostEquals(own, read, 1e-6);

  const movement = MORE_MOVEMENTS.find((m) => m.name === "Beethoven Op.68 2")!;
  const played = scoreOf(movement, melodies);
  const texture = textureOf(played);
  const { tune } = sketchFrom(played, { texture, harmony: { spans: [] } });
  const classOf = ({ onsetTicks, soundingPitch }: Note) => `${onsetTicks} ${soundingPitch % 12}`;
  const has = Map.groupBy(played.notes, (n) => n.part);
  const melody = melodyParts(played, melodyAnnotation(movement, melodies));
  const isOf = (notes: readonly Note[], part: number) => {
    const theirs = new Set(has.get(part)!.map(classOf));
    return notes.filter((n) => theirs.has(classOf(n))).length > notes.length / 2;
  };
  const bars = [...Map.groupBy(tune, (n) => barIndexOf(played, n.onsetTicks))]
    .filter(([b]) => melody[b] !== undefined && has.has(melody[b]));
  const hits = bars.filter(([b, notes]) => isOf(notes, melody[b]!)).length / bars.length;
  const leads = leadsRead(texture, trackLead(played), melody);
  const chief = leads.filter((l) => l.doubled).length / leads.length;
  console.log(`  tune ${hits.toFixed(3)} of ${bars.length} bars, chief line ${chief.toFixed(3)}`);
  assertGreater(hits, chief - 0.02);
});

Deno.test("where nobody leads, that is said", () => {
  const drums = readAbc(`X:1\nT:Race\nM:4/4\nL:1/4\nQ:1/4=88\nK:C\n[ce] [ce] [ce] [ce] |\n`, {
    file: "race.abc",
  });
  const texture = textureOf(drums);
  const silent = {
    ...texture,
    cells: texture.cells.map((c) => ({ ...c, role: "pulse" as const, leadShare: 0 })),
  };
  assertMatch(
    assertThrows(() => sketchFrom(drums, { texture: silent }), InputError).message,
    /nobody leads in bar 1/,
  );
});
