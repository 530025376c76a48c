/** Pieces of prose, as a musician would say them. */
import { assertEquals } from "@std/assert";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { tempoInFull, tempoInWords } from "../../../lib/show/drawing/words.ts";

function score(metre: string, tempo: string, note = "C6") {
  return readAbc(`X:1\nT:t\nM:${metre}\nL:1/8\nQ:${tempo}\nK:C\n${note} |]\n`, { file: "t.abc" });
}

Deno.test("a tempo is said in the beats of its metre: dotted quarters in 6/8, quarters elsewhere", () => {
  assertEquals(tempoInWords(score("6/8", "3/8=76")), "♩. = 76 (♩ = 114)");
  assertEquals(tempoInFull(score("6/8", "3/8=76")), "76 dotted quarter notes a minute (114 quarters)");
  assertEquals(tempoInWords(score("3/4", "1/4=96")), "♩ = 96");
  assertEquals(tempoInWords(score("2/2", "1/2=108", "C8")), "half note = 108 (♩ = 216)");
  assertEquals(tempoInFull(score("2/2", "1/2=108", "C8")), "108 half notes a minute (216 quarters)");
  assertEquals(tempoInFull(score("3/4", "1/4=96")), "96 quarter notes a minute");
  assertEquals(tempoInWords(score("3/8", "1/8=84", "C3")), "♩ = 42");
  assertEquals(tempoInWords(score("4/4", '"Allegretto" 1/4=104', "C8")), "Allegretto, ♩ = 104");
  assertEquals(
    tempoInFull(score("4/4", '"Allegretto" 1/4=104', "C8")),
    "Allegretto, 104 quarter notes a minute",
  );
  assertEquals(tempoInWords(score("4/4", '"Adagio"', "C8")), "tempo assumed, Adagio, ♩ = 66");
});

Deno.test("several tempos are a span, from the slowest", () => {
  const one = score("6/8", "3/8=76");
  const two = {
    ...one,
    tempos: [...one.tempos, {
      onsetTicks: one.ticksPerQuarter,
      quartersPerMinute: 90,
      origin: "marked" as const,
    }],
  };
  assertEquals(tempoInWords(two), "♩. = 60–76 (♩ = 90–114)");
  assertEquals(tempoInFull(two), "60 to 76 dotted quarter notes a minute (90 to 114 quarters)");
});
