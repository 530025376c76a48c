/** The command line: `study` a score or a sketch. The only file that prints or exits. */
import { basename, dirname, join, sep } from "node:path";
import process from "node:process";
import { demoPlans, demoSketch } from "./demo.ts";
import { InputError } from "./base/errors.ts";
import { tableText } from "./formats/files/decode.ts";
import { readBytes } from "./formats/files/read_bytes.ts";
import { readScore } from "./formats/read_score.ts";
import { readSoundFont } from "./formats/sound/read_sound_font.ts";
import type { FileToWrite } from "./formats/files/file_to_write.ts";
import { checkFolder, writeFolder, type WrittenFolder } from "./formats/files/write_folder.ts";
import { readOrchestra } from "./instruments/names/orchestra_table.ts";
import { orchestra, type OrchestraPart } from "./instruments/orchestra.ts";
import {
  type DeskReading,
  type DeskWork,
  readingOf,
  tablesRead,
  waysFound,
  wishesWritten,
} from "./show/desk/desk.ts";
import { beforeAndAfter } from "./show/desk/before_and_after.ts";
import { plansFound, type PlansOnDesk } from "./show/desk/plans_desk.ts";
import { sketchFiles } from "./show/desk/sketch_files.ts";
import { compareVersions } from "./measures/compare/versions.ts";
import { compare, study } from "./measures/compare/compare.ts";
import type { Study } from "./measures/compare/study_results.ts";
import type { Plan } from "./orchestrate/plan/plan.ts";
import { readPlan } from "./orchestrate/plan/plan_table.ts";
import { realise, type RealiseOptions } from "./orchestrate/realise/realise.ts";
import { type Sketch, sketchOf } from "./orchestrate/plan/sketch.ts";
import { readSketchLines } from "./orchestrate/plan/sketch_table.ts";
import { sketchFrom } from "./orchestrate/rewrite/sketch_from.ts";
import type { Notice, Score } from "./score/model.ts";
import { seatStrings, sharedSections, type StringSizes } from "./score/seat_strings.ts";
import { readRequest, type Request, type StringPlayers, type SurveyRequest } from "./request.ts";
import { countsInWords } from "./show/report/finding_counts.ts";
import { summarise } from "./show/report/summary.ts";
import type { ReportEntry } from "./show/report/report_entry.ts";
import { heardFileNames, heardFiles, heardInReport } from "./show/report/heard_files.ts";
import { reportExcerpts } from "./show/report/report_excerpts.ts";
import { studyFileNames, studyFiles } from "./show/report/study_files.ts";
import { counted, tempoInWords, unknownInstruments } from "./show/drawing/words.ts";
import { SURVEY_FILES } from "./survey/run/survey_files.ts";
import { surveyCharts } from "./show/report/survey_files.ts";
import { checkSurvey } from "./survey/survey.ts";
import type { SurveyOptions } from "./survey/survey_options.ts";
import type { Survey, SurveyProgress } from "./survey/survey_results.ts";
import type { Texture } from "./texture/model.ts";
import { textureOf } from "./texture/recognise/recognise.ts";

