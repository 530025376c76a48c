/** Means, loudness over beats, warnings and whose balance it is, worked out by hand. */
import { assert, assertAlmostEquals, assertEquals, assertMatch, assertThrows } from "@std/assert";
import { balance, InputError, instrumentById, momentum, type Score, textureOf } from "ripieno";
import { handbookAgreement, maskingMatrix, momentSound } from "ripieno/measures";
import { directShares, listeningLevelsDb } from "../../../lib/measures/balance/listening_place.ts";
import { balanceSettings } from "../../../lib/measures/balance/balance_options.ts";
import { beatsOfBar, checkedBars } from "../../../lib/measures/balance/listening.ts";
import { leadDoublings } from "../../../lib/measures/balance/lead_doublings.ts";
import { dynamicPlayed } from "../../../lib/measures/balance/note_sound.ts";
import { warningsOf } from "../../../lib/measures/balance/balance_warnings.ts";
import { makeNote, soundingNotes } from "ripieno/score";
import { type Line, type LineNote, repeatedNotes, smallScore } from "../small_scores.ts";

const line = (
  instrument: string,
  role: Line["role"],
  notes: readonly LineNote[],
  more: Partial<Line> = {},
): Line => ({
  instrument,
  role,
  layer: role,
  notes,
  ...more,
});
const note = (at: number, quarters: number, pitch: number, dynamic = 5): LineNote => ({
  at,
  quarters,
  pitch,
  dynamic,
});

Deno.test("a bar's figures are means over the notes of its lead by their length, levels over those beside others", () => {
  const score = smallScore([
    line("oboe", "lead", [note(0, 1, 72), note(1, 3, 76), note(4, 1, 74), note(5, 1, 77), note(5, 1, 65)]),
    line("horn in F", "pad", [note(0, 1, 60, 3), note(1, 3, 58, 6), note(5, 1, 60)]),
    line("cello", "bass", [note(4, 0.5, 86, 1)]),
  ], { quartersPerMinute: 60 });
  const { perBar: [first, second], perNote } = balance(score);
  assertEquals(perNote.map((n) => [n.barIndex, n.bar, n.beat, n.onsetSeconds, n.soundingPitch, n.lead]), [
    [0, "1", 1, 0, 72, "oboe 1"],
    [0, "1", 2, 1, 76, "oboe 1"],
    [1, "2", 1, 4, 74, "oboe 1"],
    [1, "2", 2, 5, 77, "oboe 1"],
  ]);
  const [a, b, c, d] = perNote;
  for (const what of ["audibleShare", "powerDb", "handbookDb"] as const) {
    assertAlmostEquals(first![what]!, (a![what]! + 3 * b![what]!) / 4, 1e-12, what);
  }
  assertAlmostEquals(second!.audibleShare!, (c!.audibleShare + d!.audibleShare) / 2, 1e-12);
  assertEquals([first!.onsetSeconds, second!.onsetSeconds, first!.leadAlone], [0, 4, false]);
  const { whole } = balance(score);
  assertAlmostEquals(whole.audibleShare!, (first!.audibleShare! + second!.audibleShare!) / 2, 1e-12);
});

