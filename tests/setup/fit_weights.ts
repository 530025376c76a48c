/**
 * Fits all weights recognition goes by, then reads the annotated movements with those that have not seen them.
 *
 * `deno run -A tests/setup/fit_weights.ts` needs the annotated movements beside the checkout; some twenty minutes. What is
 * read is printed movement by movement: leads and textures with one work left out, shapes of figures and doublings with
 * one movement left out.
 */

/** The fits, then the checks that print what they reach. */
const STEPS: readonly (readonly string[])[] = [
  ["run", "-A", "tests/setup/fit_texture_weights.ts"],
  ["run", "-A", "tests/setup/fit_figure_weights.ts"],
  ["run", "-A", "tests/setup/fit_doubling_weights.ts"],
  [
    "test",
    "-A",
    "tests/published/orchestral_texture_doublings_test.ts",
    "tests/published/orchestral_texture_test.ts",
    "tests/published/hauptstimme_test.ts",
  ],
];

const root = new URL("../../", import.meta.url);
for (const args of STEPS) {
  const { code } = await new Deno.Command(Deno.execPath(), { args: [...args], cwd: root }).spawn().status;
  if (code !== 0) Deno.exit(code);
}
