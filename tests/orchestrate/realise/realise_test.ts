/** Every figure, in several metres and on instruments of all families, gives parts that can be put on a stand. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertMatch,
  assertStringIncludes,
  assertThrows,
} from "@std/assert";
import { demoPlans, demoSketch } from "../../../lib/demo.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { breathSeconds } from "../../../lib/instruments/breath.ts";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { instrumentById } from "../../../lib/instruments/catalogue.ts";
import { timpaniTuning } from "../../../lib/instruments/special/timpani.ts";
import { assign } from "../../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { type Sketch, sketchOf } from "../../../lib/orchestrate/plan/sketch.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";
import { lowIntervalLimit } from "../../../lib/score/low_interval_limit.ts";
import type { Note, Score } from "../../../lib/score/model.ts";
import { barIndexOf, endTicksOf } from "../../../lib/score/time.ts";
import { type Figure, figureById, type FigureId, FIGURES } from "../../../lib/texture/figures.ts";
import { ANY_SKETCHS_FIGURES } from "../../setup/generated_settings.ts";
import { faultsOf, harmonyAt, notesOf, passagePlan, pitchClass, SKETCHES, wholePlan } from "../sketches.ts";

const LAYERS: readonly (readonly string[])[] = [
  ["Flute 1"],
  ["Piccolo"],
  ["Oboes"],
  ["Clarinets", "Bass clarinet"],
  ["Bassoons", "Contrabassoon"],
  ["Horns"],
  ["Trombones", "Bass trombone", "Tuba"],
  ["Violins I", "Violins II", "Violas"],
  ["Cellos"],
  ["Double basses"],
  ["Harp"],
  ["Celesta", "Piano"],
  ["Glockenspiel"],
  ["Timpani"],
  ["Snare drum", "Cymbals", "Bass drum"],
];

const WITHOUT_TUNE = ANY_SKETCHS_FIGURES.filter((f) => f.id !== "tune");

/** What goes outside the chord by its meaning: tones kept over the harmony, the note below a trill. */
const OUTSIDE_CHORDS: readonly string[] = [
  "ostinato in eighths",
  "ostinato in sixteenths",
  "trill with a turn",
];
const PLAIN = SKETCHES["four-four"]!;

function realiseLoosely(sketch: Sketch, figure: Figure, parts: readonly string[], more = {}): Score {
  const plan = wholePlan(sketch, { role: figure.role, figure: figure.id, parts, ...more });
  return realise(sketch, plan, { refuseImpossible: false });
}

/** Where what runs on to the end lands in the last bar: with the last note of the tune where that is on a stroke, or else on the downbeat. */
function landingIn(sketch: Sketch, score: Score, strokes: readonly number[]): number {
  const last = sketch.tune.at(-1)!.onsetTicks * score.ticksPerQuarter / sketch.score.ticksPerQuarter;
  const { startTicks } = score.bars.at(-1)!;
  return strokes.includes(last) ? Math.max(startTicks, last) : startTicks;
}

