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
import { refusals } from "../../base/errors.ts";
import { type BarsAsked, barsAsked } from "../../orchestrate/rewrite/bars_asked.ts";
import { partsNamed } from "../../orchestrate/rewrite/place_wishes.ts";
import type { Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { Texture } from "../../texture/model.ts";
import type { Chart } from "../drawing/svg.ts";
import { type EngravedMusic, engraveMusic } from "./engraved_music.ts";
import { pictureOf } from "./picture_of.ts";

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
  const music = await engravedMusic(score, options);
  return pictureOf(music, music.systems);
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
  const music = await engravedMusic(score, options);
  return music.systems.map((system, i) => pictureOf(i === 0 ? music : { ...music, title: "" }, [system]));
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
      `byRole is for parts on staves of their own, and staves is "${staves}": notes of two roles on one stave, often in one chord, would have one colour`,
      "Leave out staves, and every part shows its role on a stave of its own; name few parts to save room",
    );
  }
  if (score.bars.length === 0 || score.parts.length === 0) {
    const what = score.bars.length === 0 ? "bars" : "parts";
    throw refuse(`the score has no ${what}`, "Give a score with at least one part and one bar");
  }
}

/** What options ask for, engraved. */
export async function engravedMusic(score: Score, options: EngraveOptions): Promise<EngravedMusic> {
  checkGiven(score, options);
  const bars = barsAsked(score, options, { action: ACTION });
  const texture = textureFor(score, options);
  const parts = options.parts && partsNamed(score, options.parts, { action: ACTION, bars });
  const { fromBar: _from, toBar: _to, texture: _texture, ...look } = options;
  return await engraveMusic({ score, texture }, { ...look, bars, parts });
}

/** The texture where it matters; reading one takes a while. */
function textureFor(score: Score, { byRole = false, texture }: EngraveOptions): Texture {
  if (byRole || texture !== undefined) return givenTexture(ACTION, score, texture);
  return { origin: "written", cells: [], layers: [] };
}
