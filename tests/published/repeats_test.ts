/**
 * Repeats against two open sources. Measure maps and time points of OpenScore Orchestra (MarkGotham/Hauptstimme,
 * commit 8f677853c45b74ca0afcd79677e5379c06c82354, CC BY-SA): which bar may follow which, and every time
 * point of four movements with repeats played. The files named 45 of the unofficial MusicXML test suite
 * (cuthbertLab/musicxmlTestSuite, MIT licence): their bars, in an order worked out by hand from the signs.
 */
import { assertAlmostEquals, assertEquals, assertGreaterOrEqual } from "@std/assert";
import { pitchOf, unfoldRepeats } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { secondsOf } from "ripieno/score";
import type { Note, Score } from "ripieno";
import { memo } from "../../lib/base/memo.ts";
import { playingOrder } from "../../lib/score/playing_order.ts";
import { openScore } from "../setup/open_scores.ts";
import { csvRows, sharedFolder } from "../setup/shared_data.ts";

const suite = sharedFolder("musicxml-testsuite");
const scores = sharedFolder("openscore-orchestra");

/** Bars from 1, in the order in which they are played. */
const SUITE: Readonly<Record<string, string>> = {
  "45a-SimpleRepeat.xml": "1 1 1 1 1 2",
  "45b-RepeatWithAlternatives.xml": "1 2 1 3 4",
  // A second end sign without a beginning goes back to the first one: signs are not nested.
  "45c-RepeatMultipleTimes.xml": "1 2 3 2 3 2 3 2 3 2 3 4 5 6 7 4 5 6 7 4 5 6 7 8",
  "45d-Repeats-Nested-Alternatives.xml": "1 2 1 3 4 5 1 6 7 8 9 1 10 1 11 12",
  "45e-Repeats-Nested-Alternatives.xml": "1 2 1 3 4 5 5 6 7 6 8 9 8 9 10",
  "45g-Repeats-NotEnded.xml": "1 2",
};

Deno.test("a bracket drawn over the first of its bars holds to its repeat sign, in an example of our own", () => {
  const bar = (inner: string) =>
    `<measure>${inner}<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note></measure>`;
  const ending = (type: string, number: number) => `<ending number="${number}" type="${type}"/>`;
  const right = (inner: string) => `<barline location="right">${inner}</barline>`;
  const left = (inner: string) => `<barline location="left">${inner}</barline>`;
  const score = readMusicXml(
    `<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list><part id="P1">${
      bar("<attributes><divisions>1</divisions></attributes>")
    }${bar(left(ending("start", 1)) + right(ending("discontinue", 1)))}${
      bar(right(`<repeat direction="backward"/>`))
    }${bar(left(ending("start", 2)) + right(ending("discontinue", 2)))}${bar("")}</part></score-partwise>`,
  );
  assertEquals(playingOrder(score).map((b) => b + 1), [1, 2, 3, 1, 4, 5]);
});

if (suite) {
  Deno.test("the test suite's files on repeats are played in the order worked out by hand", () => {
    for (const [file, order] of Object.entries(SUITE)) {
      // The bars hold rests; a score of rests only is refused, so the first rest is made a note.
      const xml = Deno.readTextFileSync(new URL(`xmlFiles/${file}`, suite))
        .replace(/<rest\b[^>]*?\/>|<rest>\s*<\/rest>/, "<pitch><step>C</step><octave>5</octave></pitch>");
      assertEquals([file, playingOrder(readMusicXml(xml)).map((b) => b + 1).join(" ")], [file, order]);
    }
  });
}

/**
 * Bar 168 of this movement, in which all parts rest, lasts two quarters in the file and by the reference counts
 * (`reference_counts.csv`), and four in the table of time points, which runs two quarters late from there on.
 */
const LATE = { work: "Beach_Op.32_2", fromQuarter: 442.5, quarters: 2 };

interface MeasureMap {
  readonly count: number;
  readonly next: readonly number[];
}