for (const [s, [name, sketch]] of Object.entries(SKETCHES).entries()) {
  Deno.test(`${name}: every figure on every family is on the grid, in range, without overlaps or loose slurs`, () => {
    for (const [k, figure] of ANY_SKETCHS_FIGURES.entries()) {
      // Half of all: every figure on every family in some of the sketches, and in every sketch on some of the families.
      for (const parts of LAYERS.filter((_, l) => (s + k + l) % 2 === 0)) {
        // One pitch repeated cannot be slurred; that is refused, see below.
        for (
          const articulation of figure.role === "pulse" ? ["plain"] as const : ["plain", "slurred"] as const
        ) {
          const score = realiseLoosely(sketch, figure, parts, { articulation });
          const faults = faultsOf(score, "rangeComfortable");
          // A tune wider than the instrument cannot be made to fit; playability refuses it, tested below.
          const wide = figure.id === "tune" ? faults.filter((f) => !f.includes("outside")) : faults;
          assertEquals(wide, [], `${figure.id} on ${parts.join(" + ")}, ${articulation}`);
        }
      }
    }
  });

  Deno.test(`${name}: figures with a rhythm begin exactly where the figure says, and nowhere else`, () => {
    for (const figure of FIGURES.filter((f) => f.cellQuarters === 1)) {
      const score = realiseLoosely(sketch, figure, ["Violins I", "Violas"]);
      const quarter = score.ticksPerQuarter;
      const expected: number[] = [];
      for (const bar of score.bars) {
        const end = bar.startTicks + bar.durationTicks;
        for (let beat = bar.startTicks; beat < end; beat += quarter) {
          for (const stroke of figure.strokes) {
            const ticks = beat + stroke.at * quarter;
            if (ticks < end && harmonyAt(sketch, score, ticks)) expected.push(ticks);
          }
        }
      }
      const landing = landingIn(sketch, score, expected);
      const placed = figure.role === "figuration" || figure.role === "run"
        ? [...expected.filter((ticks) => ticks < landing), landing]
        : expected;
      for (const part of ["Violins I", "Violas"]) {
        assertEquals(notesOf(score, part).map((n) => n.onsetTicks), placed, `${figure.id}, ${part}`);
      }
    }
  });

  Deno.test(`${name}: held figures sound through every bar that has a harmony, and only there`, () => {
    for (
      const id of ["held chord", "trill", "tremolo", "sustained bass", "bass in half notes", "second line"]
    ) {
      const score = realiseLoosely(sketch, figureById(id)!, ["Violas", "Cellos"]);
      for (const part of ["Violas", "Cellos"]) {
        const sounding = notesOf(score, part).reduce((sum, n) => sum + n.durationTicks, 0);
        const factor = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
        const harmonic = sketch.harmonies.reduce((sum, h) => sum + h.durationTicks * factor, 0);
        assertEquals(sounding, harmonic, `${id}, ${part}`);
      }
    }
  });

  Deno.test(`${name}: outside lines and runs, every note belongs to the harmonies it sounds in, to its end`, () => {
    for (
      const figure of WITHOUT_TUNE.filter((f) =>
        f.shape !== "scale" && f.shape !== "second line" && !OUTSIDE_CHORDS.includes(f.id)
      )
    ) {
      const score = realiseLoosely(sketch, figure, ["Clarinets", "Violins I", "Violas", "Cellos"]);
      for (const n of score.notes) {
        const factor = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
        const harmonies = sketch.harmonies.filter((h) =>
          h.onsetTicks * factor < n.onsetTicks + n.durationTicks &&
          (h.onsetTicks + h.durationTicks) * factor > n.onsetTicks
        );
        const where = `${figure.id}, bar ${score.bars[barIndexOf(score, n.onsetTicks)]!.number}`;
        assert(harmonies.length > 0, where);
        for (const h of harmonies) {
          const allowed = [...h.tones, h.bass].map((t) => t.pitchClass);
          assert(allowed.includes(pitchClass(n.soundingPitch)), where);
        }
        // What is held may be a tone of several chords.
        if (figure.cellQuarters > 0) assertEquals(new Set(harmonies.map((h) => h.symbol)).size, 1, where);
        assert(n.spelling !== undefined, where);
      }
    }
  });

  // Common practice of two-part writing, no source.
  Deno.test(`${name}: a second line goes by step, and what is no tone of the chord is passed through or resolved`, () => {
    for (const part of ["Clarinet 1", "Violas", "Cellos", "Horn 1"]) {
      const score = realiseLoosely(sketch, figureById("second line")!, [part], { articulation: "plain" });
      const line = notesOf(score, part);
      const isOfChord = (n: Note) =>
        harmonyAt(sketch, score, n.onsetTicks)!.tones.some((t) =>
          t.pitchClass === pitchClass(n.soundingPitch)
        );
      const moves = line.slice(1).map((n, i) => n.soundingPitch - line[i]!.soundingPitch);
      const share = (fits: (move: number) => boolean) => moves.filter(fits).length / moves.length;
      assertLess(share((move) => move === 0), 0.34, part);
      assertGreater(share((move) => move !== 0 && Math.abs(move) <= 2), 0.4, part);
      line.forEach((n, i) => {
        if (isOfChord(n)) return;
        const [before, after] = [moves[i - 1], moves[i]];
        assert(before !== undefined && Math.abs(before) <= 2, `${part}, note ${i} is reached by ${before}`);
        assert(
          after !== undefined && after !== 0 && Math.abs(after) <= 2,
          `${part}, note ${i} is left by ${after}`,
        );
        if (before === 0) assertLess(after, 0, "what is held on falls");
      });
    }
  });

  Deno.test(`${name}: the bass takes the tone after the slash`, () => {
    for (const figure of FIGURES.filter((f) => f.role === "bass" && f.shape !== "second line")) {
      const score = realiseLoosely(sketch, figure, ["Double basses"]);
      const isInMarch = figure.id === "bass on one and three";
      for (const n of score.notes) {
        const { bass, tones } = harmonyAt(sketch, score, n.onsetTicks)!;
        const fifth = isInMarch && bass.pitchClass === tones[0]!.pitchClass
          ? [(bass.pitchClass + 7) % 12]
          : [];
        assert([bass.pitchClass, ...fifth].includes(pitchClass(n.soundingPitch)), figure.id);
      }
      if (isInMarch) continue; // one of two beats may leave a harmony out
      if (figure.id === "bass on the downbeat") {
        const downbeats = score.bars.filter((bar) => harmonyAt(sketch, score, bar.startTicks) !== undefined);
        assertEquals(score.notes.length, downbeats.length, "one note for each downbeat that has a harmony");
        continue;
      }
      assertEquals(
        new Set(score.notes.map((n) => harmonyAt(sketch, score, n.onsetTicks)!.onsetTicks)).size,
        sketch.harmonies.length,
        `${figure.id} leaves no harmony out`,
      );
    }
  });

  Deno.test(`${name}: a scale into the bar goes by step in sixteenths and lands on a chord tone on the downbeat`, () => {
    const figure = figureById("scale into the bar")!;
    for (const part of ["Flute 1", "Violins I", "Cellos"]) {
      const articulation = figure.role === "pulse" ? "plain" : "slurred";
      const score = realiseLoosely(sketch, figure, [part], { articulation });
      const line = notesOf(score, part);
      const step = score.ticksPerQuarter / 4;
      const starts = score.bars.map((b) => b.startTicks);
      const landings = line.filter((n) => n.durationTicks > step);
      assertGreater(landings.length, 0);
      for (const n of landings) {
        assert(starts.includes(n.onsetTicks), `${part}: a landing off the downbeat`);
        const tones = harmonyAt(sketch, score, n.onsetTicks)?.tones.map((t) => t.pitchClass);
        if (tones) assert(tones.includes(pitchClass(n.soundingPitch)), `${part}: no chord tone`);
      }
      for (const [i, n] of line.entries()) {
        if (n.durationTicks !== step) continue;
        const next = line[i + 1];
        if (next === undefined || next.onsetTicks !== n.onsetTicks + step) {
          // The last bar of the passage has no next downbeat inside the sketch.
          assertEquals(n.onsetTicks + step, score.bars.at(-1)!.startTicks + score.bars.at(-1)!.durationTicks);
          continue;
        }
        const interval = next.soundingPitch - n.soundingPitch;
        assert(interval >= 1 && interval <= 3, `${part}: ${interval} semitones`);
      }
    }
  });

  Deno.test(`${name}: a running scale goes by step without a gap`, () => {
    const score = realiseLoosely(sketch, figureById("running scale")!, ["Violins I"]);
    const line = notesOf(score, "Violins I");
    line.forEach((n, i) => {
      const next = line[i + 1];
      if (!next || next.onsetTicks !== n.onsetTicks + n.durationTicks) return;
      const interval = Math.abs(next.soundingPitch - n.soundingPitch);
      // It lands on a tone of the chord, which may be a fourth away.
      const most = i === line.length - 2 ? 5 : 3;
      assert(interval >= 1 && interval <= most, `${interval} semitones`);
    });
  });

  Deno.test(`${name}: pads are complete, clear below, in their places and move little`, () => {
    for (
      const parts of [["Horns"], ["Violins I", "Violins II", "Violas", "Cellos"], [
        "Clarinets",
        "Bassoons",
        "Horns",
      ]]
    ) {
      const score = realiseLoosely(sketch, figureById("held chord")!, parts);
      for (const ticks of new Set(score.notes.map((n) => n.onsetTicks))) {
        const chord = score.notes.filter((n) =>
          n.onsetTicks <= ticks && n.onsetTicks + n.durationTicks > ticks
        );
        const tones = harmonyAt(sketch, score, ticks)!.tones.map((t) => t.pitchClass);
        const where = `${parts.join(" + ")}, ${harmonyAt(sketch, score, ticks)!.symbol}`;
        assertEquals(new Set(chord.map((n) => pitchClass(n.soundingPitch))), new Set(tones), where);
        const pitches = chord.map((n) => n.soundingPitch).sort((a, b) => a - b);
        pitches.slice(1).forEach((p, i) => {
          const interval = p - pitches[i]!;
          assert(interval === 0 || pitches[i]! >= lowIntervalLimit(interval), `${where}: ${pitches}`);
        });
      }
      const moves = score.parts.flatMap((part) => {
        const line = notesOf(score, part.name);
        return line.slice(1).map((n, i) => Math.abs(n.soundingPitch - line[i]!.soundingPitch));
      });
      const mean = moves.reduce((a, b) => a + b, 0) / moves.length;
      assertLess(mean, 3, `${parts.join(" + ")} move ${mean.toFixed(2)} semitones on average`);
    }
  });
}

