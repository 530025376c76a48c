/**
 * Files of tests that run one after the other in one process, where the library is loaded once for all of them: those that the
 * run of all checks names in `RIPIENO_TEST_FILES`, as paths from this folder, with a space between.
 */
for (const file of Deno.env.get("RIPIENO_TEST_FILES")!.split(" ")) {
  await import(new URL(file, import.meta.url).href);
}
