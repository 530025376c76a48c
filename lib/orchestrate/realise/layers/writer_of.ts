/** Which writer writes which figure. */
import type { Figure } from "../../../texture/figures.ts";
import { writeAlternating, writeBroken } from "./broken.ts";
import { writeAfterBeats, writeDownbeat, writeHeld, writeRepeated } from "./chords.ts";
import { writeBass, writeBassOnDownbeat, writeSecondLine, writeTune } from "./lines.ts";
import { writeRunIntoBar, writeRunningScale } from "./scale.ts";
import type { LayerWriter } from "./task.ts";

/** Figures with a writer of their own. */
const WRITERS: Readonly<Record<string, LayerWriter>> = {
  tune: writeTune,
  "second line": writeSecondLine,
  "scale into the bar": writeRunIntoBar,
  "running scale": writeRunningScale,
  "after-beats": writeAfterBeats,
  "bass on the downbeat": writeBassOnDownbeat,
  "stroke on the downbeat": writeDownbeat,
};

/** The writer of a figure: its own, or the one for the way it chooses pitches. */
export function writerOf(figure: Figure): LayerWriter {
  const own = WRITERS[figure.id];
  if (own) return own;
  switch (figure.pitches) {
    case "repeated":
      return writeRepeated;
    case "broken":
      return writeBroken;
    case "alternating":
      return writeAlternating;
    case "root":
      return writeBass;
    default:
      return writeHeld;
  }
}
