/** What the command line was asked for. Loads nothing of the library, so that a process that only starts another can read it. */
import { parseArgs } from "node:util";
import { InputError } from "./base/errors.ts";
import { isTempo, TEMPO_RANGE } from "./score/tempo_range.ts";

/** What the command line is asked for. */
export interface Request {
  /** A score or a sketch; none for the demo. */
  readonly file: string | undefined;
  /** Another version of the score, to be held against it. */
  readonly otherFile: string | undefined;
  /** Many scores instead of one: the folder above them, and how they are gone through. */
  readonly survey?: SurveyRequest | undefined;
  /** A table of wishes by which the score is rewritten. */
  readonly rewrite: string | undefined;
  /** Whether wishes that would be heard as something else are written all the same. */
  readonly insist: boolean;
  /** What is wished of a passage, for which ways are sought. */
  readonly suggest: string | undefined;
  /** A table of wishes for plans that are looked for. */
  readonly wish: string | undefined;
  /** Bars that wishes, and sound, are about, as printed. */
  readonly bars: { readonly fromBar: number; readonly toBar: number } | undefined;
  /** A table of chords that hold in place of those read off the notes. */
  readonly chords: string | undefined;
  /** A table that says who does what, where that is not as it was read. */
  readonly roles: string | undefined;
  /** A table of the lines of the sketch that a plan is written over, in place of those that were read. */
  readonly lines: string | undefined;
  readonly plans: readonly string[];
  /** Name of the orchestra that plays a plan; by default the symphony orchestra, unless a table of one is given. */
  readonly orchestra: string | undefined;
  /** A table of the orchestra that plays a plan. */
  readonly orchestraFile: string | undefined;
  /** Quarter notes a minute in place of the file's. */
  readonly tempo: number | undefined;
  /** Players of first and second violins, violas, cellos and double basses, in place of the usual ones. */
  readonly strings: StringPlayers | undefined;
  /** Whether each part is written as a file of its own. */
  readonly parts: boolean;
  /** Whether a deck of slides is written too. */
  readonly slides: boolean;
  /** Whether a condensed score is written too. */
  readonly condensed: boolean;
  /** Whether two wind players of a kind share a stave of the score. */
  readonly pairs: boolean;
  /** Whether finished scores are advised on, too. */
  readonly advice: boolean;
  /** Whether every score is written as sound too, and as what. */
  readonly sound: "mp3" | "wav" | undefined;
  /** A SoundFont whose sounds are heard in place of the library's own. */
  readonly soundFont: string | undefined;
  /** Whether a page to listen to is written too. */
  readonly listen: boolean;
  readonly out: string;
}

/** A survey that is asked for. */
export interface SurveyRequest {
  /** The folder with the scores. */
  readonly folder: string;
  /** One of several shares, from 1. */
  readonly shard?: { readonly number: number; readonly of: number };
  /** Seconds that one score may take. */
  readonly secondsPerScore?: number;
  /** Megabytes that the program may take. */
  readonly megabytes?: number;
  /** Scores worked on at a time. */
  readonly workers?: number;
}

/** Players of the five string sections, from the first violins down. */
export type StringPlayers = readonly [number, number, number, number, number];

/** Options of the command, as the command line's parser takes them. */
const OPTIONS = {
  survey: { type: "string" },
  shard: { type: "string" },
  "seconds-per-score": { type: "string" },
  megabytes: { type: "string" },
  workers: { type: "string" },
  plan: { type: "string", multiple: true },
  rewrite: { type: "string" },
  suggest: { type: "string" },
  wish: { type: "string" },
  bars: { type: "string" },
  chords: { type: "string" },
  roles: { type: "string" },
  lines: { type: "string" },
  orchestra: { type: "string" },
  tempo: { type: "string" },
  strings: { type: "string" },
  insist: { type: "boolean" },
  parts: { type: "boolean" },
  condensed: { type: "boolean" },
  slides: { type: "boolean" },
  pairs: { type: "boolean" },
  advice: { type: "boolean" },
  sound: { type: "boolean" },
  wav: { type: "boolean" },
  listen: { type: "boolean" },
  "sound-font": { type: "string" },
  out: { type: "string" },
  help: { type: "boolean", short: "h" },
} as const;