Deno.test("a bar is as loud as its beats are on the mean, a layer as it is while it sounds, its share goes by time", () => {
  const of = (...notes: readonly LineNote[]) =>
    balance(smallScore([line("flute", "pad", notes)], { bars: 1 }));
  const [all, half] = [of(note(0, 4, 79)), of(note(0, 2, 79))];
  assertAlmostEquals(half.perBar[0]!.loudnessSones, all.perBar[0]!.loudnessSones / 2, 1e-9);
  assertAlmostEquals(half.perLayer[0]!.partialSones, all.perLayer[0]!.partialSones, 1e-9);
  // One after the other, the flute for one beat and then twice as loud a bar of it for three.
  const turn = balance(
    smallScore([line("flute", "pad", [note(0, 1, 79)]), line("oboe", "bass", [note(1, 3, 72)])], { bars: 1 }),
  );
  const sones = new Map(turn.perLayer.map((l) => [l.layer, l.partialSones]));
  const whole = sones.get("pad")! + 3 * sones.get("bass")!;
  assertAlmostEquals(turn.perBar[0]!.loudnessSones, whole / 4, 1e-9);
  for (const l of turn.perLayer) {
    assertAlmostEquals(l.loudnessShare, (l.layer === "pad" ? 1 : 3) * l.partialSones / whole, 1e-9);
    assertAlmostEquals(l.audibleShare, 1, 1e-9);
  }
  // For half of a beat of four it has an eighth of what it has for all of it.
  const sonesOf = (...notes: readonly LineNote[]) => {
    const { perLayer } = balance(
      smallScore([line("flute", "pad", notes), line("tuba", "bass", [note(0, 4, 30)])], { bars: 1 }),
    );
    const [flute, tuba] = ["pad", "bass"].map((id) => perLayer.find((l) => l.layer === id)!);
    return {
      flute: flute!.loudnessShare / flute!.partialSones,
      tuba: tuba!.loudnessShare / tuba!.partialSones,
    };
  };
  const eighth = sonesOf(note(1, 0.5, 79));
  assertAlmostEquals(eighth.flute / eighth.tuba, 1 / 8, 1e-9);
});

Deno.test("leading parts that play louder or softer than marked are heard as if they were marked so", () => {
  const of = (dynamic: number, leadSteps: number) =>
    balance(
      smallScore([
        line("oboe", "lead", [note(0, 4, 72, dynamic)]),
        line("horn in F", "pad", [note(0, 8, 60)]),
      ]),
      { constants: { leadSteps } },
    );
  for (const steps of [-2, 0, 1, 2]) {
    const [played, marked] = [of(4, steps), of(4 + steps, 0)];
    assertEquals([played.whole.audibleShare, played.whole.powerDb], [
      marked.whole.audibleShare,
      marked.whole.powerDb,
    ]);
    assertEquals(played.perLayer, marked.perLayer);
  }
  // Whoever leads, in whichever bar.
  const later = (dynamic: number, leadSteps: number) =>
    balance(
      smallScore([
        line("horn in F", "pad", [note(0, 8, 60)]),
        line("oboe", "lead", [note(4, 4, 72, dynamic)]),
      ]),
      { constants: { leadSteps } },
    );
  assertEquals(later(4, 2).perLayer, later(6, 0).perLayer);
  assertEquals(later(4, 2).whole.audibleShare, later(6, 0).whole.audibleShare);
});

Deno.test("constants of balance have the ranges that are printed with them, ends included", () => {
  const takes = (constants: object) => {
    try {
      return balanceSettings("try", { constants }) !== undefined;
    } catch {
      return false;
    }
  };
  const ends = {
    gridStepCam: [0.01, 1],
    quickGridStepCam: [0.01, 1],
    accentSteps: [0, 7],
    leadSteps: [-7, 7],
    twoEarsDb: [0, 90],
    coveredBelowShare: [0, 1],
    hallStrengthDb: [-30, 30],
  };
  for (const [name, [low, high]] of Object.entries(ends)) {
    assert(takes({ [name]: low }) && takes({ [name]: high }), name);
    if (name !== "hallStrengthDb") assert(!takes({ [name]: low! - 0.005 }), `${name} below ${low}`);
    if (name !== "hallStrengthDb" && name !== "twoEarsDb") {
      assert(!takes({ [name]: high! + 0.005 }), `${name} above ${high}`);
    }
  }
  assert(takes({ listenSeconds: 0.001 }) && !takes({ listenSeconds: 0 }));
});

