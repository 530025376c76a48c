/**
 * Settings of generated sketches by generated plans: every figure of the vocabulary in every metre, written for every
 * kind of instrument that it suits, several layers at once, as a real plan has them.
 */
import { instrumentById } from "../../lib/instruments/catalogue.ts";
import { orchestra, type OrchestraPart } from "../../lib/instruments/orchestra.ts";
import { assign, type AssignmentInput } from "../../lib/orchestrate/plan/plan.ts";
import type { Sketch } from "../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../lib/score/model.ts";
import { type Figure, type FigureId, FIGURES, type TableFigure } from "../../lib/texture/figures.ts";
import type { Role } from "../../lib/texture/roles.ts";
import { generatedSketch, type Metre, METRES, pick } from "./generated_sketches.ts";
import { random } from "./random.ts";

const ofOne = (name: string, instrument: string): OrchestraPart => ({ name, instrument, players: 1 });

/** Who can be written for: a symphony orchestra and what else screen and concert scores ask for. */
export const PLAYERS: readonly OrchestraPart[] = [
  ...orchestra(),
  ofOne("Alto flute", "alto flute"),
  ofOne("Alto saxophone", "alto saxophone"),
  ofOne("Tenor saxophone", "tenor saxophone"),
  ofOne("Flugelhorn", "flugelhorn in Bb"),
  ofOne("Euphonium", "euphonium"),
  ofOne("Marimba", "marimba"),
  ofOne("Vibraphone", "vibraphone"),
  ofOne("Xylophone", "xylophone"),
  ofOne("Organ", "organ"),
  ofOne("Guitar", "guitar"),
  ofOne("Solo violin", "solo violin"),
  ofOne("Solo cello", "solo cello"),
];

/** Sound production and pitch by which a role or figure suits an instrument. */
const instrumentOf = (part: OrchestraPart) => instrumentById(part.instrument);
const isPitched = (part: OrchestraPart) => !instrumentOf(part).unpitched;
const isDrum = (part: OrchestraPart) => !isPitched(part) || part.instrument === "timpani";
const sustains = (part: OrchestraPart) => instrumentOf(part).sustains && isPitched(part);
const lowest = (part: OrchestraPart) => isPitched(part) ? instrumentOf(part).rangeComfortable.low : 127;
const isLow = (part: OrchestraPart) => lowest(part) < 36;
/** Instruments that bass lines are written for. */
const BASSES = [
  "Double basses",
  "Cellos",
  "Bassoon 1",
  "Contrabassoon",
  "Bass clarinet",
  "Tuba",
  "Bass trombone",
  "Piano",
  "Harp",
  "Organ",
];

/** Whether a figure suits a part (common practice, no source). */
export function suits({ role, id }: Figure, part: OrchestraPart): boolean {
  const { family } = instrumentOf(part);
  switch (role) {
    case "bass":
      return BASSES.includes(part.name);
    case "lead":
      return sustains(part) && !isLow(part) ||
        ["Piano", "Vibraphone", "Marimba", "Guitar"].includes(part.name);
    case "counterline":
      return sustains(part) && !isLow(part) && part.instrument !== "piccolo";
    case "pad":
      if (id === "stab with a swell") return sustains(part) && !isLow(part);
      // A guitar holds a single tone where hands roll.
      if (id === "rolled chords") return ["Harp", "Piano", "Celesta"].includes(part.name);
      return isPitched(part) && !isDrum(part) && !isLow(part) &&
        (sustains(part) || ["Harp", "Piano", "Celesta"].includes(part.name));
    case "pulse":
    case "punctuation":
      return !isLow(part);
    case "figuration":
      return isPitched(part) && !isDrum(part) && !isLow(part) && family !== "brass";
    case "run":
      return isPitched(part) && !isDrum(part) && !isLow(part) && family !== "brass";
    case "trill":
      if (id === "roll into the bar") return isDrum(part);
      return id === "tremolo"
        ? family === "strings" && !isLow(part) || isDrum(part)
        : isPitched(part) && !isDrum(part) && !isLow(part) && ["woodwind", "strings"].includes(family);
    case "rest":
      return false;
  }
}

