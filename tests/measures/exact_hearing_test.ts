/**
 * The fast evaluation of hearing against the exact one: all components of all notes through filters whose slopes follow
 * the level of everything together, on the standard's grid of 0.1 Cam (ISO 532-2:2017; `excitationPattern`). Moments
 * of the demo and, where they stand beside the checkout, of the OpenScore movements.
 */
import { assertGreater, assertLess } from "@std/assert";
import { demoScore, instrumentById, type Note, type Score, type Texture, textureOf } from "ripieno";
import {
  componentExcitation,
  erbGrid,
  erbPower,
  excitationPattern,
  loudnessSones,
  sumDecibels,
} from "ripieno/hearing";
import { harmonicLevels, soundPowerDb } from "ripieno/instruments";
import { hzOf } from "ripieno/score";
import { loudnessWhileSounding } from "../../lib/hearing/model/layer_loudness.ts";
import { layersHeard } from "../../lib/measures/balance/heard.ts";
import { beatsOfBar, listeningTo } from "../../lib/measures/balance/listening.ts";
import type { MomentSpan } from "../../lib/measures/balance/moment.ts";
import { shareSounding } from "../../lib/measures/sounding.ts";
import { openScore } from "../setup/open_scores.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { someBars } from "../setup/some_bars.ts";

const standard = erbGrid();
/** Level of a source in the hall of the defaults: Lw - 31 dB + 3 dB. */
const HALL_DB = -28;
const MOMENTS = 12;

interface Components {
  readonly hz: Float64Array;
  readonly levels: Float64Array;
}

/** A note's harmonics at the listener, from the catalogue's tables alone. */
function componentsOf(score: Score, note: Note, share: number): Components {
  const { instrument: id, players } = score.parts[note.part]!;
  const { soundingPitch, technique } = note;
  const instrument = instrumentById(id);
  const accent = note.articulations.includes("accent") || note.articulations.includes("marcato") ? 1 : 0;
  const dynamic = Math.min(8, Math.round((note.dynamic + accent) * 4) / 4);
  const shape = harmonicLevels(instrument, soundingPitch, dynamic, { technique });
  const level = soundPowerDb(instrument, dynamic, { soundingPitch, players }) + HALL_DB +
    10 * Math.log10(share);
  const shift = level - sumDecibels(shape);
  return {
    hz: Float64Array.from(shape, (_, i) => hzOf(soundingPitch) * (i + 1)),
    levels: shape.map((db) => db + shift),
  };
}

function joined(all: readonly Components[]): Components {
  return {
    hz: Float64Array.from(all.flatMap((c) => [...c.hz])),
    levels: Float64Array.from(all.flatMap((c) => [...c.levels])),
  };
}

function addUp(all: readonly Float64Array[]): Float64Array {
  const sum = new Float64Array(standard.centresHz.length);
  for (const one of all) one.forEach((x, c) => sum[c]! += x);
  return sum;
}

/** Errors of the fast evaluation, as shares. */
interface Errors {
  readonly whole: number[];
  readonly partialOfWhole: number[];
  readonly partialOfOwn: number[];
}

/** A moment of a score worked out exactly: sones of the whole, and of each layer beside the others. */
interface ExactMoment {
  readonly barIndex: number;
  readonly span: MomentSpan;
  readonly whole: number;
  readonly partial: Float64Array;
}

