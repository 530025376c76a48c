/** Which writer writes which figure. */
import type { Figure, FigureId } from "../../../texture/figures.ts";
import { writeAlternating, writeBroken } from "./broken.ts";
import { writeAfterBeats, writeDownbeat, writeHeld, writeRepeated, writeShaken } from "./chords.ts";
import { writeBass, writeBassOnDownbeat, writeTune } from "./lines.ts";
import { writeRunIntoBar, writeRunningScale } from "./scale.ts";
import { writeSecondLine } from "./second_line.ts";
import type { LayerWriter } from "./task.ts";

/** Figures with a writer of their own. */
const WRITERS: Readonly<Partial<Record<FigureId, LayerWriter>>> = {
  tune: writeTune,
  "second line": writeSecondLine,
  "scale into the bar": writeRunIntoBar,
  "running scale": writeRunningScale,
  "after-beats": writeAfterBeats,
  "bass on the downbeat": writeBassOnDownbeat,
  "stroke on the downbeat": writeDownbeat,
};

/** The writer of a figure: its own, or the one for what its notes do. */
export function writerOf(figure: Figure): LayerWriter {
  const own = WRITERS[figure.id];
  if (own) return own;
  if (figure.role === "bass") return writeBass;
  switch (figure.shape) {
    case "repeated notes":
      return writeRepeated;
    case "broken chord":
      return writeBroken;
    case "alternation":
      return writeAlternating;
    case "trill":
    case "tremolo":
      return writeShaken;
    default:
      return writeHeld;
  }
}
