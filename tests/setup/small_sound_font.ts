/** A SoundFont for tests, made here: a held tone, a plucked one and a drum. None is committed, and none is fetched. */
import { BasicInstrument, BasicPreset, BasicSample, BasicSoundBank, SampleTypes } from "spessasynth_core";

const SAMPLE_RATE = 44_000;
/** Numbers of generators in the format: whether a sample loops, and how a note dies away. */
const LOOPS = 54, RELEASE = 38, DECAY = 36, SUSTAIN = 37;
/** General MIDI 1: pizzicato strings, counted from 0. */
const PIZZICATO = 45;

/** What the bank has. */
interface SmallSoundFont {
  /** Keys of the held tone, from and to; by default all. */
  readonly keys?: readonly [number, number];
  /** Whether it has any sound. */
  readonly empty?: boolean;
}

/** Bytes of a bank: program 0 holds a tone of eight partials, program 45 a plucked one, the kit noise. */
export function smallSoundFont({ keys = [0, 127], empty = false }: SmallSoundFont = {}): Uint8Array {
  const bank = new BasicSoundBank();
  bank.soundBankInfo.name = "three sounds";
  if (!empty) {
    const tone = sampleOf("tone", (i) => sumOf(8, (k) => Math.sin(2 * Math.PI * k * i / 100) / k));
    let state = 1;
    const noise = sampleOf("noise", () => (state = Math.imul(state, 1_103_515_245) + 12_345 | 0) / 2 ** 31);
    bank.addSamples(tone, noise);
    addPreset(bank, tone, { program: 0, keys, generators: [[LOOPS, 1], [RELEASE, -2400]] });
    addPreset(bank, tone, {
      program: PIZZICATO,
      keys: [0, 127],
      generators: [[LOOPS, 1], [DECAY, 0], [SUSTAIN, 1440]],
    });
    addPreset(bank, noise, { program: 0, kit: true, keys: [0, 127], generators: [] });
    bank.flush();
  }
  return new Uint8Array(bank.writeSF2());
}

const sumOf = (count: number, one: (k: number) => number) =>
  Array.from({ length: count }, (_, k) => one(k + 1)).reduce((a, b) => a + b, 0);

/** A sample whose loop is 44 whole periods of 100, at the pitch of A4. */
function sampleOf(name: string, at: (i: number) => number): BasicSample {
  const sample = new BasicSample(name, SAMPLE_RATE, 69, 0, SampleTypes.monoSample, 0, 4400);
  sample.setAudioData(Float32Array.from({ length: 4500 }, (_, i) => 0.2 * at(i)), SAMPLE_RATE);
  return sample;
}

function addPreset(
  bank: BasicSoundBank,
  sample: BasicSample,
  { program, kit = false, keys: [min, max], generators }: {
    readonly program: number;
    readonly kit?: boolean;
    readonly keys: readonly [number, number];
    readonly generators: readonly (readonly [kind: number, value: number])[];
  },
): void {
  const instrument = new BasicInstrument();
  instrument.name = sample.name;
  const zone = instrument.createZone(sample);
  zone.keyRange = { min, max };
  for (const [kind, value] of generators) {
    zone.setGenerator(kind as Parameters<typeof zone.setGenerator>[0], value);
  }
  bank.addInstruments(instrument);
  const preset = new BasicPreset(bank);
  preset.name = `${sample.name} ${program}`;
  preset.program = program;
  preset.isGMGSDrum = kit;
  preset.createZone(instrument);
  bank.addPresets(preset);
}
