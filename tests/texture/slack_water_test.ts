/**
 * Slack Water (`data/slack_water`), a movement composed for this project without a plan, and what each part was meant to
 * do in it. Both are our own: the annotation comes from those who wrote the music, before they had looked at what is read
 * there, and was not adapted to it. Agreement with it is no evidence from outside, as the corpora of `tests/published`
 * are; it shows how far intentions can be read off the page, and keeps that from getting worse unnoticed.
 */
import { assert, assertEquals, assertGreater, assertLess } from "@std/assert";
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { study } from "../../lib/measures/compare/compare.ts";
import type { Note } from "../../lib/score/model.ts";
import type { Texture } from "../../lib/texture/model.ts";
import { assignRole } from "../../lib/texture/assign_role.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { isRole, ROLE_NAMES } from "../../lib/texture/roles.ts";
import { textureDifferences } from "../../lib/texture/texture_differences.ts";
import { trackLead } from "../../lib/texture/recognise/track_lead.ts";
import { differences } from "../formats/compare_scores.ts";
import { engrave } from "../setup/engraver.ts";
import { musicXmlValidator } from "../setup/music_xml_schema.ts";

const FOLDER = new URL("../../data/slack_water/", import.meta.url);
const score = readAbc(Deno.readTextFileSync(new URL("slack_water.abc", FOLDER)), { file: "slack_water.abc" });
const read = recognise(score);

const rows = Deno.readTextFileSync(new URL("texture.csv", FOLDER)).trim().split("\n").slice(1)
  .map((line) => line.split(","))
  .map(([from, to, part, role, figure]) => ({
    fromBarIndex: Number(from) - 1,
    toBarIndex: Number(to) - 1,
    part: score.parts.findIndex((p) => p.name === part),
    role: role!,
    figure: figure!,
  }));

/** The annotation as a texture. */
const meant: Texture = rows.reduce(
  (texture, { role, ...row }) => isRole(role) ? assignRole(texture, { ...row, role }) : texture,
  read,
);

/** Notes of a part that sound in a bar. */
function soundingIn(part: number, bar: number): readonly Note[] {
  const { startTicks, durationTicks } = score.bars[bar]!;
  return score.notes.filter((n) =>
    n.part === part && n.onsetTicks < startTicks + durationTicks &&
    n.onsetTicks + n.durationTicks > startTicks
  );
}

Deno.test("Slack Water is read without notices, and written as valid MusicXML of the same music", async () => {
  assertEquals(score.notices, []);
  assertEquals([score.parts.length, score.bars.length], [15, 50]);
  assert(score.parts.every((p) => p.instrumentFrom === "name"), "every part is known by its name");
  const xml = writeMusicXml(score);
  assertEquals(differences(score, readMusicXml(xml)), []);
  assertEquals((await engrave(xml)).log, "");
  assertEquals(musicXmlValidator()?.(xml) ?? [], []);
});

Deno.test("Slack Water asks nobody for what is impossible, risky or tiring, its lead is heard, and it moves now more, now less", () => {
  const { playability, balance, momentum } = study(score, { texture: meant });
  const hard = playability.findings.filter((f) => f.severity !== "note");
  assertEquals(hard.map((f) => `${f.partName}, bar ${f.bar}: ${f.what}`), []);
  assertEquals(balance.warnings, []);
  const mean = (from: number, to: number) => {
    const bars = momentum.perBar.slice(from - 1, to);
    return bars.reduce((sum, b) => sum + b.momentum, 0) / bars.length;
  };
  const [answer, undertow, evening] = [mean(11, 16), mean(23, 30), mean(45, 50)];
  assertGreater(undertow, 3 * answer);
  assertGreater(answer, evening);
});

Deno.test("the annotation says once of every part and bar what it is for, and of silence that it is silent", () => {
  const said = rows.flatMap(({ part, fromBarIndex, toBarIndex }) =>
    Array.from(
      { length: toBarIndex - fromBarIndex + 1 },
      (_, i) => (fromBarIndex + i) * score.parts.length + part,
    )
  );
  assertEquals(said.toSorted((a, b) => a - b), read.cells.map((_, i) => i));
  assert(rows.every((row) => isRole(row.role)));
  const wrong = meant.cells.filter((c) =>
    (c.role === "rest") !== (soundingIn(c.part, c.barIndex).length === 0)
  );
  assertEquals(wrong.map((c) => `${score.parts[c.part]!.name}, bar ${c.barIndex + 1}`), []);
});