Deno.test("beats are those of the lower figure, but quarters in eighths; a short bar is one beat or ends with a part of one", () => {
  const beats = (beatCount: number, beatUnit: number, durationTicks?: number) => {
    const score = smallScore([line("flute", "lead", [])], { bars: 1, beats: beatCount, beatUnit });
    const bar = { ...score.bars[0]!, ...durationTicks === undefined ? {} : { durationTicks } };
    return beatsOfBar({ ...score, bars: [bar] }, 0).map((s) => `${s.from}-${s.to}`);
  };
  assertEquals(beats(3, 4), ["0-96", "96-192", "192-288"]);
  assertEquals(beats(2, 2), ["0-192", "192-384"]);
  assertEquals(beats(6, 8), ["0-96", "96-192", "192-288"]);
  assertEquals(beats(4, 4, 240), ["0-96", "96-192", "192-240"]);
  assertEquals([beats(4, 4, 48), beats(4, 4, 0), beats(2, 2, 96)], [["0-48"], [], ["0-96"]]);
  const second = smallScore([line("flute", "lead", [])], { beats: 2 });
  assertEquals(beatsOfBar(second, 1), [{ from: 192, to: 288 }, { from: 288, to: 384 }]);
});

Deno.test("a span of bars is inside the score, in whole numbers and in order; by default it is all of it", () => {
  const bars = smallScore([line("flute", "lead", [])], { bars: 3 });
  assertEquals(checkedBars("look", bars, {}), { fromBarIndex: 0, toBarIndex: 2 });
  assertEquals(checkedBars("look", bars, { fromBarIndex: 2 }), { fromBarIndex: 2, toBarIndex: 2 });
  assertEquals(checkedBars("look", bars, { toBarIndex: 0 }), { fromBarIndex: 0, toBarIndex: 0 });
  for (const [fromBarIndex, toBarIndex] of [[2, 1], [-1, 1], [0, 3], [3, 3], [0.5, 1], [0, 1.5], [NaN, 1]]) {
    assertThrows(
      () => checkedBars("look", bars, { fromBarIndex: fromBarIndex!, toBarIndex: toBarIndex! }),
      InputError,
      "Give indexes from 0 to 2",
    );
  }
  const none = { ...bars, bars: [] };
  assertEquals(checkedBars("look", none, {}), { fromBarIndex: 0, toBarIndex: 0 });
  for (const span of [{ fromBarIndex: 0 }, { toBarIndex: 0 }]) {
    assertThrows(() => checkedBars("look", none, span), InputError, "the score has no bars");
  }
});

Deno.test("a balance of another score, another time or other layers is refused; clocks may differ by rounding", () => {
  const of = (bars: number, layer: string) =>
    smallScore([line("flute", "lead", repeatedNotes(79, 1, { to: 4 * bars }), { layer })], { bars });
  const score = of(2, "tune");
  const texture = textureOf(score);
  const measured = balance(score, { texture });
  const refused = (own: typeof measured, words: string) =>
    assertThrows(() => momentum(score, { texture, balance: own }), InputError, words);
  refused(balance(of(3, "tune")), "it has 3 bars and the score has 2");
  refused(balance(of(1, "tune")), "it has 1 bars and the score has 2");
  refused(balance(of(2, "other")), 'it has a layer "other", which the texture has not');
  const shifted = (seconds: number) => ({
    ...measured,
    perBar: measured.perBar.map((row, b) => ({ ...row, onsetSeconds: row.onsetSeconds + b * seconds })),
  });
  refused(shifted(2e-6), "bar 2 begins at another time");
  refused(shifted(-2e-6), "bar 2 begins at another time");
  assertEquals(
    momentum(score, { texture, balance: shifted(5e-7) }).whole,
    momentum(score, { texture, balance: measured }).whole,
  );
});

