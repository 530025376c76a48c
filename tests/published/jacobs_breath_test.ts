/**
 * A. Jacobs, tests of 1959-60 with four orchestral brass players (radio interview with B. Russo, in B. Frederiksen,
 * Arnold Jacobs: Song and Wind; posted by its author in 2002). Figures in litres a minute; neither pitches nor, for
 * the trumpet, the dynamic are told, so the rows say what they are taken for.
 */
import { assert, assertAlmostEquals, assertEquals, assertGreater } from "@std/assert";
import { allInstruments, instrumentById, pitchOf } from "ripieno";
import { airFlow, breathSeconds } from "ripieno/instruments";

/** Flow in the middle of the instrument, or at a pitch, at a dynamic (1 ppp to 8 fff). */
const ROWS: readonly {
  readonly instrument: string;
  readonly pitch?: string;
  readonly dynamic: number;
  readonly litresPerMinute: readonly [least: number, most: number];
  readonly said: string;
}[] = [
  { instrument: "tuba", dynamic: 2, litresPerMinute: [7, 7.1], said: "as softly as he can" },
  // "Well in excess of" 120; 140 to 160 retold, and 140 of another player.
  { instrument: "tuba", dynamic: 7, litresPerMinute: [120, 160], said: "full volume" },
  { instrument: "trumpet in C", pitch: "G#3", dynamic: 5, litresPerMinute: [25, 30], said: "low register" },
  // "Maybe ten".
  {
    instrument: "trumpet in C",
    pitch: "C6",
    dynamic: 5,
    litresPerMinute: [9, 11],
    said: "very high register",
  },
];

Deno.test("Jacobs: the flows of tuba and trumpet", () => {
  for (const { instrument, pitch, dynamic, litresPerMinute: [least, most], said } of ROWS) {
    const options = pitch === undefined ? {} : { soundingPitch: pitchOf(pitch)! };
    const flow = 60 * airFlow(instrumentById(instrument), dynamic, options)!;
    assert(flow >= least && flow <= most, `${instrument}, ${said}: ${flow}`);
  }
});

Deno.test("Jacobs: a low trumpet takes two and a half to three times the air of a very high one, mf and f", () => {
  const trumpet = instrumentById("trumpet in C");
  for (const dynamic of [5, 6]) {
    const [low, high] = ["G#3", "C6"].map((name) =>
      airFlow(trumpet, dynamic, { soundingPitch: pitchOf(name)! })!
    );
    assert(low! / high! >= 2.5 && low! / high! <= 3, `${dynamic}: ${low! / high!}`);
  }
});

Deno.test("Jacobs: one curve for the whole brass family: the pitch decides, not the instrument, and low takes more", () => {
  const brass = allInstruments().filter((each) => each.family === "brass");
  assert(brass.length > 10);
  for (let dynamic = 1; dynamic <= 8; dynamic += 0.5) {
    let before = Infinity;
    for (let soundingPitch = 12; soundingPitch <= 96; soundingPitch++) {
      const flows = new Set(brass.map((each) => airFlow(each, dynamic, { soundingPitch })));
      assertEquals(flows.size, 1, `${soundingPitch} at ${dynamic}`);
      const [flow] = flows;
      assert(flow! <= before + 1e-12, `${soundingPitch} at ${dynamic}`);
      before = flow!;
    }
  }
});

// "Maximal long tones, p longer than f" in the abstract of a study of three hornists says the same.
Deno.test("Jacobs: soft playing saves air: a tuba holds half a minute at pp and two seconds at ff", () => {
  const tuba = instrumentById("tuba");
  // 4 L / 0.117 and 4 L / 2.0, worked out from the rows above.
  assertAlmostEquals(breathSeconds(tuba, 2)!, 34.2, 0.05);
  assert(breathSeconds(tuba, 7)! <= 2);
  for (const each of allInstruments().filter((one) => one.family === "brass")) {
    for (let dynamic = 2.5; dynamic <= 7; dynamic += 0.5) {
      assertGreater(breathSeconds(each, dynamic - 0.5)!, breathSeconds(each, dynamic)! - 1e-12, each.id);
    }
  }
});
