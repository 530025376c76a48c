/** What a listening page holds, and what it remembers while somebody listens. Plain data, read by the page's own script. */

/** One layer over its bars: who plays it, how it sounds, its notes. */
export interface ListeningLayer {
  /** Index of the line of the page it is on: layers that do one thing one after another share a line. */
  readonly line: number;
  /** Bars in which it plays, who plays it there, and what. */
  readonly spans: readonly {
    readonly from: number;
    readonly to: number;
    readonly players: string;
    readonly figure: string;
  }[];
  /** Where its sound begins, in seconds, and whether it has any. */
  readonly startSeconds: number;
  readonly seconds: number;
  /** Where its players sit, from -1 (left) to 1 (right). */
  readonly seat: number;
  /** Start and length in seconds, and pitch. */
  readonly notes: readonly (readonly [start: number, length: number, pitch: number])[];
}

/** One bar for every choice of its layers, in hundredths of momentum and thousandths of the lead; -1 where nobody leads. */
export interface ListeningBar {
  readonly printed: string;
  readonly startSeconds: number;
  readonly seconds: number;
  /** Indexes of the layers; the i-th stands for 2 ** i. */
  readonly layers: readonly number[];
  readonly momentum: readonly number[];
  readonly lead: readonly number[];
}

/** One setting. */
export interface ListeningSetting {
  readonly name: string;
  readonly bars: readonly ListeningBar[];
  readonly passages: readonly { readonly name: string; readonly from: number; readonly to: number }[];
  /** Lines of the page: what each is for, and what it is called. */
  readonly lines: readonly { readonly role: string; readonly name: string }[];
  readonly layers: readonly ListeningLayer[];
  /** Bars that are engraved together. */
  readonly notation: readonly { readonly from: number; readonly to: number }[];
}

/** All that a page holds besides sound and notation. */
export interface ListeningData {
  readonly settings: readonly ListeningSetting[];
  readonly sampleRate: number;
  /** Seconds by which decoded sound is late. */
  readonly lateSeconds: number;
  readonly directShare: number;
  readonly reverberationSeconds: number;
  /** Small pictures of the roles. */
  readonly signs: Readonly<Record<string, string>>;
}

/** What is playing. */
export interface NowPlaying {
  readonly sources: readonly AudioBufferSourceNode[];
  readonly lines: readonly GainNode[];
  /** Time of the context at which it began, and the place in the music at which it did. */
  readonly begun: number;
  readonly fromSeconds: number;
  readonly toSeconds: number;
}

/** A guided walk through the layers of a passage. */
export interface Walk {
  readonly kind: "build" | "take";
  /** Lines in the order in which they come in, or go. */
  readonly order: readonly number[];
  /** How many have come or gone. */
  step: number;
  asked: boolean;
}

/** What the page remembers. */
export interface PageState {
  readonly data: ListeningData;
  readonly page: Document;
  readonly buffers: Map<string, Promise<AudioBuffer>>;
  readonly pictures: Map<number, Promise<readonly string[]>>;
  setting: number;
  barNow: number;
  /** Names of the lines that are taken away; they stay away from setting to setting. */
  away: Set<string>;
  context: AudioContext | undefined;
  playing: NowPlaying | undefined;
  walk: Walk | undefined;
}
