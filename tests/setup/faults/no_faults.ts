/** Faults that change nothing that anyone could see, with the reason. */
import type { FaultSite } from "./fault_sites.ts";

/** What is left out: where it stands, and why no input shows it. */
interface NoFault {
  readonly file: string;
  readonly right: string;
  readonly wrong: string;
  readonly why: string;
}

const NO_FAULTS: readonly NoFault[] = [];

/** Whether a fault is none. */
export function isNoFault({ file, right, wrong }: FaultSite): boolean {
  return NO_FAULTS.some((one) =>
    one.file === file && one.right === right.replaceAll(/\s+/g, " ") &&
    one.wrong === wrong.replaceAll(/\s+/g, " ")
  );
}
