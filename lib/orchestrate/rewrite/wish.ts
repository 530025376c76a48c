/** What is wished of some parts of a finished score: the words of a plan's row, each of which may be left out. */
import { InputError } from "../../base/errors.ts";
import { assign, type Assignment, type AssignmentInput, type Passage } from "../plan/plan.ts";
import type { Role } from "../../texture/roles.ts";

/** A change to some parts in some bars. What is left out stays as it is. */
export interface Wish
  extends Pick<Passage, "fromBar" | "toBar">, Partial<Omit<AssignmentInput, "role" | "parts">> {
  /** Parts by name, as the score has them; `Horns` means all numbered horns. */
  readonly parts: readonly string[];
  /** What they are for in these bars; `rest` to be silent; left out, they keep their notes. */
  readonly role?: Role;
}

/** A wish for notes of its own. */
export type WrittenWish = Wish & { readonly role: Exclude<Role, "rest"> };

/** Whether a wish asks for new notes, rather than for silence or for the same notes otherwise. */
export function isForNotes(wish: Wish): wish is WrittenWish {
  return wish.role !== undefined && wish.role !== "rest";
}

/** The layer that a wish asks for, as loud as is given where it says nothing of that; refuses words the library does not know. */
export function layerOf(
  wish: WrittenWish,
  loudness: Pick<Assignment, "dynamic" | "dynamicEnd">,
): Assignment {
  const { fromBar: _from, toBar: _to, ...choices } = wish;
  return assign(wish.dynamic === undefined ? { ...choices, ...loudness } : choices);
}

/** A wish about notes that are kept, whose words the library knows: a layer of any role stands in for it. */
export function mannerOf(wish: Wish): Assignment {
  const { fromBar: _from, toBar: _to, role: _role, figure, ...choices } = wish;
  if (figure !== undefined) {
    throw new InputError({
      action: "rewrite the score",
      problem: `the figure "${figure}" is wished for without a role`,
      where: { part: wish.parts.join(" + ") },
      remedy: "Give the role too, for example pulse",
    });
  }
  return assign({ ...choices, role: "lead" });
}