Deno.test("what a warning promises is what the lead keeps where the layer is 12 dB softer at the listener", () => {
  const pad = (dynamic: number): Line =>
    line("horn in F", "pad", [note(0, 8, 59, dynamic)], { name: "Horn" });
  for (const [lead, others, words] of [[2, 5, /^Two dynamics/], [1, 8, /^Even two dynamics/]] as const) {
    const score = smallScore([line("flute", "lead", [note(0, 8, 62, lead)], { name: "Flute" }), pad(others)]);
    const [warning] = balance(score, { constants: { coveredBelowShare: 0.9 } }).warnings;
    const eased = balance(score, { gainsDb: { Horn: -12 } }).whole.audibleShare!;
    assertMatch(warning!.remedy, words);
    assert(warning!.remedy.includes(`would keep ${Math.round(100 * eased)} %`), warning!.remedy);
    const { audibleShare } = balance(score).whole;
    assertEquals(eased - audibleShare! >= 0.05, words.source.startsWith("^Two"));
    assertEquals([warning!.figure, warning!.limit, warning!.bar], [audibleShare, 0.9, "1"]);
  }
});

Deno.test("a warning names a weak register where more than half of the lead's notes lie in it, and several who lead", () => {
  const tune = (low: number) => Array.from({ length: 8 }, (_, i) => note(i, 1, i < low ? 62 : 86, 2));
  const loud = line("tenor trombone", "pad", [note(0, 8, 59, 8)], { name: "Trombone" });
  const said = (...lines: readonly Line[]) =>
    balance(smallScore([...lines, loud]), { constants: { coveredBelowShare: 0.99 } }).warnings[0]!.what;
  const flute = (low: number) => line("flute", "lead", tune(low), { name: "Flute" });
  assertMatch(
    said(flute(5)),
    /^Flute, in its low register, keeps \d+ % of its loudness under the pad \(Trombone\) at fff$/,
  );
  assertMatch(said(flute(4)), /^Flute keeps \d+ % of its/);
  assertMatch(
    said(flute(5), line("oboe", "lead", tune(5), { name: "Oboe" })),
    /^Flute and Oboe keep \d+ % of their loudness under/,
  );
});

Deno.test("softening a layer is advised where the lead then keeps a twentieth more, and nowhere else", () => {
  const advised = { yes: 0, no: 0 };
  for (const lead of [1, 2, 3, 4, 5]) {
    for (const others of [4, 6, 8]) {
      const score = smallScore([
        line("flute", "lead", [note(0, 8, 67, lead)]),
        line("horn in F", "pad", [note(0, 8, 59, others)], { name: "Horn" }),
      ]);
      const [warning] = balance(score, { constants: { coveredBelowShare: 1 } }).warnings;
      const gained = balance(score, { gainsDb: { Horn: -12 } }).whole.audibleShare! - warning!.figure!;
      assertEquals(
        warning!.remedy.startsWith("Two dynamics"),
        gained >= 0.05,
        `${lead} under ${others}: ${gained}`,
      );
      advised[gained >= 0.05 ? "yes" : "no"]++;
    }
  }
  assert(advised.yes > 2 && advised.no > 0, JSON.stringify(advised));
});

Deno.test("a note too short to be listened to twice is warned of as well; of two that cover alike the upper is named", () => {
  const pads = ["Horn A", "Horn B"].map((name, i) =>
    line("horn in F", i === 0 ? "pad" : "pulse", [note(0, 0.25, 59, 8)], { name })
  );
  const { warnings } = balance(
    smallScore([line("flute", "lead", [note(0, 0.25, 62, 1)], { name: "Flute" }), ...pads]),
  );
  assertMatch(warnings[0]!.what, /under the pad \(Horn A\) at fff$/);
  const { perBar } = balance(
    smallScore([line("flute", "lead", [note(0, 1, 62)])], { quartersPerMinute: 60 }),
  );
  assertEquals(perBar.map((b) => b.audibleShare), [1, null], "one second is as good as any");
});

Deno.test("what is held over into bars in which its part has no role is named so", () => {
  const score = smallScore([
    line("flute", "lead", [note(8, 8, 62, 1)], { name: "Flute" }),
    line("horn in F", "pad", [note(0, 16, 59, 8)], { name: "Horn" }),
  ], { bars: 4 });
  const read = textureOf(score);
  const cells = read.cells.map((cell): typeof cell =>
    cell.part === 1 && cell.barIndex > 0 ? { ...cell, role: "rest", layer: "rest" } : cell
  );
  const { warnings } = balance(score, { texture: { ...read, cells } });
  assertMatch(warnings[0]!.what, /under what is held over \(Horn\) at fff$/);
});

