/** What the command line does with a finished score: writes wishes into it, or looks for ways to meet one. */
import { type TableRow, tableToCsv } from "../../formats/files/csv.ts";
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { readHarmony } from "../../harmony/read_harmony.ts";
import { barsAsked } from "../../orchestrate/rewrite/bars_asked.ts";
import { readChords, readRoles } from "../../orchestrate/rewrite/corrections.ts";
import { heardInstead } from "../../orchestrate/rewrite/heard_as.ts";
import { rewrite } from "../../orchestrate/rewrite/rewrite.ts";
import type { PartChange } from "../../orchestrate/rewrite/rewrite_results.ts";
import type { Wish } from "../../orchestrate/rewrite/wish.ts";
import { readWishes, writeWishes } from "../../orchestrate/rewrite/wish_table.ts";
import { suggest } from "../../orchestrate/suggest/suggest.ts";
import type { PassageWish, Suggestions } from "../../orchestrate/suggest/suggest_results.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { listed } from "../drawing/words.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";

/** A table that was read, with its name. */
export interface NamedText {
  readonly file: string;
  readonly text: string;
}

/** What is known of a score besides its notes. */
export interface DeskReading {
  readonly texture: Texture;
  readonly harmony: HarmonyReading;
}

/** One version of a score. */
export interface Version {
  readonly name: string;
  readonly score: Score;
  readonly texture: Texture;
}

/** A score before and after. */
export interface DeskWork {
  /** The score as it is, and what became of it. */
  readonly versions: readonly Version[];
  /** What became of the parts that were written anew. */
  readonly changes: readonly PartChange[];
  /** Parts that were written anew, as indexes. */
  readonly newParts: readonly number[];
  /** Files to hand over beside those of the study. */
  readonly files: readonly FileToWrite[];
  /** What to say of it, line by line. */
  readonly said: readonly string[];
}

/** What the versions of a score are called. */
const AS_IT_IS = "as it is";
const REWRITTEN = "rewritten";

/** Who does what in a score, as it is read or as a table says; and its chords, where a table says them. */
export function tablesRead(
  score: Score,
  { chords, roles }: { readonly chords: NamedText | undefined; readonly roles: NamedText | undefined },
): Pick<DeskReading, "texture"> & Partial<DeskReading> {
  const read = textureOf(score);
  return {
    texture: roles ? readRoles(roles.text, { score, texture: read, file: roles.file }) : read,
    ...(chords ? { harmony: readChords(chords.text, { score, file: chords.file }) } : {}),
  };
}

/** The same with chords read off the notes where no table says them. */
export function readingOf(score: Score, { texture, harmony }: ReturnType<typeof tablesRead>): DeskReading {
  return { texture, harmony: harmony ?? readHarmony(score, { texture }) };
}

/** A score with the wishes of a table written into it. */
export function wishesWritten(
  score: Score,
  table: NamedText,
  { reading, bars, insist = false }: {
    readonly reading: DeskReading;
    readonly bars: { readonly fromBar: number; readonly toBar: number } | undefined;
    /** Whether wishes that would be heard as something else are written all the same. */
    readonly insist?: boolean;
  },
): DeskWork {
  // Bars that do not exist are told, also where every row has its own.
  if (bars !== undefined) barsAsked(score, bars, { action: "rewrite the score" });
  const wishes = readWishes(table.text, { file: table.file, ...(bars ? { bars } : {}) });
  return written(score, wishes, { ...reading, insist });
}

function written(
  score: Score,
  wishes: readonly Wish[],
  reading: DeskReading & { readonly insist?: boolean },
): DeskWork {
  const { score: after, texture, changes } = rewrite(score, wishes, reading);
  return {
    versions: [
      { name: AS_IT_IS, score, texture: reading.texture },
      { name: REWRITTEN, score: after, texture },
    ],
    changes,
    newParts: [...new Set(changes.map((c) => c.part))].sort((a, b) => a - b),
    files: [
      { name: "wishes.csv", content: writeWishes(wishes) },
      { name: "changes.csv", content: tableToCsv(changes.map(changeRow)) },
    ],
    said: changes.map(changeInWords),
  };
}

function changeRow(
  { partName, fromBar, toBar, before, after, octave, heardAs, heardShare, because, ...counts }: PartChange,
) {
  return {
    part: partName,
    from_bar: fromBar,
    to_bar: toBar,
    before,
    after,
    octave,
    heard_as: heardAs,
    heard_share: Math.round(heardShare * 100) / 100,
    because,
    notes_before: counts.notesBefore,
    notes_after: counts.notesAfter,
    doubled: counts.doubled.join(" + "),
  };
}

