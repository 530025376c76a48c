import { Buffer } from "node:buffer";
import { inflateSync } from "node:zlib";
import * as Plot from "@observablehq/plot";
import { assert, assertEquals } from "@std/assert";
import { chartDocument } from "ripieno/show";

/** Width, height and pixels of an 8-bit PNG with opacity and no filter (PNG specification, W3C 2003, section 5). */
function readPng(address: string) {
  const bytes = Buffer.from(address.replace("data:image/png;base64,", ""), "base64");
  assertEquals([...bytes.subarray(0, 8)], [137, 80, 78, 71, 13, 10, 26, 10]);
  const chunks = new Map<string, Buffer>();
  for (let at = 8; at < bytes.length;) {
    const length = bytes.readUInt32BE(at);
    chunks.set(bytes.toString("latin1", at + 4, at + 8), bytes.subarray(at + 8, at + 8 + length));
    at += length + 12;
  }
  const width = chunks.get("IHDR")!.readUInt32BE(0);
  const height = chunks.get("IHDR")!.readUInt32BE(4);
  const lines = inflateSync(chunks.get("IDAT")!);
  assertEquals(lines.length, (width * 4 + 1) * height);
  const pixel = (x: number, y: number) => [...lines.subarray(y * (width * 4 + 1) + 1 + x * 4).subarray(0, 4)];
  return { width, height, pixel };
}

Deno.test("chartDocument() lets the chart library draw a picture of pixels", () => {
  const chart = Plot.plot({
    document: chartDocument(),
    color: { type: "identity" },
    marks: [
      Plot.raster(["red", "lime", "blue", "white"], { width: 2, height: 2, imageRendering: "pixelated" }),
    ],
  });
  const address = chart.querySelector("image")?.getAttribute("href") ?? "";
  const { width, height, pixel } = readPng(address);
  assertEquals([width, height], [2, 2]);
  const pixels = [pixel(0, 0), pixel(1, 0), pixel(0, 1), pixel(1, 1)].map(String).sort();
  assertEquals(pixels, ["0,0,255,255", "0,255,0,255", "255,0,0,255", "255,255,255,255"].sort());
});

Deno.test("chartDocument() lets the chart library draw a legend of continuous colour", () => {
  const legend = Plot.legend(
    {
      color: { type: "linear", domain: [0, 1], range: ["#000000", "#ffffff"], interpolate: "rgb" },
      document: chartDocument(),
    } as unknown as Parameters<typeof Plot.legend>[0],
  );
  const { width, pixel } = readPng(legend.querySelector("image")?.getAttribute("href") ?? "");
  assert(pixel(0, 0)[0]! < 10);
  assert(pixel(width - 1, 0)[0]! > 245);
});

Deno.test("chartDocument() gives a document of its own each time", () => {
  assert(chartDocument() !== chartDocument());
});
