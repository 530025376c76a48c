/** What is heard of contents, closely and quickly: identities between the ways of asking, and mixtures by hand. */
import { assert, assertAlmostEquals, assertEquals, assertStrictEquals } from "@std/assert";
import { balance } from "ripieno";
import {
  contentOf,
  excitationsOf,
  layersHeard,
  scaled,
  sonesAlone,
  sonesBeside,
  together,
} from "../../../lib/measures/balance/heard.ts";
import { mayCover } from "../../../lib/measures/balance/balance_warnings.ts";
import { heardBeside, leadHeard, leadWeighed } from "../../../lib/measures/balance/lead_heard.ts";
import { listeningTo } from "../../../lib/measures/balance/listening.ts";
import { atPower, type PlayedLayer } from "../../../lib/measures/balance/moment.ts";
import { noteSounds } from "../../../lib/measures/balance/note_sound.ts";
import { type Line, repeatedNotes, smallScore } from "../small_scores.ts";

const held = (instrument: string, pitch: number, role: Line["role"], dynamic = 5): Line => ({
  instrument,
  role,
  layer: role,
  notes: [{ at: 0, quarters: 8, pitch, dynamic }],
});
const score = smallScore([
  held("oboe", 72, "lead"),
  held("horn in F", 57, "pad"),
  held("viola", 62, "bass", 4),
]);

for (const detail of ["full", "quick"] as const) {
  const sounds = noteSounds(score, { hallStrengthDb: 3, gridStepCam: 0.5, accentSteps: 1 }, { detail });
  const { grid } = sounds;
  const [oboe, horn, viola] = score.notes.map((n) => contentOf([sounds.of(n)], [1]));
  const near = (actual: number, expected: number) => assertAlmostEquals(actual, expected, 1e-9 * expected);

  Deno.test(`${detail} hearing of a content stronger or weaker is that of a stronger or weaker content`, () => {
    for (const factor of [0.25, 2, 10]) {
      near(sonesAlone(grid, oboe!, factor), sonesAlone(grid, scaled(oboe!, factor)));
      const { alone, left } = sonesBeside(grid, oboe!, [horn!, viola!], factor);
      near(alone, sonesAlone(grid, oboe!));
      near(left, sonesBeside(grid, oboe!, [scaled(together([horn!, viola!]), factor)]).left);
    }
    near(sonesAlone(grid, oboe!), sonesAlone(grid, oboe!, 1));
    near(sonesBeside(grid, oboe!, [horn!]).left, sonesBeside(grid, oboe!, [horn!], 1).left);
    assert(sonesAlone(grid, oboe!, 2) > sonesAlone(grid, oboe!));
  });

  Deno.test(`${detail} contents are one where sounds and shares are, and two where any of them differs`, () => {
    const [a, b, c] = score.notes.map((n) => sounds.of(n));
    assertStrictEquals(contentOf([a!, b!], [1, 1]), contentOf([a!, b!], [1, 1]));
    const all = [contentOf([a!, b!], [1, 1]), contentOf([a!, c!], [1, 1]), contentOf([a!, b!], [1, 2])];
    assertEquals(new Set(all.map(({ id }) => id)).size, all.length);
    for (const { sounds } of all) assertEquals(sounds[0], a);
    assertEquals(all.map(({ sounds }) => sounds[1]), [b, c, b]);
    assertEquals(all.map(({ shares }) => shares[1]), [1, 1, 2]);
  });

  Deno.test(`${detail} hearing beside nothing is hearing alone, beside more it is less`, () => {
    const nothing = contentOf([], []);
    const { alone, left } = sonesBeside(grid, oboe!, [nothing]);
    assertEquals(left, alone);
    assertEquals(sonesBeside(grid, oboe!, []), { alone, left });
    const [one, two] = [[horn!], [horn!, viola!]].map((rest) => sonesBeside(grid, oboe!, rest).left);
    assert(two! < one! && one! < alone);
  });

  Deno.test(`${detail} hearing of layers together is that of all they are made of, each beside the rest`, () => {
    const layers = [oboe!, horn!].map((content) => ({ content, soundingShare: 1 }));
    const { whole, partial, alone } = layersHeard(grid, layers);
    near(whole, sonesAlone(grid, together([oboe!, horn!])));
    near(alone[0]!, sonesAlone(grid, oboe!));
    near(partial[0]!, sonesBeside(grid, oboe!, [horn!]).left);
    near(partial[1]!, sonesBeside(grid, horn!, [oboe!]).left);
    // Half the time at mean power is full power while it sounds.
    const half = layersHeard(grid, [{ content: scaled(oboe!, 0.5), soundingShare: 0.5 }]);
    near(half.alone[0]!, sonesAlone(grid, oboe!));
  });

  Deno.test(`${detail} excitation of groups is in the order of the groups, and adds up where nothing widens the filters`, () => {
    const [first, second] = excitationsOf(grid, [oboe!, horn!]);
    assert(first!.some((x, i) => x > 2 * second![i]!) && first!.some((x, i) => second![i]! > 2 * x));
    if (detail === "full") return;
    const [both] = excitationsOf(grid, [together([oboe!, horn!])]);
    both!.forEach((x, i) => near(x, first![i]! + second![i]!));
  });

  Deno.test(`${detail} stretches without the lead count as silence of it, those with it by their mean`, () => {
    const { moments, sounds } = listeningTo(score, { detail });
    const there = moments.soundingIn(0, { from: 0, to: 96 });
    const without = there.filter((l) => l.role !== "lead");
    const once = leadHeard(sounds.grid, [there], 3), half = leadHeard(sounds.grid, [there, without], 3);
    near(half.aloneSones, once.aloneSones / 2);
    near(half.partialSones, once.partialSones / 2);
    near(half.audibleShare, once.audibleShare);
    assertEquals(leadHeard(sounds.grid, [], 3), { aloneSones: 0, partialSones: 0, audibleShare: 0 });
    assert(
      leadHeard(sounds.grid, [there], 6).audibleShare > once.audibleShare,
      "a rest 6 dB weaker covers less",
    );
    assertEquals(heardBeside(sounds.grid, [], there), { alone: 0, partial: 0 });
    const faint = there.filter((l) => l.role === "lead").map((l) => atPower(l, 1e-6));
    const { audibleShare, aloneSones } = leadHeard(sounds.grid, [faint], 0);
    assert(aloneSones > 0 && aloneSones < 1);
    assertEquals(audibleShare, 1, "alone it is heard, however faint");
    // The lead covers nothing, nor does what is silent.
    assertEquals(there.filter(mayCover), there.filter((l) => l.role !== "lead"));
    assertEquals(there.map((l) => ({ ...l, content: contentOf([], []) })).filter(mayCover), []);
    const lead = there.filter((l) => l.role === "lead");
    near(heardBeside(sounds.grid, lead, without).alone, once.aloneSones);
    near(heardBeside(sounds.grid, lead, without).partial, leadHeard(sounds.grid, [there], 0).partialSones);
  });
}

