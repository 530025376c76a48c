/** What charts of roles, notes and chords have found, in a line. */
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { chordAsPrinted, keyAsPrinted } from "../drawing/note_name.ts";
import type { BarSpan } from "../drawing/spans.ts";
import { capitalised } from "../../base/words.ts";
import { counted, listed, numbersTogether, percent } from "../drawing/words.ts";
import { ofBars } from "./motion_titles.ts";

/** A part with its role over some bars. */
interface RoleStretch extends BarSpan {
  readonly part: number;
  readonly role: Role;
}

/** Parts named in a title at most. */
const MOST_NAMES = 3;

/** Who leads for how long, and over what. */
export function rolesTitle(
  runs: readonly RoleStretch[],
  names: readonly string[],
  { fromBarIndex, toBarIndex }: BarSpan,
): string {
  const bars = Array.from({ length: toBarIndex + 1 - fromBarIndex }, (_, i) => fromBarIndex + i);
  const leading = bars.map((bar) =>
    runs.filter((r) => r.role === "lead" && r.fromBarIndex <= bar && r.toBarIndex >= bar).map((r) => r.part)
      .sort((a, b) => a - b).join(" ")
  );
  const others = ROLE_NAMES.filter((role) => role !== "lead" && runs.some((r) => r.role === role));
  const over = others.length === 0 ? "" : others.length > 4 ? `${others.length} other roles` : listed(others);
  const led = leading.filter((parts) => parts !== "");
  if (led.length === 0) return over === "" ? "Nobody plays" : `Nobody leads: ${over}`;
  const hands = [...Map.groupBy(led, (parts) => parts)].toSorted(([, a], [, b]) => b.length - a.length);
  const [who, own] = hands[0]!;
  const parts = who.split(" ").map((part) => names[Number(part)] ?? "");
  const leads = parts.length > 1 || /s\b/.test(parts[0]!.replace(/ss\b/, "")) ? "lead" : "leads";
  const named = numbersTogether(listed(parts, MOST_NAMES));
  const under = over === "" ? "" : `, over ${over}`;
  if (hands.length === 1) return `${named} ${leads} in ${ofBars(own.length, bars.length)}${under}`;
  const longest = `${named} ${leads} longest, in ${ofBars(own.length, bars.length)}`;
  return `The lead changes hands ${times(changesOf(led))}; ${longest}${under}`;
}

function changesOf(leads: readonly string[]): number {
  return leads.filter((lead, i) => i > 0 && lead !== leads[i - 1]).length;
}

function times(count: number): string {
  return count === 1 ? "once" : count === 2 ? "twice" : `${count}\u00a0times`;
}

/** How many layers sound, and which has most of the notes. */
export function layersTitle(notes: readonly { readonly role: Role }[], bars: string): string {
  const counts = [...Map.groupBy(notes, (n) => n.role)].map(([role, own]) => ({ role, count: own.length }))
    .toSorted((a, b) => b.count - a.count);
  const [most] = counts;
  if (most === undefined) return `Nothing sounds in ${bars}`;
  if (counts.length === 1) {
    return capitalised(`${bars}: ${most.role} alone, ${counted(notes.length, "note")}`);
  }
  return capitalised(
    `${bars}: ${counted(counts.length, "role")}, and ${
      percent(most.count / notes.length)
    } of the notes are ${most.role}`,
  );
}

/** The keys, the one that lasts longest first, and how often chords change. */
export function harmonyTitle(
  chords: readonly {
    readonly span: { readonly symbol: string };
    readonly from: number;
    readonly to: number;
  }[],
  keys: readonly { readonly name: string; readonly from: number; readonly to: number }[],
  bars: number,
): string {
  const sounding = chords.filter((c) => c.span.symbol !== "N.C.");
  if (sounding.length === 0) return "No chord is read here";
  const lasting = [...Map.groupBy(keys, (k) => k.name)]
    .map(([name, own]) => ({
      name: keyAsPrinted(name),
      bars: own.reduce((sum, k) => sum + k.to - k.from, 0),
    }))
    .toSorted((a, b) => b.bars - a.bars);
  const [home, next] = lasting;
  const pace = sounding.length / Math.max(1, bars);
  const often = sounding.length === 1
    ? `one chord, ${chordAsPrinted(sounding[0]!.span.symbol)}`
    : pace >= 0.67
    ? `${pace < 1.5 ? "about a chord" : `about ${Math.round(pace)} chords`} a bar`
    : `about a chord in ${Math.round(1 / pace)} bars`;
  if (home === undefined) return capitalised(often);
  if (next === undefined) return `In ${home.name} throughout, ${often}`;
  const rest = lasting.length - 2;
  return `Mostly in ${home.name}, then ${next.name}${rest > 0 ? ` and ${rest} more` : ""}; ${often}`;
}