/** Moments of a score in which two notes or more sound, all pitched, worked out exactly. */
function exactMoments(plain: Score, texture: Texture): readonly ExactMoment[] {
  const { byBar, clock, moments, sounds } = listeningTo(plain, { texture });
  const step = Math.max(1, Math.floor(plain.bars.length / MOMENTS));
  const found: ExactMoment[] = [];
  for (let b = 0; b < plain.bars.length; b += step) {
    const span = beatsOfBar(plain, b)[0]!;
    const moment = moments.momentOf(b, span);
    const secondsPerTick = (clock(span.to) - clock(span.from)) / (span.to - span.from);
    const heardNotes = byBar[b]!.map((note) => ({
      note,
      share: shareSounding(note, sounds.instruments[note.part]!, span.from, span.to, secondsPerTick),
      layer: texture.cells[b * plain.parts.length + note.part]!.layer,
    })).filter(({ share }) => share > 0);
    if (heardNotes.length < 2 || heardNotes.some(({ note }) => note.unpitched)) continue;
    if (!heardNotes.every(({ layer }) => moment.some((l) => l.id === layer))) continue;
    const groups = moment.map(({ id }) =>
      joined(heardNotes.filter((n) => n.layer === id).map((n) => componentsOf(plain, n.note, n.share)))
    );
    const all = joined(groups);
    const powers = groups.map((g) => erbPower(standard, g.hz, g.levels));
    const { partial } = loudnessWhileSounding(
      standard,
      groups.map((g, i) => {
        const surroundings = addUp(powers.filter((_, j) => j !== i));
        return componentExcitation(standard, g.hz, g.levels, { surroundings });
      }),
      { soundingShares: moment.map((l) => l.soundingShare) },
    );
    const whole = loudnessSones(standard, excitationPattern(all.hz, all.levels).excitation);
    found.push({ barIndex: b, span, whole, partial });
  }
  return found;
}

const folder = sharedFolder("openscore-orchestra");
const files = folder
  ? [...Deno.readDirSync(folder)].map((e) => e.name).filter((n) => n.endsWith(".mxl")).toSorted()
  : [];
const scores = [
  demoScore(),
  // Their first pages: what sounds together there is as varied as later on, and movements take seconds to read.
  ...files.map((file) => someBars(openScore(new URL(file, folder)), { from: 0, to: 71 })),
].map((score) => {
  // Without signs and words, so that every held note keeps one strength and all players, and can be worked out here alone.
  const plain: Score = {
    ...score,
    parts: score.parts.map(({ writtenDynamics: _signs, playing: _words, ...part }) => part),
  };
  const texture = textureOf(plain);
  return { plain, texture, exact: exactMoments(plain, texture) };
});

const largest = (values: readonly number[]) => Math.max(...values);
const percentile95 = (values: readonly number[]) =>
  values.toSorted((a, b) => a - b)[Math.floor(0.95 * (values.length - 1))]!;

function measured(detail: "full" | "quick"): Errors {
  const errors: Errors = { whole: [], partialOfWhole: [], partialOfOwn: [] };
  for (const { plain, texture, exact } of scores) {
    const { moments, sounds } = listeningTo(plain, { detail, texture });
    for (const { barIndex, span, whole, partial } of exact) {
      const fast = layersHeard(
        sounds.grid,
        moments.momentOf(barIndex, span).map((l) => ({ content: l.all, soundingShare: l.soundingShare })),
      );
      errors.whole.push(Math.abs(fast.whole / whole - 1));
      partial.forEach((sones, i) => {
        const off = Math.abs(fast.partial[i]! - sones);
        errors.partialOfWhole.push(off / whole);
        if (sones > 0.5) errors.partialOfOwn.push(off / sones);
      });
    }
  }
  const percent = (x: number) => `${(100 * x).toFixed(2)} %`;
  const line = (name: string, values: readonly number[]) =>
    `${name} ${percent(percentile95(values))} (95th percentile), ${percent(largest(values))} (largest)`;
  console.log(
    `${detail}: ${errors.whole.length} moments of ${scores.length} scores; ${line("whole", errors.whole)}; ${
      line("a layer, of the whole's sones", errors.partialOfWhole)
    }; ${line("a layer, of its own sones where over 0.5", errors.partialOfOwn)}`,
  );
  assertGreater(errors.whole.length, 10);
  return errors;
}

Deno.test("hearing in full is within 0.2 % of the exact sones of the whole, and within 2 % of a layer's own (95 of 100)", () => {
  const errors = measured("full");
  assertLess(largest(errors.whole), 0.002);
  assertLess(largest(errors.partialOfWhole), 0.005);
  assertLess(percentile95(errors.partialOfOwn), 0.02);
});

Deno.test("quick hearing is within 3 % of the exact sones of the whole, and a layer within 3 % of the whole's sones", () => {
  const errors = measured("quick");
  assertLess(largest(errors.whole), 0.03);
  assertLess(largest(errors.partialOfWhole), 0.03);
});
