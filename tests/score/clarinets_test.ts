import { assertEquals, assertGreater, assertMatch } from "@std/assert";
import { demoPlans, demoSketch, playability, readAbc, realise, sketchOf } from "ripieno";
import { clarinetChoices, clarinetsByKey } from "ripieno/score";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { orchestra } from "../../lib/instruments/orchestra.ts";
import { assign, type Plan } from "../../lib/orchestrate/plan/plan.ts";
import type { RealiseOptions } from "../../lib/orchestrate/realise/realiser.ts";
import type { Score } from "../../lib/score/model.ts";

const KEYS = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"];

/** A scale in a major key, for two clarinets: those in B flat as the orchestra lists them, or chosen by key. */
function scaleIn(key: string, clarinets: RealiseOptions["clarinets"] = "as listed"): Score {
  const sketch = sketchOf(
    readAbc(`X:1\nT:Scale\nM:4/4\nL:1/4\nQ:1/4=90\nK:${key}\n"${key}" C D E F | G A B c | C4 |]`),
  );
  return realise(sketch, scalePlan(key), { clarinets });
}

/** Two clarinets in unison. */
function scalePlan(name: string): Plan {
  const assignments = [assign({ role: "lead", parts: ["Clarinet 1", "Clarinet 2"] })];
  return { name, passages: [{ name: "All", fromBar: 1, toBar: 3, assignments }] };
}

Deno.test("clarinets are chosen by key, unless an orchestra says which there are", () => {
  const sketch = sketchOf(
    readAbc('X:1\nT:Scale\nM:4/4\nL:1/4\nQ:1/4=90\nK:E\n"E" E F G A | B A G F | E4 |]'),
  );
  const plan = scalePlan("E");
  const first = (options?: RealiseOptions) => realise(sketch, plan, options).parts[0]!.instrument;
  assertEquals(first(), "clarinet in A");
  assertEquals(first({ clarinets: "as listed" }), "clarinet in Bb");
  assertEquals(first({ orchestra: orchestra("symphony") }), "clarinet in Bb");
  assertEquals(first({ orchestra: orchestra("symphony"), clarinets: "by key" }), "clarinet in A");
});

Deno.test("a clarinet in A is not chosen where it would leave the range that the one in B flat plays with comfort", () => {
  const inE = scaleIn("E");
  assertEquals(clarinetsByKey(inE).parts[0]!.instrument, "clarinet in A");
  const high = inE.notes.map((n, i) => i === 0 ? { ...n, soundingPitch: 86 } : n); // D6: F6 in A, E6 in B flat
  assertEquals(clarinetsByKey({ ...inE, notes: high }).parts[0]!.instrument, "clarinet in Bb");
});

/** Sharps and flats of the key signature that the first part reads. */
const signature = (score: Score) => Math.abs(Number(/<fifths>(-?\d+)/.exec(writeMusicXml(score))![1]));

Deno.test("clarinets by key: sharp keys are read in A, flat keys in B flat, as handbooks have it", () => {
  const chosen = KEYS.map((key) => scaleIn(key, "by key").parts.map((p) => p.instrument));
  for (const [one, two] of chosen) assertEquals(one, two);
  const inA = KEYS.filter((_, i) => chosen[i]![0] === "clarinet in A");
  for (const key of ["D", "A", "E", "B"]) assertEquals(inA.includes(key), true, key);
  for (const key of ["Ab", "Eb", "Bb", "F", "C"]) assertEquals(inA.includes(key), false, key);
});

Deno.test("clarinets by key: fewest notes are altered, what sounds stays, and the page is read back so", () => {
  for (const key of KEYS) {
    const [given, chosen] = [scaleIn(key), scaleIn(key, "by key")];
    const [least] = clarinetChoices(given).toSorted((a, b) => a.alteredNotes - b.alteredNotes);
    const own = clarinetChoices(given).find((c) => c.instrument === chosen.parts[0]!.instrument);
    assertEquals(own!.alteredNotes, least!.alteredNotes, key);
    assertEquals(signature(chosen) <= 6, true, key);
    assertEquals(chosen.notes, given.notes);
    const back = readMusicXml(writeMusicXml(chosen));
    assertEquals(back.parts.map((p) => p.instrument), chosen.parts.map((p) => p.instrument));
    assertEquals(back.notes.map((n) => n.soundingPitch), chosen.notes.map((n) => n.soundingPitch));
  }
});

Deno.test("clarinets by key: a row says what each would read; the figures are those of the page", () => {
  const score = realise(demoSketch(), demoPlans().rotating);
  const [inBFlat, inA] = clarinetChoices(score);
  assertGreater(inA!.alteredNotes, inBFlat!.alteredNotes);
  assertEquals(clarinetsByKey(score), score);
  const part = score.parts.findIndex((p) => p.instrument === "clarinet in Bb");
  const clarinets = score.parts.filter((p) => p.instrument === "clarinet in Bb").length;
  const xml = writeMusicXml(score).match(/<part id[\s\S]*?<\/part>/g)!.slice(part, part + clarinets).join("");
  const heads = xml.match(/<note>[\s\S]*?<\/note>/g)!.filter((n) => !n.includes('<tie type="stop"/>'));
  assertEquals(heads.filter((n) => /<alter>-?1</.test(n)).length, inBFlat!.alteredNotes);
});

Deno.test("clarinets by key: a note below the range of one keeps the other; no clarinets, no choice", () => {
  const low = scaleIn("E");
  const notes = low.notes.map((n) => ({ ...n, soundingPitch: 100 }));
  assertEquals(clarinetChoices({ ...low, notes }).map((c) => c.isPlayable), [false, false]);
  assertEquals(clarinetsByKey({ ...low, notes }).parts[0]!.instrument, "clarinet in Bb");
  assertEquals(clarinetChoices(demoSketch().score), []);
  assertEquals(playability(scaleIn("B", "by key")).findings.some((f) => f.rule === "key signature"), false);
});

Deno.test("clarinets as listed: told where the other instrument halves the sharps and flats, nowhere else", () => {
  const told = (key: string, clarinets: RealiseOptions["clarinets"] = "as listed") =>
    scaleIn(key, clarinets).notices.filter((n) => n.what.includes("clarinets"));
  for (const key of ["A", "E"]) {
    assertMatch(
      told(key)[0]!.what,
      /clarinets in B flat read \d+ of \d+ notes sharp or flat, in A they would read/,
    );
    assertEquals(told(key, "by key"), []);
  }
  for (const key of ["F", "Bb", "C", "Ab"]) assertEquals(told(key), [], key);
});
