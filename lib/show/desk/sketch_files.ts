/** A sketch whose lines were read off the notes, handed over: to look at, and to be corrected. */
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import { writeMusicXml } from "../../formats/musicxml/write/write_musicxml.ts";
import type { Score } from "../../score/model.ts";
import type { Sketch } from "../../orchestrate/plan/sketch.ts";
import { writeSketchLines } from "../../orchestrate/plan/sketch_table.ts";

/** The lines of a sketch as a table, and with its chords as a short score. */
export function sketchFiles(sketch: Sketch): readonly FileToWrite[] {
  return [
    { name: "sketch_lines.csv", content: writeSketchLines(sketch) },
    {
      name: "short_score.musicxml",
      content: writeMusicXml(shortScore(sketch), { chordSymbols: 0 }),
    },
  ];
}

/** The lines stave by stave, without dynamics: the plan has those. */
function shortScore({ score }: Sketch): Score {
  const parts = score.parts.map((part, i) => ({
    ...part,
    ...(i === 0 ? { name: "Tune" } : {}),
    writtenDynamics: [],
  }));
  return { ...score, parts };
}
