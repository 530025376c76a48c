/** Dynamics as they stand on the page of generated settings in several passages, with parts that come and go. */
import { assert, assertEquals } from "@std/assert";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { assign, type AssignmentInput } from "../../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../../lib/score/model.ts";
import { generatedLayers, PLAYERS } from "../../setup/generated_settings.ts";
import { generatedSketch, METRES, pick } from "../../setup/generated_sketches.ts";
import { random } from "../../setup/random.ts";

/** First and last dynamic of a layer; a swell has its peak between. */
const COURSES: readonly Partial<AssignmentInput>[] = [
  { dynamic: "p" },
  { dynamic: "mf" },
  { dynamic: "p", dynamicEnd: "f" },
  { dynamic: "f", dynamicEnd: "p" },
  { dynamic: "pp", dynamicEnd: "mp" },
  { dynamic: "p", dynamicMiddle: "mf", dynamicEnd: "p" },
];

/** Three passages of one sketch, the middle one of few bars or of most. */
function setting(seed: number): Score {
  const next = random(seed);
  const sketch = generatedSketch(METRES[seed % METRES.length]!, next);
  const last = sketch.score.bars.length;
  const [a, b] = [pick([2, 4, 5], next), last - pick([2, 3, 5], next)];
  const passages = [[1, a], [a + 1, b], [b + 1, last]].map(([fromBar, toBar], i) => ({
    name: `${i}`,
    fromBar: fromBar!,
    toBar: toBar!,
    assignments: generatedLayers(next).map((l) => assign({ ...l, ...pick(COURSES, next) })),
  }));
  return realise(sketch, { name: `${seed}`, passages }, { orchestra: PLAYERS, refuseImpossible: false });
}

/** A sign, a word that grows or fades, or a sounding stretch of a part, in ticks of the file from its start. */
interface Printed {
  readonly kind: "note" | "mark" | "crescendo" | "diminuendo" | "stop" | "word";
  readonly at: number;
  readonly to: number;
  readonly text: string;
}

/** Signs and notes of one part of a file in order of time, and the length of its bars. */
function printedIn(part: string): { readonly printed: readonly Printed[]; readonly bars: readonly number[] } {
  const printed: Printed[] = [];
  const bars: number[] = [];
  let start = 0;
  for (const bar of part.match(/<measure [\s\S]*?<\/measure>/g)!) {
    let [at, reach, onset] = [start, start, start];
    for (const [element, name] of bar.matchAll(/<(note|backup|forward|direction)\b[\s\S]*?<\/\1>/g)) {
      const ticks = Number(/<duration>(\d+)/.exec(element)?.[1] ?? 0);
      if (name === "backup") at -= ticks;
      else if (name === "forward") at += ticks;
      else if (name === "note") {
        if (!element.includes("<chord/>")) [onset, at] = [at, at + ticks];
        reach = Math.max(reach, at);
        if (!element.includes("<rest")) {
          const text = element.includes('<tie type="stop"/>') ? "held" : "begun";
          printed.push({ kind: "note", at: onset, to: onset + ticks, text });
        }
      } else {
        const place = at + Number(/<offset>(-?\d+)/.exec(element)?.[1] ?? 0);
        const mark = /<dynamics>\s*<([a-z]+)\/>/.exec(element)?.[1];
        const wedge = /<wedge type="(\w+)"/.exec(element)?.[1] as Printed["kind"] | undefined;
        const word = /<words[^>]*>(cresc\.|dim\.)</.exec(element)?.[1];
        if (mark) printed.push({ kind: "mark", at: place, to: place, text: mark });
        if (word) printed.push({ kind: "word", at: place, to: place, text: word });
        if (wedge) printed.push({ kind: wedge, at: place, to: place, text: wedge });
      }
    }
    bars.push(start);
    start = Math.max(reach, start);
  }
  return { printed: printed.sort((a, b) => a.at - b.at), bars };
}

const SETTINGS = Array.from({ length: 24 }, (_, i) => setting(i + 1));
const PARTS = SETTINGS.flatMap((score) =>
  writeMusicXml(score).match(/<part id[\s\S]*?<\/part>/g)!.map((part, i) => ({
    ...printedIn(part),
    where: `${score.source} ${score.parts[i]!.name}`,
  }))
);

