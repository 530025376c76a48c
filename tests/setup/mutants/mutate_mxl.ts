/** Zipped MusicXML changed by its container: bombs, lengths that lie, archives in archives, paths that lead elsewhere. */
import { zipSync } from "fflate";
import type { Chance } from "./chance.ts";
import { mutateXml } from "./mutate_xml.ts";

const encode = (text: string) => new TextEncoder().encode(text);

const CONTAINER = "META-INF/container.xml";
const PATHS: readonly string[] = [
  "score.xml",
  "../score.xml",
  "/score.xml",
  "a/../score.xml",
  "META-INF/container.xml",
  "score.xml/",
  "C:\\score.xml",
  "score%2Exml",
  "",
  "\u0000",
  "s".repeat(3000),
  "nothing.xml",
];

const container = (path: string, type = "application/vnd.recordare.musicxml+xml") =>
  `<?xml version="1.0"?><container><rootfiles><rootfile full-path="${
    ["\u0000", '"', "<", "&"].reduce((kept, sign) => kept.replaceAll(sign, ""), path)
  }" media-type="${type}"/></rootfiles></container>`;

/** A score that grows when it is unpacked: what it is padded with says nothing. */
function bomb(xml: string, chance: Chance): Uint8Array {
  const size = chance.oneOf([1e6, 8e6, 4e7]);
  const padding = chance.oneOf([
    (n: number) => " ".repeat(n),
    (n: number) => `<!--${"a".repeat(n)}-->`,
    (n: number) => `<credit><credit-words>${"a".repeat(n)}</credit-words></credit>`,
    (n: number) => "<defaults/>".repeat(n / 11),
    (n: number) => `<x a="${"b".repeat(n)}"/>`,
    (n: number) => "<x>".repeat(Math.min(n, 1e6)),
  ])(size);
  const at = xml.indexOf("<part-list");
  return encode(at < 0 ? xml + padding : xml.slice(0, at) + padding + xml.slice(at));
}

/** Sizes in the table of contents that are not those of the entries. */
function withLies(zip: Uint8Array, chance: Chance): Uint8Array {
  const bytes = zip.slice();
  const view = new DataView(bytes.buffer);
  for (let at = 0; at + 46 <= bytes.length; at++) {
    const signature = view.getUint32(at, true);
    if (signature !== 0x02014b50 && signature !== 0x04034b50) continue;
    const first = signature === 0x02014b50 ? 8 : 6; // flags, then method, time, checksum, sizes
    if (chance.below(2) === 0) continue;
    const field = chance.oneOf([first, first + 2, first + 8, first + 12, first + 16]);
    if (field - first < 4) view.setUint16(at + field, chance.oneOf([0, 1, 8, 9, 99, 0xffff]), true);
    else view.setUint32(at + field, chance.oneOf([0, 1, 1000, 300e6, 0x7fffffff, 0xffffffff]), true);
  }
  return bytes;
}

/**
 * A mutant of zipped MusicXML.
 *
 * @param xml a sound file, not zipped
 * @param chance what decides
 * @returns the archive
 */
export function mutateMxl(xml: string, chance: Chance): Uint8Array {
  const files: Record<string, Uint8Array> = {
    [CONTAINER]: encode(container("score.xml")),
    "score.xml": chance.below(3) === 0 ? mutateXml(xml, chance) : encode(xml),
  };
  switch (chance.below(9)) {
    case 0:
      files["score.xml"] = bomb(xml, chance);
      break;
    case 1:
      delete files[CONTAINER];
      break;
    case 2: {
      const path = chance.oneOf(PATHS);
      files[CONTAINER] = encode(container(path, chance.oneOf(["", "text/xml", "application/pdf"])));
      if (chance.below(2) === 0 && path !== "") files[path] = files["score.xml"]!;
      break;
    }
    case 3:
      files["score.xml"] = zipSync(files);
      break;
    case 4:
      files[CONTAINER] = mutateXml(container("score.xml"), chance);
      break;
    case 5:
      files[CONTAINER] = encode(
        chance.oneOf(["", "<container/>", "no xml", `<!DOCTYPE c [<!ENTITY a "b">]><c>&a;</c>`]),
      );
      break;
    case 6:
      files["score.xml"] = new Uint8Array(chance.oneOf([0, 1, 100]));
      break;
    case 7:
      for (let k = 0; k < 300; k++) files[`more/${k}.xml`] = encode("<x/>");
      break;
  }
  const zip = zipSync(files, { level: chance.oneOf([0, 1]) });
  switch (chance.below(6)) {
    case 0:
      return withLies(zip, chance);
    case 1:
      return zip.subarray(0, chance.below(zip.length));
    default:
      return zip;
  }
}
