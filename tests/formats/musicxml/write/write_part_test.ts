import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, momentum, realise } from "ripieno";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml, writePart } from "../../../../lib/formats/musicxml/write/write_musicxml.ts";
import { sortNotes } from "../../../../lib/score/build.ts";
import { barIndexOf, clockOf } from "../../../../lib/score/time.ts";
import { isUnmeasuredTremolo, strokeTicks } from "../../../../lib/score/tremolo.ts";
import type { Note, Score } from "../../../../lib/score/model.ts";
import { engrave } from "../../../setup/engraver.ts";
import { musicXmlValidator } from "../../../setup/music_xml_schema.ts";
import { differences } from "../../compare_scores.ts";
import { line, type NoteText, partOf, scoreOf } from "../../small_scores.ts";

const texts = (xml: string, name: string) =>
  [...xml.matchAll(new RegExp(`<${name}(?: [^>]*)?>([^<]*)</${name}>`, "g"))].map((m) => m[1]!);

/** A part alone, as the page has it without its cues. */
function alone(score: Score, part: number): Score {
  const { layers: _, ...rest } = score;
  return {
    ...rest,
    parts: [score.parts[part]!],
    notes: score.notes.filter((n) => n.part === part && !n.cue).map((n) => ({ ...n, part: 0 })),
  };
}

/** Every tremolo called what it is: a page prints slashes, and how quick their strokes are tells whether they are counted. */
function tremolosCalled(score: Score): Score {
  const clock = clockOf(score);
  const called = (n: Note) => {
    const strokeSeconds = clock(n.onsetTicks + strokeTicks(n, score.ticksPerQuarter)) - clock(n.onsetTicks);
    return isUnmeasuredTremolo(n, 1 / strokeSeconds) ? "unmeasured" as const : "measured" as const;
  };
  return {
    ...score,
    notes: score.notes.map((n) => n.tremoloSlashes > 0 ? { ...n, tremolo: called(n) } : n),
  };
}

const withoutCues = (score: Score): Score => ({ ...score, notes: score.notes.filter((n) => !n.cue) });

/** Nine bars of a flute, and an oboe that comes in with the last. */
function longRest(
  more: { readonly reader?: string; readonly notes?: NoteText[] },
) {
  const reader = partOf("Reader", { instrument: more.reader ?? "oboe" });
  return scoreOf(Array.from({ length: 9 }, () => ({})), {
    parts: [partOf("Flute 1"), reader],
    notes: [
      ...(more.notes ?? line(Array.from({ length: 18 }, (_, i) => [2, 72 + (i % 5)] as const))),
      { part: 1, at: 32, length: 4, pitch: 65 },
    ],
  });
}

Deno.test("a player's part: after eight bars of rest comes a cue of two bars with the name of who plays it", () => {
  const xml = writePart(longRest({}), 1);
  const back = readMusicXml(xml);
  const cues = back.notes.filter((n) => n.cue);
  assertEquals(cues.map((n) => barIndexOf(back, n.onsetTicks)), [6, 6, 7, 7]);
  assertEquals(cues.map((n) => n.soundingPitch), [74, 75, 76, 72]);
  assertEquals(texts(xml, "multiple-rest"), ["6"]);
  assertStringIncludes(xml, "<words>Fl. 1</words>");
});

Deno.test("a player's part: no cue after seven bars, where nobody plays, or where cues are not wanted", () => {
  const short = longRest({});
  const notes = sortNotes([
    ...short.notes,
    { ...short.notes.find((n) => n.part === 1)!, onsetTicks: 0, durationTicks: 480 },
  ]);
  assert(!writePart({ ...short, notes }, 1).includes("<cue/>"));
  assert(!writePart(longRest({ notes: line([[4, 72]]) }), 1).includes("<cue/>"));
  assert(!writePart(longRest({}), 1, { cues: false }).includes("<cue/>"));
});

