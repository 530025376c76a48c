/** How many tests of a run passed and failed. */
export interface TestCounts {
  /** Tests that ran and passed; steps inside a test are not counted. */
  readonly passed: number;
  /** Tests that failed or were left out: a test that does not run proves nothing. */
  readonly failed: number;
}

/** A test and how long it took. */
export interface TimedTest {
  /** Its name. */
  readonly name: string;
  /** Its file, as the report names it. */
  readonly file: string;
  /** Seconds from its start to its end. */
  readonly seconds: number;
}

/** One test of a report in the JUnit form. */
interface ReportedTest extends TimedTest {
  readonly ok: boolean;
}

/**
 * Counts tests in a report in the JUnit form, as `deno test --junit-path` writes it.
 *
 * @param report the report, or undefined where none was written
 * @param ok whether the run itself ended well; if it did not and no test failed, the run counts as one failed
 */
export function countTests(report: string | undefined, ok: boolean): TestCounts {
  const tests = testsIn(report);
  const passed = tests.filter((one) => one.ok).length;
  const failed = tests.length - passed;
  return { passed, failed: ok || failed > 0 ? failed : 1 };
}

/**
 * The tests of a report that took longest.
 *
 * @param report a report in the JUnit form, or undefined where none was written
 * @param count how many at most
 * @returns the slowest first
 */
export function slowestTests(report: string | undefined, count: number): readonly TimedTest[] {
  return testsIn(report).toSorted((a, b) => b.seconds - a.seconds).slice(0, count)
    .map(({ name, file, seconds }) => ({ name: plainText(name), file: plainText(file), seconds }));
}

/** The tests of a report, steps left out. */
function testsIn(report: string | undefined): readonly ReportedTest[] {
  return (report?.split("<testsuite ").slice(1) ?? []).flatMap((suite) => {
    const cases = suite.split("<testcase ").slice(1).map((text) => ({
      name: attributeOf(text, "name"),
      file: attributeOf(text, "classname"),
      seconds: Number(attributeOf(text, "time")),
      ok: !/<(failure|error|skipped)\b/.test(text),
    }));
    const names = new Set(cases.map(({ name }) => name));
    return cases.filter(({ name }) => !isStep(name, names));
  });
}

function attributeOf(text: string, name: string): string {
  return new RegExp(`\\b${name}="([^"]*)"`).exec(text)?.[1] ?? "";
}

/** What stands in an attribute, without entities. */
function plainText(text: string): string {
  return text.replace(/&(?:quot|apos|lt|gt|amp);/g, (entity) => ENTITIES[entity] ?? entity);
}

const ENTITIES: Readonly<Record<string, string>> = {
  "&quot;": '"',
  "&apos;": "'",
  "&lt;": "<",
  "&gt;": ">",
  "&amp;": "&",
};

/** A step is named `TEST > STEP`, and its test stands in the same report. */
function isStep(name: string, names: ReadonlySet<string>): boolean {
  const words = name.split(" &gt; ");
  return words.some((_, i) => i > 0 && names.has(words.slice(0, i).join(" &gt; ")));
}
