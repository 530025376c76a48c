/** A sweep's file belongs to the tables and the instruments its rows were worked out with. */
import { join } from "node:path";
import { assert, assertEquals, assertRejects, assertStringIncludes } from "@std/assert";
import { InputError, orchestra, sweep } from "ripieno";
import { defineInstrument } from "ripieno/instruments";
import type { SweepGrid, SweepOptions } from "ripieno/orchestrate";
import { DATA_TABLES } from "../../../lib/orchestrate/sweep/data_tables.ts";
import { type SweepMarks, sweepMarks } from "../../../lib/orchestrate/sweep/sweep_state.ts";
import { PROJECT } from "../../setup/run_command.ts";
import { PLAN, SKETCH } from "../small_sweep.ts";

const GRID: SweepGrid = { dynamic: ["p", "f"] };
const OPTIONS: SweepOptions = { sketch: SKETCH, layers: { role: "pulse" }, workers: 0 };
const TABLE = "a table of the library";

/** The marks a sweep writes into its file, and the file with other marks in their place. */
async function headOf(stateFile: string): Promise<{
  readonly marks: SweepMarks;
  readonly rewrite: (marks: SweepMarks) => Promise<void>;
}> {
  const [first, ...rest] = (await Deno.readTextFile(stateFile)).split("\n");
  const head = JSON.parse(first!);
  return {
    marks: head.marks,
    rewrite: (marks) =>
      Deno.writeTextFile(stateFile, [JSON.stringify({ ...head, marks }), ...rest].join("\n")),
  };
}

async function withStateFile(test: (stateFile: string) => Promise<void>): Promise<void> {
  const folder = await Deno.makeTempDir();
  try {
    await test(`${folder}/rows.jsonl`);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
}

Deno.test("the tables a sweep is marked by are all there are in the folder, as they stand there", async () => {
  const files = [...Deno.readDirSync(join(PROJECT, "data"))].map((f) => f.name).filter((n) =>
    /\.(csv|json)$/.test(n)
  );
  assertEquals(Object.keys(DATA_TABLES).toSorted(), files.toSorted());
  for (const name of files) {
    const text = await Deno.readTextFile(join(PROJECT, "data", name));
    assertEquals(DATA_TABLES[name], name.endsWith(".json") ? JSON.parse(text) : text, name);
  }
});

Deno.test("one letter or figure changed in one table gives another mark", () => {
  const { tables } = sweepMarks({ tables: DATA_TABLES });
  for (const [name, table] of Object.entries(DATA_TABLES)) {
    const edited = typeof table === "string"
      ? table.replace(/[a-z](?=[^a-z]*$)/, (letter) => letter === "a" ? "b" : "a")
      : JSON.parse(JSON.stringify(table).replace(/\d(?=\D*$)/, (digit) => digit === "1" ? "2" : "1"));
    const other = sweepMarks({ tables: { ...DATA_TABLES, [name]: edited } });
    assert(other.tables !== tables, name);
  }
});

Deno.test("rows worked out with another table are not gone on with, and stay as they are", async () => {
  await withStateFile(async (stateFile) => {
    const options = { ...OPTIONS, stateFile };
    const rows = await sweep(PLAN, GRID, options);
    const { marks, rewrite } = await headOf(stateFile);
    assertEquals(marks[TABLE], sweepMarks({ [TABLE]: DATA_TABLES })[TABLE]);

    const faster = String(DATA_TABLES["rates.csv"]).replace("flute", "flut");
    await rewrite({ ...marks, ...sweepMarks({ [TABLE]: { ...DATA_TABLES, "rates.csv": faster } }) });
    const before = await Deno.readTextFile(stateFile);
    const { message } = await assertRejects(() => sweep(PLAN, GRID, options), InputError) as InputError;
    assertStringIncludes(message, `another sweep: ${TABLE} is not the same`);
    assertEquals(await Deno.readTextFile(stateFile), before);

    await rewrite(marks);
    assertEquals(await sweep(PLAN, GRID, options), rows);
  });
});

Deno.test("an instrument of one's own is known in every thread, and marks the file", async () => {
  await withStateFile(async (stateFile) => {
    const own = { id: "four solo violas", like: "viola", sectionPlayers: 4 };
    defineInstrument(own);
    const players = orchestra().map((p) => p.name === "Violas" ? { ...p, instrument: own.id } : p);
    const options = { ...OPTIONS, orchestra: players };
    const rows = await sweep(PLAN, GRID, options);
    assert(rows.every((row) => row.refused === null));
    assertEquals(await sweep(PLAN, GRID, { ...options, workers: 1, stateFile }), rows);
    defineInstrument({ ...own, rangeComfortable: { low: 60, high: 72 } });
    await assertRejects(
      () => sweep(PLAN, GRID, { ...options, stateFile }),
      InputError,
      "your own instruments",
    );
  });
});
