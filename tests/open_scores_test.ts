import { assertEquals } from "@std/assert";
import { readScoreBytes } from "ripieno/formats";
import { textureOf } from "ripieno";
import { openScore, openTexture } from "./setup/open_scores.ts";
import { sharedFolder } from "./setup/shared_data.ts";

const folder = sharedFolder("openscore-orchestra");
if (folder) {
  Deno.test("a movement that is kept for other tests is what reading and recognising it gives, whoever asks first", () => {
    const file = "Bach_BWV.1048_1.mxl";
    const url = new URL(file, folder);
    const score = readScoreBytes(Deno.readFileSync(url), { file });
    for (let i = 0; i < 2; i++) {
      assertEquals(openScore(url), score);
      assertEquals(openTexture(url), textureOf(score));
    }
  });
}
