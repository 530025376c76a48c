/** What a layer can be for. The words are explained here once; everything else refers to them. */
import type { Broad } from "./broad_kinds.ts";

/** The role of a part or layer over a span of bars. */
export type Role =
  | "lead"
  | "counterline"
  | "pad"
  | "pulse"
  | "figuration"
  | "run"
  | "trill"
  | "bass"
  | "punctuation"
  | "rest";

/** What is known of a role. */
export interface RoleDescription {
  /** The role. */
  readonly role: Role;
  /** What it is, in one sentence. */
  readonly meaning: string;
  /** True when it is one of the secondary parts: neither the lead nor silence. */
  readonly secondary: boolean;
  /** What its notes do as a rule, broadly; a bass does what its figure does. */
  readonly does: Broad | "silent";
}

/** All roles, from the foreground to the background; the order charts and tables use. */
export const ROLES: readonly RoleDescription[] = [
  { role: "lead", meaning: "the line the ear follows", secondary: false, does: "melody" },
  { role: "counterline", meaning: "a second melodic line", secondary: true, does: "line" },
  { role: "run", meaning: "a scalewise sweep towards a target", secondary: true, does: "moving" },
  { role: "figuration", meaning: "broken chords, ostinati, alternations", secondary: true, does: "moving" },
  {
    role: "pulse",
    meaning: "repeated notes in quick even or patterned values",
    secondary: true,
    does: "moving",
  },
  { role: "trill", meaning: "trills and tremolos", secondary: true, does: "moving" },
  { role: "punctuation", meaning: "isolated chords and strokes", secondary: true, does: "isolated" },
  { role: "pad", meaning: "sustained harmony", secondary: true, does: "held" },
  {
    role: "bass",
    meaning: "the lowest functional line where it is not one of the others",
    secondary: true,
    does: "held",
  },
  { role: "rest", meaning: "silence", secondary: false, does: "silent" },
];

/** Role names in the order of {@linkcode ROLES}. */
export const ROLE_NAMES: readonly Role[] = ROLES.map((r) => r.role);

/**
 * Whether a word is a role.
 *
 * @param word any text
 * @returns true for one of the ten roles
 *
 * @example
 * ```ts
 * import { isRole } from "ripieno/texture";
 * import { assertEquals } from "@std/assert";
 * assertEquals([isRole("pulse"), isRole("drums")], [true, false]);
 * ```
 */
export function isRole(word: string): word is Role {
  return (ROLE_NAMES as readonly string[]).includes(word);
}
