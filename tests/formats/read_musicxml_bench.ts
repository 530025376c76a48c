/** Reading against tokenising: the largest score at hand, and the same XML passed through the bare parser. */
import { unzipSync } from "fflate";
import { SaxesParser } from "saxes";
import { decodePieces } from "../../lib/formats/decode.ts";
import { readMusicXml } from "../../lib/formats/read_musicxml.ts";

/** The largest orchestral file beside the checkout, else a score of our own of similar size. */
function largeScore(): Uint8Array {
  const path = new URL("../../../shared/data/openscore-orchestra/Beethoven_Op.55_1.mxl", import.meta.url);
  try {
    return unzipSync(Deno.readFileSync(path))["score.xml"]!;
  } catch {
    const note = (i: number) =>
      `<note><pitch><step>${
        "CDEFGAB"[i % 7]
      }</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type><stem>up</stem><notations><articulations><staccato/></articulations></notations></note>`;
    const bar = (i: number) =>
      `<measure number="${i + 1}">${i === 0 ? "<attributes><divisions>1</divisions></attributes>" : ""}${
        [0, 1, 2, 3].map((k) => note(i + k)).join("")
      }</measure>`;
    const bars = Array.from({ length: 650 }, (_, i) => bar(i)).join("");
    const ids = Array.from({ length: 20 }, (_, i) => `P${i + 1}`);
    return new TextEncoder().encode(
      `<score-partwise><part-list>${
        ids.map((id) => `<score-part id="${id}"><part-name>Violin</part-name></score-part>`).join("")
      }</part-list>${ids.map((id) => `<part id="${id}">${bars}</part>`).join("")}</score-partwise>`,
    );
  }
}

const bytes = largeScore();

Deno.bench("tokenise only (saxes)", { group: "MusicXML", baseline: true }, () => {
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
});

Deno.bench("read the score", { group: "MusicXML" }, () => {
  readMusicXml(bytes);
});
