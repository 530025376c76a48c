/**
 * Playability on whole scores, left alone and spoilt on purpose. The scores are the demo's and, where it is
 * beside the checkout, OpenScore Orchestra (MarkGotham/Hauptstimme, commit
 * 8f677853c45b74ca0afcd79677e5379c06c82354, CC0 1.0): eight movements that have been played for a century and more.
 */
import {
  assert,
  assertEquals,
  assertGreater,
  assertGreaterOrEqual,
  assertLess,
  assertLessOrEqual,
} from "@std/assert";
import { demoPlans, demoSketch, instrumentById, type Note, playability, realise, type Score } from "ripieno";
import { breathSeconds, rateLimits } from "ripieno/instruments";
import { gatherFindings } from "ripieno/measures";
import { clockOf, soundingNotes } from "ripieno/score";
import { openScore } from "../setup/open_scores.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { smallScore } from "./small_scores.ts";

const folder = sharedFolder("openscore-orchestra");
const demos: readonly (readonly [string, Score])[] = Object.entries(demoPlans())
  .map(([name, plan]) => [name, realise(demoSketch(), plan)]);
const movements: readonly (readonly [string, Score])[] = folder
  ? [...Deno.readDirSync(folder)].map((entry) => entry.name).filter((name) => name.endsWith(".mxl"))
    .toSorted()
    .map((name) => [
      name.replace(".mxl", ""),
      openScore(new URL(name, folder)),
    ])
  : [];
const scores = [...demos, ...movements];

/** What is left of the untouched movements; all 32 movements stand in impossible_on_scores_test.ts. */
const EXPLAINED: readonly {
  readonly where: string;
  readonly kind: "true" | "slip" | "ours";
  readonly why: string;
}[] = [
  {
    where: "Brahms_Op.90_3, Violoncello, bar 11, tempo",
    kind: "slip",
    why: "116 quarters a minute written for Poco allegretto in 3/8: at half of it the turned fives pass",
  },
];

Deno.test("untouched: nothing is impossible in the demo, and in the movements only what is explained", () => {
  let notes = 0;
  const found: string[] = [];
  for (const [name, score] of scores) {
    const { whole, findings } = playability(score);
    notes += whole.notes;
    found.push(
      ...findings.filter((f) => f.severity === "impossible")
        .map((f) => `${name}, ${f.partName}, bar ${f.bar}, ${f.rule}`),
    );
  }
  const expected = movements.length > 0 ? EXPLAINED.map((e) => e.where) : [];
  assertEquals(found.toSorted(), expected.toSorted());
  console.log(
    `impossible: ${found.length} in ${notes} notes, ${(1000 * found.length / notes).toFixed(2)} per 1,000; ` +
      ["true", "slip", "ours"].map((k) => `${EXPLAINED.filter((e) => e.kind === k).length} ${k}`).join(", "),
  );
  assertLess(found.length, 0.5 * notes / 1000);
});

/** A movement with its slip put right. */
const MENDED: Readonly<Record<string, (score: Score) => Score>> = {
  "Brahms_Op.90_3": (score) => ({
    ...score,
    tempos: score.tempos.map((t) => ({ ...t, quartersPerMinute: t.quartersPerMinute / 2 })),
  }),
  "Beethoven_Op.92_1": (score) => ({
    ...score,
    notes: score.notes.map((n) =>
      score.parts[n.part]!.name === "A Horn 2" && n.soundingPitch === 28 ? { ...n, soundingPitch: 40 } : n
    ),
  }),
};

if (movements.length > 0) {
  Deno.test("untouched: with the slips of the files put right, nothing stays impossible but what is truly so", () => {
    const found = movements.flatMap(([name, score]) =>
      playability((MENDED[name] ?? ((each) => each))(score)).findings
        .filter((f) => f.severity === "impossible")
        .map((f) => `${name}, ${f.partName}, bar ${f.bar}, ${f.rule}`)
    );
    const expected = EXPLAINED.filter((e) => e.kind === "true").map((e) => e.where);
    assertEquals(found.toSorted(), expected.toSorted());
  });
}

/** Rows that fit on two pages of a report. */
const READABLE_ROWS = 60;

Deno.test("untouched: the findings of a movement read as a page or two", () => {
  for (const [name, score] of scores) {
    const { findings } = playability(score);
    const rows = gatherFindings(findings);
    console.log(`${name}: ${score.parts.length} parts, ${findings.length} findings, ${rows.length} rows`);
    assertLessOrEqual(rows.length, READABLE_ROWS, name);
  }
});

