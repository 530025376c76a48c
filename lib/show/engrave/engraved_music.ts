/** Bars of a score, cut out, written and engraved. */
import { musicXmlPage } from "../../formats/musicxml/write/write_musicxml.ts";
import type { BarsFound } from "../../orchestrate/rewrite/bars_asked.ts";
import type { ScoreWithTexture } from "../../orchestrate/rewrite/excerpt.ts";
import { barsOf, type EngravedSystem, engravedSystem } from "./engraved_system.ts";
import { engraveText, FINE_UNITS, STAVE_UNITS } from "./engraver.ts";
import { lineBreaks } from "./line_breaks.ts";
import { roleWords } from "./role_words.ts";
import { scoreToEngrave } from "./score_to_engrave.ts";

/** What is engraved, found in the score. */
interface MusicAsked {
  readonly bars: BarsFound;
  /** Parts by index; by default all that play. */
  readonly parts?: readonly number[] | undefined;
  readonly resting?: boolean;
  readonly byRole?: boolean;
  readonly staves?: "single" | "shared" | "condensed";
  readonly sounding?: boolean;
  /** Pixels at most. */
  readonly width?: number;
  readonly title?: string;
}

/** Pixels beside the music. */
export const SIDE = 12;
/** Height of a stave in pixels where there is room. */
const STAVE_HEIGHT = 28;
/** How much smaller than that a line may be, so that it need not be broken. */
const SMALLEST = 0.8;

/** Music that was engraved, and what is said about it. */
export interface EngravedMusic {
  readonly given: ScoreWithTexture;
  readonly byRole: boolean;
  readonly sounding: boolean;
  /** The part of each stave of the page, by index; -1 where several share it. */
  readonly partOf: readonly number[];
  readonly systems: readonly SystemAtBar[];
  /** Pixels to one of the engraver's finer units. */
  readonly scale: number;
  readonly title: string;
  /** The text that was engraved, and what the engraver complained of. */
  readonly text: string;
  readonly log: string;
}

/** A system, and the index of its first bar. */
export interface SystemAtBar extends EngravedSystem {
  readonly firstBar: number;
}

/** Cuts out, writes and engraves. */
export async function engraveMusic(whole: ScoreWithTexture, asked: MusicAsked): Promise<EngravedMusic> {
  const { bars, parts, resting = false, byRole = false, staves = "single", sounding = false } = asked;
  const given = scoreToEngrave(whole, { bars, parts, resting, sounding });
  const words = byRole ? roleWords(given) : [];
  const goesOn = bars.toBarIndex < whole.score.bars.length - 1;
  const page = (newPages: ReadonlySet<number>) =>
    musicXmlPage(given.score, { staves }, { words, goesOn, shortNames: true, newPages });
  const first = page(new Set());
  const { width = 960, title = "" } = asked;
  const lines = await brokenIntoLines(first.text, (newPages) => page(newPages).text, width - 2 * SIDE);
  const placeOf = new Map(given.score.parts.map((p, i) => [p.id, i]));
  const partOf = first.parts.flatMap((p) => Array.from({ length: p.staves }, () => placeOf.get(p.id) ?? -1));
  return { given, byRole, sounding, partOf, title, text: first.text, ...lines };
}

/** Engraves on one line, and on several, from a text that says where they begin, where that would be too long. */
async function brokenIntoLines(
  text: string,
  again: (newPages: ReadonlySet<number>) => string,
  room: number,
): Promise<Pick<EngravedMusic, "systems" | "log" | "scale">> {
  const usual = STAVE_HEIGHT / STAVE_UNITS / FINE_UNITS;
  const one = await engraveText(text, { breaks: "none" });
  const line = engravedSystem(one.systems[0]!);
  if (line.width * usual * SMALLEST <= room || barsOf(line).length === 1) {
    return { systems: [{ ...line, firstBar: 0 }], log: one.log, scale: Math.min(usual, room / line.width) };
  }
  const { ahead, widths } = widthsOf(line);
  const lineWidth = Math.max(room / usual, ahead + Math.max(...widths));
  const newPages = lineBreaks(widths, lineWidth - ahead);
  const several = await engraveText(again(newPages), {
    breaks: "encoded",
    lineWidth: lineWidth / FINE_UNITS,
  });
  const begins = [0, ...newPages];
  const systems = several.systems.map((svg, i) => ({ ...engravedSystem(svg), firstBar: begins[i] ?? 0 }));
  const widest = Math.max(...systems.map((s) => s.width));
  return { systems, log: several.log, scale: Math.min(usual, room / widest) };
}

/** Widths of the bars of a line without what stands at its beginning, and of that. */
function widthsOf(line: EngravedSystem): { readonly ahead: number; readonly widths: readonly number[] } {
  const edges = barsOf(line).map((bar) => {
    const d = bar.querySelector("g.staff > path")?.getAttribute("d") ?? "";
    const [from = 0, , to = 0] = d.match(/-?\d+(\.\d+)?/g)?.map(Number) ?? [];
    return { from, to };
  });
  const [first] = edges;
  const signs = [...barsOf(line)[0]!.querySelectorAll("g.note use, g.rest use, g.mRest use")]
    .map((use) => Number(/translate\((-?\d+)/.exec(use.getAttribute("transform") ?? "")?.[1]));
  const music = Math.min(first!.to, ...signs.filter(Number.isFinite));
  return {
    ahead: music,
    widths: edges.map(({ from, to }, i) => to - (i === 0 ? music : from)),
  };
}