Deno.test("a player's part: beside a cue stands the player's own rest, also where the part comes from a page", () => {
  const ours = longRest({});
  for (const score of [ours, readMusicXml(writeMusicXml(ours))]) {
    const bars = writePart(score, 1).match(/<measure [\s\S]*?<\/measure>/g)!.filter((b) =>
      b.includes("<cue/>")
    );
    assertEquals(bars.map((b) => b.split('<rest measure="yes"/>').length - 1), [1, 1]);
  }
});

Deno.test("a player's part: a cue lies on the reader's stave, and says where it sounds", () => {
  const low = writePart(longRest({ reader: "tuba" }), 1);
  assertStringIncludes(low, "<words>Fl. 1 (sounds 15va)</words>");
  const back = readMusicXml(low);
  for (const n of back.notes.filter((n) => n.cue)) assert(n.soundingPitch <= 64, `${n.soundingPitch}`);
});

Deno.test("a player's part: a drum reads the rhythm of a cue, and it is no stroke", async () => {
  const xml = writePart(longRest({ reader: "snare drum" }), 1);
  assertEquals((await engrave(xml)).log, "");
  const cues = readMusicXml(xml).notes.filter((n) => n.cue);
  assertEquals(cues.map((n) => n.unpitched), [true, true, true, true]);
});

Deno.test("a player's part: every part of the demo's rotating plan is valid, engraved without complaint, and read back", async () => {
  const score = realise(demoSketch(), demoPlans().rotating, { tacetParts: true });
  let slashed = 0;
  for (const [part, { name }] of score.parts.entries()) {
    const xml = writePart(score, part);
    assertEquals(musicXmlValidator()?.(xml) ?? [], [], name);
    assertEquals((await engrave(xml)).log, "", name);
    for (const { rehearsal } of score.bars) if (rehearsal) assertStringIncludes(xml, rehearsal);
    assertStringIncludes(xml, `<sound tempo="132"/>`);
    const own = alone(score, part);
    if (own.notes.length === 0) assertStringIncludes(xml, "<words>Tacet</words>");
    else {
      const back = withoutCues(readMusicXml(xml));
      slashed += back.notes.filter((n) => n.tremoloSlashes > 0).length;
      assertEquals(differences(tremolosCalled(own), tremolosCalled(back), ["spelling"]), [], name);
    }
  }
  assert(slashed > 0);
});

Deno.test("a player's part: cues are neither played nor measured", () => {
  const score = realise(demoSketch(), demoPlans().rotating);
  const oboe = score.parts.findIndex((p) => p.name === "Oboe 1");
  const [withCues, plain] = [true, false].map((cues) => readMusicXml(writePart(score, oboe, { cues })));
  assert(withCues!.notes.some((n) => n.cue) && !plain!.notes.some((n) => n.cue));
  assertEquals(momentum(withCues!).whole, momentum(plain!).whole);
});

/** The last note of every part grows under a hairpin that leads to no other note. */
function withLongHairpin(score: Score): Score {
  const parts = score.parts.map((part, index) => {
    const last = score.notes.findLast((n) => n.part === index)!;
    const sign = { onsetTicks: last.onsetTicks, staff: 0, number: 1 };
    const end = last.onsetTicks + last.durationTicks - 1;
    const hairpin = [{ ...sign, kind: "crescendo" }, { ...sign, onsetTicks: end, kind: "stop" }] as const;
    return { ...part, writtenDynamics: [...part.writtenDynamics ?? [], ...hairpin] };
  });
  return { ...score, parts };
}

