/** What reading is held against: passing the same XML through the bare parser. */
import { unzipSync } from "fflate";
import { SaxesParser } from "saxes";
import { decodePieces } from "../../../../lib/formats/files/decode.ts";
import { largeScore } from "../../../setup/large_score.ts";

/** The largest orchestral file beside the checkout, else a score of our own of similar size. */
export function scoreToRead(): Uint8Array {
  const path = new URL(
    "../../../../../shared/data/openscore-orchestra/Beethoven_Op.55_1.mxl",
    import.meta.url,
  );
  try {
    return unzipSync(Deno.readFileSync(path))["score.xml"]!;
  } catch {
    return largeScore(12e6).file;
  }
}

/** Passes XML through the parser and keeps nothing. */
export function tokenise(bytes: Uint8Array): void {
  const parser = new SaxesParser({ xmlns: false });
  let count = 0;
  parser.on("opentag", () => {
    count++;
  });
  parser.on("closetag", () => {
    count--;
  });
  parser.on("text", (text) => {
    count += text.length > 1e9 ? 1 : 0;
  });
  for (const piece of decodePieces(bytes)) parser.write(piece);
  parser.close();
}
