import { assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { applySettings } from "ripieno/measures";
import { refuseUnknown } from "../../lib/base/settings.ts";

const table = {
  halfLifeBars: { value: 4, unit: "bars", source: "model assumption", meaning: "time to half" },
  fusionSeconds: { value: 0.1, unit: "seconds", source: "London 2012", meaning: "shortest separate pulse" },
} as const;

Deno.test("applySettings gives the defaults where nothing is asked", () => {
  assertEquals(applySettings("freshness", table), { halfLifeBars: 4, fusionSeconds: 0.1 });
  assertEquals(applySettings("freshness", table, {}), { halfLifeBars: 4, fusionSeconds: 0.1 });
});

Deno.test("applySettings lays the caller's values over the defaults, 0 included", () => {
  assertEquals(applySettings("freshness", table, { halfLifeBars: 0 }), {
    halfLifeBars: 0,
    fusionSeconds: 0.1,
  });
});

Deno.test("applySettings takes undefined as not given", () => {
  const options = { halfLifeBars: undefined } as never;
  assertEquals(applySettings("freshness", table, options), { halfLifeBars: 4, fusionSeconds: 0.1 });
});

Deno.test("applySettings changes neither table nor options", () => {
  const frozen = Object.freeze({ ...table });
  const options = Object.freeze({ halfLifeBars: 2 });
  applySettings("freshness", frozen, options);
  assertEquals(frozen.halfLifeBars.value, 4);
});

Deno.test("applySettings refuses a name that is not in the table and lists those that are", () => {
  const misspelt = { halfLife: 8 } as never;
  const { message } = assertThrows(() => applySettings("freshness", table, misspelt), InputError);
  for (const part of ["freshness", '"halfLife"', "halfLifeBars, fusionSeconds"]) {
    assertStringIncludes(message, part);
  }
});

Deno.test("applySettings refuses names that every object has", () => {
  for (const name of ["constructor", "toString", "__proto__"]) {
    const options = JSON.parse(`{ "${name}": 1 }`);
    assertThrows(() => applySettings("freshness", table, options), InputError, name);
  }
});

Deno.test("applySettings refuses what is not a finite number and says the unit and the default", () => {
  const given: readonly (readonly [unknown, string])[] = [
    [NaN, "the number NaN"],
    [Infinity, "the number Infinity"],
    ["8", 'the text "8"'],
    ["8".repeat(99), "a long text"],
    [null, "null"],
    [[8], "a list"],
    [{ bars: 8 }, "another record"],
  ];
  for (const [value, words] of given) {
    const options = { halfLifeBars: value } as never;
    const { message } = assertThrows(() => applySettings("freshness", table, options), InputError);
    assertEquals(message.includes("without quotes"), typeof value === "string");
    for (const part of [`halfLifeBars is ${words}. Give a number of 0 or more (bars)`, "default is 4"]) {
      assertStringIncludes(message, part);
    }
  }
});

Deno.test("refuseUnknown() names what is unknown and what there is", () => {
  refuseUnknown("weigh", { a: 1 }, ["a", "b"]);
  assertThrows(() => refuseUnknown("weigh", { c: 1 }, ["a", "b"]), InputError, 'there is no option "c"');
  assertThrows(() => refuseUnknown("weigh", [1], ["a"]), InputError, "a list");
});