Deno.test("where nobody can be heard there is nothing to keep, to lose or to share", () => {
  const score = smallScore([
    line("flute", "lead", [note(0, 8, 74)]),
    line("horn in F", "pad", [note(0, 8, 59)]),
  ]);
  const gainsDb = { woodwind: -1000, brass: -1000 };
  const { perLayer, perBar, whole } = balance(score, { gainsDb });
  for (const l of perLayer) assertEquals([l.partialSones, l.audibleShare, l.loudnessShare], [0, 0, 0]);
  assertEquals([perBar[0]!.loudnessSones, whole.audibleShare], [0, 0]);
  assertEquals(perBar.map((b) => b.audibleShare), [0, null], "what is held over unheard is a rest");
  // The horn alone has all there is, however soft.
  for (const brass of [-20, -50, -60]) {
    const [, horn] = balance(score, { gainsDb: { woodwind: -1000, brass } }).perLayer;
    assertEquals([horn!.layer, horn!.loudnessShare, horn!.partialSones > 0], ["pad", 1, true]);
    assertAlmostEquals(horn!.audibleShare, 1, 1e-6);
  }
  const lost = maskingMatrix(score, { gainsDb: { woodwind: -50, brass: -50 } }).map((r) => r.lostShare);
  assert(lost.every((share) => share > 0.01 && share < 1), lost.join());
  for (const r of maskingMatrix(score, { gainsDb })) assertEquals([r.aloneSones, r.lostShare], [0, 0]);
  const moment = momentSound(score, { barIndex: 0, gainsDb });
  assertEquals(moment.layers.map((l) => [l.aloneSones, l.audibleShare]), [[0, 0], [0, 0]]);
  assertEquals(maskingMatrix({ ...score, bars: [], notes: [], layers: [] }), []);
  const [first] = score.bars;
  const nothing = balance({ ...score, notes: [], bars: [{ ...first!, durationTicks: 0 }] });
  assertEquals(nothing.perBar[0]!.loudnessSones, 0);
  const tick = balance({ ...score, bars: [{ ...first!, durationTicks: 1 }] });
  assert(tick.perBar[0]!.loudnessSones > 0, "a bar of a tick");
  // A beat and a half of five have three and two quarters: shares go by time, however it is cut into beats.
  const cut = balance({
    ...smallScore([line("flute", "pad", [note(0, 2, 79)]), line("oboe", "bass", [note(2, 0.5, 72)])]),
    bars: [{ ...first!, durationTicks: 240 }],
  }).perLayer;
  const [flute, oboe] = cut.map((l) => l.loudnessShare / l.partialSones);
  assertAlmostEquals(flute! / oboe!, 4, 1e-9);
});

Deno.test("covered bars one after another are one warning as long as the same part leads", () => {
  const of = (leads: readonly (readonly [instrument: string, bars: readonly number[]])[]) => {
    const lines = leads.map(([instrument, bars]) =>
      line(instrument, "lead", bars.map((b) => note(4 * b, 4, 62, 1)), {
        name: instrument,
        layer: instrument,
      })
    );
    const loud = line("tenor trombone", "pad", [0, 1, 2, 3].map((b) => note(4 * b, 4, 59, 8)));
    return balance(smallScore([...lines, loud], { bars: 4 })).warnings.map((w) =>
      `${w.what.split(/,| keep/)[0]} ${w.fromBarIndex}-${w.toBarIndex}`
    );
  };
  assertEquals(of([["flute", [0, 1, 3]]]), ["flute 0-1", "flute 3-3"]);
  const one = balance(smallScore([
    line("flute", "lead", [note(0, 4, 62, 1)], { name: "Flute" }),
    line("tenor trombone", "pad", [note(0, 4, 59, 8)], { name: "Trombone" }),
  ])).warnings;
  assertEquals(one.length, 1);
  assertMatch(
    one[0]!.what,
    /^Flute, in its low register, keeps \d+ % of its loudness under the pad \(Trombone\) at fff$/,
  );
  assertEquals(of([["flute", [0, 1]], ["alto flute", [2, 3]]]), ["flute 0-1", "alto flute 2-3"]);
});