const HELP = `study [FILE] [FILE] [--plan PLAN]... [--rewrite WISHES [--insist]] [--suggest WISH --bars BARS]
      [--wish WISHES] [--chords TABLE] [--roles TABLE] [--lines TABLE] [--orchestra NAME or TABLE] [--tempo QUARTERS] [--strings SIZES] [--parts] [--condensed]
      [--pairs] [--slides] [--advice] [--sound] [--wav] [--listen]
      [--sound-font FILE] [--out FOLDER]
study --survey FOLDER [--out FOLDER] [--shard I/N] [--workers N] [--seconds-per-score N] [--megabytes N]

Without FILE: the bundled demo, one sketch in three settings.
FILE          a score (MusicXML .musicxml, .xml, .mxl, or MIDI), or a sketch (tune and chord symbols in
              MusicXML or ABC, or music whose tune and chords can be read off the notes) when a plan is given;
              two files: versions of one score, held against each other
--plan PLAN   a table (CSV) that says who takes which role, bar by bar, or the same as JSON; give several to compare
              them
--rewrite WISHES
              a table (CSV) of what some parts shall do in some bars of a finished score: from_bar, to_bar, parts, and
              role and figure, dynamic, articulation, octave or technique; all else stays. With --bars, rows need
              no bars of their own. What would be heard as something else in most of its bars is refused; with --insist it
              is written all the same
--suggest WISH --bars BARS
              ways to make a passage of a finished score do what is wished, tried in the notes and measured anew:
              "move more", "lead clearer", "fresher", "lighter", "rest the brass", "playable", or a contour,
              "rise", "fall", "arch" or "bowl"; BARS such as 33-40
--wish WISHES a table (CSV) of what is asked of plans that are then looked for: passage, from_bar, to_bar and, where
              wished, momentum, lead_at_least, dynamic, and parts that lead, play or rest; a row without bars is for
              the whole: freshness_at_least, contour, contour_at_least, findings_at_most, brass_at_most, play, rest, favour. Three plans are
              written as tables and set; FILE is a sketch, or music from which one is read; without it, the demo's
--chords TABLE, --roles TABLE
              harmony.csv and roles.csv of an earlier study, corrected by hand: they hold in place of what is read
--lines TABLE sketch_lines.csv of an earlier study with a plan over music whose tune was read off the notes, corrected by hand: tune, inner
              voices and bass line, note by note; short_score.musicxml shows them as a short score
--orchestra NAME or TABLE
              who can play what a plan asks for: symphony (the default), chamber, strings, studio or school, or a
              table (CSV) of your own with the columns part, instrument and players
--tempo N     quarter notes a minute (4 to 1200) from first bar to last, in place of what the file says: files
              often hold a tempo that nobody plays, and rates, breath and momentum hang on it
--strings SIZES
              players of the first and second violins, violas, cellos and double basses, such as 14.12.10.8.6, in
              place of the usual 12.12.8.8.6; staves that divide a section share its players
--parts       also write every part as a file of its own, for the player's desk, with cues, into FOLDER/parts
--condensed   also write a condensed score to conduct from: each family on a stave or two, the tune of a setting and
              its chord symbols on top
--slides      also write a deck for a class, FOLDER/slides.html: five to eight pictures with one sentence each; arrow keys
              go from slide to slide, and it prints one to a page
--pairs       two wind players of a kind on one stave of the score; their parts stay single
--advice      ways out and advice on the scoring of a finished score too: plans get them anyway
--sound       also write each setting or score as it sounds by the library's own models, as MP3: who is heard, when and
              how strongly, not how players would shape it. The report plays each passage, too. With --bars, only these
              bars. --wav writes WAV instead
--survey FOLDER
              every score below a folder, read and measured: tables of scores, bars and recipes (Parquet; scores as CSV
              too). What is interrupted goes on where it was; what was done before is not done again
--shard I/N   one share of a survey, such as 2/3, for a process or a machine of its own; a survey without it puts all
              shares in the folder together
--workers N, --seconds-per-score N, --megabytes N
              scores at a time (as many as there are processors), what one score may take (300 seconds) and what the
              program may take (3500 MB) before a score is given up and its row says so
--listen      also write listen.html: a page on which one listens to the settings, takes layers away and hears what the
              rest does without them; with --bars, only these bars
--sound-font FILE
              a SoundFont of your own (SF2 or SF3) whose sounds are heard with --sound and --listen in place of the
              library's: every note stays as strong as the balance has it
--out FOLDER  where the report, the scores, the tables and the charts go; "out" by default. What an earlier study
              left there goes; files of your own, or changed by you, stay
`;

/** Exit code for input that cannot be used. */
const BAD_INPUT = 2;

/** Progress on one line of a terminal, or one line per step in a log. */
function progress(text: string): void {
  const line = process.stderr.isTTY ? `\r\x1b[2K${text}` : `${text}\n`;
  process.stderr.write(line);
}

