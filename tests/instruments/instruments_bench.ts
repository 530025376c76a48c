import { allInstruments, findInstrument, instrumentById } from "ripieno";
import {
  handbookWeight,
  harmonicLevels,
  registerOf,
  repeatedNoteLimit,
  soundPowerDb,
} from "ripieno/instruments";

const ids = allInstruments().filter((each) => !each.unpitched).map((each) => each.id);
const NOTES = 20_000;

Deno.bench("look-ups a score of 20,000 notes asks for", () => {
  for (let note = 0; note < NOTES; note++) {
    const instrument = instrumentById(ids[note % ids.length]!);
    const { low, high } = instrument.rangeComfortable;
    const soundingPitch = low + note % (high - low);
    registerOf(instrument, soundingPitch);
    repeatedNoteLimit(instrument);
    handbookWeight(instrument, 5, { players: 2 });
    soundPowerDb(instrument, 5, { soundingPitch });
    harmonicLevels(instrument, soundingPitch, 5);
  }
});

Deno.bench("finding the instruments of a 40-part score", () => {
  for (let part = 0; part < 40; part++) {
    findInstrument({ names: [`${ids[part % ids.length]} ${part}`], midiProgram: part });
  }
});
