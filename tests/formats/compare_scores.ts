/** Whether two scores are the same music. */
import type { Note, Score } from "../../lib/score/model.ts";

/** What of a note is compared: place, length, pitch and everything that changes how it is played. */
const FACTS: Readonly<Record<string, (note: Note, quarter: number) => unknown>> = {
  onset: (n, q) => n.onsetTicks / q,
  duration: (n, q) => n.durationTicks / q,
  pitch: (n) => n.soundingPitch,
  dynamic: (n) => n.dynamic,
  technique: (n) => n.technique,
  techniques: (n) => (n.techniques ?? []).join("+"),
  signs: (n) => [...(n.signs ?? [])].sort().join("+"),
  slurred: (n) => n.slurred,
  slurStart: (n) => n.slurStart,
  slurStop: (n) => n.slurStop,
  tremolo: (n) => `${n.tremoloSlashes}${n.tremoloAlternates}${n.tremolo ?? ""}`,
  trill: (n) => n.trill,
  glissandi: (n, q) =>
    (n.glissandi ?? []).map((g) => `${g.kind} ${g.semitones} ${(g.lengthTicks / q).toFixed(6)}`).sort().join(
      "+",
    ),
  kind: (n) => `${n.grace}${n.cue}${n.unpitched}`,
  spelling: (n) => n.spelling && `${n.spelling.step}${n.spelling.alter}`,
};

/** Notes in an order that does not depend on the file. */
function ordered(score: Score): Note[] {
  const key = (
    n: Note,
  ) => [
    n.part,
    n.onsetTicks / score.ticksPerQuarter,
    Number(!n.grace),
    Number(n.cue),
    n.soundingPitch,
    n.durationTicks / score.ticksPerQuarter,
    n.staff,
    n.voice,
  ];
  return [...score.notes].sort((a, b) => {
    const [x, y] = [key(a), key(b)];
    const i = x.findIndex((value, k) => Math.abs(value - y[k]!) > 1e-9);
    return i < 0 ? 0 : x[i]! - y[i]!;
  });
}

/** Signs of the chord a note belongs to: a sign stands on one head and is meant for all. */
function chordSigns(score: Score): Map<string, string> {
  const signs = new Map<string, Set<string>>();
  for (const n of score.notes) {
    const key = `${n.part}|${n.onsetTicks / score.ticksPerQuarter}|${n.grace}`;
    const set = signs.get(key) ?? new Set<string>();
    signs.set(key, set);
    for (const sign of n.articulations) set.add(sign);
  }
  return new Map([...signs].map(([key, set]) => [key, [...set].sort().join("+")]));
}

/** What stands over the bars and the parts: repeats and jumps, who plays, changes of instrument, words on tempo. */
function directionsApart(a: Score, b: Score): readonly string[] {
  const quarters = (score: Score, ticks: number) => Math.round(ticks / score.ticksPerQuarter * 1e6) / 1e6;
  const facts: Readonly<Record<string, (score: Score) => unknown>> = {
    repeats: (s) => s.bars.map((bar) => bar.repeat ?? null),
    players: (s) => s.parts.map((p) => p.players),
    playing: (s) =>
      s.parts.map(({ playing = [] }) => playing.map((p) => ({ ...p, fromTicks: quarters(s, p.fromTicks) }))),
    instruments: (s) =>
      s.parts.map(({ instrumentChanges = [] }) =>
        instrumentChanges.map((c) => [quarters(s, c.fromTicks), c.instrument])
      ),
    tempoWords: (s) =>
      (s.tempoBends ?? []).filter((t) => t.kind !== "pause").map((
        t,
      ) => [quarters(s, t.onsetTicks), t.kind, t.words]),
    // Where a score has no groups of its own, families are joined on paper.
    groups: (s) => a.partGroups ? s.partGroups?.map((g) => [g.parts.length, g.symbol, g.name]) : null,
    pauses: (s) => [
      ...new Set(
        (s.tempoBends ?? []).filter((t) => t.kind === "pause").map((t) => quarters(s, t.onsetTicks)),
      ),
    ],
  };
  return Object.entries(facts).filter(([, fact]) => JSON.stringify(fact(a)) !== JSON.stringify(fact(b)))
    .map(([name]) => name);
}

/** A fiftieth of a dynamic step is no difference: hairpins are drawn between whole ticks. */
const SAME_DYNAMIC = 0.02;

/**
 * Differences between two scores, counted by fact.
 *
 * @param a what was written
 * @param b what was read back
 * @param leaveOut facts that are not compared
 * @returns for example `["dynamic: 3"]`; empty where nothing differs
 */
export function differences(a: Score, b: Score, leaveOut: readonly string[] = []): readonly string[] {
  const counts = new Map<string, number>();
  const count = (fact: string) => counts.set(fact, (counts.get(fact) ?? 0) + 1);
  const [x, y] = [ordered(a), ordered(b)];
  if (x.length !== y.length) return [`notes: ${x.length} and ${y.length}`];
  x.forEach((note, i) => {
    const other = y[i]!;
    if (note.part !== other.part) count("part");
    for (const [name, fact] of Object.entries(FACTS)) {
      if (leaveOut.includes(name) || (name === "spelling" && !note.spelling)) continue;
      const [p, q] = [fact(note, a.ticksPerQuarter), fact(other, b.ticksPerQuarter)];
      const same = typeof p === "number" && typeof q === "number"
        ? Math.abs(p - q) < (name === "dynamic" ? SAME_DYNAMIC : 1e-6)
        : p === q;
      if (!same) count(name);
    }
  });
  if (!leaveOut.includes("directions")) { for (const fact of directionsApart(a, b)) count(fact); }
  const [signsA, signsB] = [chordSigns(a), chordSigns(b)];
  for (const [key, signs] of signsA) if (signs !== signsB.get(key)) count("articulations");
  return [...counts].map(([name, n]) => `${name}: ${n}`);
}
