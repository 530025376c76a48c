import { assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { bendTempo, secondsOf } from "ripieno/score";
import type { TempoBend } from "ripieno/score";
import { QUARTER, scoreOf } from "../formats/small_scores.ts";

/** Four bars of 4/4 at 60, with words at places in quarters. */
function score(bends: readonly (Omit<TempoBend, "onsetTicks"> & { readonly at: number })[]) {
  return scoreOf([{}, {}, {}, {}], {
    notes: [],
    tempos: [{ onsetTicks: 0, quartersPerMinute: 60, origin: "marked" }],
    tempoBends: bends.map(({ at, ...bend }) => ({ ...bend, onsetTicks: at * QUARTER })),
  });
}

const tempos = (bent: ReturnType<typeof bendTempo>) =>
  bent.tempos.map((t) => [t.onsetTicks / QUARTER, Math.round(t.quartersPerMinute * 1000) / 1000]);

// By hand from the rules in the docstring; how far players bend the tempo is nowhere printed (model assumption).
Deno.test("a rit. goes down in equal ratios to the word that ends it, and a tempo comes back", () => {
  const bent = bendTempo(
    score([{ at: 4, kind: "slower", words: "rit." }, { at: 6, kind: "a tempo", words: "a tempo" }]),
    {
      slowerShare: 0.25,
    },
  );
  assertEquals(tempos(bent), [[0, 60], [4, 30], [5, 15], [6, 60]]);
  assertEquals(bent.tempos.map((t) => t.origin), ["marked", "assumed", "assumed", "assumed"]);
  assertEquals(bent.tempoBends, undefined);
});

Deno.test("an accel. that nothing ends takes its own length, and its tempo stays", () => {
  const bent = bendTempo(score([{ at: 2, kind: "quicker", words: "accel." }]), {
    quickerShare: 4,
    lengthQuarters: 2,
  });
  assertEquals(tempos(bent), [[0, 60], [2, 120], [3, 240]]);
});

Deno.test("a pause holds what stands under it, once however many parts write it, and the time after it is kept", () => {
  const pause = { kind: "pause", words: "" } as const;
  const bent = bendTempo(
    score([
      { ...pause, at: 4, endTicks: 8 * QUARTER },
      { ...pause, at: 6, endTicks: 8 * QUARTER },
      { ...pause, at: 8, endTicks: 9 * QUARTER },
    ]),
    { pauseFactor: 3 },
  );
  assertEquals(tempos(bent), [[0, 60], [6, 20], [8, 20], [9, 60]]);
  assertAlmostEquals(secondsOf(bent, 16 * QUARTER), 16 + 2 * 2 + 2, 1e-9);
});

Deno.test("without words the score is the same; an unknown constant is refused", () => {
  const plain = scoreOf([{}], { notes: [] });
  assertEquals(bendTempo(plain), plain);
  assertThrows(() => bendTempo(score([]), { ritShare: 1 } as never), Error, "ritShare");
});
