/** A MusicXML score as large as wanted, in the manner of exports: layout, stems, beams, a sign on every fourth note. */

const PARTS = 40;
const NOTES_IN_BAR = 8;

function noteText(index: number, id: string): string {
  const step = "CDEFGAB"[index % 7]!;
  const octave = 4 + Math.floor(index / 7) % 2;
  const sign = index % 4 === 0
    ? `\n        <notations>\n          <articulations>\n            <staccato/>\n            </articulations>\n          </notations>`
    : "";
  return `      <note default-x="${80 + index * 3}.42" default-y="-${index % 40}.00">
        <pitch>
          <step>${step}</step>
          <octave>${octave}</octave>
          </pitch>
        <duration>2</duration>
        <instrument id="${id}-I1"/>
        <voice>1</voice>
        <type>eighth</type>
        <stem>up</stem>
        <staff>1</staff>
        <beam number="1">${index % 2 === 0 ? "begin" : "end"}</beam>${sign}
        </note>
`;
}

/**
 * Makes a score.
 *
 * @param bytes size it is to have at least
 * @returns the file, and how many notes it holds
 */
export function largeScore(bytes: number): { readonly file: Uint8Array; readonly notes: number } {
  const ids = Array.from({ length: PARTS }, (_, i) => `P${i + 1}`);
  const encoder = new TextEncoder();
  const barOf = (id: string, bar: number) => {
    const attributes = bar === 0
      ? "      <attributes>\n        <divisions>4</divisions>\n        </attributes>\n"
      : "";
    const notes = Array.from({ length: NOTES_IN_BAR }, (_, k) => noteText(bar * NOTES_IN_BAR + k, id)).join(
      "",
    );
    return `    <measure number="${bar + 1}" width="310.27">\n${attributes}${notes}      </measure>\n`;
  };
  const bars = Math.ceil(bytes / PARTS / barOf("P10", 1000).length);
  const head = `<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">\n  <part-list>\n${
    ids.map((id) => `    <score-part id="${id}">\n      <part-name>Violin</part-name>\n      </score-part>\n`)
      .join("")
  }    </part-list>\n`;
  const file = new Uint8Array(bytes + PARTS * 100_000);
  let at = 0;
  const put = (text: string) => at += encoder.encodeInto(text, file.subarray(at)).written;
  put(head);
  for (const id of ids) {
    put(`  <part id="${id}">\n`);
    for (let bar = 0; bar < bars; bar++) put(barOf(id, bar));
    put("    </part>\n");
  }
  put("  </score-partwise>\n");
  return { file: file.subarray(0, at), notes: PARTS * bars * NOTES_IN_BAR };
}