/** The score with one part's notes only, changed: quick to judge, the other parts have no say in it. */
function alone(score: Score, part: number, change: (note: Note) => Note = (note) => note): Score {
  return { ...score, notes: score.notes.filter((n) => n.part === part).map(change) };
}

const pitched = (score: Score, part: number) =>
  soundingNotes(score).filter((n) => n.part === part && !n.unpitched && n.technique !== "harmonic")
    .map((n) => n.soundingPitch);

Deno.test("mutation: every part moved out of its range by octaves is caught, by the rule of range", () => {
  let caught = 0;
  let made = 0;
  for (const [name, score] of scores) {
    score.parts.forEach((part, p) => {
      const pitches = pitched(score, p);
      if (pitches.length === 0) return;
      const { low, high } = instrumentById(part.instrument).rangeExtreme;
      const up = 12 * Math.max(1, Math.ceil((high + 1 - Math.max(...pitches)) / 12));
      const down = -12 * Math.max(1, Math.ceil((Math.min(...pitches) + 1 - low) / 12));
      for (const shift of [up, down]) {
        const found = playability(
          alone(score, p, (n) => ({ ...n, soundingPitch: n.soundingPitch + shift })),
        ).findings.filter((f) => f.severity === "impossible" && f.rule === "range");
        made++;
        if (found.length > 0) caught++;
        else console.log(`${name}, ${part.name}, ${shift}`);
      }
    });
  }
  console.log(`parts moved out of range: ${caught} of ${made} caught`);
  assertGreaterOrEqual(made, 60);
  assertEquals(caught, made);
});

const OTHERS = ["piccolo", "bassoon", "trumpet in C", "tuba", "violin", "double bass"];

Deno.test("mutation: a part given to an instrument that has not all its notes is caught, by the rule of range", () => {
  let caught = 0;
  let made = 0;
  for (const [, score] of scores) {
    score.parts.forEach((_, p) => {
      const pitches = pitched(score, p);
      for (const id of OTHERS.filter((_, i) => i % 3 === p % 3)) {
        const { low, high } = instrumentById(id).rangeExtreme;
        if (!pitches.some((pitch) => pitch < low || pitch > high)) continue;
        const wrong = {
          ...alone(score, p),
          parts: score.parts.map((part, q) => q === p ? { ...part, instrument: id } : part),
        };
        made++;
        if (playability(wrong).findings.some((f) => f.rule === "range" && f.severity === "impossible")) {
          caught++;
        }
      }
    });
  }
  console.log(`parts given to the wrong instrument: ${caught} of ${made} caught`);
  assertGreaterOrEqual(made, 100);
  assertEquals(caught, made);
});

const doubled = (score: Score): Score => ({
  ...score,
  tempos: score.tempos.map((t) => ({ ...t, quartersPerMinute: 2 * t.quartersPerMinute })),
});

/** Six notes of one voice in even steps beyond every rate the catalogue has for the instrument, whatever the technique. */
interface TooFast {
  readonly part: number;
  readonly fromTicks: number;
  readonly slurred: boolean;
}

function tooFastIn(score: Score): readonly TooFast[] {
  const clock = clockOf(score);
  const found: TooFast[] = [];
  const voices = Map.groupBy(
    soundingNotes(score),
    (n) => `${n.part} ${n.staff} ${n.voice}`,
  );
  for (const all of voices.values()) {
    const notes = [...Map.groupBy(all, (n) => n.onsetTicks).values()].map((chord) => chord[0]!);
    const limits = rateLimits(instrumentById(score.parts[notes[0]!.part]!.instrument));
    const most = (...kinds: readonly string[]) =>
      Math.max(0, ...limits.filter((l) => kinds.includes(l.kind)).map((l) => l.maximumPerSecond));
    const [attacked, slurred] = [most("repeated", "legato"), most("legato", "trill")];
    for (let i = 0; i + 5 < notes.length; i += 5) {
      const six = notes.slice(i, i + 6);
      if (six.some((n) => n.trill || n.tremoloSlashes > 0)) continue;
      const steps = six.slice(1).map((n, k) => n.onsetTicks - six[k]!.onsetTicks);
      if (new Set(steps).size > 1) continue;
      const perSecond = 5 / (clock(six[5]!.onsetTicks) - clock(six[0]!.onsetTicks));
      const under = six.slice(1).filter((n) => n.slurred).length;
      const moving = six.slice(1).every((n, k) => n.soundingPitch !== six[k]!.soundingPitch);
      if (under === 0 && attacked > 0 && perSecond > attacked) {
        found.push({ part: six[0]!.part, fromTicks: six[0]!.onsetTicks, slurred: false });
      } else if (under === 5 && moving && slurred > 0 && perSecond > slurred) {
        found.push({ part: six[0]!.part, fromTicks: six[0]!.onsetTicks, slurred: true });
      }
    }
  }
  return found;
}

