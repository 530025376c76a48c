/** What could be changed in a passage so that its lead is heard. */
import { instrumentById } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import { soundPowerDb } from "../../instruments/sound/sound_power.ts";
import type { Note, Score } from "../../score/model.ts";
import type { Role } from "../../texture/roles.ts";
import type { RoleCell } from "../../texture/model.ts";
import type { BalanceOptions } from "../../measures/balance/balance.ts";
import { type PassageWindow, soundsIn } from "./passage_window.ts";
import { namesInWords, partsOfLayer } from "../../measures/layer_words.ts";
import { maskingMatrix } from "../../measures/balance/masking.ts";
import type { RemedyChange } from "../../measures/balance/remedy_results.ts";

/** A change in words and as data. */
export interface RemedyCandidate {
  /** A few words that go after "with". */
  readonly what: string;
  readonly changes: readonly RemedyChange[];
}

/** Layers that are looked at, those that cover most. */
const MOST_COVERERS = 3;
/** Resting instruments that are tried as doubling, the most powerful at the lead's pitch first. */
const MOST_DOUBLINGS = 5;
/** Names of players in a few words; with more the lead is called the lead, and of a layer the rest is counted. */
const MOST_NAMED = 3;
/** The dynamic scale from ppp to fff. */
const [SOFTEST, LOUDEST] = [1, 8];

/** Changes worth trying, not yet measured: notes stay in range. */
export function remedyCandidates(
  window: PassageWindow,
  options: BalanceOptions,
): readonly RemedyCandidate[] {
  const lead = leadersOf(window);
  if (lead.length === 0) return [];
  const coverers = coverersOf(window, options)
    .map((layer) => ({ ...layer, parts: layer.parts.filter((p) => !lead.includes(p)) }))
    .filter((layer) => layer.parts.length > 0);
  const who = lead.length > MOST_NAMED ? "the lead" : namesInWords(namesOf(window, lead));
  return withoutTwins([
    ...octaveWays(window, lead, who),
    ...louder(window, lead).map((steps) => dynamicWay(window, lead, who, steps)),
    ...doublings(window, lead),
    ...coverers.flatMap((layer) => easings(window, layer)),
    ...(coverers.length > 1 ? restSofter(window, lead) : []),
  ]);
}

/** The same change under two names is one. */
function withoutTwins(candidates: readonly RemedyCandidate[]): readonly RemedyCandidate[] {
  return [...new Map(candidates.toReversed().map((c) => [JSON.stringify(c.changes), c])).values()].reverse();
}

/** Parts that lead in most of the passage's bars in which anything does. */
function leadersOf(window: PassageWindow): readonly number[] {
  const counts = new Map<number, number>();
  for (const { part, role } of cellsOf(window)) {
    if (role === "lead") counts.set(part, (counts.get(part) ?? 0) + 1);
  }
  const most = Math.max(0, ...counts.values());
  return [...counts].filter(([, n]) => 2 * n >= most).map(([p]) => p).sort((a, b) => a - b);
}

function cellsOf({ texture, score, fromBarIndex, toBarIndex }: PassageWindow): readonly RoleCell[] {
  const parts = score.parts.length;
  return texture.cells.slice(fromBarIndex * parts, (toBarIndex + 1) * parts);
}

/** A layer beside the lead. */
interface LayerBeside {
  readonly role: Role;
  readonly parts: readonly number[];
}

/** The layers that cover the lead most, each heard alone with it; layers of the same role and parts are one. */
function coverersOf(window: PassageWindow, options: BalanceOptions): readonly LayerBeside[] {
  const { score, texture, fromBarIndex, toBarIndex } = window;
  const covers = new Map<string, LayerBeside & { weight: number }>();
  for (const r of maskingMatrix(score, { ...options, texture, fromBarIndex, toBarIndex })) {
    if (r.maskedRole !== "lead" || r.maskerRole === "lead") continue;
    const parts = partsOfLayer(texture, score, { layer: r.masker, fromBarIndex, toBarIndex });
    const key = `${r.maskerRole} ${parts.join(" ")}`;
    const weight = (covers.get(key)?.weight ?? 0) + r.lostShare * r.beats;
    covers.set(key, { role: r.maskerRole, parts, weight });
  }
  return [...covers].sort(([a, x], [b, y]) => y.weight - x.weight || a.localeCompare(b))
    .slice(0, MOST_COVERERS).map(([, cover]) => cover);
}

