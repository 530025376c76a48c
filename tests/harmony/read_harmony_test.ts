/** Harmony read off notes: plain progressions a theory teacher would write on the board, and what must not matter. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { rangeOf } from "../../lib/base/settings.ts";
import { HARMONY_CONSTANTS } from "../../lib/harmony/harmony_constants.ts";
import { readHarmony } from "../../lib/harmony/read_harmony.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import { sortNotes } from "../../lib/score/build.ts";
import type { Note, Score } from "../../lib/score/model.ts";
import { demoPlans, demoSketch } from "../../lib/demo.ts";
import { refineGrid } from "../../lib/score/refine_grid.ts";
import { endTicksOf } from "../../lib/score/time.ts";
import type { Texture } from "../../lib/texture/model.ts";
import type { Role } from "../../lib/texture/roles.ts";
import { random } from "../setup/random.ts";
import { SKETCHES, wholePlan } from "../orchestrate/sketches.ts";

const tune = (head: string, ...voices: readonly string[]): Score =>
  readAbc(`X:1\nT:test\n${head}\n${voices.map((v, i) => `V:${i + 1}\n${v}`).join("\n")}\n`, {
    file: "test.abc",
  });

const degrees = (score: Score) => readHarmony(score).spans.map((span) => span.degree);

Deno.test("a cadence in block chords: symbols, steps, key, inversion", () => {
  const score = tune("M:4/4\nL:1/4\nK:C", "[CEG]4 | [A,CF]4 | [G,CE]2 [G,B,DF]2 | [CEGc]4 |]");
  const { spans } = readHarmony(score);
  assertEquals(spans.map((s) => s.symbol), ["C", "F/A", "C/G", "G7", "C"]);
  assertEquals(spans.map((s) => s.degree), ["I", "IV6", "I64", "V7", "I"]);
  assertEquals(spans.map((s) => s.inversion), [0, 1, 2, 0, 0]);
  assertEquals(new Set(spans.map((s) => s.key?.name)), new Set(["C major"]));
  assertEquals(spans.map((s) => [s.bar, s.beat]), [["1", 1], ["2", 1], ["3", 1], ["3", 3], ["4", 1]]);
  for (const span of spans) assertAlmostEquals(span.explainedShare, 1);
});

Deno.test("a cadence in minor, spelt in its key", () => {
  const score = tune(
    "M:3/4\nL:1/4\nK:Fm",
    "[F,A,CF]3 | [B,,F,B,D]3 | [C,G,CE]2 [C,B,=E]1 | [F,A,CF]3 |]".replaceAll("E]2", "=E]2"),
  );
  assertEquals(degrees(score)[0], "i");
  assertEquals(readHarmony(score).spans.at(-1)!.symbol, "Fm");
  assertEquals(readHarmony(score).spans[0]!.key?.name, "F minor");
});

Deno.test("a score in which nothing sounds is one span of no chord, and one without bars none", () => {
  const silent = { ...tune("M:4/4\nL:1/4\nK:C", "C4 | C4 |]"), notes: [] };
  const { spans, nonChordNotes } = readHarmony(silent);
  assertEquals(spans.map((s) => [s.symbol, s.root, s.quality, s.key, s.bass]), [[
    "N.C.",
    null,
    null,
    null,
    null,
  ]]);
  assertEquals(nonChordNotes, []);
  assertEquals(readHarmony({ ...silent, bars: [] }).spans, []);
});

Deno.test("printed symbols hold where they stand, N.C. and kinds beyond sevenths included", () => {
  const score = tune("M:4/4\nL:1/4\nK:C", `C4 | "Dm7/G" D4 | "G9" G4 | "N.C." G4 | "C" C4 |]`);
  const { spans } = readHarmony(score);
  assertEquals(spans.map((s) => [s.bar, s.symbol, s.origin]), [
    ["1", spans[0]!.symbol, "notes"],
    ["2", "Dm7/G", "symbol"],
    ["3", "G9", "symbol"],
    ["4", "N.C.", "symbol"],
    ["5", "C", "symbol"],
  ]);
  assertEquals([spans[1]!.bass, spans[1]!.inversion, spans[2]!.quality, spans[3]!.root], [
    7,
    null,
    "dominant ninth",
    null,
  ]);
});

/** What a reading says, without what a transposition changes by name. */
function plain(score: Score, semitones = 0) {
  const { spans, nonChordNotes } = readHarmony(score);
  const up = (pitchClass: number | null) => pitchClass === null ? null : (pitchClass + semitones) % 12;
  return {
    spans: spans.map(({ symbol: _, key, ...span }) => ({
      ...span,
      root: up(span.root),
      bass: up(span.bass),
      tones: span.tones.map(up),
      key: key && [up(key.tonic), key.mode],
    })),
    notes: nonChordNotes.map(({ soundingPitch, ...note }) => ({
      ...note,
      soundingPitch: soundingPitch + semitones,
    })),
  };
}

