/**
 * The same music on another page is read alike: an empty upbeat, another order of parts, another key, other note values,
 * fewer bar lines, a second player, a second stave, a section divided. On settings of our own, on a movement that is free for
 * any use, and on open scores where they stand beside the checkout.
 */
import { assertEquals, assertLessOrEqual } from "@std/assert";
import type { PartNotation, Score } from "../../lib/score/model.ts";
import { toldApart } from "../../lib/score/told_apart.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { trackLead } from "../../lib/texture/recognise/track_lead.ts";
import { practiceSettings } from "../setup/practice_settings.ts";
import { random } from "../setup/random.ts";
import { openScore } from "../setup/open_scores.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { someBars } from "../setup/some_bars.ts";
import {
  divided,
  inDoubledValues,
  inOrder,
  onTwoStaves,
  transposed,
  withEmptyUpbeat,
  withHalfTheBarLines,
  withSecondPlayer,
} from "./changed_scores.ts";

/** A score under a name, with what is read of it. */
interface Read {
  readonly name: string;
  readonly score: Score;
  readonly roles: readonly string[];
}

const NO_NOTATION: PartNotation = {
  staves: 1,
  clefs: [],
  keys: [],
  transpositions: [],
  words: [],
  lines: [],
  pauses: [],
  tuplets: [],
};

/** As a reader has it that finds parts of one name: told apart, with what is printed kept. */
const partsNamedApart = (score: Score): Score =>
  toldApart({ ...score, parts: score.parts.map((p) => ({ ...p, notation: p.notation ?? NO_NOTATION })) });

const rolesOf = (score: Score) => recognise(score).cells.map((c) => c.role);

function read(name: string, score: Score): Read {
  return { name, score, roles: rolesOf(score) };
}

/** Music enough for every role and for hand-overs of the lead; an even number of bars. */
const BARS = 96;

const opening = (score: Score) => someBars(score, { from: 0, to: BARS - 1 });

/** Open movements that no weight was fitted to, but for one in 2/4. */
const OPEN = [
  "openscore-orchestra/Beethoven_Op.67_1",
  "openscore-orchestra-more/Beethoven_Op.92_4",
  "openscore-orchestra-more/Beethoven_Op.60_2",
  "openscore-orchestra-more/Brahms_Op.68_1",
];

const generated = practiceSettings().filter((_, i) => i % 5 === 0)
  .map(({ score }, i) => read(`setting ${i + 1}`, score));
const data = sharedFolder("openscore-orchestra") && sharedFolder("openscore-orchestra-more");
const open = data === undefined
  ? []
  : OPEN.map((path) => read(path, opening(openScore(new URL(`../${path}.mxl`, data)))));
const all = [...generated, ...open];

/**
 * Settings of our own change in every way; passages of movements take seconds to read, and each changes in some of them: what is read
 * otherwise for a length, an interval or a place on the page is so in any music.
 *
 * @param way number of the way
 * @param every each way is for one in so many movements, another for the next
 */
const changedBy = (way: number, every: number) => [
  ...generated,
  ...open.filter((_, i) => i % every === way % every),
];

/** Share of the sounding cells whose role is another one, in percent; `at` says which cell of the other page a cell is. */
function changed(
  { roles, score }: Read,
  other: readonly string[],
  at: (bar: number, part: number) => number,
): number {
  const parts = score.parts.length;
  let [cells, differ] = [0, 0];
  roles.forEach((role, i) => {
    const there = other[at(Math.floor(i / parts), i % parts)]!;
    if (role === "rest" && there === "rest") return;
    cells++;
    if (role !== there) differ++;
  });
  return 100 * differ / Math.max(1, cells);
}

/** Prints the greatest share by name and returns it. */
function greatest(what: string, shares: readonly (readonly [string, number])[]): number {
  const most = shares.reduce((a, b) => b[1] > a[1] ? b : a);
  const mean = shares.reduce((sum, [, x]) => sum + x, 0) / shares.length;
  console.log(
    `  ${what}: ${mean.toFixed(1)} % of the cells on average, ${most[1].toFixed(1)} % in ${most[0]}`,
  );
  return most[1];
}

Deno.test("an empty upbeat of any length changes no role", () => {
  for (const [way, quarters] of [1 / 8, 1 / 2, 1, 3 / 4, 3, 4].entries()) {
    const shares = changedBy(way, 4).map((r) => {
      const parts = r.score.parts.length;
      const there = rolesOf(withEmptyUpbeat(r.score, quarters));
      return [r.name, changed(r, there, (b, p) => (b + 1) * parts + p)] as const;
    });
    assertEquals(greatest(`an upbeat of ${quarters} quarters`, shares), 0);
  }
});

