/** Which writer writes which figure. */
import type { Figure, FigureId } from "../../../texture/figures.ts";
import { writeAlternating, writeBroken } from "./broken.ts";
import {
  writeAfterBeats,
  writeDownbeat,
  writeHeld,
  writeRepeated,
  writeSecondBeats,
  writeShaken,
} from "./chords.ts";
import { writeBass, writeBassOnDownbeat, writeBassOnOneAndThree, writeTune } from "./lines.ts";
import { writeOffBeatStab } from "./off_beat_stab.ts";
import { writeTrillWithTurn, writeTwoNoteTremolo } from "./ornaments.ts";
import { writeOstinato, writePattern } from "./pattern.ts";
import { writeRolled } from "./rolled_chords.ts";
import { writeRunDownIntoBar, writeRunIntoBar, writeRunningScale, writeWave } from "./scale.ts";
import { writeRollIntoBar, writeSwellingStab } from "./swells.ts";
import { writeSecondLine } from "./second_line.ts";
import { writeWalkingBass } from "./walking_bass.ts";
import { writeBassLine, writeInnerVoices } from "./written_lines.ts";
import type { LayerWriter } from "./task.ts";

/** Figures with a writer of their own. */
const WRITERS: Readonly<Partial<Record<FigureId, LayerWriter>>> = {
  tune: writeTune,
  "second line": writeSecondLine,
  "inner voices": writeInnerVoices,
  "bass line": writeBassLine,
  "rolled chords": writeRolled,
  "stab with a swell": writeSwellingStab,
  "roll into the bar": writeRollIntoBar,
  "scale into the bar": writeRunIntoBar,
  "scale into the bar in triplets": writeRunIntoBar,
  "scale into the bar in sextuplets": writeRunIntoBar,
  "scale into the bar in thirty-seconds": writeRunIntoBar,
  "scale down into the bar": writeRunDownIntoBar,
  "after-beats": writeAfterBeats,
  "after-beats on two and four": writeSecondBeats,
  "wave in eighths": writeWave,
  "wave in triplets": writeWave,
  "wave in sixteenths": writeWave,
  "ostinato in eighths": writeOstinato,
  "ostinato in sixteenths": writeOstinato,
  "trill with a turn": writeTrillWithTurn,
  "two-note tremolo": writeTwoNoteTremolo,
  "walking bass": writeWalkingBass,
  "bass on the downbeat": writeBassOnDownbeat,
  "bass on one and three": writeBassOnOneAndThree,
  "stroke on the downbeat": writeDownbeat,
  "off-beat stab": writeOffBeatStab,
};

/** Figures of the table with a writer of their own, by name. */
const BY_NAME: ReadonlyMap<string, LayerWriter> = new Map(Object.entries(WRITERS));

/** The writer of a figure: its own, or the one for what its notes do. */
export function writerOf(figure: Figure): LayerWriter {
  const own = BY_NAME.get(figure.id);
  if (own) return own;
  if (figure.tones !== undefined && figure.tones !== "chord tone") return writePattern;
  if (figure.role === "bass") return writeBass;
  if (figure.tones === "chord tone") return writeRepeated;
  switch (figure.shape) {
    case "repeated notes":
      return figure.tremoloSlashes > 0 ? writeShaken : writeRepeated;
    case "broken chord":
      return writeBroken;
    case "alternation":
      return writeAlternating;
    case "scale":
      return writeRunningScale;
    case "trill":
    case "tremolo":
      return writeShaken;
    default:
      return writeHeld;
  }
}
