/** A message stays readable however long the token, name or path that it is about. */
import { assert, assertEquals, assertMatch, assertStringIncludes, assertThrows } from "@std/assert";
import fc from "fast-check";
import {
  balance,
  demoPlans,
  demoScore,
  demoSketch,
  InputError,
  instrumentById,
  momentum,
  orchestra,
  readAbc,
  readPlan,
  readScore,
  realise,
  type Score,
  sketchOf,
  study,
  vary,
  writeFiles,
  writeMidi,
} from "ripieno";
import { readMidi, readMusicXml } from "ripieno/formats";
import { readInstruments } from "ripieno/instruments";

const MOST = 300;

/** A hundred thousand characters of several kinds: one word, many words, lines, quotation marks, signs beyond the first plane. */
const HUGE: readonly string[] = [
  "x".repeat(100_000),
  "word ".repeat(20_000),
  "line\n".repeat(20_000),
  `${'"'.repeat(1000)}${"é".repeat(49_000)}${"\u{1d11e}".repeat(25_000)}`,
];

const COLUMNS = [
  "passage",
  "from_bar",
  "to_bar",
  "role",
  "figure",
  "parts",
  "articulation",
  "dynamic",
  "octave",
  "technique",
] as const;

const cell = (text: string) => `"${text.replaceAll('"', '""')}"`;

/** A plan of one row with one cell of one's own. */
function planWith(column: typeof COLUMNS[number], text: string) {
  const row = { passage: "Quay", from_bar: "1", to_bar: "2", role: "lead", figure: "tune", parts: "Oboe 1" };
  const given: Readonly<Record<string, string>> = { ...row, [column]: text };
  return readPlan(`${COLUMNS.join(",")}\n${COLUMNS.map((c) => cell(given[c] ?? "")).join(",")}`);
}

const xmlText = (text: string) => text.replaceAll("&", "").replaceAll("<", "").replaceAll('"', "'");
const musicXml = (part: string, bar: string, note: string) =>
  `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>${
    xmlText(part)
  }</part-name></score-part></part-list><part id="P1"><measure number="${
    xmlText(bar)
  }"><attributes><divisions>1</divisions></attributes><note>${note}</note></measure></part></score-partwise>`;
const C4 = "<pitch><step>C</step><octave>4</octave></pitch>";

function namedScore(name: string): Score {
  const score = demoScore();
  return {
    ...score,
    parts: score.parts.map((p) => ({ ...p, name })),
    notes: score.notes.map((n) => ({ ...n, dynamic: NaN })),
  };
}

