/**
 * Every figure in every metre, on instruments it suits: nothing that nobody can play, no fault of the file format, nothing
 * beyond the layer, and what each kind of figure promises is there in the notes.
 */
import { assert, assertEquals } from "@std/assert";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { playability } from "../../../lib/measures/playability/playability.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { strokeTicks } from "../../../lib/score/tremolo.ts";
import type { Note, Score } from "../../../lib/score/model.ts";
import { barIndexOf } from "../../../lib/score/time.ts";
import { figureById, type FigureId, FIGURES } from "../../../lib/texture/figures.ts";
import { ANY_SKETCHS_FIGURES, PLAYERS, suits } from "../../setup/generated_settings.ts";
import { generatedSketch, METRES, pick } from "../../setup/generated_sketches.ts";
import { musicXmlValidator } from "../../setup/music_xml_schema.ts";
import { random } from "../../setup/random.ts";
import { faultsOf, harmonyAt, notesOf, SKETCHES, wholePlan } from "../sketches.ts";

/** Quarters a minute at which thirty-seconds can be played: seven to nine strokes a second. */
const SLOW = 66;

for (const metre of METRES) {
  Deno.test(`${metre}: every figure on instruments it suits is playable, valid and inside its bars`, () => {
    const next = random(71 + METRES.indexOf(metre));
    for (const figure of ANY_SKETCHS_FIGURES.filter((f) => f.role !== "lead")) {
      const sketch = generatedSketch(metre, next);
      // A pair of cymbals is clashed, not beaten.
      const fitting = PLAYERS.filter((p) =>
        suits(figure, p) && !(figure.role === "pulse" && p.instrument === "cymbals")
      );
      const parts = [...new Set([pick(fitting, next).name, pick(fitting, next).name])];
      const plan = vary(wholePlan(sketch, { role: figure.role, figure: figure.id, parts }), {
        quartersPerMinute: SLOW,
      });
      const score = realise(sketch, plan, { orchestra: PLAYERS, refuseImpossible: false });
      const where = `${figure.id} on ${parts.join(" + ")}`;
      const impossible = playability(score).findings.filter((f) => f.severity === "impossible");
      assertEquals(impossible.map((f) => f.what), [], where);
      assertEquals(
        faultsOf(score, "rangeExtreme").filter((f) => !/^Organ|^Marimba|^Guitar|^Vibraphone/.test(f)),
        [],
        where,
      );
      assertEquals(musicXmlValidator()?.(writeMusicXml(score)) ?? [], [], where);
      assert(score.notes.length > 0, where);
    }
  });
}

function written(name: string, id: FigureId, parts: readonly string[]): Score {
  const sketch = SKETCHES[name]!;
  const { role } = figureById(id)!;
  return realise(sketch, wholePlan(sketch, { role, figure: id, parts }), { refuseImpossible: false });
}

const NAMES = Object.keys(SKETCHES);

Deno.test("measured tremolos strike as often as the figure without slashes, however short the note", () => {
  for (const name of NAMES) {
    for (
      const [id, strokes] of [["measured tremolo in eighths", 2], [
        "measured tremolo in sixteenths",
        4,
      ]] as const
    ) {
      const score = written(name, id, ["Violas"]);
      for (const n of score.notes) {
        assertEquals([n.tremolo, strokeTicks(n, score.ticksPerQuarter)], [
          "measured",
          score.ticksPerQuarter / strokes,
        ]);
      }
    }
  }
});

Deno.test("two-note tremolos are pairs of equal length on two tones of one chord", () => {
  for (const name of NAMES) {
    const score = written(name, "two-note tremolo", ["Violas"]);
    const notes = notesOf(score, "Violas");
    assertEquals(notes.length % 2, 0);
    for (let i = 0; i < notes.length; i += 2) {
      const [a, b] = [notes[i]!, notes[i + 1]!];
      assertEquals([a.tremoloAlternates, b.tremoloAlternates], [true, true]);
      assertEquals(a.onsetTicks + a.durationTicks, b.onsetTicks);
      assertEquals(a.durationTicks, b.durationTicks);
      assert(a.soundingPitch !== b.soundingPitch);
    }
  }
});

Deno.test("a trill with a turn ends on the note below and its own, leads on without a gap, and is resolved in the end", () => {
  for (const name of NAMES) {
    const score = written(name, "trill with a turn", ["Violins I"]);
    const notes = notesOf(score, "Violins I");
    assertEquals(notes.at(-1)!.trill, false);
    for (const [i, n] of notes.entries()) {
      const [below, main, next] = notes.slice(i + 1, i + 4);
      if (!n.trill || !below || below.trill) continue;
      assert(n.soundingPitch - below.soundingPitch >= 1 && n.soundingPitch - below.soundingPitch <= 3);
      assertEquals(main!.soundingPitch, n.soundingPitch);
      assertEquals(main!.onsetTicks + main!.durationTicks, next!.onsetTicks);
    }
  }
});