Deno.test("players of one kind do not share a pitch in a pad while the chord has tones to spare", () => {
  const score = realise(
    PLAIN,
    wholePlan(PLAIN, { role: "pad", parts: ["Clarinets", "Horns", "Violins II", "Violas"] }),
  );
  const horns = score.parts.flatMap((p, i) => p.name.startsWith("Horn") ? [i] : []);
  const chords = Map.groupBy(score.notes.filter((n) => horns.includes(n.part)), (n) => n.onsetTicks);
  for (const chord of chords.values()) {
    assertEquals(new Set(chord.map((n) => n.soundingPitch)).size, chord.length);
  }
});

Deno.test("the tune is the sketch's tune, note for note, in one octave per part", () => {
  for (const [name, sketch] of Object.entries(SKETCHES)) {
    for (const part of ["Flute 1", "Violins I", "Cellos", "Horn 1", "Piano"]) {
      const score = realise(sketch, wholePlan(sketch, { role: "lead", parts: [part] }), {
        refuseImpossible: false,
      });
      const line = notesOf(score, part);
      const factor = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
      assertEquals(line.map((n) => n.onsetTicks), sketch.tune.map((n) => n.onsetTicks * factor), name);
      const shifts = new Set(line.map((n, i) => n.soundingPitch - sketch.tune[i]!.soundingPitch));
      assertEquals(shifts.size, 1, `${name}, ${part}`);
      assertEquals([...shifts][0]! % 12, 0);
    }
  }
});

Deno.test("a run lands beyond its passage where the part rests there, and on the next layer's note where it plays", () => {
  const run = { role: "run", figure: "scale into the bar" } as const;
  const passage = (fromBar: number, toBar: number, layer: Parameters<typeof assign>[0]) => ({
    name: `from ${fromBar}`,
    fromBar,
    toBar,
    assignments: [assign(layer)],
  });
  const before = passage(1, 4, { ...run, parts: ["Flutes"] });
  const landing = (after: ReturnType<typeof passage>) => {
    const score = realise(PLAIN, { name: "two passages", passages: [before, after] });
    const { startTicks, durationTicks } = score.bars[4]!;
    return notesOf(score, "Flute 1")
      .filter((n) => n.onsetTicks >= startTicks && n.onsetTicks < startTicks + durationTicks)
      .map((n) => [n.onsetTicks - startTicks, n.layer?.split(" ").at(-1)]);
  };
  assertEquals(landing(passage(5, 8, { ...run, parts: ["Flute 1"] })), [[0, "run"]]);
  assertEquals(landing(passage(6, 8, { role: "pad", parts: ["Flute 1"] })), [[0, "run"]]);
  assertEquals(landing(passage(5, 8, { role: "pad", parts: ["Flute 1"] })), [[0, "pad"]]);
});

Deno.test("a part keeps the octave of the tune from passage to passage where it can", () => {
  const passages = [[1, 4], [5, 8]].map(([fromBar, toBar]) => ({
    name: `from ${fromBar}`,
    fromBar: fromBar!,
    toBar: toBar!,
    assignments: [assign({ role: "lead", parts: ["Flute 1", "Bassoon 1"] })],
  }));
  const score = realise(PLAIN, { name: "two passages", passages });
  for (const part of ["Flute 1", "Bassoon 1"]) {
    const shifts = notesOf(score, part).map((n, i) => n.soundingPitch - PLAIN.tune[i]!.soundingPitch);
    assertEquals(new Set(shifts).size, 1, part);
  }
});

Deno.test("cellos double the double basses an octave up", () => {
  const score = realise(PLAIN, wholePlan(PLAIN, { role: "bass", parts: ["Cellos", "Double basses"] }));
  const basses = notesOf(score, "Double basses");
  const octaves = notesOf(score, "Cellos").map((n, i) => n.soundingPitch - basses[i]!.soundingPitch);
  assertEquals(octaves.filter((o) => o === 12).length, octaves.length, `${octaves}`);
});