/** A work that counts on says so often in a log how far it is; on a terminal, each time. */
const TELL_SECONDS = 10;
let lastTold = { work: "", at: -Infinity };

/** Progress of a work that counts on; its first word and its last are told anywhere. */
function progressOf(work: string, text: string, isLast = false): void {
  const at = performance.now() / 1000;
  const isSoon = work === lastTold.work && at - lastTold.at < TELL_SECONDS;
  if (isSoon && !isLast && !process.stderr.isTTY) return;
  lastTold = { work, at };
  progress(text);
}

/** Plans and orchestras are a few rows; what is larger was not meant. */
const LARGEST_TABLE_BYTES = 10_000_000;

async function planText(path: string): Promise<string> {
  return await writtenTable(path, { action: "read the plan", each: "layer" });
}

/** The text of a table somebody has written. */
async function writtenTable(
  path: string,
  { action, each }: { readonly action: string; readonly each: string },
): Promise<string> {
  return tableText(
    await readBytes(path, {
      action,
      largestBytes: LARGEST_TABLE_BYTES,
      ifMissing: "Check the name and the folder",
      ifFolder: "Name the table in it",
      ifLarge: `Give a table with one row per ${each}`,
    }),
  );
}

interface Loaded {
  readonly scores: readonly { readonly name: string; readonly score: Score; readonly texture?: Texture }[];
  readonly written: boolean;
  /** What was done to a finished score. */
  readonly work?: DeskWork;
  /** Plans that were looked for. */
  readonly found?: PlansOnDesk;
  /** Said before all else. */
  readonly said?: readonly string[];
  /** The sketch as it was read, to hand over. */
  readonly sketchFiles?: readonly FileToWrite[];
}

/** A table of the command, read. */
async function namedText(path: string | undefined, what: { readonly action: string; readonly each: string }) {
  return path === undefined ? undefined : { file: path, text: await writtenTable(path, what) };
}

/** What a request asks, with what holds of all its settings. */
interface Asked {
  readonly request: Request;
  readonly sizes: StringSizes | undefined;
  readonly setting: RealiseOptions;
}

async function load(request: Request): Promise<Loaded> {
  const sizes = request.strings === undefined ? undefined : sizesOf(request.strings);
  const setting: RealiseOptions = {
    ...settingOf(await orchestraOf(request), sizes),
    // Who brings an orchestra has said which clarinets there are.
    ...(request.orchestraFile === undefined ? { clarinets: "by key" } : {}),
  };
  const asked: Asked = { request, sizes, setting };
  if (request.file === undefined) return await loadDemo(asked);
  const plans = await plansAsked(asked);
  const score = await scoreIn(request.file, asked);
  if (request.otherFile !== undefined) {
    const other = await scoreIn(request.otherFile, asked);
    const files = [request.file, request.otherFile];
    const names = distinctNames(files.map((path) => basename(path).replace(/\.[^.]*$/, "")), files);
    return { scores: [{ name: names[0]!, score }, { name: names[1]!, score: other }], written: false };
  }
  if (
    score.chords.length > 0 && request.chords === undefined &&
    (plans.length > 0 || request.wish !== undefined)
  ) {
    return await setSketch(sketchOf(score), plans, asked);
  }
  const isPlain = plans.length === 0 &&
    (request.rewrite ?? request.suggest ?? request.wish ?? request.chords ?? request.roles) === undefined;
  if (isPlain) return { scores: [{ name: score.title || score.source, score }], written: false };
  return await loadFinished(score, plans, asked);
}

/** The demo: with its own plans, with those that are given, or with plans that are looked for. */
async function loadDemo(asked: Asked): Promise<Loaded> {
  const { request, setting } = asked;
  if (request.wish !== undefined) return await seekPlans(demoSketch(), asked);
  if (request.plans.length > 0) return realiseAll(demoSketch(), await plansAsked(asked), setting);
  const { held, moving, rotating } = demoPlans();
  return realiseAll(demoSketch(), [held, moving, rotating].map((plan) => inTempo(plan, request)), setting);
}

