/** Two textures of one score held against each other. */
import { assertAlmostEquals, assertEquals, assertGreater, assertThrows } from "@std/assert";
import { demoScore } from "../../lib/demo.ts";
import { InputError } from "../../lib/base/errors.ts";
import { assignRole } from "../../lib/texture/assign_role.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { textureDifferences } from "../../lib/texture/texture_differences.ts";
import { writtenTexture } from "../../lib/texture/written.ts";
import { example } from "./examples.ts";

Deno.test("cells that agree are counted, silence left out, and neighbouring bars that differ alike are one row", () => {
  const score = example([["violin", "(A5:3/2 G5:1/2 F5:1 D6:1)x3 r:4"], ["viola", "(D4:1/4)x64"]]);
  const read = recognise(score);
  const same = textureDifferences(read, read, { score });
  assertEquals([same.cells, same.sameRole, same.sameFigure, same.differences], [7, 1, 1, []]);
  const corrected = assignRole(read, { part: 1, fromBarIndex: 1, toBarIndex: 2, role: "figuration" });
  const { sameRole, sameFigure, differences } = textureDifferences(read, corrected, { score });
  assertAlmostEquals(sameRole, 5 / 7, 1e-12);
  assertAlmostEquals(sameFigure, 5 / 7, 1e-12);
  assertEquals(differences, [{
    part: 1,
    partName: "viola",
    fromBarIndex: 1,
    toBarIndex: 2,
    bars: "2–3",
    first: "pulse: repeated sixteenths",
    second: "figuration",
  }]);
});

Deno.test("another figure in the same role is no other role", () => {
  const score = example([["viola", "(D4:1/4)x16"]]);
  const read = recognise(score);
  const other = assignRole(read, {
    part: 0,
    fromBarIndex: 0,
    toBarIndex: 0,
    role: read.cells[0]!.role,
    figure: "off-beats",
  });
  const { sameRole, sameFigure, differences } = textureDifferences(read, other, { score });
  assertEquals([sameRole, sameFigure, differences], [1, 0, []]);
});

Deno.test("the demo, read without its plan, agrees with it nearly everywhere; textures of other scores are refused", () => {
  const score = demoScore();
  const { sameRole, sameFigure } = textureDifferences(writtenTexture(score)!, recognise(score), { score });
  console.log(`  role ${sameRole.toFixed(3)}, role and figure ${sameFigure.toFixed(3)}`);
  assertGreater(sameRole, 0.95);
  assertGreater(sameFigure, 0.95);
  const other = recognise(example([["viola", "D4:4"]]));
  assertThrows(() => textureDifferences(other, other, { score }), InputError, "1 cells");
});
