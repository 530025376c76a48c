/** How sounds begin, end and sway, by how they are made. Model assumptions, from memory of measured attacks. */
import type { Instrument } from "../../instruments/catalogue.ts";
import type { NoiseRange } from "./sources.ts";

/** How a sound begins and ends. */
export interface WayOfSounding {
  /** Seconds in which it is there. */
  readonly riseSeconds: number;
  /** Seconds in which it is gone after its end. */
  readonly fallSeconds: number;
  /** How much stronger the beginning is, as a share of the amplitude, and for how long. */
  readonly bite: number;
  /** Noise that is heard with it. */
  readonly noise: NoiseRange;
  /** Level of the noise at the beginning, against the note, and for how long; and while the note is held. */
  readonly onsetNoiseDb: number;
  readonly onsetNoiseSeconds: number;
  readonly heldNoiseDb: number;
  /** Whether a held note sways in pitch. */
  readonly sways: boolean;
}

const BREATH: NoiseRange = { lowHz: 700, highHz: 8000 };
const BOW: NoiseRange = { lowHz: 400, highHz: 6000 };
const KNOCK: NoiseRange = { lowHz: 150, highHz: 2500 };

const BLOWN: WayOfSounding = {
  riseSeconds: 0.015,
  fallSeconds: 0.015,
  bite: 0.35,
  noise: BREATH,
  onsetNoiseDb: -28,
  onsetNoiseSeconds: 0.03,
  heldNoiseDb: -48,
  sways: false,
};
const STRUCK: WayOfSounding = {
  riseSeconds: 0.002,
  fallSeconds: 0.03,
  bite: 0,
  noise: KNOCK,
  onsetNoiseDb: -26,
  onsetNoiseSeconds: 0.012,
  heldNoiseDb: -Infinity,
  sways: false,
};
const WAYS: Readonly<Record<Instrument["soundProduction"], WayOfSounding>> = {
  blown: BLOWN,
  bowed: {
    ...BLOWN,
    riseSeconds: 0.022,
    fallSeconds: 0.022,
    noise: BOW,
    onsetNoiseDb: -30,
    onsetNoiseSeconds: 0.04,
    sways: true,
  },
  sung: { ...BLOWN, riseSeconds: 0.03, fallSeconds: 0.03, bite: 0.1, sways: true },
  struck: STRUCK,
  plucked: { ...STRUCK, onsetNoiseDb: -30 },
};

const SWAYING = /flute|piccolo|oboe|cor anglais|bassoon|saxophone/;

/** How the notes of an instrument begin and end, played in one way. */
export function wayOfSounding(instrument: Instrument, technique: string): WayOfSounding {
  const { soundProduction, family, kind, id } = instrument;
  if (technique === "pizzicato" || technique === "col legno") return WAYS.plucked;
  const way = WAYS[soundProduction];
  if (family === "brass") return { ...way, riseSeconds: 0.018, fallSeconds: 0.018, heldNoiseDb: -54 };
  if (family !== "woodwind") return way;
  const isFlute = /flute|piccolo|recorder/.test(kind) || /flute|piccolo|recorder/.test(id);
  return { ...way, sways: SWAYING.test(id), ...(isFlute ? { onsetNoiseDb: -26, heldNoiseDb: -40 } : {}) };
}
