/**
 * The command line as a person uses it: real files, a temporary folder. Where rights, signals, pipes and the file system have
 * a say, in a process of its own by the words of the task; all else in one process that takes one command after the other.
 * What a study may touch is held in `study_test.ts`.
 */
import { zipSync } from "fflate";
import { assert, assertEquals, assertMatch, assertRejects, assertStringIncludes } from "@std/assert";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { readScore } from "../lib/formats/read_score.ts";
import { inFolder, treeOf } from "./formats/files/tree_of.ts";
import { commandProcess, type Ran } from "./setup/command_process.ts";
import { smallSoundFont } from "./setup/small_sound_font.ts";
import { STUDY_TASK } from "./setup/study_task.ts";

const MAIN = fileURLToPath(new URL("../lib/main.ts", import.meta.url));
const SPATE = fileURLToPath(new URL("../data/spate/", import.meta.url));
const PROJECT = fileURLToPath(new URL("../", import.meta.url));

/** Runs the command line in a process that has it loaded already. */
const ripieno = commandProcess();

/** Runs the command line as the task does: in a process of its own, with the rights of a study and no others. */
async function asTask(cwd: string, ...args: readonly string[]): Promise<Ran> {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: [...STUDY_TASK, ...args],
    cwd,
    env: { NO_COLOR: "1" },
  }).output();
  const text = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
  return { code, out: text(stdout), errors: text(stderr) };
}

const PLAN_HEAD = "passage,from_bar,to_bar,role,figure,parts,articulation,dynamic,octave,technique\n";
const NO_NOTES = `<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1">
<part-name>Flute</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes>
<divisions>1</divisions></attributes><note><rest/><duration>4</duration></note></measure></part></score-partwise>`;

/** A small finished score in three voices, without a chord symbol. */
const MILL =
  `X:1\nT:Mill\nM:4/4\nL:1/4\nQ:1/4=84\nK:F\nV:1 name="Violin"\nV:2 name="Viola"\nV:3 name="Cello"\n` +
  `V:1\nf2 c f | a3 g | f2 d f | g4 | a2 f c' | b3 g | a g f e | f4 |\n` +
  `V:2\nF4 | F4 | F4 | E4 | F4 | D4 | C4 | A,4 |\n` +
  `V:3\nF,4 | F,4 | B,,4 | C,4 | F,4 | G,,4 | C,4 | F,4 |\n`;

/** A short tune of our own over chords, and two plans for it. */
const BROOK =
  `X:1\nT:Brook\nM:4/4\nL:1/4\nQ:1/4=112\nK:G\nP:Spring\n"G" D2 G A | "Em" B3 G |\nP:Bridge\n"C" c2 B A | "D" A4 |\n`;
const STILL =
  `${PLAN_HEAD}Brook,1,4,lead,tune,Flute 1,,mf,,\nBrook,1,4,pad,held chord,Horns + Violas + Cellos,,p,,\n`;
const LIVELY =
  `${PLAN_HEAD}Brook,1,4,lead,tune,Oboe 1,,mf,,\nBrook,1,4,pulse,repeated eighths,Violins II + Violas,,p,,\n`;
const SETTING = ["study", "brook.abc", "--plan", "still.csv"] as const;
const TWO_SETTINGS = [...SETTING, "--plan", "lively.csv", "--parts"] as const;
const OF_BROOK = ["brook.abc", "lively.csv", "still.csv"];

/** Runs a test in a temporary folder where the short tune and its plans lie. */
function atTheBrook(work: (folder: string) => Promise<void>): Promise<void> {
  return inFolder(async (folder) => {
    await Deno.writeTextFile(join(folder, "brook.abc"), BROOK);
    await Deno.writeTextFile(join(folder, "still.csv"), STILL);
    await Deno.writeTextFile(join(folder, "lively.csv"), LIVELY);
    await work(folder);
  });
}