/** A score without a sketch in it: roles and chords are read off, or given, and then something is done with them. */
async function loadFinished(score: Score, plans: readonly Plan[], asked: Asked): Promise<Loaded> {
  const { request } = asked;
  progress("reading roles and chords");
  const tables = tablesRead(score, {
    chords: await namedText(request.chords, { action: "read the chords", each: "chord" }),
    roles: await namedText(request.roles, { action: "read the roles", each: "part and bar" }),
  });
  if (request.wish !== undefined || plans.length > 0) {
    const loaded = await setSketch(sketchFrom(score, tables), plans, asked);
    return { ...loaded, said: [READ_OFF, ...loaded.said ?? []] };
  }
  return await onDesk(request, score, readingOf(score, tables));
}

/** A sketch set by plans, or by plans that are looked for; its lines are those of the table that is given. */
async function setSketch(read: Sketch, plans: readonly Plan[], asked: Asked): Promise<Loaded> {
  const { request, setting } = asked;
  const table = await namedText(request.lines, { action: "read the lines", each: "note" });
  const sketch = table === undefined ? read : readSketchLines(table.text, { sketch: read, file: table.file });
  const loaded = request.wish === undefined
    ? realiseAll(sketch, plans, setting)
    : await seekPlans(sketch, asked);
  const hasLines = sketch.innerVoices.length > 0 || sketch.bassLine.length > 0;
  return hasLines ? { ...loaded, sketchFiles: sketchFiles(sketch) } : loaded;
}

function inTempo(plan: Plan, { tempo }: Request): Plan {
  return tempo === undefined ? plan : { ...plan, quartersPerMinute: tempo };
}

/** The plans whose tables are named, under names that differ. */
async function plansAsked({ request }: Asked): Promise<readonly Plan[]> {
  const plans: Plan[] = [];
  for (const path of request.plans) plans.push(readPlan(await planText(path), { file: path }));
  const names = distinctNames(plans.map((p) => p.name), request.plans);
  return plans.map((plan, i): Plan => inTempo({ ...plan, name: names[i]! }, request));
}

/** Plans for a sketch that meet the wishes, realised. */
async function seekPlans(sketch: Sketch, { request, setting }: Asked): Promise<Loaded> {
  const table = await namedText(request.wish, { action: "read the wishes for plans", each: "passage" });
  const found = await plansFound(sketch, table!, {
    orchestra: setting.orchestra,
    onProgress: ({ step, done, total }) => progressOf(step, `trying ${step}: ${done} of ${total}`),
  });
  const set = realiseAll(sketch, found.plans.map((p) => inTempo(p.plan, request)), setting);
  return { ...set, found, said: found.said };
}

/** A score as it is studied: with the strings and the tempo that are asked for. */
async function scoreIn(path: string, { request: { tempo }, sizes }: Asked): Promise<Score> {
  progress(`reading ${path}`);
  const read = await readScore(path);
  const seated = sizes === undefined ? read : seatStrings(read, sizes);
  if (tempo === undefined) return seated;
  return { ...seated, tempos: [{ onsetTicks: 0, quartersPerMinute: tempo, origin: "marked" }] };
}

/** What is said where a plan is written over a score without chord symbols. */
const READ_OFF =
  "Tune, lines and chords were read off the notes: look at roles.csv and harmony.csv of a study of the score and at short_score.musicxml; correct the first two and sketch_lines.csv, and give them with --roles, --chords and --lines.";

/** What is asked for a finished score, done. */
async function onDesk(request: Request, score: Score, reading: DeskReading): Promise<Loaded> {
  const { bars, suggest, rewrite, insist } = request;
  if (suggest !== undefined) {
    const work = waysFound(score, suggest, {
      reading,
      bars: bars!,
      onProgress: (done, of) => progressOf("ways", `trying ways: ${done} of ${of}`),
    });
    return { scores: work.versions, written: true, work };
  }
  if (rewrite !== undefined) {
    progress("writing the wishes");
    const table = await namedText(rewrite, { action: "read the wishes", each: "wish" });
    const work = wishesWritten(score, table!, { reading, bars, insist });
    return { scores: work.versions, written: true, work };
  }
  return { scores: [{ name: score.title || score.source, score, texture: reading.texture }], written: false };
}

