/** Sweeps: rows that agree with single studies, in any number of threads, and interruptions that lose nothing. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertMatch,
  assertNotEquals,
  assertRejects,
  assertStringIncludes,
} from "@std/assert";
import { defineFigure, type FigureId } from "ripieno/texture";
import { compare, InputError, orchestra, realise, study, sweep, vary } from "ripieno";
import { tableToCsv } from "ripieno/formats";
import type { LayersOf, SweepGrid, SweepOptions, SweepProgress, SweepRow } from "ripieno/orchestrate";
import { fileURLToPath } from "node:url";
import { SKETCHES } from "../sketches.ts";
import { GRID, PLAN, SKETCH, smallSweep } from "../small_sweep.ts";

/** Rows of one run in the caller's own thread: what every other run is held against. */
const whole = smallSweep({ workers: 0 });

async function withFolder(work: (folder: string) => Promise<void>): Promise<void> {
  const folder = await Deno.makeTempDir();
  try {
    await work(folder);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
}

/** Rows as a state file has them, its head left out; a rest without a line end is no row. */
async function rowsIn(path: string): Promise<readonly SweepRow[]> {
  const text = await Deno.readTextFile(path);
  return text.slice(0, text.lastIndexOf("\n") + 1).split("\n").slice(1, -1).map((line) => JSON.parse(line));
}

Deno.test("sweep() gives one row per combination, the last choice varying fastest", async () => {
  const rows = await whole;
  assertEquals(rows.length, 4 * 3 * 3 * 2 * 2 * 2);
  assertEquals(rows.map((r) => r.setting), rows.map((_, i) => i + 1));
  const combinations = new Set(
    rows.map((r) => [r.who, r.figure, r.articulation, r.dynamic, r.tempo, r.sectionSize].join()),
  );
  assertEquals(combinations.size, rows.length);
  assertEquals(rows.slice(0, 4).map((r) => [r.tempo, r.sectionSize]), [[72, 4], [72, 12], [240, 4], [
    240,
    12,
  ]]);
  assertEquals(rows.slice(0, 72).every((r) => r.who === "strings"), true);
});

Deno.test("sweep() measures what study() and compare() measure of each setting", async () => {
  const rows = await whole;
  let measured = 0;
  for (const row of rows.filter((_, i) => i % 7 === 0)) {
    const parts = (GRID.who as Record<string, readonly string[]>)[String(row.who)]!;
    const changed = vary(PLAN, {
      set: {
        parts,
        figure: row.figure as FigureId,
        articulation: row.articulation === "tongued" ? "plain" : row.articulation as "staccato",
        dynamic: String(row.dynamic),
      },
      quartersPerMinute: Number(row.tempo),
      players: Object.fromEntries(
        orchestra().filter((p) => parts.includes(p.name) && p.players > 1).map((
          p,
        ) => [p.name, Number(row.sectionSize)]),
      ),
      name: "the same",
    }, { role: "pulse" });
    let message: string | undefined;
    try {
      const alone = compare([study(realise(SKETCH, changed))])[0]!;
      measured++;
      for (
        const key of [
          "momentum",
          "secondaryShare",
          "audibleShare",
          "powerDb",
          "handbookDb",
          "freshness",
          "barsBetweenChanges",
          "impossible",
          "risky",
          "tiring",
        ] as const
      ) assertAlmostEquals(row[key]!, alone[key]!, 1e-12, `${key} of setting ${row.setting}`);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      message = error.message.replace("(the same, ", "(");
    }
    assertEquals(row.refused, message ?? null);
  }
  assert(measured > 10);
});

Deno.test("sweep() puts what cannot be written or played into words and goes on", async () => {
  const rows = await whole;
  const because = (wanted: (r: SweepRow) => boolean) => rows.find(wanted)!.refused ?? "";
  assertStringIncludes(because((r) => r.articulation === "slurred"), "cannot be slurred");
  assertStringIncludes(because((r) => r.who === "low strings" && r.articulation === "tongued"), "two roles");
  const tooFast = rows.find((r) =>
    r.who === "horns" && r.figure === "repeated sixteenths" && r.tempo === 240 && r.articulation === "tongued"
  )!;
  assertStringIncludes(tooFast.refused!, "repeated-note rate");
  assert(tooFast.impossible! > 0);
  assertEquals([tooFast.momentum, tooFast.freshness], [null, null]);
  assert(rows.some((r) => r.refused === null));
  const measured = await smallSweep({ refuseImpossible: false, workers: 0 }, {
    who: ["Horns"],
    figure: ["repeated sixteenths"],
    tempo: [240],
  });
  assertEquals(measured[0]!.refused, null);
  assert(measured[0]!.impossible! > 0 && measured[0]!.momentum! > 0);
});

Deno.test("sweep() gives the same rows in threads of their own, and tells how far it is", async () => {
  const told: SweepProgress[] = [];
  assertEquals(await smallSweep({ workers: 2, onProgress: (p) => told.push(p) }), await whole);
  assertEquals(told.map((p) => p.done), told.map((p) => p.done).toSorted((a, b) => a - b));
  assertEquals(told.at(-1), {
    done: 288,
    total: 288,
    refused: (await whole).filter((r) => r.refused !== null).length,
    resumed: 0,
  });
});

Deno.test("a sweep whose process is killed goes on from its file without losing or repeating a row", async () => {
  await withFolder(async (folder) => {
    const stateFile = `${folder}/rows.jsonl`;
    const program = fileURLToPath(new URL("../small_sweep.ts", import.meta.url));
    const child = new Deno.Command(Deno.execPath(), {
      args: ["run", "-A", "--no-check", program, stateFile],
      stdin: "null",
      stdout: "null",
      stderr: "null",
    }).spawn();
    const lines = async () => {
      try {
        return (await Deno.readTextFile(stateFile)).split("\n").length;
      } catch {
        return 0;
      }
    };
    const ended = child.status.then(() => true);
    while (await lines() < 42) {
      const over = await Promise.race([ended, new Promise<false>((r) => setTimeout(() => r(false), 5))]);
      if (over) break;
    }
    child.kill("SIGKILL");
    assertEquals((await child.status).signal, "SIGKILL"); // it was still at work

    const kept = await rowsIn(stateFile);
    assert(kept.length >= 40 && kept.length < 288, `${kept.length} rows were kept`);
    const told: SweepProgress[] = [];
    assertEquals(await smallSweep({ stateFile, workers: 2, onProgress: (p) => told.push(p) }), await whole);
    assertEquals([told[0]!.resumed, told[0]!.done], [kept.length, kept.length]);
    const all = await rowsIn(stateFile);
    assertEquals(all.slice(0, kept.length), kept);
    assertEquals(
      all.toSorted((a, b) => a.setting - b.setting),
      await whole,
    ); // every row once
    assertEquals(await smallSweep({ stateFile }), await whole); // and nothing is left to do
    assertEquals((await rowsIn(stateFile)).length, 288);
  });
});

Deno.test("a row that was half written when the power went is worked out again", async () => {
  const few: SweepGrid = {
    figure: ["repeated eighths", "off-beats"],
    dynamic: ["pp", "f"],
    tempo: [72, 240],
  };
  await withFolder(async (folder) => {
    const stateFile = `${folder}/rows.jsonl`;
    const rows = await smallSweep({ stateFile, workers: 0 }, few);
    assertEquals(rows.length, 8);
    const text = await Deno.readTextFile(stateFile);
    // Anywhere: in the head, right after it, in the middle of a row, before the last line end.
    for (const length of [5, text.indexOf("\n"), text.indexOf("\n") + 1, text.length >> 1, text.length - 1]) {
      await Deno.writeTextFile(stateFile, text.slice(0, length));
      assertEquals(await smallSweep({ stateFile, workers: 0 }, few), rows);
      assertEquals((await rowsIn(stateFile)).toSorted((a, b) => a.setting - b.setting), rows);
    }
  });
});

Deno.test("sweep() stops when told to, and goes on from there", async () => {
  await withFolder(async (folder) => {
    const stateFile = `${folder}/rows.jsonl`;
    for (const workers of [0, 2]) {
      const stop = new AbortController();
      await assertRejects(
        () =>
          smallSweep({
            stateFile,
            workers,
            signal: stop.signal,
            onProgress: ({ done, resumed }) => {
              if (done - resumed >= 20) stop.abort(new Error("enough for today"));
            },
          }),
        Error,
        "enough for today",
      );
    }
    const kept = await rowsIn(stateFile);
    assert(kept.length >= 40 && kept.length < 288, `${kept.length} rows were kept`);
    assertEquals(await smallSweep({ stateFile, workers: 0 }), await whole);
    assertEquals((await rowsIn(stateFile)).length, 288);
  });
});

Deno.test("sweep() does not go on with the file of another sweep, and says what differs", async () => {
  await withFolder(async (folder) => {
    const stateFile = `${folder}/rows.jsonl`;
    const few: SweepGrid = { dynamic: ["p", "f"] };
    const options: SweepOptions = {
      sketch: SKETCH,
      layers: { role: "pulse" },
      stateFile,
      workers: 0,
    };
    await sweep(PLAN, few, options);
    const before = await Deno.readTextFile(stateFile);
    const refuses = async (run: () => Promise<unknown>, words: string) => {
      const error = await assertRejects(run, InputError, "another sweep") as InputError;
      assertStringIncludes(error.message, words);
      assertEquals(await Deno.readTextFile(stateFile), before);
    };
    await refuses(() => sweep(PLAN, { dynamic: ["p", "ff"] }, options), "the grid is");
    const other = SKETCHES["six-eight"]!;
    await refuses(() => sweep(PLAN, few, { ...options, sketch: other }), "the sketch is");
    const louder = vary(PLAN, { set: { dynamic: "ff" } }, { role: "bass" });
    await refuses(() => sweep(louder, few, options), "the plan is");
    await refuses(
      () => sweep(PLAN, few, { ...options, layers: { role: "bass" } }),
      "the choice of layers is",
    );
    await refuses(() => sweep(PLAN, few, { ...options, measures: ["balance"] }), "the choice of measures is");
    await refuses(() => sweep(PLAN, few, { ...options, detail: "quick" }), "the detail of hearing is");
    const fewer = orchestra().filter((p) => p.name !== "Piccolo");
    await refuses(() => sweep(PLAN, few, { ...options, orchestra: fewer }), "the orchestra is");

    await Deno.writeTextFile(stateFile, "bar,momentum\n1,4.2\n");
    await assertRejects(() => sweep(PLAN, few, options), InputError, "not the file of a sweep");
    assertEquals(await Deno.readTextFile(stateFile), "bar,momentum\n1,4.2\n");
    await Deno.writeTextFile(stateFile, "notes to self");
    await assertRejects(() => sweep(PLAN, few, options), InputError, "not the file of a sweep");
    assertEquals(await Deno.readTextFile(stateFile), "notes to self");
    await assertRejects(
      () => sweep(PLAN, few, { ...options, stateFile: folder }),
      InputError,
      "cannot be opened",
    );
  });
});

Deno.test("sweep() works where no permission was given, and says what threads need", async () => {
  const program = `import { sweep } from "ripieno";
    import { GRID, PLAN, SKETCH } from ${JSON.stringify(new URL("../small_sweep.ts", import.meta.url).href)};
    const grid = { dynamic: ["pp", "f"], tempo: Array.from({ length: 25 }, (_, i) => 60 + i) };
    const options = { sketch: SKETCH, layers: { role: "pulse" }, measures: ["playability"] };
    console.log((await sweep(PLAN, grid, options)).length);
    console.log(await sweep(PLAN, grid, { ...options, workers: 2 }).catch((e) => e.message));`;
  await withFolder(async (folder) => {
    await Deno.writeTextFile(`${folder}/program.ts`, program);
    const config = fileURLToPath(new URL("../../../deno.json", import.meta.url));
    const { stdout } = await new Deno.Command(Deno.execPath(), {
      args: ["run", "--no-prompt", "--no-check", "--config", config, `${folder}/program.ts`],
      stdin: "null",
      stderr: "null",
    }).output();
    const [rows, refusal] = new TextDecoder().decode(stdout).trim().split("\n");
    assertEquals(rows, "50");
    assertStringIncludes(refusal!, "Run it with --allow-read, or give workers: 0.");
  });
});

Deno.test("two sweeps cannot write into one file at the same time", async () => {
  await withFolder(async (folder) => {
    const stateFile = `${folder}/rows.jsonl`;
    const first = smallSweep({ stateFile, workers: 1 });
    while (!(await Deno.stat(stateFile).catch(() => undefined))?.size) {
      await new Promise((r) => setTimeout(r, 1));
    }
    await assertRejects(() => smallSweep({ stateFile, workers: 0 }), InputError, "another sweep is using it");
    assertEquals(await first, await whole);
  });
});

Deno.test("sweep() refuses wrong names before it begins", async () => {
  const cases: readonly (readonly [unknown, string, LayersOf?])[] = [
    [{}, "no choices"],
    [{ whom: ["Violas"] }, 'no option "whom"'],
    [{ who: ["Violas + Viola da gamba"] }, '"Viola da gamba" is not in the orchestra', { role: "pulse" }],
    [{ who: "Violas" }, "not a list"],
    [{ who: [] }, "who has no values"],
    [{ who: { nobody: [] } }, "names nobody", { role: "pulse" }],
    [{ figure: ["held chord"] }, "belongs to the role pad", { role: "pulse" }],
    [{ figure: ["held chord", "off-beats"] }, "layers: { role:"],
    [{ figure: ["galop"] }, '"galop" is not a figure', { role: "pulse" }],
    [{ articulation: ["choppy"] }, '"choppy" is not an articulation'],
    [{ articulation: [""] }, "not an articulation"],
    [{ dynamic: ["loud"] }, '"loud" is not a dynamic'],
    [{ dynamic: ["p to mf to f to p"] }, "not a dynamic"],
    [{ dynamic: ["p", "p"] }, '"p" twice'],
    [{ tempo: [0] }, "0 is not a tempo"],
    [{ tempo: ["Allegro"] }, "Allegro is not a tempo"],
    [{ tempo: [NaN] }, "NaN"],
    [{ sectionSize: [0] }, '"0" is not a section size'],
    [{ sectionSize: ["huge"] }, '"huge" is not a section size'],
    [{ who: ["Violas"] }, "which layers"],
    [{ dynamic: ["p"] }, "no layer of the plan", { role: "trill" }],
    [{ dynamic: ["p"] }, 'no option "rolle"', { rolle: "trill" } as LayersOf],
    [{
      tempo: Array.from({ length: 1001 }, (_, i) => i + 10),
      sectionSize: Array.from({ length: 1000 }, (_, i) => i + 1),
    }, "1001000 settings"],
  ];
  for (const [grid, words, layers] of cases) {
    const error = await assertRejects(
      () => sweep(PLAN, grid as SweepGrid, { sketch: SKETCH, ...(layers ? { layers } : {}) }),
      InputError,
    ) as InputError;
    assertStringIncludes(error.message, words);
  }
  const tempo = { tempo: [90] };
  const wrong: readonly (readonly [unknown, string])[] = [
    [{}, "no sketch"],
    [{ sketch: SKETCH, speed: 1 }, 'no option "speed"'],
    [{ sketch: SKETCH, measures: ["swing"] }, '"swing" is not a measure'],
    [{ sketch: SKETCH, measures: [] }, "nothing is to be measured"],
    [{ sketch: SKETCH, workers: 1.5 }, "1.5 threads"],
    [{ sketch: SKETCH, detail: "rough" }, "no way of hearing"],
  ];
  for (const [options, words] of wrong) {
    await assertRejects(() => sweep(PLAN, tempo, options as SweepOptions), InputError, words);
  }
  await assertRejects(
    () => sweep(PLAN, { sketch: SKETCHES }, { sketch: SKETCH }),
    InputError,
    "the one or the other",
  );
});

Deno.test("sweep() takes the layers of the figures' role, and only what is asked for", async () => {
  const rows = await sweep(PLAN, { figure: ["off-beats"] }, { sketch: SKETCH, measures: ["balance"] });
  assertEquals(rows.length, 1);
  assertEquals([rows[0]!.momentum, rows[0]!.freshness, rows[0]!.risky], [null, null, null]);
  assert(rows[0]!.audibleShare! > 0);
  const full = await sweep(PLAN, { figure: ["off-beats"] }, { sketch: SKETCH, layers: { role: "pulse" } });
  assertEquals(rows[0]!.audibleShare, full[0]!.audibleShare);
  const { setting: _n, refused: _r, barsBetweenChanges, ...columns } = full[0]!;
  assertEquals(barsBetweenChanges, null); // this plan has one passage: nothing changes
  assertEquals(Object.values(columns).every((v) => v !== null), true);
  assertEquals(tableToCsv(full.map((row) => ({ ...row }))).split("\r\n").length, 3);
});

Deno.test("sweep() hears quickly where that is asked for, and ranks as in full", async () => {
  const grid: SweepGrid = {
    figure: ["repeated eighths", "repeated sixteenths", "off-beats"],
    dynamic: ["pp", "mf", "ff"],
  };
  const [full, quick] = await Promise.all(
    (["full", "quick"] as const).map((detail) => smallSweep({ detail }, grid)),
  );
  const alone = compare([
    study(realise(SKETCH, vary(PLAN, { set: { dynamic: "pp" } }, { role: "pulse" }))),
  ])[0]!;
  assertEquals([full![0]!.figure, full![0]!.dynamic], ["repeated eighths", "pp"]);
  assertAlmostEquals(full![0]!.momentum!, alone.momentum, 1e-12);
  const order = (rows: readonly SweepRow[]) =>
    rows.toSorted((a, b) => b.momentum! - a.momentum!).map((r) => r.setting).join();
  assertEquals(order(quick!), order(full!));
  full!.forEach((row, i) => {
    assertAlmostEquals(quick![i]!.momentum! / row.momentum!, 1, 0.05);
    assertEquals(quick![i]!.handbookDb, row.handbookDb);
  });
  assert(full!.some((row, i) => row.momentum !== quick![i]!.momentum));
});

Deno.test("sweep() takes sketches, dynamics on the way and named ensembles as choices", async () => {
  const rows = await sweep(PLAN, {
    sketch: { ours: SKETCH, slower: { ...SKETCH, title: "the same" } },
    dynamic: ["p to f"],
    sectionSize: ["Rimsky-Korsakov small", "Rimsky-Korsakov full"],
  }, { layers: { role: "pulse" } });
  assertEquals(rows.map((r) => [r.sketch, r.dynamic, r.sectionSize]), [
    ["ours", "p to f", "Rimsky-Korsakov small"],
    ["ours", "p to f", "Rimsky-Korsakov full"],
    ["slower", "p to f", "Rimsky-Korsakov small"],
    ["slower", "p to f", "Rimsky-Korsakov full"],
  ]);
  assertEquals(rows[0]!.momentum, rows[2]!.momentum);
  // 3 violas and 3 cellos against 12 and 10: the flute is heard less
  assert(rows[1]!.audibleShare! < rows[0]!.audibleShare!);
  assert(rows[1]!.powerDb! < rows[0]!.powerDb!);
});

Deno.test("figures of one's own are among the choices where the plan has them", async () => {
  const tresillo = defineFigure({
    id: "tresillo",
    cellQuarters: 2,
    strokes: [{ at: 0, length: 0.75 }, { at: 0.75, length: 0.75 }, { at: 1.5, length: 0.5 }],
  });
  const grid = { figure: ["repeated eighths", "tresillo"] };
  const options = { sketch: SKETCH, workers: 0, measures: ["momentum"], layers: { role: "pulse" } } as const;
  const rows = await sweep({ ...PLAN, figures: [tresillo] }, grid, options);
  assertEquals(rows.map((r) => r.figure), grid.figure);
  assertNotEquals(rows[0]!.momentum, rows[1]!.momentum);
  const error = await assertRejects(() => sweep(PLAN, grid, options), InputError);
  assertMatch(error.message, /"tresillo" is not a figure/);
});
