import { assert, assertEquals } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, realise } from "ripieno";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../../lib/formats/musicxml/write/write_musicxml.ts";
import { shareStaves } from "../../../../lib/formats/page/shared_staves.ts";
import { playersOfNotes } from "../../../../lib/measures/players_at.ts";
import type { Score } from "../../../../lib/score/model.ts";
import { engrave } from "../../../setup/engraver.ts";
import { generatedSetting } from "../../../setup/generated_settings.ts";
import { someBars } from "../../../setup/some_bars.ts";
import { musicXmlValidator } from "../../../setup/music_xml_schema.ts";
import { differences } from "../../compare_scores.ts";
import { line, type NoteText, partOf, scoreOf } from "../../small_scores.ts";

const BARS = Array.from({ length: 8 }, () => ({}));

/** Two oboes with notes of four quarters to the bar. */
function oboes(first: readonly NoteText[], second: readonly NoteText[], names = ["Oboe 1", "Oboe 2"]): Score {
  const parts = names.map((name) => partOf(name, { instrument: "oboe" }));
  return scoreOf(BARS, { parts, notes: [...first, ...second.map((n) => ({ ...n, part: 1 }))] });
}

/** Words about players, by bar. */
const wordsOf = (score: Score) =>
  score.parts[0]!.playing!.map((p) => `${1 + p.fromTicks / 4 / score.ticksPerQuarter}: ${p.words}`);

/** What players have to play, by place and pitch, and how many of them have it. */
function load(score: Score, wholePlayers: (note: Score["notes"][number]) => number): Map<string, number> {
  const found = new Map<string, number>();
  for (const n of score.notes) {
    const part = score.parts[n.part]!;
    const key = [part.instrument, n.onsetTicks, n.durationTicks, n.soundingPitch, n.technique]
      .join(" ");
    found.set(key, (found.get(key) ?? 0) + wholePlayers(n));
  }
  return new Map([...found].sort());
}

Deno.test("shared staves: one alone, both in unison, chords and two voices, with the words for each", () => {
  const first = [
    ...line([[4, 72]]),
    ...line([[2, 72], [2, 74], [4, 76], [4, 77], [4, 79]], { from: 8 }),
    ...line([[2, 76], [2, 77]], { from: 24 }),
    ...line([[4, 76]], { from: 28 }),
  ];
  const second = [
    ...line([[4, 69]], { from: 4 }),
    ...line([[2, 72], [2, 74], [4, 76], [4, 77], [4, 79]], { from: 8 }),
    ...line([[2, 72], [2, 74]], { from: 24 }),
    ...line([[3, 72]], { from: 28 }),
  ];
  const shared = shareStaves(oboes(first, second));
  assertEquals(shared.parts.map((p) => [p.name, p.players]), [["Oboes 1, 2", 2]]);
  assertEquals(wordsOf(shared), ["1: 1.", "2: 2.", "3: a 2"]);
  const voices = (bar: number) =>
    shared.notes.filter((n) => Math.floor(n.onsetTicks / 1920) === bar - 1).map((n) => n.voice).sort().join(
      "",
    );
  assertEquals([1, 3, 7, 8].map(voices), ["1", "11", "1111", "12"]);
});

Deno.test("shared staves: after a solo both are named, and a bar in unison between others gets two stems, not words", () => {
  const a = line([[4, 72], [4, 74], [4, 76], [4, 74], [4, 76]]);
  const b = line([[4], [4, 71], [4, 76], [4, 71], [4, 72]]);
  const shared = shareStaves(oboes(a, b));
  assertEquals(wordsOf(shared), ["1: 1.", "2: 1. 2."]);
  assertEquals(shared.notes.filter((n) => n.soundingPitch === 76).map((n) => n.voice), [1, 2, 1]);
});

