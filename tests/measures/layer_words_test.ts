import { assertEquals } from "@std/assert";
import { isTutti, namesInWords, partsInWords, partsOfLayer } from "../../lib/measures/layer_words.ts";

Deno.test("numbered parts are named together where their numbers follow each other", () => {
  assertEquals(namesInWords(["Horn 1", "Horn 2", "Horn 3"]), "Horn 1–3");
  assertEquals(namesInWords(["Horn 1", "Horn 3"]), "Horn 1 and Horn 3");
  assertEquals(namesInWords(["Horn 2", "Horn 1"]), "Horn 2 and Horn 1");
  assertEquals(namesInWords(["Flute 1", "Oboe 2", "Violas"]), "Flute 1, Oboe 2 and Violas");
});

Deno.test("more than four names are counted, and as many more as are asked for", () => {
  const names = ["Piccolo", "Oboe 1", "Harp", "Violas", "Cellos"];
  assertEquals(namesInWords(names.slice(0, 4)), "Piccolo, Oboe 1, Harp and Violas");
  assertEquals(namesInWords(names), "Piccolo, Oboe 1, Harp and 2 more");
  assertEquals(namesInWords(names, 2), "Piccolo and 4 more");
});

Deno.test("parts are named from top to bottom, each once", () => {
  const parts = ["Flute 1", "Harp", "Violas"].map((name) => ({ name })) as never;
  assertEquals(partsInWords({ parts }, [2, 0, 2]), "Flute 1 and Violas");
});

Deno.test("six parts in the lead are a tutti where they are half of all (common practice, no source)", () => {
  const isOne = (leads: number, all: number) => isTutti(leads, { parts: new Array(all).fill({}) });
  assertEquals([isOne(5, 8), isOne(6, 8), isOne(6, 12), isOne(6, 13), isOne(7, 13)], [
    false,
    true,
    true,
    false,
    true,
  ]);
});

Deno.test("partsOfLayer(): those that have the layer in some of the bars, the first and the last included, from the top", () => {
  const cells = [["a", "b", "b"], ["b", "a", "a"], ["b", "b", "a"], ["a", "a", "a"]].flatMap((
    bar,
    barIndex,
  ) => bar.map((layer, part) => ({ barIndex, part, layer })));
  const parts = (fromBarIndex: number, toBarIndex: number) =>
    partsOfLayer({ cells: cells as never, layers: [], origin: "written" }, { parts: [1, 2, 3] as never }, {
      layer: "a",
      fromBarIndex,
      toBarIndex,
    });
  assertEquals([parts(0, 0), parts(1, 1), parts(1, 2), parts(2, 2), parts(2, 3), parts(0, 2)], [
    [0],
    [1, 2],
    [1, 2],
    [2],
    [
      0,
      1,
      2,
    ],
    [0, 1, 2],
  ]);
});