Deno.test("a note sounds as it is played, whatever was played before by as many", () => {
  const ways = ["ordinario", "pizzicato", "ordinario"] as const;
  const mixed = smallScore([{
    instrument: "violin",
    role: "lead",
    players: 12,
    notes: ways.map((technique, i) => ({ at: i, quarters: 1, pitch: 67, technique })),
  }]);
  const sounds = noteSounds(mixed, { hallStrengthDb: 3, gridStepCam: 0.5, accentSteps: 1 });
  const [bowed, plucked, again] = mixed.notes.map((n) => sounds.of(n).id);
  assertEquals(again, bowed);
  assert(plucked !== bowed);
});

Deno.test("equal contents are one, whoever asks; others are not", () => {
  const sounds = noteSounds(score, { hallStrengthDb: 3, gridStepCam: 0.5, accentSteps: 1 });
  const [a, b] = score.notes.map((n) => sounds.of(n));
  assertStrictEquals(contentOf([a!, b!], [1, 0.5]), contentOf([a!, b!, a!], [1, 0.5, 1], 2));
  assert(contentOf([a!, b!], [1, 0.5]) !== contentOf([a!, b!], [1, 0.25]));
  assert(contentOf([a!], [1]).id !== contentOf([b!], [1]).id);
  for (const share of [0.3, 0.7]) {
    assertEquals(contentOf([a!, b!], [share, 1]).shares, [share, 1]);
  }
  assertStrictEquals(together([contentOf([a!], [1])]), contentOf([a!], [1]));
  assertStrictEquals(together([contentOf([a!], [1]), contentOf([b!], [0.5])]), contentOf([a!, b!], [1, 0.5]));
  assertStrictEquals(scaled(contentOf([a!], [1]), 1), contentOf([a!], [1]));
  assertEquals(scaled(contentOf([a!], [0.5]), 4).shares, [2]);
});

Deno.test("the lead is weighed by power while it sounds; a rest of a millionth of it is none", () => {
  const { sounds } = listeningTo(score);
  const layer = (role: Line["role"], part: number, watts: number, soundingShare = 1): PlayedLayer => ({
    id: role,
    role,
    soundingShare,
    watts,
    parts: [{ part, share: soundingShare, dynamic: 5, covers: true }],
  });
  const of = (...layers: readonly PlayedLayer[]) => leadWeighed(layers, score, sounds).powerDb;
  assertAlmostEquals(of(layer("lead", 0, 4e-3), layer("pad", 1, 1e-3))!, 6.0206, 1e-4);
  assertAlmostEquals(of(layer("lead", 0, 1e-3, 0.25), layer("pad", 1, 1e-3))!, 6.0206, 1e-4);
  assertAlmostEquals(
    of(layer("lead", 0, 1e-3), layer("pad", 1, 1e-3), layer("bass", 2, 1e-3))!,
    -3.0103,
    1e-4,
  );
  assertEquals([of(layer("lead", 0, 1), layer("pad", 1, 1e-6)), of(layer("lead", 0, 1))], [null, null]);
  assertAlmostEquals(of(layer("lead", 0, 1), layer("pad", 1, 1.01e-6))!, 59.957, 1e-3);
  assertAlmostEquals(of(layer("lead", 0, 1e-9), layer("pad", 1, 1))!, -60, 1e-12);
  assertEquals(of(layer("pad", 1, 1)), -60);
});

Deno.test("close hearing goes by its own spacing of filters, quick hearing by its", () => {
  const of = (detail: "full" | "quick", constants: object) =>
    balance(score, { detail, constants }).perBar[0]!.loudnessSones;
  assertEquals(of("full", {}), of("full", { gridStepCam: 0.25, quickGridStepCam: 1 }));
  assertEquals(of("quick", {}), of("quick", { gridStepCam: 1, quickGridStepCam: 0.5 }));
  assert(
    of("full", {}) !== of("full", { gridStepCam: 0.5 }) &&
      of("quick", {}) !== of("quick", { quickGridStepCam: 0.25 }),
  );
  assertAlmostEquals(of("quick", {}) / of("full", {}), 1, 0.03);
  assertEquals(balance(score).perBar[0]!.loudnessSones, of("full", {}));
  assertEquals(balance(smallScore([held("oboe", 72, "lead")])).perNote.length, 1);
  assertEquals(
    balance(smallScore([{ ...held("oboe", 72, "lead"), notes: repeatedNotes(72, 1) }])).perNote.length,
    8,
  );
});
