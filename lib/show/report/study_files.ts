/** Everything a study hands over, as names and contents: report, scores, tables. */
import { A_NUMBER, A_SWITCH, A_TEXT, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { compareVersions } from "../../measures/compare/versions.ts";
import { compare } from "../../measures/compare/compare.ts";
import { barsTable, type Cell, notesTable, type TableRow, tableToCsv } from "../../formats/files/csv.ts";
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import { writeMidi } from "../../formats/midi/write_midi.ts";
import { writeMusicXml, writePart } from "../../formats/musicxml/write/write_musicxml.ts";
import { harmonyTable } from "../../harmony/harmony_table.ts";
import type { Score } from "../../score/model.ts";
import { roughBars } from "../../measures/chords/rough_bars.ts";
import { COMPARISON_CHARTS, STUDY_CHARTS } from "./chart_files.ts";
import { entryHarmony } from "./entry_harmony.ts";
import { entryVoiceLeading, entryWarnings, isAdvised } from "./entry_warnings.ts";
import { FOUND_PLANS, report, type ReportOptions } from "./report.ts";
import type { FoundPlan } from "../../orchestrate/search/search_results.ts";
import { ENTRIES, entriesToldApart, type ReportEntry } from "./report_entry.ts";
import { type ReportSound, SOUNDS } from "./report_sounds.ts";
import { CHANGED_PASSAGES, type ChangedPassage, EXCERPTS, type ReportExcerpt } from "./report_excerpts.ts";
import { chartSvg } from "../drawing/save_chart.ts";
import type { Chart } from "../drawing/svg.ts";
import { slides } from "./slides.ts";
import { summarise } from "./summary.ts";
import { TABLE_COLUMNS } from "./table_columns.ts";

/** Options of {@linkcode studyFiles}. */
export interface StudyFilesOptions {
  /** Write the scores as MusicXML and MIDI: wanted for settings, pointless for a score that was only read. */
  readonly withScores?: boolean;
  /** Write every part as a file of its own, for the player's desk, with cues, into the folder `parts`; by default not. */
  readonly withParts?: boolean;
  /** Number of the first score that is new, from 0: those before it were only read, and are not written again. By default the first. */
  readonly firstNew?: number;
  /** Indexes of the parts of new scores that are written alone, where not all are new; by default all. */
  readonly newParts?: readonly number[];
  /** Whether the entries are versions of one score, the second to be held against the first; by default not. */
  readonly versions?: boolean;
  /** Passages of the second version that were written anew, for the report, as {@linkcode ReportOptions} has them. */
  readonly changed?: readonly ChangedPassage[];
  /** Plans that the settings were written from, for the report, as {@linkcode ReportOptions} has them. */
  readonly found?: readonly FoundPlan[];
  /** Write a condensed score beside each score, with the tune on top where it is a setting; by default not. */
  readonly withCondensed?: boolean;
  /** Put two wind players of a kind on one stave of the scores; by default not. */
  readonly inPairs?: boolean;
  /** Whether advice is given, as {@linkcode ReportOptions} has it. */
  readonly advise?: boolean;
  /** Write a deck of slides for a class beside the report; by default not. */
  readonly withSlides?: boolean;
  /** Bars in notes for the report, as {@linkcode reportExcerpts} engraves them; by default none. */
  readonly excerpts?: readonly ReportExcerpt[];
  /** Passages as sound for the report, as {@linkcode reportSounds} plays them; by default none. */
  readonly sounds?: readonly ReportSound[];
  /** Address of the listening page, where one is written beside the report; by default none is linked. */
  readonly listeningPage?: string;
}

/** Kinds of the options of a study's files. */
export const STUDY_FILES_OPTIONS = {
  withScores: A_SWITCH,
  withParts: A_SWITCH,
  firstNew: A_NUMBER,
  newParts: listOf(A_NUMBER, "a list of numbers"),
  versions: A_SWITCH,
  changed: CHANGED_PASSAGES,
  found: FOUND_PLANS,
  withCondensed: A_SWITCH,
  inPairs: A_SWITCH,
  advise: A_SWITCH,
  withSlides: A_SWITCH,
  excerpts: EXCERPTS,
  sounds: SOUNDS,
  listeningPage: A_TEXT,
};

/** A file of a study: its name is known before there is a study, its content is made from one. */
interface StudyFile {
  readonly name: string;
  /** What it holds; nothing where there is nothing to write. */
  readonly content: (entries: readonly ReportEntry[]) => string | Uint8Array | undefined;
}

/** What the names of a study's files are made of. */
interface NamedScore {
  readonly name: string;
  readonly score: Score;
}

/**
 * The files of a study: a self-contained report, tables (summary, bars, layers, roles, harmony, findings, voice leading, warnings
 * about the sound, ways out, notes, and a comparison when there are several), the charts as pictures in the folder
 * `charts`, for settings each score as MusicXML and MIDI, and if asked a condensed score and every part alone in the folder `parts`. Where
 * there are several settings, each has a folder of its name in these. In every table the first column says which
 * setting a row belongs to, and numbers are rounded to four decimals; the report says what every column holds.
 *
 * @param entries one per setting: study, score and texture
 * @param options whether to write the scores and the parts, and whether to advise
 * @returns files with plain names, ready for {@linkcode writeFiles}; {@linkcode writeStudy} does both
 *
 * @example
 * ```ts
 * import { demoScore, study, textureOf } from "ripieno";
 * import { studyFiles } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const score = demoScore();
 * const files = studyFiles([{ score, texture: textureOf(score), study: study(score) }], { withScores: true });
 * assert(files.some((f) => f.name === "report.html"));
 * assert(files.some((f) => f.name === "charts/momentum.svg"));
 * ```
 */
export function studyFiles(
  entries: readonly ReportEntry[],
  options: StudyFilesOptions = {},
): readonly FileToWrite[] {
  checkArgument("write the study", entries, ENTRIES);
  checkOptions("write the study", options, STUDY_FILES_OPTIONS);
  const named = entriesToldApart(entries);
  const scores = named.map(({ study, score }) => ({ name: study.name, score }));
  return filesFor(scores, options).flatMap(({ name, content }) => {
    const made = content(named);
    return made === undefined ? [] : [{ name, content: made }];
  });
}

/**
 * The names that the files of a study will have, for a look at the folder before the study is made. A chart without
 * anything to show is not written in the end.
 */
export function studyFileNames(
  scores: readonly NamedScore[],
  options: StudyFilesOptions = {},
): readonly string[] {
  return filesFor(scores, options).map((file) => file.name);
}

/** What the report is told of all options. */
function reportOptions(options: StudyFilesOptions): ReportOptions {
  return {
    ...(options.advise === undefined ? {} : { advise: options.advise }),
    ...(options.versions === undefined ? {} : { versions: options.versions }),
    ...(options.excerpts === undefined ? {} : { excerpts: options.excerpts }),
    ...(options.changed === undefined ? {} : { changed: options.changed }),
    ...(options.found === undefined ? {} : { found: options.found }),
    ...(options.sounds === undefined ? {} : { sounds: options.sounds }),
    ...(options.listeningPage === undefined ? {} : { listeningPage: options.listeningPage }),
  };
}

/** What differs between two versions, bar by bar. */
function versionsFile(): StudyFile {
  return {
    name: "versions.csv",
    content: ([before, after]) =>
      csvOf(
        "versions.csv",
        compareVersions(before!, after!).map((row) => ({ setting: after!.study.name, ...row })),
      ),
  };
}

function filesFor(scores: readonly NamedScore[], options: StudyFilesOptions): readonly StudyFile[] {
  const settings = plainNames(scores.map((s) => s.name), "score");
  const isSeveral = scores.length > 1;
  const { firstNew = 0, newParts } = options;
  const isNew = (_: unknown, e: number) => e >= firstNew;
  return [
    { name: "report.html", content: (entries) => report(entries, reportOptions(options)) },
    ...(options.withSlides === true
      ? [{
        name: "slides.html",
        content: (entries: readonly ReportEntry[]) =>
          slides(entries, options.excerpts === undefined ? {} : { excerpts: options.excerpts }),
      }]
      : []),
    ...(options.withScores === true
      ? settings.flatMap((name, e) => isNew(name, e) ? scoreFiles(name, e, options.inPairs === true) : [])
      : []),
    ...(options.withCondensed === true
      ? settings.flatMap((name, e) => isNew(name, e) ? [condensedFile(name, e)] : [])
      : []),
    ...(options.withParts === true
      ? scores.flatMap(({ score }, e) =>
        isNew(score, e)
          ? partFiles(score, { e, newParts, folder: isSeveral ? `parts/${settings[e]!}` : "parts" })
          : []
      )
      : []),
    ...settings.flatMap((name, e) => chartFiles(e, isSeveral ? `charts/${name}` : "charts")),
    ...(isSeveral ? comparisonFiles() : []),
    ...(isSeveral && options.versions === true ? [versionsFile()] : []),
    table(
      "summary.csv",
      (e) => summarise(e.study, e.score, { texture: e.texture }).map((row) => printedBars(row, e.score)),
    ),
    table("bars.csv", barRows),
    table("layers.csv", layerRows),
    table("roles.csv", roleRows),
    table("harmony.csv", (e) => harmonyTable(e.score, entryHarmony(e))),
    table("findings.csv", findingRows),
    table("voice_leading.csv", voiceLeadingRows),
    table("warnings.csv", (e) => warningRows(e, isAdvised(e, options.advise))),
    table("remedies.csv", (e) => isAdvised(e, options.advise) ? remedyRows(e) : []),
    table("notes.csv", (e) => notesTable(e.score)),
  ];
}

function table(name: string, rows: (entry: ReportEntry) => readonly object[]): StudyFile {
  return {
    name,
    content: (entries) =>
      csvOf(name, entries.flatMap((e) => rows(e).map((row) => ({ setting: e.study.name, ...row })))),
  };
}

/** A setting's score, to be read and to be heard. */
function scoreFiles(name: string, e: number, inPairs: boolean): readonly StudyFile[] {
  const staves = inPairs ? "shared" : "single";
  return [
    {
      name: `${name}.musicxml`,
      content: (entries) => writeMusicXml(entries[e]!.score, { staves }),
    },
    { name: `${name}.mid`, content: (entries) => writeMidi(entries[e]!.score) },
  ];
}

/** A score of few staves to conduct from; only a setting says who has the tune. */
function condensedFile(name: string, e: number): StudyFile {
  return {
    name: `${name}_condensed.musicxml`,
    content: (entries) => {
      const { score } = entries[e]!;
      const sketch = score.layers?.some((layer) => layer.role === "lead") === true;
      return writeMusicXml(score, { staves: "condensed", sketch });
    },
  };
}

/** Every part as a file: `parts/Horn_1.musicxml`, and in a folder for each setting where there are several. */
function partFiles(
  score: Score,
  { e, newParts, folder }: {
    readonly e: number;
    readonly newParts: readonly number[] | undefined;
    readonly folder: string;
  },
): readonly StudyFile[] {
  const isNew = (part: number) => newParts === undefined || newParts.includes(part);
  return plainNames(score.parts.map((p) => p.name), "part").flatMap((name, part) =>
    !isNew(part) ? [] : [{
      name: `${folder}/${name}.musicxml`,
      content: (entries: readonly ReportEntry[]) => writePart(entries[e]!.score, part),
    }]
  );
}

/** The charts of a setting: `charts/momentum.svg`, and in a folder for each setting where there are several. */
function chartFiles(e: number, folder: string): readonly StudyFile[] {
  return Object.entries(STUDY_CHARTS).map(([name, draw]) => ({
    name: `${folder}/${name}.svg`,
    content: (entries) => svgOf(draw(entries[e]!)),
  }));
}

function comparisonFiles(): readonly StudyFile[] {
  return [
    ...Object.entries(COMPARISON_CHARTS).map(([name, draw]): StudyFile => ({
      name: `charts/${name}.svg`,
      content: (entries) => svgOf(draw(entries)),
    })),
    {
      name: "comparison.csv",
      content: (entries) =>
        csvOf(
          "comparison.csv",
          compare(entries.map((e) => e.study)).map(({ name, ...row }) => ({ setting: name, ...row })),
        ),
    },
  ];
}

const svgOf = (chart: Chart | undefined) => chart === undefined ? undefined : chartSvg(chart);

/** A table's text with rounded numbers; one without rows still says in one line what it would hold. */
function csvOf(file: string, rows: readonly object[]): string {
  const columns = Object.keys(TABLE_COLUMNS[file] ?? {}).map((name) =>
    name.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase())
  );
  const rounded = rows.map((row): TableRow =>
    Object.fromEntries(Object.entries(row).map(([name, cell]) => [name, roundedCell(cell)]))
  );
  return tableToCsv(rounded, { columns }).replace(/(\r\n)+$/, "\r\n");
}