Deno.test("a pad is voiced clear of the bass below it, and under the lead above it", () => {
  const score = realise(
    PLAIN,
    wholePlan(PLAIN, { role: "lead", parts: ["Violins I"], octave: 0 }, {
      role: "pad",
      parts: ["Horns", "Violas"],
    }, {
      role: "bass",
      parts: ["Cellos", "Double basses"],
    }),
  );
  const lead = notesOf(score, "Violins I");
  for (const bar of score.bars) {
    const here = score.notes.filter((n) =>
      n.onsetTicks >= bar.startTicks && n.onsetTicks < bar.startTicks + bar.durationTicks
    );
    const chord = here.filter((n) => !lead.includes(n)).map((n) => n.soundingPitch).sort((a, b) => a - b);
    chord.slice(1).forEach((p, i) => {
      const interval = p - chord[i]!;
      assert(interval === 0 || chord[i]! >= lowIntervalLimit(interval), `bar ${bar.number}: ${chord}`);
    });
    const lowestLead = Math.min(...here.filter((n) => lead.includes(n)).map((n) => n.soundingPitch));
    assert(chord.at(-1)! <= lowestLead, `bar ${bar.number}: ${chord.at(-1)} above ${lowestLead}`);
  }
});

Deno.test("in compound time bass, pulse and second line can go with the beat", () => {
  const sketch = SKETCHES["six-eight"]!;
  const places = (role: "bass" | "pulse" | "counterline", figure: FigureId) => {
    const score = realise(sketch, wholePlan(sketch, { role, figure, parts: ["Cellos"] }));
    const quarter = score.ticksPerQuarter;
    return score.bars.map((bar) =>
      score.notes.filter((n) =>
        n.onsetTicks >= bar.startTicks && n.onsetTicks < bar.startTicks + bar.durationTicks
      )
        .map((n) => (n.onsetTicks - bar.startTicks) / quarter)
    );
  };
  for (
    const [role, figure, expected] of [
      ["bass", "bass on every dotted quarter", [0, 3 / 2]],
      ["counterline", "second line", [0, 3 / 2]],
      ["pulse", "quarter and eighth", [0, 1, 3 / 2, 5 / 2]],
      ["pulse", "off-beats in threes", [1 / 2, 1, 2, 5 / 2]],
    ] as const
  ) {
    for (const bar of places(role, figure)) assertEquals(bar, [...expected], figure);
  }
});

Deno.test("a pad holds the common tones of chords over bar lines, and moves the others", () => {
  const sketch = sketchOf(
    readAbc('X:1\nT:common tone\nM:4/4\nL:1/4\nK:C\n"C" g4 | "C" c2 "Am" e2 | "G" d4 |]\n', {
      file: "c.abc",
    }),
  );
  const score = realise(sketch, wholePlan(sketch, { role: "pad", parts: ["Horns"] }));
  const [first, second, third] = score.bars;
  assertGreater(
    score.notes.filter((n) =>
      n.onsetTicks === 0 && n.durationTicks === third!.startTicks &&
      [0, 4].includes(pitchClass(n.soundingPitch))
    ).length,
    0,
    "C and E of C major and A minor are held for two bars",
  );
  assertEquals(score.notes.filter((n) => n.onsetTicks === second!.startTicks), [], "C major goes on");
  assertEquals(score.notes.filter((n) => n.onsetTicks === first!.startTicks).length, 4);
});

// Common practice, no source: kettledrums are tuned to root and fifth.
Deno.test("timpani strike root or fifth of the chord, whatever others play", () => {
  for (const [name, sketch] of Object.entries(SKETCHES)) {
    for (const parts of [["Timpani"], ["Trombones", "Timpani"], ["Piano", "Timpani"]]) {
      const score = realise(sketch, wholePlan(sketch, { role: "punctuation", parts }), {
        refuseImpossible: false,
      });
      const notes = notesOf(score, "Timpani");
      assert(notes.length > 0);
      for (const n of notes) {
        const { tones, symbol } = harmonyAt(sketch, score, n.onsetTicks)!;
        assert(
          [tones[0], tones[2]].some((t) => t?.pitchClass === pitchClass(n.soundingPitch)),
          `${name}, ${symbol}`,
        );
      }
    }
  }
});

// Common practice, no source: drums are tuned for a passage, not for each bar.
Deno.test("timpani are tuned once for a passage where four drums have a root or fifth for every chord", () => {
  for (const role of ["punctuation", "pulse", "trill"] as const) {
    for (const [name, sketch] of Object.entries(SKETCHES)) {
      const figure = role === "trill" ? { figure: "tremolo" as const } : {};
      const score = realise(sketch, wholePlan(sketch, { role, parts: ["Timpani"], ...figure }), {
        refuseImpossible: false,
      });
      const pitches = new Set(notesOf(score, "Timpani").map((n) => n.soundingPitch));
      const chords = new Set(sketch.harmonies.map((h) => h.tones[0]!.pitchClass)).size;
      if (chords <= 4) assert(timpaniTuning([...pitches]).possible, `${name}, ${role}: ${[...pitches]}`);
      assertLess(pitches.size, 6, `${name}, ${role}`);
    }
  }
});

// Common practice, no source.
Deno.test("a second line of low instruments stays below the lead, one above a low lead keeps its place", () => {
  for (const [name, sketch] of Object.entries(SKETCHES)) {
    const score = realise(
      sketch,
      wholePlan(
        sketch,
        { role: "lead", parts: ["Violins I"], octave: 0 },
        { role: "counterline", parts: ["Cellos"] },
        { role: "bass", parts: ["Double basses"] },
      ),
    );
    const lead = notesOf(score, "Violins I");
    for (const n of notesOf(score, "Cellos")) {
      const above = lead.filter((m) =>
        m.onsetTicks < n.onsetTicks + n.durationTicks && m.onsetTicks + m.durationTicks > n.onsetTicks
      );
      for (const m of above) assertLess(n.soundingPitch, m.soundingPitch, `${name}, tick ${n.onsetTicks}`);
    }
  }
  const horns = wholePlan(
    PLAIN,
    { role: "lead", parts: ["Horn 1"], octave: -1 },
    { role: "counterline", parts: ["Flute 1"] },
  );
  const score = realise(PLAIN, horns);
  const mean = (part: string) =>
    notesOf(score, part).reduce((sum, n) => sum + n.soundingPitch, 0) / notesOf(score, part).length;
  assertGreater(mean("Flute 1"), mean("Horn 1"));
});

