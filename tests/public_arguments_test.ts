/**
 * Every function of the public entries is called as nobody should call it. Nothing checks types in a notebook: what comes
 * back has to be a sentence, never the engine's own words. A new function is called too, without a line here; where a
 * type of its parameters is new, the test asks for a sample.
 */
import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { InputError } from "ripieno";
import { allExports } from "./setup/public_entries.ts";
import { type PublicFunction, publicFunctions } from "./setup/public_functions.ts";
import { rightArguments } from "./setup/right_arguments.ts";
import { outcomeOf, rightCall, type WrongCall, wrongCalls } from "./setup/wrong_calls.ts";

/** Functions whose every call outside a notebook is refused: what they are given is not looked at there. */
const ONLY_IN_NOTEBOOKS = ["show"];

/**
 * Functions that take further fields in their options, since a whole warning is spread into them: a misspelt name is
 * not told from one of the warning's.
 */
const TAKE_MORE_NAMES = ["applyRemedy", "varyForRemedy"];

/** Parameters in the innermost loops: what is no number there gives NaN, or is refused as NaN. */
const INNERMOST = [
  "barIndexOf.ticks",
  "barBeatOf.ticks",
  "quartersOf.ticks",
  "secondsOf.ticks",
  "dbOfPower.power",
  "powerOfDb.levelDb",
  "camOf.frequencyHz",
  "erbHz.frequencyHz",
  "hzOfCam.cam",
  "phonOfSones.sones",
  "aWeightingDb.frequencyHz",
  "equalSourcesDb.count",
];

/** Parameters that take anything on purpose. */
const TAKE_ANYTHING = [
  "describePlace.where", // writes messages, and must not fail while one is written
  "isRole.word", // asks whether something is a role, and answers no
  "applySettings.name", // the name in the message
];

const folder = await Deno.makeTempDir();
const right = await rightArguments(folder);
const functions = await publicFunctions();
const library = await allExports();
const callable = library as Readonly<Record<string, (...args: readonly unknown[]) => unknown>>;

/** What went wrong in calls that are chosen from all wrong calls of a function. */
async function faultsOf(
  fn: PublicFunction,
  isChosen: (call: WrongCall) => boolean,
  mustRefuse: boolean,
  called = callable[fn.name]!,
): Promise<readonly string[]> {
  const faults: string[] = [];
  for (const call of wrongCalls(fn, right)) {
    if (!isChosen(call)) continue;
    const outcome = await outcomeOf(called, call.args);
    if (outcome.kind === "returned") {
      if (mustRefuse) faults.push(`${call.words} is answered as if nothing were wrong`);
    } else if (!(outcome.error instanceof InputError)) faults.push(`${call.words}: ${outcome.error}`);
  }
  return faults;
}

Deno.test("every function of the public entries is known with its parameters", () => {
  const exported = Object.entries(library).filter(([, value]) =>
    typeof value === "function" && value !== InputError
  ).map(([name]) => name);
  assertEquals(functions.map((fn) => fn.name).toSorted(), exported.toSorted());
});

Deno.test("the right arguments are taken, so that what is refused below is refused for what is wrong", async () => {
  for (const fn of functions) {
    const outcome = await outcomeOf(callable[fn.name]!, rightCall(fn, right));
    if (ONLY_IN_NOTEBOOKS.includes(fn.name)) assert(outcome.kind === "threw", fn.name);
    else assert(outcome.kind === "returned", `${fn.name}: ${outcome.kind === "threw" && outcome.error}`);
  }
});

Deno.test("no wrong call of any function ends in the engine's own words", async () => {
  const faults: string[] = [];
  for (const fn of functions) faults.push(...await faultsOf(fn, () => true, false));
  assertEquals(faults, []);
});

Deno.test("null and things of another type are refused, whichever argument they stand for", async () => {
  const faults: string[] = [];
  for (const fn of functions) {
    const isChosen = ({ wrong, ofAnotherType, parameter }: WrongCall) =>
      wrong === "argument" && ofAnotherType &&
      ![...INNERMOST, ...TAKE_ANYTHING].includes(`${fn.name}.${parameter}`);
    faults.push(...await faultsOf(fn, isChosen, true));
  }
  assertEquals(faults, []);
});

Deno.test("a misspelt option is refused rather than ignored", async () => {
  const faults: string[] = [];
  for (const fn of functions) {
    if (TAKE_MORE_NAMES.includes(fn.name)) continue;
    faults.push(...await faultsOf(fn, ({ wrong }) => wrong === "option name", true));
  }
  assertEquals(faults, []);
});

Deno.test("null and NaN are no values of options", async () => {
  const faults: string[] = [];
  for (const fn of functions) {
    const isChosen = ({ wrong, words }: WrongCall) =>
      wrong === "option value" && /: (null|NaN) \}/.test(words);
    faults.push(...await faultsOf(fn, isChosen, true));
  }
  assertEquals(faults, []);
});

Deno.test("the search finds the engine's own words, and answers that should have been refusals", async () => {
  const endTicksOf = functions.find((fn) => fn.name === "endTicksOf")!;
  const unchecked = (score: { readonly bars: readonly unknown[] }) => score.bars.length;
  const found = await faultsOf(
    endTicksOf,
    ({ words }) => words === "endTicksOf(null)",
    false,
    unchecked as never,
  );
  assertEquals(found.length, 1);
  assertStringIncludes(found[0]!, "endTicksOf(null): TypeError: Cannot read properties of null");
  const isRole = functions.find((fn) => fn.name === "isRole")!;
  const answered = await faultsOf(isRole, ({ words }) => words === "isRole(null)", true);
  assertEquals(answered, ["isRole(null) is answered as if nothing were wrong"]);
});

globalThis.addEventListener("unload", () => Deno.removeSync(folder, { recursive: true }));