Deno.test("the order of the parts on the page changes no role, and not the chief line", () => {
  const next = random(7);
  for (const kind of ["from below", "shuffled"] as const) {
    const roles: (readonly [string, number])[] = [];
    const chiefs: (readonly [string, number])[] = [];
    for (const r of all) {
      const parts = r.score.parts.map((_, p) => p);
      const order = kind === "from below"
        ? parts.toReversed()
        : parts.map((p) => [next(), p] as const).sort((a, b) => a[0] - b[0]).map(([, p]) => p);
      const other = inOrder(r.score, order);
      roles.push([r.name, changed(r, rolesOf(other), (b, p) => b * order.length + order.indexOf(p))]);
      const [here, there] = [trackLead(r.score), trackLead(other)];
      const differ = here.filter(({ part }, b) => {
        const p = there[b]!.part;
        return part !== (p === null ? null : order[p]);
      });
      chiefs.push([r.name, 100 * differ.length / here.length]);
    }
    assertEquals(greatest(`parts ${kind}`, roles), 0);
    assertEquals(greatest(`chief line, parts ${kind}`, chiefs), 0);
  }
});

Deno.test("another key that keeps the registers changes at most one role in a hundred", () => {
  for (const [way, semitones] of [-3, -1, 2, 3].entries()) {
    const shares = open.filter((_, i) => i % 2 === way % 2).map((r) => {
      const parts = r.score.parts.length;
      return [r.name, changed(r, rolesOf(transposed(r.score, semitones)), (b, p) => b * parts + p)] as const;
    });
    if (shares.length > 0) assertLessOrEqual(greatest(`${semitones} semitones`, shares), 1);
  }
});

Deno.test("note values doubled, and the tempo with them, change hardly a role", () => {
  const shares = all.map((r) => {
    const parts = r.score.parts.length;
    return [r.name, changed(r, rolesOf(inDoubledValues(r.score)), (b, p) => b * parts + p)] as const;
  });
  assertLessOrEqual(greatest("doubled values", shares), 3);
});

/**
 * Movements in 2/4 with the most roles that half the bar lines may change, in percent. In the last three, beats are slow
 * enough to be felt in halves; where two such bars are one of 4/4, the page says that they are not.
 */
const IN_TWO: readonly (readonly [path: string, most: number])[] = [
  ["openscore-orchestra/Beethoven_Op.67_1", 5],
  ["openscore-orchestra-more/Beethoven_Op.92_4", 5],
  ["openscore-orchestra-more/Beethoven_Op.21_4", 5],
  ["openscore-orchestra-more/Beethoven_Op.60_4", 5],
  ["openscore-orchestra-more/Beethoven_Op.92_2", 8], // 5 is the aim
  ["openscore-orchestra-more/Beethoven_Op.55_2", 14],
  ["openscore-orchestra-more/Brahms_Op.68_3", 26],
];

Deno.test("two bars of 2/4 written as one of 4/4 are read as one of them was", () => {
  for (const [path, most] of data === undefined ? [] : IN_TWO) {
    const r = open.find(({ name }) => name === path) ??
      read(path, opening(openScore(new URL(`../${path}.mxl`, data))));
    const parts = r.score.parts.length;
    const there = rolesOf(withHalfTheBarLines(r.score));
    let [cells, differ] = [0, 0];
    r.roles.forEach((role, i) => {
      const bar = Math.floor(i / parts);
      const other = r.roles[(bar ^ 1) * parts + i % parts];
      if (role === "rest" || bar % 2 === 1 && other !== "rest") return; // each bar of 4/4 once
      cells++;
      if (![role, other].includes(there[Math.floor(bar / 2) * parts + i % parts])) differ++;
    });
    assertLessOrEqual(greatest("half the bar lines", [[r.name, 100 * differ / cells]]), most);
  }
});

Deno.test("a second player on a line, on a stave or a part of its own, changes nothing that is read", () => {
  const shares = [0, 1 / 2, 1].flatMap((height, way) =>
    changedBy(way, 3).flatMap((r) => {
      const parts = r.score.parts.length;
      const part = Math.floor(height * (parts - 2));
      const place = (p: number) => p > part ? p + 1 : p;
      const there = rolesOf(withSecondPlayer(r.score, part));
      const second = changed(r, there, (b, p) => b * (parts + 1) + (p === part ? p + 1 : place(p)));
      return [
        [r.name, changed(r, there, (b, p) => b * (parts + 1) + place(p))] as const,
        [`${r.name}, the second player`, second] as const,
        [
          `${r.name}, two staves`,
          changed(r, rolesOf(onTwoStaves(r.score, part)), (b, p) => b * parts + p),
        ] as const,
      ];
    })
  );
  assertEquals(greatest("second players", shares), 0);
});

Deno.test("a section divided on two staves of one name is read as on one", () => {
  const shares = open.flatMap((r, i) => {
    const parts = r.score.parts.length;
    return [parts - 5 + i % 3].map((part) => {
      const there = rolesOf(partsNamedApart(divided(r.score, part)));
      const share = changed(r, there, (b, p) => b * (parts + 1) + (p > part ? p + 1 : p));
      return [`${r.name}, ${r.score.parts[part]!.name}`, share] as const;
    });
  });
  if (shares.length > 0) assertEquals(greatest("divided", shares), 0);
});
