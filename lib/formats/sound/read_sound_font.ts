/** A SoundFont somebody has, ready to play single notes. The player of such files is loaded when one is read. */
import { A_TEXT, checkArgument, type Kind } from "../../base/arguments.ts";
import { InputError, refusals } from "../../base/errors.ts";

/** A note as a SoundFont plays it. */
export interface SoundFontNote {
  /** General MIDI program, from 0; `kit` for the drum kit. */
  readonly program: number | "kit";
  /** Sounding pitch, quarter tones too; the key of the kit. */
  readonly pitch: number;
  /** 1 to 127. */
  readonly velocity: number;
  /** Silence before it. */
  readonly lateSeconds: number;
  /** How long the key is held. */
  readonly seconds: number;
  /** How long the note may ring on after that. */
  readonly ringSeconds: number;
  /** From -1 (left) to 1 (right). */
  readonly seat: number;
  /** Semitones by which the pitch moves while the key is held, evenly. */
  readonly slideSemitones?: number | undefined;
}

/** Samples of a note, in lists that are taken again for the next. */
export interface SoundFontSamples {
  /** The left ear's. */
  readonly left: Float32Array;
  /** The right ear's. */
  readonly right: Float32Array;
  /** How many of them are the note's. */
  readonly length: number;
}

/** A SoundFont, read. */
export interface SoundFont {
  /** Its own name, or the file's. */
  readonly name: string;
  /** How many sounds it has. */
  readonly sounds: number;
  /** Plays notes of it, one at a time and each from silence, at a sample rate. */
  readonly player: (sampleRate: number) => (note: SoundFontNote) => SoundFontSamples;
}

/** What a SoundFont has to be. */
export const A_SOUND_FONT: Kind = {
  noun: "a SoundFont",
  give: "Give what readSoundFont gives",
  fits: (thing) => typeof thing === "object" && thing !== null && "player" in thing && "sounds" in thing,
};

const ACTION = "read the SoundFont";
const REMEDY = "Give a bank of sounds in the format SF2 or SF3, a file that ends in .sf2 or .sf3";
/** Banks of whole orchestras have some hundred megabytes. */
const LARGEST_BYTES = 2e9;
/** Samples that are played at once; envelopes of a bank are followed from one such piece to the next. */
const PIECE = 128;
/** Seconds in which what still rings at the end of its time is faded out. */
const FADE_SECONDS = 0.06;
/** Channels of the player: one for what has a pitch, and that of the drum kit (General MIDI 1, 1991). */
const PITCHED = 0, KIT = 9;

/**
 * Reads a SoundFont (SF2 or SF3), so that {@linkcode audition} and its like can play its sounds instead of the library's own. None
 * comes with the library; many are free to use, each under its own licence. The player of such files (spessasynth_core,
 * 2 MB) is loaded when this is called.
 *
 * @param file path of the file, or its bytes
 * @returns the SoundFont, for the option `soundFont`
 * @throws {InputError} when there is no such file, and when it is no SoundFont, is damaged or holds no sound
 *
 * Source of the format: SoundFont Technical Specification 2.04 (E-mu Systems 2006).
 *
 * @example
 * ```ts
 * import { readSoundFont } from "ripieno/formats";
 * import { assertRejects } from "@std/assert";
 * await assertRejects(() => readSoundFont("no_such_bank.sf2"), Error, "there is no such file");
 * ```
 */
export async function readSoundFont(file: string | Uint8Array): Promise<SoundFont> {
  if (!(file instanceof Uint8Array)) checkArgument(ACTION, file, A_TEXT, "the file");
  const bytes = typeof file === "string" ? await fileBytes(file) : file;
  const refuse = refusals(ACTION, typeof file === "string" ? { file } : {});
  const { SoundBankLoader, SpessaLog, SpessaSynthProcessor } = await import("spessasynth_core");
  SpessaLog.warnEnabled = false;
  const head = new TextDecoder("latin1").decode(bytes.subarray(0, 12));
  if (!/^RIFF.{4}(sfbk|sfpk)$/s.test(head)) throw refuse("it is no SoundFont", REMEDY);
  const bank = await bankOf(bytes, (buffer) => SoundBankLoader.fromArrayBuffer(buffer), refuse);
  const own = bank.soundBankInfo.name.trim();
  return {
    name: own !== "" ? own : typeof file === "string" ? file.split(/[/\\]/).at(-1)! : "SoundFont",
    sounds: bank.presets.length,
    player: (sampleRate) => {
      const synth = new SpessaSynthProcessor(sampleRate, { eventsEnabled: false, effectsEnabled: false });
      synth.soundBankManager.addSoundBank(bank, "own");
      synth.setSystemParameter("autoAllocateVoices", true);
      return notePlayer(synth);
    },
  };
}

