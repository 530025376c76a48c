/** What a score is made of, in shares that can be held against those of any other score. */
import type { Share } from "../../base/units.ts";
import type { InstrumentFamily } from "../../instruments/catalogue.ts";
import type { FigureName } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";

/** How much of what sounds is one family in one role. */
export interface RoleByFamily {
  /** The family. */
  readonly family: InstrumentFamily;
  /** What it is for. */
  readonly role: Role;
  /** Share of all bars in which any part sounds, each part's counted; the rows of a recipe sum to 1. */
  readonly share: Share;
}

/** How much of what sounds is one instrument playing one figure. */
export interface FigureByInstrument {
  /** The instrument. */
  readonly instrument: string;
  /** Its family. */
  readonly family: InstrumentFamily;
  /** The figure. */
  readonly figure: FigureName;
  /** Share of all bars in which any part sounds, each part's counted; the rows of a recipe sum to 1. */
  readonly share: Share;
}

/** Two instruments on one line. */
export interface RecipeDoubling {
  /** The instrument that stands higher in the score. */
  readonly instrument: string;
  /** The other. */
  readonly with: string;
  /** Share of the bars in which they are in unison or octaves. */
  readonly share: Share;
}

/** How long somebody leads before another does. */
export interface RecipeLeads {
  /** How often the lead goes to another chief line, in 100 bars. */
  readonly changesPer100Bars: number;
  /** Bars a lead lasts, half last no longer; null where nobody leads. */
  readonly medianBars: number | null;
  /** The longest lead, in bars. */
  readonly longestBars: number;
}

/** What happens where the orchestration turns. */
export type TurnKind = "another lead" | "another figure" | "families come in" | "families leave";

/** How much of the turns of a score does something. */
export interface RecipeTurn {
  /** What happens. */
  readonly what: TurnKind;
  /** Share of the turns at which it does; at one turn several things may happen. */
  readonly share: Share;
}

/** What a score or a group of scores is made of. */
export interface Recipe {
  /** Name of the score or the group. */
  readonly name: string;
  /** How many bars it was read off. */
  readonly bars: number;
  /** How many scores: 1, or more for a group. */
  readonly scores: number;
  /** Role by instrument family; families and roles that do not occur have no row. */
  readonly roles: readonly RoleByFamily[];
  /** Figure by instrument, likewise. */
  readonly figures: readonly FigureByInstrument[];
  /** Instruments on one line, the most frequent first. */
  readonly doublings: readonly RecipeDoubling[];
  /** How long leads last. */
  readonly leads: RecipeLeads;
  /** How many times the orchestration turns, in 100 bars. */
  readonly turnsPer100Bars: number;
  /** What happens at these turns. */
  readonly turns: readonly RecipeTurn[];
  /** Momentum over ten equal stretches from first bar to last, driving attacks per second; empty where it was not measured. */
  readonly momentum: readonly number[];
  /** Audible share of the lead over the same stretches, null where nothing leads; empty where it was not measured. */
  readonly audibleShare: readonly (Share | null)[];
}

/** Two recipes and how far they are apart. */
export interface NearRecipe {
  /** Name of the other recipe. */
  readonly name: string;
  /** How far it is: 0 for the same, 1 for nothing in common. */
  readonly distance: number;
}

/** A recipe as a point on a page. */
export interface RecipePlace {
  /** Name of the recipe. */
  readonly name: string;
  /** To the right, in the unit of distances, from the middle of all. */
  readonly x: number;
  /** Upwards, likewise. */
  readonly y: number;
  /** Name of the recipe that is nearest, by the true distance. */
  readonly nearest: string;
  /** How far that is. */
  readonly distance: number;
}
