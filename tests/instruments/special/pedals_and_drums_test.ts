/** Settings of harp pedals and tunings of timpani that cannot be, each with the reason, and those that can. */
import { assertEquals } from "@std/assert";
import { harpPedals, timpaniTuning } from "ripieno/instruments";

Deno.test("harpPedals() says which note has no pedal, and leaves the setting as it was", () => {
  const of = (...notes: readonly (readonly [step: string, alter: number])[]) => {
    const { possible, reason, moved, setting } = harpPedals(notes.map(([step, alter]) => ({ step, alter })));
    return possible ? moved.join("") : [reason, Object.values(setting).every((alter) => alter === 0)];
  };
  assertEquals(of(["H", 0]), ["There is no pedal for the letter H.", true]);
  assertEquals(of(["F", 2]), ["F altered by 2 semitones has no pedal position.", true]);
  assertEquals(of(["E", -1], ["C", 0], ["C", 1]), ["C is asked for in two forms at once.", true]);
  assertEquals(of(["C", 1], ["C", 1]), "C");
});

// Drums from the largest: C2 to A2, F2 to D3, Bb2 to F3, C3 to A3 (data/timpani_drums.csv).
Deno.test("timpaniTuning() gives each note the drum whose middle is nearest, and retunes as few as possible", () => {
  const of = (pitches: readonly number[], before?: readonly (number | null)[]) => {
    const { possible, reason, pitches: tuned, retuned } = timpaniTuning(pitches, before);
    return possible ? [tuned, retuned] : reason;
  };
  assertEquals(of([35]), "No drum of the set has B1.");
  assertEquals(of([58]), "No drum of the set has Bb3.");
  assertEquals(of([36, 37]), "C2, C#2 do not fit on the 4 drums at once.");
  // F2 lies 0.5 from the middle of the first drum, 4.5 from that of the second.
  assertEquals(of([41]), [[41, null, null, null], []]);
  assertEquals(of([41, 41]), [[41, null, null, null], []]);
  // A2 and D3 are there already; F2 takes the drum that stays free, and nothing is retuned.
  assertEquals(of([45, 41], [null, 45, null, 52]), [[41, 45, null, 52], []]);
  assertEquals(of([41], [40, 45, 50, 52]), [[41, 45, 50, 52], [0]]);
});
