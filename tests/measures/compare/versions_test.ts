import { assertEquals, assertGreater } from "@std/assert";
import { demoPlans, demoSketch, realise, study, textureOf } from "ripieno";
import { compareVersions, type ScoreVersion } from "../../../lib/measures/compare/versions.ts";
import type { Score } from "../../../lib/score/model.ts";

const setting = realise(demoSketch(), demoPlans().moving);

function versionOf(score: Score): ScoreVersion {
  const { layers: _layers, ...read } = score;
  const texture = textureOf(read);
  return { score: read, texture, study: study(read, { texture }) };
}

/** Without some bars, what comes after them moved up; bars numbered anew. */
function without(score: Score, from: number, to: number): Score {
  const start = score.bars[from]!.startTicks;
  const gap = score.bars[to + 1]!.startTicks - start;
  const moved = (ticks: number) => ticks < start ? ticks : ticks - gap;
  return {
    ...score,
    bars: score.bars.flatMap((bar, i) =>
      i >= from && i <= to ? [] : [{ ...bar, startTicks: moved(bar.startTicks) }]
    )
      .map((bar, i) => ({ ...bar, number: String(i + 1) })),
    notes: score.notes.filter((n) => n.onsetTicks < start || n.onsetTicks >= start + gap)
      .map((n) => ({ ...n, onsetTicks: moved(n.onsetTicks) })),
    chords: [],
  };
}

const whole = versionOf(setting);

Deno.test("a score against itself has no changes", () => assertEquals(compareVersions(whole, whole), []));

Deno.test("bars that were taken out are found, and nothing else is called changed; put in, likewise", () => {
  const shorter = versionOf(without(setting, 8, 15));
  const taken = compareVersions(whole, shorter);
  assertEquals(taken.map((r) => [r.kind, r.bar, r.toBar, r.newBar]), [["removed", "9", "16", null]]);
  const put = compareVersions(shorter, whole);
  assertEquals(put.map((r) => [r.kind, r.bar, r.newBar, r.newToBar]), [["inserted", null, "9", "16"]]);
});

Deno.test("bars changed after others were taken out are held against their own", () => {
  const cut = without(setting, 8, 15);
  const violas = cut.parts.findIndex((p) => p.name === "Violas");
  const [from, to] = [cut.bars[20]!.startTicks, cut.bars[24]!.startTicks];
  const silent = versionOf({
    ...cut,
    notes: cut.notes.filter((n) => n.part !== violas || n.onsetTicks < from || n.onsetTicks >= to),
  });
  const rows = compareVersions(whole, silent);
  assertEquals(rows.map((r) => [r.kind, r.bar, r.toBar, r.newBar, r.newToBar, r.parts]), [
    ["removed", "9", "16", null, null, rows[0]!.parts],
    ["changed", "29", "32", "21", "24", "Violas"],
  ]);
  assertGreater(rows[1]!.momentum!, rows[1]!.newMomentum! - 1e-9);
});

Deno.test("who does what else is said by role and figure, softer playing by the part alone", () => {
  const part = setting.parts.findIndex((p) => p.name === "Violas");
  const softer = versionOf({
    ...setting,
    notes: setting.notes.map((n) =>
      n.part === part && n.onsetTicks < setting.bars[2]!.startTicks ? { ...n, dynamic: 1 } : n
    ),
  });
  const [row] = compareVersions(whole, softer);
  assertEquals([row!.bar, row!.toBar, row!.parts, row!.who], ["1", "2", "Violas", ""]);
});
