/** Ways to give a passage a contour: who grows and fades, who comes in where it stands high, who goes lower where it stands low. */
import { CONTOUR_SHAPES, type ContourShapeName, curveOver } from "../../measures/contour/contour_shapes.ts";
import type { Role } from "../../texture/roles.ts";
import type { Passage } from "../plan/plan.ts";
import type { Wish } from "../rewrite/wish.ts";
import { figuresAt } from "./figures_at.ts";
import { markFrom, type PassageGroup, stepsDown } from "./groups_in.ts";
import type { PassageScene } from "./scene.ts";
import type { TrialWay } from "./trial_way.ts";

/** Steps of loudness between the lowest place of a contour and its highest, tried one after the other: a growth of two steps is heard, one of four is a great one. Common practice, no source. */
const GROWTHS = [2, 4] as const;

/** Where in a contour a group stands at its own mark: near the top, so that it is not driven far beyond it. Model assumption. */
const OWN_MARK = 0.75;

/** Lowest mean pitch from which a group may go an octave lower, sounding MIDI pitch. Common practice, no source. */
const MAY_GO_LOWER = 60;

/** Some bars of the passage, as printed, with the heights at which a contour begins and ends there, from 0 to 1. */
interface ShapedBars extends Pick<Passage, "fromBar" | "toBar"> {
  readonly from: number;
  readonly to: number;
}

/** All ways worth trying to give a passage a shape. */
export function waysToShape(
  shape: ContourShapeName,
  { scene, groups }: { readonly scene: PassageScene; readonly groups: readonly PassageGroup[] },
): readonly TrialWay[] {
  const playing = groups.filter((g) => g.role !== "rest");
  const behind = playing.filter((g) => g.role !== "lead" && g.role !== "bass");
  const legs = legsOf(shape, scene);
  const low = stretchesOf(shape, scene, (height) => height < 0.5);
  const high = stretchesOf(shape, scene, (height) => height >= 0.5);
  return [
    ...GROWTHS.flatMap((steps) => [
      ...(playing.length > 1 ? [grown(playing, "all", { shape, legs, steps })] : []),
      ...playing.map((group) => grown([group], group.words, { shape, legs, steps })),
    ]),
    ...behind.map((group) => ({
      what: `${group.words}: only where it stands high`,
      why: `${group.words} come in where the passage is to be full and leave it where it is to be thin.`,
      wishes: low.map((bars): Wish => ({ ...barsOf(bars), parts: group.parts, role: "rest" })),
    })),
    ...behind.filter((g) => g.pitch !== null && g.pitch >= MAY_GO_LOWER).map((group) => ({
      what: `${group.words}: an octave lower where it stands low`,
      why: `The register of ${group.words} goes with the shape.`,
      wishes: low.map((bars): Wish => ({ ...barsOf(bars), parts: group.parts, octave: -1 })),
    })),
    ...behind.flatMap((group) =>
      stirring(scene, group).map(({ id, role }) => ({
        what: `${group.words}: ${id} where it stands high`,
        why: "More begins where the passage stands high.",
        wishes: high.map((bars): Wish => ({ ...barsOf(bars), parts: group.parts, role, figure: id })),
      }))
    ),
  ];
}

const barsOf = ({ fromBar, toBar }: ShapedBars) => ({ fromBar, toBar });

/** Figures with more strokes than are there, for a group that holds or repeats chords. */
function stirring(scene: PassageScene, group: PassageGroup) {
  const roles: readonly Role[] = group.role === "pad" || group.role === "pulse" ? ["pulse"] : [];
  return roles.flatMap((role) => figuresAt(scene, role, group)).filter(({ id }) => id !== group.figure);
}

/** What a shape asks of loudness, in words. */
const GROWS: Readonly<Record<ContourShapeName, string>> = {
  rise: "grows from first to last",
  fall: "fades from first to last",
  arch: "grows to the middle and fades",
  bowl: "fades to the middle and grows",
};

/** Some groups growing and fading with a shape. */
function grown(
  groups: readonly PassageGroup[],
  who: string,
  { shape, legs, steps }: {
    readonly shape: ContourShapeName;
    readonly legs: readonly ShapedBars[];
    readonly steps: number;
  },
): TrialWay {
  const rises = (height: number) => Math.round(steps * (height - OWN_MARK));
  const lowest = Math.min(...legs.flatMap(({ from, to }) => [rises(from), rises(to)]));
  // Who plays as softly as anybody is asked to grows from there.
  const at = (group: PassageGroup, height: number) =>
    markFrom(group, rises(height) + Math.max(0, -lowest - stepsDown(group)));
  return {
    what: `${who}: ${
      legs.map(({ from, to }) => `${at(groups[0]!, from)} to ${at(groups[0]!, to)}`).join(", ")
    }`,
    why: `Loudness ${GROWS[shape]}, and it tells most of a shape.`,
    wishes: groups.flatMap((group) =>
      legs.map((leg): Wish => ({
        ...barsOf(leg),
        parts: group.parts,
        dynamic: at(group, leg.from),
        dynamicEnd: at(group, leg.to),
      }))
    ),
  };
}

/** The bars of a passage between the points of a shape: where it goes on one way. */
function legsOf(shape: ContourShapeName, { score, bars }: PassageScene): readonly ShapedBars[] {
  const points = CONTOUR_SHAPES[shape];
  const count = bars.toBarIndex - bars.fromBarIndex + 1;
  const legs = Math.min(count, points.length - 1);
  const cut = (leg: number) => Math.round(leg * count / legs);
  return Array.from({ length: legs }, (_, leg) => ({
    ...printed(score, bars.fromBarIndex + cut(leg), bars.fromBarIndex + cut(leg + 1) - 1),
    from: points[leg]!,
    to: points[leg + 1]!,
  }));
}

/** Stretches of bars in which a shape stands high, or low. */
function stretchesOf(
  shape: ContourShapeName,
  { score, bars: { fromBarIndex, toBarIndex } }: PassageScene,
  isMeant: (height: number) => boolean,
): readonly ShapedBars[] {
  const heights = curveOver(CONTOUR_SHAPES[shape], toBarIndex - fromBarIndex + 1);
  const stretches: ShapedBars[] = [];
  heights.forEach((height, b) => {
    if (!isMeant(height)) return;
    const goesOn = b > 0 && isMeant(heights[b - 1]!) ? stretches.pop() : undefined;
    const own = printed(score, fromBarIndex + b, fromBarIndex + b);
    stretches.push({ ...own, ...(goesOn ? { fromBar: goesOn.fromBar } : {}), from: height, to: height });
  });
  return stretches;
}

function printed({ bars }: PassageScene["score"], fromBarIndex: number, toBarIndex: number) {
  return { fromBar: Number(bars[fromBarIndex]!.number), toBar: Number(bars[toBarIndex]!.number) };
}
