/** The bars that were written anew, before and after, in the report. */
import { assert, assertEquals, assertMatch } from "@std/assert";
import { demoPlans, demoSketch, realise, study } from "ripieno";
import { report } from "ripieno/show";
import { wishesWritten } from "../../../lib/show/desk/desk.ts";
import { beforeAndAfter } from "../../../lib/show/desk/before_and_after.ts";
import { readHarmony } from "../../../lib/harmony/read_harmony.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";

const held = realise(demoSketch(), demoPlans().held);
const texture = textureOf(held);
const reading = { texture, harmony: readHarmony(held, { texture }) };
const table = `from_bar,to_bar,parts,role,figure
17,18,Violas,pulse,repeated eighths
17,18,Horn 3,rest,
21,40,Violas,figuration,broken chord in eighths
`;

Deno.test("bars that were written anew stand in the report as notes, before and after, with what became of whom", async () => {
  const work = wishesWritten(held, { file: "wishes.csv", text: table }, { reading, bars: undefined });
  const changed = await beforeAndAfter(work);
  assertEquals(changed.map((c) => c.bars), ["Bars 17 to 18", "Bars 21 to 40"]);
  assertEquals(changed.map((c) => c.shownTo), [undefined, "30"]);
  assertMatch(changed[0]!.said[0]!, /^Violas: repeated eighths instead of held chord/);
  assertMatch(changed[0]!.said[1]!, /^Horn 3: rest instead of /);
  for (const { pictures } of changed) {
    const [before, after] = pictures!.map((picture) => picture.outerHTML);
    assertMatch(before!, /As it is/);
    assertMatch(after!, /Rewritten/);
    const [was, is] = [before!, after!].map((text) => text.split(/<g[^>]*class="[^"]*note[^"]*"/).length);
    assert(is! > was!, `${was} ${is}`);
  }
  const entries = work.versions.map(({ name, score, texture }) => ({
    score,
    texture,
    study: study(score, { name, texture }),
  }));
  const html = report(entries, { versions: true, changed });
  assertMatch(html, /<a href="#versions">What changed<\/a>/);
  assertEquals(html.match(/<h3>Bars (17 to 18|21 to 40)<\/h3>/g)?.length, 2);
  assertMatch(html, /Shown up to bar 30/);
  const fonts = html.match(/@font-face/g)?.length ?? 0;
  const apart = report(entries, { versions: true, changed: changed.slice(0, 1) }).match(/@font-face/g)
    ?.length;
  assertEquals(fonts, apart ?? 0, "fonts stand in a page once");
});

Deno.test("what a part is heard as instead of what is insisted on is said with it, in the report as on the command line", async () => {
  const saidOf = async (row: string) => {
    const text = `from_bar,to_bar,parts,role,figure\n${row}\n`;
    const work = wishesWritten(held, { file: "wishes.csv", text }, {
      reading,
      bars: undefined,
      insist: true,
    });
    const [passage] = await beforeAndAfter({ ...work, changes: work.changes });
    assertMatch(
      work.said[0]!,
      new RegExp(passage!.said[0]!.split(": ").slice(1).join(": ").replaceAll(/[()]/g, ".")),
    );
    return work.said[0]!;
  };
  assertMatch(
    await saidOf("1,4,Flute 1 + Violins I,pulse,repeated quarters"),
    /heard as .+: nobody else leads/,
  );
  assertMatch(await saidOf("5,8,Violins I,pad,held chord"), /^(?!.*heard)/);
});