/** Moments at which two lines move in the same direction from one octave or fifth to another. */
function parallels(upper: readonly Note[], lower: readonly Note[]): readonly string[] {
  const at = (line: readonly Note[], ticks: number) =>
    line.find((n) => n.onsetTicks <= ticks && n.onsetTicks + n.durationTicks > ticks)?.soundingPitch;
  const moments = [...new Set([...upper, ...lower].map((n) => n.onsetTicks))].sort((a, b) => a - b);
  const pairs = moments.map((ticks) => ({ ticks, high: at(upper, ticks), low: at(lower, ticks) }))
    .flatMap(({ ticks, high, low }) => high === undefined || low === undefined ? [] : [{ ticks, high, low }]);
  return pairs.flatMap(({ ticks, high, low }, i) => {
    const before = pairs[i - 1];
    if (before === undefined) return [];
    const [was, is] = [(before.high - before.low) % 12, (high - low) % 12];
    const alike = Math.sign(high - before.high) * Math.sign(low - before.low) > 0;
    return alike && was === is && (is === 0 || is === 7) ? [`${ticks}: ${before.high} to ${high}`] : [];
  });
}

// Harmony as it is taught, common practice: outer voices do not move in parallel fifths or octaves.
Deno.test("no part that leads moves in parallel fifths or octaves with the bass under it", () => {
  const isRoleAt = (role: string) => (n: Note) => {
    const bar = score.bars.findLastIndex((b) => b.startTicks <= n.onsetTicks);
    return meant.cells[bar * score.parts.length + n.part]!.role === role;
  };
  const leads = score.notes.filter(isRoleAt("lead"));
  const basses = score.notes.filter(isRoleAt("bass"));
  for (const { name } of score.parts) {
    const upper = leads.filter((n) => score.parts[n.part]!.name === name);
    for (const bass of ["Cellos", "Double basses"]) {
      const lower = basses.filter((n) => score.parts[n.part]!.name === bass);
      assertEquals(parallels(upper, lower), [], `${name} over ${bass}`);
    }
  }
  const line = leads.filter((n) => score.parts[n.part]!.name === "Oboe");
  const octaveBelow = line.map((n) => ({ ...n, soundingPitch: n.soundingPitch - 12 }));
  assertGreater(parallels(line, octaveBelow).length, 20, "a doubling would be noticed");
});

Deno.test("its motif, a long note and three quick steps, goes through most of the orchestra", () => {
  const has = (part: number, bar: number) => {
    const notes = soundingIn(part, bar);
    const eighth = score.ticksPerQuarter / 2;
    const steps = notes.slice(1).map((n, i) => n.soundingPitch - notes[i]!.soundingPitch);
    return notes.length === 4 && notes.every((n, i) => n.durationTicks === (i === 0 ? 3 : 1) * eighth) &&
      steps.every((s) => Math.abs(s) <= 2 && s !== 0 && Math.sign(s) === Math.sign(steps[0]!));
  };
  const withMotif = score.parts.map((_, part) => score.bars.filter((_, bar) => has(part, bar)).length);
  assertGreater(withMotif.filter((n) => n > 0).length, 10);
  assertGreater(withMotif.reduce((a, b) => a + b), 40);
});

Deno.test("most of what was meant is read off the notes: roles, leads, and whom to follow", () => {
  const { cells, sameRole, sameFigure } = textureDifferences(meant, read, { score });
  const both = meant.cells.map((c, i) => [c.role, read.cells[i]!.role] as const);
  const led = meant.cells.filter((c) => c.role === "lead");
  const follows = trackLead(score).filter(({ barIndex, part }) =>
    led.some((c) => c.barIndex === barIndex && c.part === part)
  );
  const barsLed = new Set(led.map((c) => c.barIndex)).size;
  const found = both.filter(([a, b]) => a === "lead" && b === "lead").length;
  const perRole = ROLE_NAMES.filter((r) => r !== "rest").map((role) => {
    const own = both.filter(([a]) => a === role);
    return `${role} ${own.filter(([, b]) => b === role).length}/${own.length}`;
  });
  const share = (x: number) => x.toFixed(3);
  console.log(`roles ${share(sameRole)} of ${cells} cells, figures too ${share(sameFigure)}`);
  console.log(`leads found ${found} of ${led.length}; line followed in ${follows.length} of ${barsLed} bars`);
  console.log(perRole.join(", "));
  assertGreater(sameRole, 0.62);
  assertGreater(found / led.length, 0.85);
  assertGreater(follows.length / barsLed, 0.85);
  assertLess(sameRole, 1, "an author's intention is never read whole; if it were, look at the annotation");
});
