/** Sound of the page. Runs in the page: uses nothing but what is listed in `page_script.ts`. */
import { isHeard, settingNow } from "./figures_now.ts";
import type { ListeningData, NowPlaying, PageState } from "./listening_data.ts";

/** The sound of one layer, decoded once. */
export function bufferOf(l: PageState, setting: number, layer: number): Promise<AudioBuffer> {
  const key = `sound-${setting}-${layer}`;
  const known = l.buffers.get(key);
  if (known) return known;
  const text = atob(l.page.getElementById(key)!.textContent!);
  const bytes = Uint8Array.from(text, (letter) => letter.charCodeAt(0));
  const decoded = new OfflineAudioContext(1, 1, l.data.sampleRate).decodeAudioData(bytes.buffer);
  l.buffers.set(key, decoded);
  return decoded;
}

/** Decodes all of a setting. */
export function soundsOf(l: PageState, setting: number): Promise<readonly (AudioBuffer | undefined)[]> {
  return Promise.all(
    l.data.settings[setting]!.layers.map((layer, i) =>
      layer.seconds > 0 ? bufferOf(l, setting, i) : Promise.resolve(undefined)
    ),
  );
}

/** A plain hall: noise that dies away, with as much energy as is sent into it. */
export function hallOf(context: BaseAudioContext, seconds: number): AudioBuffer {
  const hall = context.createBuffer(2, Math.ceil(seconds * context.sampleRate), context.sampleRate);
  let state = 12345;
  for (const ear of [0, 1]) {
    const samples = hall.getChannelData(ear);
    let energy = 0, dark = 0;
    for (let i = Math.round(0.012 * context.sampleRate); i < samples.length; i++) {
      state ^= state << 13;
      state ^= state >>> 17;
      state ^= state << 5;
      dark += 0.6 * ((state >>> 0) / 2 ** 31 - 1 - dark);
      samples[i] = dark * 10 ** (-3 * i / samples.length);
      energy += samples[i]! ** 2;
    }
    for (let i = 0; i < samples.length; i++) samples[i]! /= Math.sqrt(energy);
  }
  return hall;
}

/** One gain for each line, all into the same stage and hall. */
export function stageOf(
  context: BaseAudioContext,
  lines: number,
  { directShare, reverberationSeconds }: Pick<ListeningData, "directShare" | "reverberationSeconds">,
): GainNode[] {
  const direct = context.createGain(), sent = context.createGain(), hall = context.createConvolver();
  direct.gain.value = Math.sqrt(directShare);
  sent.gain.value = Math.sqrt(1 - directShare);
  direct.connect(context.destination);
  if (directShare < 1) {
    hall.normalize = false;
    hall.buffer = hallOf(context, reverberationSeconds);
    sent.connect(hall).connect(context.destination);
  }
  return Array.from({ length: lines }, () => {
    const line = context.createGain();
    line.connect(direct);
    line.connect(sent);
    return line;
  });
}

/** Starts every layer of a setting at one time. */
export function startAll(
  l: PageState,
  context: BaseAudioContext,
  sounds: readonly (AudioBuffer | undefined)[],
  { lines, from, to, when }: {
    readonly lines: readonly GainNode[];
    readonly from: number;
    readonly to: number;
    readonly when: number;
  },
): AudioBufferSourceNode[] {
  const { lateSeconds } = l.data;
  return settingNow(l).layers.flatMap((layer, i) => {
    const sound = sounds[i];
    const end = layer.startSeconds + layer.seconds;
    if (!sound || end <= from || layer.startSeconds >= to) return [];
    const source = context.createBufferSource(), seat = context.createStereoPanner();
    source.buffer = sound;
    seat.pan.value = layer.seat;
    source.connect(seat).connect(lines[layer.line]!);
    const skipped = Math.max(0, from - layer.startSeconds);
    source.start(
      when + Math.max(0, layer.startSeconds - from),
      lateSeconds + skipped,
      Math.min(layer.seconds - skipped, to - Math.max(from, layer.startSeconds)),
    );
    return [source];
  });
}

/** Seconds in which a line comes or goes, so that nothing clicks. */
export function setLines(
  l: PageState,
  lines: readonly GainNode[],
  context: BaseAudioContext,
  seconds: number,
): void {
  lines.forEach((line, i) => {
    const gain = isHeard(l, i) ? 1 : 0;
    if (seconds === 0) line.gain.value = gain;
    else line.gain.setTargetAtTime(gain, context.currentTime, seconds);
  });
}

/** Begins to play from a place in seconds, to another. */
export async function playFrom(l: PageState, from: number, to: number): Promise<void> {
  stopPlaying(l);
  const context = l.context ??= new AudioContext({ sampleRate: l.data.sampleRate });
  const setting = l.setting;
  const sounds = await soundsOf(l, setting);
  await context.resume();
  if (setting !== l.setting) return;
  stopPlaying(l);
  const lines = stageOf(context, settingNow(l).lines.length, l.data);
  setLines(l, lines, context, 0);
  const begun = context.currentTime + 0.06;
  const sources = startAll(l, context, sounds, { lines, from, to, when: begun });
  l.playing = { sources, lines, begun, fromSeconds: from, toSeconds: to };
}

/** Stops, softly. */
export function stopPlaying(l: PageState): void {
  const { playing, context } = l;
  l.playing = undefined;
  if (!playing || !context) return;
  for (const line of playing.lines) line.gain.setTargetAtTime(0, context.currentTime, 0.015);
  setTimeout(() => {
    for (const source of playing.sources) source.stop();
    for (const line of playing.lines) line.disconnect();
  }, 120);
}

/** The place in the music that is heard now, in seconds. */
export function placeNow(context: AudioContext, playing: NowPlaying): number {
  return playing.fromSeconds +
    Math.max(0, context.currentTime - playing.begun - (context.outputLatency || 0));
}

/** What would be heard, as samples: the same stage, faster than it sounds. */
export async function heardAsSamples(
  l: PageState,
  { from, to, hall }: { readonly from: number; readonly to: number; readonly hall: boolean },
): Promise<AudioBuffer> {
  const { sampleRate } = l.data;
  const context = new OfflineAudioContext(2, Math.ceil((to - from) * sampleRate), sampleRate);
  const lines = stageOf(context, settingNow(l).lines.length, hall ? l.data : { ...l.data, directShare: 1 });
  setLines(l, lines, context, 0);
  startAll(l, context, await soundsOf(l, l.setting), { lines, from, to, when: 0 });
  return await context.startRendering();
}
