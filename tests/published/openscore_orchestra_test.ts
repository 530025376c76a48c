/**
 * OpenScore Orchestra scores (MarkGotham/Hauptstimme, commit 8f677853c45b74ca0afcd79677e5379c06c82354, scores
 * CC0 1.0): what is read equals what a second implementation counts (music21 10.5.0, `reference_counts.csv`),
 * and what the corpus authors extracted (`*.highest_pitch.csv`).
 */
import { assertAlmostEquals, assertEquals, assertGreaterOrEqual } from "@std/assert";
import { zipSync } from "fflate";
import { endTicksOf, quartersOf, secondsOf } from "../../lib/score/time.ts";
import type { Note, Score } from "../../lib/score/model.ts";
import { readMxl } from "../../lib/formats/musicxml/read/read_mxl.ts";
import { memo } from "../../lib/base/memo.ts";
import { pitchOf } from "../../lib/base/units.ts";
import { csvRows, sharedFolder } from "../setup/shared_data.ts";

const folder = sharedFolder("openscore-orchestra");
const symphonies = sharedFolder("s3-symphonies");

const known = memo<Score>(32);

/** Four of the table's files are movements of the S3 symphonies (iis-mctl/mctl-symphony-dataset, MIT licence); each is read once. */
function read(file: string): Score {
  const name = file.replace(/\.mxl$/, "");
  const url = /^(mo|dv)\d$/.test(name) ? new URL(`${name}/${file}`, symphonies) : new URL(file, folder);
  return known(file, () => readMxl(Deno.readFileSync(url), { file }));
}

/**
 * In bar 93 of dv2 the cor anglais holds six quarters where every other part holds four. The second
 * implementation lets that part run two quarters late from there on; here the bar keeps its four.
 */
const ARGUED_QUARTERS: Readonly<Record<string, number>> = { "dv2.mxl englishhorn": 506 };

/** Two horns in the bass clef of old: the second implementation reads it as if it were today's, an octave too low. */
const ARGUED_LOWEST: Readonly<Record<string, string>> = {
  "Beethoven_Op.92_1.mxl A Horn 1": "57",
  "Beethoven_Op.92_1.mxl A Horn 2": "40",
};

/** Lowest or highest pitch as the table has it, empty where there is none. */
function pitchCell(notes: readonly Note[], pick: (...n: number[]) => number): string {
  return notes.length === 0 ? "" : String(pick(...notes.map((n) => n.soundingPitch)));
}

/** What the reference table holds, counted in a part that was read. */
function countsOf(score: Score, part: number) {
  const notes = score.notes.filter((n) => n.part === part);
  const pitched = notes.filter((n) => !n.unpitched && !n.grace);
  const heads = (list: readonly Note[]) => list.reduce((sum, n) => sum + n.noteheads, 0);
  return {
    name: score.parts[part]!.name,
    bars: score.bars.length,
    pitched: heads(pitched),
    unpitched: heads(notes.filter((n) => n.unpitched && !n.grace)),
    grace: notes.filter((n) => n.grace).length,
    lowest: pitchCell(pitched, Math.min),
    highest: pitchCell(pitched, Math.max),
    quarters: quartersOf(score, endTicksOf(score)),
  };
}

Deno.test("a zipped score of our own, with a tie, a chord, a grace note and a stroke on a triangle, is counted by hand", () => {
  const score = readMxl(ownScore());
  assertEquals(countsOf(score, 0), {
    name: "Clarinet",
    bars: 2,
    pitched: 4,
    unpitched: 0,
    grace: 1,
    lowest: "58",
    highest: "65",
    quarters: 8,
  });
  assertEquals([countsOf(score, 1).pitched, countsOf(score, 1).unpitched], [0, 1]);
});

/** Written C4 tied over the bar line and a chord C4-G4 on a clarinet in B flat; one stroke below. */
function ownScore(): Uint8Array {
  const note = (step: string, duration: number, more = "") =>
    `<note>${more}<pitch><step>${step}</step><octave>4</octave></pitch><duration>${duration}</duration></note>`;
  const tied = (type: string) =>
    `<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration><tie type="${type}"/></note>`;
  const xml = `<score-partwise version="4.0"><part-list>
    <score-part id="P1"><part-name>Clarinet</part-name></score-part>
    <score-part id="P2"><part-name>Triangle</part-name></score-part></part-list>
    <part id="P1"><measure number="1"><attributes><divisions>1</divisions>
      <transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>${
    tied("start")
  }</measure>
      <measure number="2">${tied("stop").replaceAll("4</duration>", "2</duration>")}
      <note><grace/><pitch><step>D</step><octave>4</octave></pitch></note>
      ${note("C", 2)}${note("G", 2, "<chord/>")}</measure></part>
    <part id="P2"><measure number="1"><note><unpitched/><duration>4</duration></note></measure>
      <measure number="2"/></part></score-partwise>`;
  return zipSync({ "score.musicxml": new TextEncoder().encode(xml) });
}