/** Numbers to four decimals, small ones to four significant digits with six decimals at most. */
function roundedCell(cell: Cell): Cell {
  if (typeof cell !== "number" || !Number.isFinite(cell) || cell === 0) return cell;
  const decimals = Math.min(6, Math.max(4, 3 - Math.floor(Math.log10(Math.abs(cell)))));
  return Number(cell.toFixed(decimals)) + 0;
}

/** A summary row with the printed numbers of its bars in two columns, since a spreadsheet takes 3–4 for a date. */
function printedBars(
  { passage, fromBarIndex, toBarIndex, bars: _both, ...row }: ReturnType<typeof summarise>[number],
  score: Score,
): object {
  return {
    passage,
    fromBar: score.bars[fromBarIndex]!.number,
    toBar: score.bars[toBarIndex]!.number,
    ...row,
  };
}

/** One row per bar with the measures side by side. */
function barRows({ study, score }: ReportEntry): readonly object[] {
  const { momentum, balance, freshness, fullness, contour, idiom } = study;
  const rough = roughBars(score);
  return barsTable(score, {
    momentum: momentum.perBar,
    balance: balance.perBar,
    // Who leads is one thing, and stands in the table once.
    freshness: freshness.perBar.map(({ lead: _, ...row }) => row),
    fullness: fullness.perBar,
    contour: contour.perBar,
    ...(idiom === null ? {} : { idiom: idiom.perBar }),
  }).map((row, b) => ({ ...row, roughness: rough[b]!.roughness }));
}