function notesOf(window: PassageWindow, parts: readonly number[]): readonly Note[] {
  const sounds = soundsIn(window.score, window);
  return window.score.notes.filter((n) => parts.includes(n.part) && !n.cue && sounds(n));
}

function namesOf({ score }: PassageWindow, parts: readonly number[]): readonly string[] {
  return parts.map((p) => score.parts[p]!.name);
}

/** An octave up and down, where all notes stay in range. */
function octaveWays(
  window: PassageWindow,
  parts: readonly number[],
  who: string,
): readonly RemedyCandidate[] {
  return [1, -1].filter((octaves) => canMove(window, parts, octaves)).map((octaves) => ({
    what: `${who} an octave ${octaves > 0 ? "up" : "down"}`,
    changes: [{ kind: "octave", parts: namesOf(window, parts), octaves }],
  }));
}

/** One dynamic or two, louder or softer. */
function dynamicWay(
  window: PassageWindow,
  parts: readonly number[],
  who: string,
  steps: number,
): RemedyCandidate {
  const size = Math.abs(steps) === 1 ? "one dynamic" : "two dynamics";
  return {
    what: `${who} ${size} ${steps > 0 ? "louder" : "softer"}`,
    changes: [{ kind: "dynamic", parts: namesOf(window, parts), steps }],
  };
}

/** Whether all notes of the parts stay in range when moved. */
function canMove(window: PassageWindow, parts: readonly number[], octaves: number): boolean {
  const notes = notesOf(window, parts);
  return notes.length > 0 && notes.every((n) => isInRange(window.score, n.part, n, octaves));
}

/** Whether a part's instrument has a note, moved by octaves. */
function isInRange(score: Score, part: number, note: Note, octaves: number): boolean {
  const instrument = instrumentById(score.parts[part]!.instrument);
  return !instrument.unpitched && !note.unpitched &&
    registerOf(instrument, note.soundingPitch + 12 * octaves).inRange;
}

/** By how many steps the lead can be marked louder. */
function louder(window: PassageWindow, lead: readonly number[]): readonly number[] {
  const least = Math.min(...notesOf(window, lead).map((n) => n.dynamic));
  return [1, 2].filter((steps) => least + steps <= LOUDEST);
}

/** Parts that rest and could play with one of the lead, in unison or an octave away. */
function doublings(window: PassageWindow, lead: readonly number[]): readonly RemedyCandidate[] {
  const { score } = window;
  const of = mainPart(window, lead);
  const notes = notesOf(window, [of]).filter((n) => !n.unpitched);
  if (notes.length === 0) return [];
  const from = Math.min(...notes.map((n) => n.onsetTicks));
  const to = Math.max(...notes.map((n) => n.onsetTicks + n.durationTicks));
  const busy = new Set(
    score.notes.filter((n) => !n.cue && n.onsetTicks < to && n.onsetTicks + n.durationTicks > from)
      .map((n) => n.part),
  );
  const chords = new Set(notes.map((n) => n.onsetTicks)).size < notes.length;
  const pitch = notes.reduce((sum, n) => sum + n.soundingPitch, 0) / notes.length;
  const dynamic = notes.reduce((sum, n) => sum + n.dynamic, 0) / notes.length;
  const ways = score.parts.flatMap((part, p) => {
    const instrument = instrumentById(part.instrument);
    if (busy.has(p) || !instrument.sustains || instrument.unpitched || part.instrumentFrom === "fallback") {
      return [];
    }
    if (chords && instrument.monophonic) return [];
    const octaves = [0, 1, -1].find((o) => notes.every((n) => isAtEase(score, p, n, o)));
    if (octaves === undefined) return [];
    const power = soundPowerDb(instrument, dynamic, {
      soundingPitch: pitch + 12 * octaves,
      players: part.players,
    });
    return [{ part: part.name, instrument: instrument.id, octaves, power }];
  }).sort((a, b) => Math.abs(a.octaves) - Math.abs(b.octaves) || b.power - a.power);
  const oneOfEach = ways.filter((w, i) => ways.findIndex((o) => o.instrument === w.instrument) === i);
  const name = score.parts[of]!.name;
  return oneOfEach.slice(0, MOST_DOUBLINGS).map(({ part, octaves }): RemedyCandidate => ({
    what: `${part} doubling ${lead.length > 1 ? name : "it"} ${
      octaves === 0 ? "in unison" : `an octave ${octaves > 0 ? "above" : "below"}`
    }`,
    changes: [{ kind: "double", part, of: name, octaves }],
  }));
}

