/** Verovio as a second reader of MusicXML: what it complains of, and what it makes of the notes. */
import { enableLogToBuffer, VerovioToolkit } from "verovio/esm";
import createVerovioModule from "verovio/wasm";

/** What came of engraving. */
export interface Engraved {
  /** Warnings and errors; empty when there were none. */
  readonly log: string;
  /** The music in one endless line, as SVG, where it was asked for; a whole movement takes longer than reading it. */
  readonly svg: string;
}

let toolkit: VerovioToolkit | undefined;

/**
 * Engraves a MusicXML text.
 *
 * @param text the file
 * @param options whether the picture is wanted too
 * @returns complaints and the picture
 */
export async function engrave(text: string, { draw = false } = {}): Promise<Engraved> {
  toolkit ??= await makeToolkit();
  toolkit.setOptions({
    scale: 40,
    adjustPageHeight: true,
    header: "none",
    footer: "none",
    xmlIdChecksum: true,
    breaks: "none", // in half the time, with the same log
  });
  const read = toolkit.loadData(text);
  const log = toolkit.getLog();
  return { log: read ? log : `not read: ${log}`, svg: read && draw ? toolkit.renderToSVG(1) : "" };
}

/**
 * What the engraver complains of in a written file and not in its source: in some sources a line ends before it begins,
 * and what is written says so too rather than losing it.
 *
 * @param written the file
 * @param source the file it was read from
 * @returns kinds of complaint, without the names of elements
 */
export async function newComplaints(written: string, source: string): Promise<readonly string[]> {
  const kinds = async (text: string) => {
    const { log } = await engrave(text);
    return log.split("\n").filter((line) => line !== "").map((line) => line.replace(/'[^']*'/g, "…"));
  };
  const complaints = await kinds(written);
  if (complaints.length === 0) return [];
  const known = await kinds(source);
  const count = (lines: readonly string[], kind: string) => lines.filter((line) => line === kind).length;
  return [...new Set(complaints)].filter((kind) => count(complaints, kind) > count(known, kind));
}

/** A toolkit that keeps what it complains of in its log; without being told, it prints it and keeps nothing. */
async function makeToolkit(): Promise<VerovioToolkit> {
  const module = await createVerovioModule();
  enableLogToBuffer(true, module);
  return new VerovioToolkit(module);
}
