/** The engraver, a library that turns MusicXML into drawings of systems; loaded when it is first asked for. */
import { InputError } from "../../base/errors.ts";

/** How a text is to be engraved. Lengths are in the engraver's units, of which a stave is {@linkcode STAVE_UNITS} high. */
interface EngravedPage {
  /** Where lines are broken: nowhere, or where the text begins a page. */
  readonly breaks: "none" | "encoded";
  /** Width of a line; without it a line is as wide as its music. */
  readonly lineWidth?: number;
}

/** What came of it. */
interface EngravedSystems {
  /** One SVG text for each system, from the top down. */
  readonly systems: readonly string[];
  /** What the engraver complained of; empty as a rule. */
  readonly log: string;
}

/** Height of a stave of five lines in the engraver's units, which are tenths of a millimetre. */
export const STAVE_UNITS = 72;
/** The engraver's finer units, in which drawings are, to one of its units. */
export const FINE_UNITS = 10;

/** What says how `pizz.` and `arco` sound: with it the engraver puts the word before its note, over the bar before. */
const SOUND_OF_STRINGS = /<sound pizzicato="(yes|no)"\/>/g;

/** What is used of the engraver. */
interface Toolkit {
  setOptions(options: Readonly<Record<string, unknown>>): void;
  select(selection: Readonly<Record<string, unknown>>): boolean;
  loadData(text: string): boolean | number;
  getLog(): string;
  getPageCount(): number;
  renderToSVG(page: number): string;
}

let loading: Promise<Toolkit> | undefined;

/** The engraver, loaded once. */
async function toolkit(): Promise<Toolkit> {
  loading ??= (async () => {
    const [{ enableLogToBuffer, VerovioToolkit }, { default: createVerovioModule }] = await Promise.all([
      import("verovio/esm"),
      import("verovio/wasm"),
    ]);
    const module = await createVerovioModule();
    enableLogToBuffer(true, module); // without being told, it prints what it complains of
    return new VerovioToolkit(module);
  })();
  return await loading;
}

/**
 * Engraves a MusicXML text. Between loading and drawing nothing waits, so that two who engrave at once do not get each
 * other's music.
 *
 * @throws {InputError} when the engraver cannot read the text
 */
export async function engraveText(
  text: string,
  { breaks, lineWidth }: EngravedPage,
): Promise<EngravedSystems> {
  const engraver = await toolkit();
  engraver.setOptions({
    scale: 100,
    unit: STAVE_UNITS / 8,
    breaks,
    pageWidth: Math.ceil(lineWidth ?? 2100),
    pageHeight: 60_000,
    adjustPageWidth: lineWidth === undefined,
    adjustPageHeight: true,
    minLastJustification: 0,
    pageMarginLeft: 0,
    pageMarginRight: 0,
    pageMarginTop: 0,
    pageMarginBottom: 0,
    header: "none",
    footer: "none",
    condense: "none",
    fontTextLiberation: true,
    smuflTextFont: "embedded",
    svgViewBox: true,
    svgFormatRaw: true,
    svgRemoveXlink: true,
    xmlIdChecksum: true,
  });
  engraver.select({});
  const isRead = engraver.loadData(text.replaceAll(SOUND_OF_STRINGS, ""));
  const log = engraver.getLog();
  if (!isRead) {
    throw new InputError({
      action: "engrave the bars",
      problem: `the engraver cannot read them${log.trim() === "" ? "" : `: ${log.trim()}`}`,
      remedy: "Ask for fewer bars or parts to find the place",
    });
  }
  const systems = Array.from({ length: engraver.getPageCount() }, (_, i) => engraver.renderToSVG(i + 1));
  return { systems, log };
}