/** File to study, plan, and what the message must say. */
const BAD: readonly {
  readonly name: string;
  /** Contents by path; null for a folder. */
  readonly files: Readonly<Record<string, string | Uint8Array<ArrayBuffer> | null>>;
  readonly args: readonly string[];
  readonly says: readonly (string | RegExp)[];
  /** Whether it is tried as a task: one of each kind of refusal by the file system, which rights of a study could hide. */
  readonly asTask?: boolean;
}[] = [
  {
    name: "a name of a hundred thousand letters",
    files: {},
    args: ["study", `--${"x".repeat(100_000)}`],
    says: [/^.{1,300}$/, "Cannot understand the command", "Write: study"],
  },
  {
    name: "a missing file",
    files: {},
    args: ["study", "gone.musicxml"],
    says: ["gone.musicxml"],
    asTask: true,
  },
  {
    name: "a file that is not XML",
    files: { "notes.musicxml": "these are not notes" },
    args: ["study", "notes.musicxml"],
    says: ["notes.musicxml"],
  },
  {
    name: "broken XML",
    files: { "cut.musicxml": `<score-partwise><part-list>` },
    args: ["study", "cut.musicxml"],
    says: ["cut.musicxml"],
  },
  {
    name: "a truncated zipped score",
    files: { "cut.mxl": Uint8Array.from([0x50, 0x4b, 3, 4, 20, 0, 8, 0, 8, 0, 1, 2, 3]) },
    args: ["study", "cut.mxl"],
    says: ["cut.mxl"],
  },
  {
    name: "an empty MIDI file",
    files: { "empty.mid": Uint8Array.from([0x4d, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 1, 0, 0, 1, 0xe0]) },
    args: ["study", "empty.mid"],
    says: ["empty.mid"],
  },
  {
    name: "a score without notes",
    files: { "rests.xml": NO_NOTES },
    args: ["study", "rests.xml"],
    says: ["rests.xml", "no notes"],
  },
  {
    name: "an unknown instrument in a plan",
    files: { "p.csv": `${PLAN_HEAD}Calm,1,8,lead,tune,Theremin 2,,mf,,\n` },
    args: ["study", "--plan", "p.csv"],
    says: [`"Theremin 2" is not in the orchestra`, "p.csv, row 2, column parts", "Flute 1"],
  },
  {
    name: "a plan that names an instrument twice",
    files: {
      "p.csv":
        `${PLAN_HEAD}Calm,1,8,lead,tune,Flute 1,,mf,,\nCalm,1,8,pad,held chord,Flute 1 + Horn 1,,p,,\n`,
    },
    args: ["study", "--plan", "p.csv"],
    says: [`"Flute 1" has two roles in bar 1`, "row 3"],
  },
  {
    name: "a plan with a bar outside the sketch",
    files: { "p.csv": `${PLAN_HEAD}Calm,41,64,lead,tune,Flute 1,,mf,,\n` },
    args: ["study", "--plan", "p.csv"],
    says: ["bar 64", "row 2, column to_bar", "bars 1 to 48"],
  },
  {
    name: "a plan nobody can play",
    files: { "p.csv": `${PLAN_HEAD}Calm,1,8,lead,tune,Tuba,,mf,2,\n` },
    args: ["study", "--plan", "p.csv"],
    says: ["rule: range", "Tuba", /bar \d/],
  },
  {
    name: "a missing plan",
    files: {},
    args: ["study", "--plan", "gone.csv"],
    says: ["gone.csv", "no such file"],
  },
  {
    name: "a tempo that nobody plays",
    files: {},
    args: ["study", "--tempo", "quick"],
    says: ["--tempo", "quick", "4 to 1200", "Write: study"],
  },
  ...["14.12.10.8", "14.12.10.8.6.4", "many", "8.6.4.4.0", "8.6.4.4.1.5", "8.6.4.4.1e9"].map((sizes) => ({
    name: `string sections of ${sizes}`,
    files: {},
    args: ["study", "--strings", sizes],
    says: [`--strings is "${sizes}"`, "first violins", "14.12.10.8.6"],
  })),
  {
    name: "an unknown option",
    files: {},
    args: ["study", "--loud"],
    says: ["there is no option --loud. Write: study"],
    asTask: true,
  },
  {
    name: "an unknown letter",
    files: {},
    args: ["study", "-o", "x"],
    says: ["there is no option -o. Write"],
  },
  {
    name: "a word that is no command",
    files: {},
    args: ["sudy"],
    says: ['there is no command "sudy". Write'],
  },
  { name: "no command", files: {}, args: [], says: ["the command is missing. Write: study"] },
  {
    name: "a plan without its option",
    files: {},
    args: ["study", "tune.abc", "plan.csv"],
    says: ['"tune.abc" and "plan.csv" are 2 files', "write --plan before each plan"],
  },
  {
    name: "an option at the end",
    files: {},
    args: ["study", "--plan"],
    says: ["nothing follows --plan. Write"],
  },
  {
    name: "a switch with a value",
    files: {},
    args: ["study", "--parts=yes"],
    says: ["--parts takes no value"],
  },
  {
    name: "an option given twice",
    files: {},
    args: ["study", "--tempo", "90", "--tempo", "120"],
    says: ["--tempo is given twice"],
  },
  {
    name: "a wish without bars",
    files: {},
    args: ["study", "score.mxl", "--suggest", "fresher"],
    says: ["--suggest does not say for which bars", "--bars 33-40"],
  },
  {
    name: "bars that are none",
    files: {},
    args: ["study", "score.mxl", "--suggest", "fresher", "--bars", "the end"],
    says: ['--bars is "the end", not bars'],
  },
  {
    name: "wishes and a plan together",
    files: {},
    args: ["study", "score.mxl", "--plan", "p.csv", "--rewrite", "w.csv"],
    says: ["--plan and --rewrite do not go together"],
  },
  {
    name: "wishes insisted on, and none",
    files: {},
    args: ["study", "score.mxl", "--insist"],
    says: ["--insist is about wishes", "Give --rewrite"],
  },
  {
    name: "wishes for bars the score does not have",
    files: { "mill.abc": MILL, "w.csv": "from_bar,to_bar,parts,role\n3,40,Viola,rest\n" },
    args: ["study", "mill.abc", "--rewrite", "w.csv"],
    says: ["there is no bar 40", "numbered 1 to 8"],
  },
  {
    name: "bars for wishes that the score does not have",
    files: { "mill.abc": MILL, "w.csv": "from_bar,to_bar,parts,role\n3,4,Viola,rest\n" },
    args: ["study", "mill.abc", "--rewrite", "w.csv", "--bars", "30-40"],
    says: ["there is no bar 30", "numbered 1 to 8"],
  },
  {
    name: "lines of a sketch, and no plan",
    files: { "mill.abc": MILL, "l.csv": "" },
    args: ["study", "mill.abc", "--lines", "l.csv"],
    says: ["--lines are those of a sketch that is set by a plan, and there is none", "--plan or --wish"],
  },
  {
    name: "lines with a pitch that is none",
    files: {
      "mill.abc": MILL,
      "p.csv": `${PLAN_HEAD}Mill,1,8,lead,tune,Oboe 1,,mf,,\n`,
      "l.csv": "line,bar,beat,quarters,pitch\nbass line,1,1,2,H3\n",
    },
    args: ["study", "mill.abc", "--plan", "p.csv", "--lines", "l.csv"],
    says: ['"H3" is not a pitch (l.csv, row 2, column pitch)', "Bb3 or F#4"],
  },
  {
    name: "wishes with a word that is no figure",
    files: { "mill.abc": MILL, "w.csv": "from_bar,to_bar,parts,role,figure\n3,4,Viola,pulse,bouncing\n" },
    args: ["study", "mill.abc", "--rewrite", "w.csv"],
    says: ['"bouncing" is not a figure', "w.csv, row 2, column figure"],
  },
  {
    name: "chords that are none",
    files: { "mill.abc": MILL, "c.csv": "bar,beat,chord\n1,1,H7\n" },
    args: ["study", "mill.abc", "--chords", "c.csv"],
    says: ['"H7" is not a chord symbol', "c.csv, row 2, column chord"],
  },
  { name: "a folder of blanks", files: {}, args: ["study", "--out", "  "], says: ["--out has no name"] },
  {
    name: "an orchestra for a score that brings its own",
    files: {},
    args: ["study", "score.mxl", "--orchestra", "chamber"],
    says: ["--orchestra says who plays a plan, and there is none. Give --plan or --wish as well"],
  },
  {
    name: "a plan as JSON with a wrong word",
    files: {
      "p.json":
        '{"passages":[{"name":"Calm","fromBar":1,"toBar":8,"assignments":[{"role":"lead","parts":["Flute 1"],"dynamic":"loud"}]}]}',
    },
    args: ["study", "--plan", "p.json"],
    says: ['"loud" is not a dynamic (p.json, Calm, layer 1, field dynamic)'],
  },
  {
    name: "a plan as JSON that is broken",
    files: { "p.json": '{\n  "passages": [\n    { "name": "Calm"\n' },
    args: ["study", "--plan", "p.json"],
    says: ["the JSON is broken (p.json, row 4, column 1)"],
  },
  {
    name: "a plan as JSON for nobody in the orchestra",
    files: {
      "p.json":
        '{"passages":[{"name":"Calm","fromBar":1,"toBar":8,"assignments":[{"role":"lead","parts":["Theremin"]}]}]}',
    },
    args: ["study", "--plan", "p.json"],
    says: ['"Theremin" is not in the orchestra (p.json, Calm, layer 1, field parts)'],
  },
  {
    name: "an orchestra that is not there",
    files: { "p.csv": `${PLAN_HEAD}Calm,1,8,lead,tune,Flute 1,,mf,,\n` },
    args: ["study", "--plan", "p.csv", "--orchestra", "gone.csv"],
    says: ["Cannot read the orchestra: there is no such file (gone.csv)"],
  },
  {
    name: "an orchestra with an instrument nobody knows",
    files: {
      "p.csv": `${PLAN_HEAD}Calm,1,8,lead,tune,Flute 1,,mf,,\n`,
      "band.csv": "part,instrument,players\nFlute 1,flute,1\nSaw,musical saww,1\n",
    },
    args: ["study", "--plan", "p.csv", "--orchestra", "band.csv"],
    says: [
      'Cannot read the orchestra: "musical saww" is not in the catalogue (band.csv, row 3, column instrument)',
    ],
  },
  {
    name: "a plan for parts that one's own orchestra has not",
    files: {
      "p.csv": `${PLAN_HEAD}Calm,1,8,lead,tune,Flute 1,,mf,,\n`,
      "band.csv": "part;instrument\nFlute;flute\nOboe;oboe\n",
    },
    args: ["study", "--plan", "p.csv", "--orchestra", "band.csv"],
    says: ['"Flute 1" is not in the orchestra (p.csv, row 2, column parts). Its parts are Flute, Oboe'],
  },
  {
    name: "a folder for an orchestra",
    files: { "band.csv": null, "p.csv": `${PLAN_HEAD}Calm,1,8,lead,tune,Flute 1,,mf,,\n` },
    args: ["study", "--plan", "p.csv", "--orchestra", "band.csv"],
    says: ["it is a folder (band.csv)"],
  },
  {
    name: "an orchestra without a name",
    files: {},
    args: ["study", "--orchestra", " "],
    says: ["--orchestra has no name"],
  },
  {
    name: "an address on the net",
    files: {},
    args: ["study", "https://example.org/score.mxl"],
    says: ["this is an address on the net, not a file", "Save the file first"],
    asTask: true,
  },
  {
    name: "a tune in place of the plan",
    files: { "tune.abc": 'X:1\nM:4/4\nL:1/4\nK:C\n"C"c4|]\n' },
    args: ["study", "tune.abc", "--plan", "tune.abc"],
    says: ['it has no column "passage" (tune.abc, row 1). Its first row must name passage'],
  },
  {
    name: "an option that takes the next one for its value",
    files: {},
    args: ["study", "--plan", "--out", "here"],
    says: ["--plan is followed by --out, not by a value. Write: study"],
  },
  {
    name: "a folder without a name, as an unset variable gives it",
    files: {},
    args: ["study", "--out", ""],
    says: ["--out has no name"],
  },
  {
    name: "a folder for a score",
    files: { scores: null },
    args: ["study", "scores"],
    says: ["it is a folder (scores)"],
  },
  {
    name: "a folder for a plan",
    files: { "plan.csv": null },
    args: ["study", "--plan", "plan.csv"],
    says: ["it is a folder (plan.csv)"],
    asTask: true,
  },
  {
    name: "an empty score",
    files: { "new.musicxml": "" },
    args: ["study", "new.musicxml"],
    says: ["it is empty"],
  },
  {
    name: "an empty plan",
    files: { "new.csv": "" },
    args: ["study", "--plan", "new.csv"],
    says: ["it has no rows"],
  },
  {
    name: "a zip without a score",
    files: { "notes.mxl": zipSync({ "readme.txt": new Uint8Array(3) }) },
    args: ["study", "notes.mxl"],
    says: ["the archive holds no score (notes.mxl)"],
  },
  {
    name: "a web page in place of a score",
    files: { "page.musicxml": "<!doctype html><html><body>404</body></html>" },
    args: ["study", "page.musicxml"],
    says: ["the XML is broken", "page.musicxml"],
  },
  {
    name: "a tune without chords",
    files: {
      "tune.abc": "X:1\nM:4/4\nL:1/4\nK:C\nc4|]\n",
      "p.csv": `${PLAN_HEAD}All,1,1,lead,tune,Flute 1,,mf,,\n`,
    },
    args: ["study", "tune.abc", "--plan", "p.csv"],
    says: ["it has no chord symbols", "tune.abc"],
  },
  {
    name: "a file in place of the folder",
    files: { out: "mine" },
    args: ["study", "--out", "out"],
    says: ["a file stands where a folder is needed (out)"],
    asTask: true,
  },
  {
    name: "a file in place of a folder above the folder",
    files: { mine: "mine" },
    args: ["study", "--out", "mine/out/one"],
    says: ["a file stands where a folder is needed (mine/out/one)"],
    asTask: true,
  },
  {
    name: "a file of the user in the way of the report",
    files: { "report.html": "mine" },
    args: ["study", "--out", "."],
    says: ["report.html is there already and not from a study (.)", "move away what is yours"],
    asTask: true,
  },
  {
    name: "files of the user in the way of a setting",
    files: {
      "out/p.mid": "mine",
      "out/charts": "mine",
      "p.csv": `${PLAN_HEAD}Calm,1,8,lead,tune,Flute 1,,mf,,\n`,
    },
    args: ["study", "--plan", "p.csv"],
    says: ["p.mid is there already", "and 10 more files are in the way (out)"],
  },
  {
    name: "a folder in place of the report",
    files: { "out/report.html": null },
    args: ["study", "--out", "out"],
    says: ["a folder stands where the file report.html is to go (out)"],
  },
  {
    name: "a folder whose name no system takes",
    files: {},
    args: ["study", "--out", "x".repeat(300)],
    says: ["Choose another folder"],
    asTask: true,
  },
  ...(Deno.build.os === "windows" ? [] : [
    {
      name: "a score that never ends",
      files: {},
      args: ["study", "/dev/zero"],
      says: ["larger than 250 MB"],
      asTask: true,
    },
    {
      name: "a plan that never ends",
      files: {},
      args: ["study", "--plan", "/dev/zero"],
      says: ["larger than 10 MB (/dev/zero)"],
    },
  ]),
];

