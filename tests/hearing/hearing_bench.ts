import {
  componentExcitation,
  erbGrid,
  excitationPattern,
  layerLoudness,
  loudnessSones,
  roughness,
  thirdOctaveLevels,
  zwickerLoudness,
} from "ripieno/hearing";
import { addUp, allComponents, harmonicNote, seededChords } from "./orchestral_sounds.ts";

const grid = erbGrid({ stepCam: 0.5 });
const note = harmonicNote(220, 70, 9);
const chords = seededChords(10, 3);
const layers = chords.map((notes) =>
  addUp(notes.map((n) => componentExcitation(grid, n.hz, n.levels)), grid.centresHz.length)
);
const tutti = allComponents(chords.flat().slice(0, 30));
const amplitudes = tutti.levels.map((level) => 10 ** (level / 20));

Deno.bench("one note of 40 harmonics on 74 filters", () => {
  componentExcitation(grid, note.hz, note.levels);
});
Deno.bench("ten layers on 74 filters, alone and partial", () => {
  layerLoudness(grid, layers);
});
Deno.bench("thirty notes at once, exact: 372 filters, slopes of the whole", () => {
  const { grid: fine, excitation } = excitationPattern(tutti.hz, tutti.levels);
  loudnessSones(fine, excitation);
});
Deno.bench("thirty notes, roughness", () => {
  roughness(tutti.hz, amplitudes);
});
Deno.bench("thirty notes, third-octave bands and ISO 532-1", () => {
  zwickerLoudness(thirdOctaveLevels(tutti.hz, tutti.levels));
});
