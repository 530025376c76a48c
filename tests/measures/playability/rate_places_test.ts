import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { instrumentById, type Note, playability, type Score } from "ripieno";
import { repeatedNoteLimit, tonguingSupport, trillLimit } from "ripieno/instruments";
import { MOMENTUM_CONSTANTS, PLAYABILITY_CONSTANTS } from "ripieno/measures";
import { findingsOf, inTurn, quick, rulesOf } from "../findings_of.ts";
import { type LineNote, repeatedNotes, smallScore } from "../small_scores.ts";

// Rimsky-Korsakov, Principles of Orchestration, vol. I ch. I B: of the woodwinds only the flute tongues double.
// Rates: data/rates.csv (common practice, no source): oboe single 8.7, double 11; flute double 13.3.
Deno.test("playability() tonguing: the flute's custom carries a rate that an oboist has to be asked for", () => {
  assertEquals(tonguingSupport(instrumentById("flute"))?.double, "conventional");
  assertEquals(tonguingSupport(instrumentById("oboe"))?.double, "advanced");
  assertEquals(findingsOf("flute", quick(74, 10.9, 2)), []);
  const [oboe] = findingsOf("oboe", quick(74, 10.9, 2));
  assertEquals([oboe!.severity, oboe!.rule, oboe!.limit], ["risky", "repeated-note rate", 8.7]);
  assertStringIncludes(oboe!.what, "double tonguing, which only some players have, 11");
  assertStringIncludes(oboe!.remedy, "ask whether the player double-tongues");
});

Deno.test("playability() tonguing: what nobody can do stays impossible, and brass are not asked", () => {
  assertEquals(rulesOf(findingsOf("oboe", quick(74, 13, 2))), ["impossible repeated-note rate"]);
  const [trumpet] = findingsOf("trumpet in C", quick(67, 15, 2));
  assert(!trumpet!.what.includes("only some players"));
});

Deno.test("playability() rates: a register that is slow to speak has a lower limit", () => {
  // Tuba: double tonguing 11 in a burst; its low register speaks at 0.75 of that (model assumption).
  const rate = (pitch: number) => findingsOf("tuba", quick(pitch, 9.5, 1.5), { rule: "repeated-note rate" });
  assertEquals(rate(45), []);
  const [low] = rate(28);
  assertEquals([low!.severity, low!.limit], ["risky", 8.25]);
  assertStringIncludes(low!.what, "in this register");
});

Deno.test("playability() rates: col legno is held to the bouncing bow", () => {
  const wood = (perSecond: number) =>
    rulesOf(findingsOf("viola", quick(60, perSecond, 2, { technique: "col legno" })));
  const limit = repeatedNoteLimit(instrumentById("viola"), { technique: "spiccato" })!.burstPerSecond;
  assertEquals(wood(limit - 1), []);
  assertEquals(wood(limit + 3), ["impossible repeated-note rate"]);
});

Deno.test("playability() rates: the way out suits the manner: no slurs for plucked notes, no tremolo for a tremolo", () => {
  const remedy = (notes: readonly LineNote[]) =>
    findingsOf("viola", notes, { rule: "repeated-note rate" })[0]!.remedy;
  const plucked = remedy(quick(60, 8, 2, { technique: "pizzicato" }));
  assert(!plucked.includes("Slur") && plucked.includes("take the bow"));
  assertStringIncludes(remedy(quick(60, 14, 2)), "write it as a tremolo");
});

Deno.test("playability() rates: exactly the limit is within it", () => {
  const limit = repeatedNoteLimit(instrumentById("cello"), { technique: "pizzicato" })!.burstPerSecond;
  for (const start of [0, 1 / 3, 7.1]) {
    const notes = quick(50, limit, 1.5, { technique: "pizzicato" }).map((n) => ({ ...n, at: n.at + start }));
    assertEquals(
      findingsOf("cello", notes, { rule: "repeated-note rate" }).filter((f) => f.severity !== "tiring"),
      [],
    );
  }
});

Deno.test("playability() rates: while the other voice plays, one hand is left, on drums and on the harp", () => {
  const two = (id: string, pitch: number, other: number, perSecond: number) =>
    rulesOf(findingsOf(id, [
      ...quick(pitch, perSecond, 2),
      ...quick(other, perSecond, 2, { voice: 2 }),
    ], { rule: "repeated-note rate" }));
  assertEquals(rulesOf(findingsOf("harp", quick(60, 6, 2))), []);
  assertEquals(two("harp", 60, 48, 6), ["impossible repeated-note rate"]);
  assertEquals(two("harp", 60, 48, 2.5), []);
  assertEquals(two("piano", 60, 48, 6), []);
});

