/** What the changes of an orchestration are called. */
import { listed } from "../../base/words.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import type { Score } from "../../score/model.ts";
import type { RoleCell } from "../../texture/model.ts";
import { isTutti } from "../layer_words.ts";

/** Names of the parts that lead in a bar. */
export function leadNames(cells: readonly RoleCell[], score: Score): string {
  return namesOf(cells.filter((c) => c.role === "lead"), score).join(" + ");
}

/** What changed between two bars. */
export function whatChanged(before: readonly RoleCell[], after: readonly RoleCell[], score: Score): string {
  const plays = (c: RoleCell) => c.role !== "rest";
  const others = after.filter((c) => plays(c) && c.role !== "lead");
  const was = (c: RoleCell) => before[c.part]!;
  const who = (cells: readonly RoleCell[], word: string) => {
    const names = namesOf(cells, score);
    return `${list(names)} ${verbOf(names, word)}`;
  };
  const perRole = (cells: readonly RoleCell[], say: (cells: readonly RoleCell[], role: string) => string) =>
    [...Map.groupBy(cells, (c) => c.role)].map(([role, own]) => say(own, role));
  const leaving = after.filter((c) => !plays(c) && plays(was(c)));
  const words = [
    ...leadChange(before, after, score),
    ...perRole(others.filter((c) => !plays(was(c))), (own, role) => `${who(own, "enter")} as ${role}`),
    ...leaving.length > 0 ? [who(leaving, "rest")] : [],
    ...perRole(
      others.filter((c) => plays(was(c)) && was(c).role !== c.role),
      (own, role) => `${who(own, "turn")} to ${role}`,
    ),
    // A part that keeps its role and does it otherwise has not turned to it.
    ...perRole(others.filter((c) => was(c).role === c.role && was(c).figure !== c.figure), (own, role) => {
      const [figure, another] = new Set(own.map((c) => c.figure));
      return another === undefined
        ? `${who(own, "go")} on with ${figure}`
        : `the ${role} changes its figures`;
    }),
  ];
  return words.length === 0 ? "the texture shifts" : words.join("; ");
}

function namesOf(cells: readonly RoleCell[], score: Score): readonly string[] {
  return cells.map((c) => score.parts[c.part]!.name);
}

/** Who takes the lead, joins in it, keeps it alone; empty where the same parts lead. */
function leadChange(
  before: readonly RoleCell[],
  after: readonly RoleCell[],
  score: Score,
): readonly string[] {
  const [leadBefore, leadAfter] = [before, after].map((cells) => cells.filter((c) => c.role === "lead"));
  const isIn = (cells: readonly RoleCell[], { part }: RoleCell) => cells.some((c) => c.part === part);
  const taking = leadAfter!.filter((c) => !isIn(leadBefore!, c));
  const staying = leadAfter!.filter((c) => isIn(leadBefore!, c));
  if (taking.length === 0 && staying.length === leadBefore!.length) return [];
  if (leadAfter!.length === 0) return ["nobody leads"];
  if (isTutti(leadAfter!.length, score)) {
    return isTutti(leadBefore!.length, score) ? [] : ["the tutti takes the lead"];
  }
  const names = namesOf(taking.length > 0 ? taking : staying, score);
  const who = shortened(names);
  if (staying.length === 0) return [`${who} ${verbOf(names, "take")} the lead`];
  return taking.length > 0
    ? [`${who} ${verbOf(names, "join")} the lead`]
    : [`${who} ${verbOf(names, "keep")} the lead alone`];
}

/** Names joined by " + ", cut after four. */
export function shortened(names: readonly string[]): string {
  return names.length > 4 ? `${names.slice(0, 3).join(" + ")} + ${names.length - 3} more` : names.join(" + ");
}

/** A verb that fits the names: one flute leads, violins lead. */
export function verb(names: string, word: string): string {
  return verbOf(names.split(" + "), word);
}

function verbOf(names: readonly string[], word: string): string {
  const isOne = names.length === 1 && !isPlural(names[0]!);
  if (!isOne) return word;
  return word.endsWith("o") ? `${word}es` : /[^aeiou]y$/.test(word) ? `${word.slice(0, -1)}ies` : `${word}s`;
}

/** Whether a part's name is that of several players, as `Violins II` is, its number left out. */
function isPlural(name: string): boolean {
  const words = lineName(name).stem.toLowerCase().split(/\s+/);
  const last = words.at(-1)!;
  if (last === "anglais") return words[0] === "cors";
  return last === "timpani" || last.endsWith("s") && !last.endsWith("ss") && last !== "chorus";
}

/** Names in a row, cut after four. */
export function list(names: readonly string[]): string {
  if (names.length > 4) return `${names.slice(0, 3).join(", ")} and ${names.length - 3} more`;
  return listed(names);
}
