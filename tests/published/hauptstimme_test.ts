/**
 * Which part leads, against the main-melody annotations of OpenScore Orchestra (MarkGotham/Hauptstimme, commit
 * 8f677853c45b74ca0afcd79677e5379c06c82354, annotations CC BY-SA: Hauptstimme annotation team, M. Gotham et al.).
 *
 * Reference figures on eight of the movements: the highest part 0.485, "first violin if it plays, else the highest" 0.567;
 * human against human 0.875, with melody layers that cover 44 % of the sounding groups. Where an annotator names one of
 * several equal parts, a doubling of the lead counts as a hit, so the share of sounding parts that are called is reported
 * and held with it. Every movement is read with weights that were fitted without its work
 * (`tests/setup/fit_texture_weights.ts`); the penalties of the models and the constants are the same for all, round numbers
 * chosen in coarse steps on these movements. Measured are the chief line of `trackLead`, which names a part in every bar,
 * the roles of `recognise`, and who is called where parts are called by their share of the lead: the chief line and
 * whatever has so much of the lead at least (`leadShare`).
 */
import { assertEquals, assertGreater, assertLess } from "@std/assert";
import type { Score } from "../../lib/score/model.ts";
import { recognise, type RecogniseOptions } from "../../lib/texture/recognise/recognise.ts";
import { trackLead } from "../../lib/texture/recognise/track_lead.ts";
import { figuresInWords, leadsRead, type LeftOutFigures, SHARES } from "../setup/left_out_figures.ts";
import { weightsWithout } from "../setup/left_out_weights.ts";
import {
  corpusFolders,
  melodyAnnotation,
  type MelodyEntry,
  melodyParts,
  MORE_MOVEMENTS,
  MOVEMENTS,
  scoreOf,
} from "../setup/texture_corpus.ts";
import { example } from "../texture/examples.ts";

/** Bars in which an annotated lead sounds, as they are read. */
function read(score: Score, entries: readonly MelodyEntry[], options: RecogniseOptions = {}) {
  return leadsRead(recognise(score, options), trackLead(score, options), melodyParts(score, entries));
}

type Leads = LeftOutFigures["leads"];

const mean = (leads: Leads, of: (lead: Leads[number]) => number | boolean) =>
  leads.reduce((sum, lead) => sum + Number(of(lead)), 0) / leads.length;

Deno.test("a hand-over of our own is hit in every bar, and every other annotation missed", () => {
  const high = "D5:3/2 C5:1/2 B4:1 G5:1 F5:3/2 D5:1/2 C5:1 A4:1";
  const score = example([["oboe", `${high} r:8`], ["violin", `r:8 ${high}`], ["viola", "(D4:4 C4:4)x2"]]);
  const right = read(score, [{ quarters: 0, part: 0 }, { quarters: 7, part: 1 }]);
  assertEquals(
    right.map((l) => [l.hit, l.surest, l.chief, l.share]),
    Array(4).fill([true, true, true, 1 / 2]),
  );
  assertEquals(read(score, [{ quarters: 0, part: 2 }]).some((l) => l.hit), false);
});

const folders = corpusFolders();
if (folders) {
  const readings = new Map(
    [...MOVEMENTS, ...MORE_MOVEMENTS].filter((m) => m.melody !== undefined).map((movement) => {
      const weights = weightsWithout(movement.work);
      const leads = read(scoreOf(movement, folders), melodyAnnotation(movement, folders), { weights });
      console.log(`${movement.name}: ${figuresInWords({ pairs: [], leads })}`);
      return [movement, leads] as const;
    }),
  );
  const all = [...readings.values()].flat();
  const eight = [...readings].flatMap(([movement, leads]) => MOVEMENTS.includes(movement) ? leads : []);

  Deno.test("the lead is the annotated part more often than the highest part is", () => {
    for (const [name, leads] of [["the eight", eight], ["all 32", all]] as const) {
      console.log(`${name}: ${figuresInWords({ pairs: [], leads })}`);
    }
    assertGreater(eight.length, 2600);
    assertGreater(mean(eight, (l) => l.hit), 0.83);
    assertGreater(mean(eight, (l) => l.surest), 0.7);
    assertGreater(mean(eight, (l) => l.chief), 0.7);
    assertGreater(mean(eight, (l) => l.doubled), 0.775);
    assertLess(mean(eight, (l) => l.share), 0.33);
    assertGreater(all.length, 10_000);
    assertGreater(mean(all, (l) => l.surest), 0.69);
    assertGreater(mean(all, (l) => l.doubled), 0.765);
  });

  Deno.test("called by their share of the lead, few parts hold the annotated one nearly always", () => {
    for (const leads of [eight, all]) {
      const [third, , fifth] = SHARES.map((_, k) =>
        [mean(leads, (l) => l.called[k]!.hit), mean(leads, (l) => l.called[k]!.share)] as const
      );
      assertLess(third![1], 0.33);
      assertGreater(third![0], 0.95);
      assertLess(fifth![1], 0.2);
      assertGreater(fifth![0], 0.87);
    }
  });

  Deno.test("how sure the chief line is, is how often it or its doubling is the annotated part", () => {
    for (const [tenth, leads] of Map.groupBy(all, (l) => Math.floor(l.confidence * 10))) {
      if (leads.length < 100) continue;
      const [said, found] = [mean(leads, (l) => l.confidence), mean(leads, (l) => l.doubled)];
      console.log(`  said ${said.toFixed(2)}, found ${found.toFixed(2)} in ${leads.length} bars`);
      assertLess(Math.abs(said - found), 0.1, `from ${tenth / 10} on`);
    }
  });
}