async function fileBytes(path: string): Promise<Uint8Array> {
  const { readBytes } = await import("../files/read_bytes.ts");
  return await readBytes(path, {
    action: ACTION,
    largestBytes: LARGEST_BYTES,
    ifMissing: "Check the name and the folder",
    ifFolder: "Name the SoundFont in it",
    ifLarge: "Give a smaller bank",
  });
}

type Synth = InstanceType<typeof import("spessasynth_core")["SpessaSynthProcessor"]>;
type Bank = ReturnType<typeof import("spessasynth_core")["SoundBankLoader"]["fromArrayBuffer"]>;

/** Takes a file apart; whatever goes wrong there is said in one sentence. */
async function bankOf(
  bytes: Uint8Array,
  load: (buffer: ArrayBuffer) => Bank,
  refuse: ReturnType<typeof refusals>,
): Promise<Bank> {
  try {
    const { BasicSoundBank } = await import("spessasynth_core");
    await BasicSoundBank.isSF3DecoderReady;
    const bank = load(bytes.slice().buffer);
    if (bank.presets.length === 0) throw refuse("it holds no sound", REMEDY);
    return bank;
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw refuse("it is damaged, or only a part of a file", "Get the file again, and give it whole");
  }
}

/** Plays one note after another, each from silence, so that it is the same whatever was played before. */
function notePlayer(synth: Synth): (note: SoundFontNote) => SoundFontSamples {
  let left = new Float32Array(0), right = new Float32Array(0);
  return ({ program, pitch, velocity, lateSeconds, seconds, ringSeconds, seat, slideSemitones = 0 }) => {
    const late = Math.round(lateSeconds * synth.sampleRate);
    const held = late + Math.max(1, Math.round(seconds * synth.sampleRate));
    const most = held + Math.round(ringSeconds * synth.sampleRate);
    if (left.length < most) {
      left = new Float32Array(2 * most);
      right = new Float32Array(2 * most);
    }
    left.fill(0, 0, most);
    right.fill(0, 0, most);
    const channel = program === "kit" ? KIT : PITCHED, own = synth.midiChannels[channel]!;
    const key = Math.min(127, Math.max(0, Math.round(pitch)));
    const tuned = program === "kit" ? 0 : 100 * (pitch - key);
    if (program !== "kit") synth.programChange(channel, program);
    own.setSystemParameter("pan", Math.min(1, Math.max(-1, seat)));
    own.setSystemParameter("fineTune", tuned);
    synth.noteOn(channel, key, Math.min(127, Math.max(1, Math.round(velocity))));
    let at = late;
    const play = (to: number) => {
      for (; at < to; at += PIECE) {
        if (slideSemitones !== 0) {
          own.setSystemParameter(
            "fineTune",
            tuned + 100 * slideSemitones * Math.min(1, (at - late) / (held - late)),
          );
        }
        synth.process(left, right, at, Math.min(PIECE, to - at));
      }
      at = to;
    };
    play(held);
    synth.noteOff(channel, key);
    while (at < most && synth.voiceCount > 0) play(Math.min(most, at + PIECE));
    if (synth.voiceCount > 0) fadeOut([left, right], at, Math.min(at, FADE_SECONDS * synth.sampleRate));
    synth.stopAllChannels(true);
    return { left, right, length: at };
  };
}

function fadeOut(channels: readonly Float32Array[], end: number, length: number): void {
  const from = Math.max(0, Math.floor(end - length));
  for (const channel of channels) {
    for (let i = from; i < end; i++) channel[i]! *= Math.cos(Math.PI / 2 * (i + 1 - from) / (end - from));
  }
}
