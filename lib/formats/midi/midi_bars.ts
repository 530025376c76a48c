/** Bars of a MIDI file from its time signatures, keys and markers. */
import { refusals } from "../../base/errors.ts";
import type { Bar } from "../../score/model.ts";
import { fullBarTicks } from "../../score/time.ts";
import type { PlayedFile } from "./midi_lines.ts";

/** Most bars accepted: beyond it a time in the file must be wrong. */
const MOST_BARS = 50_000;

/** Bars up to the end of the last note, at least one. A time signature in the middle of a bar ends that bar early. */
export function midiBars(
  played: Pick<PlayedFile, "metres" | "keys" | "markers"> & {
    readonly ticksPerQuarter: number;
    readonly endTicks: number;
  },
  { file, count }: { readonly file?: string | undefined; readonly count: (what: string) => void },
): readonly Bar[] {
  const { ticksPerQuarter, endTicks } = played;
  const toTicks = <T extends { readonly quarters: number }>(list: readonly T[]) =>
    list.map((entry) => ({ ...entry, ticks: Math.round(entry.quarters * ticksPerQuarter) }));
  const metres = toTicks(played.metres);
  const keys = toTicks(played.keys);
  if (metres[0]?.ticks !== 0) count("no time signature at the start: 4/4 taken");
  const bars: Bar[] = [];
  let startTicks = 0;
  let nextMetre = 0;
  let metre = { beats: 4, beatUnit: 4 };
  let nextKey = 0;
  let keyFifths = 0;
  do {
    while (nextMetre < metres.length && metres[nextMetre]!.ticks <= startTicks) metre = metres[nextMetre++]!;
    while (nextKey < keys.length && keys[nextKey]!.ticks <= startTicks) keyFifths = keys[nextKey++]!.fifths;
    const change = metres[nextMetre]?.ticks ?? Infinity;
    const durationTicks = Math.min(fullBarTicks(metre, ticksPerQuarter), change - startTicks);
    const { beats, beatUnit } = metre;
    const number = String(bars.length + 1);
    bars.push({ number, startTicks, durationTicks, beats, beatUnit, keyFifths });
    startTicks += durationTicks;
    if (bars.length > MOST_BARS) {
      const remedy = "A time in the file must be wrong; export it again";
      throw refusals("read the MIDI file", { file })(`it would last more than ${MOST_BARS} bars`, remedy);
    }
  } while (startTicks < endTicks);
  return withMarkers(withPickup(bars), toTicks(played.markers), count);
}

/** A short first bar with a time signature of its own is a pickup: it is counted as bar 0 of the metre that follows. */
function withPickup(bars: readonly Bar[]): readonly Bar[] {
  const [first, second] = bars;
  if (!first || !second || first.durationTicks >= second.durationTicks) return bars;
  const sameMetre = first.beats === second.beats && first.beatUnit === second.beatUnit;
  if (sameMetre) return bars;
  return bars.map((bar, i) => ({
    ...bar,
    number: String(i),
    ...(i === 0 ? { beats: second.beats, beatUnit: second.beatUnit } : {}),
  }));
}

/** Markers at bar lines become rehearsal marks; others are only counted. */
function withMarkers(
  bars: readonly Bar[],
  markers: readonly { readonly ticks: number; readonly text: string }[],
  count: (what: string) => void,
): readonly Bar[] {
  const textAt = new Map(markers.map((marker) => [marker.ticks, marker.text]));
  const marked = bars.map((bar) => {
    const rehearsal = textAt.get(bar.startTicks);
    return rehearsal === undefined ? bar : { ...bar, rehearsal };
  });
  const used = marked.filter((b) => b.rehearsal !== undefined).length;
  for (let i = used; i < markers.length; i++) count("marker away from a bar line: not used");
  return marked;
}