/** Settings in several metres, without their symbols. */
const SETTINGS: readonly Score[] = [
  ...Object.values(demoPlans()).map((plan) => realise(demoSketch(), plan)),
  ...Object.values(SKETCHES).map((sketch) =>
    realise(
      sketch,
      wholePlan(sketch, { role: "lead", parts: ["Flute 1"] }, {
        role: "pad",
        parts: ["Violins I", "Violins II", "Violas"],
      }),
    )
  ),
].map((score) => ({ ...score, chords: [] }));

const moved = (score: Score, change: (note: Note) => Note): Score => ({
  ...score,
  notes: score.notes.map(change),
});

Deno.test("transposed by any interval, the answer is transposed and nothing else changes", () => {
  for (const score of SETTINGS) {
    for (const semitones of [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 24]) {
      const up = moved(score, (note) => ({ ...note, soundingPitch: note.soundingPitch + semitones }));
      assertEquals(plain(up), plain(score, semitones), `${score.title} up ${semitones}`);
    }
  }
});

Deno.test("the order of parts and a doubled part change no span", () => {
  for (const score of SETTINGS) {
    const last = score.parts.length - 1;
    const turned = moved(score, (note) => ({ ...note, part: last - note.part }));
    const turnedOver = { ...turned, parts: score.parts.toReversed(), notes: sortNotes(turned.notes) };
    assertEquals(readHarmony(turnedOver).spans, readHarmony(score).spans);
    for (let part = 0; part <= last; part += 3) {
      const twice = score.notes.filter((n) => n.part === part).map((note) => ({ ...note, part: last + 1 }));
      const doubled = { ...score, parts: [...score.parts, { ...score.parts[part]!, id: "double" }] };
      const notes = sortNotes([...score.notes, ...twice]);
      assertEquals(readHarmony({ ...doubled, notes }).spans, readHarmony(score).spans);
    }
  }
});

Deno.test("a silent part, wherever it stands, changes nothing", () => {
  for (const score of SETTINGS) {
    for (const at of [0, 1, score.parts.length]) {
      const parts = score.parts.toSpliced(at, 0, { ...score.parts[0]!, id: "silent", name: "Silent" });
      const notes = score.notes.map((note) => note.part < at ? note : { ...note, part: note.part + 1 });
      assertEquals(readHarmony({ ...score, parts, notes }).spans, readHarmony(score).spans);
    }
  }
});

Deno.test("an empty upbeat changes nothing but the places", () => {
  for (const score of SETTINGS.filter(({ bars }) => bars[0]!.durationTicks === bars[1]!.durationTicks)) {
    const by = score.ticksPerQuarter;
    const first = score.bars[0]!;
    const later = {
      ...score,
      bars: [
        { ...first, number: "0", durationTicks: by },
        ...score.bars.map((bar) => ({ ...bar, startTicks: bar.startTicks + by })),
      ],
      tempos: score.tempos.map((tempo, i) =>
        i === 0 ? tempo : { ...tempo, onsetTicks: tempo.onsetTicks + by }
      ),
      notes: score.notes.map((note) => ({ ...note, onsetTicks: note.onsetTicks + by })),
    };
    const [upbeat, ...spans] = readHarmony(later).spans;
    assertEquals([upbeat!.root, upbeat!.endTicks], [null, by]);
    assertEquals(
      spans.map((s) => ({
        ...s,
        startTicks: s.startTicks - by,
        endTicks: s.endTicks - by,
        barIndex: s.barIndex - 1,
      })),
      [...readHarmony(score).spans],
    );
  }
});

