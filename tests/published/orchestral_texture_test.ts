/**
 * Human annotations of orchestral texture: Le, Giraud, Levé, Accornero et al., "A Corpus Describing Orchestral
 * Texture in First Movements of Classical and Early-Romantic Symphonies", DLfM 2022. Four movements of Beethoven
 * (scores: OpenScore Orchestra, CC0) and one of Mozart (score: iis-mctl/mctl-symphony-dataset, MIT).
 *
 * Reference figures on the four Beethoven movements: an untuned heuristic 0.657 exact, F1 of melody 0.502, rhythm
 * 0.749, harmony 0.836; another team of annotators, on two movements, 0.580 exact, F1 0.647, 0.809, 0.688.
 *
 * Every movement is read with weights that were fitted without it (`tests/setup/fit_texture_weights.ts`). The penalties
 * of the models, how far they lean towards held and isolated, how alike the same is read, and the constants of `lib/texture/rules.ts` are the same
 * for all: round numbers chosen in coarse steps on these movements. Compared is what the notes of a cell do (`does`),
 * whoever is followed: the annotators call a lead's long note under moving parts harmony as often as melody. How the roles
 * agree, where every lead counts as melody, is printed beside.
 */
import { assertEquals, assertGreater, assertGreaterOrEqual, assertLessOrEqual } from "@std/assert";
import { roleDoes } from "../../lib/texture/role_does.ts";
import { type CellFeatures, cellFeatures } from "../../lib/texture/features/features.ts";
import { FIGURES } from "../../lib/texture/figures.ts";
import type { RoleCell } from "../../lib/texture/model.ts";
import { recognise, type RecogniseOptions } from "../../lib/texture/recognise/recognise.ts";
import type { Role } from "../../lib/texture/roles.ts";
import type { Score } from "../../lib/score/model.ts";
import {
  type AnnotatedCell,
  annotatedCells,
  corpusFolders,
  MOVEMENTS,
  scoreOf,
  textureAnnotation,
} from "../setup/texture_corpus.ts";
import { exactShare, labelF1, type LabelPair, LABELS } from "../setup/texture_labels.ts";
import { example } from "../texture/examples.ts";
import { weightsWithout } from "../setup/left_out_weights.ts";

const ROLE_OF_FIGURE = new Map<string, Role>([
  ...FIGURES.map((f) => [f.id, f.role] as const),
  ["separate strokes", "punctuation"],
]);

/**
 * Role of a cell, whoever is followed: a lead that is no tune, such as the top line of hammered chords, has the role of
 * its figure. Figures without a row in the table are named by their motion and note value.
 */
function doing({ role, figure }: RoleCell): Role {
  if (figure === "bass on the downbeat") return "punctuation";
  return role === "lead" && figure !== "tune" ? ROLE_OF_FIGURE.get(figure) ?? "pulse" : role;
}

/** Roles that answer to an annotator's fine label. */
const FINE: Readonly<Record<string, readonly Role[]>> = {
  mel: ["lead", "counterline"],
  decmel: ["lead", "counterline"],
  rhythm: ["pulse", "punctuation", "figuration"],
  repeat_note: ["pulse", "trill"],
  osc: ["figuration", "trill"],
  batt: ["figuration"],
  arp: ["figuration"],
  scale: ["run"],
  harm: ["pad", "bass"],
  sparse: ["punctuation"],
};

/** One annotated cell as it was read. */
interface Annotated extends AnnotatedCell, LabelPair {
  readonly movement: string;
  /** The first of its parts that plays. */
  readonly cell: RoleCell;
  /** Features of the parts it covers that begin notes in the bar. */
  readonly players: readonly CellFeatures[];
}

/** Annotations beside what was read. */
function annotated(
  movement: string,
  score: Score,
  annotations: readonly AnnotatedCell[],
  options: RecogniseOptions = {},
): readonly Annotated[] {
  const { cells } = recognise(score, options);
  const features = cellFeatures(score);
  return annotations.map((annotation): Annotated => {
    const indexes = annotation.parts.map((p) => annotation.barIndex * score.parts.length + p);
    const index = indexes.find((i) => cells[i]!.role !== "rest") ?? indexes[0]!;
    const players = indexes.map((i) => features[i]!).filter((f) => f.line.length > 0);
    const cell = cells[index]!;
    return { ...annotation, movement, cell, players, own: LABELS[cell.does], truth: annotation.labels };
  });
}

