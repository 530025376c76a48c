/** A note that is struck or plucked and written for an hour dies away, and nothing else happens. */
import { assert, assertAlmostEquals, assertEquals, assertMatch, assertThrows } from "@std/assert";
import {
  allInstruments,
  balance,
  demoScore,
  InputError,
  type Instrument,
  momentum,
  type Note,
  playability,
  type Score,
  study,
} from "ripieno";
import { maskingMatrix, momentSound, roughBars } from "ripieno/measures";
import { decaySeconds } from "../../lib/instruments/sound/decay.ts";
import { meanPower } from "../../lib/measures/sounding.ts";
import { notFinite, smallScore } from "./small_scores.ts";

const SLOW = 30;
const SECONDS_PER_BAR = 4 * 60 / SLOW;

/** One note of so many seconds under a held flute of two bars. */
function longNote(
  instrument: Instrument,
  seconds: number,
  technique: Note["technique"],
  written = true,
): Score {
  const { low, high } = instrument.rangeExtreme;
  const quarters = seconds * SLOW / 60;
  return smallScore([
    {
      instrument: instrument.id,
      role: "lead",
      notes: [{
        at: 0,
        quarters,
        pitch: Math.round((low + high) / 2),
        technique,
        unpitched: instrument.unpitched,
      }],
    },
    { instrument: "flute", role: "pad", notes: [{ at: 0, quarters: 8, pitch: 74 }] },
  ], { bars: Math.max(2, Math.ceil(seconds / SECONDS_PER_BAR)), quartersPerMinute: SLOW, written });
}

const DYING = allInstruments().flatMap((instrument) =>
  (["ordinario", "pizzicato"] as const).filter((way) => decaySeconds(instrument, way) !== null)
    .map((way) => ({ instrument, way }))
);

Deno.test("a struck or plucked note may be written for an hour: balance and momentum of every instrument and length", () => {
  assert(DYING.length > 60, `${DYING.length}`);
  for (const { instrument, way } of DYING) {
    const heard = [1, 20, 60, 600, 3600].map((seconds) => {
      const score = longNote(instrument, seconds, way);
      const own = balance(score);
      assertEquals(notFinite([own, momentum(score, { balance: own })]), [], `${instrument.id} ${seconds} s`);
      return own;
    });
    // What is heard of the stroke is over long before a minute has gone.
    const first = heard.slice(2).map((b) => b.perBar[0]!);
    for (const bar of first) {
      assertAlmostEquals(bar.loudnessSones, first[0]!.loudnessSones, 1e-9, instrument.id);
    }
    assertEquals(heard.at(-1)!.perBar.slice(8).map((b) => b.loudnessSones).filter((sones) => sones > 0), []);
  }
});

Deno.test("a whole study takes a stuck note of any instrument, with its texture recognised", () => {
  for (const { instrument, way } of DYING) {
    assertEquals(notFinite(study(longNote(instrument, 400, way, false))), [], instrument.id);
  }
});

Deno.test("a decay is silent from 120 dB down, and not before", () => {
  const tau = 0.02, floor = 12 * Math.LN10 * tau;
  const stroke = { fromTicks: 0, toTicks: 1e9, decaySeconds: tau };
  const share = (from: number, to: number) => meanPower(stroke, from, to, 0.001);
  assert(share(1000 * floor - 2, 1000 * floor - 1) > 0);
  assertEquals(share(Math.ceil(1000 * floor), 1e9), 0);
  for (let at = 0; at < 2000; at++) {
    const own = share(at, at + 1);
    assert(own === 0 || own > 1e-20, `${at}: ${own}`);
  }
});

Deno.test("a note without a layer in a score that has layers is weighed all the same", () => {
  const written = smallScore([
    { instrument: "piano", role: "lead", notes: [{ at: 0, quarters: 8, pitch: 60 }] },
    { instrument: "flute", role: "pad", notes: [{ at: 0, quarters: 8, pitch: 74 }] },
  ]);
  const { layer: _, ...bare } = written.notes.find((n) => n.part === 0)!;
  assertEquals(notFinite(study({ ...written, notes: [bare, written.notes.find((n) => n.part === 1)!] })), []);
});

Deno.test("what has no sound is refused with part and bar, by every measure that listens", () => {
  const score = demoScore();
  const at = score.notes.findIndex((n) => n.onsetTicks >= score.bars[19]!.startTicks && n.part === 0);
  const broken = (change: Partial<Note>): Score => ({
    ...score,
    notes: score.notes.map((n, i) => i === at ? { ...n, ...change } : n),
  });
  const measures: readonly ((s: Score) => unknown)[] = [
    balance,
    momentum,
    study,
    roughBars,
    maskingMatrix,
    (s) => momentSound(s, { barIndex: 19 }),
  ];
  for (const change of [{ dynamic: NaN }, { soundingPitch: NaN }]) {
    for (const measure of measures) {
      const { message } = assertThrows(() => measure(broken(change)), InputError);
      assertMatch(message, new RegExp(`\\(${score.parts[0]!.name}, bar 20\\)`));
    }
  }
  assertMatch(assertThrows(() => playability(broken({ soundingPitch: NaN })), InputError).message, /Flute 1/);
  assertMatch(
    assertThrows(() => balance(broken({ durationTicks: Infinity })), InputError).message,
    /bar 20\)/,
  );
});