for (const bad of BAD) {
  Deno.test(`study refuses ${bad.name} in one clear message and writes nothing`, () =>
    inFolder(async (folder) => {
      for (const [name, content] of Object.entries(bad.files)) {
        const path = join(folder, name);
        await Deno.mkdir(dirname(path), { recursive: true });
        if (content === null) await Deno.mkdir(path, { recursive: true });
        else if (typeof content === "string") await Deno.writeTextFile(path, content);
        else await Deno.writeFile(path, content);
      }
      const ran = await (bad.asTask ? asTask : ripieno)(folder, ...bad.args);
      assertEquals(ran.code, 2, ran.errors);
      const message = ran.errors.trim().split("\n").at(-1)!;
      assertMatch(message, /^Cannot .+: .+\. .+\.$/);
      for (const words of bad.says) {
        if (typeof words === "string") assertStringIncludes(message, words);
        else assertMatch(message, words);
      }
      assert(!/\bat (file|async|Object)|\.ts:\d/.test(ran.errors), `a stack trace: ${ran.errors}`);
      const left = [...Deno.readDirSync(folder)].map((e) => e.name).sort();
      assertEquals(left, [...new Set(Object.keys(bad.files).map((path) => path.split("/")[0]!))].sort());
      // Nobody waits for a study that cannot be written.
      if (message.startsWith("Cannot write")) assert(!/measuring|weighing/.test(ran.errors), ran.errors);
    }));
}