Deno.test("playability() rates: written-out trills are held to the trill, and a horn's wide ones to the slur", () => {
  const trill = (id: string, pitch: number, semitones: number, perSecond: number) =>
    findingsOf(
      id,
      quick(pitch, perSecond, 2).map((n, i) => ({
        ...n,
        pitch: pitch + (i % 2) * semitones,
        slurred: i > 0,
      })),
    );
  const violin = trillLimit(instrumentById("violin"))!;
  assertEquals(trill("violin", 74, 2, violin.burstPerSecond - 1), []);
  const [fast] = trill("violin", 74, 2, violin.burstPerSecond + 1);
  assertEquals([fast!.rule, fast!.severity, fast!.limit], ["trill rate", "risky", violin.burstPerSecond]);
  assertEquals(rulesOf(trill("horn in F", 60, 2, 10.5)), []);
  assertEquals(rulesOf(trill("horn in F", 60, 4, 10.9)), ["risky legato rate"]);
});

Deno.test("playability() trills: a trombone's lip trill speaks from B flat 3", () => {
  const trill = (id: string, pitch: number) =>
    rulesOf(findingsOf(id, [{ at: 0, quarters: 2, pitch, trill: true }]));
  assertEquals(trill("tenor trombone", 50), ["risky trill"]);
  assertEquals(trill("tenor trombone", 60), []);
  assertEquals(trill("euphonium", 50), []);
});

Deno.test("playability() tremolo: two notes too far apart to alternate", () => {
  const tremolo = (id: string, low: number, high: number) =>
    rulesOf(findingsOf(id, inTurn([low, high], 2, { tremoloSlashes: 3, tremoloAlternates: true })));
  assertEquals(tremolo("clarinet in Bb", 60, 64), []);
  assertEquals(tremolo("clarinet in Bb", 60, 75), ["risky wide tremolo"]);
  assertEquals(tremolo("trumpet in C", 60, 67), ["risky wide tremolo"]);
  assertEquals(tremolo("violin", 62, 71), []);
  assertEquals(tremolo("violin", 56, 61), []);
  assertEquals(tremolo("violin", 56, 80), ["risky wide tremolo"]);
  assertEquals(tremolo("piano", 48, 60), []);
});

Deno.test("playability() bow strokes: spiccato goes over into sautillé, martelé stays slow, and both are only noted", () => {
  const stroke = (sign: "spiccato" | "marcato" | "accent", perSecond: number) =>
    findingsOf("cello", quick(50, perSecond, 2, { articulations: [sign] }));
  assertEquals(stroke("spiccato", 5), []);
  const [spiccato] = stroke("spiccato", 7.5);
  assertEquals([spiccato!.severity, spiccato!.rule, spiccato!.limit], ["note", "bow stroke", 6]);
  assertStringIncludes(spiccato!.what, "sautillé");
  assertEquals(stroke("marcato", 3), []);
  assertEquals(rulesOf(stroke("marcato", 5)), ["note bow stroke"]);
  assertEquals(stroke("accent", 7), []);
});

Deno.test("playability() slashes: what a drum or a triangle rolls is no row of strokes", () => {
  const rolled = (id: string, slashes: number) =>
    rulesOf(findingsOf(id, repeatedNotes(50, 2, { to: 24, tremoloSlashes: slashes }), {
      changed: (s) => ({ ...s, tempos: [{ ...s.tempos[0]!, quartersPerMinute: 78 }] }),
    }));
  assertEquals([rolled("timpani", 3), rolled("triangle", 3), rolled("snare drum", 3)], [[], [], []]);
  // Eighths at 156 are 5.2 strokes a second, more than a triangle keeps up singly (4), and so a roll.
  const eighths = findingsOf(
    "triangle",
    repeatedNotes(81, 2, { to: 24, tremoloSlashes: 1, unpitched: true }),
    {
      changed: (s) => ({ ...s, tempos: [{ ...s.tempos[0]!, quartersPerMinute: 156 }] }),
    },
  );
  assertEquals(eighths, []);
});