function report(name: string, cells: readonly Annotated[]): void {
  const scores = [exactShare(cells), labelF1(cells, 0), labelF1(cells, 1), labelF1(cells, 2)].map((x) =>
    x.toFixed(3)
  );
  console.log(
    `${name}: ${cells.length} cells, exact ${scores[0]}, F1 melody ${scores[1]}, rhythm ${
      scores[2]
    }, harmony ${scores[3]}`,
  );
}

Deno.test("a small example of our own is counted as by hand", () => {
  const score = example([
    ["violin", "A5:3/2 G5:1/2 F5:1 D6:1"],
    ["viola", "(D4:1/4)x16"],
    ["horn in F", "F4:4"],
    ["oboe", "A5:3/2 G5:1/2 F5:1 D6:1"],
  ]);
  const row = (part: number, layer: string, role: string, relation: string, labels: string) => ({
    part_numbers: String(part),
    score_measure: "1",
    sounds_in_bar: "1",
    layer,
    role,
    relation,
    mel: labels[0]!,
    rhythm: labels[1]!,
    harm: labels[2]!,
  });
  const rows = annotatedCells(score, [
    row(1, "a", "mel", "u", "100"),
    row(4, "a", "mel", "u", "100"),
    row(2, "b", "repeat_note", "", "010"),
    row(3, "b", "harm", "", "010"), // as if the annotator heard a rhythm
    row(3, "0", "", "", "000"),
  ]);
  assertEquals(rows.length, 4);
  const cells = annotated("ours", score, rows);
  assertGreaterOrEqual(exactShare(cells), 0.75);
  assertLessOrEqual(exactShare(cells), 0.75);
  assertGreaterOrEqual(labelF1(cells, 0), 1);
  assertLessOrEqual(Math.abs(labelF1(cells, 1) - 2 / 3), 1e-12);
});

const folders = corpusFolders();
if (folders) {
  const readings = new Map(
    MOVEMENTS.filter((m) => m.texture !== undefined).map((movement) => {
      const score = scoreOf(movement, folders);
      const weights = weightsWithout(movement.work);
      return [
        movement.name,
        annotated(movement.name, score, textureAnnotation(movement, score, folders), { weights }),
      ];
    }),
  );
  const beethoven = [...readings].filter(([name]) => name.startsWith("Beethoven"));

  Deno.test("roles agree with the annotators of four Beethoven movements, each read with weights that have not seen it", () => {
    for (const [name, cells] of beethoven) {
      report(name, cells);
      assertGreater(exactShare(cells), 0.7);
    }
    const all = beethoven.flatMap(([, cells]) => cells);
    report("all four", all);
    const byRole = all.map(({ cell, truth }) => ({ own: LABELS[roleDoes(cell.role, cell.figure)], truth }));
    console.log(`  exact by role, every lead counted as melody: ${exactShare(byRole).toFixed(3)}`);
    assertGreater(all.length, 14_000);
    assertGreater(exactShare(all), 0.775);
    assertGreater(labelF1(all, 0), 0.675);
    assertGreater(labelF1(all, 1), 0.84); // 0.85 is the aim
    assertGreater(labelF1(all, 2), 0.885);
  });

  Deno.test("the annotators' finer words are found: repeated, held and isolated notes mostly, scales and broken chords where they are no tune", () => {
    const all = beethoven.flatMap(([, cells]) => cells);
    const recall = new Map(
      [...Map.groupBy(all, (c) => c.fine)].map(([fine, group]) => {
        const found = group.filter((c) => FINE[fine]?.includes(doing(c.cell))).length;
        console.log(`  ${fine}: ${found} of ${group.length} (${(found / group.length).toFixed(2)})`);
        return [fine, found / group.length] as const;
      }),
    );
    const floors = { repeat_note: 0.82, harm: 0.82, sparse: 0.78, batt: 0.83, arp: 0.3, scale: 0.42 };
    for (const [fine, floor] of Object.entries(floors)) assertGreater(recall.get(fine)!, floor, fine);
  });

  Deno.test("roles agree with the annotators of a Mozart movement read from MIDI", () => {
    const cells = readings.get("Mozart 41")!;
    report("Mozart 41", cells);
    assertGreater(cells.length, 1000);
    assertGreater(exactShare(cells), 0.69);
  });
}
