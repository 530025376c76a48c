/** Small pictures made of pixels, as a data address that an SVG image can show. */
import { Buffer } from "node:buffer";
import { crc32, deflateSync } from "node:zlib";

/** Pixels with 8 bits each of red, green, blue and opacity, row by row. */
export interface Pixels {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8ClampedArray;
}

/** A PNG picture as a `data:` address (PNG specification, W3C 2003, sections 5 and 11). */
export function pngAddress({ width, height, data }: Pixels): string {
  const lines = new Uint8Array((width * 4 + 1) * height);
  for (let y = 0; y < height; y++) {
    lines.set(data.subarray(y * width * 4, (y + 1) * width * 4), y * (width * 4 + 1) + 1);
  }
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 6], 8);
  const signature = Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]);
  const chunks = [chunk("IHDR", header), chunk("IDAT", deflateSync(lines)), chunk("IEND", Buffer.alloc(0))];
  return `data:image/png;base64,${Buffer.concat([signature, ...chunks]).toString("base64")}`;
}

function chunk(type: string, data: Uint8Array): Uint8Array {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const check = Buffer.alloc(4);
  check.writeUInt32BE(crc32(body));
  return Buffer.concat([length, body, check]);
}
