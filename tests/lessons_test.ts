/** What every lesson keeps to: it asks before it tells, is seen and heard before it is measured, and is short enough for a class. */
import { basename } from "node:path";
import { assert, assertEquals } from "@std/assert";
import { parseHTML } from "linkedom";
import { notebookPaths, readNotebook } from "./setup/notebook.ts";
import { picturesIn } from "./setup/pictures_in.ts";

/** Lines of code in a cell, and rows of a table, at the most. */
const [MOST_LINES, MOST_ROWS] = [8, 12];
/** Letters of a lesson within which its question stands. */
const OPENING = 700;

const textOf = (value: string | readonly string[] | undefined) =>
  typeof value === "string" ? value : (value ?? []).join("");

const lessons = notebookPaths().map((path) => ({
  name: basename(path),
  cells: readNotebook(path).cells.map((cell) => ({
    kind: cell.cell_type,
    source: textOf(cell.source),
    outputs: (cell.outputs ?? []).map((one) => textOf(one.data?.["text/html"])),
    isFolded: (cell.outputs ?? []).some((one) =>
      /^<details>/.test(textOf(one.data?.["text/html"] ?? one.data?.["text/markdown"]))
    ),
    isHidden: cell.metadata?.jupyter?.outputs_hidden === true,
  })),
}));

/** Something that is wanted of every lesson, with those that have it not. */
function everyLesson(
  wanted: string,
  faultsOf: (lesson: (typeof lessons)[number]) => readonly string[],
): void {
  Deno.test(`every lesson ${wanted}`, () => {
    assert(lessons.length >= 11);
    assertEquals(
      lessons.flatMap((lesson) => faultsOf(lesson).map((fault) => `${lesson.name}: ${fault}`)),
      [],
    );
  });
}

everyLesson("opens with a question", ({ cells }) => {
  const opening = cells[0]!.source.slice(0, OPENING);
  return opening.includes("?") && opening.startsWith("# ") ? [] : ["there is no question at its beginning"];
});

everyLesson("has cells of at most eight lines, and more text than code", ({ cells }) => {
  const letters = (kind: string) =>
    cells.filter((c) => c.kind === kind).reduce((sum, c) => sum + c.source.length, 0);
  const long = cells.flatMap(({ kind, source }, i) =>
    kind === "code" && source.split("\n").length > MOST_LINES ? [`cell ${i + 1} is long`] : []
  );
  return [...long, ...(letters("markdown") > letters("code") ? [] : ["it has more code than text"])];
});

everyLesson(
  "asks for a guess whose answer is folded, and has an exercise with a folded answer",
  ({ cells }) => {
    const folded = cells.some((c) => c.isFolded);
    const answer = cells.some((c) => c.kind === "markdown" && /<details><summary>/.test(c.source));
    return [
      ...(folded ? [] : ["nothing is folded after a guess"]),
      ...(cells.some((c) => c.isHidden)
        ? ["an output is hidden by the notebook, which shows it when all cells are run"]
        : []),
      ...(answer ? [] : ["no answer is folded"]),
    ];
  },
);

everyLesson("shows tables that a class can read, and no chart of the same title twice", ({ cells }) => {
  const documents = cells.flatMap((c) => c.outputs).flatMap((html) => [html, ...picturesIn(html)])
    .map((html) => parseHTML(`<html><body>${html}</body></html>`).document);
  const tables = documents.flatMap((d) => [...d.querySelectorAll("table")]);
  const long = tables.filter((t) => t.querySelectorAll("tbody tr").length > MOST_ROWS);
  const titles = documents.flatMap((d) => [...d.querySelectorAll(".ripieno-chart")]).map((chart) =>
    [...chart.querySelectorAll("text")].filter((t) => t.getAttribute("font-size") === "16").map((t) =>
      t.textContent
    )
      .join(" ")
  ).filter((title) => title !== "");
  const twice = titles.filter((title, i) => titles.indexOf(title) !== i);
  return [
    ...long.map((t) => `a table has ${t.querySelectorAll("tbody tr").length} rows`),
    ...twice.map((title) => `"${title}" stands over two charts`),
  ];
});

everyLesson("is seen as notation or heard", ({ cells }) => {
  const shown = cells.flatMap((c) => c.outputs).join("");
  return /<audio\b/.test(shown) || cells.some((c) => c.source.includes("engrave("))
    ? []
    : ["nothing is heard or seen"];
});
