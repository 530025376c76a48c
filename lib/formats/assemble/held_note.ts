/** A note on its way from note heads to the finished score: times absolute, ties and spans being worked out. */
import type { Glissando, SpanEnd } from "../../score/model.ts";
import type { RawNote } from "./raw_score.ts";

/** One or more tied note heads. */
export interface HeldNote {
  /** First note head. */
  readonly raw: RawNote;
  /** Start in ticks from the start of the score. */
  readonly onsetTicks: number;
  /** End in ticks. */
  endTicks: number;
  /** Note heads joined. */
  noteheads: number;
  /** The heads, in order. */
  readonly heads: RawNote[];
  /** Place of each head among them, from 0; the first may be missing. */
  readonly placeOf: Map<RawNote, number>;
  /** Ends of slurs, as drawn. */
  readonly slurs: SpanEnd[];
  /** Ends of wavy lines, as drawn. */
  readonly wavyLines: SpanEnd[];
  /** Reached under a slur. */
  slurred: boolean;
  /** A slur begins here. */
  slurStart: boolean;
  /** A slur ends here. */
  slurStop: boolean;
  /** Trill, by sign or by wavy line. */
  trill: boolean;
  /** Glissandi and slides that start here. */
  readonly glissandi: Glissando[];
  /** A breath after it: on a tied note the mark stands at the last head. */
  breath: boolean;
}
