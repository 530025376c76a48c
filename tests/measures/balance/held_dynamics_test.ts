import { assertEquals } from "@std/assert";
import { balance } from "ripieno";
import { makeNote, type WrittenDynamic } from "ripieno/score";
import { heldDynamics } from "../../../lib/measures/balance/held_dynamics.ts";
import { smallScore, TICKS_PER_QUARTER } from "../small_scores.ts";

const at = (quarters: number) => quarters * TICKS_PER_QUARTER;
const sign = (quarters: number, kind: WrittenDynamic["kind"], mark?: string): WrittenDynamic => ({
  onsetTicks: at(quarters),
  staff: 0,
  kind,
  ...(mark ? { mark } : {}),
});
const score = smallScore([{ instrument: "horn in F", role: "pad", notes: [] }]);
const note = (quarters: number, length: number) =>
  makeNote({ part: 0, onsetTicks: at(quarters), durationTicks: at(length), soundingPitch: 60, dynamic: 6 });

/** Change at some places of a note of eight quarters under some signs. */
function changes(signs: readonly WrittenDynamic[], places: readonly number[]): readonly number[] | undefined {
  const of = heldDynamics({ ...score.parts[0]!, writtenDynamics: signs }, TICKS_PER_QUARTER)(note(0, 8));
  return of && places.map((q) => of(at(q)));
}

Deno.test("heldDynamics(): a note without signs under it keeps its strength", () => {
  assertEquals(heldDynamics(score.parts[0]!, TICKS_PER_QUARTER)(note(0, 8)), undefined);
  assertEquals(changes([sign(0, "mark", "f")], [0]), undefined);
  assertEquals(changes([sign(0, "mark", "f"), sign(8, "mark", "p")], [0]), undefined);
});

Deno.test("heldDynamics(): fp falls back after an eighth, sf to what held before", () => {
  assertEquals(changes([sign(0, "mark", "fp")], [0, 0.25, 0.5, 7]), [0, 0, -3, -3]);
  assertEquals(changes([sign(-4, "mark", "p"), sign(0, "mark", "sf")], [0, 0.5]), [0, -3]);
  const short = heldDynamics(
    { ...score.parts[0]!, writtenDynamics: [sign(0, "mark", "fp")] },
    TICKS_PER_QUARTER,
  );
  assertEquals(short(note(0, 0.5)), undefined);
});

Deno.test("heldDynamics(): hairpins move evenly to the mark at their end, new marks step", () => {
  const swell = [sign(0, "mark", "p"), sign(0, "crescendo"), sign(4, "stop"), sign(4, "mark", "f")];
  assertEquals(changes(swell, [0, 2, 4, 6]), [0, 1.5, 3, 3]);
  assertEquals(changes([sign(0, "mark", "f"), sign(4, "diminuendo"), sign(6, "stop")], [4, 5, 6]), [
    0,
    -0.5,
    -1,
  ]);
  assertEquals(changes([sign(0, "mark", "f"), sign(4, "mark", "pp")], [3, 4]), [0, -4]);
  assertEquals(changes([sign(0, "mark", "f"), sign(0, "fading"), sign(4, "mark", "p")], [0, 2, 4]), [
    0,
    -1.5,
    -3,
  ]);
});

Deno.test("balance(): a horn marked fp under a lead covers it less than one marked f (common practice, no source)", () => {
  const lines = smallScore([
    { instrument: "violin", role: "lead", notes: [{ at: 0, quarters: 8, pitch: 69, dynamic: 3 }] },
    {
      instrument: "horn in F",
      role: "pad",
      players: 2,
      notes: [{ at: 0, quarters: 8, pitch: 60, dynamic: 6 }],
    },
  ]);
  const marked = (mark: string) => ({
    ...lines,
    parts: lines.parts.map((p, i) => i === 1 ? { ...p, writtenDynamics: [sign(0, "mark", mark)] } : p),
  });
  const [loud, falling] = ["f", "fp"].map((m) => balance(marked(m)).whole.audibleShare!);
  assertEquals(loud! < falling!, true);
});