function layerRows({ study, score, texture }: ReportEntry): readonly object[] {
  const parts = score.parts.length;
  const loudness = new Map(study.balance.perLayer.map((l) => [`${l.barIndex} ${l.layer}`, l]));
  return study.momentum.perLayer.map(({ barIndex, layer, ...driven }) => {
    const heard = loudness.get(`${barIndex} ${layer}`);
    const members = texture.cells.slice(barIndex * parts, (barIndex + 1) * parts).filter((c) =>
      c.layer === layer
    );
    return {
      bar: score.bars[barIndex]!.number,
      layer,
      parts: members.map((c) => score.parts[c.part]!.name).join(" + "),
      ...driven,
      partialSones: heard?.partialSones,
      audibleShare: heard?.audibleShare,
      loudnessShare: heard?.loudnessShare,
    };
  });
}

function roleRows({ score, texture }: ReportEntry): readonly object[] {
  return texture.cells.filter((c) => c.role !== "rest").map(({ barIndex, part, ...cell }) => ({
    bar: score.bars[barIndex]!.number,
    part: score.parts[part]!.name,
    ...cell,
  }));
}

function findingRows({ study, score }: ReportEntry): readonly object[] {
  return study.playability.findings.map((
    { part: _index, partName, fromBarIndex: _from, toBarIndex, bar, ...finding },
  ) => ({
    part: partName,
    bar,
    toBar: score.bars[toBarIndex]!.number,
    ...finding,
  }));
}