function sizesOf([violins1, violins2, violas, cellos, doubleBasses]: StringPlayers): StringSizes {
  return { violins1, violins2, violas, cellos, doubleBasses };
}

/** The orchestra the command names, or the one in the table it names. */
async function orchestraOf(
  { orchestra: name, orchestraFile }: Request,
): Promise<readonly OrchestraPart[] | undefined> {
  if (orchestraFile === undefined) return name === undefined ? undefined : orchestra(name);
  const text = await writtenTable(orchestraFile, { action: "read the orchestra", each: "part" });
  return readOrchestra(text, { file: orchestraFile });
}

/** Who plays a plan, where the command says so. */
function settingOf(
  own: readonly OrchestraPart[] | undefined,
  sizes: StringSizes | undefined,
): RealiseOptions {
  if (own === undefined && sizes === undefined) return {};
  const parts = own ?? orchestra();
  return { orchestra: sizes === undefined ? parts : sharedSections(parts, [], { sizes }) };
}

/** Names of settings: those of the plans, with their folder where two are alike, and with a number where two still are. */
function distinctNames(names: readonly string[], paths: readonly string[]): readonly string[] {
  const isShared = (all: readonly string[], name: string) => all.filter((n) => n === name).length > 1;
  const placed = names.map((name, i) => {
    const folder = basename(dirname(paths[i]!));
    return isShared(names, name) && folder !== "" && folder !== "." ? `${folder}/${name}` : name;
  });
  return placed.map((name, i) =>
    isShared(placed, name) ? `${name} ${placed.slice(0, i + 1).filter((n) => n === name).length}` : name
  );
}

function realiseAll(sketch: Sketch, plans: readonly Plan[], options: RealiseOptions): Loaded {
  return {
    scores: plans.map((plan) => {
      progress(`realising ${plan.name}`);
      return { name: plan.name, score: realise(sketch, plan, options) };
    }),
    written: true,
  };
}

const decimal = (x: number | null, digits: number) => x === null ? "–" : x.toFixed(digits);
const share = (x: number | null) => x === null ? "–" : `${Math.round(100 * x)} %`;

/** Words for a terminal, where nothing has to be kept on one line. */
const breakable = (words: string) => words.replaceAll("\u00a0", " ");

/** A column of a table: its head, and its cell in a row. */
type TextColumn<Row> = readonly [head: string, cell: (row: Row) => string];

/** A plain table with aligned columns: words to the left, figures to the right. */
function table<Row>(rows: readonly Row[], columns: readonly TextColumn<Row>[]): string {
  const cells = rows.map((row) => columns.map(([, cell]) => cell(row)));
  const heads = columns.map(([head]) => head);
  const widths = heads.map((head, c) => Math.max(head.length, ...cells.map((r) => r[c]!.length)));
  const isFigures = heads.map((_, c) => cells.every((r) => /^[-–]?[\d.–]*( %)?$/.test(r[c]!)));
  const line = (texts: readonly string[]) =>
    texts.map((text, c) => isFigures[c] ? text.padStart(widths[c]!) : text.padEnd(widths[c]!))
      .join("  ").trimEnd();
  return [line(heads), line(widths.map((w) => "─".repeat(w))), ...cells.map(line)].join("\n");
}

function printStudy({ study: result, score, texture }: ReportEntry): void {
  const { parts, notes, bars } = score;
  const size = [counted(parts.length, "part"), counted(notes.length, "note"), counted(bars.length, "bar")];
  console.log(`\n${result.name}: ${breakable([...size, tempoInWords(score)].join(", "))}`);
  for (const words of unknownInstruments(score)) console.log(words);
  console.log(table(summarise(result, score, { texture }), [
    ["passage", (r) => r.passage],
    ["bars", (r) => r.bars],
    ["who leads", (r) => r.lead],
    ["momentum", (r) => decimal(r.momentum, 2)],
    ["driven by", (r) => r.drivenBy || "–"],
    ["lead audible", (r) => share(r.leadAudible)],
    ["bars since change", (r) => String(r.barsSinceChange)],
    ["findings", countsInWords],
  ]));
  for (const { what } of ofPlan(score)) console.log(what);
}

