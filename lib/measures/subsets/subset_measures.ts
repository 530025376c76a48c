/** What the measures say of any choice of layers, bar by bar. Subsets are whole numbers: the sum of 2 ** i over the layers i. */
import { silentCell } from "../../texture/silent_cell.ts";
import { applySettings } from "../../base/settings.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { layersOf } from "../../texture/layers.ts";
import type { Balance } from "../balance/balance_results.ts";
import { leadHeard } from "../balance/lead_heard.ts";
import { leadSpans, stretchesOf } from "../balance/lead_spans.ts";
import { type Listening, listeningTo } from "../balance/listening.ts";
import { barMomentum } from "../momentum/bar_momentum.ts";
import { barWindows } from "../momentum/bar_windows.ts";
import { audibilitiesOf, drivingBars } from "../momentum/driving_events.ts";
import { forcesOf } from "../momentum/forces_of.ts";
import { MOMENTUM_CONSTANTS } from "../momentum/momentum.ts";

/** One bar for every choice of its layers. */
export interface SubsetBar {
  readonly barIndex: number;
  readonly seconds: number;
  /** Layers that sound or attack in it, by id: the i-th stands for 2 ** i. */
  readonly layers: readonly string[];
  /**
   * Momentum of each subset, driving attacks per second: what `attribution` shares out. How audible each attack is stays as in the
   * full texture.
   */
  readonly momentum: Float64Array;
  /**
   * Audible share of the lead of each subset, as `balance` has it of these layers alone; NaN where none of them leads. Nothing else
   * covers it than what is in the subset. What doubles the lead is found in the full texture.
   */
  readonly leadAudible: Float64Array;
}

/** What is measured. */
interface SubsetInput {
  readonly texture: Texture;
  /** Balance of the whole. */
  readonly balance: Balance;
}

/** Measures every choice of the layers of every bar. */
export function subsetMeasures(score: Score, { texture, balance }: SubsetInput): readonly SubsetBar[] {
  const constants = applySettings("momentum", MOMENTUM_CONSTANTS);
  const { halfAudibleSones, halfForceDynamic } = constants;
  const audibilities = audibilitiesOf(score, texture, { heard: balance, halfAudibleSones });
  const forces = forcesOf(score, halfForceDynamic);
  const heardForces = audibilities.map((audibility, cell) => audibility * forces[cell]!);
  const bars = drivingBars(score, { texture, audibilities, constants });
  const listenTo = leadsTakenAway(score, texture);
  return barWindows(score, bars, constants).map((window, barIndex): SubsetBar => {
    const strokes = window.events.slice(window.from, window.to).flatMap((event) => event.strokes);
    const sounding = soundingIn(barIndex, listenTo(new Set()));
    const layers = [...new Set([...sounding, ...strokes.map((stroke) => stroke.layer)])];
    const index = new Map(layers.map((name, i) => [name, i]));
    const rhythm = barMomentum(window, constants, {
      count: layers.length,
      of: (stroke) => index.get(stroke.layer) ?? -1,
    });
    return {
      barIndex,
      seconds: window.seconds,
      layers,
      momentum: rhythm(heardForces).all().values,
      leadAudible: leadInSubsets(barIndex, layers, { texture, parts: score.parts.length, listenTo }),
    };
  });
}

/** Layers that sound in a bar. */
function soundingIn(bar: number, { score, moments }: Listening): readonly string[] {
  const { startTicks, durationTicks } = score.bars[bar]!;
  return moments.playedIn(bar, { from: startTicks, to: startTicks + durationTicks }).map((layer) => layer.id);
}

/** The score made ready to be listened to without some of its leads; most have none to take away. */
function leadsTakenAway(score: Score, texture: Texture): (away: ReadonlySet<string>) => Listening {
  const known = new Map<string, Listening>();
  return (away) => {
    const key = [...away].sort().join("\n");
    const found = known.get(key) ?? listeningTo(...withoutLayers(score, texture, away));
    known.set(key, found);
    return found;
  };
}

