/** Engraved systems as a picture: title, legend, words for who cannot see it. */
import { capitalised } from "../../base/words.ts";
import type { ScoreWithTexture } from "../../orchestrate/rewrite/excerpt.ts";
import { ROLE_NAMES } from "../../texture/roles.ts";
import { chartFrame, type FrameBlock, type LegendEntry } from "../drawing/frame.ts";
import { type Chart, h, STILL } from "../drawing/svg.ts";
import { spanInWords } from "../drawing/words.ts";
import { type EngravedMusic, SIDE, type SystemAtBar } from "./engraved_music.ts";
import { barsOf } from "./engraved_system.ts";
import { namesOfRoles, roleOfWords } from "./role_words.ts";
import { sharedDefinitions, systemDrawing } from "./system_drawing.ts";

/** Width of a picture at least, in pixels: titles need room. */
const NARROWEST = 320;
/** Pixels between systems. */
const GAP = 22;

/** Systems below each other as one picture. */
export function pictureOf(page: EngravedMusic, systems: readonly SystemAtBar[]): Chart {
  const { given, byRole, partOf, scale, title } = page;
  const name = `engraving-${systems[0]!.mark}`;
  const names = namesOfRoles(given);
  const roleAt = (firstBar: number) => (bar: number, stave: number) => {
    const part = partOf[stave] ?? -1;
    return given.texture.cells[(firstBar + bar) * given.score.parts.length + part]?.role;
  };
  const blocks = systems.map((system, i): FrameBlock => {
    const drawing = systemDrawing(system, {
      name,
      scale,
      ...(byRole
        ? { roleAt: roleAt(system.firstBar), roleOf: (words: string) => roleOfWords(words, names) }
        : {}),
    });
    const element = h(
      "g",
      { transform: `translate(${SIDE},0)` },
      ...(i === 0 ? sharedDefinitions(systems, name) : []),
      drawing,
    );
    return { element, height: Math.ceil(system.height * scale) + (i < systems.length - 1 ? GAP : 4) };
  });
  const width = Math.ceil(Math.max(NARROWEST, ...systems.map((s) => s.width * scale + 2 * SIDE)));
  const chart = chartFrame({
    name,
    width,
    title,
    note: noteOf(page, systems),
    label: labelOf(page),
    legend: byRole ? legendOf(given, names) : [],
    blocks,
  });
  chart.setAttribute("class", `${chart.getAttribute("class")} ${STILL}`);
  return chart;
}

/** Which bars stand there: the engraver leaves their number out beside a rehearsal mark. */
function noteOf({ given: { score }, sounding }: EngravedMusic, systems: readonly SystemAtBar[]): string {
  const [first, last] = [systems[0]!, systems.at(-1)!];
  const toBarIndex = last.firstBar + barsOf(last).length - 1;
  const span = capitalised(spanInWords(score, { fromBarIndex: first.firstBar, toBarIndex }));
  return sounding ? `${span}, at sounding pitch` : span;
}

function legendOf(
  { texture }: ScoreWithTexture,
  names: ReadonlyMap<string, string>,
): readonly LegendEntry[] {
  const there = new Set(texture.cells.map((c) => c.role));
  const called = (role: string) =>
    [...names].filter(([, r]) => r === role).map(([word]) => word).join(", ") || role;
  return ROLE_NAMES.filter((role) => role !== "rest" && there.has(role)).map((role) => [role, called(role)]);
}

/** The picture in words, for readers who cannot see it. */
function labelOf({ given: { score, texture }, byRole, title }: EngravedMusic): string {
  const span = spanInWords(score, { fromBarIndex: 0, toBarIndex: score.bars.length - 1 });
  const parts = score.parts.map((part, p) => {
    const roles = new Set(texture.cells.filter((c) => c.part === p && c.role !== "rest").map((c) => c.role));
    return byRole && roles.size > 0 ? `${part.name} (${[...roles].join(", then ")})` : part.name;
  });
  return `${title === "" ? "" : `${title}. `}Notation of ${span}: ${parts.join(", ")}`;
}
