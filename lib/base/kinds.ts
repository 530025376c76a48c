/** The kinds of things that functions are given, each described once: its name, how it is known, what to give. */
import { either } from "./words.ts";

/** A kind of thing that can be given to a function. */
export interface Kind {
  /** What it is called: `a score`. */
  readonly noun: string;
  /** What to do where it is something else, as a sentence without its full stop. */
  readonly give: string;
  /** Whether a thing is of this kind, as far as that can be seen at a glance. */
  readonly fits: (value: unknown) => boolean;
  /** Fields it is known by, where it is a record. */
  readonly fields?: readonly string[];
}

/** A record that is known by fields; those that are lists are written with brackets: `bars[] ticksPerQuarter`. */
function record(noun: string, fields: string, give: string): Kind {
  const names = fields.split(" ");
  const others = names.filter((name) => !name.endsWith("[]"));
  const lists = names.filter((name) => name.endsWith("[]")).map((name) => name.slice(0, -2));
  // The same score or instrument is asked about again and again: what fitted last is not looked at twice.
  let last: unknown;
  return {
    noun,
    give,
    fields: [...lists, ...others],
    fits: (value) => {
      if (value === last && last !== undefined) return true;
      if (typeof value !== "object" || value === null) return false;
      const it = value as Readonly<Record<string, unknown>>;
      for (const name of lists) if (!Array.isArray(it[name])) return false;
      for (const name of others) if (it[name] === undefined || it[name] === null) return false;
      last = value;
      return true;
    },
  };
}

/** A kind that `typeof` tells. */
function plain(noun: string, type: "number" | "string" | "boolean" | "function", give: string): Kind {
  return {
    noun,
    give,
    fits: (value) => {
      const is: string = typeof value;
      return is === type;
    },
  };
}

const SCORE_FIELDS = "bars[] parts[] notes[] tempos[] ticksPerQuarter";
const GIVE_SCORE = "Give a score, for example demoScore() or what readScore gives";

export const A_SCORE: Kind = record("a score", SCORE_FIELDS, GIVE_SCORE);
export const A_CLOCK: Kind = record("a score", "bars[] tempos[] ticksPerQuarter", GIVE_SCORE);
export const BARS: Kind = record("a score", "bars[]", GIVE_SCORE);
export const A_GRID: Kind = record("a score", "ticksPerQuarter", GIVE_SCORE);
export const NOTES_OF: Kind = record("a score", "notes[]", GIVE_SCORE);
export const A_NOTE: Kind = record(
  "a note",
  "durationTicks",
  "Give a note of a score, for example demoScore().notes[0]",
);
export const A_TEXTURE: Kind = record(
  "a texture",
  "cells[] layers[]",
  "Give what textureOf(score) gives",
);
export const A_ROLE_CELL: Kind = record(
  "what a part does in a bar",
  "role leadShare",
  "Give a cell of a texture, for example textureOf(score).cells[0]",
);
export const LAYERS: Kind = record("a texture", "layers[]", "Give what textureOf(score) gives");
export const AN_INSTRUMENT: Kind = record(
  "an instrument",
  "id family rangeExtreme",
  `Give a record of the catalogue, for example instrumentById("flute")`,
);
export const A_SKETCH: Kind = record(
  "a sketch",
  "tune[] harmonies[] score",
  "Give a sketch, for example demoSketch() or sketchOf(score)",
);
export const AN_ORCHESTRA_PART: Kind = record(
  "a part of an orchestra",
  "name instrument players",
  "Give parts as orchestra() gives them",
);
export const AN_ENTRY: Kind = record(
  "a study with its score and texture",
  "study score texture",
  "Give { study, score, texture }",
);
export const A_PLAN: Kind = record(
  "a plan",
  "passages[] name",
  "Give a plan, for example demoPlans().moving",
);

export const A_PART_OF_SCORE: Kind = {
  noun: "a part of a score",
  give: "Give { score, part: 0 }, the part by its index",
  fits: (value) => A_RECORD.fits(value) && A_SCORE.fits((value as { readonly score?: unknown }).score),
};
export const A_SIGNAL: Kind = {
  noun: "a signal",
  give: "Give the signal of an AbortController",
  fits: (value) => value instanceof AbortSignal,
};
export const A_CHART: Kind = record(
  "a chart",
  "nodeType localName childNodes attributes",
  "Give what a chart function gives, for example momentumChart(momentum(score))",
);
export const A_FILE: Kind = {
  noun: "a file to write",
  give: `Give { name: "notes.txt", content: "…" }`,
  fields: ["name", "content"],
  fits: (value) => {
    const { name, content } = (value ?? {}) as { readonly name?: unknown; readonly content?: unknown };
    return typeof name === "string" && (typeof content === "string" || content instanceof Uint8Array);
  },
};

/** What recognition weighs by, known by some of its fields. */
export const weightsWith = (fields: string): Kind =>
  record("weights", fields, "Give weights as a fit writes them, or leave them out");

/** What a measure gives, by the function that gives it. */
const result = (noun: string, call: string, fields: string): Kind =>
  record(noun, fields, `Give what ${call} gives`);

