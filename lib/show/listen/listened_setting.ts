/** What a listening page has of each setting: lines and layers, figures, sound, engraved bars. */
import { type Kind, listOf } from "../../base/arguments.ts";
import { A_SCORE } from "../../base/arguments.ts";
import type { SoundFont } from "../../formats/sound/read_sound_font.ts";
import { mp3Encoder } from "../../formats/sound/write_mp3.ts";
import { dbOfPower } from "../../hearing/decibels.ts";
import { balance } from "../../measures/balance/balance.ts";
import { partsInWords } from "../../measures/layer_words.ts";
import { printedPassages } from "../../measures/passages/printed_passages.ts";
import { type SubsetBar, subsetMeasures } from "../../measures/subsets/subset_measures.ts";
import { type BarsAsked, barsAsked, type BarsFound } from "../../orchestrate/rewrite/bars_asked.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Note, Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import type { Layer, Texture } from "../../texture/model.ts";
import { layersOf } from "../../texture/layers.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { roleInWords } from "../../texture/role_in_words.ts";
import type { Role } from "../../texture/roles.ts";
import { louder } from "../audition/audition.ts";
import { seatsOf } from "../audition/seats.ts";
import { truePeak } from "../audition/true_peak.ts";
import { whatIsHeard } from "../audition/what_is_heard.ts";
import { chartSvg } from "../drawing/save_chart.ts";
import { engrave } from "../engrave/engrave.ts";
import type { ListeningBar, ListeningLayer, ListeningSetting } from "./client/listening_data.ts";
import { type LayerTracks, layerTracks, type Track } from "./layer_tracks.ts";

/** A setting that is to be heard. */
export interface SettingToHear {
  /** What it is called. */
  readonly name: string;
  /** The score. */
  readonly score: Score;
  /** Who does what in it, where that is known; by default it is read. */
  readonly texture?: Texture;
}

/** What settings have to be. */
export const LISTENED: Kind = {
  ...listOf({
    noun: "a setting",
    give: "Give { name, score }",
    fits: (one) =>
      typeof one === "object" && one !== null && "name" in one && typeof one.name === "string" &&
      "score" in one &&
      A_SCORE.fits(one.score),
  }, "a list of settings, at least one"),
  fits: (list) =>
    Array.isArray(list) && list.length > 0 &&
    list.every((one) =>
      typeof one === "object" && one !== null && typeof one.name === "string" && A_SCORE.fits(one.score)
    ),
};

/** A setting as the page has it. */
interface ListenedSetting {
  readonly setting: ListeningSetting;
  /** MP3 of each layer; undefined where it has no sound. */
  readonly sounds: readonly (Uint8Array | undefined)[];
  /** Engraved bars, as SVG. */
  readonly pictures: readonly string[];
}

/** Samples a second of the page's sound: spectra end at 10 kHz. */
export const SOUND_RATE = 24_000 as const;
/** Room for what a hall adds to the loudest place, in dB. */
const HALL_ROOM_DB = 3;
/** Layers of a bar whose every choice is worked out; where there are more, roles are taken together. */
const MOST_LAYERS = 8;
/** Lines of a page at most. */
const MOST_LINES = 12;
/** Quality of the MP3 tracks, 0 the best to 9: about 20 kilobits a second for one layer. */
const QUALITY = 7;
/** Bars that are engraved together. */
const ENGRAVED_BARS = 4;
const ACTION = "write the listening page";

/** Prepares the settings; all have one gain. */
export async function listenedSettings(
  settings: readonly SettingToHear[],
  options: BarsAsked & { readonly notation: boolean; readonly soundFont?: SoundFont },
): Promise<readonly ListenedSetting[]> {
  const ready = settings.map((one) => readySetting(one, options));
  const gainDb = Math.min(...ready.map(({ sound }) => sound.gainDb)) - HALL_ROOM_DB;
  const heard: ListenedSetting[] = [];
  for (const one of ready) {
    const { sounds, layers } = await layersOfPage(one, gainDb);
    const notation = options.notation ? engravedSpans(one) : [];
    const pictures: string[] = [];
    for (const { from, to } of notation) pictures.push(await pictureOf(one, from, to));
    heard.push({ setting: settingOf(one, layers, notation), sounds, pictures });
  }
  return heard;
}

/** A setting with what is worked out of it. */
interface ReadySetting {
  readonly name: string;
  readonly score: Score;
  readonly texture: Texture;
  readonly bars: BarsFound;
  readonly measures: readonly SubsetBar[];
  readonly sound: LayerTracks;
  readonly ids: readonly string[];
  readonly lines: readonly { readonly role: Role; readonly ids: readonly string[] }[];
  readonly notesOf: ReadonlyMap<string, readonly Note[]>;
}