/** One row per mark in the voice leading of pads, the heaviest first. */
function voiceLeadingRows(entry: ReportEntry): readonly object[] {
  return entryVoiceLeading(entry).map(({ fromBarIndex: _from, toBarIndex, bar, ...row }) => ({
    bar,
    toBar: entry.score.bars[toBarIndex]!.number,
    ...row,
  }));
}

/** One row per warning about the sound; ways out where advice is given. */
function warningRows(entry: ReportEntry, advise: boolean): readonly object[] {
  return entryWarnings(entry, { advise }).map((
    { kind, bar, toBarIndex, beat, what, figure, limit, unit, remedy },
  ) => ({
    kind,
    bar,
    toBar: entry.score.bars[toBarIndex]!.number,
    beat,
    what,
    figure,
    limit,
    unit,
    remedy: advise ? remedy : "",
  }));
}

/** One row per way out that was worked out. */
function remedyRows(entry: ReportEntry): readonly object[] {
  return entryWarnings(entry, { advise: true }).flatMap(({ bar, toBarIndex, figure, remedies = [] }) =>
    remedies.map(({ what, changes, ...after }) => ({
      bar,
      toBar: entry.score.bars[toBarIndex]!.number,
      with: what,
      change: changes.map((c) => c.kind).join(" + "),
      audibleShareNow: figure,
      ...after,
    }))
  );
}

/** Letters of a file name at most: systems take 255 bytes, of which a letter may need four. */
const LONGEST_NAME = 50;

/** File names made of names: letters and figures kept, a number added where two are alike. */
export function plainNames(names: readonly string[], otherwise: string): readonly string[] {
  const used = new Map<string, number>();
  const taken = new Set<string>();
  return names.map((name) => {
    const letters = name.normalize("NFKD").replace(/[^\p{L}\p{N}]+/gu, "_").replace(/^_+|_+$/g, "");
    const plain = [...letters].slice(0, LONGEST_NAME).join("") || otherwise;
    let count = (used.get(plain.toLowerCase()) ?? 0) + 1;
    let unique = count === 1 ? plain : `${plain}_${count}`;
    while (taken.has(unique.toLowerCase())) unique = `${plain}_${++count}`;
    used.set(plain.toLowerCase(), count);
    taken.add(unique.toLowerCase());
    return unique;
  });
}
