/**
 * The README's chart, drawn from the demo. Run as a script it writes the picture that the README shows:
 * `deno run -A tests/setup/readme_chart.ts`.
 */
import { demoPlans, demoSketch, realise, study } from "ripieno";
import { chartSvg, momentumComparisonChart } from "ripieno/show";

/** Where the picture is kept. */
export const README_CHART: URL = new URL("../../data/spate/momentum.svg", import.meta.url);

/** The chart as a stand-alone SVG. */
export function drawReadmeChart(): string {
  const { held, moving, rotating } = demoPlans();
  const studies = [held, moving, rotating].map((plan) =>
    study(realise(demoSketch(), plan), { name: plan.name })
  );
  return chartSvg(momentumComparisonChart(studies));
}

if (import.meta.main) await Deno.writeTextFile(README_CHART, drawReadmeChart());
