/** "stagger breathing" over a line of winds whose players share it. */
import { assert, assertEquals, assertGreater } from "@std/assert";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { breathSeconds } from "../../../lib/instruments/breath.ts";
import { instrumentById } from "../../../lib/instruments/catalogue.ts";
import { orchestra, type OrchestraPart } from "../../../lib/instruments/orchestra.ts";
import { balance } from "../../../lib/measures/balance/balance.ts";
import type { AssignmentInput } from "../../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../../lib/score/model.ts";
import { clockOf } from "../../../lib/score/time.ts";
import { notesOf, SKETCHES, wholePlan } from "../sketches.ts";

const SCHOOL = orchestra("school");
const SKETCH = SKETCHES["four-four"]!;
const WORDS = "stagger breathing";

function set(
  layers: readonly AssignmentInput[],
  orchestra: readonly OrchestraPart[] = SCHOOL,
  tempo = 60,
): Score {
  const plan = { ...wholePlan(SKETCH, ...layers), quartersPerMinute: tempo };
  return realise(SKETCH, plan, { orchestra, refuseImpossible: false });
}

const wordsOf = (score: Score, name: string) =>
  (score.parts.find((p) => p.name === name)!.playing ?? []).filter((p) => p.words === WORDS);

Deno.test("players of winds who hold or repeat longer than a breath are told so once; a single player, strings, drums and a tune are not", () => {
  const score = set([
    { role: "pad", parts: ["Clarinet 1", "Oboe", "Violins I"] },
    { role: "pulse", figure: "repeated eighths", parts: ["Trumpet 1", "Violas"] },
    { role: "lead", parts: ["Flute 1"] },
    { role: "counterline", parts: ["Alto saxophone"] },
    { role: "punctuation", parts: ["Trombone", "Snare drum"] },
  ]);
  const told = score.parts.filter((p) => wordsOf(score, p.name).length > 0).map((p) => p.name);
  assertEquals(told, ["Clarinet 1", "Trumpet 1"]);
  for (const name of told) {
    const [word, ...more] = wordsOf(score, name);
    assertEquals(more, []);
    assertEquals([word!.kind, word!.fromTicks], ["all", notesOf(score, name)[0]!.onsetTicks]);
    // Nothing is parted for them, and more than one breath is needed.
    const notes = notesOf(score, name);
    const clock = clockOf(score);
    const last = notes.at(-1)!;
    const seconds = clock(last.onsetTicks + last.durationTicks) - clock(notes[0]!.onsetTicks);
    const { instrument } = SCHOOL.find((p) => p.name === name)!;
    assertGreater(seconds, breathSeconds(instrumentById(instrument), 5)!);
  }
});

Deno.test("at a tempo at which one breath lasts, nothing is printed", () => {
  const layers: readonly AssignmentInput[] = [{ role: "pad", parts: ["Clarinet 1"], dynamic: "pp" }];
  assertEquals(wordsOf(set(layers, SCHOOL, 400), "Clarinet 1"), []);
  assertEquals(wordsOf(set(layers, SCHOOL, 40), "Clarinet 1").length, 1);
});

Deno.test("the words stand where the first long stretch begins, keep a division, and are printed and read back", () => {
  const plan = {
    name: "two",
    quartersPerMinute: 60,
    passages: [
      { ...wholePlan(SKETCH, { role: "lead", parts: ["Clarinet 1"] }).passages[0]!, name: "A", toBar: 2 },
      {
        ...wholePlan(SKETCH, { role: "pad", parts: ["Clarinet 1"], divisi: "divided" }).passages[0]!,
        name: "B",
        fromBar: 3,
      },
    ],
  };
  const four = SCHOOL.map((p) => p.name === "Clarinet 1" ? { ...p, players: 4 } : p);
  const score = realise(SKETCH, plan, { orchestra: four });
  const { playing } = score.parts[0]!;
  assertEquals(playing!.map((p) => [p.words, p.kind, p.fromTicks]), [
    ["div.", "divided", score.bars[2]!.startTicks],
    [WORDS, "divided", score.bars[2]!.startTicks],
  ]);
  const two = realise(SKETCH, plan, { orchestra: SCHOOL });
  assertEquals(
    two.parts[0]!.playing!.map((p) => p.words),
    ["div."],
    "one player to a group has nobody to take turns with",
  );
  assertEquals(balance(score).whole.audibleShare !== null, true);
  const page = writeMusicXml(score);
  assertEquals(page.split(WORDS).length - 1, 1);
  assert(readMusicXml(page).notes.length === score.notes.length);
});
