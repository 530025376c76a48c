import { assertEquals } from "@std/assert";
import fc from "fast-check";
import { ask, askAlso, figureMemory, recall } from "../../../lib/measures/balance/figure_memory.ts";

/** Asks for the sum of some figures, and says whether it was added up now. */
function sumOf(memory: ReturnType<typeof figureMemory>, figures: readonly number[]) {
  let isNew = false;
  ask(figures.length);
  for (const figure of figures) askAlso(figure);
  const sum = recall(memory, () => {
    isNew = true;
    return figures.reduce((a, b) => a + b, 0);
  });
  return { sum, isNew };
}

Deno.test("recall() gives what was made of the same figures and of no others, in any order of asking", () => {
  const lists = fc.array(fc.array(fc.constantFrom(0, 0.1, 0.2, 1, 2, 3), { maxLength: 4 }), {
    maxLength: 60,
  });
  fc.assert(fc.property(lists, fc.integer({ min: 1, max: 8 }), (lists, most) => {
    const memory = figureMemory(most);
    for (const list of lists) {
      assertEquals(sumOf(memory, list).sum, list.reduce<number>((a, b) => a + b, 0));
      assertEquals(sumOf(memory, list).isNew, false);
    }
  }));
});

Deno.test("recall() keeps no more than it may", () => {
  const memory = figureMemory(10);
  for (let i = 0; i < 1000; i++) sumOf(memory, [i]);
  let kept = 0;
  for (let i = 0; i < 1000; i++) {
    ask(1);
    askAlso(i);
    let isNew = false;
    recall({ ...memory, results: new Map(memory.results) }, () => isNew = true);
    if (!isNew) kept++;
  }
  assertEquals(kept, 10);
});

Deno.test("recall() keeps figures of one hash apart, and questions within questions", () => {
  const memory = figureMemory(100);
  const outer = (n: number): number => {
    ask(n);
    return recall(memory, () => n === 0 ? 0 : outer(n - 1) + n);
  };
  assertEquals(outer(13), 91);
  assertEquals(outer(12), 78);
});