Deno.test("printed dynamics: every hairpin begins and ends under notes, and lies over no silent bar", () => {
  let hairpins = 0;
  for (const { printed, bars, where } of PARTS) {
    const notes = printed.filter((p) => p.kind === "note");
    const sounds = (at: number) => notes.some((n) => n.at <= at && n.to >= at);
    let open: Printed | undefined;
    for (const sign of printed) {
      if (sign.kind === "crescendo" || sign.kind === "diminuendo") {
        assertEquals(open, undefined, `${where}: two hairpins at once`);
        open = sign;
        hairpins++;
      }
      if (sign.kind !== "stop") continue;
      assert(open && open.at < sign.at, `${where}: a hairpin without length`);
      assert(sounds(open.at) && sounds(sign.at), `${where}: a hairpin begins or ends over a rest`);
      bars.forEach((from, i) => {
        const to = bars[i + 1] ?? Infinity;
        if (from < open!.at || to > sign.at) return;
        assert(notes.some((n) => n.at < to && n.to > from), `${where}: a hairpin over a silent bar`);
      });
      open = undefined;
    }
    assertEquals(open, undefined, `${where}: a hairpin without end`);
  }
  assert(hairpins > 100, `${hairpins}`);
});

// Common practice, no source.
Deno.test("printed dynamics: a hairpin lies over four bars at most; what grows or fades longer does so by a word that a mark follows", () => {
  const counted = { hairpins: 0, words: 0 };
  for (const { printed, bars, where } of PARTS) {
    const barsFrom = (from: number, to: number) => bars.filter((at) => at >= from && at < to).length;
    printed.forEach((sign, i) => {
      const next = (kind: Printed["kind"]) =>
        printed.slice(i + 1).find((p) => p.kind === kind)?.at ?? Infinity;
      if (sign.kind === "crescendo" || sign.kind === "diminuendo") {
        assert(
          barsFrom(sign.at, next("stop")) <= 4,
          `${where}: a hairpin from ${sign.at} to ${next("stop")}`,
        );
        counted.hairpins++;
      } else if (sign.kind === "word") {
        const end = next("mark");
        assert(
          end < Infinity && barsFrom(sign.at, end) > 4,
          `${where}: ${sign.text} from ${sign.at} to ${end}`,
        );
        counted.words++;
      }
    });
  }
  assert(counted.hairpins > 100 && counted.words > 50, JSON.stringify(counted));
});

Deno.test("printed dynamics: a part begins with a mark, and has one again after four silent bars at most", () => {
  let again = 0;
  for (const { printed, bars, where } of PARTS) {
    const marks = new Set(printed.filter((p) => p.kind === "mark").map((p) => p.at));
    let soundedTo = 0;
    for (const note of printed.filter((p) => p.kind === "note")) {
      const silent = bars.filter((from, i) =>
        from >= soundedTo && (bars[i + 1] ?? Infinity) <= note.at
      ).length;
      if (soundedTo === 0 || silent >= 4) {
        assert(marks.has(note.at), `${where}: no mark at ${note.at}`);
        if (soundedTo > 0) again++;
      }
      soundedTo = Math.max(soundedTo, note.to);
    }
  }
  assert(again > 20, `${again}`);
});

Deno.test("printed dynamics: no mark is printed twice in a row without a silence or a hairpin between, but where a hairpin starts", () => {
  for (const { printed, where, bars } of PARTS) {
    const starts = new Set(
      printed.filter(({ kind }) => ["crescendo", "diminuendo", "word"].includes(kind)).map(({ at }) => at),
    );
    let last: Printed | undefined;
    let isFresh = true;
    let soundedTo = 0;
    for (const sign of printed) {
      if (sign.kind === "note") {
        const silent = bars.filter((from, i) =>
          from >= soundedTo && (bars[i + 1] ?? Infinity) <= sign.at
        ).length;
        soundedTo = Math.max(soundedTo, sign.to);
        if (silent >= 3) isFresh = true;
      } else if (sign.kind !== "mark") isFresh = true;
      else {
        const silent = bars.filter((from, i) =>
          from >= soundedTo && (bars[i + 1] ?? Infinity) <= sign.at
        ).length;
        if (!isFresh && silent < 3 && !starts.has(sign.at)) {
          assert(last?.text !== sign.text, `${where}: ${sign.text} twice at ${sign.at}`);
        }
        isFresh = false;
        last = sign;
      }
    }
  }
});