Deno.test("rows of a matrix stand in the order of what is lost, equal ones by name; shares are over the sones", () => {
  const score = smallScore(
    ["violin", "violin", "violin"].map((instrument, i) =>
      line(instrument, "pad", [note(0, 8, 69)], { layer: "cab"[i]! })
    ).concat(line("tenor trombone", "bass", [note(0, 8, 52, 8)])),
  );
  const rows = maskingMatrix(score);
  assertEquals(rows.length, 12);
  rows.forEach((r, i) => {
    assertAlmostEquals(r.lostShare, 1 - r.partialSones / r.aloneSones, 1e-12);
    const next = rows[i + 1];
    if (next) {
      assert(
        r.lostShare > next.lostShare ||
          r.lostShare === next.lostShare && `${r.masked} ${r.masker}` < `${next.masked} ${next.masker}`,
      );
    }
  });
  assertEquals(rows.slice(0, 3).map((r) => [r.masked, r.masker]), [["a", "bass"], ["b", "bass"], [
    "c",
    "bass",
  ]]);
});

Deno.test("a moment begins and ends where it is asked; a layer is heard there as loud as while it sounds", () => {
  const score = smallScore([
    line("flute", "lead", [note(0, 8, 79)]),
    line("horn in F", "pad", [note(2, 1, 57)]),
  ]);
  const at = (beat: number, beats?: number) =>
    momentSound(score, { barIndex: 0, beat, ...beats === undefined ? {} : { beats } });
  assertEquals([at(2), at(3), at(2.5), at(1, 4)].map((m) => m.layers.length), [1, 2, 2, 2]);
  assertEquals([at(3).beat, at(3).onsetSeconds, at(2.5).onsetSeconds, at(3).bar], [3, 1, 0.75, "1"]);
  const horn = (m: ReturnType<typeof at>) => m.layers.find((l) => l.role === "pad")!;
  assertAlmostEquals(horn(at(2.5)).aloneSones, horn(at(3)).aloneSones, 1e-9);
  assertAlmostEquals(horn(at(1, 4)).aloneSones, horn(at(3)).aloneSones, 1e-9);
  assertEquals(at(3, 1), at(3));
  const { layers, bands } = at(3);
  assert(layers[0]!.partialSones >= layers[1]!.partialSones);
  for (const l of layers) {
    assertAlmostEquals(l.audibleShare, Math.min(1, l.partialSones / l.aloneSones), 1e-12);
  }
  assertEquals(Math.min(...bands.map((b) => b.levelDb)), -20);
  assertAlmostEquals(at(2).layers[0]!.audibleShare, 1, 1e-12);
  // The whole bar's quietest moment: the flute alone in the second beat.
  assertAlmostEquals(at(2).wholeSones, at(2).layers[0]!.aloneSones, 1e-9);
  const eighths = smallScore([line("flute", "lead", [note(0, 3, 79)])], { beats: 6, beatUnit: 8 });
  assertEquals(momentSound(eighths, { barIndex: 0, beat: 4 }).onsetSeconds, 0.75);
  for (const [beat, beats] of [[0.5, 1], [5, 1], [2, 0], [2, -1]] as const) {
    assertThrows(() => at(beat, beats), InputError, "Give a beat from 1 to 5");
  }
  assertThrows(() => momentSound(score, {} as never), InputError, "no bar is given");
});

