// Behaviour as the Deno standard library documents it for @std/assert 1, case by case.
import * as a from "@std/assert";

const passes: Record<string, () => void> = {
  "assertEquals looks inside": () => a.assertEquals({ a: [1, { b: 2 }] }, { a: [1, { b: 2 }] }),
  "assertEquals takes NaN as NaN": () => a.assertEquals([NaN], [NaN]),
  "assertEquals takes -0 as 0": () => a.assertEquals({ x: [-0] }, { x: [0] }),
  "assertEquals takes -0 as 0 in typed arrays": () =>
    a.assertEquals(Float64Array.of(-0, 1), Float64Array.of(0, 1)),
  "assertEquals ignores a missing prototype": () =>
    a.assertEquals<unknown>(Object.assign(Object.create(null), { x: 1 }), { x: 1 }),
  "assertEquals compares maps and sets": () =>
    a.assertEquals(new Map([["x", new Set([1])]]), new Map([["x", new Set([1])]])),
  "assertStrictEquals same object": () => a.assertStrictEquals(passes, passes),
  "assertAlmostEquals 1.000000001e-8": () => a.assertAlmostEquals(1.000000001e-8, 1.000000002e-8),
  "assertAlmostEquals 0.01, 0.02, 0.1": () => a.assertAlmostEquals(0.01, 0.02, 0.1),
  "assertAlmostEquals 0.1 + 0.2, 0.3, 1e-16": () => a.assertAlmostEquals(0.1 + 0.2, 0.3, 1e-16),
  "assertArrayIncludes compares content": () => a.assertArrayIncludes([{ a: 1 }, { b: 2 }], [{ b: 2 }]),
  "assertExists takes 0 and empty text": () => [0, "", false].forEach((x) => a.assertExists(x)),
  "assertThrows gives the error back": () =>
    a.assertStrictEquals(
      a.assertThrows(
        () => {
          throw new RangeError("out of range");
        },
        RangeError,
        "range",
      ).message,
      "out of range",
    ),
  "assertThrows takes a derived class": () =>
    void a.assertThrows(() => {
      throw new RangeError("x");
    }, Error),
  "assertThrows without a class takes anything": () =>
    void a.assertThrows(() => {
      throw "text";
    }),
};

const fails: Record<string, () => void> = {
  "fail": () => a.fail(),
  "assert 0": () => a.assert(0),
  "assertFalse 1": () => a.assertFalse(1),
  "assertEquals different member": () => a.assertEquals({ a: 1 }, { a: 2 }),
  "assertEquals missing against undefined": () => a.assertEquals<unknown>({ a: undefined }, {}),
  "assertEquals class against record": () => a.assertEquals<unknown>(new Date(0), {}),
  "assertEquals text against number": () => a.assertEquals<unknown>("1", 1),
  "assertNotEquals alike": () => a.assertNotEquals([0], [-0]),
  "assertStrictEquals a copy": () => a.assertStrictEquals([1], [1]),
  "assertNotStrictEquals": () => a.assertNotStrictEquals(1, 1),
  "assertAlmostEquals 0.01, 0.02": () => a.assertAlmostEquals(0.01, 0.02),
  "assertAlmostEquals 1e-8, 1e-9": () => a.assertAlmostEquals(1e-8, 1e-9),
  "assertAlmostEquals 0.1 + 0.2, 0.3, 1e-17": () => a.assertAlmostEquals(0.1 + 0.2, 0.3, 1e-17),
  "assertAlmostEquals NaN": () => a.assertAlmostEquals(NaN, 1, 10),
  "assertGreater same": () => a.assertGreater(1, 1),
  "assertGreater NaN": () => a.assertGreater(NaN, 1),
  "assertGreaterOrEqual": () => a.assertGreaterOrEqual(1, 2),
  "assertLess same": () => a.assertLess(1, 1),
  "assertLessOrEqual": () => a.assertLessOrEqual(2, 1),
  "assertExists null": () => a.assertExists(null),
  "assertInstanceOf": () => a.assertInstanceOf({}, Date),
  "assertMatch": () => a.assertMatch("a", /b/),
  "assertNotMatch": () => a.assertNotMatch("a", /a/),
  "assertStringIncludes": () => a.assertStringIncludes("abc", "x"),
  "assertArrayIncludes": () => a.assertArrayIncludes([1], [1, 2]),
  "assertThrows nothing thrown": () => void a.assertThrows(() => 1),
  "assertThrows other class": () =>
    void a.assertThrows(() => {
      throw new Error("x");
    }, RangeError),
  "assertThrows other message": () =>
    void a.assertThrows(
      () => {
        throw new Error("x");
      },
      Error,
      "y",
    ),
  "assertThrows not an Error": () =>
    void a.assertThrows(() => {
      throw "x";
    }, Error),
};

for (const [name, run] of Object.entries(passes)) Deno.test(`assert passes: ${name}`, run);

for (const [name, run] of Object.entries(fails)) {
  Deno.test(`assert refuses: ${name}`, () => {
    let thrown: unknown;
    try {
      run();
    } catch (error) {
      thrown = error;
    }
    if (!(thrown instanceof a.AssertionError)) {
      throw new Error(`no AssertionError, but ${Deno.inspect(thrown)}`);
    }
  });
}

Deno.test("assert passes: assertRejects gives the reason back", async () => {
  const reason = await a.assertRejects(() => Promise.reject(new TypeError("no")), TypeError, "no");
  a.assertEquals(reason.message, "no");
});

Deno.test("assert refuses: assertRejects when nothing is rejected, or when it throws at once", async () => {
  await a.assertRejects(() => a.assertRejects(() => Promise.resolve(1)), a.AssertionError, "to reject");
  const throwsAtOnce = () => {
    throw new Error("x");
  };
  await a.assertRejects(() => a.assertRejects(throwsAtOnce), a.AssertionError, "throws");
});

Deno.test("assert shows where two records differ", () => {
  const error = a.assertThrows(() => a.assertEquals([{ bar: 1, beat: 2 }], [{ bar: 1, beat: 3 }]), Error);
  a.assertMatch(error.message, /\+ .*beat: 2[\s\S]*- .*beat: 3/);
});