if (scores) {
  const known = memo<Score>(32);

  /** A movement, read when it is first asked for. */
  const movement = (work: string) => known(work, () => openScore(new URL(`${work}.mxl`, scores)));

  Deno.test("in eight movements every bar is followed by those that the corpus authors' measure maps name", () => {
    let followed = 0;
    let jumps = 0;
    for (const entry of Deno.readDirSync(scores)) {
      if (!entry.name.endsWith(".mm.json")) continue;
      const work = entry.name.replace(".mm.json", "");
      const rows: MeasureMap[] = JSON.parse(Deno.readTextFileSync(new URL(entry.name, scores)));
      // Where the map has no row for a bar, the next bar follows.
      const next = new Map(rows.map((row) => [row.count, row.next]));
      const score = movement(work);
      const order = playingOrder(score).map((b) => b + 1);
      const seen = new Map<number, Set<number>>();
      order.forEach((bar, i) => {
        const after = order[i + 1] ?? -1;
        seen.set(bar, (seen.get(bar) ?? new Set()).add(after));
        followed++;
        if (after !== bar + 1) jumps++;
      });
      for (let bar = 1; bar <= score.bars.length; bar++) {
        assertEquals(
          [...seen.get(bar)!].sort((a, b) => a - b),
          next.get(bar) ?? [bar + 1],
          `${work}, bar ${bar}`,
        );
      }
    }
    assertEquals([followed, jumps], [3172, 16]);
  });

  Deno.test("with repeats played, every time point of four movements falls in its bar, and the clock runs as theirs", () => {
    let compared = 0;
    let late = 0;
    for (const work of ["Bach_BWV.1048_1", "Beethoven_Op.21_1", "Beethoven_Op.55_1", "Beach_Op.32_2"]) {
      const printed = movement(work);
      const order = playingOrder(printed);
      const score = unfoldRepeats(printed);
      const { bars, ticksPerQuarter } = score;
      let bar = 0;
      let before = { seconds: 0, theirs: 0 };
      for (const row of csvRows(new URL(`${work}.highest_pitch.csv`, scores))) {
        // The table prints four decimals, so a third of a bar may fall short of the bar line.
        const quarters = Number(row["qstamp"]);
        const isLate = work === LATE.work && quarters >= LATE.fromQuarter;
        const ticks = (quarters - (isLate ? LATE.quarters : 0)) * ticksPerQuarter;
        while (bar + 1 < bars.length && bars[bar + 1]!.startTicks <= ticks + 1e-3 * ticksPerQuarter) bar++;
        const place = `${work}, quarter ${row["qstamp"]}`;
        assertEquals([place, order[bar]! + 1], [place, Number(row["measure"])]);
        const seconds = secondsOf(score, ticks);
        const theirs = Number(row["tstamp"]);
        if (isLate && quarters === LATE.fromQuarter) late++;
        else assertAlmostEquals(seconds - before.seconds, theirs - before.theirs, 3e-4, place);
        before = { seconds, theirs };
        compared++;
      }
    }
    assertEquals([compared, late], [1975 + 2264 + 4090 + 1873, 1]);
  });

  Deno.test("with repeats played, the highest pitch of every part is the one in the table at 99.9 % of the time points", () => {
    for (const work of ["Bach_BWV.1048_1", "Beethoven_Op.21_1", "Beethoven_Op.55_1"]) {
      const score = unfoldRepeats(movement(work));
      const byPart = score.parts.map((_, part) => score.notes.filter((n) => n.part === part && !n.grace));
      const rows = csvRows(new URL(`${work}.highest_pitch.csv`, scores));
      const columns = Object.keys(rows[0]!).slice(4);
      let same = 0;
      columns.forEach((column, part) => {
        const notes = byPart[part]!;
        let first = 0;
        for (const row of rows) {
          const ticks = (Number(row["qstamp"]) + 1e-4) * score.ticksPerQuarter;
          while (first < notes.length && endOf(notes[first]!) <= ticks - 16 * score.ticksPerQuarter) first++;
          let highest = -1;
          for (let i = first; i < notes.length && notes[i]!.onsetTicks <= ticks; i++) {
            if (endOf(notes[i]!) > ticks) highest = Math.max(highest, notes[i]!.soundingPitch);
          }
          const cell = row[column]!;
          if (highest === (cell === "r" ? -1 : pitchOf(cell.replaceAll("-", "b")))) same++;
        }
      });
      assertGreaterOrEqual(same / (rows.length * columns.length), 0.999, work);
    }
  });
}

/** End of a note in ticks. */
function endOf(note: Note): number {
  return note.onsetTicks + note.durationTicks;
}