Deno.test("study of the demo prints who leads and writes report, scores and tables", () =>
  inFolder(async (folder) => {
    const ran = await asTask(folder, "study", "--out", "here");
    assertEquals(ran.code, 0, ran.errors);
    for (
      const words of [
        "Calm water",
        "Open lake",
        "who leads",
        "Side by side",
        "players and their teachers decide",
      ]
    ) {
      assertStringIncludes(ran.out, words);
    }
    const names = [...Deno.readDirSync(join(folder, "here"))].map((e) => e.name).sort();
    for (
      const name of [
        "report.html",
        "bars.csv",
        "findings.csv",
        "moving_textures.musicxml",
        "moving_textures.mid",
      ]
    ) {
      assert(names.includes(name), `${name} is missing from ${names.join(", ")}`);
    }
  }));

Deno.test("study reads back what it wrote, and takes a sketch with plans", () =>
  atTheBrook(async (folder) => {
    const first = await ripieno(folder, ...SETTING, "--plan", "lively.csv");
    assertEquals(first.code, 0, first.errors);
    const again = await ripieno(folder, "study", "out/lively.musicxml", "--out", "again");
    assertEquals(again.code, 0, again.errors);
    assertMatch(again.out, /Brook +1–4 +Oboe 1 /);
    const midi = await ripieno(folder, "study", "out/lively.mid", "--out", "midi");
    assertEquals(midi.code, 0, midi.errors);
  }));

Deno.test("study writes wishes into a finished score, hands out only what is new, and says what changed", () =>
  inFolder(async (folder) => {
    await Deno.writeTextFile(join(folder, "mill.abc"), MILL);
    await Deno.writeTextFile(
      join(folder, "wishes.csv"),
      "parts,role,figure,dynamic\nViola,pulse,repeated eighths,p\n",
    );
    const ran = await asTask(
      folder,
      "study",
      "mill.abc",
      "--rewrite",
      "wishes.csv",
      "--bars",
      "3-4",
      "--parts",
    );
    assertEquals(ran.code, 0, ran.errors);
    assertStringIncludes(ran.out, "Viola, bars 3 to 4: repeated eighths instead of");
    assertMatch(ran.out, /What changed[\s\S]*3–4 +3–4 +changed/);
    assertEquals([...Deno.readDirSync(join(folder, "out", "parts", "rewritten"))].map((e) => e.name), [
      "Viola.musicxml",
    ]);
    const after = await readScore(join(folder, "out", "rewritten.musicxml"));
    const from = after.bars[2]!.startTicks;
    const viola = after.notes.filter((n) =>
      n.part === 1 && n.onsetTicks >= from && n.onsetTicks < after.bars[4]!.startTicks
    );
    assertEquals(viola.length, 16);
    // What was written can be taken up again, and held against what was there.
    const both = await ripieno(folder, "study", "mill.abc", "out/rewritten.musicxml", "--out", "both");
    assertEquals(both.code, 0, both.errors);
    assertMatch(both.out, /What changed[\s\S]*3–4 +3–4 +changed/);
    assertStringIncludes(await Deno.readTextFile(join(folder, "both", "report.html")), "What changed");
  }));

Deno.test("study seeks ways to meet a wish, and the best can be taken up as a table of wishes", () =>
  inFolder(async (folder) => {
    await Deno.writeTextFile(join(folder, "mill.abc"), MILL);
    const ran = await ripieno(folder, "study", "mill.abc", "--suggest", "move more", "--bars", "3-4");
    assertEquals(ran.code, 0, ran.errors);
    assertMatch(ran.out, /ways were tried in the notes.*; the best: /);
    assertMatch(ran.out, /gives: momentum [\d.]+ → [\d.]+/);
    const again = await ripieno(folder, "study", "mill.abc", "--rewrite", "out/wishes.csv", "--out", "again");
    assertEquals(again.code, 0, again.errors);
    assertEquals(
      await Deno.readTextFile(join(folder, "again", "rewritten.musicxml")),
      await Deno.readTextFile(join(folder, "out", "rewritten.musicxml")),
    );
  }));

