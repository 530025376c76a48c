/** How usual a way to use an instrument is, counted in open scores. */
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import counted from "../../../data/idiom_counts.csv" with { type: "text" };
import { once } from "../../base/memo.ts";
import type { Share } from "../../base/units.ts";
import { allInstruments, ownInstruments } from "../../instruments/catalogue.ts";
import { ROLE_NAMES } from "../../texture/roles.ts";
import { type InstrumentUse, plainInstrument, USE_DYNAMICS, USE_REGISTERS } from "./uses_of.ts";

/** Bars in which an instrument is used in one way. */
export interface UseCount extends InstrumentUse {
  readonly bars: number;
}

/** How usual a use is, and in what. */
export interface Usualness {
  /** The three multiplied. */
  readonly usualness: Share;
  /** How common its role is on the instrument over how common it is on all, 1 at most. */
  readonly ofRole: Share;
  /** How common its register is over the commonest, of the instrument in that role. */
  readonly ofRegister: Share;
  /** How common its dynamic is over the commonest, of the instrument in that register. */
  readonly ofDynamic: Share;
}

/** What is known of the uses of an instrument. */
interface KnownUses {
  /** Bars counted of the instrument itself. */
  readonly bars: number;
  /** How usual a way to use it is; null where its family was not counted either. */
  readonly usualnessOf: (way: UseWay) => Usualness | null;
}

type UseWay = Omit<InstrumentUse, "instrument">;
type PartOfWay = Partial<UseWay>;

const ROLES = ROLE_NAMES.filter((role) => role !== "rest");
const families = once(() => new Map(allInstruments().map((i) => [plainInstrument(i.id), i.family])));

/** The counts that come with the library. */
export const openScoreUses: () => readonly UseCount[] = once(() =>
  Papa.parse<Record<string, string>>(counted, { header: true, skipEmptyLines: true }).data.map((row) => ({
    ...(row as unknown as InstrumentUse),
    bars: Number(row["bars"]),
  }))
);

/**
 * Makes of counts what is known of any instrument. An instrument leans on its family by as many bars as `priorBars` says, and a
 * family on all choices being alike by one bar each: so nothing is impossible, and what was counted often goes by its own
 * counts.
 */
export function knownUses(
  counts: readonly UseCount[],
  priorBars: number,
): (instrument: string) => KnownUses {
  const known = new Map<string, KnownUses>();
  const ofAll = shares(counts, undefined, priorBars);
  return (id) => {
    const instrument = plainInstrument(id);
    // One's own instruments come and go: their family is looked up, not kept.
    const family = families().get(instrument) ?? ownInstruments().find((i) => i.id === id)?.family;
    const key = `${instrument}|${family}`;
    const found = known.get(key);
    if (found) return found;
    const ofFamily = counts.filter((c) => family !== undefined && families().get(c.instrument) === family);
    const own = counts.filter((c) => c.instrument === instrument);
    const share = shares(own, shares(ofFamily, undefined, priorBars), priorBars);
    const against = (values: readonly PartOfWay[], given: PartOfWay, value: PartOfWay) =>
      share(value, given, values.length) / Math.max(...values.map((v) => share(v, given, values.length)));
    const judged = new Map<string, Usualness>();
    const uses: KnownUses = {
      bars: own.reduce((sum, c) => sum + c.bars, 0),
      usualnessOf: (way) => {
        if (ofFamily.length === 0) return null;
        const { role, register, dynamic } = way;
        const key = `${role} ${register} ${dynamic}`;
        const before = judged.get(key);
        if (before) return before;
        const ofRole = Math.min(1, share({ role }, {}, ROLES.length) / ofAll({ role }, {}, ROLES.length));
        const ofRegister = against(USE_REGISTERS.map((r) => ({ register: r })), { role }, { register });
        const ofDynamic = against(USE_DYNAMICS.map((d) => ({ dynamic: d })), { register }, { dynamic });
        const usualness = { usualness: ofRole * ofRegister * ofDynamic, ofRole, ofRegister, ofDynamic };
        judged.set(key, usualness);
        return usualness;
      },
    };
    known.set(key, uses);
    return uses;
  };
}

/** Share of the bars of a kind that have a value, leaning on what else is known. */
type ShareOf = (value: PartOfWay, given: PartOfWay, values: number) => number;

function shares(counts: readonly UseCount[], backing: ShareOf | undefined, priorBars: number): ShareOf {
  const known = new Map<string, number>();
  const barsOf = (part: PartOfWay): number => {
    const key = `${part.role} ${part.register} ${part.dynamic}`;
    let bars = known.get(key);
    if (bars === undefined) {
      const wanted = Object.entries(part) as [keyof UseWay, string][];
      bars = counts.filter((c) => wanted.every(([name, value]) => c[name] === value)).reduce(
        (s, c) => s + c.bars,
        0,
      );
      known.set(key, bars);
    }
    return bars;
  };
  return (value, given, values) => {
    const lean = backing === undefined ? values : priorBars;
    const expected = backing === undefined ? 1 / values : backing(value, given, values);
    return (barsOf({ ...given, ...value }) + lean * expected) / (barsOf(given) + lean);
  };
}
