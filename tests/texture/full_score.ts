/** Thirty lines that do what orchestras do, for benches. */
import { pitchName, pitchOf } from "../../lib/base/units.ts";
import type { Score } from "ripieno";
import { example, type PartText } from "./examples.ts";

/** What parts do, and who does it, each on notes of its own: no two parts are one line. */
const KINDS: readonly (readonly [music: string, perBar: number, players: readonly string[]])[] = [
  ["A5:3/2 G5:1/2 F5:1 D6:1", 1, [
    "violin",
    "flute",
    "oboe",
    "clarinet in A",
    "trumpet in C",
    "alto saxophone",
  ]],
  ["D4:1/4", 16, ["viola", "alto flute", "cor anglais", "basset horn", "cornet in Bb", "tenor saxophone"]],
  ["F4:4", 1, ["horn in F", "bassoon", "tenor trombone", "Wagner tuba", "bass clarinet", "euphonium"]],
  [
    "D4:1/2 F4:1/2 A4:1/2 F4:1/2",
    2,
    ["clarinet in Bb", "piccolo", "celesta", "harpsichord", "piano", "vibraphone"],
  ],
  ["D2:1", 4, ["double bass", "contrabassoon", "tuba", "cello", "bass trombone", "harp"]],
];

const higher = (music: string, semitones: number) =>
  music.replaceAll(/[A-G]\d/g, (name) => pitchName(pitchOf(name)! + semitones));

/** Thirty lines that hold, pulse, figure, run and sing, so many bars long. */
export function fullScore(bars: number): Score {
  return example(
    KINDS.flatMap(([music, perBar, players]) =>
      players.map((player, i): PartText => [player, `(${higher(music, i)})x${bars * perBar}`])
    ),
  );
}