export const A_MOMENTUM: Kind = result(
  "a momentum",
  "momentum(score)",
  "perBar[] perLayer[] perRole[] whole settings",
);
export const A_BALANCE: Kind = result(
  "a balance",
  "balance(score)",
  "perBar[] perLayer[] perNote[] warnings[] whole settings",
);
export const AN_ATTRIBUTION: Kind = result("an attribution", "attribution(score)", "rows[] perBar[] whole");
export const A_HARMONY: Kind = record(
  "a harmony",
  "spans[] nonChordNotes[]",
  "Give what readHarmony(score) gives",
);
export const HARMONY_SPANS: Kind = record("a harmony", "spans[]", "Give what readHarmony(score) gives");
export const A_FRESHNESS: Kind = result(
  "a freshness",
  "freshness(score)",
  "perBar[] changes[] similarity[] whole settings",
);
export const A_FULLNESS: Kind = result("a fullness", "fullness(score)", "perBar[] whole settings");
export const A_CONTOUR: Kind = result("a contour", "contour(score)", "perCurve[] perBar[] whole settings");
export const AN_IDIOM: Kind = result(
  "an idiom",
  "idiom(score)",
  "perBar[] perPart[] unusual[] whole settings",
);
export const A_PLAYABILITY: Kind = result(
  "a playability",
  "playability(score)",
  "perPart[] findings[] whole",
);
export const A_STUDY: Kind = result(
  "a study",
  "study(score)",
  "name momentum balance freshness fullness contour playability",
);
export const A_MOMENT: Kind = result(
  "a moment's sound",
  "momentSound(score, { barIndex: 0 })",
  "layers[] bands[]",
);

export const A_NUMBER: Kind = {
  noun: "a number",
  give: "Give a number",
  fits: (value) => typeof value === "number" && !Number.isNaN(value),
};
export const A_WHOLE: Kind = {
  noun: "a whole number from 1",
  give: "Give such a number",
  fits: (value) => Number.isInteger(value) && value as number >= 1,
};
export const A_COUNT: Kind = {
  noun: "a whole number from 0",
  give: "Give such a number",
  fits: (value) => Number.isInteger(value) && value as number >= 0,
};
export const A_POSITIVE: Kind = {
  noun: "a number above 0",
  give: "Give such a number",
  fits: (value) => Number.isFinite(value) && value as number > 0,
};
export const A_SHARE_WITHIN: Kind = {
  noun: "a share between 0 and 1",
  give: "Give such a share, for example 0.5",
  fits: (value) => typeof value === "number" && value > 0 && value < 1,
};
export const A_SHARE: Kind = {
  noun: "a share from 0 to 1",
  give: "Give such a share, for example 0.5",
  fits: (value) => typeof value === "number" && value >= 0 && value <= 1,
};
export const A_PITCH: Kind = plain("a pitch", "number", 'Give a MIDI number, for example pitchOf("C4")');
export const A_DYNAMIC: Kind = plain(
  "a loudness",
  "number",
  'Give a number from 1 ppp to 8 fff, for example dynamicOf("mf")',
);
export const A_TEXT: Kind = plain("text", "string", "Give text in quotes");
export const A_SWITCH: Kind = plain("true or false", "boolean", "Give true or false");
export const A_FUNCTION: Kind = plain("a function", "function", "Give a function");
export const A_RECORD: Kind = {
  noun: "a record",
  give: "Give its fields by name, in braces",
  fits: (value) => typeof value === "object" && value !== null && !Array.isArray(value),
};
export const A_RANGE: Kind = record(
  "a range",
  "low high",
  "Give its lowest and highest pitch, for example { low: 60, high: 96 }",
);
export const A_LIST: Kind = { noun: "a list", give: "Give it in brackets", fits: Array.isArray };
export const AN_ARRAY: Kind = {
  noun: "an array of numbers",
  give: "Give numbers in an array, for example [440, 880]",
  fits: (value) => Array.isArray(value) || ArrayBuffer.isView(value),
};
export const AN_ITERABLE: Kind = {
  noun: "numbers",
  give: "Give numbers in an array, for example [60, 66]",
  fits: (value) => typeof value === "object" && value !== null && Symbol.iterator in value,
};
export const A_FILTER_GRID: Kind = record(
  "a grid of filters",
  "stepCam centresHz bandwidthsHz",
  "Give what erbGrid() gives",
);
export const BYTES: Kind = {
  noun: "bytes",
  give: "Give a Uint8Array, for example what readFile of node:fs/promises gives",
  fits: (value) => value instanceof Uint8Array,
};
export const TEXT_OR_BYTES: Kind = {
  noun: "text or bytes",
  give: "Give text, or what readFile of node:fs/promises gives",
  fits: (value) => typeof value === "string" || value instanceof Uint8Array,
};
export const NUMBERS: Kind = {
  noun: "a list of numbers",
  give: "Give numbers in a list, for example [60, 64, 67]",
  fits: (value) => Array.isArray(value) ? value.every(isNumber) : ArrayBuffer.isView(value),
};

function isNumber(value: unknown): boolean {
  return typeof value === "number";
}

/** One of a few words. */
export function oneOf(words: readonly string[]): Kind {
  const quoted = words.map((word) => `"${word}"`);
  return {
    noun: either(quoted),
    give: "Give one of these words",
    fits: (value) => typeof value === "string" && words.includes(value),
  };
}

/** A list of things of one kind. */
export function listOf(kind: Kind, noun: string): Kind {
  return {
    noun,
    give: `${kind.give}, in a list`,
    fits: (value) => Array.isArray(value) && value.every(kind.fits),
  };
}

/** One of a few numbers. */
export function oneOfNumbers(numbers: readonly number[]): Kind {
  return {
    noun: either(numbers.map(String)),
    give: "Give one of these numbers",
    fits: (value) => typeof value === "number" && numbers.includes(value),
  };
}
