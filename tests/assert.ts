/**
 * Assertions with the names, types and behaviour of the Deno standard library's `@std/assert`, over
 * `node:assert/strict`. The import map points `@std/assert` here; pointing it at the real package is one line.
 *
 * @module
 */
import nodeAssert from "node:assert/strict";
import { isDeepStrictEqual } from "node:util";

/** What every failed assertion throws. */
export const AssertionError: typeof nodeAssert.AssertionError = nodeAssert.AssertionError;

// deno-lint-ignore no-explicit-any
type ErrorType<E extends Error> = abstract new (...args: any[]) => E;

/** Fails always. */
export function fail(msg?: string): never {
  return refuse("The test failed", msg);
}

/** The value is truthy. */
export function assert(expr: unknown, msg: string = ""): asserts expr {
  if (!expr) throw new AssertionError({ message: msg });
}

/** The value is falsy. */
export function assertFalse(expr: unknown, msg: string = ""): asserts expr is false {
  if (expr) throw new AssertionError({ message: msg });
}

/** Both are equal, member by member; the message shows what differs. 0 equals -0, NaN equals NaN. */
export function assertEquals<T>(actual: T, expected: T, msg?: string): void {
  if (equal(actual, expected)) return;
  let difference = "";
  try {
    nodeAssert.deepEqual(withoutMinusZero(actual), withoutMinusZero(expected));
  } catch (error) {
    difference = (error as Error).message.split("\n").slice(1).join("\n");
  }
  throw new AssertionError({ message: `Values are not equal${msg ? `: ${msg}` : ""}\n${difference}` });
}

/** The two differ somewhere. */
export function assertNotEquals<T>(actual: T, expected: T, msg?: string): void {
  if (equal(actual, expected)) refuse(`Expected something other than ${inspect(actual)}`, msg);
}

/** Both are the same value or the same object (`Object.is`). */
export function assertStrictEquals<T>(actual: unknown, expected: T, msg?: string): asserts actual is T {
  if (Object.is(actual, expected)) return;
  const alike = equal(actual, expected) ? " (equal in content, but not the same)" : "";
  refuse(`Expected ${inspect(expected)}, got ${inspect(actual)}${alike}`, msg);
}

/** The two are not the same value or object. */
export function assertNotStrictEquals<T>(actual: T, expected: T, msg?: string): void {
  if (Object.is(actual, expected)) refuse(`Expected anything but ${inspect(expected)}`, msg);
}

/** The numbers lie within the tolerance, by default a ten-millionth of the expected one. */
export function assertAlmostEquals(actual: number, expected: number, tolerance?: number, msg?: string): void {
  if (Object.is(actual, expected)) return;
  const allowed = tolerance ?? (Number.isFinite(expected) ? Math.abs(expected) * 1e-7 : 1e-7);
  const distance = Math.abs(expected - actual);
  if (distance <= allowed) return;
  refuse(`Expected ${expected} within ${allowed}, got ${actual}, which is ${distance} away`, msg);
}

/** The first is larger. */
export function assertGreater<T>(actual: T, expected: T, msg?: string): void {
  if (!(actual > expected)) refuse(`Expected ${inspect(actual)} > ${inspect(expected)}`, msg);
}

/** The first is larger, or they are the same. */
export function assertGreaterOrEqual<T>(actual: T, expected: T, msg?: string): void {
  if (!(actual >= expected)) refuse(`Expected ${inspect(actual)} >= ${inspect(expected)}`, msg);
}

/** The first is smaller. */
export function assertLess<T>(actual: T, expected: T, msg?: string): void {
  if (!(actual < expected)) refuse(`Expected ${inspect(actual)} < ${inspect(expected)}`, msg);
}

/** The first is smaller, or they are the same. */
export function assertLessOrEqual<T>(actual: T, expected: T, msg?: string): void {
  if (!(actual <= expected)) refuse(`Expected ${inspect(actual)} <= ${inspect(expected)}`, msg);
}

/** The value is neither null nor undefined. */
export function assertExists<T>(actual: T, msg?: string): asserts actual is NonNullable<T> {
  if (actual === undefined || actual === null) refuse(`Expected a value, got ${actual}`, msg);
}

/** The value was made by this class or one derived from it. */
// deno-lint-ignore no-explicit-any
export function assertInstanceOf<T extends abstract new (...args: any[]) => any>(
  actual: unknown,
  expectedType: T,
  msg: string = "",
): asserts actual is InstanceType<T> {
  if (actual instanceof expectedType) return;
  refuse(`Expected an instance of ${expectedType.name}, got ${inspect(actual)}`, msg);
}

/** The text matches the pattern. */
export function assertMatch(actual: string, expected: RegExp, msg?: string): void {
  if (!expected.test(actual)) refuse(`Expected ${inspect(actual)} to match ${expected}`, msg);
}

/** The text does not match the pattern. */
export function assertNotMatch(actual: string, expected: RegExp, msg?: string): void {
  if (expected.test(actual)) refuse(`Expected ${inspect(actual)} not to match ${expected}`, msg);
}

