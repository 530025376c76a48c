/** What the changes of an orchestration are called. */
import type { Score } from "../../score/model.ts";
import type { RoleCell } from "../../texture/model.ts";

/** Names of the parts that lead in a bar. */
export function leadNames(cells: readonly RoleCell[], score: Score): string {
  return cells.filter((c) => c.role === "lead").map((c) => score.parts[c.part]!.name).join(" + ");
}

/** What changed between two bars. */
export function whatChanged(before: readonly RoleCell[], after: readonly RoleCell[], score: Score): string {
  const words: string[] = [...leadChange(before, after, score)];
  const entering = after.filter((c, p) =>
    c.role !== "rest" && c.role !== "lead" && before[p]!.role === "rest"
  );
  for (const [role, cells] of Map.groupBy(entering, (c) => c.role)) {
    words.push(
      `${list(cells.map((c) => score.parts[c.part]!.name))} ${
        verbOf(cells.map((c) => score.parts[c.part]!.name), "enter")
      } as ${role}`,
    );
  }
  const leaving = after.filter((c, p) => c.role === "rest" && before[p]!.role !== "rest");
  if (leaving.length > 0) {
    words.push(
      `${list(leaving.map((c) => score.parts[c.part]!.name))} ${
        verbOf(leaving.map((c) => score.parts[c.part]!.name), "rest")
      }`,
    );
  }
  const changing = after.filter((c, p) =>
    c.role !== "rest" && c.role !== "lead" && before[p]!.role !== "rest" && before[p]!.role !== c.role
  );
  for (const [role, cells] of Map.groupBy(changing, (c) => c.role)) {
    words.push(
      `${list(cells.map((c) => score.parts[c.part]!.name))} ${
        verbOf(cells.map((c) => score.parts[c.part]!.name), "turn")
      } to ${role}`,
    );
  }
  // A part that keeps its role and does it otherwise has not turned to it.
  const refigured = after.filter((c, p) =>
    c.role !== "rest" && c.role !== "lead" && before[p]!.role === c.role && before[p]!.figure !== c.figure
  );
  for (const [role, cells] of Map.groupBy(refigured, (c) => c.role)) {
    const names = cells.map((c) => score.parts[c.part]!.name);
    const figures = new Set(cells.map((c) => c.figure));
    const figure = figures.size === 1 ? [...figures][0] : "";
    words.push(
      figure ? `${list(names)} ${verbOf(names, "go")} on with ${figure}` : `the ${role} changes its figures`,
    );
  }
  return words.length === 0 ? "the texture shifts" : words.join("; ");
}

/** Who takes the lead, joins in it, keeps it alone; empty where the same parts lead. */
function leadChange(
  before: readonly RoleCell[],
  after: readonly RoleCell[],
  score: Score,
): readonly string[] {
  const namesOf = (cells: readonly RoleCell[]) => cells.map((c) => score.parts[c.part]!.name);
  const [leadBefore, leadAfter] = [before, after].map((cells) => cells.filter((c) => c.role === "lead"));
  const isIn = (cells: readonly RoleCell[], { part }: RoleCell) => cells.some((c) => c.part === part);
  const taking = leadAfter!.filter((c) => !isIn(leadBefore!, c));
  const staying = leadAfter!.filter((c) => isIn(leadBefore!, c));
  if (taking.length === 0 && staying.length === leadBefore!.length) return [];
  if (leadAfter!.length === 0) return ["nobody leads"];
  const names = namesOf(taking.length > 0 ? taking : staying);
  const who = shortened(names.join(" + "));
  if (staying.length === 0) return [`${who} ${verbOf(names, "take")} the lead`];
  return taking.length > 0
    ? [`${who} ${verbOf(names, "join")} the lead`]
    : [`${who} ${verbOf(names, "keep")} the lead alone`];
}

/** Names joined by " + ", cut after four. */
function shortened(names: string): string {
  const each = names.split(" + ");
  return each.length > 4 ? `${each.slice(0, 3).join(" + ")} + ${each.length - 3} more` : names;
}

/** A verb that fits the names: one flute leads, violins lead. */
export function verb(names: string, word: string): string {
  return verbOf(names.split(" + "), word);
}

function verbOf(names: readonly string[], word: string): string {
  const isOne = names.length === 1 && !isPlural(names[0]!);
  return isOne ? word.endsWith("o") ? `${word}es` : `${word}s` : word;
}

/** Whether a part's name is that of several players, as `Violins II` is, its number left out. */
function isPlural(name: string): boolean {
  const words = name.replace(/\s+(\d+|[IVX]+)$/, "").toLowerCase().split(/\s+/);
  const last = words.at(-1)!;
  if (last === "anglais") return words[0] === "cors";
  return last === "timpani" || last.endsWith("s") && !last.endsWith("ss") && last !== "chorus";
}

/** Names in a row, cut after four. */
export function list(names: readonly string[]): string {
  if (names.length > 4) return `${names.slice(0, 3).join(", ")} and ${names.length - 3} more`;
  return names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}