function readySetting(
  { name, score: given, texture: own }: SettingToHear,
  options: BarsAsked & { readonly soundFont?: SoundFont },
): ReadySetting {
  const { fromBar, toBar, soundFont } = options;
  const asked = { ...(fromBar === undefined ? {} : { fromBar }), ...(toBar === undefined ? {} : { toBar }) };
  const score = toldApart(given);
  const bars = barsAsked(score, asked, { action: ACTION });
  const texture = fewLayers(score, givenTexture(ACTION, score, own));
  const lines = linesOfPage(texture, bars);
  const heard = whatIsHeard(ACTION, score, { ...asked, texture });
  const playing = { sampleRate: SOUND_RATE, ...(soundFont === undefined ? {} : { soundFont }) };
  return {
    name,
    score,
    texture,
    bars,
    measures: subsetMeasures(score, { texture, balance: balance(score, { texture, warnings: false }) }),
    // One track for a layer; it is the page that seats it.
    sound: layerTracks(ACTION, heard, playing),
    ids: lines.flatMap((line) => line.ids),
    lines,
    notesOf: Map.groupBy(heard.notes, (note) => heard.stems[heard.stemOf(note)]!.name),
  };
}

/** The texture, or where it has too many layers to try every choice of them, its roles as layers. */
function fewLayers(score: Score, texture: Texture): Texture {
  const parts = score.parts.length;
  const inBar = score.bars.map((_, b) =>
    new Set(texture.cells.slice(b * parts, (b + 1) * parts).map((cell) => cell.layer)).size
  );
  const whole = { fromBarIndex: 0, toBarIndex: score.bars.length - 1 };
  if (Math.max(...inBar) <= MOST_LAYERS + 1 && linesOfPage(texture, whole).length <= MOST_LINES) {
    return texture;
  }
  const cells = texture.cells.map((cell) => cell.layer === "" ? cell : { ...cell, layer: cell.role });
  return { ...texture, cells, layers: layersOf(cells, parts) };
}

/** Layers that do one thing one after another, on one line. */
function linesOfPage(
  texture: Texture,
  { fromBarIndex, toBarIndex }: Pick<BarsFound, "fromBarIndex" | "toBarIndex">,
): ReadySetting["lines"] {
  const inBars = texture.layers.filter((l) => l.fromBarIndex <= toBarIndex && l.toBarIndex >= fromBarIndex);
  const spans = [...Map.groupBy(inBars, (layer) => layer.id)].map(([id, own]) => ({
    id,
    role: own[0]!.role,
    from: Math.min(...own.map((l) => l.fromBarIndex)),
    to: Math.max(...own.map((l) => l.toBarIndex)),
  })).sort((a, b) => a.from - b.from);
  const lines: { role: Role; ids: string[]; to: number }[] = [];
  for (const { id, role, from, to } of spans) {
    const line = lines.find((one) => one.role === role && one.to < from);
    if (line === undefined) lines.push({ role, ids: [id], to });
    else {
      line.ids.push(id);
      line.to = to;
    }
  }
  const order: readonly Role[] = [
    "lead",
    "counterline",
    "pulse",
    "figuration",
    "run",
    "trill",
    "punctuation",
    "pad",
    "bass",
  ];
  return lines.sort((a, b) => order.indexOf(a.role) - order.indexOf(b.role));
}

/** Both ears get the one track: together they are stronger by this. */
const BOTH_EARS_DB = dbOfPower(2);

/** Sound of every layer as MP3, and its layers as the page has them. */
async function layersOfPage(ready: ReadySetting, gainDb: number) {
  const sounds: (Uint8Array | undefined)[] = [];
  const layers: ListeningLayer[] = [];
  for (const id of ready.ids) {
    const track = ready.sound.tracks.get(id);
    if (track) louder(track.samples, gainDb + BOTH_EARS_DB);
    sounds.push(track && await trackFile(track.samples));
    layers.push(layerOf(ready, id, track));
  }
  return { sounds, layers };
}

async function trackFile(track: Float32Array): Promise<Uint8Array> {
  const encoder = await mp3Encoder({ sampleRate: SOUND_RATE, channels: 1, quality: QUALITY });
  const peak = truePeak(track);
  encoder.add([peak > 1 ? track.map((x) => x / peak) : track]);
  return encoder.end();
}