Deno.test("playability() holds no rate against a tremolo that is called unmeasured, at any tempo", () => {
  // Two slashes at 150 are 10 strokes a second, more than a double bass keeps up in counted strokes.
  const found = (tremolo?: "measured" | "unmeasured") =>
    findingsOf(
      "double bass",
      repeatedNotes(40, 2, { to: 64, tremoloSlashes: 2, ...(tremolo && { tremolo }) }),
      {
        changed: (s) => ({ ...s, tempos: [{ ...s.tempos[0]!, quartersPerMinute: 150 }] }),
      },
    ).filter((f) => f.rule === "repeated-note rate");
  assertEquals(found("unmeasured"), []);
  // Nobody counts strokes that cannot be kept up, unless they are called measured or written out.
  assertEquals(found(), []);
  assert(found("measured").length > 0);
});

Deno.test("recognition, momentum and playability call the same slashes a tremolo", () => {
  for (const name of ["tremoloFromPerSecond", "threeSlashesFromPerSecond"] as const) {
    assertEquals(PLAYABILITY_CONSTANTS[name], MOMENTUM_CONSTANTS[name]);
  }
});

const assumed = (score: Score): Score => ({
  ...score,
  tempos: score.tempos.map((t) => ({ ...t, origin: "assumed" })),
});

Deno.test("playability() at an assumed tempo is risky at most, and says so; range stays impossible", () => {
  const fast = quick(74, 16, 2);
  assertEquals(rulesOf(findingsOf("oboe", fast)), ["impossible repeated-note rate"]);
  const [finding] = findingsOf("oboe", fast, { changed: assumed });
  assertEquals(finding!.severity, "risky");
  assertStringIncludes(finding!.what, "60 quarters a minute, is assumed");
  assertEquals(rulesOf(findingsOf("oboe", [{ at: 0, quarters: 1, pitch: 50 }], { changed: assumed })), [
    "impossible range",
  ]);
});

Deno.test("playability() only calls assumed what lies under the assumed tempo", () => {
  const notes: readonly LineNote[] = [
    ...quick(74, 16, 2),
    ...quick(74, 16, 2).map((n) => ({ ...n, at: n.at + 40 })),
  ];
  const found = findingsOf("oboe", notes, {
    changed: (s) => ({
      ...s,
      tempos: [
        { onsetTicks: 0, quartersPerMinute: 60, origin: "assumed" },
        { onsetTicks: 36 * s.ticksPerQuarter, quartersPerMinute: 60, origin: "marked" },
      ],
    }),
  });
  assertEquals(found.map((f) => [f.severity, f.what.includes("assumed")]), [["impossible", false], [
    "risky",
    true,
  ]]);
});

Deno.test("playability() rates: ties, cues and grace notes are no strokes", () => {
  const graced = (more: Partial<Note>) =>
    [
      ...repeatedNotes(74, 1, { to: 8 }),
      ...quick(74, 20, 6, more).map((n) => ({ ...n, quarters: more.grace ? 0 : n.quarters })),
    ].sort((a, b) => a.at - b.at);
  assertEquals(findingsOf("oboe", graced({ cue: true })), []);
  assertEquals(findingsOf("oboe", graced({ grace: true })), []);
  assertEquals(findingsOf("oboe", [{ at: 0, quarters: 12, pitch: 74, noteheads: 90, dynamic: 3 }]), []);
});

Deno.test("playability() rates: every note counts for the player of its own voice, not for the stave", () => {
  const together = (voice: number) =>
    rulesOf(findingsOf("violin", [
      ...quick(62, 8, 2),
      ...quick(74, 8, 2, { voice }).map((n) => ({ ...n, at: n.at + 1 / 16 })),
    ], { players: 12 }));
  assertEquals(together(2), []);
  assertEquals(together(1), ["risky repeated-note rate"]);
});

Deno.test("playability() rates: a stroke slower than the kept-up rate rests the player, so that two short runs pass where a long one tires", () => {
  const horn = repeatedNoteLimit(instrumentById("horn in F"))!;
  const between = (horn.burstPerSecond + horn.sustainedPerSecond) / 2;
  const half = quick(60, between, 2.5);
  const rate = (notes: readonly LineNote[]) =>
    rulesOf(findingsOf("horn in F", notes, { rule: "repeated-note rate" }));
  assertEquals(rate(quick(60, between, 5)), ["tiring repeated-note rate"]);
  assertEquals(rate([...half, ...half.map((n) => ({ ...n, at: n.at + 3.5 }))]), []);
  assertEquals(playability(smallScore([])).findings, []);
});

