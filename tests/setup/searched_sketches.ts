/**
 * Five sketches of our own, each given by `search` to three orchestras, and what an orchestrator would laugh at counted in the
 * plans that come first. With a folder, the plans and their first bars in notes are written there, to be read.
 *
 *     deno run -A tests/setup/searched_sketches.ts [folder]
 */
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { instrumentById } from "../../lib/instruments/catalogue.ts";
import { orchestra, type OrchestraPart } from "../../lib/instruments/orchestra.ts";
import { seatsNamed, seatsOf } from "../../lib/orchestrate/plan/place_assignments.ts";
import type { Plan } from "../../lib/orchestrate/plan/plan.ts";
import { writePlan } from "../../lib/orchestrate/plan/plan_table.ts";
import { sketchOf } from "../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import { search } from "../../lib/orchestrate/search/search.ts";
import type { Score } from "../../lib/score/model.ts";
import { chartSvg } from "../../lib/show/drawing/save_chart.ts";
import { engraveSystems } from "../../lib/show/engrave/engrave.ts";
import { figureById } from "../../lib/texture/figures.ts";

const SKETCHES: Readonly<Record<string, { readonly abc: string; readonly momentum: readonly number[] }>> = {
  lantern: {
    momentum: [0.6, 1.8],
    abc: `X:1
T:Lantern
M:3/4
L:1/4
Q:1/4=66
K:Em
P:Dusk
"Em" B2 A | "C" G2 E | "Am" A2 B | "B7" ^D3 | "Em" E2 G | "Am" c2 B | "F#m7b5" A2 F | "B" B3 |
P:Lights
"Em" e2 d | "D" f2 d | "C" e2 g | "G" d3 | "Am" c2 e | "Em" B2 G | "B7" F2 A | "Em" G3 |]`,
  },
  parade: {
    momentum: [3, 4.2],
    abc: `X:1
T:Parade
M:2/4
L:1/8
Q:1/4=116
K:G
P:They come
"G" D G3 | "C" E2 C2 | "D7" F2 A2 | "G" B4 | "Em" B2 G2 | "Am" A2 c2 | "D" A2 F2 | "G" G4 |
P:They are here
"G" d2 B2 | "Em" e3 d | "C" c2 e2 | "D" d4 | "G/B" d2 g2 | "C" e2 c2 | "D7" A2 F2 | "G" G4 |]`,
  },
  ferry: {
    momentum: [1.5, 2.5],
    abc: `X:1
T:Ferry
M:6/8
L:1/8
Q:3/8=54
K:Bb
P:Leaving
"Bb" F2 B d3 | "Gm" d2 c B3 | "Eb" G2 B e3 | "F" c6 | "Bb" d2 f d3 | "Eb" e2 d c3 | "F7" A2 c F3 | "Bb" B6 |
P:Open water
"Gm" g2 f d3 | "Eb" e2 g b3 | "Bb/D" f2 d B3 | "F" c6 | "Gm" B2 d g3 | "Cm" e2 c G3 | "F" A2 c e3 | "Bb" d6 |]`,
  },
  chase: {
    momentum: [4.5, 5.5],
    abc: `X:1
T:Chase
M:4/4
L:1/8
Q:1/4=144
K:Cm
P:Seen
"Cm" c2 G2 c2 e2 | "Ab" e4 c4 | "Fm" f2 e2 c2 A2 | "G" B8 | "Cm" g2 e2 c2 e2 | "Bb" d4 f4 | "Eb" e2 g2 b2 g2 | "G7" f6 z2 |
P:Run
"Cm" c'4 g4 | "Ab" a2 g2 e2 c2 | "Fm" f4 a4 | "G" g8 | "Cm" e2 g2 c'2 g2 | "Fm" a4 f4 | "G" d2 f2 b2 d'2 | "Cm" c'8 |]`,
  },
  rite: {
    momentum: [1, 3],
    abc: `X:1
T:Rite
M:5/4
L:1/4
Q:1/4=92
K:Ador
P:Stones
"Am" A2 c B A | "D" d3 c2 | "Em" B2 G E2 | "Am" A5 | "C" c2 e d c | "G" B3 d2 | "Em" E2 G B2 | "Am" A5 |
P:Fire
"Am" e2 c A c | "F" f3 e2 | "G" d2 B G B | "Am" c5 | "D" d2 f a f | "Em" g3 e2 | "G" d2 B d2 | "Am" e5 |]`,
  },
};
const ORCHESTRAS = ["symphony", "chamber", "school"];
const [folder] = Deno.args;