function layerOf(
  { score, texture, bars, lines, notesOf }: ReadySetting,
  id: string,
  track: Track | undefined,
): ListeningLayer {
  const own = texture.layers.filter((layer) => layer.id === id);
  const clock = clockOf(score), start = clock(bars.startTicks);
  const seats = seatsOf(score.parts, score.parts.map((part) => instrumentById(part.instrument)));
  const parts = [...new Set(own.flatMap((layer) => layer.parts))];
  const inPage = (bar: number) =>
    Math.min(bars.toBarIndex, Math.max(bars.fromBarIndex, bar)) - bars.fromBarIndex;
  const rounded = (x: number) => Math.round(x * 1000) / 1000;
  return {
    line: lines.findIndex((line) => line.ids.includes(id)),
    spans: own.filter((l) => l.fromBarIndex <= bars.toBarIndex && l.toBarIndex >= bars.fromBarIndex)
      .map((layer: Layer) => ({
        from: inPage(layer.fromBarIndex),
        to: inPage(layer.toBarIndex),
        players: partsInWords(score, layer.parts),
        figure: layer.figure,
      })),
    startSeconds: (track?.first ?? 0) / SOUND_RATE,
    seconds: (track?.samples.length ?? 0) / SOUND_RATE,
    seat: parts.reduce((sum, p) => sum + seats[p]!, 0) / Math.max(1, parts.length),
    notes: (notesOf.get(id) ?? []).filter((n) => !n.grace).map((n) => {
      const at = Math.max(start, clock(n.onsetTicks));
      return [
        rounded(at - start),
        rounded(clock(Math.min(bars.endTicks, n.onsetTicks + n.durationTicks)) - at),
        n.soundingPitch,
      ];
    }),
  };
}

const COUNTED = ["", "second ", "third ", "fourth ", "fifth ", "sixth "];

function settingOf(
  ready: ReadySetting,
  layers: readonly ListeningLayer[],
  notation: ListeningSetting["notation"],
): ListeningSetting {
  const { name, score, texture, bars, lines, ids, measures } = ready;
  const { fromBarIndex, toBarIndex } = bars;
  const met = new Map<string, number>();
  const clock = clockOf(score);
  return {
    name,
    bars: measures.slice(fromBarIndex, toBarIndex + 1).map((bar) => barOf(bar, ready, clock)),
    passages: printedPassages(score).filter((p) =>
      p.fromBarIndex <= toBarIndex && p.toBarIndex >= fromBarIndex
    )
      .map((p) => ({
        name: p.name,
        from: Math.max(0, p.fromBarIndex - fromBarIndex),
        to: Math.min(toBarIndex, p.toBarIndex) - fromBarIndex,
      })),
    lines: lines.map(({ role, ids: own }) => {
      const cells = texture.cells.filter((cell) => own.includes(cell.layer));
      const word = roleInWords(role, cells, score);
      const count = met.get(word) ?? 0;
      met.set(word, count + 1);
      return { role, name: `${COUNTED[count] ?? `${count + 1}th `}${word}` };
    }),
    layers: ids.map((_, i) => layers[i]!),
    notation,
  };
}

/** A bar for every choice of the layers that the page has. */
function barOf(
  bar: SubsetBar,
  { score, bars, ids }: ReadySetting,
  clock: (ticks: number) => number,
): ListeningBar {
  const { number, startTicks, durationTicks } = score.bars[bar.barIndex]!;
  return {
    printed: number,
    startSeconds: clock(startTicks) - clock(bars.startTicks),
    seconds: clock(startTicks + durationTicks) - clock(startTicks),
    layers: bar.layers.map((id) => ids.indexOf(id)),
    momentum: Array.from(bar.momentum, (x) => Math.round(100 * x)),
    lead: Array.from(bar.leadAudible, (x) => Number.isNaN(x) ? -1 : Math.round(1000 * x)),
  };
}

/** Bars that are engraved together: a few, and never of two passages. */
function engravedSpans(
  { score, bars: { fromBarIndex, toBarIndex } }: ReadySetting,
): ListeningSetting["notation"] {
  return printedPassages(score).flatMap((passage) => {
    const first = Math.max(fromBarIndex, passage.fromBarIndex),
      last = Math.min(toBarIndex, passage.toBarIndex);
    const spans: { from: number; to: number }[] = [];
    for (let from = first; from <= last; from += ENGRAVED_BARS) {
      spans.push({ from: from - fromBarIndex, to: Math.min(last, from + ENGRAVED_BARS - 1) - fromBarIndex });
    }
    return spans;
  });
}

async function pictureOf({ score, texture, bars: { fromBarIndex } }: ReadySetting, from: number, to: number) {
  const printed = (bar: number) => Number(score.bars[fromBarIndex + bar]!.number);
  const [fromBar, toBar] = [printed(from), printed(to)];
  if (!Number.isInteger(fromBar) || !Number.isInteger(toBar)) return "";
  return chartSvg(await engrave(score, { fromBar, toBar, texture, byRole: true }));
}
