import { assertEquals, assertLessOrEqual, assertStrictEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { memo, memoOf, memoOfFigures } from "../../lib/base/memo.ts";

/** A memo of squares that counts how often each is worked out. */
function squares(most: number) {
  const kept = memo<number, number>(most);
  const made: number[] = [];
  const of = (n: number) =>
    kept(n, () => {
      made.push(n);
      return n * n;
    });
  return { of, made };
}

Deno.test("memo() gives what was made under the key and nothing else, in any order of asking", () => {
  fc.assert(fc.property(fc.array(fc.nat(12)), fc.integer({ min: 1, max: 10 }), (asked, most) => {
    const { of } = squares(most);
    for (const n of asked) assertEquals(of(n), n * n);
  }));
});

Deno.test("memo() still has the last half of what it may keep, however often each was asked for", () => {
  fc.assert(fc.property(fc.array(fc.nat(12)), fc.integer({ min: 1, max: 10 }), (asked, most) => {
    const { of, made } = squares(most);
    for (const n of asked) of(n);
    const lately = [...new Set(asked.toReversed())].slice(0, Math.floor(most / 2));
    made.length = 0;
    for (const n of lately) of(n);
    assertEquals(made, []);
  }));
});

Deno.test("memo() keeps no more than it may", () => {
  for (const most of [2, 10, 64]) {
    const { of, made } = squares(most);
    for (let n = 0; n < 500; n++) of(n);
    made.length = 0;
    for (let n = 499; n >= 0; n--) of(n);
    assertLessOrEqual(500 - made.length, most);
  }
});

Deno.test("memo() keeps undefined, asks within asking, and forgets what failed", () => {
  const nothing = memo<undefined>(4);
  let count = 0;
  for (let i = 0; i < 3; i++) nothing("a", () => void count++);
  assertEquals(count, 1);

  const sums = memo<number, number>(100);
  const sum = (n: number): number => sums(n, () => n === 0 ? 0 : n + sum(n - 1));
  assertEquals([sum(13), sum(12)], [91, 78]);

  const failing = memo<string>(4);
  assertThrows(() =>
    failing("a", () => {
      throw new RangeError("no");
    })
  );
  assertEquals(failing("a", () => "yes"), "yes");
});

Deno.test("memoOf() works once for each object, not for one that looks alike", () => {
  let count = 0;
  const twice = memoOf(({ n }: { readonly n: number }) => ({ n: n * 2, made: ++count }));
  const two = { n: 2 };
  assertStrictEquals(twice(two), twice(two));
  assertEquals(twice({ n: 2 }), { n: 4, made: 2 });
});

Deno.test("memoOfFigures() gives what was made of the same figures and of no others, in any order of asking", () => {
  const lists = fc.array(fc.array(fc.constantFrom(0, 0.1, 0.2, 1, 2, 3), { maxLength: 4 }), {
    maxLength: 60,
  });
  fc.assert(fc.property(lists, fc.integer({ min: 1, max: 8 }), (lists, most) => {
    const sums = memoOfFigures<number>(most);
    for (const list of lists) {
      const sum = list.reduce<number>((a, b) => a + b, list.length);
      assertEquals(sums(list, () => sum), sum);
      assertEquals(sums([...list], () => NaN), sum);
    }
  }));
});