Deno.test("spans follow one another without gaps, shares and odds lie between 0 and 1", () => {
  for (const score of SETTINGS) {
    let end = 0;
    for (const span of readHarmony(score).spans) {
      assertEquals(span.startTicks, end);
      assert(span.endTicks > end);
      end = span.endTicks;
      for (const share of [span.confidence, span.explainedShare]) assert(share >= 0 && share <= 1 + 1e-9);
    }
  }
});

/** Share of the time for which two readings of the same length say the same root and kind. */
function sameShare(a: Score, b: Score): number {
  const [one, other] = [readHarmony(a).spans, readHarmony(b).spans];
  const factor = endTicksOf(b) / endTicksOf(a);
  let [all, same] = [0, 0];
  for (const x of one) {
    for (const y of other) {
      const time = Math.min(x.endTicks, y.endTicks / factor) - Math.max(x.startTicks, y.startTicks / factor);
      if (time <= 0) continue;
      all += time;
      if (x.root === y.root && x.quality === y.quality) same += time;
    }
  }
  return same / all;
}

/** All values doubled, at twice the tempo: half notes are beats, or bars are cut in two. */
function inDoubleValues(score: Score, isCut: boolean): Score {
  const doubled = score.bars.map((bar) => ({
    ...bar,
    startTicks: 2 * bar.startTicks,
    durationTicks: 2 * bar.durationTicks,
  }));
  const halves = doubled.flatMap((bar) => {
    const durationTicks = bar.durationTicks / 2;
    return [0, 1].map((half) => ({
      ...bar,
      number: `${bar.number}${"ab"[half]}`,
      startTicks: bar.startTicks + half * durationTicks,
      durationTicks,
    }));
  });
  return {
    ...score,
    bars: isCut ? halves : doubled.map((bar) => ({ ...bar, beatUnit: bar.beatUnit / 2 })),
    tempos: score.tempos.map((tempo) => ({
      ...tempo,
      onsetTicks: 2 * tempo.onsetTicks,
      quartersPerMinute: 2 * tempo.quartersPerMinute,
    })),
    notes: score.notes.map((note) => ({
      ...note,
      onsetTicks: 2 * note.onsetTicks,
      durationTicks: 2 * note.durationTicks,
    })),
  };
}

Deno.test("note values doubled at twice the tempo change at most a tenth of the time, mostly nothing", () => {
  const fourFour = SETTINGS.filter(({ bars }) => bars.every((bar) => bar.beatUnit === 4));
  for (const isCut of [false, true]) {
    const shares = fourFour.map((score) => sameShare(score, inDoubleValues(score, isCut)));
    console.log(
      `  ${isCut ? "bars cut in two" : "half notes as beats"}: ${shares.map((s) => s.toFixed(3)).join(", ")}`,
    );
    for (const share of shares) assert(share >= 0.9, `${share}`);
  }
});

/** Upper line, chords under it, and the notes beside the chords: beat, pitch and kind. */
const BESIDE: Readonly<Record<string, readonly [upper: string, lower: string, notes: readonly unknown[]]>> = {
  passing: ["e f g c' | c'4", "[C,E,G,]4 | [C,E,G,]4", [["1", 2, 77, "passing"]]],
  neighbour: ["g a g e | e4", "[C,E,G,]4 | [C,E,G,]4", [["1", 2, 81, "neighbour"]]],
  suspension: ["c'4- | c'2 b2 | c'4", "[C,E,G,]4 | [G,,D,G,B,]4 | [C,E,G,]4", [["2", 1, 84, "suspension"]]],
  anticipation: ["e3 d | d4", "[C,E,G,]4 | [G,,D,G,B,]4", [["1", 4, 74, "anticipation"]]],
  appoggiatura: ["c a2 g | g4", "[C,E,G,]4 | [C,E,G,]4", [["1", 2, 81, "appoggiatura"]]],
  escape: ["e f c2 | c4", "[C,E,G,]4 | [C,E,G,]4", [["1", 2, 77, "escape"]]],
  pedal: ["[ceg]4 | [Bdfg]4 | [ceg]4", "C,4- | C,4- | C,4", [["2", 1, 48, "pedal"]]],
};

