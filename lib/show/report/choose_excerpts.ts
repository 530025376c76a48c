/** Which bars of a study are worth seeing in notes: turns, and the first of each kind of finding. */
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import type { BalanceWarning } from "../../measures/balance/balance_results.ts";
import type { RoleCell } from "../../texture/model.ts";
import { SEVERITIES } from "../drawing/theme.ts";
import { spanInWords } from "../drawing/words.ts";
import { entryVoiceLeading, entryWarnings } from "./entry_warnings.ts";
import type { ReportEntry } from "./report_entry.ts";

/** What an excerpt stands beside. */
export type ExcerptSubject = "turn" | "lead" | "sound" | "voice leading" | "playability";

/** Bars that are shown in notes, and why. */
export interface ChosenExcerpt {
  /** Beside what it stands. */
  readonly subject: ExcerptSubject;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** Part indexes, in score order. */
  readonly parts: readonly number[];
  /** What is to be seen there, in words. */
  readonly about: string;
}

/** Excerpts of a page at most, and of one study; staves of one; bars of one. */
const [MOST_EXCERPTS, MOST_OF_ONE, MOST_STAVES, MOST_BARS] = [12, 9, 8, 3];

/**
 * The excerpts of a page by study: of turns, findings, covered leads, thick or rough chords and voice leading in turn the
 * weightiest, as many as a page has room for.
 *
 * @param entries the studies
 * @param isAdvised whether a study is given advice
 */
export function chooseExcerpts(
  entries: readonly ReportEntry[],
  isAdvised: (entry: ReportEntry) => boolean,
): readonly (readonly ChosenExcerpt[])[] {
  const queues = entries.map((entry) => {
    const warnings = entryWarnings(entry, { advise: isAdvised(entry) });
    const kinds = [
      turns(entry),
      findings(entry),
      covered(entry, warnings),
      thick(entry, warnings),
      voices(entry),
    ];
    const rounds = Math.max(...kinds.map((kind) => kind.length));
    return Array.from({ length: rounds }, (_, r) => kinds.flatMap((kind) => kind[r] ?? [])).flat();
  });
  const chosen: ChosenExcerpt[][] = entries.map(() => []);
  let left = MOST_EXCERPTS;
  for (let place = 0; place < MOST_OF_ONE; place++) {
    for (const [study, queue] of queues.entries()) {
      const next = queue[place];
      if (next === undefined || left === 0) continue;
      chosen[study]!.push(next);
      left--;
    }
  }
  return chosen.map((own) => own.toSorted((a, b) => a.fromBarIndex - b.fromBarIndex));
}

/** Cells of one bar by part. */
function cellsOf({ score, texture }: ReportEntry, barIndex: number): readonly RoleCell[] {
  const parts = score.parts.length;
  return texture.cells.slice(barIndex * parts, (barIndex + 1) * parts);
}

const inScoreOrder = (parts: Iterable<number>) => [...new Set(parts)].sort((a, b) => a - b);

/** The first clauses of what was found, without the full stop. */
const clauses = (what: string, most: number) => what.split("; ").slice(0, most).join("; ").replace(/\.$/, "");

/** At most so many staves, those that come first in a list. */
const few = (parts: readonly number[]) => inScoreOrder(parts.slice(0, MOST_STAVES));

/** Change points, the largest first: the bar before and two from there on, and the parts that change what they do. */
function turns(entry: ReportEntry): readonly ChosenExcerpt[] {
  const { score, study } = entry;
  return study.freshness.changes.filter((c) => c.barIndex > 0).toSorted((a, b) => b.change - a.change)
    .flatMap(({ barIndex, what }): readonly ChosenExcerpt[] => {
      const [before, after] = [cellsOf(entry, barIndex - 1), cellsOf(entry, barIndex)];
      const changed = [...after.keys()].filter((p) => before[p]!.role !== after[p]!.role);
      if (changed.length === 0) return [];
      const isLead = (p: number) => [before[p]!.role, after[p]!.role].includes("lead");
      const shown = few([...changed.filter(isLead), ...changed.filter((p) => !isLead(p))]);
      return [{
        subject: "turn",
        fromBarIndex: barIndex - 1,
        toBarIndex: Math.min(barIndex + 1, score.bars.length - 1),
        parts: shown,
        about: `at bar ${score.bars[barIndex]!.number} ${clauses(what, 2)}`,
      }];
    });
}

/** The first finding of each rule, the worst rules first. */
function findings(entry: ReportEntry): readonly ChosenExcerpt[] {
  const { study, score } = entry;
  const gathered = gatherFindings(study.playability.findings);
  const worst = SEVERITIES.flatMap((severity) => gathered.filter((f) => f.severity === severity));
  const first = [...Map.groupBy(worst, (f) => f.rule).values()].map((own) => own[0]!);
  return first.map(({ rule, what, worstPart, parts, severity, ...place }) => ({
    subject: "playability",
    ...barsOf(entry, place),
    parts: few([worstPart, ...parts.slice(0, 3)]),
    about: `${score.parts[worstPart]!.name}, ${severity}: ${rule}, ${clauses(what, 1)}`,
  }));
}