/** What was noticed when a plan was written out, beside what was in the file of its sketch. */
function ofPlan({ layers, notices, source }: Score): readonly Notice[] {
  return layers === undefined ? [] : notices.filter((n) => n.file === source);
}

function printComparison(studies: readonly Study[]): void {
  console.log("\nSide by side");
  console.log(table(compare(studies), [
    ["setting", (r) => r.name],
    ["momentum", (r) => decimal(r.momentum, 2)],
    ["from the secondary parts", (r) => share(r.secondaryShare)],
    ["lead audible", (r) => share(r.audibleShare)],
    ["freshness", (r) => decimal(r.freshness, 2)],
    ["fullness", (r) => decimal(r.fullness, 2)],
    ["goes with the tune", (r) => r.contour === null ? "–" : decimal(r.contour, 2)],
    ["idiom", (r) => r.idiom === null ? "–" : decimal(r.idiom, 2)],
    [
      "bars between changes",
      (r) => r.barsBetweenChanges === null ? "none" : decimal(r.barsBetweenChanges, 1),
    ],
    ["findings", (r) => countsInWords({ ...r, note: 0 })],
  ]));
}

function printVersions(before: ReportEntry, after: ReportEntry): void {
  const rows = compareVersions(before, after);
  if (rows.length === 0) {
    console.log("\nThe two versions have the same notes, as loud and played the same way.");
    return;
  }
  console.log("\nWhat changed");
  const span = (from: string | null, to: string | null) =>
    from === null ? "–" : from === to ? from : `${from}–${to}`;
  console.log(table(rows, [
    ["bars", (r) => span(r.bar, r.toBar)],
    ["now", (r) => span(r.newBar, r.newToBar)],
    ["what", (r) => r.kind],
    ["momentum", (r) => decimal(r.momentum, 2)],
    ["now", (r) => decimal(r.newMomentum, 2)],
    ["lead audible", (r) => share(r.audibleShare)],
    ["now", (r) => share(r.newAudibleShare)],
    ["parts", (r) => r.parts],
  ]));
}

async function run(args: readonly string[]): Promise<void> {
  const request = readRequest(args);
  if (request === "help") {
    console.log(HELP);
    return;
  }
  if (request.survey !== undefined) return await surveyFolder(request.survey, request.out);
  const { out } = request;
  const reading = filesNamed(request);
  await checkFolder(out, []); // a folder that cannot be written to is known before anything is read
  const soundFont = request.soundFont === undefined ? undefined : await readSoundFont(request.soundFont);
  const { scores, written, work, found, sketchFiles = [], said = [] } = await load(request);
  const options = {
    withScores: written,
    withParts: request.parts,
    ...(work ?? request.otherFile ? { versions: true } : {}),
    ...(work ? { firstNew: 1, newParts: work.newParts } : {}),
    ...(found ? { found: found.plans } : {}),
    withCondensed: request.condensed,
    withSlides: request.slides,
    inPairs: request.pairs,
    ...(request.advice ? { advise: true } : {}),
  };
  const more = [...work?.files ?? found?.files ?? [], ...sketchFiles];
  const hearing = {
    withSound: request.sound,
    soundFont,
    withListening: request.listen,
    soundFromBar: request.bars?.fromBar,
    soundToBar: request.bars?.toBar,
  };
  const names = [
    ...studyFileNames(scores, options),
    ...heardFileNames(scores.map((s) => s.name), hearing),
    ...more.map((f) => f.name),
  ];
  await checkFolder(out, names, { reading });
  const entries = scores.map(({ name, score, texture = textureOf(score) }): ReportEntry => {
    return {
      score,
      texture,
      study: study(score, { name, texture, onStep: (step) => progress(`${name}: ${step}`) }),
    };
  });
  progress("engraving");
  const excerpts = await reportExcerpts(entries, request.advice ? { advise: true } : {});
  progress("writing the report");
  const changed = work && work.changes.length > 0 ? { changed: await beforeAndAfter(work) } : {};
  const inReport = await heardInReport(entries, hearing);
  const files = [...studyFiles(entries, { ...options, ...changed, ...inReport, excerpts }), ...more];
  const heard = await heardFiles(entries, { ...hearing, onStep: progress });
  const folder = await writeUnlessStopped(out, [...files, ...heard], reading);
  if (process.stderr.isTTY) progress("");
  for (const line of [...said, ...work?.said ?? []]) console.log(line);
  for (const entry of entries) printStudy(entry);
  if (entries.length > 1) printComparison(entries.map((e) => e.study));
  if (entries.length > 1 && options.versions) printVersions(entries[0]!, entries[1]!);
  printNotes(entries);
  printFolder(out, folder);
}

