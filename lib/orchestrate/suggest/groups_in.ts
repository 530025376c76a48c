/** Who does what in a passage, in groups that could be asked for something else together. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import type { Note, Score } from "../../score/model.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import { namesInWords } from "../../measures/layer_words.ts";
import type { Role } from "../../texture/roles.ts";
import type { PassageScene } from "./scene.ts";

/** Parts of one family that do one thing in most of a passage. */
export interface PassageGroup {
  /** Part names. */
  readonly parts: readonly string[];
  /** The same in words. */
  readonly words: string;
  readonly role: Role;
  readonly figure: string;
  readonly family: Instrument["family"];
  readonly instruments: readonly Instrument[];
  /** How loud they are there, on the scale of dynamics; of silent ones how loud the others are. */
  readonly dynamic: number;
  /** Mean sounding pitch; null where they rest. */
  readonly pitch: number | null;
}

/** Groups of the parts that may be changed, the lead first as in the table of roles. */
export function groupsIn(
  scene: PassageScene,
  mayChange: (partName: string) => boolean,
): readonly PassageGroup[] {
  const { score } = scene;
  const groups = Map.groupBy(
    score.parts.keys().filter((p) => mayChange(score.parts[p]!.name)),
    (part) => {
      const { role, figure } = doesMostly(scene, part);
      const { family, id } = instrumentById(score.parts[part]!.instrument);
      // Who rests can be asked with those who play the same, not with a whole family.
      return `${role}|${figure}|${role === "rest" ? id : family}`;
    },
  );
  return [...groups.values()].map((parts) => groupOf(scene, parts));
}

/** Role and figure of a part in most bars of the passage; a rest only where it is silent throughout. */
function doesMostly(
  { score, texture, bars }: PassageScene,
  part: number,
): { readonly role: Role; readonly figure: string } {
  const counts = new Map<string, { readonly role: Role; readonly figure: string; count: number }>();
  for (let b = bars.fromBarIndex; b <= bars.toBarIndex; b++) {
    const { role, figure } = texture.cells[b * score.parts.length + part]!;
    if (role === "rest") continue;
    const key = `${role}|${figure}`;
    const known = counts.get(key) ?? { role, figure, count: 0 };
    counts.set(key, { ...known, count: known.count + 1 });
  }
  const [most] = [...counts.values()].sort((a, b) => b.count - a.count);
  return most ?? { role: "rest", figure: "none" };
}

function groupOf(scene: PassageScene, parts: readonly number[]): PassageGroup {
  const { score } = scene;
  const own = notesInPassage(scene).filter((n) => parts.includes(n.part));
  const heard = own.length > 0 ? own : notesInPassage(scene);
  const names = parts.map((p) => score.parts[p]!.name);
  const instruments = parts.map((p) => instrumentById(score.parts[p]!.instrument));
  return {
    parts: names,
    words: namesInWords(names),
    ...doesMostly(scene, parts[0]!),
    family: instruments[0]!.family,
    instruments,
    dynamic: mean(heard, (n) => n.dynamic) ?? 5,
    pitch: mean(own, (n) => n.soundingPitch) ?? null,
  };
}

/** Notes that sound in the passage. */
function notesInPassage(
  { score, bars }: { readonly score: Score; readonly bars: PassageScene["bars"] },
): readonly Note[] {
  return score.notes.filter((n) =>
    !n.grace && !n.cue && n.onsetTicks < bars.endTicks && n.onsetTicks + n.durationTicks > bars.startTicks
  );
}

/** The softest and loudest that anybody is asked for: pp and fff. Common practice, no source. */
const [SOFTEST, LOUDEST] = [2, 8];

/** A mark so many steps from how loud a group is, the softest or loudest where it would be beyond. */
export function markFrom({ dynamic }: PassageGroup, steps: number): string {
  return dynamicMark(Math.max(SOFTEST, Math.min(LOUDEST, Math.round(dynamic) + steps)));
}

/** Steps from how loud a group is to the softest mark, 0 where it is there or softer. */
export function stepsDown({ dynamic }: PassageGroup): number {
  return Math.max(0, Math.round(dynamic) - SOFTEST);
}

/** Steps from how loud a group is to the loudest mark. */
export function stepsUp({ dynamic }: PassageGroup): number {
  return Math.max(0, LOUDEST - Math.round(dynamic));
}

/** Lowest note from which an instrument is one of the highest: it shines, and is not asked to come in underneath. Common practice, no source. */
const SHINING = 72;

/** Whether a group can hold and sing notes. */
export function canSing({ instruments }: PassageGroup): boolean {
  return instruments.every((i) => i.sustains && !i.unpitched);
}

/** Whether a group rests and could come in with held or sung notes. */
export function couldComeIn(group: PassageGroup): boolean {
  return group.role === "rest" && canSing(group) &&
    group.instruments.every((i) => i.rangeComfortable.low < SHINING);
}
