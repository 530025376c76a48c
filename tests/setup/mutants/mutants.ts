/** Files changed where their format has joints: each mutant is read, refused, measured and written anew by the tests. */
import { demoPlans, demoSketch } from "../../../lib/demo.ts";
import { readMidi } from "../../../lib/formats/midi/read_midi.ts";
import { writeMidi } from "../../../lib/formats/midi/write_midi.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../../lib/score/model.ts";
import { fullScore } from "../../formats/small_scores.ts";
import { sharedFolder } from "../shared_data.ts";
import { chanceOf } from "./chance.ts";
import { mutateMidi } from "./mutate_midi.ts";
import { mutateMxl } from "./mutate_mxl.ts";
import { mutateAbc, mutatePlan } from "./mutate_text.ts";
import { mutateXml } from "./mutate_xml.ts";

/** Kinds of file. */
export type MutantKind = "MusicXML" | "zipped MusicXML" | "MIDI" | "ABC" | "plan";

/** Sound files of each kind. */
export interface MutantBases {
  /** MusicXML as text; zipped ones are made of it too. */
  readonly musicXml: readonly string[];
  /** MIDI. */
  readonly midi: readonly Uint8Array[];
  /** ABC. */
  readonly abc: readonly string[];
  /** Plans for the demo's sketch. */
  readonly plans: readonly string[];
}

const DATA = new URL("../../../data/", import.meta.url);
const dataText = (path: string) => Deno.readTextFileSync(new URL(path, DATA));

/** The first bars of a score, so that a mutant of a large one costs no more than a page does. */
function firstBars(score: Score, count: number): Score {
  const bars = score.bars.slice(0, count);
  const end = bars.at(-1)!.startTicks + bars.at(-1)!.durationTicks;
  const inside = <T extends { readonly onsetTicks: number }>(list: readonly T[]) =>
    list.filter((x) => x.onsetTicks < end);
  const { writtenLayers: _, ...rest } = score as Score & { readonly writtenLayers?: unknown };
  return {
    ...rest,
    bars,
    notes: inside(score.notes).filter((n) => n.onsetTicks + n.durationTicks <= end),
    tempos: inside(score.tempos),
    chords: inside(score.chords),
  };
}

/** Files of a suite that are broken on purpose, or hold no notes, are no bases. */
function isRead(read: () => Score): boolean {
  try {
    return read().notes.length > 0;
  } catch {
    return false;
  }
}

/** Files of ours, and those of the published test suites that are beside the checkout. */
export function mutantBases(): MutantBases {
  const slackWater = readAbc(dataText("slack_water/slack_water.abc"), { file: "slack_water.abc" });
  const scores = [
    fullScore(),
    firstBars(slackWater, 6),
    firstBars(realise(demoSketch(), demoPlans().moving), 3),
    demoSketch().score,
  ];
  // Ours hold more than those of the suite, which are a page each: they come more often.
  const musicXml = scores.flatMap((score) => Array<string>(8).fill(writeMusicXml(score)));
  const midi = scores.map((score) => writeMidi(score));
  const suite = (folder: string, inner: string, ending: RegExp) => {
    const found = sharedFolder(folder);
    if (!found) return [];
    const names = [...Deno.readDirSync(new URL(inner, found))].map((e) => e.name).filter((n) =>
      ending.test(n)
    ).sort();
    return names.map((name) => Deno.readFileSync(new URL(inner + name, found)));
  };
  const isSmall = (bytes: Uint8Array) => bytes.length < 12_000;
  for (const bytes of suite("musicxml-testsuite", "xmlFiles/", /\.(musicxml|xml)$/).filter(isSmall)) {
    const text = new TextDecoder().decode(bytes);
    if (!isRead(() => readMusicXml(text))) continue;
    musicXml.push(text);
  }
  midi.push(
    ...suite("midi-testfiles", "midi/", /\.mid$/).filter((b) => isSmall(b) && isRead(() => readMidi(b))),
  );
  return {
    musicXml,
    midi,
    abc: [
      dataText("spate/tune.abc"),
      dataText("slack_water/slack_water.abc").split("\n").slice(0, 40).join("\n"),
      ABC,
    ],
    plans: ["held", "moving", "rotating"].map((name) => dataText(`spate/plan_${name}.csv`)),
  };
}

const ABC =
  `X:1\nT:One of everything\nC:Nobody\nM:3/4\nL:1/8\nQ:1/4=90\nV:a name="Flute"\nV:b clef=bass name="Cello"\nK:D dorian
[V:a] |: "Dm7"!p!(A>B c2) [CE]2- |1 [CE]2 (3efg {ag}^f2 :|2 !D.C.!A6 |]\n[V:b] D,6 | z2 T=B,4 | D6 |]\n`;

/** A mutant. */
export interface Mutant {
  /** What it is a mutant of. */
  readonly kind: MutantKind;
  /** The file. */
  readonly bytes: Uint8Array;
}

/** How often each kind is taken, of twenty. */
const SHARES: readonly (readonly [MutantKind, number])[] = [
  ["MusicXML", 9],
  ["MIDI", 5],
  ["ABC", 3],
  ["plan", 2],
  ["zipped MusicXML", 1],
];
const KINDS = SHARES.flatMap(([kind, times]) => Array<MutantKind>(times).fill(kind));

/**
 * A mutant.
 *
 * @param bases sound files
 * @param seed whole number; the same mutant for the same seed
 * @returns kind and bytes
 */
export function mutantOf(bases: MutantBases, seed: number): Mutant {
  const chance = chanceOf(seed);
  const kind = chance.oneOf(KINDS);
  const bytes = {
    "MusicXML": () => mutateXml(chance.oneOf(bases.musicXml), chance),
    "zipped MusicXML": () => mutateMxl(chance.oneOf(bases.musicXml), chance),
    "MIDI": () => mutateMidi(chance.oneOf(bases.midi), chance),
    "ABC": () => mutateAbc(chance.oneOf(bases.abc), chance),
    "plan": () => mutatePlan(chance.oneOf(bases.plans), chance),
  }[kind]();
  return { kind, bytes };
}