Deno.test("a walking bass begins each chord on its bass and reaches the next by step, never twice on one pitch", () => {
  for (const name of NAMES) {
    const sketch = SKETCHES[name]!;
    const score = written(name, "walking bass", ["Cellos"]);
    const line = notesOf(score, "Cellos");
    const isFirst = (n: Note) => {
      const factor = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
      return harmonyAt(sketch, score, n.onsetTicks)!.onsetTicks * factor === n.onsetTicks;
    };
    line.forEach((n, i) => {
      if (isFirst(n)) {
        assertEquals(n.soundingPitch % 12, harmonyAt(sketch, score, n.onsetTicks)!.bass.pitchClass);
        const before = line[i - 1];
        const joins = before && !isFirst(before) && before.onsetTicks + before.durationTicks === n.onsetTicks;
        if (joins) {
          const step = Math.abs(before.soundingPitch - n.soundingPitch);
          assert(step >= 1 && step <= 2, `${name}, note ${i}: ${step} semitones`);
        }
      } else assert(n.soundingPitch !== line[i - 1]!.soundingPitch, `${name}, note ${i} stays`);
    });
  }
});

Deno.test("an ostinato keeps its tones over every chord", () => {
  for (const name of NAMES.filter((n) => !n.includes("change of key"))) {
    const score = written(name, "ostinato in eighths", ["Violas"]);
    const pitches = [...new Set(score.notes.map((n) => n.soundingPitch))].sort((a, b) => a - b);
    assertEquals(pitches.map((p) => p - pitches[0]!), [0, 7, 14], name);
  }
});

Deno.test("waves and wide chords go over an octave, Alberti figures stay within one", () => {
  const compass = (score: Score, barIndex: number) => {
    const own = score.notes.filter((n) => barIndexOf(score, n.onsetTicks) === barIndex).map((n) =>
      n.soundingPitch
    );
    return Math.max(...own) - Math.min(...own);
  };
  const [wave, wide, alberti] =
    (["wave in sixteenths", "wide broken chord in eighths", "Alberti figure in eighths"] as const)
      .map((id) => written("four-four", id, ["Clarinet 1"]));
  // In the last bar they land.
  for (let b = 0; b + 1 < wave!.bars.length; b++) {
    assert(compass(wave!, b) > 12, `bar ${b + 1}`);
    assert(compass(wide!, b) >= 12, `bar ${b + 1}`);
    assert(compass(alberti!, b) < 12, `bar ${b + 1}`);
  }
});

Deno.test("runs into the bar land on a chord tone on the downbeat, upwards or downwards, in their own value", () => {
  for (const { id, strokes } of FIGURES.filter((f) => f.id.startsWith("scale"))) {
    const score = written("four-four", id, ["Flute 1"]);
    const notes = notesOf(score, "Flute 1");
    const way = id.includes("down") ? -1 : 1;
    const landings = notes.filter((n) => score.bars.some((b) => b.startTicks === n.onsetTicks));
    assert(landings.length > 0, id);
    for (const landing of landings) {
      const run = notes.slice(0, notes.indexOf(landing)).slice(-3);
      assertEquals(
        run.map((n) => n.durationTicks),
        run.map(() => score.ticksPerQuarter / strokes.length),
        id,
      );
      assert(
        [...run, landing].every((n, i, all) =>
          i === 0 || Math.sign(n.soundingPitch - all[i - 1]!.soundingPitch) === way
        ),
      );
      const tones = harmonyAt(SKETCHES["four-four"]!, score, landing.onsetTicks)!.tones.map((t) =>
        t.pitchClass
      );
      assert(tones.includes(landing.soundingPitch % 12), id);
    }
  }
});

Deno.test("rolled chords are signed, within reach of two hands, and possible on a harp", () => {
  for (const name of NAMES) {
    for (const part of ["Harp", "Piano"]) {
      const score = written(name, "rolled chords", [part]);
      for (const chord of Map.groupBy(score.notes, (n) => n.onsetTicks).values()) {
        assert(chord.every((n) => n.signs?.includes("arpeggiate")), part);
        assert(chord.length >= 2 && chord.length <= 8, `${part}: ${chord.length} notes`);
      }
      assertEquals(
        playability(score).findings.filter((f) => f.severity === "impossible"),
        [],
        `${part}, ${name}`,
      );
    }
  }
});

Deno.test("a stab off the beat comes once in a bar, half a beat before a beat in its middle", () => {
  for (const [name, places] of Object.entries({ "four-four": 3 / 2, "six-eight": 1 })) {
    const score = written(name, "off-beat stab", ["Trumpet 1"]);
    assertEquals(
      score.notes.map((n) =>
        (n.onsetTicks - score.bars[barIndexOf(score, n.onsetTicks)]!.startTicks) / score.ticksPerQuarter
      ),
      score.bars.map(() => places),
      name,
    );
  }
});
