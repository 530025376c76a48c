/**
 * Places that lie just at a limit, and a step beyond it; the limits are those of the tables in `data`, or common practice
 * without a source. Quarters are seconds.
 */
import { assertEquals, assertStringIncludes } from "@std/assert";
import { type Note, pitchOf, type Score } from "ripieno";
import { type Glissando, type Playing, sortNotes } from "ripieno/score";
import { withFileDoubts } from "../../../lib/measures/playability/file_doubts.ts";
import { glissandiOf } from "../../../lib/measures/playability/glissando_places.ts";
import type { FindingPlace } from "../../../lib/measures/playability/judge.ts";
import { tempoWordIn } from "../../../lib/score/tempo_words.ts";
import { chord, findingsOf, type FindingsOptions, quick, rulesOf } from "../findings_of.ts";
import { type LineNote, repeatedNotes, smallScore, TICKS_PER_QUARTER } from "../small_scores.ts";

const pitches = (names: string) => names.split(" ").map((name) => pitchOf(name)!);
const note = (at: number, quarters: number, more: Partial<LineNote> = {}): LineNote => ({
  at,
  quarters,
  pitch: 60,
  ...more,
});

Deno.test("a change of instrument has its rest at just the seconds it takes, calmly or at least", () => {
  // An oboist takes the cor anglais calmly in 8 s, at least in 5.
  const taken = (gap: number) =>
    findingsOf("oboe", [...repeatedNotes(72, 1, { to: 16 }), note(16 + gap, 1, { pitch: 72 })], {
      changed: (s) => ({
        ...s,
        parts: s.parts.map((part) => ({
          ...part,
          instrumentChanges: [{
            fromTicks: 16 * TICKS_PER_QUARTER,
            instrument: "cor anglais",
            name: "cor anglais",
          }],
        })),
      }),
    }).map((f) => [f.severity, f.figure, f.limit]);
  assertEquals([8, 5, 4.75, 0.25].map(taken), [[], [["note", 5, 8]], [["risky", 4.75, 5]], [[
    "risky",
    0.25,
    5,
  ]]]);
});

Deno.test("changes of manner: two players are players who can take turns; signs and manners have their figures", () => {
  const remedy = (players: number) =>
    findingsOf("cello", [note(0, 2), note(2.25, 2, { technique: "pizzicato" })], { players })[0]!.remedy;
  assertEquals([1, 2].map((players) => /half the players/.test(remedy(players))), [false, true]);
  const figures = (id: string, more: Partial<LineNote>) =>
    findingsOf(id, [note(0, 1, { pitch: 64, ...more })]).map((f) => [f.rule, f.figure, f.limit]);
  assertEquals(figures("oboe", { technique: "flutter" }), [["way of playing", 1, 0]]);
  assertEquals(figures("oboe", { signs: ["double-tongue"] }), [["way of playing", 0, 1]]);
});

