/** Layers of a score as tracks of one channel, rendered piece by piece and without the silence around them. */
import { type AuditionOptions, auditionSettings } from "../audition/audition_options.ts";
import { addTo, gainFor } from "../audition/audition.ts";
import { renderingOf } from "../audition/render.ts";
import type { WhatIsHeard } from "../audition/what_is_heard.ts";

/** What of a layer sounds. */
export interface Track {
  readonly samples: Float32Array;
  /** First sample, from the start of the sound. */
  readonly first: number;
}

/** Tracks by layer, and the gain that brings their loudest place, or that of all together, to where it should be. */
export interface LayerTracks {
  /** Levels are those at the listener: mean square 1 is 0 dB SPL. A layer that is silent has none. */
  readonly tracks: ReadonlyMap<string, Track>;
  readonly gainDb: number;
}

/** Some samples of a track, and the place of the first. */
interface SoundingStretch {
  readonly at: number;
  readonly samples: Float32Array;
}

/**
 * Renders the layers of a score, all seated in the middle. Layers sound for a few passages each: their stems from end to
 * end, left and right, would take ten times the memory.
 */
export function layerTracks(
  action: string,
  heard: WhatIsHeard,
  options: Pick<AuditionOptions, "sampleRate" | "soundFont">,
): LayerTracks {
  const seating = Object.fromEntries(heard.score.parts.map((part) => [part.name, 0]));
  const playing: AuditionOptions = { ...options, hall: "none", seating };
  const settings = auditionSettings(action, playing);
  const rendering = renderingOf(heard, playing, settings);
  const whole = new Float32Array(rendering.length);
  const stretches = heard.stems.map((): SoundingStretch[] => []);
  for (const { from, stems } of rendering.pieces()) {
    // The left ear's: the players of a section sit side by side, so the right one's differs by a tenth of a decibel.
    stems.forEach(([left], s) => {
      addTo([whole], [left], from);
      const first = left.findIndex((x) => x !== 0);
      if (first < 0) return;
      const samples = left.slice(first, left.findLastIndex((x) => x !== 0) + 1);
      stretches[s]!.push({ at: from + first, samples });
    });
  }
  const tracks = new Map<string, Track>();
  stretches.forEach((own, s) => {
    if (own.length > 0) tracks.set(heard.stems[s]!.name, joined(own));
  });
  const channels = [whole, ...[...tracks.values()].map((track) => track.samples)];
  return { tracks, gainDb: gainFor(channels, settings.peakDb) };
}

function joined(stretches: readonly SoundingStretch[]): Track {
  const first = stretches[0]!.at, last = stretches.at(-1)!;
  const samples = new Float32Array(last.at + last.samples.length - first);
  for (const { at, samples: own } of stretches) samples.set(own, at - first);
  return { samples, first };
}