Deno.test("the octave of the plan is kept for lead and counterline, and moves the others", () => {
  const lead = realise(PLAIN, wholePlan(PLAIN, { role: "lead", parts: ["Violins I"], octave: 1 }));
  assertEquals(notesOf(lead, "Violins I")[0]!.soundingPitch, PLAIN.tune[0]!.soundingPitch + 12);
  const meanAt = (octave: number) => {
    const { notes } = realise(PLAIN, wholePlan(PLAIN, { role: "pulse", parts: ["Violins I"], octave }));
    return notes.reduce((sum, n) => sum + n.soundingPitch, 0) / notes.length;
  };
  assertGreater(meanAt(1), meanAt(0) + 6);
});

Deno.test("a tune that does not fit an instrument is refused with part, bar, rule and a way out", () => {
  const error = assertThrows(
    () => realise(PLAIN, wholePlan(PLAIN, { role: "lead", parts: ["Tuba"], octave: 1 })),
    InputError,
  );
  assertStringIncludes(error.message, "Tuba");
  assertStringIncludes(error.message, "rule: ");
  assertEquals([error.where.part, error.where.bar], ["Tuba", "1"]);
  assert(error.remedy.length > 10);
});

Deno.test("a crescendo rises from its first mark to the one in its last bar, a diminuendo falls; both are printed", () => {
  for (const [from, to, sign] of [["p", "f", 1], ["ff", "pp", -1]] as const) {
    const plan = wholePlan(PLAIN, { role: "pulse", parts: ["Violas"], dynamic: from, dynamicEnd: to });
    const score = realise(PLAIN, plan);
    const lastBar = score.bars.at(-1)!.startTicks;
    const level = { p: 3, ff: 7, f: 6, pp: 2 };
    score.notes.forEach((n, i) => {
      const before = score.notes[i - 1];
      if (n.onsetTicks >= lastBar) assertAlmostEquals(n.dynamic, level[to], 1e-9);
      else if (before) assertGreater(sign * (n.dynamic - before.dynamic), 0);
    });
    assertAlmostEquals(score.notes[0]!.dynamic, level[from], 1e-9);
    assertEquals(
      score.parts[0]!.writtenDynamics!.map(({ onsetTicks, kind, mark }) => [onsetTicks, mark ?? kind]),
      [[0, from], [0, sign > 0 ? "growing" : "fading"], [lastBar, to]],
    );
    // The word stands behind the mark, not under it.
    assertMatch(
      writeMusicXml(score).replaceAll(/>\s+</g, "><"),
      new RegExp(
        `<${from}/></dynamics></direction-type><direction-type><words[^>]*>${sign > 0 ? "cresc" : "dim"}`,
      ),
    );
  }
});

// Common practice, no source.
Deno.test("hairpins begin and end under notes, and a mark follows whatever comes next", () => {
  for (const plan of Object.values(demoPlans())) {
    const score = realise(demoSketch(), plan);
    score.parts.forEach((part, p) => {
      const notes = score.notes.filter((n) => n.part === p);
      const sounds = (ticks: number) =>
        notes.some((n) => n.onsetTicks <= ticks && n.onsetTicks + n.durationTicks > ticks);
      for (const sign of part.writtenDynamics!) {
        assert(sounds(sign.onsetTicks), `${plan.name}, ${part.name}: ${sign.kind} over a rest`);
        if (sign.kind !== "stop") continue;
        assert(
          part.writtenDynamics!.some((s) => s.kind === "mark" && s.onsetTicks === sign.onsetTicks),
          `${plan.name}, ${part.name}: nowhere to go`,
        );
      }
    });
    const again = readMusicXml(writeMusicXml(score));
    assertEquals(
      again.notes.map((n) => Math.round(n.dynamic * 1000)),
      score.notes.map((n) => Math.round(n.dynamic * 1000)),
      plan.name,
    );
  }
});

Deno.test("technique, stroke, tremolo and trill reach every note", () => {
  const plan = wholePlan(
    PLAIN,
    { role: "pulse", parts: ["Violas"], technique: "pizzicato" },
    { role: "pulse", parts: ["Violins II"], articulation: "spiccato" },
    { role: "trill", figure: "tremolo", parts: ["Violins I"], technique: "sul ponticello" },
    { role: "trill", figure: "trill", parts: ["Clarinet 1"] },
    { role: "punctuation", parts: ["Trombones"], articulation: "marcato" },
  );
  const score = realise(PLAIN, plan);
  const all = (part: string, test: (n: Note) => boolean) => {
    const line = notesOf(score, part);
    assert(line.length > 0 && line.every(test), part);
  };
  all("Violas", (n) => n.technique === "pizzicato");
  all("Violins II", (n) => n.articulations.includes("spiccato") && n.technique === "ordinario");
  all("Violins I", (n) => n.tremoloSlashes === 3 && n.technique === "sul ponticello");
  all("Clarinet 1", (n) => n.trill && n.tremoloSlashes === 0);
  all("Trombone 2", (n) => n.articulations.includes("marcato"));
});

Deno.test("slurred layers have one slur a bar over notes that change pitch, and no stroke within it", () => {
  const score = realise(
    PLAIN,
    wholePlan(PLAIN, {
      role: "figuration",
      figure: "broken chord in eighths",
      parts: ["Clarinet 1"],
      articulation: "slurred",
    }),
  );
  const line = notesOf(score, "Clarinet 1");
  const starts = line.filter((n) => n.slurStart).map((n) => barIndexOf(score, n.onsetTicks));
  // In the last bar it lands on one note.
  const slurred = [...score.bars.keys()].slice(0, -1);
  assertEquals(starts, slurred);
  assertEquals(line.filter((n) => n.slurStop).length, slurred.length);
});