/** What most scores are made of. */
const PLAIN: readonly FigureId[] = [
  "tune",
  "second line",
  "held chord",
  "repeated quarters",
  "repeated eighths",
  "repeated triplets",
  "repeated sixteenths",
  "eighth and two sixteenths",
  "two sixteenths and eighth",
  "dotted eighth and sixteenth",
  "off-beats",
  "quarter and eighth",
  "after-beats",
  "off-beats in threes",
  "broken chord in eighths",
  "broken chord in triplets",
  "broken chord in sixteenths",
  "alternation in eighths",
  "alternation in sixteenths",
  "scale into the bar",
  "running scale",
  "trill",
  "tremolo",
  "sustained bass",
  "bass on every quarter",
  "bass in half notes",
  "bass on every dotted quarter",
  "bass on the downbeat",
  "stroke on the downbeat",
];

/** Figures that any sketch can be set with: all but its own lines as they are written, which few have beside the tune. */
export const ANY_SKETCHS_FIGURES: readonly TableFigure[] = FIGURES.filter((f) => !f.asWritten);

/** The figures most scores are made of. */
export const PLAIN_FIGURES: readonly TableFigure[] = FIGURES.filter((f) => PLAIN.includes(f.id));

/** A setting with where it came from. */
export interface GeneratedSetting {
  readonly seed: number;
  readonly metre: Metre;
  readonly sketch: Sketch;
  readonly score: Score;
}

/** Roles that are drawn for the layers between tune and bass; pulses have most figures and come twice. */
const BETWEEN: readonly Role[] = [
  "counterline",
  "pad",
  "pulse",
  "pulse",
  "figuration",
  "run",
  "trill",
  "punctuation",
];

/** The layers of a plan: a lead, mostly a bass, two to four between; every part in one of them, none below the bass. */
export function generatedLayers(
  next: () => number,
  { players = PLAYERS, figures = ANY_SKETCHS_FIGURES }: {
    readonly players?: readonly OrchestraPart[];
    readonly figures?: readonly TableFigure[];
  } = {},
): readonly AssignmentInput[] {
  const ofRole = (role: Role) => figures.filter((f) => f.role === role);
  const free = new Set(players);
  const floor = { pitch: 0 };
  const take = (figure: Figure, count: number): readonly string[] => {
    const fit = () =>
      [...free].filter((p) =>
        suits(figure, p) && (figure.role === "bass" || isDrum(p) || lowest(p) >= floor.pitch)
      );
    const taken: OrchestraPart[] = [];
    for (let i = 0; i < count && fit().length > 0; i++) {
      const part = pick(fit(), next);
      free.delete(part);
      taken.push(part);
    }
    if (figure.role === "bass") floor.pitch = Math.min(...taken.map(lowest));
    return taken.map((p) => p.name);
  };
  const layer = (figure: Figure, count: number): AssignmentInput => ({
    role: figure.role,
    figure: figure.id,
    parts: take(figure, count),
    dynamic: pick(figure.role === "lead" ? ["mf", "f"] : ["p", "mp", "mf"], next),
    articulation: figure.shape === "repeated notes"
      ? "plain"
      : pick(["plain", "plain", "slurred", "tenuto"], next),
  });
  const bass = next() < 0.9 ? [layer(pick(ofRole("bass"), next), 1 + Math.floor(next() * 2))] : [];
  const lead = layer(pick(ofRole("lead"), next), 1 + Math.floor(next() * 1.5));
  const between = Array.from({ length: 2 + Math.floor(next() * 3) }, () => {
    const figure = pick(ofRole(pick(BETWEEN, next)), next);
    return layer(figure, figure.role === "counterline" ? 1 : 1 + Math.floor(next() * 3));
  });
  return [lead, ...bass, ...between].filter(({ parts }) => parts.length > 0);
}

/** The setting of a seed; metres come in turn. */
export function generatedSetting(
  seed: number,
  { figures = ANY_SKETCHS_FIGURES }: { readonly figures?: readonly TableFigure[] } = {},
): GeneratedSetting {
  const next = random(seed);
  const metre = METRES[seed % METRES.length]!;
  const sketch = generatedSketch(metre, next);
  const plan = {
    name: `generated ${seed}`,
    passages: [{
      name: "All",
      fromBar: 1,
      toBar: sketch.score.bars.length,
      assignments: generatedLayers(next, { figures }).map(assign),
    }],
  };
  return {
    seed,
    metre,
    sketch,
    score: realise(sketch, plan, { orchestra: PLAYERS, refuseImpossible: false }),
  };
}
