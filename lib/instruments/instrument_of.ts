import { type Instrument, instrumentById } from "./catalogue.ts";

/** The catalogue's entry, or undefined: a score may come from elsewhere and name what it likes. */
export function instrumentOf(id: string): Instrument | undefined {
  try {
    return instrumentById(id);
  } catch {
    return undefined;
  }
}