Deno.test("blown parts get room to breathe, struck and bowed ones lose nothing", () => {
  const sketch = PLAIN;
  const plan = wholePlan(
    sketch,
    { role: "lead", parts: ["Flute 1"] },
    { role: "pulse", figure: "repeated eighths", parts: ["Bassoon 1", "Violas"] },
    { role: "pad", parts: ["Horns"], dynamic: "mp" },
  );
  const score = realise(sketch, plan);
  const secondsPerTick = 60 / score.tempos[0]!.quartersPerMinute / score.ticksPerQuarter;
  for (const name of ["Flute 1", "Bassoon 1", "Horn 1", "Horn 4"]) {
    const line = notesOf(score, name);
    let since = line[0]!.onsetTicks;
    let longest = 0;
    line.forEach((n, i) => {
      const end = n.onsetTicks + n.durationTicks;
      longest = Math.max(longest, (end - since) * secondsPerTick);
      const next = line[i + 1];
      const isComma = n.articulations.includes("breath");
      if (next && (isComma || (next.onsetTicks - end) * secondsPerTick >= 0.2)) since = next.onsetTicks;
    });
    const loudest = Math.max(...line.map((n) => n.dynamic));
    const breath = breathSeconds(instrumentById(score.parts[line[0]!.part]!.instrument), loudest)!;
    assertLess(longest, breath, `${name} plays ${longest.toFixed(1)} s in one breath`);
  }
  assertEquals(notesOf(score, "Flute 1").length, sketch.tune.length, "a melody keeps all its notes");
  assertGreater(notesOf(score, "Flute 1").filter((n) => n.articulations.includes("breath")).length, 0);
  assertEquals(notesOf(score, "Violas").length, score.bars.length * 8);
  const horns = ["Horn 1", "Horn 2", "Horn 3", "Horn 4"].map((name) => notesOf(score, name));
  const end = endTicksOf(score);
  for (let ticks = 0; ticks < end; ticks += score.ticksPerQuarter / 4) {
    const silent = horns.map((line) =>
      !line.some((n) => n.onsetTicks <= ticks && n.onsetTicks + n.durationTicks > ticks)
    );
    assert(!silent.some((is, i) => is && silent[i + 1] === true), "the players of a pad breathe in turn");
  }
});

// Common practice, no source: a bass breathes before its downbeats, not on them.
Deno.test("a bass of one player keeps every downbeat, and at least half of each note there", () => {
  const chords = ["Bb", "Eb", "F7", "Gm", "Cm"];
  const figures = ["bass on every quarter", "bass in half notes", "walking bass", "sustained bass"] as const;
  for (const tempo of [60, 100, 144, 200]) {
    for (
      const [metre, beats, unit] of [["2/4", 2, 4], ["4/4", 4, 4], ["6/8", 6, 8], ["3+2+2/8", 7, 8]] as const
    ) {
      const bars = Array.from(
        { length: 16 },
        (_, i) => `"${chords[i % 5]}"${"BecdG"[i % 5]}${"d".repeat(beats - 1)}`,
      );
      const head = `X:1\nT:Shoal\nM:${metre}\nL:1/${unit}\nQ:1/4=${tempo}\nK:Bb\n`;
      const sketch = sketchOf(readAbc(`${head}${bars.join("|")}|]`, { file: "shoal.abc" }));
      for (const figure of figures) {
        for (const part of ["Tuba", "Bassoon 1"]) {
          const score = realise(
            sketch,
            wholePlan(sketch, { role: "lead", parts: ["Violins I"] }, {
              role: "bass",
              figure,
              dynamic: "f",
              parts: [part, "Double basses"],
            }),
            { refuseImpossible: false },
          );
          const whole = notesOf(score, "Double basses");
          for (const { startTicks, number } of score.bars) {
            const own = notesOf(score, part).find((n) =>
              n.onsetTicks <= startTicks && n.onsetTicks + n.durationTicks > startTicks
            );
            const where = `${part}, ${figure}, ${metre} at ${tempo}, bar ${number}`;
            assert(own !== undefined, where);
            const struck = whole.find((n) => n.onsetTicks === startTicks);
            if (figure === "sustained bass" || own.onsetTicks < startTicks || !struck) continue;
            assert(own.durationTicks >= struck.durationTicks / 2, where);
          }
        }
      }
    }
  }
});

Deno.test("percussion without pitch gets its one sound and no spelling", () => {
  const score = realise(
    PLAIN,
    wholePlan(PLAIN, { role: "pulse", figure: "eighth and two sixteenths", parts: ["Snare drum"] }, {
      role: "punctuation",
      parts: ["Cymbals"],
    }),
  );
  for (const n of score.notes) {
    assert(n.unpitched && n.spelling === undefined);
    assertEquals(n.soundingPitch, instrumentById(score.parts[n.part]!.instrument).percussionKey);
  }
  assertEquals(notesOf(score, "Snare drum").length, score.bars.length * 4 * 3);
  assertEquals(notesOf(score, "Cymbals").length, score.bars.length);
});

Deno.test("percussion without pitch plays where there is no chord, too", () => {
  const sketch = SKETCHES["three-four, slash chords, a bar without chord"]!;
  const score = realise(
    sketch,
    wholePlan(sketch, { role: "pulse", figure: "repeated quarters", parts: ["Snare drum"] }),
  );
  assertEquals(score.notes.length, score.bars.length * 3);
});