Deno.test("study looks for plans that meet a table of wishes, sets them, and says which wishes cannot be had together", () =>
  atTheBrook(async (folder) => {
    const head = "passage,from_bar,to_bar,momentum,lead,rest";
    await Deno.writeTextFile(
      join(folder, "asked.csv"),
      `${head}\nSpring,1,2,1,Oboe 1,Violins I\nBridge,3,4,4,,\n`,
    );
    const ran = await asTask(folder, "study", "brook.abc", "--wish", "asked.csv", "--orchestra", "chamber");
    assertEquals(ran.code, 0, ran.errors);
    assertMatch(ran.out, /3 plans; the first .*scorings of 2 passages/);
    const plan = await Deno.readTextFile(join(folder, "out", "plan_1.csv"));
    assertMatch(plan, /^Spring,1,2,lead,tune,Oboe 1,/m);
    assert(!/^Spring,.*Violins I\b(?!I)/m.test(plan), plan);
    const reached = await Deno.readTextFile(join(folder, "out", "wishes_reached.csv"));
    assertMatch(reached, /^plan 1,Spring: Oboe 1 leads,Spring,,,yes$/m);
    // A plan that was found is a plan like any other.
    const again = await ripieno(
      folder,
      "study",
      "brook.abc",
      "--plan",
      "out/plan_1.csv",
      "--orchestra",
      "chamber",
      "--out",
      "again",
    );
    assertEquals(again.code, 0, again.errors);
    await Deno.writeTextFile(join(folder, "asked.csv"), `${head}\nSpring,1,2,1,Oboe 1,Oboe 1\n`);
    const none = await ripieno(
      folder,
      "study",
      "brook.abc",
      "--wish",
      "asked.csv",
      "--orchestra",
      "chamber",
      "--out",
      "none",
    );
    assertEquals(none.code, 2);
    assertStringIncludes(none.errors, '"Spring: Oboe 1 leads" and "Spring: Oboe 1 rests"');
    await assertRejects(() => Deno.stat(join(folder, "none")), Deno.errors.NotFound);
  }));

Deno.test("study writes a plan over a score without chord symbols, and takes its tables corrected by hand", () =>
  inFolder(async (folder) => {
    await Deno.writeTextFile(join(folder, "mill.abc"), MILL);
    const first = await ripieno(folder, "study", "mill.abc", "--out", "read");
    assertEquals(first.code, 0, first.errors);
    const plan = `${PLAN_HEAD}Mill,1,8,lead,tune,Oboe 1,,mf,,\nMill,1,8,pad,held chord,Horns,,p,,\n`;
    await Deno.writeTextFile(join(folder, "p.csv"), plan);
    const chords = (await Deno.readTextFile(join(folder, "read", "harmony.csv"))).split("\n");
    const at = chords[0]!.split(",").indexOf("chord");
    const edited = [
      chords[0]!,
      ...chords.slice(1).filter((l) => l !== "").map((line) => {
        const fields = line.split(",");
        if (fields[1] === "4") fields[at] = "C7";
        return fields.join(",");
      }),
    ].join("\n");
    await Deno.writeTextFile(join(folder, "chords.csv"), edited);
    const ran = await asTask(
      folder,
      ...["study", "mill.abc", "--plan", "p.csv", "--chords", "chords.csv", "--roles", "read/roles.csv"],
    );
    assertEquals(ran.code, 0, ran.errors);
    assertStringIncludes(ran.out, "Tune, lines and chords were read off the notes");
    const oboeIn = async (out: string) => {
      const setting = await readScore(join(folder, out, "p.musicxml"));
      return setting.notes.filter((n) => setting.parts[n.part]!.name === "Oboe 1")
        .slice(0, 3).map((n) => n.soundingPitch % 12);
    };
    assertEquals(await oboeIn("out"), [5, 0, 5]);
    const lines = await Deno.readTextFile(join(folder, "out", "sketch_lines.csv"));
    assertMatch(lines, /^bass line,/m);
    assertEquals((await readScore(join(folder, "out", "short_score.musicxml"))).parts[0]!.name, "Tune");
    await Deno.writeTextFile(join(folder, "lines.csv"), lines.replace(/^(tune,1,1,[\d.]+),\w+,/m, "$1,G4,"));
    const again = await ripieno(
      folder,
      ...["study", "mill.abc", "--plan", "p.csv", "--lines", "lines.csv", "--out", "again"],
    );
    assertEquals(again.code, 0, again.errors);
    assertEquals(await oboeIn("again"), [7, 0, 5]);
  }));

Deno.test("study takes another orchestra for its settings: fewer players, and no part it has not", () =>
  inFolder(async (folder) => {
    const plan = `${SPATE}plan_held.csv`;
    await Deno.writeTextFile(
      join(folder, "small.csv"),
      "passage,from_bar,to_bar,role,parts\nA,1,8,lead,Flute 1\nA,1,8,pad,Violins I + Violins II",
    );
    const small = ["study", `${SPATE}tune.abc`, "--plan", "small.csv"];
    const ran = await ripieno(folder, ...small, "--orchestra", "chamber", "--out", "one");
    assertEquals(ran.code, 0, ran.errors);
    const report = await Deno.readTextFile(join(folder, "one", "report.html"));
    assertStringIncludes(report.replaceAll("\u00a0", " "), "3, 15 players");
    const missing = await ripieno(
      folder,
      "study",
      `${SPATE}tune.abc`,
      "--plan",
      plan,
      "--orchestra",
      "strings",
    );
    assertEquals(missing.code, 2);
    assertStringIncludes(missing.errors, "is not in the orchestra");
    const unknown = await ripieno(folder, ...small, "--orchestra", "jazz");
    assertStringIncludes(unknown.errors, "symphony, chamber, strings, studio, school");
  }));