Deno.test("playability() plucked: over one finger two have to be asked for, basses slower than violins", () => {
  const plucked = (id: string, perSecond: number) =>
    findingsOf(id, quick(50, perSecond, 1.5, { technique: "pizzicato" }), {
      rule: "repeated-note rate",
      players: 8,
    });
  // Rates asked of violas and cellos in scores that are played: data/rates.csv.
  for (const perSecond of [7, 8, 9.9]) {
    const [finding] = plucked("cello", perSecond);
    assertEquals(finding!.severity, "risky");
    assertStringIncludes(finding!.what, "two-finger pizzicato, if asked for, 10");
    assertStringIncludes(finding!.remedy, "ask for two fingers in turn");
  }
  assertEquals(rulesOf(plucked("cello", 12)), ["impossible repeated-note rate"]);
  // Rimsky-Korsakov, Principles of Orchestration, ch. I, Pizzicato: "much slower" on the basses.
  const speed = (id: string) => repeatedNoteLimit(instrumentById(id), { technique: "pizzicato" })!;
  for (const rate of ["burstPerSecond", "sustainedPerSecond"] as const) {
    assert(speed("double bass")[rate] < 0.85 * speed("violin")[rate]);
    assert(speed("cello")[rate] <= speed("viola")[rate] && speed("viola")[rate] <= speed("violin")[rate]);
  }
  // And never as quick as with the bow.
  for (const id of ["violin", "viola", "cello", "double bass"]) {
    assert(speed(id).burstPerSecond < repeatedNoteLimit(instrumentById(id))!.burstPerSecond);
  }
});

Deno.test("playability() plucked: a pizz. that has stood for bars under notes too fast for it may have lost its arco", () => {
  const late = (perSecond: number, from: number, more: Partial<Note> = {}) =>
    findingsOf("viola", [
      { at: 0, quarters: 1, pitch: 55, technique: "pizzicato" as const },
      ...quick(57, perSecond, 1.5, { technique: "pizzicato", ...more }).map((n) => ({
        ...n,
        at: n.at + from,
      })),
    ], { rule: "repeated-note rate", players: 8 })[0]!;
  const doubted = late(12, 24);
  assertEquals(doubted.severity, "risky");
  assertStringIncludes(doubted.what, "pizz. stands since bar 1: an arco may be missing");
  assertStringIncludes(doubted.remedy, "Check the file for a missing arco");
  // From the fourth bar after it on; in the bar of the mark itself there is nothing to doubt.
  assertEquals([late(12, 16).severity, late(12, 15).severity], ["risky", "impossible"]);
  const marked = late(12, 2, { signs: ["up-bow"] });
  assertStringIncludes(marked.what, "pizz. stands since bar 1 and over slurs or bow marks");
  // Bars count from the mark, and only what stands under it is looked at.
  const [bowed, slurredLater] = [[{ at: 0, quarters: 15, pitch: 57 }], [
    { at: 24, quarters: 1, pitch: 57, slurStart: true },
    { at: 25, quarters: 1, pitch: 59, slurred: true },
  ]];
  const run = quick(57, 12, 1.5, { technique: "pizzicato" }).map((n) => ({ ...n, at: n.at + 20 }));
  const severity = (...lines: readonly (readonly LineNote[])[]) =>
    findingsOf("viola", lines.flat(), { rule: "repeated-note rate", players: 8 })[0]!.severity;
  assertEquals([severity(bowed!, run), severity(run, slurredLater!)], ["impossible", "impossible"]);
  assertEquals(late(12, 2).severity, "impossible");
});

Deno.test("playability() rates: basses in a storm make a rumble, which is an effect, and nobody else's runs do", () => {
  const run = (id: string, pitch: number, perSecond: number) =>
    findingsOf(id, quick(pitch, perSecond, 1.5, { moving: true, slurred: true }), {
      rule: "legato rate",
      players: 6,
    });
  // Beethoven op. 68 iv from bar 21: F1 to B1, four to a bow, 10.7 a second at the composer's tempo.
  const [storm] = run("double bass", 29, 10.67);
  assertEquals(storm!.severity, "note");
  assertStringIncludes(storm!.what, "heard as a rumble, an effect");
  assertEquals(rulesOf(run("double bass", 45, 10.6)), []);
  assertEquals(rulesOf(run("double bass", 45, 13)), ["risky legato rate"]);
  assertEquals(rulesOf(run("double bass", 45, 14)), ["impossible legato rate"]);
  assert(!run("violin", 67, 19)[0]!.what.includes("rumble"));
});

