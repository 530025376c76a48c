/** What is timed for the README: names of benches, and the rows that are made of them. */

/** Scores in the survey that is timed. */
export const SURVEYED_SCORES = 100;

/** Names of the benches. */
export const SPEEDS = {
  tokeniseSymphony: "pass the XML of a symphony's first movement through the parser",
  readSymphony: "read a symphony's first movement (12 MB of MusicXML)",
  tokeniseLarge: "pass 15 MB of XML through the parser",
  readLarge: "read a score of 15 MB",
  recognise: "read the texture of 30 parts over 500 bars",
  balance: "hear 30 parts over 500 bars, no two alike (balance)",
  momentum: "measure their momentum, balance given",
  realise: "write the demo from its plan",
  rewrite: "write a wish into 30 parts over 8 bars, and measure them anew",
  suggest: "find ways to make 30 parts over 8 bars move more",
  search: "search plans for two passages, 12 scorings each",
  audition: "render the demo as MP3 (87 s of music)",
  survey1: `survey ${SURVEYED_SCORES} scores with one worker`,
  survey2: `survey ${SURVEYED_SCORES} scores with two workers`,
  threads1: "measure in one thread",
  threads2: "measure twice as much in two threads",
} as const;

/** What is timed. */
export type Speed = keyof typeof SPEEDS;

/**
 * The README's table of what was timed.
 *
 * @param seconds quickest run of each bench
 */
export function speedTable(seconds: Readonly<Record<Speed, number>>): string {
  const { readSymphony, readLarge, survey1, survey2, threads1, threads2 } = seconds;
  const times = (a: number, b: number) => (a / b).toFixed(1);
  const beside: Partial<Record<Speed, string>> = {
    readSymphony: `${times(readSymphony, seconds.tokeniseSymphony)} × bare tokenising`,
    readLarge: `${times(readLarge, seconds.tokeniseLarge)} × bare tokenising`,
    audition: `${Math.round(87 / seconds.audition)} × faster than it sounds`,
    survey1: `${times(SURVEYED_SCORES, survey1)} scores a second`,
    survey2:
      `${times(SURVEYED_SCORES, survey2)} scores a second, ${(survey1 / survey2).toFixed(2)} × one worker; ` +
      `two threads of this machine that know nothing of each other do ${
        (2 * threads1 / threads2).toFixed(2)
      } × one`,
  };
  const shown = (Object.keys(SPEEDS) as readonly Speed[]).filter((speed) =>
    !/^(tokenise|threads)/.test(speed)
  );
  return [
    "| work | seconds | |",
    "| --- | --- | --- |",
    ...shown.map((speed) =>
      `| ${SPEEDS[speed]} | ${seconds[speed].toPrecision(2)} | ${beside[speed] ?? ""} |`
    ),
  ].join("\n");
}