/** Surveys a folder; what is done is kept when it is stopped by hand. */
async function surveyFolder({ folder, ...how }: SurveyRequest, out: string): Promise<void> {
  const stop = new AbortController();
  const onSignal = () => stop.abort();
  for (const signal of STOP_SIGNALS) process.on(signal, onSignal);
  try {
    const options: SurveyOptions = { ...how, out, signal: stop.signal, onProgress: tellSurvey };
    checkSurvey(folder, options);
    const { runSurvey } = await import("./survey/run/run_survey.ts"); // no study waits for it
    const survey = await runSurvey(folder, options, async ({ recipes }) => surveyCharts(await recipes()));
    if (process.stderr.isTTY) progress("");
    printSurvey(survey, how.shard);
  } catch (error) {
    if (error !== stop.signal.reason) throw error;
    console.error("\nStopped. What is done is kept: the same command goes on from there.");
    process.exit(STOPPED);
  } finally {
    for (const signal of STOP_SIGNALS) process.off(signal, onSignal);
  }
}

const STOP_SIGNALS = ["SIGINT", "SIGTERM"] as const;

function tellSurvey({ done, total, failed, remainingSeconds }: SurveyProgress): void {
  const left = remainingSeconds === null || done === total
    ? ""
    : `, about ${inMinutes(remainingSeconds)} left`;
  const lost = failed > 0 ? `, ${failed} given up` : "";
  progressOf("survey", `${done} of ${counted(total, "score")} done${lost}${left}`, done === total);
}

function inMinutes(seconds: number): string {
  if (seconds < 90) return counted(Math.max(1, Math.round(seconds)), "second");
  return seconds < 5400
    ? counted(Math.round(seconds / 60), "minute")
    : counted(Math.round(seconds / 3600), "hour");
}

/** Scores of a survey that are printed; the tables have all. */
const PRINTED = 20;

function printSurvey({ folder, scores }: Survey, shard: SurveyRequest["shard"]): void {
  const read = scores.filter((s) => s.error === null);
  console.log(`\n${breakable(counted(scores.length, "score"))}, ${read.length} of them measured`);
  const shown = read.slice(0, PRINTED);
  if (shown.length > 0) {
    console.log(table(shown, [
      ["score", (s) => s.path],
      ["parts", (s) => String(s.parts)],
      ["bars", (s) => String(s.bars)],
      ["momentum", (s) => decimal(s.momentum, 2)],
      ["from the secondary parts", (s) => share(s.secondaryShare)],
      ["lead audible", (s) => share(s.audibleShare)],
      ["freshness", (s) => decimal(s.freshness, 2)],
      ["a lead lasts", (s) => decimal(s.medianLeadBars, 1)],
    ]));
  }
  if (read.length > shown.length) console.log(`… and ${read.length - shown.length} more in scores.csv`);
  for (const { path, error } of scores.filter((s) => s.error !== null).slice(0, PRINTED)) {
    console.log(`${path}: ${error}`);
  }
  console.log(
    shard === undefined
      ? `\nWritten: ${SURVEY_FILES.map((name) => join(folder, name)).join(", ")}, and charts in ${
        join(folder, "charts")
      }`
      : `\nShare ${shard.number} of ${shard.of} is done. When all are, put them together: study --survey with the same folders and no --shard.`,
  );
}

