/** Columns of a sweep in words, with their units. */

const UNITS: Readonly<
  Record<string, { readonly words?: string; readonly unit: string; readonly decimals: number }>
> = {
  momentum: { unit: "driving attacks per second", decimals: 2 },
  attackRate: { words: "attack rate", unit: "audible attacks per second", decimals: 2 },
  secondaryShare: { words: "secondary parts", unit: "share of momentum", decimals: 2 },
  audibleShare: { words: "lead heard", unit: "share of its loudness", decimals: 2 },
  powerDb: { words: "lead by power", unit: "dB above the rest", decimals: 1 },
  handbookDb: { words: "lead by handbook", unit: "dB above the rest, all at one dynamic", decimals: 1 },
  freshness: { unit: "mean, 0 to 1", decimals: 2 },
  fullness: { unit: "mean, 0 to 1", decimals: 2 },
  contour: { unit: "with the tune, -1 to 1", decimals: 2 },
  loudnessRange: { words: "range of loudness", unit: "phons", decimals: 1 },
  idiom: { unit: "mean, 0 to 1", decimals: 2 },
  barsBetweenChanges: { words: "bars between changes", unit: "bars", decimals: 1 },
  tempo: { unit: "quarters per minute", decimals: 0 },
  sectionSize: { words: "section size", unit: "players", decimals: 0 },
};

/** A column's name in words: `lead heard` for `audibleShare`. */
export function columnWords(name: string): string {
  return UNITS[name]?.words ??
    name.replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`).replace(
      / db$/,
      " dB",
    );
}

/** Unit of a column, empty where it is not known. */
export function columnUnit(name: string): string {
  return UNITS[name]?.unit ?? "";
}

/** Decimals a column's figures need, given the largest of them. */
export function columnDecimals(name: string, largest: number): number {
  return UNITS[name]?.decimals ??
    Math.min(4, Math.max(0, 2 - Math.floor(Math.log10(Math.max(1e-9, Math.abs(largest))))));
}
