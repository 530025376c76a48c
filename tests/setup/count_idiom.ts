/**
 * Counts how instruments are used in the open scores beside the checkout, as recognition reads them, and writes
 * `data/idiom_counts.csv`: bars by instrument, role, register and dynamic, and nothing of the notes. Run it with
 * `deno run -A tests/setup/count_idiom.ts`.
 */
import { tableToCsv } from "../../lib/formats/files/csv.ts";
import { type InstrumentUse, usesOf } from "../../lib/measures/idiom/uses_of.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { MORE_MOVEMENTS, MOVEMENTS, scoreOf } from "./texture_corpus.ts";
import { sharedFolder } from "./shared_data.ts";

const SOURCE =
  "bars counted, as recognition reads them, in 32 movements of OpenScore Orchestra (M. Gotham et al.; Bach, " +
  "Beethoven, Brahms, Bruckner, Beach)";

const folders = {
  "openscore-orchestra": sharedFolder("openscore-orchestra"),
  "openscore-orchestra-more": sharedFolder("openscore-orchestra-more"),
};
const counts = new Map<string, { use: InstrumentUse; bars: number }>();
let movements = 0;
for (const movement of [...MOVEMENTS, ...MORE_MOVEMENTS]) {
  const [folder] = movement.score;
  if (!(folder in folders)) continue;
  const score = scoreOf(movement, folders as Readonly<Record<string, URL>>);
  for (const { barIndex: _, part: __, ...use } of usesOf(score, recognise(score))) {
    const key = Object.values(use).join("|");
    const known = counts.get(key) ?? { use, bars: 0 };
    known.bars++;
    counts.set(key, known);
  }
  movements++;
  console.log(`${movements}: ${movement.name}`);
}
const rows = [...counts.entries()].sort(([a], [b]) => a < b ? -1 : 1).map(([, { use, bars }], i) => ({
  ...use,
  bars,
  source: i === 0 ? SOURCE : "as above",
}));
Deno.writeTextFileSync(
  new URL("../../data/idiom_counts.csv", import.meta.url),
  tableToCsv(rows).replaceAll("\r\n", "\n"),
);
console.log(`${rows.length} rows from ${movements} movements`);
