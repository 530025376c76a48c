/** MP3 files, decoded by a real decoder: Chromium's `decodeAudioData`. */
import { assert, assertAlmostEquals, assertEquals, assertRejects } from "@std/assert";
import { demoScore, InputError } from "ripieno";
import { MP3_DELAY_SAMPLES, writeMp3 } from "ripieno/formats";
import { audition } from "ripieno/show";
import { base64Of } from "../../../lib/base/base64.ts";
import { launchChromium } from "../../setup/chromium.ts";
import { db } from "../../setup/sound_measures.ts";

Deno.test("an MP3 is decoded to what was encoded, later by the delay that is stated", async () => {
  const sound = audition(demoScore(), { fromBar: 17, toBar: 19, sampleRate: 24_000, stemsBy: "none" });
  const file = base64Of(await writeMp3(sound, { kilobits: 128 }));
  const browser = await launchChromium();
  try {
    const page = await browser.newPage();
    const decoded = await page.evaluate(
      `(async () => {
      const bytes = Uint8Array.from(atob("${file}"), (c) => c.charCodeAt(0));
      const sound = await new OfflineAudioContext(2, 1, 24000).decodeAudioData(bytes.buffer);
      return { rate: sound.sampleRate, channels: [0, 1].map((c) => [...sound.getChannelData(c)]) };
    })()`,
    ) as { readonly rate: number; readonly channels: readonly (readonly number[])[] };
    assertEquals(decoded.rate, 24_000);
    for (const [c, channel] of sound.channels.entries()) {
      const own = decoded.channels[c]!;
      assert(own.length >= channel.length + MP3_DELAY_SAMPLES, `${own.length} of ${channel.length} samples`);
      const likeness = (late: number) => {
        let both = 0, a = 0, b = 0;
        for (let i = 1000; i < channel.length - 1000; i++) {
          both += channel[i]! * own[i + late]!;
          a += channel[i]! ** 2;
          b += own[i + late]! ** 2;
        }
        return { likeness: both / Math.sqrt(a * b), level: db(b / a) };
      };
      const at = likeness(MP3_DELAY_SAMPLES);
      assert(at.likeness > 0.98, `${at.likeness}`);
      assert(at.likeness > likeness(MP3_DELAY_SAMPLES - 2).likeness);
      assert(at.likeness > likeness(MP3_DELAY_SAMPLES + 2).likeness);
      assertAlmostEquals(at.level, 0, 0.2);
    }
  } finally {
    await browser.close();
  }
});

Deno.test("writeMp3 refuses sample rates and rates of bits that MP3 does not have", async () => {
  const channels = [new Float32Array(100)];
  await assertRejects(() => writeMp3({ sampleRate: 96_000, channels }), InputError, "44100");
  await assertRejects(
    () => writeMp3({ sampleRate: 44_100, channels }, { kilobits: 100 as 96 }),
    InputError,
    "128",
  );
});
