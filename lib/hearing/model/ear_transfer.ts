import { interpolate, type TableRows } from "../interpolate.ts";

/**
 * How the sound reaches the ear: from in front in the open (`free`), from all sides as in a hall (`diffuse`),
 * or already at the eardrum, as from earphones (`eardrum`).
 */
export type SoundField = "free" | "diffuse" | "eardrum";

/** The sound fields by name. */
export const SOUND_FIELDS: readonly SoundField[] = ["free", "diffuse", "eardrum"];

/** Lowest and highest frequency the transfer table covers, in Hz; outside them nothing is heard. */
export const TRANSFER_RANGE_HZ: readonly [number, number] = [20, 20000];

/**
 * Frequency in Hz, level gained on the way to the eardrum from a free field and from a diffuse field, and
 * level gained through the middle ear, in dB re the transfer at 1 kHz. Source: ISO 532-2:2017, Table 1.
 */
const TRANSFER: ReadonlyArray<readonly [number, number, number, number]> = [
  [20, 0, 0, -39.6],
  [25, 0, 0, -32],
  [31.5, 0, 0, -25.85],
  [40, 0, 0, -21.4],
  [50, 0, 0, -18.5],
  [63, 0, 0, -15.9],
  [80, 0, 0, -14.1],
  [100, 0, 0, -12.4],
  [125, 0.1, 0.1, -11],
  [160, 0.3, 0.3, -9.6],
  [200, 0.5, 0.4, -8.3],
  [250, 0.9, 0.5, -7.4],
  [315, 1.4, 1, -6.2],
  [400, 1.6, 1.6, -4.8],
  [500, 1.7, 1.7, -3.8],
  [630, 2.5, 2.2, -3.3],
  [750, 2.7, 2.7, -2.9],
  [800, 2.6, 2.9, -2.6],
  [1000, 2.6, 3.8, -2.6],
  [1250, 3.2, 5.3, -4.5],
  [1500, 5.2, 6.8, -5.4],
  [1600, 6.6, 7.2, -6.1],
  [2000, 12, 10.2, -8.5],
  [2500, 16.8, 14.9, -10.4],
  [3000, 15.3, 14.5, -7.3],
  [3150, 15.2, 14.4, -7],
  [4000, 14.2, 12.7, -6.6],
  [5000, 10.7, 10.8, -7],
  [6000, 7.1, 8.9, -9.2],
  [6300, 6.4, 8.7, -10.2],
  [8000, 1.8, 8.5, -12.2],
  [9000, -0.9, 6.2, -10.8],
  [10000, -1.6, 5, -10.1],
  [11200, 1.9, 4.5, -12.7],
  [12500, 4.9, 4, -15],
  [14000, 2, 3.3, -18.2],
  [15000, -2, 2.6, -23.8],
  [16000, 2.5, 2, -32.3],
  [20000, 2.5, 2, -45.5],
];

const TO_COCHLEA: Readonly<Record<SoundField, TableRows>> = {
  free: TRANSFER.map(([hz, free, , middle]) => [hz, free + middle] as const),
  diffuse: TRANSFER.map(([hz, , diffuse, middle]) => [hz, diffuse + middle] as const),
  eardrum: TRANSFER.map(([hz, , , middle]) => [hz, middle] as const),
};

/**
 * Level change between the sound in the room and the inner ear. `-Infinity` outside 20 Hz to 20 kHz.
 *
 * Source: ISO 532-2:2017, Table 1.
 */
export function earTransferDb(frequencyHz: number, field: SoundField = "free"): number {
  if (!(frequencyHz >= TRANSFER_RANGE_HZ[0] && frequencyHz <= TRANSFER_RANGE_HZ[1])) return -Infinity;
  return interpolate(TO_COCHLEA[field], frequencyHz);
}
