/** Which MIDI channel and port each part plays on. */

/** A channel on a port. */
export interface MidiAddress {
  readonly port: number;
  /** Channel from 0; 9 is the percussion channel of General MIDI. */
  readonly channel: number;
}

/** The percussion channel of General MIDI, counted from 0. */
export const PERCUSSION_CHANNEL = 9;

/**
 * Gives every part a channel: percussion without pitch shares channel 10 of the first port, every other part
 * has one of its own, fifteen to a port.
 */
export function midiAddresses(percussion: readonly boolean[]): readonly MidiAddress[] {
  let pitched = 0;
  return percussion.map((isPercussion) => {
    if (isPercussion) return { port: 0, channel: PERCUSSION_CHANNEL };
    const slot = pitched % 15;
    const port = Math.floor(pitched / 15);
    pitched++;
    return { port, channel: slot < PERCUSSION_CHANNEL ? slot : slot + 1 };
  });
}