Deno.test("playability() tempo: what three instruments cannot do under one tempo and all can at half of it is one finding", () => {
  const score = (ids: readonly string[], perSecond: number) =>
    playability(smallScore(
      ids.map((instrument) => ({
        instrument,
        role: "lead" as const,
        notes: quick(72, perSecond, 2, { moving: true, slurred: true }),
      })),
      { bars: 4, quartersPerMinute: 60 },
    )).findings.filter((f) => f.severity === "impossible" || f.rule === "tempo" || f.rule === "legato rate");
  const three = score(["oboe", "violin", "clarinet in Bb"], 21);
  assertEquals(rulesOf(three), [
    "impossible tempo",
    "risky legato rate",
    "risky legato rate",
    "risky legato rate",
  ]);
  assertEquals([three[0]!.figure, three[0]!.limit], [60, 30]);
  assertStringIncludes(three[0]!.remedy, "Check the tempo");
  // Two instruments may be at fault themselves, and what fails at half the tempo too is no slip of it.
  assertEquals(rulesOf(score(["oboe", "violin"], 21)), ["impossible legato rate", "impossible legato rate"]);
  assert(score(["oboe", "violin", "clarinet in Bb"], 40).every((f) => f.rule !== "tempo"));
});

Deno.test("playability() finds the file at fault, not the player, from 40 notes a second and beyond all instruments", () => {
  const whole = (instrument: string, pitch: number, perSecond: number) => {
    const notes = quick(pitch, perSecond, 2, { moving: true });
    return playability(smallScore([{ instrument, role: "lead", notes }], { bars: 4, quartersPerMinute: 60 }));
  };
  for (const instrument of ["violin", "clarinet in Bb", "piano"]) {
    const { findings } = whole(instrument, 72, 60);
    assert(findings.some((f) => f.rule === "check the file" && f.what.includes("60 per second")), instrument);
    assert(findings.every((f) => f.unit !== "notes per second" || f.severity === "note"));
  }
  const { findings } = whole("tuba", 140, 1);
  assertEquals(findings.filter((f) => f.severity === "impossible"), []);
  assertStringIncludes(findings[0]!.what, "no instrument is near that pitch");
  assertEquals(rulesOf(whole("violin", 72, 30).findings)[0], "impossible repeated-note rate");
});

Deno.test("playability() tempo: a slow word with a quick figure is doubted where three instruments are at their rates", () => {
  const said = (words: string, perSecond: number, quartersPerMinute = 84) => {
    const score = smallScore(
      ["oboe", "violin", "cello"].map((instrument) => ({
        instrument,
        role: "lead" as const,
        notes: quick(60, perSecond * 60 / quartersPerMinute, 4, { moving: true }),
      })),
      { bars: 4, quartersPerMinute },
    );
    const tempos = score.tempos.map((t) => ({ ...t, words }));
    return playability({ ...score, tempos }).findings;
  };
  const doubted = said("Adagio", 13);
  assertEquals(doubted.filter((f) => f.rule === "tempo").map((f) => [f.severity, f.figure, f.limit]), [
    ["risky", 84, 42],
  ]);
  assertStringIncludes(doubted.find((f) => f.rule === "tempo")!.what, "quick for “Adagio”");
  assert(
    doubted.filter((f) => f.unit === "notes per second").every((f) => f.what.includes("doubtful tempo")),
  );
  // Another word, a figure that fits the word, or notes that all can play: nothing is doubted.
  for (
    const [words, perSecond, quarters] of [["Allegro", 13, 84], ["Adagio", 13, 60], [
      "Adagio",
      5,
      84,
    ]] as const
  ) {
    assertEquals(said(words, perSecond, quarters).filter((f) => f.rule === "tempo"), []);
  }
});

Deno.test("playability() rates: quick changes between two kettledrums are called neither slurred nor a scale", () => {
  const notes = Array.from(
    { length: 24 },
    (_, i) => ({ at: i / 12, quarters: 1 / 12, pitch: 46 + 5 * (i % 2) }),
  );
  const [finding] = findingsOf("timpani", notes, { rule: "legato rate" });
  assertEquals(finding!.what, "fast moving notes at 12 per second; from drum to drum reaches 9");
});