Deno.test("the handbook's equations agree by power within 3 dB and by ear within 3 phons, at pitches both are at ease on", () => {
  // Less than a doubling of the players, which is 3.0103 dB.
  for (const r of handbookAgreement()) {
    assertEquals(
      r.powerAgrees,
      Math.abs(r.powerDb) <= 3.01,
      `${r.instrumentA} and ${r.instrumentB}`,
    );
    assertAlmostEquals(r.loudnessRatio, r.sonesA / r.sonesB, 1e-12);
    // Loudness doubles in 10 phons: 3.01 of them are a ratio of 1.232.
    assertEquals(r.hearingAgrees, r.loudnessRatio <= 1.232 && r.loudnessRatio >= 1 / 1.232);
    const [a, b] = [r.instrumentA, r.instrumentB].map((id) => instrumentById(id).rangeComfortable);
    assert(r.soundingPitchA >= a!.low && r.soundingPitchA <= a!.high);
    assert(r.soundingPitchB >= b!.low && r.soundingPitchB <= b!.high);
    // The middle, rounded up.
    const [low, high] = [Math.max(a!.low, b!.low), Math.min(a!.high, b!.high)];
    if (low <= high) assertEquals(r.soundingPitchA, Math.round((low + high) / 2 + 1e-9));
    const shared = Math.max(a!.low, b!.low) <= Math.min(a!.high, b!.high);
    assertEquals(r.soundingPitchA === r.soundingPitchB, shared);
  }
});

Deno.test("in a hall the direct share is what distance leaves, by hand; a microphone has nothing else", () => {
  const score = smallScore([
    line("flute", "lead", [], { name: "Flute" }),
    line("tenor trombone", "pad", [], { name: "Trombone" }),
  ]);
  const seats = score.parts.map((part) => ({ part, instrument: instrumentById(part.instrument) }));
  const hall = { distanceMetres: 10, roomConstantSquareMetres: 2000, depthMetres: { Flute: 0, brass: 5 } };
  // 7.9577e-4 of 2.79577e-3, and 3.5368e-4 of 2.35368e-3.
  const [flute, trombone] = directShares(seats, { hall }, 3);
  assertAlmostEquals(flute!, 0.284635, 1e-5);
  assertAlmostEquals(trombone!, 0.150265, 1e-5);
  assertEquals(directShares(seats, { hall, gainsDb: { Flute: 3 } }, 3), [1, trombone!]);
  assertEquals(directShares(seats, { hall, gainsDb: { brass: 0 } }, 3), [flute!, 1]);
  // A hall weaker than its direct sound has no reverberation: 10 log10(1 / (4 pi 225)) and 1 / (4 pi 400).
  const dead = listeningLevelsDb(seats, { hall: { depthMetres: { Flute: 0, brass: 5 } } }, -60);
  assertAlmostEquals(dead[0]!, -34.5139, 1e-3);
  assertAlmostEquals(dead[1]!, -37.0127, 1e-3);
  for (const gainsDb of [null, 3, { Flute: "3" }, { Flute: Infinity }]) {
    assertThrows(() => listeningLevelsDb(seats, { gainsDb: gainsDb as never }, 3), InputError);
  }
});

Deno.test("dynamics are rounded to quarters of a step", () => {
  const of = (dynamic: number) =>
    dynamicPlayed(makeNote({ part: 0, onsetTicks: 0, durationTicks: 96, soundingPitch: 60, dynamic }), 0, 1);
  assertEquals([5, 5.12, 5.13, 5.37, 5.38, 7.99].map(of), [5, 5, 5.25, 5.25, 5.5, 8]);
});

Deno.test("a note may double one that the lead has held over the bar line, as long as it ends with it", () => {
  const doubling = (own: readonly LineNote[]) => {
    const tune = [
      note(0, 1, 72),
      note(1, 1, 74),
      note(2, 1, 76),
      note(3, 2, 77),
      note(5, 1, 79),
      note(6, 2, 81),
    ];
    const score: Score = smallScore([line("oboe", "lead", tune), line("violin", "pulse", own)]);
    return [...leadDoublings(score, textureOf(score), soundingNotes(score))].map((n) => n.onsetTicks / 96);
  };
  const before = [note(0, 1, 72), note(1, 1, 62), note(2, 1, 76)];
  assertEquals(doubling([...before, note(4, 1, 77)]), [0, 1, 2, 4]);
  assertEquals(doubling([...before, note(4, 1.5, 77)]), [0, 1, 2], "it outlasts the lead's");
  assertEquals(doubling([...before, note(6.5, 1, 81)]), [0, 1, 2, 6.5]);
  assertEquals(
    doubling([note(0, 1, 72), note(1, 1, 72), note(2, 1, 71)]),
    [],
    "one pitch of two is met by chance",
  );
});