Deno.test("shared staves: who plays the same but for a breath stays a 2, with two stems where they differ", () => {
  const tune = line(Array.from({ length: 16 }, (_, i) => [2, 72 + i % 4] as const));
  const breathes = tune.map((n, i) => i === 8 ? { ...n, length: 1.5 } : n);
  const shared = shareStaves(oboes(tune, breathes));
  assertEquals(wordsOf(shared), ["1: a 2"]);
  assertEquals(shared.notes.filter((n) => n.voice === 2).length, 2);
  const back = readMusicXml(writeMusicXml(oboes(tune, breathes), { staves: "shared" }));
  const players = playersOfNotes(back);
  assertEquals(new Set(back.notes.filter((n) => n.voice === 2).map(players)), new Set([1]));
});

Deno.test("shared staves: only neighbours of a kind share, and not what one stave cannot say", () => {
  const plain = [line([[4, 72]]), line([[4, 69]])] as const;
  const count = (score: Score) => shareStaves(score).parts.length;
  assertEquals(count(oboes(...plain)), 1);
  assertEquals(count(oboes(...plain, ["Oboe 2", "Oboe 3"])), 2);
  assertEquals(count(oboes(plain[0], line([[4, 69]], { dynamic: 2 }))), 2);
  assertEquals(count(oboes(plain[0], line([[4, 69]], { technique: "con sordino" }))), 2);
  const { name } = shareStaves(oboes(...plain, ["Oboi 1", "Oboi 2"])).parts[0]!;
  assertEquals(name, "Oboi 1, 2");
});

Deno.test("shared staves: the demo and generated settings are valid, engraved without complaint, and read back with as many players", async () => {
  const demo = Object.values(demoPlans()).map((plan) =>
    someBars(realise(demoSketch(), plan), { from: 0, to: 19 })
  );
  const settings = [...demo, ...[3, 8, 17, 26].map((seed) => generatedSetting(seed).score)];
  let pairs = 0;
  for (const score of settings) {
    const xml = writeMusicXml(score, { staves: "shared" });
    assertEquals(musicXmlValidator()?.(xml) ?? [], []);
    assertEquals((await engrave(xml)).log, "");
    const shared = shareStaves(score);
    pairs += shared.parts.filter((p) => / \d, \d$/.test(p.name)).length;
    const back = readMusicXml(xml);
    // MusicXML has no word for a tremolo that is counted: one or two slashes say it.
    assertEquals(differences(shared, back, ["spelling", "tremolo"]), [], score.source);
    assertEquals(
      load({ ...shared, notes: shared.notes.filter((n) => !n.grace) }, playersOfNotes(shared)),
      load({ ...score, notes: score.notes.filter((n) => !n.grace) }, playersOfNotes(score)),
    );
  }
  assert(pairs >= 10, `${pairs}`);
});

Deno.test("shared staves: whatever two oboes play, every note comes back with its player", () => {
  const lineOf = fc.array(
    fc.tuple(fc.constantFrom(1, 2, 3, 4), fc.option(fc.integer({ min: 60, max: 84 }))),
    {
      minLength: 1,
      maxLength: 12,
    },
  );
  const plain = (values: readonly (readonly [number, number | null])[]) => {
    let at = 0;
    const inside = values.filter(([length]) => (at += length) <= 32);
    return line(inside.map(([length, pitch]) => pitch === null ? [length] : [length, pitch] as const));
  };
  fc.assert(
    fc.property(lineOf, lineOf, (a, b) => {
      const score = oboes(plain(a), plain(b));
      if (score.notes.length === 0) return;
      const back = readMusicXml(writeMusicXml(score, { staves: "shared" }));
      const scale = back.ticksPerQuarter / score.ticksPerQuarter;
      const facts = (s: Score, players: (n: Score["notes"][number]) => number, times: number) => {
        const found = new Map<string, number>();
        for (const n of s.notes) {
          const key = [n.onsetTicks * times, n.durationTicks * times, n.soundingPitch].join(" ");
          found.set(key, (found.get(key) ?? 0) + players(n));
        }
        return [...found].sort();
      };
      assertEquals(facts(back, playersOfNotes(back), 1), facts(score, () => 1, scale));
    }),
    { numRuns: 200 },
  );
});
