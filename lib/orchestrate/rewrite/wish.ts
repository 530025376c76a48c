/** What is wished of some parts of a finished score: the words of a plan's row, each of which may be left out. */
import { InputError } from "../../base/errors.ts";
import { type DefinedFigure, definedFigures } from "../../texture/define_figure.ts";
import type { Figure, FigureName } from "../../texture/figures.ts";
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

/** Wishes with their figures of one's own in place of their names; such a figure brings its role along. */
export function withOwnFigures(wishes: readonly Wish[], figures: readonly Figure[]): readonly Wish[] {
  const own = definedFigures(figures);
  return wishes.map((wish) => {
    const figure = own.find((f) => f.id === wish.figure) ?? wish.figure;
    return isOwn(figure) ? { ...wish, figure, role: wish.role ?? figure.role } : wish;
  });
}

function isOwn(figure: Wish["figure"]): figure is DefinedFigure {
  return typeof figure === "object" && figure !== null;
}

/** The figures of somebody's own that wishes ask for, each once. */
export function ownFiguresOf(wishes: readonly Wish[]): readonly DefinedFigure[] {
  const own = wishes.map((w) => w.figure).filter(isOwn);
  return own.filter((f, i) => own.findIndex((g) => g.id === f.id) === i);
}

/** What the figure of a wish is called; undefined where it names none. */
export function figureNameOf({ figure }: Wish): FigureName | undefined {
  return isOwn(figure) ? figure.id : figure;
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
      problem: `the figure "${figureNameOf(wish)}" is wished for without a role`,
      where: { part: wish.parts.join(" + ") },
      remedy: "Give the role too, for example pulse",
    });
  }
  return assign({ ...choices, role: "lead" });
}
