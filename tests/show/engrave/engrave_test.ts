import { assert, assertEquals, assertMatch, assertRejects } from "@std/assert";
import { demoPlans, demoSketch, InputError, realise, textureOf } from "ripieno";
import type { Score } from "ripieno";
import { chartSvg, engrave, type EngraveOptions, engraveSystems } from "ripieno/show";
import { mediaForms } from "../../../lib/show/show.ts";
import { picturesIn } from "../../setup/pictures_in.ts";
import { engravedMusic } from "../../../lib/show/engrave/engrave.ts";
import { lineBreaks } from "../../../lib/show/engrave/line_breaks.ts";
import { NOTE_COLOURS } from "../../../lib/show/drawing/theme.ts";
import { endOfBar } from "../../../lib/score/time.ts";
import { random } from "../../setup/random.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";

const setting = realise(demoSketch(), demoPlans().rotating);
const texture = textureOf(setting);

/** Some bars of a score by index. */
interface Bars {
  readonly from: number;
  readonly to: number;
}

/** Notes of a score that sound in some bars, cut at their edges; grace notes of the bars among them. */
function notesIn(score: Score, { from, to }: Bars) {
  const [start, end] = [score.bars[from]!.startTicks, endOfBar(score, to)];
  return score.notes.filter((n) =>
    n.onsetTicks < end && (n.onsetTicks >= start || n.onsetTicks + n.durationTicks > start)
  );
}

const svgOf = async (score: Score, options: EngraveOptions) => chartSvg(await engrave(score, options));
const count = (svg: string, part: string) => svg.split(`class="${part}`).length - 1;

/** Names in the margin, from the top of the first system. */
const namesIn = (svg: string) =>
  [...svg.matchAll(/<g class="label(?:Abbr)?">(.*?)<\/g>/g)].map((m) => m[1]!.replace(/<[^>]*>/g, ""));

Deno.test("bars are engraved with the parts that play in them, or those that are named, or all", async () => {
  const bars = { from: 16, to: 17 };
  const asked = { fromBar: 17, toBar: 18 };
  const playing = new Set(notesIn(setting, bars).map((n) => n.part));
  assertEquals(namesIn(await svgOf(setting, asked)).length, playing.size);
  assertEquals(namesIn(await svgOf(setting, { ...asked, resting: true })).length, setting.parts.length);
  const named = await svgOf(setting, { ...asked, parts: ["Horns", "Piccolo"] });
  assertEquals(namesIn(named).toSorted(), [...[1, 2, 3, 4].map((n) => `Horn in F ${n}`), "Piccolo"]);
  const sounding = await svgOf(setting, { ...asked, parts: ["Horns", "Double basses"], sounding: true });
  assertEquals(namesIn(sounding).toSorted(), ["Double basses", ...[1, 2, 3, 4].map((n) => `Horn ${n}`)]);
  assertMatch(sounding, /Bars\u00a017–18, at sounding pitch/);
});

Deno.test("an excerpt ends without the double bar line of a piece, unless it is its end", async () => {
  const heavy = async (fromBar: number, toBar: number) =>
    count(await svgOf(setting, { fromBar, toBar, parts: ["Violas"] }), "barLine") > 0 &&
    (await engravedMusic(setting, { fromBar, toBar, parts: ["Violas"] })).systems.some((s) =>
      [...s.music.querySelectorAll("g.barLine rect, g.barLine path")].some((line) =>
        Number(line.getAttribute("stroke-width")) > 60
      )
    );
  assertEquals(await heavy(17, 18), false);
  assertEquals(await heavy(47, 48), true);
});

