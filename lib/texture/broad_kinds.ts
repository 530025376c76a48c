/** What a part does, broadly: what shapes of figures come down to, and what roles do. */

/** What a part does, broadly; a line is a second one, beside the melody. */
export type Broad = "melody" | "moving" | "held" | "isolated" | "line";

/** All broad kinds, in the order of the models. */
export const BROAD_KINDS: readonly Broad[] = ["melody", "moving", "held", "isolated", "line"];
