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

/** A wrong call that was made, and what it threw; nothing where it was answered. */
interface MadeCall extends WrongCall {
  readonly fn: PublicFunction;
  readonly threw: { readonly error: unknown } | undefined;
}

/** Makes every wrong call of a function. */
async function madeCalls(fn: PublicFunction, called = callable[fn.name]!): Promise<readonly MadeCall[]> {
  const made: MadeCall[] = [];
  for (const call of wrongCalls(fn, right)) {
    const outcome = await outcomeOf(called, call.args);
    made.push({ ...call, fn, threw: outcome.kind === "threw" ? { error: outcome.error } : undefined });
  }
  return made;
}

let all: Promise<readonly MadeCall[]> | undefined;

/** All wrong calls of all functions: made once, when the first test asks for them. */
function allCalls(): Promise<readonly MadeCall[]> {
  return all ??= (async () => {
    const made: MadeCall[] = [];
    for (const fn of functions) made.push(...await madeCalls(fn));
    return made;
  })();
}

/** What went wrong in calls. */
function faultsOf(calls: readonly MadeCall[], mustRefuse: boolean): readonly string[] {
  return calls.flatMap(({ words, threw }) => {
    if (!threw) return mustRefuse ? [`${words} is answered as if nothing were wrong`] : [];
    return threw.error instanceof InputError ? [] : [`${words}: ${threw.error}`];
  });
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
  assertEquals(faultsOf(await allCalls(), false), []);
});

Deno.test("null and things of another type are refused, whichever argument they stand for", async () => {
  const chosen = (await allCalls()).filter(({ fn, wrong, ofAnotherType, parameter }) =>
    wrong === "argument" && ofAnotherType &&
    ![...INNERMOST, ...TAKE_ANYTHING].includes(`${fn.name}.${parameter}`)
  );
  assertEquals(faultsOf(chosen, true), []);
});

Deno.test("a misspelt option is refused rather than ignored", async () => {
  const chosen = (await allCalls()).filter(({ fn, wrong }) =>
    wrong === "option name" && !TAKE_MORE_NAMES.includes(fn.name)
  );
  assertEquals(faultsOf(chosen, true), []);
});

Deno.test("null and NaN are no values of options", async () => {
  const chosen = (await allCalls()).filter(({ wrong, words }) =>
    wrong === "option value" && /: (null|NaN) \}/.test(words)
  );
  assertEquals(faultsOf(chosen, true), []);
});

Deno.test("the search finds the engine's own words, and answers that should have been refusals", async () => {
  const endTicksOf = functions.find((fn) => fn.name === "endTicksOf")!;
  const unchecked = (score: { readonly bars: readonly unknown[] }) => score.bars.length;
  const found = (await madeCalls(endTicksOf, unchecked as never))
    .filter(({ words }) => words === "endTicksOf(null)");
  assertEquals(faultsOf(found, false).length, 1);
  assertStringIncludes(
    faultsOf(found, false)[0]!,
    "endTicksOf(null): TypeError: Cannot read properties of null",
  );
  const isRole = functions.find((fn) => fn.name === "isRole")!;
  const answered = (await madeCalls(isRole)).filter(({ words }) => words === "isRole(null)");
  assertEquals(faultsOf(answered, true), ["isRole(null) is answered as if nothing were wrong"]);
});

globalThis.addEventListener("unload", () => Deno.removeSync(folder, { recursive: true }));
