/**
 * Runs bundled tests in a process of its own, until one fails. Told by one line of JSON as its argument; says one line of
 * JSON: per test, whether it failed and which faults it came by.
 */

/** What is to be run. */
export interface TestsToRun {
  /** The fault that is awake, or none. */
  readonly fault: number | null;
  readonly faults: number;
  /** Modules, and which of its tests, by their place. */
  readonly modules: readonly { readonly url: string; readonly asked?: readonly number[] }[];
}

/** How a test went. */
export interface TestRun {
  readonly url: string;
  readonly name: string;
  readonly failed: boolean;
  readonly why: string;
  readonly milliseconds: number;
  /** Faults in code that ran, here or when its module was loaded. */
  readonly reached: readonly number[];
}

import process from "node:process";

type Step = (context: { readonly step: typeof step }) => unknown;
type Written = { readonly name: string; readonly ignore?: boolean; readonly fn: Step };

const step = async (one: string | Written, fn?: Step): Promise<boolean> => {
  await (typeof one === "string" ? fn! : one.fn)({ step });
  return true;
};

if (import.meta.main) {
  const { fault, faults, modules }: TestsToRun = JSON.parse(Deno.args[0]!);
  const reached = new Uint8Array(faults);
  const tests: Written[] = [];
  Object.assign(globalThis, {
    faultIs: (number: number) => {
      reached[number] = 1;
      return number === fault;
    },
    gatherTest: (first: string | Written, ...more: readonly [Partial<Written> | Step, Step?]) => {
      if (typeof first !== "string") return tests.push(first);
      const [options, fn] = typeof more[0] === "function" ? [{}, more[0]] : [more[0], more[1]!];
      tests.push({ name: first, ...options, fn });
    },
  });
  const numbers = () => [...reached.keys()].filter((number) => reached[number] === 1);
  const runs: TestRun[] = [];
  const say = () => console.log(`RUNS ${JSON.stringify(runs)}`);
  for (const { url, asked } of modules) {
    tests.length = 0;
    reached.fill(0);
    try {
      await import(url);
    } catch (error) {
      runs.push({ url, name: "load", failed: true, why: String(error), milliseconds: 0, reached: numbers() });
      say();
      Deno.exit(0);
    }
    const atLoad = numbers();
    for (const { name, fn, ignore } of tests.filter((_, place) => asked?.includes(place) ?? true)) {
      reached.fill(0);
      for (const number of atLoad) reached[number] = 1;
      const { user, system } = process.cpuUsage();
      let why = "";
      try {
        if (ignore !== true) await fn({ step });
      } catch (error) {
        why = String(error).slice(0, 200) || "failed";
      }
      const used = process.cpuUsage();
      const milliseconds = Math.round((used.user + used.system - user - system) / 1000);
      runs.push({ url, name, failed: why !== "", why, milliseconds, reached: numbers() });
      if (why !== "" && fault !== null) break;
    }
    if (fault !== null && runs.at(-1)?.failed) break;
  }
  say();
  Deno.exit(0);
}
