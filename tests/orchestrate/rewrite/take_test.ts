import { assert, assertAlmostEquals, assertEquals, assertMatch, assertThrows } from "@std/assert";
import { demoPlans, demoSketch, momentum, realise } from "ripieno";
import { writeMusicXml } from "ripieno/formats";
import { InputError } from "../../../lib/base/errors.ts";
import { buildUp } from "../../../lib/orchestrate/rewrite/build_up.ts";
import { excerpt } from "../../../lib/orchestrate/rewrite/excerpt.ts";
import { barsAsked } from "../../../lib/orchestrate/rewrite/bars_asked.ts";
import { take } from "../../../lib/orchestrate/rewrite/take.ts";
import { clockOf } from "../../../lib/score/time.ts";
import type { Note } from "../../../lib/score/model.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";
import { ROLE_NAMES } from "../../../lib/texture/roles.ts";
import { engrave } from "../../setup/engraver.ts";
import { musicXmlValidator } from "../../setup/music_xml_schema.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";

const setting = realise(demoSketch(), demoPlans().moving);
const texture = textureOf(setting);

Deno.test("the whole of a score as an excerpt is the score", () => {
  const all = excerpt({ score: setting, texture }, barsAsked(setting, {}, { action: "test" }));
  assertEquals(all.score.notes, setting.notes);
  assertEquals(all.score.bars, setting.bars);
  assertEquals(all.texture.cells, texture.cells);
});

Deno.test("an excerpt sounds as the bars do in the score, as loud and at the same speed", () => {
  const bars = barsAsked(setting, { fromBar: 20, toBar: 29 }, { action: "test" });
  const { score } = excerpt({ score: setting, texture }, bars);
  assertEquals(score.bars.map((b) => b.number), Array.from({ length: 10 }, (_, i) => String(20 + i)));
  assertEquals(score.bars[0]!.startTicks, 0);
  const sounding = (n: Note) =>
    n.onsetTicks < bars.endTicks && n.onsetTicks + n.durationTicks > bars.startTicks;
  const clipped = setting.notes.filter(sounding).map((n) => {
    const from = Math.max(n.onsetTicks, bars.startTicks);
    const to = Math.min(n.onsetTicks + n.durationTicks, bars.endTicks);
    return `${n.part} ${from - bars.startTicks} ${to - from} ${n.soundingPitch} ${n.dynamic}`;
  });
  const cut = score.notes.map((n) =>
    `${n.part} ${n.onsetTicks} ${n.durationTicks} ${n.soundingPitch} ${n.dynamic}`
  );
  assertEquals(cut.toSorted(), clipped.toSorted());
  const seconds = clockOf(setting)(bars.endTicks) - clockOf(setting)(bars.startTicks);
  assertAlmostEquals(clockOf(score)(bars.endTicks - bars.startTicks), seconds, 1e-9);
});

Deno.test("what is taken and what is left are the passage, whatever is chosen", () => {
  const span = { fromBar: 17, toBar: 24, texture };
  const passage = take(setting, { ...span, roles: ROLE_NAMES });
  for (
    const choice of [
      { roles: ["lead"] },
      { roles: ["pad", "bass"] },
      { parts: ["Horns"] },
      { layers: [texture.layers[1]!.id] },
      { roles: ["pulse"], parts: ["Violas"] },
    ] as const
  ) {
    const alone = take(setting, { ...span, ...choice });
    const without = take(setting, { ...span, ...choice, away: true });
    assertEquals(alone.score.notes.length + without.score.notes.length, passage.score.notes.length);
    assertEquals(
      alone.texture.cells.filter((c, i) => c.role !== "rest" && without.texture.cells[i]!.role !== "rest"),
      [],
    );
  }
});

Deno.test("a texture is built up to the whole, step by step", () => {
  const steps = buildUp(setting, { fromBar: 17, toBar: 24, texture });
  assertEquals(steps[0]!.roles, ["lead"]);
  const passage = take(setting, { fromBar: 17, toBar: 24, roles: ROLE_NAMES, texture });
  assertEquals(steps.at(-1)!.score.notes.length, passage.score.notes.length);
  assertAlmostEquals(
    steps.at(-1)!.momentum,
    momentum(passage.score, { texture: passage.texture }).whole.momentum,
    1e-9,
  );
  assertAlmostEquals(steps.reduce((sum, s) => sum + s.momentumGained, 0), steps.at(-1)!.momentum, 1e-9);
  // Whatever comes in covers the lead a little more, or leaves it.
  steps.slice(1).forEach((s, i) => assert(s.audibleShare! <= steps[i]!.audibleShare! + 1e-9));
});

Deno.test("passages of open scores are valid and engraved as parts of the whole", async () => {
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  const faults = musicXmlValidator();
  for (const [file, fromBar, toBar] of [["Brahms_Op.90_3", 20, 31], ["Beach_Op.32_2", 40, 47]] as const) {
    const score = openScore(new URL(`${file}.mxl`, folder));
    const { score: passage } = take(score, { fromBar, toBar, roles: ["lead"], away: true });
    const xml = writeMusicXml(passage);
    assertEquals(faults?.(xml) ?? [], [], file);
    assertEquals((await engrave(xml)).log, "", file);
  }
});

Deno.test("nothing chosen, or nothing there, is said", () => {
  const refused = (options: Parameters<typeof take>[1], words: RegExp) =>
    assertMatch(assertThrows(() => take(setting, options), InputError).message, words);
  refused({}, /nothing is chosen/);
  refused({ roles: ["leed" as "lead"] }, /"leed" is not a role.*lead/);
  refused({ parts: ["Kazoo"] }, /no part "Kazoo"/);
  refused({ layers: ["x"] }, /no layer "x"/);
  refused({ roles: ["lead"], fromBar: 900 }, /no bar 900/);
});