/** What is refused, and what its message still has to say. */
const REFUSED: Readonly<Record<string, readonly [(text: string) => unknown, RegExp]>> = {
  "ABC metre": [(t) => readAbc(`X:1\nM:${t.replaceAll("\n", " ")}\nK:C\nC|`), /\(row 2, column 1\)/],
  "ABC file name": [
    (t) => readAbc("X:1\nC", { file: t }),
    /before the key is given \(.*…?.*row 2, column 1\)\. End the tune/,
  ],
  "ABC chord symbol": [
    (t) => sketchOf(readAbc(`X:1\nK:C\n"${t.replace(/["\n]/g, " ")}"CDEF|`)),
    /not a chord symbol \(.*bar 1/,
  ],
  ...Object.fromEntries(
    (["from_bar", "role", "figure", "articulation", "dynamic", "octave", "technique"] as const).map((
      column,
    ) => [`plan ${column}`, [(t: string) => planWith(column, t), new RegExp(`row 2, column ${column}\\)`)]]),
  ),
  "plan parts": [(t) => realise(demoSketch(), planWith("parts", t)), /row 2, column parts\)\. Its parts are/],
  "MusicXML element": [(t) => readMusicXml(`<score-partwise><${xmlText(t)}`), /the XML is broken/],
  "MusicXML duration": [
    (t) => readMusicXml(musicXml("Horn", "7", `${C4}<duration>${xmlText(t)}</duration>`)),
    /\(Horn, bar 7/,
  ],
  "MusicXML part name": [
    (t) => readMusicXml(musicXml(t, "7", `<duration>z</duration>`)),
    /…?, bar 7, row \d+/,
  ],
  "MusicXML bar number": [
    (t) => readMusicXml(musicXml("Horn", t, `${C4}<duration>z</duration>`)),
    /\(Horn, bar .*…/,
  ],
  "MIDI file name": [(t) => readMidi(new Uint8Array([1, 2, 3]), { file: t }), /Cannot read the MIDI file/],
  "path to read": [(t) => readScore(t), /cannot be opened \(.*\)\. /],
  "path to write": [(t) => writeFiles(t, [{ name: "a.txt", content: "" }]), /Cannot write the files/],
  "option": [
    (t) => study(demoScore(), { [t]: 1 } as never),
    /no option .*\. Its options are (idiom|texture), /,
  ],
  "constant": [(t) => momentum(demoScore(), { constants: { [t]: 1 } }), /no constant .*\. Its constants are/],
  "value of a constant": [
    (t) => momentum(demoScore(), { constants: { fusionSeconds: t as never } }),
    /fusionSeconds is .*\. Give a number/,
  ],
  "instrument": [(t) => instrumentById(t), /not in the catalogue\. The nearest are/],
  "instrument of a table": [
    (t) => readInstruments(`instrument,like\nfiddle,${cell(t)}`),
    /row 2, column like/,
  ],
  "instrument of a part": [
    (t) => balance({ ...demoScore(), parts: demoScore().parts.map((p) => ({ ...p, instrument: t })) }),
    /not in the catalogue/,
  ],
  "part name of a score": [(t) => balance(namedScore(t)), /\(.*…?.*, bar 1\)/s],
  "orchestra": [(t) => orchestra(t as never), /there is none called/],
  "change of a plan": [
    (t) => vary(demoPlans().moving, { set: { figure: t as never } }, { role: "pulse" }),
    /\(Calm water, pulse, Violins II \+ Violas\)\. For pulse use /,
  ],
};

Deno.test("messages have at most 300 characters and one line, and keep place and remedy, whatever they name", async () => {
  for (const [name, [refused, says]] of Object.entries(REFUSED)) {
    for (const text of HUGE) {
      const error = await Promise.resolve().then(() => refused(text)).then(() => undefined, (e) => e);
      assert(error instanceof InputError, `${name}: ${error}`);
      const { message } = error;
      assert(message.length <= MOST, `${name}: ${message.length} characters`);
      assert(message.isWellFormed() && !/[\n\r]/.test(message), `${name}: ${message}`);
      assertMatch(message, says, name);
    }
  }
});

Deno.test("what a reader notes about a long token is as short", () => {
  for (const text of HUGE) {
    const inLine = text.replace(/["\n!]/g, " ");
    const tune = readAbc(`X:1\nK:C\n"${inLine}"C!${inLine}!DEF|`);
    const midi = readMidi(writeMidi({ ...demoScore(), title: inLine }));
    const xml = readMusicXml(musicXml(text, "1", `${C4}<duration>1</duration>`));
    const notices = [tune, midi, xml].flatMap((score) => score.notices);
    assert(tune.notices.length >= 2);
    for (const { what } of notices) assert(what.length <= MOST && what.isWellFormed(), `${what.length}`);
  }
});

const part = fc.oneof(
  fc.string({ unit: "grapheme", maxLength: 20 }),
  fc.string({ unit: "binary", minLength: 200, maxLength: 900 }),
  fc.string({ unit: "grapheme", maxLength: 60 }).map((s) => `"${s.repeat(30)}" is not known`),
  fc.constantFrom(...HUGE.map((text) => text.slice(0, 5000))),
);
const details = fc.record({
  action: part,
  problem: part,
  remedy: part,
  where: fc.record({
    file: part,
    part,
    bar: fc.integer({ min: 1, max: 99999 }),
    row: fc.integer({ min: 1, max: 99999 }),
  }),
});

Deno.test("any InputError fits, says its bar and row, and keeps the whole as data", () => {
  fc.assert(
    fc.property(details, (given) => {
      const error = new InputError(given);
      assert(error.message.length <= MOST, `${error.message.length}: ${error.message}`);
      assertStringIncludes(error.message, `bar ${given.where.bar}, row ${given.where.row})`);
      assertEquals([error.problem, error.remedy, error.where], [given.problem, given.remedy, given.where]);
      const bare = `${given.action}${given.problem}${given.remedy}${given.where.file}${given.where.part}`;
      if (bare.isWellFormed()) assert(error.message.isWellFormed());
    }),
    { seed: 11, numRuns: 500 },
  );
});

Deno.test("of a long token beginning and end stay, of a long list the beginning", () => {
  const { message } = new InputError({
    action: "read the plan",
    problem: `"${"a".repeat(300)}${"z".repeat(300)}" is not a figure`,
    where: { file: "plan.csv", row: 4 },
    remedy: `Use one of ${Array.from({ length: 100 }, (_, i) => `figure ${i}`).join(", ")}`,
  });
  assertMatch(
    message,
    /^Cannot read the plan: "a{30}…z{29}" is not a figure \(plan\.csv, row 4\)\. Use one of figure 0, .* figure \d+ and more\.$/,
  );
});

Deno.test("a list with no room for all names begins with those that were probably meant", () => {
  const refused = (parts: string) =>
    assertThrows(() => realise(demoSketch(), planWith("parts", parts)), InputError).message;
  assertMatch(refused("Violin I"), /Its parts are Violins I, .* and more\.$/);
  assertMatch(refused("Horn"), /Its parts are Horn 1, Horn 2, Horn 3, Horn 4, /);
});