for (const [kind, [upper, lower, notes]] of Object.entries(BESIDE)) {
  Deno.test(`notes beside the chord: ${kind}`, () => {
    const score = tune("M:4/4\nL:1/4\nK:C", `${upper} |]`, `${lower} |]`);
    const found = readHarmony(score).nonChordNotes.map((n) => [n.bar, n.beat, n.soundingPitch, n.kind]);
    assertEquals(found, [...notes]);
  });
}

Deno.test("chromatic chords are named after the step they lead to; a major tonic in minor is a tonic unless it leads on", () => {
  const steps = (bars: string, key: string) => degrees(tune(`M:4/4\nL:1/4\nK:${key}`, bars));
  assertEquals(steps("[CEGc]4 | [D^FAc]4 | [DGB]4 | [CEGc]4 |]", "C"), ["I", "V7/V", "V64", "I"]);
  assertEquals(steps("[A,CEA]4 | [D,A,DF]4 | [E,^G,B,E]4 | [A,^CEA]4 |]", "Am"), ["i", "iv", "V", "I"]);
  assertEquals(steps("[A,CEA]4 | [A,^CEG]4 | [D,A,DF]4 | [E,^G,B,D]4 | [A,CEA]4 |]", "Am"), [
    "i",
    "V7/iv",
    "iv",
    "V7",
    "i",
  ]);
});

Deno.test("augmented sixths are named by what stands in the fifth's place and by what they lead to", () => {
  const steps = (bar: string, next: string) =>
    degrees(tune("M:4/4\nL:1/4\nK:Cm", `[C,G,CE]4 | [F,CFA]4 | ${bar} | ${next} |]`))[2];
  const dominant = "[G,=B,DG]4 | [C,G,CE]4";
  assertEquals(steps("[A,,A,CE^F]4", dominant), "Ger65");
  assertEquals(steps("[A,,A,CE^F]4", "[G,,G,CE]2 [G,,G,=B,D]2 | [C,G,CE]4"), "Ger65");
  assertEquals(steps("[A,,A,CC^F]4", dominant), "It6");
  // The same notes leading on by a fifth are none.
  assertEquals(steps("[A,,A,CE_G]4", "[D,_A,_DF]4 | [D,A,DF]4"), "VI7");
});

Deno.test("a fourth or a ninth that stands for a bar is of the chord; one that resolves or passes is beside it", () => {
  const read = (bars: string) =>
    readHarmony(tune("M:4/4\nL:1/4\nK:C", bars)).spans.map((s) => [s.symbol, s.quality, s.degree]);
  assertEquals(read("[C,G,Ec]4 | [G,,DGc]4 | [C,G,Ec]4 |]")[1], [
    "Gsus4",
    "suspended fourth",
    "Vsus4",
  ]);
  assertEquals(read("[C,G,Ec]4 | [G,,DFGc]4 | [C,G,Ec]4 |]")[1]?.[0], "G7sus4");
  assertEquals(read("[F,CA]4 | [C,G,DE]4 | [F,CA]4 |]")[1], ["Cadd9", "add9", "V"]);
  assertEquals(read("[C,G,E]4 | [F,CEGA]4 | [C,G,E]4 |]")[1]?.slice(0, 2), ["Fmaj9", "major ninth"]);
  assertEquals(read("[C,G,Ec]4 | [G,,DGc]2 [G,,DGB]2 | [C,G,Ec]4 |]").map(([symbol]) => symbol), [
    "C",
    "G",
    "C",
  ]);
});

/** A texture in which parts have these roles throughout. */
function textureWith(score: Score, roles: readonly Role[]): Texture {
  const cells = score.bars.flatMap((_, barIndex) =>
    roles.map((role, part) =>
      ({
        barIndex,
        part,
        role,
        figure: "none",
        does: "silent",
        confidence: 1,
        leadShare: role === "lead" ? 1 : 0,
        reason: "",
        layer: "",
      }) as const
    )
  );
  return { origin: "written", cells, layers: [] };
}