Deno.test("a warning is of the layer that frees most, in the words of its own bars, and promises no more than it keeps", () => {
  const lines = ["Flute", "Viola I", "Viola II"].map((name, i) =>
    line(
      i === 0 ? "flute" : "viola",
      i === 0 ? "lead" : "trill",
      [0, 1, 2].map((b) => note(4 * b, 4, 72 - i)),
      {
        name,
        layer: name,
      },
    )
  );
  const score = smallScore(lines, { bars: 3 });
  const read = textureOf(score);
  const figures = ["trill", "tremolo", "trill"] as const;
  const cells = read.cells.map((cell): typeof cell =>
    cell.part === 0 ? cell : { ...cell, figure: figures[cell.barIndex]! }
  );
  const { perBar } = balance(score);
  const layer = (id: string, part: number, share: number) => ({
    id,
    role: "trill" as const,
    parts: [part],
    dynamic: 6,
    share,
  });
  const of = (share: number, coveredBelowShare: number, first: number, second = 0) =>
    warningsOf(
      [{ barIndex: 1, share, eased: [layer("Viola I", 1, first), layer("Viola II", 2, second)] }],
      perBar,
      score,
      { texture: { ...read, cells }, coveredBelowShare },
    )[0]!;
  const { what, remedy } = of(0.05, 0.1, 0.3, 0.2);
  assertEquals(what, "Flute keeps 5 % of its loudness under the tremolo (Viola I) at f");
  assertMatch(remedy, /^Two dynamics softer there, the lead would keep 30 %;/);
  assertMatch(of(0.05, 0.1, 0.099).remedy, /^Even two dynamics softer there/);
  assertMatch(of(0.0625, 0.1, 0.1125).remedy, /^Two dynamics/, "a twentieth more is worth it");
  // 50.6 % are said to be fewer than 50.7 %, though both round to 51.
  assertEquals([0.506, 0.5049].map((share) => /keeps (\d+) %/.exec(of(share, 0.507, 0.9).what)![1]), [
    "50",
    "50",
  ]);
  assertEquals([0.0999, 0.004].map((share) => /keeps (\d+) %/.exec(of(share, 0.1, 0.9).what)![1]), [
    "9",
    "0",
  ]);
});

Deno.test("a bassoon above B4 is three decibels weaker than at its best, and said to be in its extreme register", () => {
  const said = (pitch: number) =>
    balance(
      smallScore([
        line("bassoon", "lead", [note(0, 8, pitch, 1)], { name: "Bassoon" }),
        line("tenor trombone", "pad", [note(0, 8, 65, 8)]),
      ]),
      { constants: { coveredBelowShare: 0.99 } },
    ).warnings[0]!.what;
  assertMatch(said(72), /^Bassoon, in its extreme register, keeps/);
  assertMatch(said(60), /^Bassoon keeps/);
});

Deno.test("handbookAgreement(): a side is as loud as its players in a score", () => {
  for (const row of handbookAgreement().slice(0, 3)) {
    const { instrumentA, playersA, soundingPitchA, dynamic } = row;
    const part = line(instrumentA, "pad", [note(0, 4, soundingPitchA, dynamic === "f" ? 6 : 3)], {
      players: playersA,
    });
    assertAlmostEquals(row.sonesA, balance(smallScore([part], { bars: 1 })).perBar[0]!.loudnessSones, 1e-9);
    assertEquals([row.handbookDb, row.loudnessRatio], [0, row.sonesA / row.sonesB]);
  }
});