/** What stands in a plan that would be laughed at, in words. */
function oddities(plan: Plan, score: Score, players: readonly OrchestraPart[]): readonly string[] {
  const said: string[] = [];
  const seats = seatsOf(plan, players);
  const say = (passage: string, words: string) => said.push(`${passage}: ${words}`);
  const instrumentsOf = (parts: readonly string[]) =>
    parts.flatMap((part) => seatsNamed(part, seats)).map((seat) => seats[seat]!.instrument.id);
  let before = "";
  for (const { name, assignments, fromBar, toBar } of plan.passages) {
    const bars = score.bars.filter((b) => Number(b.number) >= fromBar && Number(b.number) <= toBar);
    const [from, to] = [bars[0]!.startTicks, bars.at(-1)!.startTicks + bars.at(-1)!.durationTicks];
    const playing = new Set(
      score.notes.filter((n) => n.onsetTicks >= from && n.onsetTicks < to).map((n) => n.part),
    );
    const lows = score.notes.filter((n) => n.onsetTicks >= from && n.onsetTicks < to && !n.unpitched);
    for (const { role, figure, parts, technique, dynamic } of assignments) {
      const ids = instrumentsOf(parts);
      const perSecond = strokesPerSecond(score, figure, bars[0]!);
      for (const id of ids) {
        const { family, rangeComfortable, soundProduction } = instrumentById(id);
        const isLow = (rangeComfortable.low + rangeComfortable.high) / 2 < 48;
        if (role === "lead" && isLow) say(name, `${id} leads`);
        if (isLow && perSecond > 6 && role !== "bass") {
          say(name, `${id} in ${figure}, ${perSecond.toFixed(1)} a second`);
        }
        if (id.startsWith("tuba") && perSecond > 4) say(name, `${id} in ${figure}`);
        if (family === "brass" && perSecond > 8) {
          say(name, `${id} in ${figure}, ${perSecond.toFixed(1)} a second`);
        }
        if (/harp|piano|celesta/.test(id) && figureById(figure)?.tremoloSlashes) {
          say(name, `${id} in ${figure}`);
        }
        if (/harp|piano|celesta|guitar/.test(id) && role === "lead") say(name, `${id} leads`);
        if (technique === "pizzicato" && soundProduction !== "bowed") say(name, `${id} pizzicato`);
      }
      const families = new Set(ids.map((id) => instrumentById(id).family));
      if (ids.length > 6 && families.size > 2 && ids.length >= 0.75 * playing.size) {
        say(name, `${ids.length} of ${playing.size} parts on the ${role}`);
      }
      if (role === "trill" && families.has("brass")) say(name, `brass in ${figure}`);
      if (role === "lead" && dynamic === "pp" && families.has("brass")) say(name, "brass leads pp");
    }
    const roles = assignments.map((a) => a.role);
    if (!roles.includes("bass") && Math.min(...lows.map((n) => n.soundingPitch)) > 55) say(name, "no bass");
    const soft = assignments.filter((a) => a.role === "lead").some((a) => /^(pp|p|mp)$/.test(a.dynamic));
    if (soft && playing.size > 0.7 * players.length) {
      say(name, `${playing.size} of ${players.length} parts play in a soft passage`);
    }
    const layers = assignments.filter((a) => !["lead", "bass", "pad"].includes(a.role)).length;
    if (layers > 4) say(name, `${layers} layers move at once`);
    const now = JSON.stringify(assignments.map(({ role, figure, parts }) => [role, figure, parts]));
    if (now === before) say(name, "as before");
    before = now;
  }
  const whole = new Set(score.notes.map((n) => n.part));
  const always = [...whole].filter((p) => {
    const own = new Set(score.notes.filter((n) => n.part === p).map((n) => barOf(score, n.onsetTicks)));
    return own.size >= 0.95 * score.bars.length &&
      instrumentById(score.parts[p]!.instrument).family === "brass";
  });
  if (always.length > 0) said.push(`${always.map((p) => score.parts[p]!.name).join(", ")} without a rest`);
  return said;
}

const barOf = (score: Score, ticks: number) => score.bars.findLastIndex((b) => b.startTicks <= ticks);

/** Strokes a second of a figure, as its name says. */
function strokesPerSecond(score: Score, figure: string, bar: Score["bars"][number]): number {
  const tempo = score.tempos.findLast((t) => t.onsetTicks <= bar.startTicks)!.quartersPerMinute;
  const perQuarter = /thirty-second/.test(figure)
    ? 8
    : /sextuplet/.test(figure)
    ? 6
    : /sixteenth/.test(figure)
    ? 4
    : /triplet/.test(figure)
    ? 3
    : /eighth/.test(figure)
    ? 2
    : 0;
  return perQuarter * tempo / 60;
}

for (const [name, { abc, momentum }] of Object.entries(SKETCHES)) {
  const sketch = sketchOf(readAbc(abc));
  for (const who of ORCHESTRAS) {
    const players = orchestra(who);
    const passages = [0, 1].map((i) => ({
      name: sketch.score.bars[8 * i]!.rehearsal!,
      fromBar: 1 + 8 * i,
      toBar: 8 + 8 * i,
      momentum: momentum[i]!,
      leadAtLeast: 0.4,
    }));
    const wishes = { passages, brassAtMost: 0.6, findingsAtMost: 2 };
    const found = await search(sketch, { wishes, orchestra: players, k: 1, scorings: 40, seed: 4 });
    const first = found.plans[0];
    if (!first) {
      console.log(`${name}, ${who}: ${found.said}`);
      continue;
    }
    const score = realise(sketch, first.plan, { orchestra: players });
    const odd = oddities(first.plan, score, players);
    console.log(
      `${name}, ${who}: ${first.shortfall.toFixed(2)}; ${odd.length === 0 ? "nothing odd" : odd.join("; ")}`,
    );
    console.log(first.reasons.map((r) => `    ${r}`).join("\n"));
    if (folder === undefined) continue;
    await Deno.writeTextFile(`${folder}/${name}_${who}.csv`, writePlan(first.plan));
    for (const [i, { fromBar }] of passages.entries()) {
      const title = `${name}, ${who}, bars ${fromBar}–${fromBar + 3}`;
      const options = { fromBar, toBar: fromBar + 3, byRole: true, width: 1300, title };
      const systems = await engraveSystems(score, options);
      for (const [s, system] of systems.entries()) {
        await Deno.writeTextFile(`${folder}/${name}_${who}_${i + 1}_${s + 1}.svg`, chartSvg(system));
      }
    }
  }
}
