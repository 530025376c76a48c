import { assertEquals } from "@std/assert";
import { dynamicSigns } from "../../../../lib/formats/musicxml/write/dynamic_signs.ts";

/** Signs for notes given as `[start in quarters, dynamic]`, each a quarter long. */
function signs(points: readonly (readonly [at: number, dynamic: number])[]): string {
  const found = dynamicSigns(
    points.map(([at, dynamic]) => ({ ticks: at * 480, endTicks: (at + 1) * 480, dynamic })),
    { endTicks: 100 * 480, isLongSilence: (from, to) => to - from >= 16 * 480 },
  );
  return found.map((s) =>
    `${s.ticks / 480}:${s.kind === "mark" ? s.mark : { crescendo: "<", diminuendo: ">", stop: "|" }[s.kind]}`
  )
    .join(" ");
}

Deno.test("dynamics: a mark stands once, where the dynamic changes", () => {
  assertEquals(signs([[0, 3], [1, 3], [2, 6], [3, 6], [4, 3]]), "0:p 2:f 4:p");
});

Deno.test("dynamics: the mark is repeated after four bars of silence, not after less", () => {
  assertEquals(signs([[0, 3], [12, 3], [30, 3]]), "0:p 30:p");
});

Deno.test("dynamics: small differences from note to note are no new marks", () => {
  assertEquals(signs([[0, 5], [1, 5.3], [2, 4.8], [3, 5.2], [4, 5.4]]), "0:mf");
});

Deno.test("dynamics: an even rise is a hairpin from the first note to the mark it reaches", () => {
  assertEquals(signs([[0, 3], [1, 3.75], [2, 4.5], [3, 5.25], [4, 6]]), "0:p 0:< 4:| 4:f");
  assertEquals(signs([[0, 6], [1, 5.5], [2, 5], [3, 4.5], [4, 4], [5, 4]]), "0:f 0:> 4:| 4:mp");
});

Deno.test("dynamics: a hairpin begins and ends where its line does, also between notes", () => {
  // Between the notes at 0 and 2 it holds p until 1; then it rises a step in three quarters.
  assertEquals(signs([[0, 3], [2, 3 + 1 / 3], [3, 3 + 2 / 3], [4, 4], [5, 4]]), "0:p 1:< 4:| 4:mp");
});

Deno.test("dynamics: a rise that breaks off for a sudden piano is worth one step and keeps its own end", () => {
  assertEquals(signs([[0, 3], [1, 3.25], [2, 3.5], [3, 3.75], [4, 2], [5, 2]]), "0:p 0:< 4:| 4:pp");
});

Deno.test("dynamics: a stressed note under a hairpin does not end it", () => {
  assertEquals(signs([[0, 3], [1, 3.25], [2, 6], [3, 3.75], [4, 4], [5, 4]]), "0:p 0:< 2:sfz 4:| 4:mp");
});

Deno.test("dynamics: a rise that is not even in time is a hairpin too, whole steps on every note are marks", () => {
  assertEquals(signs([[0, 3], [1, 3.6], [2, 4.1], [3, 5]]), "0:p 0:< 3:| 3:mf");
  assertEquals(signs([[0, 3], [1, 4], [2, 5], [3, 6]]), "0:p 1:mp 2:mf 3:f");
});

Deno.test("dynamics: nothing sounds, nothing is printed", () => {
  assertEquals(signs([]), "");
});
