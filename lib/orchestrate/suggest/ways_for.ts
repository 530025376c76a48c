/** Ways to meet a wish, before they are tried in the notes: who could do what else. */
import { feltUnit, figuresAt } from "./figures_at.ts";
import type { Wish } from "../rewrite/wish.ts";
import { type FigureId, figuresFor } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import { canSing, couldComeIn, markFrom, type PassageGroup, stepsDown, stepsUp } from "./groups_in.ts";
import type { PassageScene } from "./scene.ts";
import type { PassageWish } from "./suggest_results.ts";
import type { TrialWay } from "./trial_way.ts";
import { waysToShape } from "./ways_to_shape.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";

/** What ways are made of. */
interface WaysInput {
  readonly scene: PassageScene;
  readonly groups: readonly PassageGroup[];
  /** Findings in the passage as it is. */
  readonly findings: readonly PlayabilityFinding[];
}

type PrintedBars = Pick<Wish, "fromBar" | "toBar">;

/** The bars of the passage as printed. */
function spanOf({ score, bars }: PassageScene): PrintedBars {
  return {
    fromBar: Number(score.bars[bars.fromBarIndex]!.number),
    toBar: Number(score.bars[bars.toBarIndex]!.number),
  };
}

/** All ways worth trying. */
export function waysFor(wish: PassageWish, input: WaysInput): readonly TrialWay[] {
  return WAYS[wish](input);
}

const WAYS: Readonly<Record<PassageWish, (input: WaysInput) => readonly TrialWay[]>> = {
  "move more": moveMore,
  "lead clearer": leadClearer,
  "fresher": fresher,
  "lighter": lighter,
  "rest the brass": restTheBrass,
  "playable": playable,
  "rise": (input) => waysToShape("rise", input),
  "fall": (input) => waysToShape("fall", input),
  "arch": (input) => waysToShape("arch", input),
  "bowl": (input) => waysToShape("bowl", input),
};

/** A group in another role and figure. */
function instead(
  { scene }: WaysInput,
  group: PassageGroup,
  to: Pick<Wish, "role" | "figure" | "dynamic">,
  why: string,
): TrialWay {
  const was = group.role === "rest"
    ? ""
    : ` instead of ${group.figure === "none" ? group.role : group.figure}`;
  return {
    what: `${group.words}: ${to.figure ?? to.role}${to.dynamic ? `, ${to.dynamic}` : ""}${was}`,
    why,
    wishes: [{ ...spanOf(scene), parts: group.parts, ...to }],
  };
}

/** A group that keeps its notes and plays them otherwise. */
function otherwise(
  { scene }: WaysInput,
  group: PassageGroup,
  to: Pick<Wish, "dynamic" | "octave">,
  { what, why }: { readonly what: string; readonly why: string },
): TrialWay {
  return { what: `${group.words}: ${what}`, why, wishes: [{ ...spanOf(scene), parts: group.parts, ...to }] };
}

/** A group that plays so many steps louder, or softer, where there is a mark for it. */
function marked(input: WaysInput, group: PassageGroup, steps: number, why: string): readonly TrialWay[] {
  if (-steps > stepsDown(group) || steps > stepsUp(group)) return [];
  const dynamic = markFrom(group, steps);
  return [
    otherwise(input, group, { dynamic }, {
      what: `${dynamic} instead of ${dynamicMark(group.dynamic)}`,
      why,
    }),
  ];
}

/** A group that is silent. */
function silent({ scene }: WaysInput, group: PassageGroup, why: string): TrialWay {
  return {
    what: `${group.words}: rest`,
    why,
    wishes: [{ ...spanOf(scene), parts: group.parts, role: "rest" }],
  };
}

const isSecondary = ({ role }: PassageGroup) => role !== "lead" && role !== "rest";

/** Roles that are for moving already, and may move more. */
const MOVING: readonly Role[] = ["pulse", "figuration", "run", "trill"];

function moveMore(input: WaysInput): readonly TrialWay[] {
  const still = input.groups.filter((g) => isSecondary(g) || couldComeIn(g));
  return still.flatMap((group) => {
    const roles: readonly Role[] = group.role === "bass" ? ["bass"] : MOVING;
    const dynamic = group.role === "rest" ? { dynamic: markFrom(group, -2) } : {};
    return roles.flatMap((role) => figuresAt(input.scene, role, group)).map(({ id, role, perSecond }) =>
      instead(
        input,
        group,
        { role, figure: id, ...dynamic },
        `${group.words} ${
          group.role === "rest" ? "rested" : MOVING.includes(group.role) ? "moved less" : "stood still"
        }${perSecond > 0 ? `; ${perSecond.toFixed(1)} strokes a second are new` : "; the stir is new"}.`,
      )
    );
  });
}

