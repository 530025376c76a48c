/** The lead's notes in time, worked out by hand; a second to a quarter. */
import { assertEquals } from "@std/assert";
import { makeNote, type Note } from "ripieno/score";
import { leadSpans, stretchesOf } from "../../../lib/measures/balance/lead_spans.ts";
import { dynamicPlayed } from "../../../lib/measures/balance/note_sound.ts";

const note = (from: number, to: number, more: Partial<Note> = {}) =>
  makeNote({ part: 0, onsetTicks: from, durationTicks: to - from, soundingPitch: 70, ...more });
/** Spans as `from-to`, in brackets where held over, with the end of the sound where it is another. */
const spans = (barStart: number, ...notes: readonly Note[]) =>
  leadSpans(notes, [0, 2], barStart).map(({ from, to, heldOver, soundsTo }) => {
    const words = `${from}-${to}${soundsTo === to ? "" : ` sounds to ${soundsTo}`}`;
    return heldOver ? `(${words})` : words;
  });

Deno.test("leadSpans() go from each note to its end or the next, a chord by its longest, whoever leads", () => {
  assertEquals(spans(0, note(0, 4), note(4, 6), note(8, 10)), ["0-4", "4-6", "8-10"]);
  assertEquals(spans(0, note(0, 8), note(4, 6)), ["0-4", "4-6"]);
  assertEquals(spans(0, note(0, 2), note(0, 4), note(0, 3)), ["0-4"]);
  assertEquals(spans(0, note(4, 6), note(0, 2, { part: 2 }), note(2, 4, { part: 1 })), ["0-2", "4-6"]);
  assertEquals(spans(0, note(0, 4, { articulations: ["staccato"] })), ["0-4 sounds to 2"]);
});

Deno.test("leadSpans() hold a note over the bar line as long as it sounds there", () => {
  assertEquals(spans(10, note(4, 14), note(14, 16)), ["(10-14)", "14-16"]);
  assertEquals(spans(10, note(4, 14), note(10, 12)), ["10-14"], "another begins with the bar");
  assertEquals(spans(10, note(4, 10)), []);
  assertEquals(spans(10, note(4, 14, { articulations: ["staccato"] })), [], "silent since 9");
  assertEquals(spans(10, note(4, 20, { articulations: ["staccato"] })), ["(10-20 sounds to 12)"]);
});

Deno.test("stretchesOf() cut what sounds of a note into equal parts no shorter than the ear listens, four at most", () => {
  const cut = (from: number, to: number, listenSeconds: number) =>
    stretchesOf({ from, to, soundsTo: to, heldOver: false }, (ticks) => ticks, listenSeconds)
      .map((s) => `${s.from}-${s.to}`);
  assertEquals(cut(0, 6, 2), ["0-2", "2-4", "4-6"]);
  assertEquals(cut(0, 5, 2), ["0-2.5", "2.5-5"]);
  assertEquals(cut(3, 4, 2), ["3-4"]);
  assertEquals(cut(0, 20, 2), ["0-5", "5-10", "10-15", "15-20"]);
});

Deno.test("dynamicPlayed() adds an accent and steps, up to the loudest there is", () => {
  const of = (dynamic: number, steps: number, ...articulations: Note["articulations"]) =>
    dynamicPlayed(note(0, 4, { dynamic, articulations }), steps, 1);
  assertEquals([of(5, 0), of(5, 0, "accent"), of(5, 0, "marcato"), of(5, 0, "staccato")], [5, 6, 6, 5]);
  assertEquals([of(5, -2), of(5, -2, "accent"), of(8, 0, "accent"), of(7, 3)], [3, 4, 8, 8]);
});
