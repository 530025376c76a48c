import { join } from "node:path";
import { assertEquals, assertStringIncludes } from "@std/assert";
import { countTests, slowestTests } from "./setup/count_tests.ts";
import { findProgram } from "./setup/find_program.ts";
import { runCommand } from "./setup/run_command.ts";
import { countLeftOut, NEEDS_DATASETS } from "./setup/shared_data.ts";

/** Runs `deno test` on a file with this text, outside the project, and counts from the report it writes. */
async function countsOf(text: string): Promise<{ passed: number; failed: number }> {
  const folder = Deno.makeTempDirSync();
  try {
    const report = join(folder, "report.xml");
    Deno.writeTextFileSync(join(folder, "some_test.ts"), text);
    const words = ["deno", "test", "--no-config", `--junit-path=${report}`, "some_test.ts"];
    const { ok } = await runCommand(words, { folder });
    return countTests(await Deno.readTextFile(report).catch(() => undefined), ok);
  } finally {
    Deno.removeSync(folder, { recursive: true });
  }
}

Deno.test("counts: tests that pass and fail, steps not counted, tests left out failed", async () => {
  const counts = await countsOf(`
    Deno.test("good", async (t) => { await t.step("step > deeper", () => {}); });
    Deno.test("good & \\"<odd>\\" > name", () => {});
    Deno.test("bad", async (t) => { await t.step("step", () => { throw new Error("<skipped/> no"); }); });
    Deno.test.ignore("left out", () => {});
  `);
  assertEquals(counts, { passed: 2, failed: 2 });
});

Deno.test("counts: the slowest tests are named with their file, the slowest first", () => {
  const test = (name: string, time: string) =>
    `<testcase name="${name}" classname="./a_test.ts" time="${time}"></testcase>`;
  const report = `<testsuite name="a">${test("quick", "0.1")}${test("slow &lt;1&gt;", "3.5")}${
    test("slow &lt;1&gt; &gt; step", "3.4")
  }${test("middling", "1")}</testsuite>`;
  assertEquals(slowestTests(report, 2), [
    { name: "slow <1>", file: "./a_test.ts", seconds: 3.5 },
    { name: "middling", file: "./a_test.ts", seconds: 1 },
  ]);
  assertEquals(slowestTests(undefined, 2), []);
});

Deno.test("datasets: where one is missing it is said and counted, or refused where it is asked for", async () => {
  const from = (env: Record<string, string>) =>
    runCommand(
      [
        "deno",
        "eval",
        `import { sharedFolder } from ${
          JSON.stringify(import.meta.resolve("./setup/shared_data.ts"))
        }; sharedFolder("no-such-set");`,
      ],
      { env },
    );
  const plain = await from({ [NEEDS_DATASETS]: "" });
  assertEquals([plain.ok, countLeftOut(plain.output)], [true, 1]);
  const asked = await from({ [NEEDS_DATASETS]: "yes" });
  assertEquals(asked.ok, false);
  assertStringIncludes(asked.output, "no-such-set is not beside the checkout");
});

Deno.test("counts: a file that cannot be loaded, and a run without tests, are one failed", async () => {
  assertEquals(await countsOf(`throw new Error("at once");`), { passed: 0, failed: 1 });
  assertEquals(await countsOf(`const x: number = "text"; Deno.test("never", () => { console.log(x); });`), {
    passed: 0,
    failed: 1,
  });
  assertEquals(countTests(undefined, false), { passed: 0, failed: 1 });
});

Deno.test("counts: tests that pass in a run that fails otherwise do not hide the failure", async () => {
  const counts = await countsOf(`Deno.test("good", () => {}); Deno.test.only("alone", () => {});`);
  assertEquals(counts, { passed: 1, failed: 1 });
});

Deno.test("commands: output, failure, and a program that does not exist", async () => {
  assertEquals(await runCommand(["deno", "eval", "console.log(1)"]), { ok: true, output: "1\n" });
  assertEquals((await runCommand(["deno", "eval", "Deno.exit(3)"])).ok, false);
  const missing = await runCommand(["no-such-program"]);
  assertEquals(missing.ok, false);
  assertStringIncludes(missing.output, "no-such-program");
  assertEquals(findProgram("no-such-program"), undefined);
});

Deno.test("commands: one that never ends is stopped", async () => {
  const endless = ["deno", "eval", "setInterval(() => {}, 1000)"];
  const { ok, output } = await runCommand(endless, { limitMinutes: 0.02 });
  assertEquals(ok, false);
  assertStringIncludes(output, "Stopped after");
});
