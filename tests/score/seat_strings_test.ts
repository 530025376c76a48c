/** Staves that divide a section share its players: however they are called, and in whatever order they stand. */
import { assert, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { allInstruments, readScore, type Score } from "ripieno";
import { readMusicXml, writeMusicXml } from "ripieno/formats";
import { makeNote, seatStrings, type StringSizes } from "ripieno/score";
import { areOneSection, sharedSections } from "../../lib/score/seat_strings.ts";
import { sharedFolder } from "../setup/shared_data.ts";

/** MusicXML with a whole note in each of the named parts. */
function fileOf(names: readonly string[]): Uint8Array {
  const list = names.map((name, i) => `<score-part id="P${i}"><part-name>${name}</part-name></score-part>`);
  const parts = names.map((_, i) =>
    `<part id="P${i}"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats>` +
    `<beat-type>4</beat-type></time></attributes><note><pitch><step>G</step><octave>4</octave></pitch>` +
    `<duration>4</duration></note></measure></part>`
  );
  return new TextEncoder().encode(
    `<score-partwise version="4.0"><part-list>${list.join("")}</part-list>${parts.join("")}</score-partwise>`,
  );
}

const playersIn = (names: readonly string[]) => readMusicXml(fileOf(names)).parts.map((p) => p.players);

Deno.test("staves of one section share its players when a file is read", () => {
  const cases: readonly (readonly [names: readonly string[], players: readonly number[]])[] = [
    [["Violin"], [12]],
    [["Violin", "Violin"], [12, 12]],
    [["Violin I", "Violin II"], [12, 12]],
    [["Violins 1, 2"], [24]],
    [["Violin", "Violin", "Violin"], [8, 8, 8]],
    [Array(8).fill("Violin"), Array(8).fill(3)],
    [["Violin 1", "Violin 2", "Violin 3"], [8, 8, 8]],
    [["Violini I div.", "Violini I div.", "Violini II"], [6, 6, 12]],
    [["Violin I", "Violin I", "Violin I", "Violin II", "Violin II"], [4, 4, 4, 6, 6]],
    [["Solo Violin", "Violin I", "Violin II"], [1, 12, 12]],
    [["Viola 1", "Viola 2"], [4, 4]],
    [["Viola", "Cello", "Cello", "Double Bass"], [8, 4, 4, 6]],
    [["Horn 1", "Horn 2", "Horn 3"], [1, 1, 1]],
    [["Soprano 1", "Soprano 2", "Alto"], [6, 6, 12]],
  ];
  for (const [names, players] of cases) assertEquals([names, playersIn(names)], [names, players]);
});

Deno.test("sharing adds and loses nobody but for rounding, and does not hang on the order of the parts", () => {
  const names = fc.array(
    fc.constantFrom(
      "Violin",
      "Violini I",
      "Violin II",
      "Violin I div.",
      "Viola",
      "Viola 2",
      "Cello",
      "Flute",
    ),
    { minLength: 1, maxLength: 10 },
  );
  fc.assert(
    fc.property(names, fc.infiniteStream(fc.nat()), (list, order) => {
      const players = playersIn(list);
      const shuffled = list.map((name, i) => ({ name, i, key: order.next().value! }))
        .sort((a, b) => a.key - b.key);
      const again = playersIn(shuffled.map((s) => s.name));
      const sumOf = (names: readonly string[], all: readonly number[], stem: string) =>
        names.reduce((sum, name, i) => name.startsWith(stem) ? sum + all[i]! : sum, 0);
      for (const [stem, most] of [["Viol", 24], ["Viola", 8], ["Cello", 8]] as const) {
        const own = list.filter((n) => n.startsWith(stem) && (stem !== "Viol" || !n.startsWith("Viola")));
        const sum = sumOf(own, own.map((n) => players[list.indexOf(n)]!), stem);
        assert(sum <= most + own.length / 2, `${list.join(", ")}: ${sum} on ${own.length} staves`);
      }
      assertEquals(
        again.toSorted((a, b) => a - b),
        players.toSorted((a, b) => a - b),
      );
    }),
    { numRuns: 100 },
  );
});

Deno.test("a stave that plays while the others of its section rest has all its players", () => {
  const part = (name: string) => ({ name, instrument: "viola", players: 8 });
  const parts = [part("Violas long"), part("Violas short")];
  const at = (part: number, onsetTicks: number) =>
    makeNote({ part, onsetTicks, durationTicks: 4, soundingPitch: 60 });
  const inTurn = Array.from({ length: 40 }, (_, i) => at(i % 2, 4 * i));
  assertEquals(sharedSections(parts, inTurn).map((p) => p.players), [8, 8]);
  assertEquals(sharedSections(parts, [...inTurn, at(0, 4)]).map((p) => p.players), [8, 8]);
  const together = Array.from({ length: 40 }, (_, i) => at(i % 2, 4 * (i >> 1)));
  assertEquals(sharedSections(parts, together).map((p) => p.players), [4, 4]);
});

Deno.test("what a file says of its players is kept, there and back", () => {
  const score = readMusicXml(fileOf(["Violin I", "Violin I", "Viola"]));
  const seated: Score = { ...score, parts: score.parts.map((p, i) => ({ ...p, players: [5, 9, 3][i]! })) };
  const again = readMusicXml(new TextEncoder().encode(writeMusicXml(seated)));
  assertEquals(again.parts.map((p) => p.players), [5, 9, 3]);
});

const SIZES: StringSizes = { violins1: 14, violins2: 12, violas: 10, cellos: 8, doubleBasses: 6 };

Deno.test("seatStrings() gives each section its size and leaves soloists and winds alone", () => {
  const score = readMusicXml(
    fileOf(["Flute", "Solo Violin", "Violin I", "Violin II", "Viola", "Viola", "Cello"]),
  );
  assertEquals(seatStrings(score, SIZES).parts.map((p) => p.players), [1, 1, 14, 12, 5, 5, 8]);
  assertThrows(() => seatStrings(score, { ...SIZES, violas: 0 }), Error, "violas");
  assertThrows(() => seatStrings(score, { violins1: 3 } as StringSizes), Error, "violins2");
});

Deno.test("every instrument keeps one player on a line of its own where it has no section", () => {
  for (const { id, sectionPlayers } of allInstruments()) {
    const parts = [1, 2, 3].map((n) => ({ name: `${id} ${n}`, instrument: id, players: sectionPlayers }));
    const players = sharedSections(parts, []).map((p) => p.players);
    if (sectionPlayers === 1) assertEquals(players, [1, 1, 1]);
    else assert(players.every((n) => n < sectionPlayers), id);
  }
});

Deno.test("Brandenburg 3: nine staves of strings are no more than the sections of an orchestra", async () => {
  const folder = sharedFolder("openscore-orchestra");
  if (folder === undefined) return;
  const { parts } = await readScore(new URL("Bach_BWV.1048_1.mxl", folder).pathname);
  assertEquals(parts.map((p) => p.players), [8, 8, 8, 3, 3, 3, 3, 3, 3, 6, 1]);
});

Deno.test("two staves are one section's where their name says which, or can only mean one", () => {
  const partsOf = (names: readonly string[]) => readMusicXml(fileOf(names)).parts;
  const one = [["Violin II", "Violin II"], ["Viola", "Viola"], ["Violini I div.", "Violini I div."], [
    "Cello",
    "Cello",
  ]];
  const two = [["Violin", "Violin"], ["Violin I", "Violin II"], ["Horn", "Horn"], ["Viola", "Cello"], [
    "Viola 1",
    "Viola 2",
  ]];
  for (const names of one) assert(areOneSection(partsOf(names)[0]!, partsOf(names)[1]!), names.join());
  for (const names of two) assert(!areOneSection(partsOf(names)[0]!, partsOf(names)[1]!), names.join());
});
