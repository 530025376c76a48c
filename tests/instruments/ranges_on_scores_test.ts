/** Parts that have been played for a century lie within the catalogue's ranges. */
import { assert, assertEquals } from "@std/assert";
import { instrumentById, pitchName } from "ripieno";
import { registerOf } from "ripieno/instruments";
import { openScore } from "../setup/open_scores.ts";
import { sharedFolder } from "../setup/shared_data.ts";

Deno.test("open scores: no note lies outside its instrument's range; 99 % are comfortable", () => {
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) {
    // Beethoven, fifth symphony, finale: the piccolo sounds up to C8. From memory.
    assert(registerOf(instrumentById("piccolo"), 108).inRange);
    return;
  }
  let notes = 0, comfortable = 0;
  const outside: string[] = [];
  for (const file of Deno.readDirSync(folder)) {
    if (!file.name.endsWith(".mxl")) continue;
    const score = openScore(new URL(file.name, folder));
    for (const note of score.notes) {
      if (note.unpitched) continue;
      const part = score.parts[note.part]!;
      const place = registerOf(instrumentById(part.instrument), note.soundingPitch);
      notes++;
      if (place.comfortable) comfortable++;
      if (!place.inRange) outside.push(`${file.name} ${part.name.trim()} ${pitchName(note.soundingPitch)}`);
    }
  }
  console.log(
    `${notes} notes, ${outside.length} outside the range, ${
      (comfortable / notes * 100).toFixed(1)
    } % comfortable`,
  );
  assert(notes > 90_000);
  assertEquals(outside, []);
  assert(comfortable / notes > 0.99);
});