if (folder && symphonies) {
  Deno.test("every part of the OpenScore and S3 movements has the bars, note heads, grace notes, range and length that music21 counts", () => {
    const scores = new Map<string, Score>();
    for (const row of csvRows(new URL("reference_counts.csv", folder))) {
      const file = row["file"]!;
      const score = scores.get(file) ?? read(file);
      scores.set(file, score);
      assertEquals(countsOf(score, Number(row["part_number"]) - 1), {
        name: row["part_name"]!.trim(),
        bars: Number(row["measures"]),
        pitched: Number(row["pitched_noteheads_excl_grace"]),
        unpitched: Number(row["unpitched_or_empty"]),
        grace: Number(row["grace_events"]),
        lowest: ARGUED_LOWEST[`${file} ${row["part_name"]}`] ??
          row["lowest_sounding_midi"]!.replace(/\.0$/, ""),
        highest: row["highest_sounding_midi"]!.replace(/\.0$/, ""),
        quarters: ARGUED_QUARTERS[`${file} ${row["part_name"]}`] ?? Number(row["total_quarters"]),
      }, `${file}, ${row["part_name"]}`);
    }
    assertEquals(scores.size, 11);
  });
}

/** Sounding pitch of a name in which flats are written with a minus sign. */
function midiOf(name: string): number {
  return pitchOf(name.replaceAll("-", "b")) ?? NaN;
}

/** Highest pitch that sounds in a part, undefined in a rest. */
function highestAt(notes: readonly Note[], ticks: number): number | undefined {
  const sounding = notes.filter((n) => n.onsetTicks <= ticks && n.onsetTicks + n.durationTicks > ticks);
  return sounding.length === 0 ? undefined : Math.max(...sounding.map((n) => n.soundingPitch));
}

/**
 * What is left after this: in `Beethoven_Op.55_1`, bars 464 and 465, the second oboe rests in the score and
 * plays in the table; in `Beethoven_Op.21_1`, bar 73, it is the other way round for two flutes.
 */
if (folder) {
  Deno.test("at 99.98 % of the corpus authors' time points and parts the highest sounding pitch is the same, first time through", () => {
    const shares: Record<string, number> = {};
    for (const entry of Deno.readDirSync(folder)) {
      if (!entry.name.endsWith(".highest_pitch.csv")) continue;
      const work = entry.name.replace(".highest_pitch.csv", "");
      const score = read(`${work}.mxl`);
      const byPart = score.parts.map((_, part) => score.notes.filter((n) => n.part === part && !n.grace));
      const rows = csvRows(new URL(entry.name, folder));
      const columns = Object.keys(rows[0]!).slice(4);
      // An unpitched part has a line on the stave there, not a pitch.
      const pitchedParts = columns.map((_, part) => part).filter((part) =>
        !byPart[part]!.some((n) => n.unpitched)
      );
      let same = 0;
      let compared = 0;
      let before = "";
      let barQuarters = 0;
      let repeated = false;
      const seen = new Set<string>();
      for (const row of rows) {
        const measure = row["measure"]!;
        const { startTicks, durationTicks } = score.bars[Number(measure) - 1]!;
        const quarters = Number(row["qstamp"]);
        if (measure !== before) {
          // Where nothing begins on the first beat, the bar begins where the one before it ended.
          const length = before === ""
            ? 0
            : score.bars[Number(before) - 1]!.durationTicks / score.ticksPerQuarter;
          barQuarters = row["beat"] === "1.0" ? quarters : barQuarters + length;
          repeated = seen.has(measure);
          seen.add(measure);
          before = measure;
        }
        const at = (quarters - barQuarters) * score.ticksPerQuarter;
        if (repeated || at >= durationTicks) continue;
        // The table prints four decimals; at 0.3333 it may show the note before or after one third.
        const onGrid = Math.abs(at - Math.round(at)) < 1e-6;
        const samples = (onGrid ? [at] : [at - 0.01, at + 0.01]).map((t) => startTicks + t);
        for (const part of pitchedParts) {
          const cell = row[columns[part]!]!;
          const theirs = cell === "r" ? undefined : midiOf(cell);
          compared++;
          if (samples.some((ticks) => highestAt(byPart[part]!, ticks) === theirs)) same++;
        }
      }
      shares[work] = same / compared;
    }
    for (const [work, share] of Object.entries(shares)) assertGreaterOrEqual(share, 0.9998, work);
    assertEquals(Object.keys(shares).length, 4);
  });

  Deno.test("seconds follow the corpus authors' clock to their four decimals, up to the first repeat", () => {
    for (
      const [work, rows] of Object.entries({
        "Bach_BWV.1048_1": 1975,
        "Beethoven_Op.21_1": 659,
        "Beethoven_Op.55_1": 745,
        "Beach_Op.32_2": 456,
      })
    ) {
      const score = read(`${work}.mxl`);
      let before = 0;
      let compared = 0;
      for (const row of csvRows(new URL(`${work}.highest_pitch.csv`, folder))) {
        const measure = Number(row["measure"]);
        if (measure < before) break;
        before = measure;
        const seconds = secondsOf(score, Number(row["qstamp"]) * score.ticksPerQuarter);
        assertAlmostEquals(seconds, Number(row["tstamp"]), 1e-4, `${work}, bar ${measure}`);
        compared++;
      }
      assertEquals([work, compared], [work, rows]);
    }
  });
}
