import { assert, assertEquals, assertGreater, assertLess, assertMatch, assertThrows } from "@std/assert";
import { demoPlans, demoSketch, momentum, playability, realise } from "ripieno";
import { readHarmony } from "../../../lib/harmony/read_harmony.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { rewrite } from "../../../lib/orchestrate/rewrite/rewrite.ts";
import { suggest } from "../../../lib/orchestrate/suggest/suggest.ts";
import { PASSAGE_WISHES, shapeWished } from "../../../lib/orchestrate/suggest/suggest_results.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";
import { someBars } from "../../setup/some_bars.ts";

/** Bars 13 to 28 of the demo: what is wished for lies in the middle, where one passage follows another. */
const held = someBars(realise(demoSketch(), demoPlans().held), { from: 12, to: 27 });
const span = { fromBar: 17, toBar: 20 };

Deno.test("every way helps, keeps its bounds, and what is said of it is what comes of writing it", () => {
  for (const wish of PASSAGE_WISHES) {
    const { before, ways, said } = suggest(held, { ...span, wish, leadAudibleAtLeast: 0.4, most: 4 });
    assert(said.length > 20, wish);
    for (const { after, wishes, what, why, gains } of ways) {
      assert(what !== "" && why !== "" && gains !== "", wish);
      assert(after.audibleShare! >= 0.4, `${wish}: ${what}`);
      const { score } = rewrite(held, wishes);
      const impossible = playability(score).findings.filter((f) => f.severity === "impossible");
      assertEquals(impossible, [], `${wish}: ${what}`);
      if (wish === "move more") {
        assertGreater(after.momentum, before.momentum);
        const mean = (s: typeof score) => {
          const rows = momentum(s).perBar.slice(4, 8);
          return rows.reduce((sum, r) => sum + r.momentum, 0) / rows.length;
        };
        assertGreater(mean(score), mean(held));
        assertLess(Math.abs(mean(score) - after.momentum), 0.1 * after.momentum);
      }
      if (wish === "lead clearer") assertGreater(after.audibleShare!, before.audibleShare!);
      if (wish === "lighter") assertLess(after.loudnessSones, before.loudnessSones);
      if (wish === "fresher") assertGreater(after.freshness, before.freshness);
      if (shapeWished(wish)) assertGreater(after.contour!, before.contour ?? 0);
      if (wish === "rest the brass") assertLess(after.brassNotes, before.brassNotes);
    }
  }
});

Deno.test("nobody is asked to play as loud as before, and where all are as soft as can be a shape grows from there", () => {
  for (const dynamic of ["ppp", "pp", "fff"]) {
    const { held: plan } = demoPlans();
    const passages = plan.passages.map((p) => ({
      ...p,
      assignments: p.assignments.map((a) => ({ ...a, dynamic, dynamicEnd: dynamic })),
    }));
    const score = someBars(realise(demoSketch(), { ...plan, passages }), { from: 12, to: 27 });
    for (const wish of ["lead clearer", "lighter", "arch", "bowl"] as const) {
      const { ways } = suggest(score, { ...span, wish, most: 30 });
      if (wish === "arch") assert(ways.some((w) => / to /.test(w.what)), dynamic);
      for (const { what, wishes } of ways) {
        assert(!/\b([pmf]+) instead of \1\b/.test(what), what);
        for (const { dynamic: from, dynamicEnd: to } of wishes) {
          assert(from === undefined || to !== undefined || from !== dynamic, what);
        }
        const growths = wishes.filter((w) => w.dynamicEnd !== undefined);
        assert(growths.length === 0 || growths.some((w) => w.dynamic !== w.dynamicEnd), what);
      }
    }
  }
});

Deno.test("parts that are kept stay, and only those named change", () => {
  const kept = suggest(held, { ...span, wish: "move more", keep: ["Horns", "Violas"] });
  assert(kept.ways.every((w) => w.wishes.every((x) => !x.parts.some((p) => /^Horn|Violas/.test(p)))));
  const only = suggest(held, { ...span, wish: "move more", only: ["Violas"] });
  assert(only.ways.length > 0 && only.ways.every((w) => w.wishes.every((x) => x.parts.join() === "Violas")));
});

Deno.test("brass that have nothing to do are not asked for running scales, nor for sixteenths", () => {
  const { ways } = suggest(held, { ...span, wish: "move more", most: 20 });
  for (const { wishes } of ways) {
    for (const { parts, figure } of wishes) {
      if (parts.some((p) => p.startsWith("Horn"))) {
        assert(!/sixteenths|scale|broken/.test(String(figure ?? "")), String(figure));
      }
    }
  }
});

Deno.test("no figure is offered that does not fill the bars: no triplets and no half notes in 3/8", () => {
  const abc = `X:1\nT:Sandbar\nM:3/8\nL:1/8\nQ:3/8=50\nK:C
V:1 name="Violin"\nV:2 name="Viola"\nV:3 name="Violoncello"
V:1\n!mf!"C"e2 g | "F"a2 f | "G"g2 f | "C"e3 |\nV:2\n!p!G3 | A3 | G3 | G3 |\nV:3\n!p!C,3 | F,3 | G,3 | C,3 |\n`;
  const score = readAbc(abc, { file: "sandbar.abc" });
  const { ways, refused } = suggest(score, { fromBar: 1, toBar: 4, wish: "move more", most: 40 });
  const asked = ways.flatMap((w) => w.wishes.map((one) => String(one.figure)));
  assert(asked.length > 0);
  const told = [...asked, ...refused.map((r) => r.what)].join("; ");
  assert(!/triplets|half notes|every quarter/.test(told), told);
  assertMatch(told, /eighths|sixteenths/);
});

Deno.test("where no way is left, a sentence says which bound stood against it", () => {
  const { ways, said } = suggest(held, {
    ...span,
    wish: "move more",
    only: ["Violas"],
    leadAudibleAtLeast: 0.999,
  });
  assertEquals(ways, []);
  assertMatch(said, /none keeps the bounds.*lead audible at least 100 %/);
  assertEquals(
    suggest(held, { ...span, wish: "rest the brass", keep: ["Horns"] }).said,
    "No brass plays in these bars.",
  );
  const error = assertThrows(() => suggest(held, { ...span, wish: "groove" as "fresher" }), InputError);
  assertMatch(error.message, /"move more"/);
});

Deno.test("progress is told, and the wish leaves the score alone", () => {
  const before = JSON.stringify(held.notes.slice(0, 50));
  const seen: number[] = [];
  suggest(held, { ...span, wish: "lighter", onProgress: ({ done, of }) => seen.push(done / of) });
  assert(seen.length > 5 && seen.every((share) => share > 0 && share <= 1));
  assertEquals(JSON.stringify(held.notes.slice(0, 50)), before);
});

Deno.test("still passages of open scores move more, and keep their lead", () => {
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  for (const [file, fromBar, toBar] of [["Beach_Op.32_2", 20, 23], ["Brahms_Op.90_3", 13, 16]] as const) {
    const whole = openScore(new URL(`${file}.mxl`, folder));
    const score = someBars(whole, { from: 0, to: 47 });
    const texture = textureOf(score);
    const harmony = readHarmony(score, { texture });
    const { before, ways } = suggest(score, { fromBar, toBar, wish: "move more", texture, harmony, most: 2 });
    assertGreater(ways[0]!.after.momentum, before.momentum, file);
  }
});