/** Share of its bars in which a part must be heard as what it was written for, or it is said. Model assumption. */
const HEARD_IN_MOST = 0.5;

/** Parts named in a sentence. */
const MOST_NAMED = 4;

/**
 * What became of a part, in words: what it does instead of what, in which octave, whom it doubled, and what it is heard as where
 * that is another thing.
 */
export function whatBecame(change: PartChange): string {
  const { before, after, octave, doubled } = change;
  const heard = heardOtherwise(change);
  if (before === after) return `${figureIn(after)}, played otherwise${heard}`;
  const more = before.includes(", ") ? " and others" : "";
  const doubling = doubled.length > 0 ? `; it doubled ${listed(doubled, MOST_NAMED)}` : "";
  return `${figureIn(after)}${octaveInWords(octave)} instead of ${
    figureIn(before)
  }${more}${doubling}${heard}`;
}

/** Where new notes lie, where that is another octave. */
function octaveInWords(octave: number): string {
  if (octave === 0) return "";
  const many = Math.abs(octave) === 1 ? "an octave" : `${Math.abs(octave)} octaves`;
  return ` ${many} ${octave > 0 ? "higher" : "lower"} than usual`;
}

/** What a part will be heard as where that is not what was wished. */
function heardOtherwise({ after, heardAs, heardShare, because }: PartChange): string {
  if (heardShare > HEARD_IN_MOST) return "";
  const other = heardInstead(heardAs, after.split(": ")[0]!);
  return `; it will be heard as ${figureIn(other)}: ${because}`;
}

/** What became of a part, in a sentence. */
function changeInWords(change: PartChange): string {
  const { partName, fromBar, toBar } = change;
  const where = fromBar === toBar ? `bar ${fromBar}` : `bars ${fromBar} to ${toBar}`;
  return `${partName}, ${where}: ${whatBecame(change)}`;
}

/** The first of some roles and figures, which is the commonest: its figure, and its role where that does not say it. */
function figureIn(roles: string): string {
  const [role = "", figure] = roles.split(", ")[0]!.split(": ");
  if (figure === undefined) return role;
  return role === "lead" ? `${figure === "tune" ? "" : `${figure} as `}the lead` : figure;
}

/** Ways to meet a wish in some bars; the best is written into the score. */
export function waysFound(
  score: Score,
  wish: string,
  { reading, bars, onProgress }: {
    readonly reading: DeskReading;
    readonly bars: { readonly fromBar: number; readonly toBar: number };
    readonly onProgress: (done: number, of: number) => void;
  },
): DeskWork {
  const found = suggest(score, {
    ...bars,
    ...reading,
    // What is no wish is refused with the words that are.
    wish: wish as PassageWish,
    onProgress: ({ done, of }) => onProgress(done, of),
  });
  const [best] = found.ways;
  const said = [found.said, ...found.ways.flatMap(wayInWords)];
  const ways = { name: "ways.csv", content: tableToCsv(wayRows(found)) };
  if (!best) {
    return {
      versions: [{ name: AS_IT_IS, score, texture: reading.texture }],
      changes: [],
      newParts: [],
      files: [ways],
      said,
    };
  }
  const work = written(score, best.wishes, reading);
  return { ...work, files: [...work.files, ways], said };
}

function wayInWords(
  { what, gains, costs, caution }: Suggestions["ways"][number],
  i: number,
): readonly string[] {
  return [
    `${i + 1}. ${what}`,
    `   gives: ${gains}`,
    ...(costs === "" ? [] : [`   costs: ${costs}`]),
    ...(caution === "" ? [] : [`   mind: ${caution}`]),
  ];
}

function wayRows({ ways, before }: Suggestions): readonly TableRow[] {
  const rounded = (value: number | null) => value === null ? null : Math.round(value * 1e4) / 1e4;
  const row = (what: string, measures: Suggestions["before"], more: TableRow): TableRow => ({
    what,
    momentum: rounded(measures.momentum),
    lead_audible: rounded(measures.audibleShare),
    loudness_sones: rounded(measures.loudnessSones),
    freshness: rounded(measures.freshness),
    ...(measures.contour === null && before.contour === null && ways.every((w) => w.after.contour === null)
      ? {}
      : { contour: rounded(measures.contour) }),
    parts: measures.parts,
    hard_places: measures.hardPlaces,
    tiring_places: measures.tiringPlaces,
    ...more,
  });
  return [
    row(AS_IT_IS, before, { why: "", gives: "", costs: "", caution: "" }),
    ...ways.map((w) =>
      row(w.what, w.after, { why: w.why, gives: w.gains, costs: w.costs, caution: w.caution })
    ),
  ];
}
