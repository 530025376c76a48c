/**
 * Settings as anybody might ask for them: all keys, all metres, tempi from 40 to 200, from a symphony orchestra to a trio,
 * roles handed round, octaves and ways of playing by choice. Each is written or refused; nothing else may happen.
 *
 *     deno run -A tests/setup/tried_settings.ts 2000
 */
import { InputError } from "../../lib/base/errors.ts";
import { orchestra, type OrchestraPart } from "../../lib/instruments/orchestra.ts";
import { playability } from "../../lib/measures/playability/playability.ts";
import { assign, type AssignmentInput, type Passage, type Plan } from "../../lib/orchestrate/plan/plan.ts";
import type { Sketch } from "../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../lib/score/model.ts";
import { generatedLayers, PLAYERS } from "./generated_settings.ts";
import { generatedSketch, type Metre, METRES, pick } from "./generated_sketches.ts";
import { random } from "./random.ts";

const one = (name: string, instrument: string): OrchestraPart => ({ name, instrument, players: 1 });

/** Who plays. */
const ORCHESTRAS: Readonly<Record<string, () => readonly OrchestraPart[]>> = {
  everybody: () => PLAYERS,
  symphony: () => orchestra("symphony"),
  chamber: () => orchestra("chamber"),
  strings: () => orchestra("strings"),
  "piano trio": () => [one("Violin", "violin"), one("Cellos", "cello"), one("Piano", "piano")],
  "reed trio": () => [one("Oboe", "oboe"), one("Clarinet", "clarinet in Bb"), one("Bassoon 1", "bassoon")],
  "wind quintet": () => [
    one("Flute", "flute"),
    one("Oboe", "oboe"),
    one("Clarinet", "clarinet in Bb"),
    one("Horn", "horn in F"),
    one("Bassoon 1", "bassoon"),
  ],
  "brass quintet": () => [
    one("Trumpet 1", "trumpet in C"),
    one("Trumpet 2", "trumpet in C"),
    one("Horn", "horn in F"),
    one("Trombone", "tenor trombone"),
    one("Tuba", "tuba"),
  ],
};

/** Where passages of sixteen bars end. */
const PASSAGES: readonly (readonly number[])[] = [[16], [8, 16], [4, 12, 16]];

/** What came of one request. */
export interface Tried {
  readonly seed: number;
  readonly metre: Metre;
  readonly players: string;
  readonly quartersPerMinute: number;
  readonly sketch: Sketch;
  readonly plan: Plan;
  /** The setting, where it was written. */
  readonly score?: Score;
  /** Findings of what nobody can play in it. */
  readonly impossible: number;
  /** Why it was refused. */
  readonly refusal?: InputError;
  /** What went wrong where it was neither. */
  readonly exception?: unknown;
}

/** What a layer may be asked for besides. */
function dressed(layer: AssignmentInput, next: () => number): AssignmentInput {
  const grows = next() < 0.2;
  const octave = layer.role === "lead" && next() < 0.15 ? pick([-1, 1], next) : null;
  return {
    ...layer,
    dynamic: grows ? "p" : layer.dynamic ?? pick(["pp", "p", "mf", "f"], next),
    ...(grows ? { dynamicEnd: pick(["mf", "f"], next) } : {}),
    octave,
  };
}

/** Asks for the setting of a seed; metres come in turn. */
export function trySetting(seed: number): Tried {
  const next = random(seed);
  const metre = METRES[seed % METRES.length]!;
  const quartersPerMinute = 40 + Math.floor(161 * next());
  const players = pick(Object.keys(ORCHESTRAS), next);
  const sketch = generatedSketch(metre, next, { anyKey: true, quartersPerMinute });
  const who = ORCHESTRAS[players]!();
  let fromBar = 1;
  const passages = pick(PASSAGES, next).map((toBar, i): Passage => {
    const assignments = generatedLayers(next, { players: who }).map((layer) => assign(dressed(layer, next)));
    const passage = { name: "ABC"[i]!, fromBar, toBar, assignments };
    fromBar = toBar + 1;
    return passage;
  });
  const plan: Plan = { name: `tried ${seed}`, passages };
  const asked = { seed, metre, players, quartersPerMinute, sketch, plan };
  try {
    const score = realise(sketch, plan, { orchestra: who });
    const impossible = playability(score).findings.filter((f) => f.severity === "impossible").length;
    return { ...asked, score, impossible };
  } catch (error) {
    return {
      ...asked,
      impossible: 0,
      ...(error instanceof InputError ? { refusal: error } : { exception: error }),
    };
  }
}

if (import.meta.main) {
  const count = Number(Deno.args[0] ?? 2000);
  const first = Number(Deno.args[1] ?? 50_000);
  const rules = new Map<string, number>();
  const totals = { written: 0, refused: 0, exceptions: 0, impossible: 0 };
  for (let seed = first; seed < first + count; seed++) {
    const { score, refusal, exception, impossible } = trySetting(seed);
    totals.impossible += impossible;
    if (score) totals.written++;
    if (exception !== undefined) {
      totals.exceptions++;
      console.log(seed, exception);
    }
    if (refusal) {
      totals.refused++;
      const rule = /\(rule: ([^)]*)\)/.exec(refusal.message)?.[1] ?? refusal.message;
      rules.set(rule, (rules.get(rule) ?? 0) + 1);
      if ((rules.get(rule) ?? 0) <= 3) console.log(seed, refusal.message);
    }
  }
  console.log(totals, rules);
}
