/** Tables as Parquet files; the package for it is loaded when it is first needed. */
import { refusals } from "../../base/errors.ts";
import { type AnyRow, SURVEY_TABLES, type SurveyTable, type SurveyValue } from "./tables.ts";

/** Rows of a table that are written together; fixed, so that the bytes depend on nothing but the rows. */
const ROW_GROUP = 50_000;

/** Header of the column of a field: `onset_seconds` for `onsetSeconds`. */
function headerOf(field: string): string {
  return field.replace(/([a-z])([A-Z0-9])/g, "$1_$2").replace(/([0-9])([A-Z])/g, "$1_$2").toLowerCase();
}

/**
 * A table as the bytes of a Parquet file. Rows are taken one group after the other, so that those of a large table are
 * never there at once.
 */
export async function parquetOf(
  table: SurveyTable,
  rows: Iterable<AnyRow> | AsyncIterable<AnyRow>,
  { without = [] }: { readonly without?: readonly string[] } = {},
): Promise<Uint8Array> {
  const { ByteWriter, parquetWriteRows } = await import("hyparquet-writer");
  const fields = Object.entries(SURVEY_TABLES[table]).filter(([field]) => !without.includes(field));
  const writer = new ByteWriter();
  await parquetWriteRows({
    writer,
    rows: renamed(rows, fields.map(([field]) => field)),
    columns: fields.map(([field, type]) => ({ name: headerOf(field), type })),
    rowGroupSize: ROW_GROUP,
    createdBy: "ripieno",
  });
  return new Uint8Array(writer.getBuffer());
}

async function* renamed(
  rows: Iterable<AnyRow> | AsyncIterable<AnyRow>,
  fields: readonly string[],
): AsyncGenerator<Record<string, SurveyValue>> {
  const headers = fields.map(headerOf);
  for await (const row of rows) {
    yield Object.fromEntries(fields.map((field, i) => [headers[i]!, row[field] ?? null]));
  }
}

/**
 * The rows of a table of a survey.
 *
 * @throws {InputError} when the bytes are no such table
 */
export async function rowsOfParquet(
  table: SurveyTable,
  bytes: Uint8Array,
  file: string,
): Promise<readonly AnyRow[]> {
  const { parquetReadObjects } = await import("hyparquet");
  try {
    const rows = await parquetReadObjects({ file: bytes.slice().buffer });
    const fields = Object.keys(SURVEY_TABLES[table]);
    return rows.map((row) =>
      Object.fromEntries(fields.map((field) => [field, (row[headerOf(field)] ?? null) as SurveyValue]))
    );
  } catch {
    throw refusals("read the survey", { file })(
      "it is no table of a survey",
      "Remove it and survey the scores again",
    );
  }
}
