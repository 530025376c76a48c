import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import Papa from "papaparse";
import { demoPlans, demoSketch, realise, study, textureOf, vary } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { chartSvg, momentumChart, studyFiles } from "ripieno/show";
import { studyFileNames } from "../../../lib/show/report/study_files.ts";
import { TABLE_COLUMNS } from "../../../lib/show/report/table_columns.ts";
import { someBars } from "../../setup/some_bars.ts";
import { smallScore, smallStudy, smallTexture } from "../small_study.ts";

const entry = { study: smallStudy, score: smallScore, texture: smallTexture };
const rotating = someBars(realise(demoSketch(), demoPlans().rotating), { from: 0, to: 23 });
const demo = { study: study(rotating), score: rotating, texture: textureOf(rotating) };

/** One flute in its low register over a soft pad: a lead that sinks, for a while. */
const sunkPlan = vary(demoPlans().held, { set: { parts: ["Flute 1"], octave: 0 } }, {
  role: "lead",
  passage: "Calm water",
});
const sunkSetting = someBars(
  realise(demoSketch(), vary(sunkPlan, { set: { dynamic: "p" } }, { role: "pad", passage: "Calm water" })),
  { from: 0, to: 23 },
);
const slide = { kind: "slide", semitones: 2, lengthTicks: sunkSetting.notes[0]!.durationTicks } as const;
const sunkScore = {
  ...sunkSetting,
  notes: sunkSetting.notes.map((n, i) => i === 0 ? { ...n, glissandi: [slide] } : n),
};
const sunk = { study: study(sunkScore, { name: "sunk" }), score: sunkScore, texture: textureOf(sunkScore) };

/** Flutes and oboes alone over the bass: a hole that none of them can fill. */
const hollowScore = someBars(
  realise(
    demoSketch(),
    vary(demoPlans().held, { set: { parts: ["Piccolo", "Oboe 1", "Oboe 2"] } }, {
      role: "pad",
      passage: "A pool",
    }),
    { refuseImpossible: false },
  ),
  { from: 20, to: 31 },
);
const hollow = {
  study: study(hollowScore, { name: "hollow" }),
  score: hollowScore,
  texture: textureOf(hollowScore),
};

function filesOf(
  entries: Parameters<typeof studyFiles>[0],
  options: Parameters<typeof studyFiles>[1] = {},
): ReadonlyMap<string, string> {
  return new Map(studyFiles(entries, options).map((f) => [f.name, String(f.content)]));
}

/** A table as a spreadsheet would read it: a header and rows of text. */
function rowsOf(text: string): readonly (readonly string[])[] {
  const { data, errors } = Papa.parse<string[]>(text.replace(/\r\n$/, ""));
  assertEquals(errors, []);
  return data;
}

Deno.test("studyFiles() explains every column of every table, and no other, in the report", () => {
  const files = filesOf([demo, sunk, hollow], { versions: true });
  const tables = [...files.keys()].filter((name) => name.endsWith(".csv"));
  assert(!filesOf([demo, sunk]).has("versions.csv"), "settings of one sketch are no versions of a score");
  assertEquals(tables.toSorted(), Object.keys(TABLE_COLUMNS).toSorted());
  for (const name of tables) {
    const [head = [], ...rows] = rowsOf(files.get(name)!);
    assertEquals([...head], Object.keys(TABLE_COLUMNS[name]!), name);
    assertEquals(head[0], "setting");
    assertEquals(
      head.filter((_, i) => rows.every((r) => r[i] === "")),
      [],
      `${name}: columns without a value`,
    );
    for (const column of head) assertStringIncludes(files.get("report.html")!, `<code>${column}</code>`);
  }
});

Deno.test("studyFiles() writes numbers that can be read: four decimals, small ones six at most", () => {
  for (const [name, text] of filesOf([demo, sunk, hollow])) {
    if (!name.endsWith(".csv")) continue;
    const figures = rowsOf(text).slice(1).flat().filter((cell) => /^-?[\d.]+(e-?\d+)?$/.test(cell));
    assert(figures.length > 0, name);
    const long = figures.filter((f) => !/^-?\d+(\.\d{1,4})?$/.test(f) && !/^-?0\.\d{1,6}$/.test(f));
    assertEquals(long, [], name);
  }
  const { balance } = smallStudy;
  const perBar = balance.perBar.map((b) => ({ ...b, powerDb: -7.403626894942439, audibleShare: 0.00123456 }));
  const files = filesOf([{ ...entry, study: { ...smallStudy, balance: { ...balance, perBar } } }]);
  const [head = [], first = []] = rowsOf(files.get("bars.csv")!);
  assertEquals(first[head.indexOf("power_db")], "-7.4036");
  assertEquals(first[head.indexOf("audible_share")], "0.001235");
});

Deno.test("studyFiles() writes a table of findings without findings as its header alone", () => {
  const playability = { ...smallStudy.playability, findings: [] };
  const text = filesOf([{ ...entry, study: { ...smallStudy, playability } }]).get("findings.csv")!;
  assertEquals(text.split("\r\n").length, 2); // the header and what is after its line end: nothing
  assertEquals(rowsOf(text).length, 1);
  assertEquals(rowsOf(text)[0]!.slice(0, 3), ["setting", "part", "bar"]);
});

Deno.test("studyFiles() keeps a row for every part that stumbles, though the summary counts them once", () => {
  const [first] = smallStudy.playability.findings;
  const findings = [0, 1, 2].map((part) => ({ ...first!, part, partName: smallScore.parts[part]!.name }));
  const files = filesOf([{
    ...entry,
    study: { ...smallStudy, playability: { ...smallStudy.playability, findings } },
  }]);
  assertEquals(rowsOf(files.get("findings.csv")!).slice(1).map((r) => r[1]), ["Flute 1", "Horn 1", "Cellos"]);
  const [head = [], ...rows] = rowsOf(files.get("summary.csv")!);
  assertEquals(rows.map((r) => r[head.indexOf("impossible")]), ["1", "0"]);
  assertEquals(rows.map((r) => [r[head.indexOf("from_bar")], r[head.indexOf("to_bar")]]), [["1", "2"], [
    "3",
    "4",
  ]]);
});

