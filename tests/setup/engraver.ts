/** Verovio as a second reader of MusicXML: what it complains of, and what it makes of the notes. */
import { VerovioToolkit } from "verovio/esm";
import createVerovioModule from "verovio/wasm";

/** What came of engraving. */
export interface Engraved {
  /** Warnings and errors; empty when there were none. */
  readonly log: string;
  /** First page as SVG. */
  readonly svg: string;
}

let toolkit: VerovioToolkit | undefined;

/**
 * Engraves a MusicXML text.
 *
 * @param text the file
 * @returns complaints and the first page
 */
export async function engrave(text: string): Promise<Engraved> {
  toolkit ??= new VerovioToolkit(await createVerovioModule());
  toolkit.setOptions({
    scale: 40,
    adjustPageHeight: true,
    header: "none",
    footer: "none",
    xmlIdChecksum: true,
  });
  const read = toolkit.loadData(text);
  const log = toolkit.getLog();
  return { log: read ? log : `not read: ${log}`, svg: read ? toolkit.renderToSVG(1) : "" };
}
