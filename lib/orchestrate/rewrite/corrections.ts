/** What was read of a score, corrected by hand in the tables of a study: its chords, and who does what. */
import { A_SCORE, A_TEXT, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { readHarmony } from "../../harmony/read_harmony.ts";
import { readRows, type TableKind } from "../../instruments/table_rows.ts";
import { isNoChord, readChordSymbol } from "../../score/chord_symbol.ts";
import type { ChordSymbol, Score } from "../../score/model.ts";
import { assignRole } from "../../texture/assign_role.ts";
import type { Texture } from "../../texture/model.ts";
import { isRole, ROLE_NAMES } from "../../texture/roles.ts";
import { barIn, beatIn } from "../plan/row_places.ts";

/** Columns of `harmony.csv`, of which bar, beat and chord are read. */
const HARMONY_COLUMNS = [
  "setting",
  "bar",
  "beat",
  "end_bar",
  "onset_quarters",
  "duration_quarters",
  "onset_seconds",
  "chord",
  "degree",
  "key",
  "root_pitch_class",
  "quality",
  "bass_pitch_class",
  "inversion",
  "confidence",
  "explained_share",
  "origin",
  "non_chord_notes",
] as const;
type HarmonyColumn = (typeof HARMONY_COLUMNS)[number];

const CHORDS: TableKind<HarmonyColumn> = {
  action: "read the chords",
  noun: "a table of chords",
  each: "chord",
  columns: HARMONY_COLUMNS,
  required: ["bar", "beat", "chord"],
};

/** Columns of `roles.csv`, of which bar, part, role and figure are read. */
const ROLE_COLUMNS = [
  "setting",
  "bar",
  "to_bar",
  "part",
  "role",
  "figure",
  "does",
  "confidence",
  "lead_share",
  "reason",
  "layer",
] as const;
type RoleColumn = (typeof ROLE_COLUMNS)[number];

const ROLES_KIND: TableKind<RoleColumn> = {
  action: "read the roles",
  noun: "a table of roles",
  each: "part and bar",
  columns: ROLE_COLUMNS,
  required: ["bar", "part", "role"],
};

/** Options of {@linkcode readChords}. */
export interface ReadChordsOptions {
  /** The score the chords belong to. */
  readonly score: Score;
  /** Name of the file, for messages. */
  readonly file?: string;
}

/**
 * Reads the chords of a score from a table (CSV) with the columns bar, beat and chord, and gives the harmony of the score with
 * them: each holds from its place to the next. The table may be the `harmony.csv` of a study with chords corrected in it.
 *
 * @param text the table
 * @param options the score, name of the file
 * @returns the harmony, for `rewrite`, `suggest` and `sketchFrom`
 * @throws {InputError} with row and column, for a bar the score does not have and for what is no chord
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { readChords } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const { spans } = readChords("bar,beat,chord\n1,1,Dm\n3,1,Gm7/Bb\n", { score: demoScore() });
 * assertEquals(spans[1]?.symbol, "Gm7/Bb");
 * ```
 */
export function readChords(text: string, options: ReadChordsOptions): HarmonyReading {
  checkArgument(CHORDS.action, text, A_TEXT);
  checkOptions(CHORDS.action, options, { score: A_SCORE, file: A_TEXT });
  const { score, file } = options;
  checkArgument(CHORDS.action, score, A_SCORE);
  const chords = readRows(text, CHORDS, file).map((row): ChordSymbol => {
    const bar = score.bars[barIn(row, "bar", score)]!;
    const symbol = row.field("chord");
    if (!isNoChord(symbol) && readChordSymbol(symbol) === undefined) {
      throw row.error(
        "chord",
        `"${symbol}" is not a chord symbol`,
        "Write it as for example Dm7, F/A, or N.C. for none",
      );
    }
    return { onsetTicks: bar.startTicks + beatIn(row, "beat", { score, bar }), symbol };
  });
  return readHarmony({ ...score, chords: chords.toSorted((a, b) => a.onsetTicks - b.onsetTicks) });
}

/** Options of {@linkcode readRoles}. */
export interface ReadRolesOptions {
  /** The score the roles belong to. */
  readonly score: Score;
  /** Who does what as it was read: what the table does not say stays. */
  readonly texture: Texture;
  /** Name of the file, for messages. */
  readonly file?: string;
}

/**
 * Reads who does what from a table (CSV) with the columns bar, part and role and, if wanted, to_bar and figure. The table may be the
 * `roles.csv` of a study with roles corrected in it; what it does not name stays as it was read.
 *
 * @param text the table
 * @param options the score, its texture, name of the file
 * @returns the corrected texture
 * @throws {InputError} with row and column, for bars, parts and roles that there are none of
 *
 * @example
 * ```ts
 * import { demoScore, textureOf } from "ripieno";
 * import { readRoles } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const texture = readRoles("bar,to_bar,part,role\n1,8,Flute 1,counterline\n", { score, texture: textureOf(score) });
 * assertEquals(texture.cells[score.parts.findIndex((p) => p.name === "Flute 1")]?.role, "counterline");
 * ```
 */
export function readRoles(text: string, options: ReadRolesOptions): Texture {
  checkArgument(ROLES_KIND.action, text, A_TEXT);
  checkOptions(ROLES_KIND.action, options, { score: A_SCORE, texture: A_TEXTURE, file: A_TEXT });
  const { score, texture, file } = options;
  checkArgument(ROLES_KIND.action, score, A_SCORE);
  checkArgument(ROLES_KIND.action, texture, A_TEXTURE);
  return readRows(text, ROLES_KIND, file).reduce((done, row) => {
    const fromBarIndex = barIn(row, "bar", score);
    const toBarIndex = row.field("to_bar") === "" ? fromBarIndex : barIn(row, "to_bar", score);
    const part = score.parts.findIndex((p) => p.name === row.field("part"));
    if (part < 0) {
      const remedy = `Its parts are ${score.parts.map((p) => p.name).slice(0, 12).join(", ")}`;
      throw row.error("part", `there is no part "${row.field("part")}"`, remedy);
    }
    const role = row.field("role").toLowerCase();
    if (!isRole(role)) {
      throw row.error("role", `"${role}" is not a role`, `Use one of ${ROLE_NAMES.join(", ")}`);
    }
    const figure = row.field("figure");
    const isAsRead = Array.from(
      { length: toBarIndex - fromBarIndex + 1 },
      (_, i) => done.cells[(fromBarIndex + i) * score.parts.length + part]!,
    ).every((cell) => cell.role === role && (figure === "" || cell.figure === figure));
    return isAsRead
      ? done
      : assignRole(done, { part, fromBarIndex, toBarIndex, role, ...(figure === "" ? {} : { figure }) });
  }, texture);
}