/** The part of the lead with the most notes; the upper one of equals. */
function mainPart(window: PassageWindow, lead: readonly number[]): number {
  return lead.reduce((a, b) => notesOf(window, [b]).length > notesOf(window, [a]).length ? b : a);
}

function isAtEase(score: Score, part: number, note: Note, octaves: number): boolean {
  const instrument = instrumentById(score.parts[part]!.instrument);
  return registerOf(instrument, note.soundingPitch + 12 * octaves).comfortable;
}

/** What could be done to one layer that covers the lead. */
function easings(window: PassageWindow, { role, parts }: LayerBeside): readonly RemedyCandidate[] {
  const notes = notesOf(window, parts);
  if (notes.length === 0) return [];
  const layer = `the ${role} (${namesInWords(namesOf(window, parts), MOST_NAMED)})`;
  const steps = Math.min(2, Math.floor(Math.min(...notes.map((n) => n.dynamic)) - SOFTEST));
  const resting = parts.length < 2 ? [] : namesOf(window, loudestHalf(window, parts));
  const thinner: RemedyCandidate = {
    what: `${namesInWords(resting, MOST_NAMED)} resting`,
    changes: [{ kind: "rest", parts: resting }],
  };
  return [
    ...(steps < 1 ? [] : [dynamicWay(window, parts, layer, -steps)]),
    ...octaveWays(window, parts, layer),
    ...(resting.length === 0 ? [] : [thinner]),
  ];
}

/** Half of a layer's parts, those with the most power. */
function loudestHalf(window: PassageWindow, parts: readonly number[]): readonly number[] {
  const { score } = window;
  const power = (p: number) => {
    const { instrument: id, players } = score.parts[p]!;
    const instrument = instrumentById(id);
    return notesOf(window, [p]).reduce((sum, { dynamic, soundingPitch, durationTicks }) => {
      const powerDb = soundPowerDb(instrument, dynamic, { soundingPitch, players });
      return sum + 10 ** (powerDb / 10) * durationTicks;
    }, 0);
  };
  return [...parts].map((p) => ({ p, power: power(p) }))
    .sort((a, b) => b.power - a.power || b.p - a.p)
    .slice(0, Math.floor(parts.length / 2))
    .map(({ p }) => p).sort((a, b) => a - b);
}

/** Everything beside the lead two dynamics softer, where that can be. */
function restSofter(window: PassageWindow, lead: readonly number[]): readonly RemedyCandidate[] {
  const others = [...window.score.parts.keys()]
    .filter((p) => !lead.includes(p) && notesOf(window, [p]).length > 0);
  const notes = notesOf(window, others);
  if (notes.length === 0 || Math.min(...notes.map((n) => n.dynamic)) < SOFTEST + 2) return [];
  return [dynamicWay(window, others, "everything else", -2)];
}