Deno.test("a player's part: cues leave dynamics, hairpins and words as they are", () => {
  // A hairpin under one long note cannot be worked out from its notes again: it is the plan's or gone.
  const setting = realise(demoSketch(), demoPlans().rotating);
  const score = withLongHairpin(setting);
  // Marks and hairpins with their bar and place in it; words but for the names over cues.
  const signsOf = (xml: string) =>
    xml.match(/<measure [\s\S]*?<\/measure>/g)!.flatMap((bar, i) =>
      (bar.match(/<direction [\s\S]*?<\/direction>/g) ?? [])
        .filter((d) => !/<words>[A-Z][^<]*\.( |<)/.test(d)).map((d) => `${i} ${d.replace(/\s+/g, " ")}`)
    );
  let cued = 0;
  for (const part of score.parts.keys()) {
    const [withCues, plain] = [true, false].map((cues) => writePart(score, part, { cues }));
    if (withCues!.includes("<cue/>")) cued++;
    assertEquals(signsOf(withCues!), signsOf(plain!), score.parts[part]!.name);
  }
  assert(cued > 5, `${cued}`);
});

Deno.test("a player's part: whatever is silent for however long, own notes come back and cues end where they begin", () => {
  const part = fc.array(
    fc.record({
      at: fc.nat({ max: 79 }),
      length: fc.integer({ min: 1, max: 6 }),
      pitch: fc.integer({ min: 40, max: 90 }),
    }),
    {
      minLength: 1,
      maxLength: 12,
    },
  );
  fc.assert(
    fc.property(part, part, fc.constantFrom("tuba", "piccolo", "viola"), (a, b, instrument) => {
      const bars = Array.from({ length: 20 }, () => ({}));
      const one = (notes: typeof a, part: number) =>
        notes.map((n) => ({ ...n, part, length: Math.min(n.length, 80 - n.at) }));
      const parts = [partOf("Flute"), partOf("Other", { instrument })];
      const score = scoreOf(bars, { parts, notes: [...one(a, 0), ...one(b, 1)] });
      const back = readMusicXml(writePart(score, 1));
      const own = back.notes.filter((n) => !n.cue);
      assertEquals(
        own.map((n) => [n.onsetTicks / back.ticksPerQuarter, n.soundingPitch]).sort(),
        score.notes.filter((n) => n.part === 1).map((n) => [n.onsetTicks / 480, n.soundingPitch]).sort(),
      );
      for (const cue of back.notes.filter((n) => n.cue)) {
        assert(own.every((n) =>
          n.onsetTicks >= cue.onsetTicks + cue.durationTicks ||
          n.onsetTicks + n.durationTicks <= cue.onsetTicks
        ));
      }
    }),
    { numRuns: 60 },
  );
});

Deno.test("a player's part: kettledrums say how they are tuned, at first and where that changes", () => {
  const parts = [partOf("Timpani", { instrument: "timpani" })];
  const notes = line([[4, 45], [4, 50], [4], [4, 50], [2, 46], [2, 50], [2, 48], [2, 53]]);
  const xml = writePart(scoreOf(Array.from({ length: 7 }, () => ({})), { parts, notes }), 0);
  const words = texts(xml, "words");
  assertEquals(words[0]!.startsWith("in "), true);
  const drums = new Set(words[0]!.slice(3).split(", "));
  assertEquals(drums.has("A") && drums.has("D"), true);
  for (const change of words.slice(1).join(", ").split(", ")) {
    const [, from, to] = /^(?:(\S+) to |tune )(\S+)$/.exec(change) ?? [];
    assert(from === undefined || drums.delete(from), change);
    drums.add(to!);
  }
  assert(drums.has("F") && drums.has("C"));
});

Deno.test("a player's part: tempo words, the player's name and the title stand at its head; a long rest at the end is said", () => {
  const score = {
    ...longRest({}),
    bars: scoreOf(Array.from({ length: 18 }, () => ({})), { notes: [] }).bars,
    tempos: [{ onsetTicks: 0, quartersPerMinute: 104, origin: "marked", words: "Allegretto" }] as const,
  };
  const xml = writePart(score, 1);
  assertEquals(texts(xml, "credit-words"), ["Reader", "Test"]);
  assertStringIncludes(xml, "<words>Allegretto</words>");
  assertStringIncludes(xml, "<words>tacet al fine</words>");
});
