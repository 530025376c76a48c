/**
 * Recipes of open movements: OpenScore Orchestra (MarkGotham/Hauptstimme, commit
 * 8f677853c45b74ca0afcd79677e5379c06c82354, CC0 1.0) and the Symbolic Symphony Set (Lin et al., ISMIR 2024 late-breaking).
 * Both are kept beside the checkout. That the two halves of a movement are alike is what a distance of recipes must see.
 */
import { assert, assertEquals, assertGreater } from "@std/assert";
import { instrumentById } from "ripieno";
import { textureShares } from "../../../lib/survey/recipes/texture_shares.ts";
import { distanceOf, type RecipeVectors, vectorsOf } from "../../../lib/survey/recipes/recipe_distance.ts";
import { openScore, openTexture } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";

/** Half a movement: what a distance looks at, and how long each instrument plays, for comparison. */
interface Half {
  readonly movement: string;
  readonly recipe: RecipeVectors;
  readonly instruments: RecipeVectors;
}

function halvesOf(url: URL): readonly Half[] {
  const score = openScore(url);
  const texture = openTexture(url);
  const instruments = score.parts.map((p) => instrumentById(p.instrument));
  const middle = Math.floor(score.bars.length / 2);
  return [[0, middle - 1], [middle, score.bars.length - 1]].map(([from, to]): Half => {
    const shares = textureShares({ score, texture, instruments, from: from!, to: to! });
    const playing = Map.groupBy(shares.figures, (row) => row.instrument);
    const time = [...playing].map(([instrument, rows]) =>
      [instrument, Math.sqrt(rows.reduce((sum, r) => sum + r.share, 0))] as const
    );
    return {
      movement: url.pathname,
      recipe: vectorsOf(shares),
      instruments: { roles: new Map(time), figures: new Map() },
    };
  });
}

/** Share of halves whose nearest is the other half of the same movement. */
function hitShare(halves: readonly Half[], of: (half: Half) => RecipeVectors): number {
  const hits = halves.filter((half) => {
    const others = halves.filter((other) => other !== half);
    const distances = others.map((other) => distanceOf(of(half), of(other)));
    return others[distances.indexOf(Math.min(...distances))]!.movement === half.movement;
  });
  return hits.length / halves.length;
}

Deno.test("the other half of an open movement is nearest, far more often than by who plays alone", () => {
  const folders = ["openscore-orchestra", "openscore-orchestra-more", "s3-symphonies"].map(sharedFolder);
  if (folders.some((folder) => folder === undefined)) return;
  const urls = folders.flatMap((folder) => scoresIn(folder!)).toSorted((a, b) => a.href < b.href ? -1 : 1);
  const halves: Half[] = [];
  for (const url of urls) halves.push(...halvesOf(url));
  const [recipe, instruments] = [hitShare(halves, (h) => h.recipe), hitShare(halves, (h) => h.instruments)];
  console.log(
    `${urls.length} movements: ${(100 * recipe).toFixed(1)} % by recipe, ${
      (100 * instruments).toFixed(1)
    } % by who plays`,
  );
  assertEquals(urls.length, 40);
  assert(recipe >= 0.92, `${recipe}`);
  assertGreater(recipe, instruments + 0.2);
});

/** Full scores of a dataset; of movements that stand there as MIDI and as MusicXML, the MIDI file, as of all of them. */
function scoresIn(folder: URL): readonly URL[] {
  return [...Deno.readDirSync(folder)].flatMap(({ name, isDirectory }) =>
    isDirectory
      ? scoresIn(new URL(`${name}/`, folder)).filter((url) => url.pathname.endsWith(".mid"))
      : /\.(mxl|mid)$/.test(name)
      ? [new URL(name, folder)]
      : []
  );
}