Deno.test("with a texture, the bass is the lowest note of the parts that have it, and of all where they rest", () => {
  const score = tune("M:4/4\nL:1/4\nK:C", "[ceg]4 | [ceg]4 |]", "C4 | z4 |]", "E,4 | E,4 |]");
  const withBass = textureWith(score, ["pad", "bass", "figuration"]);
  const spans = [0, 1].map((bar) => {
    const { startTicks, durationTicks } = score.bars[bar]!;
    return { startTicks, endTicks: startTicks + durationTicks };
  });
  assertEquals(readHarmony(score, { spans }).spans.map((s) => s.symbol), ["C/E", "C/E"]);
  assertEquals(readHarmony(score, { spans, texture: withBass }).spans.map((s) => s.symbol), ["C", "C/E"]);
});

Deno.test("drums alone are no chord; quarter tones, grace notes and pitches beyond the keyboard are no fault", () => {
  const score = tune("M:4/4\nL:1/4\nK:C", "[CEG]4 | [CEG]4 |]");
  const drums = moved(score, (note) => ({ ...note, unpitched: true }));
  assertEquals(readHarmony(drums).spans.map((s) => s.symbol), ["N.C."]);
  const graces = moved(score, (note) => ({ ...note, grace: true, durationTicks: 0 }));
  assertEquals(readHarmony(graces).spans.map((s) => s.symbol), ["N.C."]);
  const bent = moved(score, (note) => ({ ...note, soundingPitch: note.soundingPitch + 0.3 }));
  assertEquals(readHarmony(bent).spans.map((s) => s.symbol), ["C"]);
  for (const by of [-72, 84]) {
    const far = moved(score, (note) => ({ ...note, soundingPitch: note.soundingPitch + by }));
    assertEquals(readHarmony(far).spans.map((s) => s.symbol), ["C"]);
  }
});

Deno.test("notes at random are read without fault, and every answer is finite", () => {
  const next = random(11);
  for (let run = 0; run < 40; run++) {
    const [metre, bar] = [["4/4", "C8"], ["6/8", "C6"], ["5/8", "C4 C"], ["3/2", "C12"]][run % 4]!;
    const base = tune(
      `M:${metre}
L:1/8
K:C`,
      `${bar} | ${bar} | ${bar} |]`,
    );
    const end = endTicksOf(base);
    const notes = Array.from({ length: Math.floor(next() * 60) }, () => {
      const onsetTicks = Math.floor(next() * end);
      const durationTicks = 1 + Math.floor(next() * (end - onsetTicks));
      return { ...base.notes[0]!, onsetTicks, durationTicks, soundingPitch: 30 + Math.floor(next() * 60) };
    });
    const { spans } = readHarmony({ ...base, notes: sortNotes(notes) });
    assertEquals(spans[0]!.startTicks, 0);
    assertEquals(spans.at(-1)!.endTicks, end);
    for (const { startTicks, confidence, explainedShare } of spans) {
      assert(Number.isInteger(startTicks));
      assert(Number.isFinite(confidence + explainedShare));
    }
  }
});

Deno.test("a finer grid changes nothing", () => {
  for (const score of SETTINGS) {
    const finer = refineGrid(score, score.ticksPerQuarter * 3);
    assertEquals(
      readHarmony(finer).spans.map((s) => ({ ...s, startTicks: s.startTicks / 3, endTicks: s.endTicks / 3 })),
      [...readHarmony(score).spans],
    );
  }
});

Deno.test("every constant may be set to the least that makes sense, or to much more than it is", () => {
  const score = SETTINGS[1]!;
  for (const [name, constant] of Object.entries(HARMONY_CONSTANTS)) {
    const { least, isLeastOut, most } = rangeOf(constant);
    for (
      const value of [
        isLeastOut ? least + 0.001 : least,
        Math.max(least, Math.min(most, constant.value * 50)),
      ]
    ) {
      const { spans, settings } = readHarmony(score, { constants: { [name]: value } });
      assertEquals(settings[name as keyof typeof settings], value);
      for (const { confidence } of spans) {
        assert(confidence >= 0 && confidence <= 1 + 1e-9, `${name} ${value}`);
      }
    }
  }
});