Deno.test("the plan's tempo, its players and parts that rest are taken over", () => {
  const plan = {
    ...wholePlan(PLAIN, { role: "lead", parts: ["Violins I"] }),
    quartersPerMinute: 63.5,
    players: { "Violins I": 10 },
  };
  const score = realise(PLAIN, plan);
  assertEquals(score.tempos, [{ onsetTicks: 0, quartersPerMinute: 63.5, origin: "marked" }]);
  assertEquals(score.parts.map((p) => [p.name, p.players]), [["Violins I", 10]]);
  const full = realise(PLAIN, plan, { tacetParts: true });
  assertGreater(full.parts.length, 30);
  assertEquals(notesOf(full, "Violins I").length, score.notes.length);
  assertEquals(full.layers?.map((l) => l.parts.map((p) => full.parts[p]!.name)), [["Violins I"]]);
});

Deno.test("what a plan cannot ask for is refused in one sentence, with row and column where the plan was a table", () => {
  const where = { file: "plan.csv", row: 3 };
  const lead = { role: "lead", parts: ["Violins I"], where } as const;
  const refusals: readonly (readonly [() => unknown, RegExp])[] = [
    [
      () => realise(PLAIN, wholePlan(PLAIN, { ...lead, parts: ["Flute 9"] })),
      /^Cannot realise the plan: "Flute 9" is not in the orchestra \(plan\.csv, row 3, column parts\)\. Its parts are /,
    ],
    [
      () => realise(PLAIN, wholePlan(PLAIN, { ...lead, parts: ["Horn 1", "Horns"] })),
      /"Horn 1" is named twice in one layer \(plan\.csv, row 3, column parts\)\. /,
    ],
    [
      () => realise(PLAIN, wholePlan(PLAIN, lead, { role: "pulse", parts: ["Violins I"], where })),
      /"Violins I" has two roles in bar 1, lead and pulse \(plan\.csv, row 3, column parts\)\. /,
    ],
    [
      () => realise(PLAIN, passagePlan(5, 9, lead)),
      /bar 9, but the sketch has bars 1 to 8 \(plan\.csv, row 3, column to_bar\)\. /,
    ],
    [() => realise(PLAIN, passagePlan(0, 4, lead)), /bar 0, but .* \(plan\.csv, row 3, column from_bar\)\. /],
    [() => realise(PLAIN, passagePlan(6, 3, lead)), /Cannot realise the plan: .*bar 3.*bar 6/],
    [() => realise(PLAIN, { name: "empty", passages: [] }), /it has no layers \(empty\)/],
    [() => realise(PLAIN, passagePlan(1, 2)), /it has no layers/],
    [
      () => realise(PLAIN, { ...wholePlan(PLAIN, lead), quartersPerMinute: 0 }),
      /its tempo is 0 quarters per minute \(test plan\)\. /,
    ],
    [
      () => realise(PLAIN, { ...wholePlan(PLAIN, lead), players: { Sousaphone: 2 } }),
      /it sets the players of "Sousaphone", which is not in the orchestra/,
    ],
    [
      () => realise(PLAIN, { ...wholePlan(PLAIN, lead), players: { "Violins I": 0 } }),
      /it gives "Violins I" 0 players/,
    ],
  ];
  for (const [call, message] of refusals) {
    const error = assertThrows(call, InputError, undefined, String(message));
    assert(message.test(error.message), `${error.message} against ${message}`);
    assert(error.message.endsWith("."));
  }
});

Deno.test("the same sketch and plan give the same setting, and neither is touched", () => {
  const plan = deepFreeze(
    wholePlan(PLAIN, { role: "lead", parts: ["Violins I"] }, { role: "pad", parts: ["Horns"] }),
  );
  deepFreeze(PLAIN);
  assertEquals(realise(PLAIN, plan), realise(PLAIN, plan));
});

function deepFreeze<T>(value: T): T {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    Object.values(value).forEach(deepFreeze);
  }
  return value;
}

Deno.test("realise() refuses to slur a repeated pitch, and says what to write instead", () => {
  const plan = vary(demoPlans().moving, { set: { articulation: "slurred" } }, { role: "pulse" });
  const error = assertThrows(() => realise(demoSketch(), plan), InputError, "cannot be slurred");
  assertStringIncludes(error.message, "portato");
});

Deno.test("a slide of the sketch's tune is kept in every octave, on any grid, unless the layer ends before it does", () => {
  const bars = PLAIN.score.bars;
  const [from, to, later] = PLAIN.tune;
  const slide = {
    kind: "slide" as const,
    semitones: to!.soundingPitch - from!.soundingPitch,
    lengthTicks: to!.onsetTicks - from!.onsetTicks,
  };
  const last = PLAIN.tune.findLast((n) => n.onsetTicks < bars[1]!.startTicks)!;
  const next = PLAIN.tune[PLAIN.tune.indexOf(last) + 1]!;
  const over = {
    kind: "slide" as const,
    semitones: next.soundingPitch - last.soundingPitch,
    lengthTicks: next.onsetTicks - last.onsetTicks,
  };
  assertGreater(later!.onsetTicks, to!.onsetTicks);
  const sliding = sketchOf({
    ...PLAIN.score,
    notes: PLAIN.score.notes.map((n) =>
      n === from ? { ...n, glissandi: [slide] } : n === last ? { ...n, glissandi: [over] } : n
    ),
  });
  const lead = { role: "lead", parts: ["Violins I"], octave: 1 } as const;
  const pulse = { role: "pulse", figure: "repeated triplets", parts: ["Violas"] } as const;
  const whole = realise(sliding, wholePlan(sliding, lead, pulse));
  const ofWhole = notesOf(whole, "Violins I");
  const factor = whole.ticksPerQuarter / PLAIN.score.ticksPerQuarter;
  assertGreater(factor, 1);
  assertEquals(ofWhole.flatMap((n) => n.glissandi ?? []), [
    { ...slide, lengthTicks: slide.lengthTicks * factor },
    { ...over, lengthTicks: over.lengthTicks * factor },
  ]);
  const start = ofWhole.find((n) => n.glissandi)!;
  assert(ofWhole.some((n) =>
    n.onsetTicks === start.onsetTicks + slide.lengthTicks * factor &&
    n.soundingPitch === start.soundingPitch + slide.semitones
  ));
  const firstBar = realise(sliding, passagePlan(1, 1, lead));
  assertEquals(notesOf(firstBar, "Violins I").flatMap((n) => n.glissandi ?? []).map((g) => g.semitones), [
    slide.semitones,
  ]);
});