Deno.test("studyFiles() writes warnings about the sound with their ways out, each with its figures", () => {
  const files = filesOf([sunk]);
  const [head = [], ...rows] = rowsOf(files.get("warnings.csv")!);
  const covered = rows.filter((r) => r[head.indexOf("kind")] === "lead covered");
  assert(covered.length > 0);
  assert(covered.some((r) => /the lead would keep \d+ %/.test(r[head.indexOf("remedy")]!)));
  const [columns = [], ...ways] = rowsOf(files.get("remedies.csv")!);
  assert(ways.length >= 3);
  for (const way of ways) {
    const of = (name: string) => Number(way[columns.indexOf(name)]);
    assert(Math.abs(of("audible_share") - of("audible_share_now") - of("gained_share")) < 2e-4, way.join());
  }
});

Deno.test("studyFiles() tells how chords are led, in a table and, of a setting, in the report", () => {
  const files = filesOf([hollow]);
  const [head = [], ...rows] = rowsOf(files.get("voice_leading.csv")!);
  const holes = rows.filter((r) => r[head.indexOf("kind")] === "hole");
  assert(holes.length > 0);
  for (const hole of holes) assert(Number(hole[head.indexOf("semitones")]) > 16);
  const report = files.get("report.html")!;
  assertStringIncludes(report, "How the chords are led");
  assertStringIncludes(report, holes[0]![head.indexOf("what")]!);
});

Deno.test("studyFiles() keeps the names of parts' files short enough for every file system, and apart", () => {
  const long = "Flöte 𝄞 ".repeat(200);
  const parts = smallScore.parts.map((part) => ({ ...part, name: long }));
  const files = studyFiles([{ ...entry, score: { ...smallScore, parts } }], { withParts: true });
  const names = files.map((f) => f.name).filter((name) => name.startsWith("parts/"));
  assertEquals(names.length, parts.length);
  assertEquals(new Set(names.map((name) => name.toLowerCase())).size, parts.length);
  for (const name of names) assert(new TextEncoder().encode(name.slice("parts/".length)).length <= 255, name);
});

Deno.test("studyFiles() hands over scores and parts with beams, and the notes come back as they were", () => {
  const files = studyFiles([demo], { withScores: true, withParts: true })
    .filter((f) => f.name.endsWith(".musicxml"));
  const [score] = files.filter((f) => !f.name.startsWith("parts/"));
  assertStringIncludes(String(score!.content), '<beam number="1">begin</beam>');
  assert(files.some((f) => f.name.startsWith("parts/") && String(f.content).includes("<beam ")));
  const notes = ({ notes }: { readonly notes: readonly { soundingPitch: number }[] }) =>
    notes.map((n) => n.soundingPitch).toSorted((a, b) => a - b);
  assertEquals(notes(readMusicXml(String(score!.content))), notes(demo.score));
});

Deno.test("studyFiles() writes a condensed score beside a score, and winds in pairs, where they are asked for", () => {
  const scores = (options: Parameters<typeof studyFiles>[1]) =>
    studyFiles([demo], options).filter((f) => f.name.endsWith(".musicxml")).map((f) => String(f.content));
  const [plain, none] = scores({ withScores: true });
  assertEquals(none, undefined);
  const [paired, condensed] = scores({ withScores: true, withCondensed: true, inPairs: true });
  const staves = (xml: string) => xml.split("<score-part ").length - 1;
  assert(staves(paired!) < staves(plain!) && staves(condensed!) <= 8);
  assertStringIncludes(condensed!, "<part-name>Tune</part-name>");
  const [read] = studyFiles([entry], { withCondensed: true }).filter((f) =>
    f.name.endsWith("_condensed.musicxml")
  );
  assert(read);
});

Deno.test("studyFiles() names every file before there is a study, and leaves out only charts without anything in them", () => {
  const quiet = {
    ...demo,
    study: { ...demo.study, name: "quiet", playability: { ...demo.study.playability, findings: [] } },
  };
  for (const entries of [[quiet], [sunk, quiet]]) {
    for (const options of [{}, { withScores: true, withParts: true, withCondensed: true }]) {
      const names = studyFiles(entries, options).map((f) => f.name);
      const announced = studyFileNames(
        entries.map(({ study, score }) => ({ name: study.name, score })),
        options,
      );
      const missing = announced.filter((name) => !names.includes(name));
      assertEquals(missing, [
        entries.length === 1 ? "charts/playability.svg" : "charts/quiet/playability.svg",
      ]);
      assertEquals(names, announced.filter((name) => !missing.includes(name)));
    }
  }
});

Deno.test("studyFiles() hands over each chart of the report as a picture that stands alone", () => {
  const files = studyFiles([demo, sunk]);
  const pictures = files.filter((f) => f.name.startsWith("charts/"));
  assert(pictures.length >= 2 + 2 * 5, String(pictures.length));
  for (const { name, content } of pictures) {
    assert(name.endsWith(".svg"), name);
    assert(String(content).startsWith('<svg xmlns="http://www.w3.org/2000/svg"'), name);
  }
  const [alone] = studyFiles([demo]).filter((f) => f.name === "charts/momentum.svg");
  assertEquals(
    alone!.content,
    chartSvg(momentumChart(demo.study.momentum, demo.score, { width: 1000, texture: demo.texture })),
  );
});
