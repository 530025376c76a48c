import { assert, assertEquals, assertInstanceOf, assertMatch, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { describePlace } from "ripieno/score";
import { inNotebook } from "../../lib/base/errors.ts";

const details = { action: "read the plan", problem: "it is empty", remedy: "Write one row for each passage" };

Deno.test("describePlace names what is known, from the file down to the column", () => {
  assertEquals(describePlace({}), "");
  assertEquals(
    describePlace({
      column: "from_bar",
      row: 4,
      beat: 2.5,
      bar: "12a",
      part: "Horn 1",
      role: "pad",
      passage: "Calm",
      file: "plan.csv",
    }),
    "plan.csv, Calm, pad, Horn 1, bar 12a, beat 2.5, row 4, column from_bar",
  );
});

Deno.test("InputError says what cannot be done, why, where, and what to do", () => {
  const placed = new InputError({ ...details, where: { file: "plan.csv", row: 1 } });
  assertEquals(
    placed.message,
    "Cannot read the plan: it is empty (plan.csv, row 1). Write one row for each passage.",
  );
  assertEquals(placed.where, { file: "plan.csv", row: 1 });
  assertEquals(placed.remedy, details.remedy);
});

Deno.test("InputError leaves the place out where none is known", () => {
  const error = new InputError(details);
  assertEquals(error.message, "Cannot read the plan: it is empty. Write one row for each passage.");
  assertEquals(error.where, {});
});

Deno.test("InputError is an Error of its own name", () => {
  const error = assertThrows(() => {
    throw new InputError(details);
  }, InputError);
  assertInstanceOf(error, Error);
  assertEquals(String(error), `InputError: ${error.message}`);
});

Deno.test("in a script an InputError keeps the line of code that it comes from", () => {
  assert(!inNotebook());
  assertMatch(new InputError(details).stack ?? "", /errors_test\.ts:\d+/);
});