Deno.test("study takes a plan as JSON, with its name, tempo and players", () =>
  inFolder(async (folder) => {
    const plan = {
      name: "two of us",
      quartersPerMinute: 66,
      players: { "Violins I": 5 },
      passages: [{
        name: "Calm",
        fromBar: 1,
        toBar: 8,
        assignments: [{ role: "lead", parts: ["Flute 1"] }, {
          role: "pad",
          parts: ["Violins I"],
          dynamic: "p",
        }],
      }],
    };
    await Deno.writeTextFile(join(folder, "plan.json"), JSON.stringify(plan));
    const ran = await ripieno(folder, "study", `${SPATE}tune.abc`, "--plan", "plan.json", "--out", "one");
    assertEquals(ran.code, 0, ran.errors);
    assertStringIncludes(ran.out, "two of us: 2 parts");
    assertStringIncludes(ran.out, "♩ = 66");
    const score = await readScore(join(folder, "one", "two_of_us.musicxml"));
    assertEquals(score.parts.map((p) => p.name), ["Flute 1", "Violins I"]);
  }));

Deno.test("study says what it changed for a clear lead, and in which setting", () =>
  inFolder(async (folder) => {
    const plan =
      "passage,from_bar,to_bar,role,parts,dynamic,octave,balance\nA,1,8,lead,Flute 1,f,0,lead clear\n" +
      "A,1,8,pad,Horns + Trombones,f,,\n";
    await Deno.writeTextFile(join(folder, "plan.csv"), plan);
    const ran = await ripieno(folder, "study", `${SPATE}tune.abc`, "--plan", "plan.csv", "--out", "one");
    assertEquals(ran.code, 0, ran.errors);
    assertMatch(
      ran.out,
      /^A: to clear the lead, .*the pad \(Horns \+ Trombones\) \w+ instead of f; the lead keeps/m,
    );
    assert(!ran.out.includes("Noticed in the file"), ran.out);
  }));

Deno.test("study takes an orchestra of one's own from a table, keeps the table, and reads nothing beside it", () =>
  inFolder(async (folder) => {
    const band = "part,instrument,players\nWhistle,Blockflöte,1\nBows,violini,3\n";
    await Deno.writeTextFile(join(folder, "band.csv"), band);
    const plan = "passage,from_bar,to_bar,role,parts,octave\nA,1,8,lead,Whistle,\nA,1,8,pad,Bows,\n";
    await Deno.writeTextFile(join(folder, "plan.csv"), plan);
    const setting = ["study", `${SPATE}tune.abc`, "--plan", "plan.csv", "--orchestra"];
    const ran = await asTask(folder, ...setting, "band.csv", "--out", ".");
    assertEquals(ran.code, 0, ran.errors);
    const score = await readScore(join(folder, "plan.musicxml"));
    assertEquals(score.parts.map((p) => [p.name, p.instrument]), [["Whistle", "recorder"], [
      "Bows",
      "violin",
    ]]);
    assertEquals(await Deno.readTextFile(join(folder, "band.csv")), band);
  }));

Deno.test("study takes another tempo than the file's, for a score and for settings", () =>
  atTheBrook(async (folder) => {
    const read = await ripieno(folder, "study", "brook.abc", "--tempo", "61.5", "--out", "one");
    assertEquals(read.code, 0, read.errors);
    assertStringIncludes(read.out, "♩ = 61.5");
    const set = await ripieno(folder, ...SETTING, "--tempo", "61.5", "--out", "two");
    assertEquals(set.code, 0, set.errors);
    assertStringIncludes(set.out, "♩ = 61.5");
  }));

Deno.test("study seats as many strings as it is told, in a score and in settings", () =>
  inFolder(async (folder) => {
    const tune =
      `X:1\nM:4/4\nL:1/4\nK:C\nV:1 name="Violin I"\nC D E F |]\nV:2 name="Violin II"\nE F G A |]\n`;
    await Deno.writeTextFile(join(folder, "duet.abc"), tune);
    const playersIn = async (...args: readonly string[]) => {
      const ran = await ripieno(folder, "study", ...args, "--out", "one");
      assertEquals(ran.code, 0, ran.errors);
      return /(\d+) players/.exec(
        (await Deno.readTextFile(join(folder, "one/report.html"))).replace("\u00a0", " "),
      )?.[1];
    };
    assertEquals(await playersIn("duet.abc"), "24");
    assertEquals(await playersIn("duet.abc", "--strings", "7.5.1.1.1"), "12");
    const plan = "passage,from_bar,to_bar,role,parts\nAll,1,8,lead,Violins I\nAll,1,8,bass,Cellos\n";
    await Deno.writeTextFile(join(folder, "plan.csv"), plan);
    const setting = [`${SPATE}tune.abc`, "--plan", "plan.csv", "--orchestra", "strings"];
    assertEquals(await playersIn(...setting, "--strings", "7.2.2.5.1"), "12");
  }));

Deno.test("study writes every part as a file of its own when asked, and each can be read", () =>
  atTheBrook(async (folder) => {
    const ran = await ripieno(folder, ...SETTING, "--parts", "--out", "one");
    assertEquals(ran.code, 0, ran.errors);
    const parts = [...Deno.readDirSync(join(folder, "one", "parts"))].map((e) => e.name).sort();
    const whole = await readScore(join(folder, "one", "still.musicxml"));
    assertEquals(parts.length, whole.parts.length);
    assertStringIncludes(ran.out, `${parts.length} parts in one/parts`);
    let notes = 0;
    for (const name of parts) {
      const part = await readScore(join(folder, "one", "parts", name)).catch((error: unknown) => {
        // A part that rests throughout is a page of rests, which is refused as a score.
        assertMatch(String(error), /holds no notes/);
      });
      if (!part) continue;
      assertEquals(part.parts.length, 1, name);
      notes += part.notes.length;
    }
    assertEquals(notes, whole.notes.length);
  }));

/** A tune of one bar for an instrument nobody knows, without a tempo. */
const STRANGE = `<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1">
<part-name>Zorgophon</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes>
<divisions>1</divisions></attributes><note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note>
</measure></part></score-partwise>`;

