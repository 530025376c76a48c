/** What a part does, broadly: what the kinds that people have words for come down to, and what roles do. */
import type { Role } from "./roles.ts";

/** What a part does, broadly; a line is a second one, beside the melody. */
export type Broad = "melody" | "moving" | "held" | "isolated" | "line";

/** All broad kinds, in the order of the models. */
export const BROAD_KINDS: readonly Broad[] = ["melody", "moving", "held", "isolated", "line"];

/** What the kinds of the weights come down to. */
export const BROAD: Readonly<Record<string, Broad>> = {
  "melody": "melody",
  "decorative melody": "line",
  "rhythm": "moving",
  "repeated notes": "moving",
  "oscillation": "moving",
  "alternating chord tones": "moving",
  "arpeggio": "moving",
  "scale": "moving",
  "held harmony": "held",
  "isolated strokes": "isolated",
};

const ROLES_DO: Readonly<Record<Role, Broad | "silent">> = {
  lead: "melody",
  counterline: "line",
  pulse: "moving",
  figuration: "moving",
  run: "moving",
  trill: "moving",
  pad: "held",
  bass: "held",
  punctuation: "isolated",
  rest: "silent",
};

/** What a role does; a bass moves in all its figures but the long ones, and that on downbeats, which stand alone. */
export function roleDoes(role: Role, figure: string): Broad | "silent" {
  if (figure === "bass on the downbeat") return "isolated";
  const isStruck = role === "bass" && figure !== "sustained bass" && figure !== "bass in half notes";
  return isStruck ? "moving" : ROLES_DO[role];
}
