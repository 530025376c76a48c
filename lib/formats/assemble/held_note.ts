/** A note on its way from note heads to the finished score: times absolute, ties and spans being worked out. */
import type { Glissando, SpanEnd } from "../../score/model.ts";
import type { RawNote } from "./raw_score.ts";

/** One or more tied note heads. */
export interface HeldNote {
  readonly raw: RawNote;
  readonly onsetTicks: number;
  endTicks: number;
  readonly heads: RawNote[];
  /** Place of each head after the first among them, from 1, where there are several. */
  placeOf?: Map<RawNote, number>;
  readonly slurs: SpanEnd[];
  readonly wavyLines: SpanEnd[];
  slurred: boolean;
  slurStart: boolean;
  slurStop: boolean;
  /** Trill, by sign or by wavy line. */
  trill: boolean;
  readonly glissandi: Glissando[];
  /** A breath after it: on a tied note the mark stands at the last head. */
  breath: boolean;
}
