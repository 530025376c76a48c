import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { camOf, erbGrid, erbHz, hzOfCam } from "ripieno/hearing";

Deno.test("erbHz() and camOf() give the values worked out independently (derived)", () => {
  const rows = [
    [100, 35.45, 3.3629],
    [250, 51.616, 6.8491],
    [500, 78.559, 10.7465],
    [1000, 132.445, 15.5932],
    [2000, 240.216, 21.1177],
    [4000, 455.76, 27.0603],
    [8000, 886.846, 33.2375],
  ] as const;
  for (const [hz, bandwidth, cam] of rows) {
    assertAlmostEquals(erbHz(hz), bandwidth, 5.1e-4);
    assertAlmostEquals(camOf(hz), cam, 5.1e-5);
    assertAlmostEquals(hzOfCam(cam), hz, 1e-4 * hz);
  }
});

Deno.test("hzOfCam() undoes camOf()", () => {
  for (let hz = 0; hz < 20000; hz += 321) assertAlmostEquals(hzOfCam(camOf(hz)), hz, 1e-8);
  for (const f of [erbHz, camOf, hzOfCam]) {
    for (const x of [-1, NaN]) assertThrows(() => f(x), InputError);
  }
});

Deno.test("erbGrid() covers the same stretch at every step", () => {
  for (const stepCam of [0.05, 0.1, 0.25, 0.3, 0.5, 1]) {
    const grid = erbGrid({ stepCam });
    const n = grid.centresCam.length;
    assertAlmostEquals(grid.stepCam * n, 37.2, 1e-9);
    assertAlmostEquals(grid.centresCam[0]! - grid.stepCam / 2, 1.75, 1e-9);
    assertAlmostEquals(grid.centresCam[n - 1]! + grid.stepCam / 2, 38.95, 1e-9);
    assertEquals([grid.centresHz.length, grid.bandwidthsHz.length], [n, n]);
    assert(Math.abs(grid.stepCam / stepCam - 1) < 0.03);
  }
  for (const stepCam of [0, -1, 2, NaN]) assertThrows(() => erbGrid({ stepCam }), InputError, "0.01");
  assertThrows(() => erbGrid({ step: 0.5 } as never), InputError, "stepCam");
});
