/** Bars of a score as notation. */
import {
  A_NUMBER,
  A_SCORE,
  A_SWITCH,
  A_TEXT,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  listOf,
  oneOf,
} from "../../base/arguments.ts";
import { capitalised } from "../../base/words.ts";
import { refusals } from "../../base/errors.ts";
import { musicXmlPage } from "../../formats/musicxml/write/write_musicxml.ts";
import { type BarsAsked, barsAsked, type BarsFound } from "../../orchestrate/rewrite/bars_asked.ts";
import type { ScoreWithTexture } from "../../orchestrate/rewrite/excerpt.ts";
import { partsNamed } from "../../orchestrate/rewrite/place_wishes.ts";
import type { Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { Texture } from "../../texture/model.ts";
import { ROLE_NAMES } from "../../texture/roles.ts";
import { chartFrame, type FrameBlock, type LegendEntry } from "../drawing/frame.ts";
import { type Chart, h, STILL } from "../drawing/svg.ts";
import { spanInWords } from "../drawing/words.ts";
import { engraveText, FINE_UNITS, STAVE_UNITS } from "./engraver.ts";
import { lineBreaks } from "./line_breaks.ts";
import { namesOfRoles, roleOfWords, roleWords } from "./role_words.ts";
import { scoreToEngrave } from "./score_to_engrave.ts";
import { barsOf, type EngravedSystem, engravedSystem } from "./engraved_system.ts";
import { sharedDefinitions, systemDrawing } from "./system_drawing.ts";

/** What is engraved, and how it looks. */
export interface EngraveOptions extends BarsAsked {
  /** Parts by name; `Horns` means all numbered horns. By default all that play in these bars. */
  readonly parts?: readonly string[];
  /** Whether parts that rest in all these bars are shown too; by default only where they are named. */
  readonly resting?: boolean;
  /**
   * Whether notes have the colour of their role, and every role its sign and its name over the stave where it begins. By default
   * all is black.
   */
  readonly byRole?: boolean;
  /** Who does what, where it is known or was corrected by hand; by default it is read. */
  readonly texture?: Texture;
  /** Who has a stave, as for `writeMusicXml`; by default every part its own. */
  readonly staves?: "single" | "shared" | "condensed";
  /** Whether transposing instruments stand where they sound; by default they stand as players read them. */
  readonly sounding?: boolean;
  /** Width of the picture at most, in pixels, 320 to 6000. Default 960. Music that needs less is narrower. */
  readonly width?: number;
  /** Title over the music; by default none. */
  readonly title?: string;
}

const ACTION = "engrave the bars";
const refuse = refusals(ACTION);
/** Pixels beside the music. */
const SIDE = 12;
/** Height of a stave in pixels where there is room. */
const STAVE_HEIGHT = 28;
/** How much smaller than that a line may be, so that it need not be broken. */
const SMALLEST = 0.8;
/** Width of a picture at least, in pixels: titles need room. */
const NARROWEST = 320;
/** Pixels between systems. */
const GAP = 22;

/**
 * Engraves bars of a score as notation: a picture that {@linkcode show} shows and {@linkcode saveChart} saves, like a chart. The bars
 * stand as in the score, with the clefs, keys, ties and dynamics that hold when they begin, and parts that rest all through are
 * left out. Long passages are broken into lines of about the same fullness; for one picture a line, take
 * {@linkcode engraveSystems}.
 *
 * Where notes are coloured by role, colours are those of the charts, darker where thin lines need it; a sign and the role's name
 * stand over the stave wherever a role begins, so that nothing is said by colour alone.
 *
 * The engraver (verovio, 7 MB) is loaded when this is first called, which takes about half a second; some bars take a tenth of a second.
 *
 * @param score the score; not changed
 * @param options bars as printed, parts, colours, staves, width, title
 * @returns the picture
 * @throws {InputError} for bars and parts that there are none of, and options that make no sense
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { chartSvg, engrave } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const score = realise(demoSketch(), demoPlans().moving);
 * const picture = await engrave(score, { fromBar: 17, toBar: 18, parts: ["Violins II", "Violas"], byRole: true });
 * assert(chartSvg(picture).includes("pulse"));
 * ```
 */
export async function engrave(score: Score, options: EngraveOptions = {}): Promise<Chart> {
  const page = await engravedMusic(score, options);
  return pictureOf(page, page.systems);
}

/**
 * Engraves bars of a score as {@linkcode engrave} does, one picture for each line of music, for long scores and for pages that are
 * put together elsewhere.
 *
 * @param score the score; not changed
 * @param options bars as printed, parts, colours, staves, width; the title stands over the first line
 * @returns the pictures, from the first line to the last
 * @throws {InputError} as {@linkcode engrave}
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { engraveSystems } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const score = realise(demoSketch(), demoPlans().moving);
 * const lines = await engraveSystems(score, { fromBar: 17, toBar: 24, parts: ["Violins II"], width: 700 });
 * assert(lines.length > 1);
 * ```
 */
export async function engraveSystems(score: Score, options: EngraveOptions = {}): Promise<readonly Chart[]> {
  const page = await engravedMusic(score, options);
  return page.systems.map((system, i) => pictureOf(i === 0 ? page : { ...page, title: "" }, [system]));
}

/** Music that was engraved, and what is said about it. */
interface EngravedMusic {
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
interface SystemAtBar extends EngravedSystem {
  readonly firstBar: number;
}

function checkGiven(score: Score, options: EngraveOptions): void {
  checkArgument(ACTION, score, A_SCORE);
  checkOptions(ACTION, options, {
    fromBar: A_NUMBER,
    toBar: A_NUMBER,
    parts: listOf(A_TEXT, "a list of names"),
    resting: A_SWITCH,
    byRole: A_SWITCH,
    texture: A_TEXTURE,
    staves: oneOf(["single", "shared", "condensed"]),
    sounding: A_SWITCH,
    width: A_NUMBER,
    title: A_TEXT,
  });
  const { width = 960, parts, byRole, staves = "single" } = options;
  if (!(width >= 320 && width <= 6000)) throw refuse(`width is ${width}`, "Give pixels from 320 to 6000");
  if (parts?.length === 0) {
    throw refuse("it names no part", "Name parts, or leave parts out for all that play");
  }
  if (byRole && staves !== "single") {
    throw refuse(
      `byRole is for parts on staves of their own, and staves is "${staves}"`,
      "Leave out byRole or staves",
    );
  }
  if (score.bars.length === 0 || score.parts.length === 0) {
    const what = score.bars.length === 0 ? "bars" : "parts";
    throw refuse(`the score has no ${what}`, "Give a score with at least one part and one bar");
  }
}

/** Cuts out, writes and engraves. */
export async function engravedMusic(score: Score, options: EngraveOptions): Promise<EngravedMusic> {
  checkGiven(score, options);
  const { byRole = false, staves = "single", sounding = false, resting = false, title = "", width = 960 } =
    options;
  const bars = barsAsked(score, options, { action: ACTION });
  const texture = textureFor(score, options);
  const parts = options.parts && partsNamed(score, options.parts, { action: ACTION, bars });
  const given = scoreToEngrave({ score, texture }, { bars, parts, resting, sounding });
  const { text, staffs } = written(given, { byRole, staves, bars, score });
  const { systems, log, scale } = await brokenIntoLines(text, width - 2 * SIDE);
  const placeOf = new Map(given.score.parts.map((p, i) => [p.id, i]));
  const partOf = staffs.flatMap((p) => Array.from({ length: p.staves }, () => placeOf.get(p.id) ?? -1));
  return { given, byRole, sounding, partOf, systems, scale, title, text: text(), log };
}

/** The texture where it matters; reading one takes a while. */
function textureFor(score: Score, { byRole = false, texture }: EngraveOptions): Texture {
  if (byRole || texture !== undefined) return givenTexture(ACTION, score, texture);
  return { origin: "written", cells: [], layers: [] };
}

/** The page as a text, for lines broken where they are asked for. */
function written(
  given: ScoreWithTexture,
  { byRole, staves, bars, score }: {
    readonly byRole: boolean;
    readonly staves: "single" | "shared" | "condensed";
    readonly bars: BarsFound;
    readonly score: Score;
  },
) {
  const words = byRole ? roleWords(given) : [];
  const goesOn = bars.toBarIndex < score.bars.length - 1;
  const page = (newPages?: ReadonlySet<number>) =>
    musicXmlPage(given.score, { beams: true, staves }, {
      words,
      goesOn,
      shortNames: true,
      ...(newPages ? { newPages } : {}),
    });
  return { text: (newPages?: ReadonlySet<number>) => page(newPages).text, staffs: page().parts };
}

/** Engraves on one line, and on several where that would be too long. */
async function brokenIntoLines(
  text: (newPages?: ReadonlySet<number>) => string,
  room: number,
): Promise<Pick<EngravedMusic, "systems" | "log" | "scale">> {
  const usual = STAVE_HEIGHT / STAVE_UNITS / FINE_UNITS;
  const one = await engraveText(text(), { breaks: "none" });
  const line = engravedSystem(one.systems[0]!);
  if (line.width * usual * SMALLEST <= room || barsOf(line).length === 1) {
    return { systems: [{ ...line, firstBar: 0 }], log: one.log, scale: Math.min(usual, room / line.width) };
  }
  const { ahead, widths } = widthsOf(line);
  const lineWidth = Math.max(room / usual, ahead + Math.max(...widths));
  const newPages = lineBreaks(widths, lineWidth - ahead);
  const several = await engraveText(text(newPages), { breaks: "encoded", lineWidth: lineWidth / FINE_UNITS });
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

/** Systems below each other as one picture. */
function pictureOf(page: EngravedMusic, systems: readonly SystemAtBar[]): Chart {
  const { given, byRole, partOf, scale, title } = page;
  const name = `engraving-${systems[0]!.mark}`;
  const names = namesOfRoles(given);
  const roleAt = (firstBar: number) => (bar: number, stave: number) => {
    const part = partOf[stave] ?? -1;
    return given.texture.cells[(firstBar + bar) * given.score.parts.length + part]?.role;
  };
  const blocks = systems.map((system, i): FrameBlock => {
    const drawing = systemDrawing(system, {
      name,
      scale,
      ...(byRole
        ? { roleAt: roleAt(system.firstBar), roleOf: (words: string) => roleOfWords(words, names) }
        : {}),
    });
    const element = h(
      "g",
      { transform: `translate(${SIDE},0)` },
      ...(i === 0 ? sharedDefinitions(systems, name) : []),
      drawing,
    );
    return { element, height: Math.ceil(system.height * scale) + (i < systems.length - 1 ? GAP : 4) };
  });
  const width = Math.ceil(Math.max(NARROWEST, ...systems.map((s) => s.width * scale + 2 * SIDE)));
  const chart = chartFrame({
    name,
    width,
    title,
    note: noteOf(page, systems),
    label: labelOf(page),
    legend: byRole ? legendOf(given, names) : [],
    blocks,
  });
  chart.setAttribute("class", `${chart.getAttribute("class")} ${STILL}`);
  return chart;
}

/** Which bars stand there: the engraver leaves their number out beside a rehearsal mark. */
function noteOf({ given: { score }, sounding }: EngravedMusic, systems: readonly SystemAtBar[]): string {
  const [first, last] = [systems[0]!, systems.at(-1)!];
  const toBarIndex = last.firstBar + barsOf(last).length - 1;
  const span = capitalised(spanInWords(score, { fromBarIndex: first.firstBar, toBarIndex }));
  return sounding ? `${span}, at sounding pitch` : span;
}

function legendOf(
  { texture }: ScoreWithTexture,
  names: ReadonlyMap<string, string>,
): readonly LegendEntry[] {
  const there = new Set(texture.cells.map((c) => c.role));
  const called = (role: string) =>
    [...names].filter(([, r]) => r === role).map(([word]) => word).join(", ") || role;
  return ROLE_NAMES.filter((role) => role !== "rest" && there.has(role)).map((role) => [role, called(role)]);
}

/** The picture in words, for readers who cannot see it. */
function labelOf({ given: { score, texture }, byRole, title }: EngravedMusic): string {
  const span = spanInWords(score, { fromBarIndex: 0, toBarIndex: score.bars.length - 1 });
  const parts = score.parts.map((part, p) => {
    const roles = new Set(texture.cells.filter((c) => c.part === p && c.role !== "rest").map((c) => c.role));
    return byRole && roles.size > 0 ? `${part.name} (${[...roles].join(", then ")})` : part.name;
  });
  return `${title === "" ? "" : `${title}. `}Notation of ${span}: ${parts.join(", ")}`;
}
