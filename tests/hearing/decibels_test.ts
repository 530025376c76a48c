import { assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { dbOfPower, equalSourcesDb, powerOfDb, sumDecibels } from "ripieno/hearing";

// 10 log10 N and 10 log10 of summed powers, worked out independently (derived).
Deno.test("equalSourcesDb() is 10 log10 of the count", () => {
  const rows = [
    [1, 0],
    [2, 3.0103],
    [3, 4.7712],
    [4, 6.0206],
    [5, 6.9897],
    [6, 7.7815],
    [8, 9.0309],
    [10, 10],
    [12, 10.7918],
    [14, 11.4613],
    [16, 12.0412],
    [18, 12.5527],
    [20, 13.0103],
    [30, 14.7712],
    [32, 15.0515],
    [60, 17.7815],
  ] as const;
  for (const [count, expected] of rows) {
    assertAlmostEquals(equalSourcesDb(count), expected, 5.1e-5, `${count}`);
  }
  for (const count of [0, -1, NaN]) assertThrows(() => equalSourcesDb(count), InputError);
});

Deno.test("sumDecibels() adds powers", () => {
  const rows: [number[], number][] = [
    [[80, 80], 83.0103],
    [[80, 77], 81.7643],
    [[80, 74], 80.9732],
    [[80, 70], 80.4139],
    [[80, 60], 80.0432],
    [[60, 60, 60], 64.7712],
    [[90, 89, 88], 93.8476],
  ];
  for (const [levels, expected] of rows) {
    assertAlmostEquals(sumDecibels(levels), expected, 5.1e-5, `${levels}`);
  }
  assertEquals(sumDecibels([-Infinity, -Infinity]), -Infinity);
  assertAlmostEquals(sumDecibels([-Infinity, 50]), 50, 1e-12);
  assertThrows(() => sumDecibels([50, NaN]), InputError, "not a number");
});

Deno.test("powerOfDb() and dbOfPower() undo each other", () => {
  for (let level = -60; level <= 140; level += 7) {
    assertAlmostEquals(dbOfPower(powerOfDb(level)), level, 1e-9);
  }
});