function leadClearer(input: WaysInput): readonly TrialWay[] {
  const secondary = input.groups.filter(isSecondary);
  const leads = input.groups.filter((g) => g.role === "lead");
  const softer = secondary.flatMap((group) =>
    [-1, -2, -3].flatMap((steps) =>
      marked(input, group, steps, `${group.words} cover less of the lead when they are softer.`)
    )
  );
  const all = softerTogether(input, secondary);
  const gone = secondary.map((group) =>
    silent(input, group, `What ${group.words} covered of the lead is heard again.`)
  );
  const lower = secondary.filter((g) => g.pitch !== null && g.pitch >= 60 && g.role !== "bass").map((group) =>
    otherwise(input, group, { octave: -1 }, {
      what: "an octave lower",
      why: `${group.words} leave the lead's register to it.`,
    })
  );
  const louder = leads.flatMap((group) => marked(input, group, 1, "The lead itself is louder."));
  const higher = leads.map((group) =>
    otherwise(input, group, { octave: 1 }, {
      what: "an octave higher",
      why: "The lead stands above what covers it.",
    })
  );
  const resting = input.groups.filter(couldComeIn);
  const doubled = resting.flatMap((group) =>
    group.parts.slice(0, 2).map((part): TrialWay => ({
      what: `${part}: doubles the lead`,
      why: `${part} rested and can lend the lead its colour.`,
      wishes: [{ ...spanOf(input.scene), parts: [part], role: "lead" }],
    }))
  );
  return [...softer, ...all, ...gone, ...lower, ...louder, ...higher, ...doubled];
}

/** All that is not the lead softer at once, each by so many steps as there are marks for. */
function softerTogether({ scene }: WaysInput, secondary: readonly PassageGroup[]): readonly TrialWay[] {
  const louder = secondary.filter((group) => stepsDown(group) > 0);
  if (louder.length < 2) return [];
  const most = Math.max(...louder.map(stepsDown));
  return [-1, -2, -3].filter((steps) => -steps <= most).map((steps): TrialWay => ({
    what: `all but the lead ${["a step", "two steps", "three steps"][-steps - 1]} softer`,
    why: "What covers the lead together gives way together.",
    wishes: louder.map((group) => ({
      ...spanOf(scene),
      parts: group.parts,
      dynamic: markFrom(group, steps),
    })),
  }));
}

function fresher(input: WaysInput): readonly TrialWay[] {
  const { groups, scene } = input;
  const leads = groups.filter((g) => g.role === "lead");
  const others = groups.filter((g) => g.role !== "lead" && g.role !== "bass" && canSing(g));
  const handed = leads.slice(0, 1).flatMap((lead) =>
    others.map((group): TrialWay => {
      const takes: Pick<Wish, "role" | "figure"> = group.role === "rest"
        ? { role: "rest" }
        : { role: group.role, ...known(group) };
      const part = group.parts[0]!;
      return {
        what: `${part} leads; ${lead.words}: ${group.role === "rest" ? "rest" : group.figure}`,
        why: "Another colour carries the tune, and those who had it rest or accompany.",
        wishes: [
          { ...spanOf(scene), parts: [part], role: "lead" },
          { ...spanOf(scene), parts: lead.parts, ...takes },
        ],
      };
    })
  );
  const refigured = groups.filter(isSecondary).flatMap((group) => {
    const roles: readonly Role[] = group.role === "bass" ? ["bass"] : ["pad", "pulse", "figuration", "trill"];
    return roles.flatMap((role) => figuresAt(scene, role, group)).filter(({ id }) => id !== group.figure)
      .map(({ id, role }) =>
        instead(input, group, { role, figure: id }, "The background is another one than before.")
      );
  });
  const entered = groups.filter(couldComeIn).flatMap((group) =>
    figuresAt(scene, "pad", group).map(({ id, role }) =>
      instead(
        input,
        group,
        { role, figure: id, dynamic: markFrom(group, -2) },
        `${group.words} come in as a new colour.`,
      )
    )
  );
  return [...handed, ...refigured, ...entered];
}