/** Options that are followed by a word. */
type TextOption =
  | "survey"
  | "shard"
  | "seconds-per-score"
  | "megabytes"
  | "workers"
  | "orchestra"
  | "tempo"
  | "strings"
  | "out"
  | "rewrite"
  | "suggest"
  | "wish"
  | "bars"
  | "sound-font"
  | "chords"
  | "roles"
  | "lines";

/** Most players of a section that are believed. */
const MOST_PLAYERS = 200;

function misunderstood(
  problem: string,
  remedy =
    "Write: study [FILE] [FILE] [--plan PLAN] [--rewrite WISHES [--insist]] [--suggest WISH --bars BARS] [--wish WISHES] [--orchestra NAME or TABLE] [--tempo QUARTERS] [--parts] [--condensed] [--pairs] [--slides] [--sound] [--listen] [--sound-font FILE] [--out FOLDER]",
): InputError {
  return new InputError({ action: "understand the command", problem, remedy });
}

/** Reads the words of the command line, those after the program's name. */
export function readRequest(args: readonly string[]): Request | "help" {
  const { values, positionals, tokens } = parseArgs({
    args: [...args],
    allowPositionals: true,
    strict: false, // its own refusals are not meant for musicians
    tokens: true,
    options: OPTIONS,
  });
  if (values.help === true) return "help";
  const problem = optionProblem(tokens.filter((token) => token.kind === "option"));
  if (problem !== undefined) throw misunderstood(problem);
  // What has passed is text where text is asked for.
  const given = values as { readonly [K in TextOption]?: string } & { plan?: string[] };
  const [command, file, otherFile, ...more] = positionals;
  if (command !== "study") {
    throw misunderstood(
      command === undefined ? "the command is missing" : `there is no command "${command}"`,
    );
  }
  if (more.length > 0 || /\.(csv|json)$/i.test(otherFile ?? "")) {
    throw misunderstood(
      `"${file}" and "${otherFile}" are ${more.length + 2} files`,
      "Name one score or sketch, or two versions of a score; write --plan before each plan, and quotes around names with spaces",
    );
  }
  const { plan: plans = [], out = "out" } = given;
  if (out.trim() === "") throw misunderstood("the folder of --out has no name");
  const survey = surveyOf(given, { positionals, options: [...new Set(optionsGiven(tokens))] });
  const tempo = given.tempo === undefined ? undefined : Number(given.tempo);
  if (tempo !== undefined && !isTempo(tempo)) {
    throw misunderstood(`--tempo is "${given.tempo}", not a tempo ${TEMPO_RANGE}`);
  }
  if (given.orchestra !== undefined && file !== undefined && plans.length === 0 && given.wish === undefined) {
    throw misunderstood(
      "--orchestra says who plays a plan, and there is none",
      "Give --plan or --wish as well, or leave --orchestra out: a score brings its own orchestra",
    );
  }
  const desk = deskOf(given, { file, otherFile, plans });
  return {
    file,
    otherFile,
    survey,
    ...desk,
    plans,
    ...orchestraOf(given.orchestra),
    tempo,
    strings: given.strings === undefined ? undefined : stringPlayers(given.strings),
    insist: insistsOn(values.insist, given.rewrite),
    parts: values.parts === true,
    condensed: values.condensed === true,
    slides: values.slides === true,
    pairs: values.pairs === true,
    advice: values.advice === true,
    ...heardOf(given, values),
    out,
  };
}

/** Whether wishes are insisted on; refuses it where there are none. */
function insistsOn(insist: unknown, rewrite: string | undefined): boolean {
  if (insist === true && rewrite === undefined) {
    throw misunderstood("--insist is about wishes, and there are none", "Give --rewrite WISHES as well");
  }
  return insist === true;
}