Deno.test("notes have the colours of their roles, and the sign and the name of each role stand over its stave", async () => {
  for (const [fromBar, toBar] of [[8, 10], [24, 27]] as const) {
    const options = { fromBar, toBar, byRole: true, texture, width: 900 };
    const { given, partOf, systems } = await engravedMusic(setting, options);
    const svg = await svgOf(setting, options);
    const parts = given.score.parts.length;
    const expected = given.texture.cells.filter((c) => c.role !== "rest").map((c) => c.role);
    const drawn = [...svg.matchAll(/data-role="(\w+)"/g)].map((m) => m[1]!);
    assertEquals(drawn.toSorted(), expected.toSorted());
    assertEquals(partOf, [...given.score.parts.keys()]);
    // One name over the stave for each role that begins, and its sign.
    const begins = given.score.parts.map((_, part) => {
      const own = expected && given.texture.cells.filter((c) => c.part === part && c.role !== "rest");
      return own.filter((c, i) => c.role !== own[i - 1]?.role).length;
    }).reduce((sum, n) => sum + n, 0);
    const signs = /<rect(?=[^>]*fill="url\(#ripieno-engraving-)(?=[^>]* scale\()[^>]*\/><text/g;
    assertEquals([...svg.matchAll(signs)].length, begins);
    for (const [role, [colour]] of Object.entries(NOTE_COLOURS)) {
      assertEquals(svg.includes(`color:${colour}`), expected.includes(role as "lead"), role);
    }
    assert(parts > 3 && systems.length >= 1);
  }
});

Deno.test("without byRole all is black", async () => {
  const svg = await svgOf(setting, { fromBar: 17, toBar: 17 });
  assert(!svg.includes("data-role"));
  assertEquals(
    new Set(svg.match(/#[0-9a-f]{6}(?=[;"])/g)?.filter((c) => c === "#1d1e24" || c === "#ffffff")).size,
    2,
  );
});

Deno.test("long passages are broken into lines that hold all bars in order, one picture for each where asked", async () => {
  const options = { fromBar: 17, toBar: 32, parts: ["Violins II", "Violas"], width: 800 };
  const lines = await engraveSystems(setting, { ...options, title: "Sixteen bars" });
  const svgs = lines.map(chartSvg);
  assert(svgs.length > 2);
  assertEquals(svgs.map((s) => count(s, "measure")).reduce((a, b) => a + b), 16);
  assertEquals(svgs.map((s) => s.includes("Sixteen bars")), svgs.map((_, i) => i === 0));
  assertEquals(namesIn(svgs[1]!), ["Vln. II", "Vla."]);
  const whole = await svgOf(setting, options);
  assertEquals(count(whole, "measure"), 16);
  for (const svg of [...svgs, whole]) assert(Number(/ width="(\d+)"/.exec(svg)![1]) <= 800);
});

Deno.test("lines are as few as need be, and evenly full", () => {
  assertEquals([...lineBreaks([1, 1, 1, 1, 1, 1], 5)], [3]);
  assertEquals([...lineBreaks([4, 1, 1, 4], 5)], [2]);
  assertEquals([...lineBreaks([9, 1, 1], 5)], [1]);
  assertEquals([...lineBreaks([1], 5)], []);
});

Deno.test("a picture stands alone: no address but its own, every reference is there, the same again", async () => {
  const options = { fromBar: 17, toBar: 20, byRole: true };
  const svg = await svgOf(setting, options);
  assertEquals(svg, await svgOf(setting, options));
  assertEquals(
    [...svg.matchAll(/(?:href|src)="([^"#][^"]*)"|url\((?!#|data:)([^)]*)\)/g)].map((m) => m[0]),
    [],
  );
  const ids = [...svg.matchAll(/ id="([^"]*)"/g)].map((m) => m[1]!);
  assertEquals(ids.length, new Set(ids).size);
  const known = new Set(ids);
  for (const [, id] of svg.matchAll(/href="#([^"]*)"/g)) assert(known.has(id!), id);
  for (const [, id] of svg.matchAll(/url\(#([^)]*)\)/g)) assert(known.has(id!), id);
  const other = await svgOf(setting, { ...options, toBar: 19 });
  const others = [...other.matchAll(/ id="([^"]*)"/g)].map((m) => m[1]!);
  assertEquals(others.filter((id) => known.has(id)), []);
  assertMatch(svg, /role="img" class="ripieno-chart ripieno-engraving"/);
  assertMatch(svg, /aria-label="Notation of bars.17–20: Flute 1 \(pulse\)/);
});

Deno.test("in a notebook the picture is an image that stands alone, which sanitised notebooks keep", async () => {
  const picture = await engrave(setting, { fromBar: 17, toBar: 18, byRole: true });
  const forms = mediaForms([picture, picture])["text/html"]!;
  assertEquals(forms.replace(/<img [^>]*>\n?/g, ""), "");
  assertEquals(forms.includes("onload"), false); // nothing in it names itself under the mouse
  const drawings = picturesIn(forms);
  assertEquals(drawings.length, 2);
  const plain = drawings[0]!.replaceAll("'", '"').replaceAll("&#39;", "'");
  assertEquals(plain.replace(/(id="|url\(#)p[0-9a-z]+-/g, "$1ripieno-"), chartSvg(picture));
  assertMatch(forms, /^<img alt="Notation of bars/);
});

Deno.test("condensed and shared staves", async () => {
  const condensed = await svgOf(setting, { fromBar: 17, toBar: 18, staves: "condensed" });
  assertEquals(namesIn(condensed).toSorted(), ["Brass", "Strings", "Timpani", "Woodwinds"]);
  const shared = await svgOf(setting, { fromBar: 17, toBar: 18, parts: ["Horns"], staves: "shared" });
  assertEquals(namesIn(shared).toSorted(), ["Horns in F 1, 2", "Horns in F 3, 4"]);
});

Deno.test("a dynamic of before stands where a part comes in, not over its rests", async () => {
  const bars = { from: 7, to: 9 };
  const { given } = await engravedMusic(setting, { fromBar: 8, toBar: 10, resting: true });
  for (const [p, part] of given.score.parts.entries()) {
    const first = given.score.notes.find((n) => n.part === p);
    for (const sign of part.writtenDynamics ?? []) {
      assert(sign.kind !== "mark" || (first && sign.onsetTicks >= first.onsetTicks), part.name);
    }
  }
  assert(notesIn(setting, bars).length > 0);
});

Deno.test("what cannot be engraved is refused in words", async () => {
  const refused = async (options: unknown, words: RegExp) =>
    assertMatch(
      (await assertRejects(() => engrave(setting, options as EngraveOptions), InputError)).message,
      words,
    );
  await refused({ fromBar: 900 }, /no bar 900.*numbered 1 to 48/);
  await refused({ fromBar: 9, toBar: 4 }, /bar 4 comes before bar 9/);
  await refused({ parts: ["Kazoo"] }, /no part "Kazoo"/);
  await refused({ parts: [] }, /names no part/);
  await refused({ width: 10 }, /width is 10.*320 to 6000/);
  await refused({ byRole: true, staves: "condensed" }, /staves of their own/);
  await refused({ colour: true }, /colour/);
  await refused({ texture: { ...texture, cells: [] }, byRole: true }, /texture is of another score/);
  await refused({ staves: "none" }, /single.*shared.*condensed/);
});

// Of the many every third: all are from the same hands.
for (
  const [dataset, every] of [["openscore-orchestra", 1], ["openscore-orchestra-more", 3], [
    "s3-symphonies",
    1,
  ]] as const
) {
  Deno.test(`random bars of scores of ${dataset}: no complaint, every note there, every part named`, async () => {
    const folder = sharedFolder(dataset);
    if (!folder) return;
    const next = random(1_717);
    for (const url of scoresIn(folder).filter((_, i) => i % every === 0)) {
      await checkRandomBars(openScore(url), next);
    }
  });
}

/** Scores below a folder. */
function scoresIn(folder: URL): readonly URL[] {
  return [...Deno.readDirSync(folder)].sort((a, b) => a.name < b.name ? -1 : 1).flatMap((entry) => {
    const url = new URL(encodeURIComponent(entry.name) + (entry.isDirectory ? "/" : ""), folder);
    return entry.isDirectory ? scoresIn(url) : /\.(mxl|musicxml)$/.test(entry.name) ? [url] : [];
  });
}

async function checkRandomBars(score: Score, next: () => number): Promise<void> {
  const from = Math.floor(next() * score.bars.length);
  const bars = { from, to: Math.min(score.bars.length - 1, from + Math.floor(next() * 5)) };
  const [fromBar, toBar] = [Number(score.bars[bars.from]!.number), Number(score.bars[bars.to]!.number)];
  const isNamed = [bars.from, bars.to].every((b) =>
    score.bars.findIndex((x) => x.number === String(Number(score.bars[b]!.number))) === b
  );
  if (!isNamed) return; // a bar that shares its number with another
  const where = `${score.source}, bars ${fromBar}–${toBar}`;
  const { given, log, text, systems, partOf } = await engravedMusic(score, { fromBar, toBar });
  assertEquals(log, "", where);
  const expected = notesIn(score, bars);
  const playing = new Set(expected.map((n) => n.part));
  assertEquals(given.score.parts.length, playing.size || score.parts.length, where);
  const heads = text.split("<note>").slice(1).filter((n) => !n.includes("<rest"));
  const begun = heads.filter((n) => !n.includes(`<tie type="stop"/>`));
  assertEquals(begun.length, expected.length, where);
  const drawn = systems.flatMap((s) => [...s.music.querySelectorAll("g.note")]);
  assertEquals(drawn.length, heads.length, where);
  assertEquals(new Set(partOf).size, given.score.parts.length, where);
}
