/**
 * Counts how chords are used in the annotated movements beside the checkout and writes `data/chord_use.csv`. Run it with
 * `deno run -A tests/setup/fit_chord_use.ts`.
 */
import { tableToCsv } from "../../lib/formats/files/csv.ts";
import { annotatedChords, CHORD_MOVEMENTS, countedUse } from "./annotated_chords.ts";
import { sharedFolder } from "./shared_data.ts";

const SOURCE = "counted in Mozart 41 and Dvořák 9 as annotated by Lin et al. (S3, ISMIR 2024)";

const folder = sharedFolder("s3-symphonies");
if (folder) {
  const counts = countedUse(CHORD_MOVEMENTS.map((name) => annotatedChords(folder, name)));
  const rows = counts.map(({ mode, semitones, quality, before, count }, i) => ({
    mode,
    semitones,
    quality,
    beforeSemitones: before?.semitones,
    beforeQuality: before?.quality,
    count,
    source: i === 0 ? SOURCE : "as above",
  }));
  Deno.writeTextFileSync(new URL("../../data/chord_use.csv", import.meta.url), tableToCsv(rows));
  console.log(`${rows.length} rows`);
}