/** The text contains the other text. */
export function assertStringIncludes(actual: string, expected: string, msg?: string): void {
  if (!actual.includes(expected)) refuse(`Expected ${inspect(actual)} to contain ${inspect(expected)}`, msg);
}

/** Every expected member is found in the array, compared as by {@linkcode assertEquals}. */
export function assertArrayIncludes<T>(actual: ArrayLike<T>, expected: ArrayLike<T>, msg?: string): void {
  const found = Array.from(actual);
  const missing = Array.from(expected).filter((wanted) => !found.some((one) => equal(one, wanted)));
  if (missing.length > 0) refuse(`Expected ${inspect(actual)} to contain ${inspect(missing)}`, msg);
}

/** Running the function throws; gives back what was thrown. */
export function assertThrows(fn: () => unknown, msg?: string): unknown;
/** Running the function throws an error of this class whose message contains the text; gives it back. */
export function assertThrows<E extends Error = Error>(
  fn: () => unknown,
  ErrorClass: ErrorType<E>,
  msgIncludes?: string | RegExp,
  msg?: string,
): E;
export function assertThrows(
  fn: () => unknown,
  classOrMsg?: ErrorType<Error> | string,
  msgIncludes?: string | RegExp,
  msg?: string,
): unknown {
  try {
    fn();
  } catch (error) {
    return checkError(error, classOrMsg, msgIncludes, msg);
  }
  return refuse("Expected the function to throw", typeof classOrMsg === "string" ? classOrMsg : msg);
}

/** The function's promise is rejected; gives back the reason. */
export function assertRejects(fn: () => PromiseLike<unknown>, msg?: string): Promise<unknown>;
/** The function's promise is rejected with an error of this class whose message contains the text. */
export function assertRejects<E extends Error = Error>(
  fn: () => PromiseLike<unknown>,
  ErrorClass: ErrorType<E>,
  msgIncludes?: string | RegExp,
  msg?: string,
): Promise<E>;
export async function assertRejects(
  fn: () => PromiseLike<unknown>,
  classOrMsg?: ErrorType<Error> | string,
  msgIncludes?: string | RegExp,
  msg?: string,
): Promise<unknown> {
  const words = typeof classOrMsg === "string" ? classOrMsg : msg;
  let promise: PromiseLike<unknown>;
  try {
    promise = fn();
  } catch {
    return refuse("The function throws where it was expected to reject", words);
  }
  if (typeof promise?.then !== "function") return refuse("The function gave no promise", words);
  try {
    await promise;
  } catch (error) {
    return checkError(error, classOrMsg, msgIncludes, msg);
  }
  return refuse("Expected the function to reject", words);
}

function checkError(
  error: unknown,
  classOrMsg: ErrorType<Error> | string | undefined,
  msgIncludes: string | RegExp | undefined,
  msg: string | undefined,
): unknown {
  if (classOrMsg === undefined || typeof classOrMsg === "string") return error;
  if (!(error instanceof Error)) return refuse(`Expected an Error, got ${inspect(error)}`, msg);
  const { name, message } = error;
  if (!(error instanceof classOrMsg)) refuse(`Expected a ${classOrMsg.name}, got ${name}: ${message}`, msg);
  const text = msgIncludes ?? "";
  const matches = typeof text === "string" ? message.includes(text) : text.test(message);
  return matches ? error : refuse(`Expected a message with ${inspect(text)}, got "${message}"`, msg);
}

function equal(a: unknown, b: unknown): boolean {
  return isDeepStrictEqual(a, b) || isDeepStrictEqual(withoutMinusZero(a), withoutMinusZero(b));
}

/** A copy in which -0 is 0 and records have the ordinary prototype; anything else stays as it is. */
function withoutMinusZero(value: unknown, seen: Map<unknown, unknown> = new Map()): unknown {
  if (value === 0) return 0;
  if (typeof value !== "object" || value === null) return value;
  if (seen.has(value)) return seen.get(value);
  if (value instanceof Float32Array || value instanceof Float64Array) {
    return value.map((x) => x === 0 ? 0 : x);
  }
  if (value instanceof Map || value instanceof Set) {
    const members = [...value].map((member) => withoutMinusZero(member, seen));
    return value instanceof Map ? new Map(members as [unknown, unknown][]) : new Set(members);
  }
  const prototype = Object.getPrototypeOf(value);
  if (!Array.isArray(value) && prototype !== Object.prototype && prototype !== null) return value;
  const copy: Record<PropertyKey, unknown> = Array.isArray(value) ? new Array(value.length) as never : {};
  seen.set(value, copy);
  for (const key of Reflect.ownKeys(value)) {
    if (key === "length" && Array.isArray(value)) continue;
    copy[key] = withoutMinusZero((value as Record<PropertyKey, unknown>)[key], seen);
  }
  return copy;
}

function inspect(value: unknown): string {
  return Deno.inspect(value, { depth: 6 });
}

function refuse(what: string, msg?: string): never {
  throw new AssertionError({ message: msg ? `${what}: ${msg}` : `${what}.`, stackStartFn: refuse });
}