Deno.test("chords: stops that may just be rolled, hands that just reach, in whatever order the file has the notes", () => {
  const found = (id: string, names: string, options: FindingsOptions & Partial<LineNote> = {}) => {
    const { players, constants, changed, ...more } = options;
    const rest = {
      ...players === undefined ? {} : { players },
      ...constants === undefined ? {} : { constants },
      ...changed === undefined ? {} : { changed },
    };
    return findingsOf(id, chord(pitches(names), more), rest);
  };
  const rolled = (quarters: number) =>
    rulesOf(found("violin", "G3 D4 B4", { quarters, constants: { rolledFromSeconds: 0.5 } }));
  assertEquals([rolled(0.5), rolled(0.5 + 1 / 96)], [[], ["note stops"]]);
  // A hand reaches 16 semitones: from C2 to E3 and no further.
  const hands = (names: string, id = "piano") => found(id, names).map((f) => [f.rule, f.figure, f.limit]);
  assertEquals([hands("C2 E3 C6"), hands("C2 F3 C6")], [[], [["hands", 17, 16]]]);
  assertEquals(hands("C3 E3 G3 B3 C4 E4 G4 B4 C5", "harp"), [["hands", 9, 8]]);
  assertEquals(hands("C3 C4 E4 C5 E5", "marimba"), [["hands", 5, 4]]);
  // An organist's feet take the lowest note, the hands what lies above, be it one or three.
  assertEquals([hands("C2 C6", "organ"), hands("C2 C3 C5 C7", "organ")], [[], [["hands", 24, 16]]]);
  const turned = (s: Score): Score => ({ ...s, notes: s.notes.toReversed() });
  for (const [id, names] of [["violin", "G3 D4 B4"], ["piano", "C2 C4 C6"], ["viola", "C3 D3"]] as const) {
    assertEquals(found(id, names, { changed: turned }), found(id, names));
  }
  // Two players of a section have a line each where they do not divide, and one where they should be two to a line.
  assertEquals(found("viola", "C4 E4", { players: 2 }).map((f) => [f.rule, f.limit]), [["notes at once", 1]]);
  const playing: readonly Playing[] = [{ fromTicks: 0, kind: "unison", words: "non div." }];
  const told = (s: Score): Score => ({ ...s, parts: s.parts.map((p) => ({ ...p, playing })) });
  assertEquals(found("flute", "C5 E5", { players: 2, changed: told }), [], "flutes have no strings to stop");
  assertEquals(found("violin", "G3 A3", { players: 2, changed: told }).map((f) => f.rule), ["stops"]);
});

/** A line from one note to another. */
function line(ends: string, quarters = 1, kind: Glissando["kind"] = "slide"): readonly LineNote[] {
  const [from, to] = pitches(ends) as [number, number];
  const glissandi = [{ kind, semitones: to - from, lengthTicks: quarters * TICKS_PER_QUARTER }];
  return [{ at: 0, quarters, pitch: from, glissandi }, { at: quarters, quarters: 1, pitch: to }];
}
const slid = (id: string, ends: string, quarters = 1, kind: Glissando["kind"] = "slide") =>
  findingsOf(id, line(ends, quarters, kind), { rule: "glissando" });
const judged = (id: string, ends: string) => slid(id, ends).map((f) => [f.severity, f.figure, f.limit]);

Deno.test("slides end where slide, drum or string ends, and the way out names how far they lead", () => {
  // From A flat 2, third position, the slide leads down to E2; from A1, second position of the fundamental, up to B flat 1.
  assertEquals(judged("tenor trombone", "Ab2 D2"), [["impossible", 6, 4]]);
  assertStringIncludes(slid("tenor trombone", "Ab2 D2")[0]!.remedy, "leads from Ab2 to E2");
  assertEquals(judged("tenor trombone", "A1 C2"), [["impossible", 3, 1]]);
  assertStringIncludes(slid("tenor trombone", "A1 C2")[0]!.remedy, "leads from A1 to Bb1");
  assertEquals(judged("tenor trombone", "Bb1 C3"), [["impossible", 14, 0]]);
  assertStringIncludes(slid("tenor trombone", "Bb1 C3")[0]!.remedy, "Nothing lies on the slide");
  // C3 is on the three smaller drums, of which that of F2 leads furthest down, that of A3 furthest up.
  assertEquals([judged("timpani", "C3 C2"), judged("timpani", "C3 Bb3")], [[["impossible", 12, 7]], [[
    "impossible",
    10,
    9,
  ]]]);
  // The G string of a violin is played up to G5, a quarter of its two octaves more is six semitones.
  assertEquals(["G3 G5", "G3 Ab5", "G3 C#6", "G3 D6"].map((ends) => judged("violin", ends)), [
    [],
    [["risky", 25, 24]],
    [["risky", 30, 24]],
    [["impossible", 31, 24]],
  ]);
  assertStringIncludes(slid("violin", "G3 Ab5")[0]!.what, "the G3 string is played up to about G5");
});

Deno.test("clarinets slide upwards from above the break: the way out is told for what lies below it alone", () => {
  const run = "Let it begin as a fingered run";
  const remedy = (ends: string) => slid("clarinet in Bb", ends)[0]!.remedy;
  // D5 written is C5 sounding.
  assertEquals(["F4 Bb4", "Bb4 F4", "Bb5 C5", "C5 C7"].map((ends) => remedy(ends).startsWith(run)), [
    true,
    false,
    false,
    false,
  ]);
  assertEquals(judged("clarinet in Bb", "C5 C5").map(([severity]) => severity), ["note"], "to itself");
});

