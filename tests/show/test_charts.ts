/** What every chart must do, whatever it shows. */
import { assert, assertEquals } from "@std/assert";
import { type Chart, chartSvg } from "ripieno/show";
import { normalised } from "./normalised.ts";

/**
 * Registers two tests for each chart: it draws the same picture again, and it says in words what it shows.
 *
 * @param charts charts by name
 * @param options width each must keep to in pixels; null where a chart chooses its own
 */
export function testCharts(
  charts: Readonly<Record<string, () => Chart>>,
  { width = "960" }: { readonly width?: string | null } = {},
): void {
  for (const [name, draw] of Object.entries(charts)) {
    Deno.test(`${name} draws the same picture again`, async (t) => {
      await t.assertSnapshot(normalised(chartSvg(draw())));
    });

    Deno.test(`${name} says in words what it shows${width === null ? "" : ", and keeps to its width"}`, () => {
      const chart = draw();
      assert((chart.getAttribute("aria-label") ?? "").length > 20);
      if (width !== null) assertEquals(chart.getAttribute("width"), width);
      assertEquals(/NaN|undefined|Infinity/.exec(chartSvg(chart))?.[0], undefined);
    });
  }
}
