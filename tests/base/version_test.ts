import { assertEquals } from "@std/assert";
import { VERSION } from "../../lib/base/version.ts";
import config from "../../deno.json" with { type: "json" };

Deno.test("the version that rows are known by is that of the package", () => {
  assertEquals(VERSION, config.version);
});