Deno.test("study says plainly what it assumes, and counts one thing as one", () =>
  inFolder(async (folder) => {
    await Deno.writeTextFile(join(folder, "strange ähm.musicxml"), STRANGE);
    const ran = await ripieno(folder, "study", "strange ähm.musicxml");
    assertEquals(ran.code, 0, ran.errors);
    assertStringIncludes(ran.out, ": 1 part, 1 note, 1 bar, tempo assumed, ♩ = 120\n");
    assertStringIncludes(
      ran.out,
      "Zorgophon: instrument not known, treated as clarinet in Bb; its range is not judged.",
    );
    assert(!/bars? 1–1\b/.test(ran.out), ran.out);
    const known = await ripieno(folder, "study", `${SPATE}tune.abc`, "--out", "known");
    assertStringIncludes(known.out, "♩ = 132\n");
    assert(!known.out.includes("assumed"), known.out);
  }));

Deno.test("study takes a plan as older spreadsheets save it, in the code page of Western Europe or in UTF-16", () =>
  inFolder(async (folder) => {
    const plan = `${PLAN_HEAD}Überleitung,1,48,lead,tune,Flute 1,,mf,,\n`;
    await Deno.writeFile(join(folder, "old.csv"), Uint8Array.from(plan, (letter) => letter.charCodeAt(0)));
    const wide = new Uint8Array(Uint16Array.from(`\ufeff${plan}`, (letter) => letter.charCodeAt(0)).buffer);
    await Deno.writeFile(join(folder, "wide.csv"), wide);
    const ran = await ripieno(folder, "study", "--plan", "old.csv", "--plan", "wide.csv");
    assertEquals(ran.code, 0, ran.errors);
    const rows = (await Deno.readTextFile(join(folder, "out", "summary.csv"))).trim().split("\r\n");
    assertEquals(rows.slice(1).map((r) => r.split(",").slice(0, 2)), [
      ["old", "Überleitung"],
      ["wide", "Überleitung"],
    ]);
  }));

Deno.test(
  "study reads a score from a pipe",
  { ignore: Deno.build.os === "windows" },
  () =>
    inFolder(async (folder) => {
      const { code } = await new Deno.Command("sh", {
        args: ["-c", `cat "${SPATE}tune.abc" | "$0" "$@" study /dev/stdin`, Deno.execPath(), ...STUDY_TASK],
        cwd: folder,
        env: { NO_COLOR: "1" },
      }).output();
      assertEquals(code, 0);
      assert((await Deno.stat(join(folder, "out", "report.html"))).isFile);
    }),
);

Deno.test("study tells two plans of one name apart by their folders, and by number where they stand in one", () =>
  atTheBrook(async (folder) => {
    for (const place of ["first", "second"]) {
      await Deno.mkdir(join(folder, place));
      await Deno.writeTextFile(join(folder, place, "plan.csv"), STILL);
    }
    const plans = (...paths: readonly string[]) => paths.flatMap((path) => ["--plan", path]);
    const ran = await ripieno(
      folder,
      "study",
      "brook.abc",
      ...plans("first/plan.csv", "second/plan.csv", "second/plan.csv"),
    );
    assertEquals(ran.code, 0, ran.errors);
    const rows = (await Deno.readTextFile(join(folder, "out", "comparison.csv"))).trim().split("\r\n");
    assertEquals(rows.map((r) => r.split(",")[0]), [
      "setting",
      "first/plan",
      "second/plan 1",
      "second/plan 2",
    ]);
  }));

Deno.test("study called as a task takes files as seen from where it was called", () =>
  inFolder(async (folder) => {
    await Deno.copyFile(`${SPATE}tune.abc`, join(folder, "solo.abc"));
    const run = async (cwd: string, called: string): Promise<number> => {
      const { code } = await new Deno.Command(Deno.execPath(), {
        args: [...STUDY_TASK, "study", "solo.abc", "--out", "mine"],
        cwd,
        env: { NO_COLOR: "1", INIT_CWD: called },
      }).output();
      return code;
    };
    assertEquals(await run(PROJECT, folder), 0);
    assert((await Deno.stat(join(folder, "mine", "report.html"))).isFile);
    await Deno.remove(join(folder, "mine"), { recursive: true });
    // Not a task: whoever started this process may have left the variable behind.
    assertEquals(await run(folder, PROJECT), 0);
    assert((await Deno.stat(join(folder, "mine", "report.html"))).isFile);
  }));

/** Names of everything below a folder, without the study's own list. */
async function namesIn(folder: string): Promise<readonly string[]> {
  return Object.keys(await treeOf(folder)).filter((name) => name !== ".ripieno.json").toSorted();
}

Deno.test("study into the folder of an earlier one leaves nothing stale, says what went and what it kept", () =>
  atTheBrook(async (folder) => {
    const clean = await ripieno(folder, ...SETTING, "--out", "clean");
    assertEquals(clean.code, 0, clean.errors);
    const parts = await ripieno(folder, ...TWO_SETTINGS);
    assertStringIncludes(parts.out, " in out/parts");
    const lively = await asTask(folder, "study", "brook.abc", "--plan", "lively.csv");
    assertEquals(lively.code, 0, lively.errors);
    assertMatch(lively.out, /Removed: \d+ files of an earlier study that this one does not have/);
    await Deno.writeTextFile(join(folder, "out", "my notes.txt"), "mine");
    await Deno.writeTextFile(join(folder, "out", "lively.musicxml"), "with bowings");
    const again = await ripieno(folder, ...SETTING);
    assertEquals(again.code, 0, again.errors);
    assertStringIncludes(again.out, "since changed or read: out/lively.musicxml\n");
    assertEquals(
      await namesIn(join(folder, "out")),
      [...await namesIn(join(folder, "clean")), "my notes.txt", "lively.musicxml"].toSorted(),
    );
    // What it wrote is studied where it lies: it stays, and is told of.
    const read = await ripieno(folder, "study", "out/still.musicxml");
    assertEquals(read.code, 0, read.errors);
    assertStringIncludes(read.out, "out/still.musicxml");
    assert((await Deno.stat(join(folder, "out", "still.musicxml"))).isFile);
    await readScore(join(folder, "out", "still.musicxml"));
  }));