/** What is to be heard, and of what sounds. */
function heardOf(
  given: { readonly [K in TextOption]?: string },
  values: { readonly listen?: unknown; readonly wav?: unknown; readonly sound?: unknown },
): Pick<Request, "listen" | "sound" | "soundFont"> {
  const listen = values.listen === true;
  const sound = values.wav === true ? "wav" : values.sound === true ? "mp3" : undefined;
  const soundFont = given["sound-font"];
  if (soundFont !== undefined && sound === undefined && !listen) {
    throw misunderstood(
      "--sound-font says what plays, and nothing is to be heard",
      "Add --sound or --listen",
    );
  }
  return { listen, sound, soundFont };
}

/** Names of the options given. */
function optionsGiven(
  tokens: readonly { readonly kind: string; readonly name?: string }[],
): readonly string[] {
  return tokens.filter((token) => token.kind === "option").map((token) => token.name!);
}

/** Options that go with a survey, and those that say how it is gone through. */
const OF_SURVEYS = ["shard", "seconds-per-score", "megabytes", "workers"];

/** The survey that is asked for; refuses what does not go with it. */
function surveyOf(
  given: { readonly [K in TextOption]?: string },
  { positionals, options }: { readonly positionals: readonly string[]; readonly options: readonly string[] },
): SurveyRequest | undefined {
  const { survey: folder, shard, megabytes, workers } = given;
  const secondsPerScore = given["seconds-per-score"];
  if (folder === undefined) {
    const alone = options.find((name) => OF_SURVEYS.includes(name));
    if (alone === undefined) return undefined;
    throw misunderstood(`--${alone} is about a survey`, "Add --survey FOLDER");
  }
  if (folder.trim() === "") throw misunderstood("the folder of --survey has no name");
  const other = options.find((name) => !["survey", "out", ...OF_SURVEYS].includes(name));
  if (other !== undefined || positionals.length > 1) {
    throw misunderstood(
      `--survey does not go with ${other === undefined ? `"${positionals[1]}"` : `--${other}`}`,
      "Write: study --survey FOLDER [--out FOLDER] [--shard I/N] [--workers N] [--seconds-per-score N] [--megabytes N]",
    );
  }
  return {
    folder,
    ...(shard === undefined ? {} : { shard: shardOf(shard) }),
    ...(secondsPerScore === undefined
      ? {}
      : { secondsPerScore: figureOf("seconds-per-score", secondsPerScore) }),
    ...(megabytes === undefined ? {} : { megabytes: figureOf("megabytes", megabytes) }),
    ...(workers === undefined ? {} : { workers: figureOf("workers", workers) }),
  };
}

/** A share such as `2/3`. */
function shardOf(text: string): NonNullable<SurveyRequest["shard"]> {
  const [, number, of] = /^\s*(\d{1,6})\s*\/\s*(\d{1,6})\s*$/.exec(text) ?? [];
  const shard = { number: Number(number), of: Number(of) };
  if (number !== undefined && shard.number >= 1 && shard.number <= shard.of) return shard;
  throw misunderstood(
    `--shard is "${text}", not a share`,
    "Write which one of how many, from 1, such as 2/3",
  );
}

/** The figure of an option, above 0; what makes no sense beyond that is refused by the survey itself. */
function figureOf(option: string, text: string): number {
  const figure = Number(text);
  if (text.trim() !== "" && Number.isFinite(figure) && figure > 0) return figure;
  throw misunderstood(`--${option} is "${text}", not a figure above 0`, "Write a number, such as 60");
}

