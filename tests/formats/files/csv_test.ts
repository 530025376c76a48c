import { assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import Papa from "papaparse";
import { InputError } from "ripieno";
import { barsTable, layersTable, notesTable, tableToCsv } from "../../../lib/formats/files/csv.ts";
import { fullScore, line, partOf, scoreOf } from "../small_scores.ts";

Deno.test("CSV: quoting, line ends and header words are those of RFC 4180 and of this library", () => {
  assertEquals(
    tableToCsv([{ partName: `A "B"`, levelDb: -3.5, empty: null }, {
      partName: "x,y\nz",
      levelDb: 0,
      empty: undefined,
    }]),
    'part_name,level_db,empty\r\n"A ""B""",-3.5,\r\n"x,y\nz",0,\r\n',
  );
  assertEquals(tableToCsv([]), "");
});

Deno.test("CSV: columns of all rows are kept, values that are no numbers are empty", () => {
  assertEquals(tableToCsv([{ a: NaN }, { b: Infinity }, { a: 1, b: true }]), "a,b\r\n,\r\n,\r\n1,true\r\n");
});

Deno.test("CSV: any text comes back from a parser as it was", () => {
  fc.assert(
    fc.property(fc.array(fc.string({ unit: "grapheme" }), { minLength: 1 }), (values) => {
      const rows = Papa.parse<Record<string, string>>(tableToCsv(values.map((text, i) => ({ i, text }))), {
        header: true,
        newline: "\r\n",
      }).data;
      assertEquals(rows.slice(0, values.length).map((r) => r["text"]), values);
    }),
    { seed: 5 },
  );
});

Deno.test("CSV: the notes table says which slides and glissandi begin on a note, and how far they lead", () => {
  const score = scoreOf([{}], { notes: line([[2, 46], [2, 49]]), parts: [partOf("Trombone")] });
  const sliding = {
    ...score,
    notes: score.notes.map((n, i) =>
      i === 0
        ? { ...n, glissandi: [{ kind: "slide", semitones: 3, lengthTicks: n.durationTicks } as const] }
        : n
    ),
  };
  assertEquals(notesTable(sliding).map((row) => row.glissandi), ["slide +3", ""]);
});

Deno.test("CSV: the notes table has place, time and manner of every note", () => {
  const score = scoreOf([{ beats: 3 }, { beats: 3 }], {
    notes: line([[1, 60], [3, 62]], { from: 2, dynamic: 6 }),
    parts: [partOf("Oboe", { instrument: "oboe" })],
  });
  const [, row] = notesTable(score);
  assertEquals(
    [
      row!.part,
      row!.instrument,
      row!.bar,
      row!.beat,
      row!.onsetQuarters,
      row!.durationQuarters,
      row!.onsetSeconds,
      row!.durationSeconds,
      row!.dynamicMark,
    ],
    ["Oboe", "oboe", "2", 1, 3, 3, 2, 2, "f"],
  );
  assertEquals(notesTable(fullScore()).length, fullScore().notes.length);
});

Deno.test("CSV: the layers table names parts and bars", () => {
  const layers = [{
    id: "pad 1",
    role: "pad",
    figure: "held",
    parts: [1, 2],
    fromBarIndex: 1,
    toBarIndex: 3,
  }];
  const [row] = layersTable(fullScore(), { layers });
  assertEquals([row!.parts, row!.fromBar, row!.toBar, row!.lengthBars], [
    "Clarinet in B♭ + Horns 1 2",
    "1",
    "3",
    3,
  ]);
});

Deno.test("CSV: the bars table puts measures side by side and keeps columns of one name apart", () => {
  const score = scoreOf([{}, {}], { notes: line([[1, 60], [4, 62]]) });
  const rows = barsTable(score, {
    momentum: [{ barIndex: 0, lead: "Flute", attackRate: 2 }, {
      barIndex: 1,
      lead: "Flute",
      attackRate: 3,
    }] as never,
    freshness: [{ barIndex: 1, lead: "none", freshness: 0.5 }] as never,
  });
  assertEquals(rows[1]!["momentumLead"], "Flute");
  assertEquals([rows[0]!["freshnessLead"], rows[1]!["freshnessLead"]], [null, "none"]);
  assertEquals(
    tableToCsv(rows).split("\r\n")[0],
    "bar,onset_seconds,duration_seconds,metre,rehearsal,notes,momentum_lead,attack_rate,freshness_lead,freshness",
  );
});

Deno.test("tableToCsv() refuses a value that is not one value, and says where it stands", () => {
  const nested: readonly (readonly [unknown, string])[] = [
    [[1, 2], "parts of rows[1] is a list"],
    [{ a: 1 }, "parts of rows[1] is a record"],
    [new Date(0), "parts of rows[1] is a record"],
    [() => 1, "parts of rows[1] is a function"],
  ];
  for (const [value, words] of nested) {
    const rows = [{ bar: 1, parts: "Horns" }, { bar: 2, parts: value as string }];
    assertThrows(() => tableToCsv(rows), InputError, words);
  }
  assertThrows(() => tableToCsv([{ parts: [0, 1] as unknown as string }]), InputError, 'parts.join(" + ")');
});

Deno.test("tableToCsv() refuses two columns whose header would be the same word", () => {
  assertThrows(() => tableToCsv([{ fromBar: 1, from_bar: 2 }]), InputError, '"fromBar" and "from_bar"');
  assertThrows(() => tableToCsv([{ levelDB: 1 }], { columns: ["levelDb"] }), InputError, "level_db");
  assertEquals(tableToCsv([{ fromBar: 1 }], { columns: ["fromBar"] }), "from_bar\r\n1\r\n");
});
