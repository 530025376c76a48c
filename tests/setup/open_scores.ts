/**
 * Scores of the open datasets as the library reads them, and their textures. Many files of tests ask for the same movements: what
 * one of them has had read and recognised is kept in `.check` for the others, under a mark of all code and tables it hangs on.
 */
import { createHash } from "node:crypto";
import { join } from "node:path";
import { readScoreBytes } from "../../lib/formats/read_score_bytes.ts";
import type { Score } from "../../lib/score/model.ts";
import type { Texture } from "../../lib/texture/model.ts";
import { textureOf } from "../../lib/texture/recognise/recognise.ts";
import { filesBelow } from "./files_below.ts";
import { PROJECT } from "./run_command.ts";
import { textIfThere } from "./text_if_there.ts";

/** What reading and recognising are made of. */
const MADE_OF = ["lib/base", "lib/formats", "lib/instruments", "lib/score", "lib/texture", "data"];
const KEPT = join(PROJECT, ".check", "open_scores");
let folder: string | undefined;

/** The score in a file of a dataset. */
export function openScore(url: URL): Score {
  const file = url.pathname.split("/").at(-1)!;
  return kept(url, "score", () => readScoreBytes(Deno.readFileSync(url), { file }));
}

/** The texture of that score, recognised as usual. */
export function openTexture(url: URL): Texture {
  return kept(url, "texture", () => textureOf(openScore(url)));
}

function kept<Value>(url: URL, what: string, make: () => Value): Value {
  folder ??= folderOfToday();
  const mark = createHash("sha256").update(Deno.readFileSync(url)).digest("hex").slice(0, 16);
  const path = join(folder, `${url.pathname.split("/").at(-1)}-${mark}.${what}.json`);
  const text = textIfThere(path);
  if (text !== undefined) return JSON.parse(text);
  const value = make();
  const unfinished = `${path}.${crypto.randomUUID()}`;
  Deno.writeTextFileSync(unfinished, JSON.stringify(value));
  Deno.renameSync(unfinished, path);
  return value;
}

/** The folder for code and tables as they are; what earlier ones have left is removed. */
function folderOfToday(): string {
  const hash = createHash("sha256").update(Deno.readFileSync(join(PROJECT, "deno.json")));
  for (const name of MADE_OF.flatMap((place) => filesBelow(place, ""))) {
    hash.update(name).update(Deno.readFileSync(join(PROJECT, name)));
  }
  const today = hash.digest("hex").slice(0, 16);
  Deno.mkdirSync(join(KEPT, today), { recursive: true });
  for (const { name } of [...Deno.readDirSync(KEPT)].filter((one) => one.name !== today)) {
    try {
      Deno.removeSync(join(KEPT, name), { recursive: true });
    } catch {
      // Another process was faster.
    }
  }
  return join(KEPT, today);
}