/** The files a command reads. */
function filesNamed(request: Request): readonly string[] {
  const { file, otherFile, orchestraFile, rewrite, wish, chords, roles, lines, soundFont, plans } = request;
  return [file, otherFile, orchestraFile, rewrite, wish, chords, roles, lines, soundFont, ...plans].filter((
    path,
  ) => path !== undefined);
}

/** What a shell expects of a program that was stopped by hand. */
const STOPPED = 130;

/** Writes the files; when stopped by hand meanwhile, leaves the folder as it was and ends. */
async function writeUnlessStopped(
  out: string,
  files: readonly FileToWrite[],
  reading: readonly string[],
): Promise<WrittenFolder> {
  const stop = new AbortController();
  const onSignal = () => stop.abort();
  process.on("SIGINT", onSignal);
  try {
    return await writeFolder(out, files, { reading, signal: stop.signal });
  } catch (error) {
    if (error !== stop.signal.reason) throw error;
    console.error(`Stopped. Nothing was written; ${out} stands as before.`);
    process.exit(STOPPED);
  } finally {
    process.off("SIGINT", onSignal);
  }
}

function printNotes(entries: readonly ReportEntry[]): void {
  console.log(
    "\nMomentum: driving attacks per second. Lead audible: what the lead keeps of its loudness under everything else.",
  );
  console.log(entries[0]!.study.playability.caution);
  if (entries.some((e) => e.study.playability.findings.length > 0)) {
    console.log(
      "Findings: what several parts stumble over in the same bars counts once; the report names them.",
    );
  }
  const { score } = entries[0]!;
  const notices = score.notices.filter((n) => !ofPlan(score).includes(n));
  if (notices.length > 0) {
    console.log(
      `Noticed in the file (${notices.length} ${notices.length === 1 ? "kind" : "kinds"}): ${
        notices.slice(0, 3).map((n) => `${n.what} × ${n.count}`).join("; ")
      }${notices.length > 3 ? "; …" : ""}`,
    );
  }
}

/** Folders in a study's folder whose files are counted, not named. */
const COUNTED_FOLDERS = { parts: "part", charts: "chart" } as const;

function printFolder(out: string, { paths, removed, kept }: WrittenFolder): void {
  const within = (name: string) => join(out, name);
  const isIn = (path: string, name: string) => path.startsWith(`${within(name)}${sep}`);
  const folders = Object.entries(COUNTED_FOLDERS);
  const single = paths.filter((path) => !folders.some(([name]) => isIn(path, name)));
  console.log(`\nWritten: ${single.join(", ")}`);
  for (const [name, what] of folders) {
    const count = paths.filter((path) => isIn(path, name)).length;
    if (count > 0) console.log(`Written: ${breakable(counted(count, what))} in ${within(name)}`);
  }
  if (removed.length > 0) {
    console.log(
      `Removed: ${
        breakable(counted(removed.length, "file"))
      } of an earlier study that this one does not have`,
    );
  }
  if (kept.length > 0) {
    console.log(
      `Kept from an earlier study, since changed or read: ${kept.slice(0, 5).map(within).join(", ")}${
        kept.length > 5 ? `, and ${kept.length - 5} more` : ""
      }`,
    );
  }
}

/**
 * The command line as a function, given the words after the program's name: does what is asked, prints, and sets the
 * exit code.
 */
export async function command(args: readonly string[]): Promise<void> {
  try {
    await run(args);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    if (process.stderr.isTTY) progress("");
    console.error(error.message);
    process.exitCode = BAD_INPUT;
  }
}

if (import.meta.main) await command(process.argv.slice(2));
