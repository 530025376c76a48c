/** Table of audible frequency ranges, mikfielding.co.uk: conservative, written or sounding not stated. */
import { checkRanges } from "./instrument_range_rows.ts";

Deno.test("audible frequency table: every printed range lies within the catalogue's or is listed with the reason", () => {
  checkRanges("audible frequency table", 15);
});
