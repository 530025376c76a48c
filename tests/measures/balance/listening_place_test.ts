import { assertAlmostEquals, assertEquals, assertGreater, assertLess, assertThrows } from "@std/assert";
import { balance, instrumentById } from "ripieno";
import { type Hall, SEATING_METRES } from "ripieno/measures";
import { listeningLevelsDb } from "../../../lib/measures/balance/listening_place.ts";
import { smallScore } from "../small_scores.ts";

const held = (pitch: number) => [{ at: 0, quarters: 8, pitch, dynamic: 6 }];
const score = smallScore([
  { instrument: "flute", name: "Flute", role: "lead", notes: held(74) },
  { instrument: "tenor trombone", name: "Trombone", role: "pad", notes: held(62) },
]);
const seats = score.parts.map((part) => ({ part, instrument: instrumentById(part.instrument) }));
const levels = (place: Parameters<typeof listeningLevelsDb>[1]) => listeningLevelsDb(seats, place, 3);
const inHall = (hall: Hall) => levels({ hall });

Deno.test("without a hall every part is heard at Lw - 31 dB + G (ISO 3382-1:2009, Annex A)", () => {
  assertEquals(levels({}), [-28, -28]);
});

Deno.test("in a hall Lp = Lw + 10 log10(Q / (4 pi r^2) + 4 / R), by hand", () => {
  const hall = { distanceMetres: 10, roomConstantSquareMetres: 2000, depthMetres: { Flute: 0, brass: 5 } };
  // 1 / (4 pi 100) = 7.9577e-4; 1 / (4 pi 225) = 3.5368e-4; 4 / 2000 = 2e-3.
  const [flute, trombone] = inHall(hall);
  assertAlmostEquals(flute!, -25.534978, 1e-6);
  assertAlmostEquals(trombone!, -26.282524, 1e-5);
  // Q = 2 doubles the direct sound alone: 1.59155e-3 + 2e-3.
  assertAlmostEquals(inHall({ ...hall, directivity: { woodwind: 2 } })[0]!, -24.447177, 1e-5);
  // R = 0.161 V / T.
  const sabine = inHall({
    distanceMetres: 10,
    volumeCubicMetres: 2000 / 0.161 * 2,
    reverberationSeconds: 2,
    depthMetres: hall.depthMetres,
  });
  assertAlmostEquals(sabine[0]!, flute!, 1e-9);
});

Deno.test("a hall of which nothing is said has the strength of the defaults 15 m away, less behind", () => {
  const [front, back] = inHall({ depthMetres: { Flute: 0 } });
  assertAlmostEquals(front!, -28, 1e-9);
  assertLess(back!, front!);
  const brass = SEATING_METRES["brass"]!;
  assertAlmostEquals(back!, inHall({ depthMetres: { brass } })[1]!, 1e-12);
});

Deno.test("nearer is louder, and in a very reverberant hall the distance hardly matters", () => {
  const near = inHall({ distanceMetres: 5, roomConstantSquareMetres: 2000 })[0]!;
  const far = inHall({ distanceMetres: 40, roomConstantSquareMetres: 2000 })[0]!;
  assertGreater(near, far);
  const live = [5, 40].map((distanceMetres) =>
    inHall({ distanceMetres, roomConstantSquareMetres: 50, depthMetres: { woodwind: 0 } })[0]!
  );
  assertLess(live[0]! - live[1]!, 0.2);
});

Deno.test("a close microphone's gain takes the place of the hall; a part's own name counts before its family", () => {
  const place = { hall: { distanceMetres: 30 }, gainsDb: { woodwind: 6, Flute: 4 } };
  const [flute, trombone] = levels(place);
  assertEquals(flute, -24);
  assertEquals(trombone, inHall({ distanceMetres: 30 })[1]);
  assertEquals(levels({ gainsDb: { brass: -10 } }), [-28, -38]);
});

Deno.test("balance(): a gain on the lead makes it more audible and leaves handbook and power as they were", () => {
  const [plain, close] = [balance(score), balance(score, { gainsDb: { Flute: 10 } })];
  assertGreater(close.whole.audibleShare!, plain.whole.audibleShare!);
  assertEquals(close.whole.powerDb, plain.whole.powerDb);
  assertEquals(close.whole.handbookDb, plain.whole.handbookDb);
  const same = balance(score, { gainsDb: { Flute: 0, Trombone: 0 } });
  assertEquals(same.perBar, plain.perBar);
  assertGreater(
    plain.perBar[0]!.loudnessSones,
    balance(score, { hall: { distanceMetres: 40 } }).perBar[0]!.loudnessSones,
  );
});

Deno.test("balance() refuses halls and gains that make no sense, with what to do", () => {
  const refused = (place: unknown, words: string) =>
    assertThrows(() => balance(score, place as never), Error, words);
  refused({ gainsDb: { Oboe: 3 } }, `"Oboe", which is neither a part of this score nor a family`);
  refused({ gainsDb: { Flute: NaN } }, "Give a number");
  refused({ gainsDb: [3] }, "table of names and numbers");
  refused({ hall: { distance: 3 } }, "distanceMetres");
  refused({ hall: { distanceMetres: 0 } }, "above 0");
  refused({ hall: { volumeCubicMetres: 12000 } }, "reverberationSeconds");
  refused(
    { hall: { volumeCubicMetres: 12000, reverberationSeconds: 2, roomConstantSquareMetres: 900 } },
    "room constant and a volume",
  );
  refused({ hall: { depthMetres: { brass: -3 } } }, "0 or more");
  refused({ hal: {} }, "gainsDb");
  refused({ detail: "rough" }, `"full" or "quick"`);
});

Deno.test("sections sit one behind the other, strings in front, voices at the back (common practice, no source)", () => {
  const order = ["strings", "plucked", "keyboard", "woodwind", "brass", "percussion", "voice"];
  const metres = order.map((family) => SEATING_METRES[family]!);
  metres.forEach((m, i) => i > 0 && assertGreater(m, metres[i - 1]!));
});

Deno.test("seats without figures of one's own are those of a usual stage, in metres behind its front (common practice, no source)", () => {
  const hall = { roomConstantSquareMetres: 2000 };
  assertEquals(
    inHall(hall),
    inHall({
      ...hall,
      distanceMetres: 15,
      depthMetres: { Flute: 6, Trombone: 8 },
      directivity: { brass: 1 },
    }),
  );
});