/** What is asked for a finished score; refuses what does not go together. */
function deskOf(
  { rewrite, suggest, wish, bars, chords, roles, lines }: { readonly [K in TextOption]?: string },
  { file, otherFile, plans }: Pick<Request, "file" | "otherFile" | "plans">,
): Pick<Request, "rewrite" | "suggest" | "wish" | "bars" | "chords" | "roles" | "lines"> {
  const asked = [
    ...(plans.length > 0 ? ["--plan"] : []),
    ...(rewrite === undefined ? [] : ["--rewrite"]),
    ...(suggest === undefined ? [] : ["--suggest"]),
    ...(wish === undefined ? [] : ["--wish"]),
    ...(otherFile === undefined ? [] : ["a second score"]),
  ];
  if (asked.length > 1) {
    throw misunderstood(`${asked[0]} and ${asked[1]} do not go together`, "Ask for one of them at a time");
  }
  if (file === undefined && (rewrite ?? suggest) !== undefined) {
    throw misunderstood(`${asked[0]} needs a score`, "Name a finished score before it");
  }
  if (suggest !== undefined && bars === undefined) {
    throw misunderstood("--suggest does not say for which bars", "Add --bars, for example --bars 33-40");
  }
  if (lines !== undefined && (file === undefined || plans.length === 0 && wish === undefined)) {
    throw misunderstood(
      "--lines are those of a sketch that is set by a plan, and there is none",
      "Name a sketch or a score, and give --plan or --wish as well",
    );
  }
  return {
    rewrite,
    suggest,
    wish,
    bars: bars === undefined ? undefined : barsOf(bars),
    chords,
    roles,
    lines,
  };
}

/** Bars such as `33-40`, or one bar. */
function barsOf(text: string): NonNullable<Request["bars"]> {
  const [, from, to] = /^\s*(\d{1,6})(?:\s*[-–]\s*(\d{1,6}))?\s*$/.exec(text) ?? [];
  if (from === undefined) {
    throw misunderstood(
      `--bars is "${text}", not bars`,
      "Write the first and the last as printed, such as 33-40",
    );
  }
  return { fromBar: Number(from), toBar: Number(to ?? from) };
}

/** A word with a point or a stroke is a file, `mine.csv` or `./mine`; any other the name of an orchestra. */
function orchestraOf(word: string | undefined): Pick<Request, "orchestra" | "orchestraFile"> {
  if (word === undefined) return { orchestra: undefined, orchestraFile: undefined };
  if (word.trim() === "") throw misunderstood("the orchestra of --orchestra has no name");
  return /[./\\]/.test(word)
    ? { orchestra: undefined, orchestraFile: word }
    : { orchestra: word, orchestraFile: undefined };
}

/** Sizes of the string sections as programmes give them, such as `14.12.10.8.6`. */
function stringPlayers(text: string): StringPlayers {
  const sizes = text.trim().split(/\s*[.,/-]\s*/).map(Number);
  const [violins1, violins2, violas, cellos, basses, ...more] = sizes;
  const isSize = (n: number | undefined): n is number => Number.isInteger(n) && n! >= 1 && n! <= MOST_PLAYERS;
  if (
    more.length === 0 && isSize(violins1) && isSize(violins2) && isSize(violas) && isSize(cellos) &&
    isSize(basses)
  ) return [violins1, violins2, violas, cellos, basses];
  throw misunderstood(
    `--strings is "${text}", not the players of five sections`,
    `Give first violins, second violins, violas, cellos and double basses, 1 to ${MOST_PLAYERS} each, such as 14.12.10.8.6`,
  );
}

/** What is wrong with the options of a command, in words; nothing where they are as they should be. */
function optionProblem(
  options: readonly {
    readonly name: string;
    readonly rawName: string;
    readonly value?: string | undefined;
    readonly inlineValue?: boolean | undefined;
  }[],
): string | undefined {
  const met = new Set<string>();
  for (const { name, rawName, value, inlineValue } of options) {
    const option = Object.hasOwn(OPTIONS, name) ? OPTIONS[name as keyof typeof OPTIONS] : undefined;
    if (option === undefined) return `there is no option ${rawName}`;
    if (option.type === "boolean" && value !== undefined) return `${rawName} takes no value`;
    if (option.type === "string" && value === undefined) return `nothing follows ${rawName}`;
    if (option.type === "string" && inlineValue === false && /^-(?!\d)/.test(value ?? "")) {
      return `${rawName} is followed by ${value}, not by a value`;
    }
    if (met.has(name) && !("multiple" in option)) return `${rawName} is given twice`;
    met.add(name);
  }
  return undefined;
}