/** Where the lead sinks furthest: the lead and the loudest of the rest. */
function covered(entry: ReportEntry, warnings: readonly BalanceWarning[]): readonly ChosenExcerpt[] {
  const depth = (w: BalanceWarning) => (w.toBarIndex + 1 - w.fromBarIndex) * (w.limit - w.figure);
  return warnings.filter((w) => w.kind === "lead covered").toSorted((a, b) => depth(b) - depth(a)).map(
    (w) => {
      const cells = cellsOf(entry, w.fromBarIndex);
      const loudness = new Map(
        entry.study.balance.perLayer.filter((l) => l.barIndex === w.fromBarIndex)
          .map((l) => [l.layer, l.loudnessShare]),
      );
      const rest = cells.filter((c) => c.role !== "lead" && c.role !== "rest")
        .toSorted((a, b) => (loudness.get(b.layer) ?? 0) - (loudness.get(a.layer) ?? 0));
      const leads = cells.filter((c) => c.role === "lead");
      return {
        subject: "lead",
        ...barsOf(entry, w),
        parts: few([...leads.slice(0, MOST_STAVES / 2), ...rest].map((c) => c.part)),
        about: clauses(w.what, 1),
      };
    },
  );
}

/** The first place with low intervals that thicken, and the roughest: the parts it is about, then the lowest that sound there. */
function thick(entry: ReportEntry, warnings: readonly BalanceWarning[]): readonly ChosenExcerpt[] {
  const kinds = [["low interval", 4], ["rough", MOST_STAVES]] as const;
  return kinds.flatMap(([kind, staves]): readonly ChosenExcerpt[] => {
    const first = warnings.find((w) => w.kind === kind);
    if (first === undefined) return [];
    const about = new Set([...first.parts ?? [], ...lowestParts(entry, first.fromBarIndex)]);
    return [{
      subject: "sound",
      ...barsOf(entry, first),
      parts: inScoreOrder([...about].slice(0, staves)),
      about: clauses(first.what, 1),
    }];
  });
}

/** Parts that sound in a bar, the lowest first. */
function lowestParts({ score }: ReportEntry, barIndex: number): readonly number[] {
  const { startTicks, durationTicks } = score.bars[barIndex]!;
  const lowest = new Map<number, number>();
  for (const n of score.notes) {
    if (n.onsetTicks >= startTicks + durationTicks || n.onsetTicks + n.durationTicks <= startTicks) continue;
    lowest.set(n.part, Math.min(n.soundingPitch, lowest.get(n.part) ?? Infinity));
  }
  return [...lowest].sort((a, b) => a[1] - b[1]).map(([part]) => part);
}

/** The heaviest of each kind of mark in the voice leading of a setting. */
function voices(entry: ReportEntry): readonly ChosenExcerpt[] {
  if (entry.texture.origin !== "written") return [];
  const heaviest = [...Map.groupBy(entryVoiceLeading(entry), (row) => row.kind).values()].map((own) =>
    own[0]!
  );
  return heaviest.flatMap((row): readonly ChosenExcerpt[] => {
    const named = entry.score.parts.flatMap(({ name }, p) => row.parts.includes(name) ? [p] : []);
    if (named.length === 0) return [];
    return [{
      subject: "voice leading",
      ...barsOf(entry, row),
      parts: few(named),
      about: row.what === row.kind ? row.kind : `${row.kind}, ${row.what}`,
    }];
  });
}

/** The first bars of a span; of a single bar with the one before it, from which it comes. */
function barsOf(
  { score }: ReportEntry,
  { fromBarIndex, toBarIndex }: { readonly fromBarIndex: number; readonly toBarIndex: number },
): Pick<ChosenExcerpt, "fromBarIndex" | "toBarIndex"> {
  if (toBarIndex > fromBarIndex) {
    return { fromBarIndex, toBarIndex: Math.min(toBarIndex, fromBarIndex + MOST_BARS - 1) };
  }
  if (fromBarIndex > 0) return { fromBarIndex: fromBarIndex - 1, toBarIndex };
  return { fromBarIndex, toBarIndex: Math.min(1, score.bars.length - 1) };
}

/** What an excerpt is called in a page: its bars, and what is to be seen there. */
export function excerptInWords({ score }: ReportEntry, excerpt: ChosenExcerpt): string {
  return `In notes, ${spanInWords(score, excerpt)}: ${excerpt.about}`;
}
