/** Which notes of a score are heard, and in which stem. */
import { InputError } from "../../base/errors.ts";
import { nearestFirst } from "../../base/nearest_first.ts";
import { barsAsked, type BarsFound } from "../../orchestrate/rewrite/bars_asked.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { isRole, type Role, ROLE_NAMES } from "../../texture/roles.ts";
import type { AuditionOptions } from "./audition_options.ts";

/** A stem before it is played. */
interface StemToPlay {
  readonly name: string;
  readonly role: Role | null;
  readonly parts: readonly string[];
}

/** Notes of some bars, each with its stem. */
export interface WhatIsHeard {
  readonly score: Score;
  readonly bars: BarsFound;
  readonly notes: readonly Note[];
  readonly stems: readonly StemToPlay[];
  readonly stemOf: (note: Note) => number;
}

/** Finds the notes that sound in some bars, by default those of the options, and sorts them into stems. */
export function whatIsHeard(
  action: string,
  given: Score,
  options: AuditionOptions,
  bars: BarsFound = barsAsked(given, options, { action }),
): WhatIsHeard {
  const score = toldApart(given);
  const texture = givenTexture(action, score, options.texture);
  const cellOf = cellsOf(score, texture);
  const isChosen = choiceOf(action, { score, texture, options });
  const notes = score.notes.filter((note) =>
    !note.cue && note.onsetTicks < bars.endTicks &&
    (note.onsetTicks >= bars.startTicks || note.onsetTicks + note.durationTicks > bars.startTicks) &&
    isChosen(cellOf(note))
  );
  const by = options.stemsBy ?? "layer";
  const nameOf = (cell: RoleCell): string =>
    by === "none"
      ? ""
      : by === "layer"
      ? cell.layer
      : by === "role"
      ? cell.role
      : score.parts[cell.part]!.name;
  const found = new Map<string, { role: Role; parts: Set<string> }>();
  for (const note of notes) {
    const cell = cellOf(note), name = nameOf(cell);
    const stem = found.get(name) ?? { role: cell.role, parts: new Set<string>() };
    stem.parts.add(score.parts[note.part]!.name);
    found.set(name, stem);
  }
  const names = [...found.keys()];
  const index = new Map(names.map((name, i) => [name, i]));
  return {
    score,
    bars,
    notes,
    stems: names.map((name) => {
      const { role, parts } = found.get(name)!;
      const all = score.parts.map((p) => p.name).filter((p) => parts.has(p));
      return { name, role: by === "layer" || by === "role" ? role : null, parts: all };
    }),
    stemOf: (note) => index.get(nameOf(cellOf(note)))!,
  };
}

/** The cell a note belongs to: that of the bar it begins in; where the part rests there, the nearest beside it. */
function cellsOf(score: Score, texture: Texture): (note: Note) => RoleCell {
  const parts = score.parts.length;
  return (note) => {
    const bar = barIndexOf(score, note.onsetTicks);
    const beside = [bar, bar + 1, bar - 1].map((b) => texture.cells[b * parts + note.part]);
    return beside.find((cell) => cell !== undefined && cell.role !== "rest") ?? beside[0]!;
  };
}

function choiceOf(
  action: string,
  { score, texture, options: { layers, roles, parts } }: {
    readonly score: Score;
    readonly texture: Texture;
    readonly options: AuditionOptions;
  },
): (cell: RoleCell) => boolean {
  const known = {
    layer: [...new Set(texture.cells.map((cell) => cell.layer).filter((id) => id !== ""))],
    role: ROLE_NAMES,
    part: score.parts.map((p) => p.name),
  };
  const refuse = (kind: keyof typeof known, asked: readonly string[] | undefined) => {
    const strange = asked?.find((one) =>
      kind === "role" ? !isRole(one) : !(known[kind] as readonly string[]).includes(one)
    );
    if (strange === undefined) return;
    throw new InputError({
      action,
      problem: `there is no ${kind} "${strange}"`,
      where: { file: score.source },
      remedy: `Use ${nearestFirst(strange, known[kind]).slice(0, 8).join(", ")}`,
    });
  };
  refuse("layer", layers);
  refuse("role", roles);
  refuse("part", parts);
  return (cell) =>
    (layers === undefined || layers.includes(cell.layer)) &&
    (roles === undefined || roles.includes(cell.role)) &&
    (parts === undefined || parts.includes(score.parts[cell.part]!.name));
}