/** The figure of a group where the table has it for its role; else the usual one. */
function known({ role, figure }: PassageGroup): Pick<Wish, "figure"> {
  const found = figuresFor(role).find((f) => f.id === figure);
  return found ? { figure: found.id } : {};
}

/** Figures with air between the beats. */
const AIRY: Readonly<Record<"twos" | "threes", readonly FigureId[]>> = {
  twos: ["off-beats", "after-beats"],
  threes: ["off-beats in threes"],
};

function lighter(input: WaysInput): readonly TrialWay[] {
  const secondary = input.groups.filter(isSecondary);
  return [
    ...secondary.map((group) => silent(input, group, `Fewer play: ${group.words} rest.`)),
    ...secondary.flatMap((group) =>
      [-1, -2].flatMap((steps) => marked(input, group, steps, "The background weighs less."))
    ),
    ...secondary.filter((g) => g.role === "pad" || g.role === "pulse").flatMap((group) =>
      (feltUnit(input.scene) === 3 ? AIRY.threes : AIRY.twos).map((figure) =>
        instead(input, group, { role: "pulse", figure }, "Air comes between the beats.")
      )
    ),
    ...secondary.filter((g) => g.role === "bass").map((group) =>
      instead(
        input,
        group,
        { role: "bass", figure: "bass on the downbeat" },
        "The bass touches each bar once.",
      )
    ),
  ];
}

function restTheBrass(input: WaysInput): readonly TrialWay[] {
  const { groups, scene } = input;
  const brass = groups.filter((g) => g.family === "brass" && g.role !== "rest");
  if (brass.length === 0) return [];
  const quiet = brass.map((group) => ({ ...spanOf(scene), parts: group.parts, role: "rest" as const }));
  const alone: TrialWay = {
    what: `${brass.map((g) => g.words).join(", ")}: rest`,
    why: "The brass breathe; nothing takes their place.",
    wishes: quiet,
  };
  const leads = brass.some((g) => g.role === "lead");
  const needs: Role = leads ? "lead" : brass[0]!.role;
  const takers = groups.filter((g) =>
    g.family !== "brass" && canSing(g) &&
    (g.role === "rest" || g.role === "pad")
  );
  const replaced = takers.map((group): TrialWay => ({
    what: `${alone.what}; ${group.words}: ${needs === "lead" ? "the lead" : brass[0]!.figure}`,
    why: `${group.words} take over what the brass had.`,
    wishes: [
      ...quiet,
      {
        ...spanOf(scene),
        parts: needs === "lead" ? group.parts.slice(0, 1) : group.parts,
        role: needs,
        ...(needs === "lead" ? {} : known(brass[0]!)),
        dynamic: markFrom(brass[0]!, 0),
      },
    ],
  }));
  return leads && !groups.some((g) => g.role === "lead" && g.family !== "brass")
    ? replaced
    : [alone, ...replaced];
}

function playable(input: WaysInput): readonly TrialWay[] {
  const { groups, scene, findings } = input;
  const hard = new Set(findings.filter((f) => f.severity !== "note").map((f) => f.partName));
  return groups.filter((g) => g.role !== "rest" && g.parts.some((name) => hard.has(name))).flatMap(
    (group) => {
      const own: PassageGroup = { ...group, parts: group.parts.filter((name) => hard.has(name)) };
      const simpler = isSecondary(group)
        ? figuresAt(scene, group.role, group).map(({ id, role }) =>
          instead(input, own, { role, figure: id }, "The figure asks less of the players.")
        )
        : [];
      const held = isSecondary(group) && group.role !== "bass"
        ? [
          instead(
            input,
            own,
            { role: "pad", figure: "held chord" },
            "Held notes ask least of fingers and tongue.",
          ),
        ]
        : [];
      const softer = stepsDown(group) === 0 ? [] : [
        otherwise(input, own, { dynamic: markFrom(group, -2) }, {
          what: markFrom(group, -2),
          why: "Softer playing tires less and suits the register.",
        }),
      ];
      const octaves = [-1, 1].map((octave) =>
        otherwise(input, own, { octave }, {
          what: `an octave ${octave < 0 ? "lower" : "higher"}`,
          why: "The notes lie in a register that speaks.",
        })
      );
      return [
        ...simpler,
        ...held,
        ...softer,
        ...octaves,
        silent(input, own, "Who rests has nothing to stumble over."),
      ];
    },
  );
}
