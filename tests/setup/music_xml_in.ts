/** The MusicXML text inside a compressed file, taken out without our own reader. */
import { strFromU8, unzipSync } from "fflate";

/**
 * The score in an `.mxl` file.
 *
 * @param bytes the file
 * @returns its text
 */
export function musicXmlIn(bytes: Uint8Array): string {
  const [, score] = Object.entries(unzipSync(bytes)).find(([name]) =>
    !name.startsWith("META-INF") && name.endsWith("xml")
  )!;
  return strFromU8(score);
}
