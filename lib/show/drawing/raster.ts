/** Small pictures made of coloured squares, as a data address that an SVG image can show: a matrix of hundreds of bars
 * would be hundreds of thousands of rectangles otherwise. */
import { zlibSync } from "fflate";

/** Red, green and blue, 0 to 255. */
export type Colour = readonly [number, number, number];

/**
 * A PNG picture as a `data:` address.
 *
 * Source of the format: Portable Network Graphics (PNG) Specification, 2nd ed., W3C 2003 (ISO/IEC 15948).
 */
export function pngAddress(
  size: { readonly width: number; readonly height: number },
  colourOf: (column: number, row: number) => Colour,
): string {
  const { width, height } = size;
  const stride = 1 + 3 * width;
  const pixels = new Uint8Array(stride * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      pixels.set(colourOf(column, row), row * stride + 1 + 3 * column);
    }
  }
  const header = new Uint8Array(13);
  const view = new DataView(header.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  // Eight bits per colour, red, green and blue, no interlace.
  header.set([8, 2, 0, 0, 0], 8);
  const file = [
    Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk("IHDR", header),
    chunk("IDAT", zlibSync(pixels, { level: 9 })),
    chunk("IEND", new Uint8Array()),
  ];
  let text = "";
  for (const part of file) for (const byte of part) text += String.fromCharCode(byte);
  return `data:image/png;base64,${btoa(text)}`;
}

function chunk(name: string, data: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(12 + data.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, data.length);
  for (let i = 0; i < 4; i++) bytes[4 + i] = name.charCodeAt(i);
  bytes.set(data, 8);
  view.setUint32(8 + data.length, checksum(bytes.subarray(4, 8 + data.length)));
  return bytes;
}

/** CRC-32 as the specification's annex D has it. */
function checksum(bytes: Uint8Array): number {
  let sum = 0xffffffff;
  for (const byte of bytes) {
    sum ^= byte;
    for (let k = 0; k < 8; k++) sum = sum & 1 ? 0xedb88320 ^ sum >>> 1 : sum >>> 1;
  }
  return (sum ^ 0xffffffff) >>> 0;
}