Deno.test("after-beats stand on every beat but the first, the bass on the downbeat on the first, in any metre (common practice, no source)", () => {
  const beats = (metre: string, unit: string, bar: string) => {
    const sketch = sketchOf(readAbc(`X:1\nM:${metre}\nL:1/8\nQ:${unit}=90\nK:C\n"C"${bar} | "G"${bar} |]`));
    const plan = wholePlan(
      sketch,
      { role: "lead", parts: ["Flute 1"] },
      { role: "pulse", figure: "after-beats", parts: ["Violins II"] },
      { role: "bass", figure: "bass on the downbeat", parts: ["Double basses"] },
    );
    const score = realise(sketch, plan);
    const quartersOf = (part: string) =>
      notesOf(score, part).map((n) => n.onsetTicks / score.ticksPerQuarter);
    return [quartersOf("Violins II"), quartersOf("Double basses")];
  };
  assertEquals(beats("3/4", "1/4", "c6"), [[1, 2, 4, 5], [0, 3]]);
  assertEquals(beats("4/4", "1/4", "c8"), [[1, 2, 3, 5, 6, 7], [0, 4]]);
  assertEquals(beats("2/2", "1/2", "c8"), [[2, 6], [0, 4]]);
  assertEquals(beats("6/8", "3/8", "c6"), [[1.5, 4.5], [0, 3]]);
});

Deno.test("harp and piano play chords of a hand where other parts have one tone each (common practice, no source)", () => {
  const sketch = SKETCHES["four-four"]!;
  for (const [role, id] of [["pad", "held chord"], ["pulse", "repeated eighths"]] as const) {
    const score = realise(
      sketch,
      wholePlan(
        sketch,
        { role: "lead", parts: ["Flute"], octave: 1 },
        { role, figure: id, parts: ["Harp", "Piano", "Violas"] },
      ),
      {
        orchestra: [
          { name: "Flute", instrument: "flute", players: 1 },
          { name: "Harp", instrument: "harp", players: 1 },
          { name: "Piano", instrument: "piano", players: 1 },
          { name: "Violas", instrument: "viola", players: 8 },
        ],
      },
    );
    for (const [part, fewest, most] of [["Harp", 2, 3], ["Piano", 2, 3], ["Violas", 1, 1]] as const) {
      for (const chord of Map.groupBy(notesOf(score, part), (n) => n.onsetTicks).values()) {
        const pitches = chord.map((n) => n.soundingPitch).sort((a, b) => a - b);
        assert(chord.length >= fewest && chord.length <= most, `${id}, ${part}: ${pitches}`);
        assert(pitches.at(-1)! - pitches[0]! < 12, `${part} reaches ${pitches}`);
        assertEquals(new Set(pitches).size, pitches.length);
      }
    }
  }
});

/** Slurs of a part, as the onsets under them in quarters. */
function slursIn(score: Score, part: number): readonly (readonly number[])[] {
  const slurs: number[][] = [];
  for (const n of score.notes.filter((m) => m.part === part)) {
    const onset = n.onsetTicks / score.ticksPerQuarter;
    if (n.slurred) slurs.at(-1)!.push(onset);
    if (n.slurStart) slurs.push([onset]);
  }
  return slurs;
}

/** Slurs that touch, one inside a bar and over a bar line, one up to a rest. */
const SLURRED_TUNE = sketchOf(readAbc(
  `X:1\nM:3/4\nL:1/4\nQ:1/4=72\nK:Eb\n"Eb" (G A) B | "Ab" (c (d) e) | "Bb7" (d2 c | B) z (A | "Eb" G) F E | "Ab" c3- | (c d2 | "Eb" e2) B |]\n`,
));

Deno.test("a tune keeps its own slurs where the plan asks for no other way of playing; strokes and plucked strings have none", () => {
  const lead = (parts: readonly string[], more = {}) =>
    realise(SLURRED_TUNE, wholePlan(SLURRED_TUNE, { role: "lead", figure: "tune", parts, ...more }));
  const written = SLURRED_TUNE.score;
  for (const parts of [["Oboe 1"], ["Violins I"], ["Cellos"]]) {
    const score = lead(parts);
    assertEquals(slursIn(score, 0), slursIn(written, 0));
  }
  for (const more of [{ articulation: "staccato" }, { technique: "pizzicato" }]) {
    assertEquals(slursIn(lead(["Violins I"], more), 0), []);
  }
  assertEquals(slursIn(lead(["Glockenspiel"]), 0), []);
});

Deno.test("nobody breathes in the middle of a slur of the tune while another place will do", () => {
  const bar = (from: string) => `(${from} B c d |`;
  const text = Array.from({ length: 8 }, (_, i) => `${bar(i % 2 ? "A" : "G")} e d c) B |`).join("\n");
  const sketch = sketchOf(readAbc(`X:1\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n"C"${text}]\n`));
  for (const part of ["Flute 1", "Oboe 1", "Tuba"]) {
    const score = realise(
      sketch,
      wholePlan(sketch, { role: "lead", figure: "tune", parts: [part], dynamic: "mf" }),
      { refuseImpossible: false },
    );
    const notes = score.notes;
    const breaths = notes.filter((n) => n.articulations.includes("breath"));
    assertGreater(breaths.length, 0, part);
    for (const n of breaths) {
      const next = notes.find((m) => m.onsetTicks === n.onsetTicks + n.durationTicks);
      assertEquals(next?.slurred ?? false, false, `${part}: ${n.onsetTicks}`);
    }
    // A breath taken there would have ended the slur, so all that are still whole are as the tune has them.
    const whole = notes.filter((n) => n.slurred).length;
    if (part !== "Tuba") assertEquals(whole, sketch.tune.filter((n) => n.slurred).length, part);
  }
});