Deno.test("mutation: at twice the tempo, runs beyond every rate of the catalogue are caught, by the rate that is at fault", () => {
  let caught = 0;
  let made = 0;
  for (const [, score] of scores) {
    const fast = doubled(score);
    const rates = playability(fast).findings.filter((f) =>
      f.rule.endsWith("rate") && (f.severity === "impossible" || f.severity === "risky")
    );
    for (const { part, fromTicks, slurred } of tooFastIn(fast)) {
      const bar = fast.bars.findLastIndex((b) => b.startTicks <= fromTicks);
      made++;
      const rule = (name: string) => slurred ? name !== "repeated-note rate" : name !== "trill rate";
      if (
        rates.some((f) => f.part === part && f.fromBarIndex <= bar && bar <= f.toBarIndex && rule(f.rule))
      ) caught++;
    }
  }
  console.log(`runs too fast at twice the tempo: ${caught} of ${made} caught`);
  assertGreaterOrEqual(made, 5);
  assertGreaterOrEqual(caught, 0.95 * made);
});

Deno.test("mutation: with every rest and breath mark of a wind part filled under one slur, breath is named", () => {
  let caught = 0;
  let made = 0;
  for (const [, score] of scores) {
    const clock = clockOf(score);
    score.parts.forEach((part, p) => {
      const instrument = instrumentById(part.instrument);
      // The softest dynamic and the register that takes least air: nobody can do more.
      const longest = breathSeconds(instrument, 1);
      const own = soundingNotes(score).filter((n) => n.part === p);
      if (longest === null || part.players > 1 || own.length < 2) return;
      const onsets = [...new Set(own.map((n) => n.onsetTicks))];
      const seconds = clock(onsets.at(-1)!) - clock(onsets[0]!);
      if (seconds < 2 * longest) return;
      const next = new Map(onsets.map((ticks, i) => [ticks, onsets[i + 1]]));
      const filled = alone(score, p, (n) => {
        const end = next.get(n.onsetTicks);
        return {
          ...n,
          articulations: [],
          slurred: n.onsetTicks > onsets[0]!,
          durationTicks: n.grace || n.cue || end === undefined ? n.durationTicks : end - n.onsetTicks,
        };
      });
      made++;
      if (playability(filled).findings.some((f) => f.rule === "breath" && f.severity !== "note")) caught++;
    });
  }
  console.log(`wind parts without a rest: ${caught} of ${made} caught`);
  assertGreater(made, 20);
  assertEquals(caught, made);
});

Deno.test("mutation: a part handed to one player instead of a section is told what he cannot stop", () => {
  let made = 0;
  // G3 and B3 lie on one string.
  const own = smallScore([{
    instrument: "violin",
    role: "pad",
    players: 12,
    notes: [55, 59].map((pitch) => ({ at: 0, quarters: 4, pitch })),
  }]);
  for (const score of [own, ...scores.map(([, each]) => each)]) {
    score.parts.forEach((part, p) => {
      if (part.players < 2 || instrumentById(part.instrument).family !== "strings") return;
      const onOneString = [...Map.groupBy(soundingNotes(alone(score, p)), (n) => n.onsetTicks).values()]
        .some((chord) => {
          const pitches = [...new Set(chord.map((n) => n.soundingPitch))].sort((a, b) => a - b);
          // Two notes below the second string lie on one string, whatever the tuning's table says of the hand.
          return pitches.length > 1 && pitches[1]! < LOWEST_SECOND_STRING[part.instrument]!;
        });
      if (!onOneString) return;
      made++;
      const solo = {
        ...alone(score, p),
        parts: score.parts.map((each, q) => q === p ? { ...each, players: 1 } : each),
      };
      assert(
        playability(solo).findings.some((f) => f.rule === "stops" && f.severity === "impossible"),
        part.name,
      );
    });
  }
  console.log(`divided string parts handed to one player: ${made} of ${made} caught`);
  assertGreaterOrEqual(made, 1);
});

/** Open second strings, sounding (standard tuning, common knowledge). */
const LOWEST_SECOND_STRING: Readonly<Record<string, number>> = {
  violin: 62,
  viola: 55,
  cello: 43,
  "double bass": 33,
};
