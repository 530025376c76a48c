/**
 * Random wishes for movements of OpenScore Orchestra (MarkGotham/Hauptstimme, CC0 1.0): each is written or refused in words;
 * what was not asked for stays to the note, nothing that nobody can play comes in, and the file is valid.
 */
import { assert, assertEquals, assertGreater } from "@std/assert";
import { playability } from "ripieno";
import { writeMusicXml } from "ripieno/formats";
import { readHarmony } from "../../../lib/harmony/read_harmony.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { rewrite } from "../../../lib/orchestrate/rewrite/rewrite.ts";
import type { Rewritten } from "../../../lib/orchestrate/rewrite/rewrite_results.ts";
import { refineGrid } from "../../../lib/score/refine_grid.ts";
import type { Note, Score } from "../../../lib/score/model.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";
import { engrave } from "../../setup/engraver.ts";
import { musicXmlValidator } from "../../setup/music_xml_schema.ts";
import { random } from "../../setup/random.ts";
import { randomWish } from "../../setup/random_wishes.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";
import { someBars } from "../../setup/some_bars.ts";

const MOVEMENTS = ["Beach_Op.32_2", "Brahms_Op.90_3", "Bach_BWV.1048_1"];
const WISHES = 22;

/**
 * Share of the bars of new layers that are read back in the role they were written for. Of 1,971 bars of 312 wishes for 26 movements, drawn by a
 * seed on which nothing was chosen, 96 % were.
 */
const HEARD_FROM = 0.95;

const percent = (share: number) => `${Math.round(100 * share)} %`;

/** Notes outside the bars and parts of a change, in words; of changed parts those that do not touch the bars. */
function outside(score: Score, { changes }: Rewritten): readonly string[] {
  const [{ fromBarIndex, toBarIndex }] = [changes[0]!];
  const start = score.bars[fromBarIndex]!.startTicks;
  const last = score.bars[toBarIndex]!;
  const end = last.startTicks + last.durationTicks;
  const parts = new Set(changes.map((c) => c.part));
  const isOutside = (n: Note) =>
    !parts.has(n.part) || n.onsetTicks > end ||
    n.onsetTicks < start && n.onsetTicks + n.durationTicks < start;
  return score.notes.filter(isOutside).map((n) => {
    // A slur that led into the bars ends before them, and one out of them begins after them.
    const {
      slurStart: _start,
      slurStop: _stop,
      slurred: _under,
      notation: _printed,
      glissandi: _g,
      ...kept
    } = n;
    return JSON.stringify(parts.has(n.part) ? kept : n);
  });
}

const impossible = (score: Score) =>
  playability(score).findings.filter((f) => f.severity === "impossible").length;

Deno.test("random wishes for open scores: written or refused in words, and all else stays", async () => {
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  const faults = musicXmlValidator();
  let [written, refused] = [0, 0];
  const read = { bars: 0, heard: 0 };
  for (const name of MOVEMENTS) {
    const whole = openScore(new URL(`${name}.mxl`, folder));
    const score = someBars(whole, { from: 0, to: 79 });
    const texture = textureOf(score);
    const harmony = readHarmony(score, { texture });
    const before = impossible(score);
    const next = random(name.length);
    const { log: asBefore } = await engrave(writeMusicXml(score));
    for (let i = 0; i < WISHES; i++) {
      const wish = randomWish(score, next);
      const about = `${name} ${JSON.stringify(wish)}`;
      let result: Rewritten;
      try {
        result = rewrite(score, [wish], { texture, harmony });
      } catch (error) {
        assert(error instanceof InputError, `${about}: ${error}`);
        refused++;
        continue;
      }
      written++;
      const fine = refineGrid(score, result.score.ticksPerQuarter);
      assertEquals(outside(result.score, result), outside(fine, result), about);
      if (wish.role !== undefined && wish.role !== "rest") {
        for (const { fromBarIndex, toBarIndex, otherwiseIn, because } of result.changes) {
          assertEquals(otherwiseIn.length > 0, because !== "", about);
          const bars = toBarIndex - fromBarIndex + 1;
          read.bars += bars;
          read.heard += bars - otherwiseIn.length;
        }
      }
      if (i % 8 !== 0) continue;
      assertEquals(impossible(result.score) > before, false, about);
      const xml = writeMusicXml(result.score);
      assertEquals(faults?.(xml) ?? [], [], about);
      if (i % 24 === 0) {
        assertEquals((await engrave(xml)).log, asBefore, about);
      }
    }
  }
  const share = read.heard / read.bars;
  console.log(`${written} written, ${refused} refused; heard as written in ${percent(share)} of their bars`);
  assertGreater(written, 3 * refused);
  assertGreater(share, HEARD_FROM);
});
