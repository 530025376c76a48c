/** Passages that a report plays: which, how loud, how large, and that they play from disk without network. */
import { assert, assertAlmostEquals, assertEquals, assertLess, assertRejects } from "@std/assert";
import { InputError, instrumentById, study, textureOf } from "ripieno";
import { soundPowerDb } from "ripieno/instruments";
import { clockOf } from "ripieno/score";
import {
  report,
  type ReportEntry,
  type ReportSound,
  reportSounds,
  summarise,
  writeStudy,
} from "ripieno/show";
import { launchChromium } from "../../setup/chromium.ts";
import { repeatedNotes, smallScore } from "../../measures/small_scores.ts";
import { db } from "../../setup/sound_measures.ts";

const entryOf = (score: ReportEntry["score"], name: string): ReportEntry => {
  const texture = textureOf(score);
  return { score, texture, study: study(score, { name, texture }) };
};
/** Soft, then loud, then soft: three passages of two bars. */
const THREE = entryOf(threePassages(), "three");

function threePassages() {
  const line = (from: number, dynamic: number) => repeatedNotes(74, 1, { from, to: from + 8, dynamic });
  const notes = [...line(0, 3), ...line(8, 7), ...line(16, 3)];
  const { layers: _, ...score } = smallScore([{ instrument: "oboe", role: "lead", notes }], { bars: 6 });
  const names: Readonly<Record<number, string>> = { 0: "Calm", 2: "Storm", 4: "After" };
  return {
    ...score,
    bars: score.bars.map((bar, b) => names[b] === undefined ? bar : { ...bar, rehearsal: names[b] }),
  };
}

/** What a browser makes of a report: length of every passage in seconds, and its energy. */
async function heardIn(
  html: string,
): Promise<readonly { readonly seconds: number; readonly energy: number }[]> {
  const path = await Deno.makeTempFile({ suffix: ".html" });
  const browser = await launchChromium();
  try {
    await Deno.writeTextFile(path, html);
    const page = await (await browser.newContext({ offline: true })).newPage();
    const faults: string[] = [];
    page.on("console", (message) => message.type() === "error" && faults.push(message.text()));
    page.on("request", (request) => /^https?:/.test(request.url()) && faults.push(request.url()));
    await page.goto(`file://${path}`);
    const heard = await page.evaluate(
      `Promise.all([...document.querySelectorAll("audio")].map(async (audio) => {
      audio.muted = true;
      await audio.play();
      const bytes = Uint8Array.from(atob(audio.src.split(",")[1]), (c) => c.charCodeAt(0));
      const sound = await new OfflineAudioContext(1, 1, 24000).decodeAudioData(bytes.buffer);
      const energy = sound.getChannelData(0).reduce((sum, x) => sum + x * x, 0);
      return { seconds: audio.duration, energy };
    }))`,
    );
    assertEquals(faults, []);
    return heard as Awaited<ReturnType<typeof heardIn>>;
  } finally {
    await browser.close();
    await Deno.remove(path);
  }
}

Deno.test("a report plays every passage of its summary, as long as it lasts and as loud beside the others", async () => {
  const sounds = await reportSounds([THREE]);
  const rows = summarise(THREE.study, THREE.score, { texture: THREE.texture });
  assertEquals(
    sounds.map(({ fromBarIndex, toBarIndex }) => [fromBarIndex, toBarIndex]),
    rows.map(({ fromBarIndex, toBarIndex }) => [fromBarIndex, toBarIndex]),
  );
  assertEquals(sounds.map((s) => s.words), [
    "Calm, bars\u00a01–2",
    "Storm, bars\u00a03–4",
    "After, bars\u00a05–6",
  ]);
  const html = report([THREE], { sounds });
  assertEquals(html.split("<audio ").length - 1, 3);
  assert(!/<audio[^>]* src="(?!data:audio\/mpeg;base64,)/.test(html));
  const heard = await heardIn(html);
  const clock = clockOf(THREE.score), seconds = clock(THREE.score.bars[2]!.startTicks);
  // With the hall's tail, and what an encoder adds at both ends.
  for (const one of heard) assertAlmostEquals(one.seconds, seconds + 1.4, 0.15);
  const [calm, storm, after] = heard.map((one) => db(one.energy));
  const power = (dynamic: number) => soundPowerDb(instrumentById("oboe"), dynamic, { soundingPitch: 74 });
  assertAlmostEquals(storm! - calm!, power(7) - power(3), 1);
  assertAlmostEquals(after!, calm!, 1);
});

Deno.test("of a long passage only the beginning is played, and a second takes 5 kB", async () => {
  const notes = repeatedNotes(74, 4, { to: 48 });
  const long = entryOf(smallScore([{ instrument: "oboe", role: "lead", notes }], { bars: 12 }), "long");
  const [{ words, file, toBarIndex }] = await reportSounds([long]) as [ReportSound];
  assertEquals([words, toBarIndex], ["all, bars\u00a01–10 (how it begins)", 9]);
  assertLess(file.length, 5100 * (20 + 1.6));
});

Deno.test("a report without sound has no player, and without a listening page no link", async () => {
  const plain = report([THREE]);
  assert(!plain.includes("<audio ") && !plain.includes("To hear") && !plain.includes("listen.html"));
  const folder = await Deno.makeTempDir();
  try {
    await writeStudy(folder, [THREE], { withListening: true, excerpts: [] });
    const written = await Deno.readTextFile(`${folder}/report.html`);
    const links = [...written.matchAll(/href="([^"#][^"]*)"/g)].map((m) => m[1]!);
    assertEquals(links, ["listen.html"]);
    for (const link of links) assert((await Deno.stat(`${folder}/${link}`)).isFile);
    assertEquals(written.split("<audio ").length - 1, 3);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});

Deno.test("what cannot be played for a report is refused in words", async () => {
  await assertRejects(() => reportSounds([{}] as never), InputError, "list of studies");
  await assertRejects(() => reportSounds([THREE], { fromBar: 99 }), InputError, "no bar 99");
});
