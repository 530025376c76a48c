/** How many tests of a run passed and failed. */
export interface TestCounts {
  /** Tests that ran and passed; steps inside a test are not counted. */
  readonly passed: number;
  /** Tests that failed or were left out: a test that does not run proves nothing. */
  readonly failed: number;
}

/**
 * Counts tests in a report in the JUnit form, as `deno test --junit-path` writes it.
 *
 * @param report the report, or undefined where none was written
 * @param ok whether the run itself ended well; if it did not and no test failed, the run counts as one failed
 */
export function countTests(report: string | undefined, ok: boolean): TestCounts {
  let passed = 0;
  let failed = 0;
  for (const suite of report?.split("<testsuite ").slice(1) ?? []) {
    const cases = suite.split("<testcase ").slice(1).map((text) => ({
      name: /name="([^"]*)"/.exec(text)?.[1] ?? "",
      ok: !/<(failure|error|skipped)\b/.test(text),
    }));
    const names = new Set(cases.map(({ name }) => name));
    for (const one of cases) {
      if (isStep(one.name, names)) continue;
      if (one.ok) passed++;
      else failed++;
    }
  }
  return { passed, failed: ok || failed > 0 ? failed : 1 };
}

/** A step is named `TEST > STEP`, and its test stands in the same report. */
function isStep(name: string, names: ReadonlySet<string>): boolean {
  const words = name.split(" &gt; ");
  return words.some((_, i) => i > 0 && names.has(words.slice(0, i).join(" &gt; ")));
}