Deno.test("wavy lines are smeared a quarter beyond what the fingers reach; a roll of one slash goes on sounding", () => {
  // A flute's fingers run 16 notes a second in a burst (data/rates.csv), up to 20 is let pass.
  const speed = (quarters: number) =>
    findingsOf("flute", line("C5 C6", quarters, "glissando"), { rule: "glissando speed" }).length;
  assertEquals([12 / 15, 12 / 19, 12 / 21].map(speed), [0, 0, 1]);
  const long = line("Bb2 F3", 4);
  const fading = (notes: readonly LineNote[]) => findingsOf("timpani", notes, { rule: "glissando speed" });
  assertEquals(fading(long.map((n) => ({ ...n, tremoloSlashes: 1 }))), []);
  assertStringIncludes(fading(long)[0]!.remedy, "Write a roll");
  const plucked = line("D3 F#3", 4).map((n) => ({ ...n, technique: "pizzicato" as const }));
  const [pluck] = findingsOf("cello", plucked, { rule: "glissando speed" });
  assertStringIncludes(pluck!.remedy, "let it be bowed");
});

Deno.test("grace notes of other players, before or after, begin no slide of these", () => {
  const [start, end] =
    smallScore([{ instrument: "harp", role: "lead", notes: [note(4, 1), note(8, 1)] }]).notes;
  const glissandi = [{ kind: "slide" as const, semitones: 2, lengthTicks: 0 }];
  const grace = (at: number): Note => ({
    ...start!,
    onsetTicks: at * TICKS_PER_QUARTER,
    durationTicks: 0,
    grace: true,
    glissandi,
  });
  const found = (...at: readonly number[]) =>
    glissandiOf([start!, end!], { graces: sortNotes(at.map(grace)) }).map((g) =>
      g.note.onsetTicks / TICKS_PER_QUARTER
    );
  assertEquals([found(3, 9), found(4, 6, 8)], [[], [4, 6, 8]]);
});

Deno.test("a slow word at its own tempo is not doubted, nor places that only reach their limits; the first part is named", () => {
  const guide = tempoWordIn("Adagio")!.beatsPerMinute;
  const said = (quartersPerMinute: number, figure: number) => {
    const score = smallScore(
      ["oboe", "violin", "cello"].map((instrument) => ({ instrument, role: "lead", notes: [] })),
      { quartersPerMinute },
    );
    const place = (part: number): FindingPlace => ({
      part,
      partName: score.parts[part]!.name,
      onsetTicks: 96,
      endTicks: 192,
      severity: "risky",
      rule: "repeated-note rate",
      what: "quick",
      figure,
      limit: 10,
      unit: "notes per second",
      source: "test",
      remedy: "none",
    });
    const tempos = score.tempos.map((t) => ({ ...t, words: "Adagio" }));
    return withFileDoubts([place(2), place(1), place(0)], { ...score, tempos })
      .filter((f) => f.rule === "tempo").map((f) => f.partName);
  };
  assertEquals([said(guide, 11), said(guide + 1, 11), said(guide + 1, 10)], [[], ["cello 3"], []]);
});

Deno.test("what tires is loud, from just the dynamic that counts as loud, and no tremolo that can be counted", () => {
  const rules = (id: string, notes: readonly LineNote[]) => rulesOf(findingsOf(id, notes, { players: 1 }));
  const horn = (dynamic: number) =>
    rules("horn in F", quick(60, 1, 80, { dynamic })).filter((r) => r.includes("loud without"));
  assertEquals([horn(5.5), horn(5.49)], [["tiring loud without rest"], []]);
  const tremolo = (slashes: number) =>
    rules("violin", repeatedNotes(69, 2, { to: 80, dynamic: 6, tremoloSlashes: slashes }))
      .filter((r) => r.includes("tremolo"));
  assertEquals([tremolo(1), tremolo(4)], [[], ["tiring unmeasured tremolo, loud"]]);
});