Deno.test("study into the folder one is in writes beside one's own files and takes only its own away", () =>
  atTheBrook(async (folder) => {
    const first = await ripieno(folder, ...SETTING, "--parts", "--out", ".");
    assertEquals(first.code, 0, first.errors);
    assertStringIncludes(first.out, "Written: report.html, still.musicxml");
    assertMatch(first.out, /Written: \d+ parts in parts\n/);
    const second = await asTask(folder, "study", "brook.abc", "--out", "./");
    assertEquals(second.code, 0, second.errors);
    const names = await namesIn(folder);
    assert(OF_BROOK.every((name) => names.includes(name)) && names.includes("charts/momentum.svg"));
    assert(!names.some((name) => /^still\.m|^parts/.test(name)), names.join());
  }));

Deno.test("study refuses a folder it may not write to before it reads anything", () =>
  inFolder(async (folder) => {
    const { code, stderr } = await new Deno.Command("deno", {
      args: [
        "run",
        "--quiet",
        "--no-prompt",
        "--allow-read",
        "--allow-env",
        `--allow-write=${folder}/mine`,
        MAIN,
        "study",
      ],
      cwd: folder,
      env: { NO_COLOR: "1" },
    }).output();
    const said = new TextDecoder().decode(stderr);
    assertEquals(code, 2, said);
    assertEquals(said.trim().split("\n").length, 1, said);
    assertStringIncludes(said, "this folder may not be written to (out)");
    assertEquals(await namesIn(folder), []);
  }));

Deno.test("two studies at once into one folder: one of them stands whole", () =>
  atTheBrook(async (folder) => {
    const ran = await Promise.all([asTask(folder, ...SETTING), asTask(folder, ...TWO_SETTINGS)]);
    assertEquals(ran.map((r) => r.code), [0, 0], ran.map((r) => r.errors).join());
    const whole = await Promise.all([SETTING, TWO_SETTINGS].map(async (words, i) => {
      await ripieno(folder, ...words, "--out", `whole ${i}`);
      return await namesIn(join(folder, `whole ${i}`));
    }));
    const names = await namesIn(join(folder, "out"));
    assert(whole.some((each) => each.join() === names.join()), names.join());
    const left = [...Deno.readDirSync(folder)].map((e) => e.name).toSorted();
    assertEquals(left, [...OF_BROOK, "out", "whole 0", "whole 1"].toSorted());
  }));

Deno.test(
  "study stopped by hand, or killed, leaves the folder as it was or whole, and nothing after the next",
  { ignore: Deno.build.os === "windows" },
  () =>
    atTheBrook(async (folder) => {
      const whole = await ripieno(folder, ...SETTING, "--out", "whole");
      assertEquals(whole.code, 0, whole.errors);
      const names = await namesIn(join(folder, "whole"));
      for (const [round, signal] of (["SIGINT", "SIGKILL", "SIGINT", "SIGKILL"] as const).entries()) {
        const process = new Deno.Command("deno", {
          args: ["run", "-A", "--quiet", MAIN, ...SETTING],
          cwd: folder,
          env: { NO_COLOR: "1" },
          stdout: "null",
          stderr: "piped",
        }).spawn();
        const said = await untilSaid(process.stderr, "writing the report");
        await new Promise((resolve) => setTimeout(resolve, 40 * round));
        try {
          process.kill(signal);
        } catch {
          // It has ended already.
        }
        await process.status;
        await said.cancel();
        const stands = await treeOf(folder);
        assert(
          !Object.hasOwn(stands, "out/") || names.every((name) => Object.hasOwn(stands, `out/${name}`)),
          Object.keys(stands).join(),
        );
      }
      const ran = await ripieno(folder, ...SETTING);
      assertEquals(ran.code, 0, ran.errors);
      assertEquals(await namesIn(join(folder, "out")), names);
      const left = [...Deno.readDirSync(folder)].map((e) => e.name).toSorted();
      assertEquals(left, [...OF_BROOK, "out", "whole"].toSorted());
    }),
);

/** Reads what a process says until it has said some words; the reader reads on. */
async function untilSaid(
  stream: ReadableStream<Uint8Array<ArrayBuffer>>,
  words: string,
): Promise<ReadableStreamDefaultReader<Uint8Array<ArrayBuffer>>> {
  const reader = stream.getReader();
  let said = "";
  while (!said.includes(words)) {
    const { value, done } = await reader.read();
    if (done) break;
    said += new TextDecoder().decode(value);
  }
  return reader;
}

Deno.test("a score is heard with the rights of a study alone: sound, a SoundFont of one's own, a page to listen to", async () => {
  await inFolder(async (folder) => {
    await Deno.writeTextFile(join(folder, "mill.abc"), MILL);
    await Deno.writeFile(join(folder, "three.sf2"), smallSoundFont());
    await Deno.writeTextFile(join(folder, "no.sf2"), "no bank");
    const played = ["study", "mill.abc", "--bars", "1-2", "--sound-font", "three.sf2"];
    const { code, errors } = await asTask(folder, ...played, "--listen", "--wav", "--out", "heard");
    assertEquals(code, 0, errors);
    const bytes = await Deno.readFile(join(folder, "heard/Mill.wav"));
    assertEquals(new TextDecoder().decode(bytes.subarray(0, 4)), "RIFF");
    const page = await Deno.readTextFile(join(folder, "heard/listen.html"));
    assertStringIncludes(page, "SoundFont three sounds");
    const report = await Deno.readTextFile(join(folder, "heard/report.html"));
    assertStringIncludes(report, 'href="listen.html"');
    assertStringIncludes(report, "<audio controls");
    for (
      const [words, says] of [
        [["study", "mill.abc", "--sound", "--sound-font", "no.sf2"], "it is no SoundFont"],
        [["study", "mill.abc", "--sound", "--sound-font", "gone.sf2"], "there is no such file"],
        [["study", "mill.abc", "--sound-font", "three.sf2"], "Add --sound or --listen"],
      ] as const
    ) {
      const refused = await ripieno(folder, ...words, "--out", "none");
      assertEquals(refused.code, 2);
      assertStringIncludes(refused.errors, says);
      assertEquals(await Deno.stat(join(folder, "none")).catch(() => undefined), undefined);
    }
  });
});