function withoutLayers(
  score: Score,
  texture: Texture,
  away: ReadonlySet<string>,
): [Score, { readonly texture: Texture }] {
  if (away.size === 0) return [score, { texture }];
  const parts = score.parts.length;
  const isAway = ({ onsetTicks, part }: Note) =>
    away.has(texture.cells[barIndexOf(score, onsetTicks) * parts + part]!.layer);
  const cells = texture.cells.map((cell): RoleCell =>
    away.has(cell.layer) ? silentCell(cell, "taken away") : cell
  );
  return [
    { ...score, notes: score.notes.filter((note) => !isAway(note)) },
    { texture: { ...texture, cells, layers: layersOf(cells, parts) } },
  ];
}

/** The lead's audible share in every subset of the layers of a bar. */
function leadInSubsets(
  bar: number,
  layers: readonly string[],
  { texture, parts, listenTo }: {
    readonly texture: Texture;
    readonly parts: number;
    readonly listenTo: (away: ReadonlySet<string>) => Listening;
  },
): Float64Array {
  const shares = new Float64Array(2 ** layers.length).fill(NaN);
  const cells = texture.cells.slice(bar * parts, (bar + 1) * parts);
  const leads = [...new Set(cells.filter((cell) => cell.role === "lead").map((cell) => cell.layer))];
  const leadBits = leads.reduce((sum, id) => sum + (layers.includes(id) ? 2 ** layers.indexOf(id) : 0), 0);
  for (const chosen of subsetsWithin(leadBits)) {
    const leading = layers.filter((_, i) => (chosen & 2 ** i) !== 0);
    const listening = listenTo(new Set(leads.filter((id) => !leading.includes(id))));
    const leaders = cells.filter((cell) => leading.includes(cell.layer)).map((cell) => cell.part);
    const notes = notesListenedTo(bar, leaders, listening);
    const rest = (shares.length - 1) & ~leadBits;
    for (const others of [0, ...subsetsWithin(rest)]) {
      const ids = new Set(layers.filter((_, i) => ((chosen | others) & 2 ** i) !== 0));
      shares[chosen | others] = shareOf(notes, ids, listening);
    }
  }
  return shares;
}

/** Every subset of some layers but the empty one. */
function subsetsWithin(bits: number): readonly number[] {
  const subsets: number[] = [];
  for (let s = bits; s > 0; s = (s - 1) & bits) subsets.push(s);
  return subsets;
}

/** A note of the lead with the layers that sound in each stretch in which it is listened to. */
interface NoteListenedTo {
  readonly heldOver: boolean;
  readonly seconds: number;
  readonly stretches: readonly ReturnType<Listening["moments"]["soundingIn"]>[];
}

function notesListenedTo(
  bar: number,
  leaders: readonly number[],
  listening: Listening,
): readonly NoteListenedTo[] {
  const { score, byBar, clock, moments, settings } = listening;
  return leadSpans(byBar[bar]!, leaders, score.bars[bar]!.startTicks).map((span) => ({
    heldOver: span.heldOver,
    seconds: clock(span.to) - clock(span.from),
    stretches: stretchesOf(span, clock, settings.listenSeconds).map((s) => moments.soundingIn(bar, s)),
  }));
}

/** Mean share over the notes of the lead, as `balance` takes it. */
function shareOf(
  notes: readonly NoteListenedTo[],
  ids: ReadonlySet<string>,
  { sounds, settings }: Listening,
): number {
  let sum = 0, seconds = 0;
  for (const note of notes) {
    const stretches = note.stretches.map((moment) => moment.filter((layer) => ids.has(layer.id)));
    if (!stretches.some((moment) => moment.some((layer) => layer.role === "lead"))) continue;
    const { aloneSones, audibleShare } = leadHeard(sounds.grid, stretches, settings.twoEarsDb);
    if (note.heldOver && aloneSones === 0) continue;
    sum += audibleShare * note.seconds;
    seconds += note.seconds;
  }
  return seconds > 0 ? sum / seconds : NaN;
}
