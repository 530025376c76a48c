/** Arguments that public functions take: samples by type, and by parameter where the type alone does not say enough. */
import { zipSync } from "fflate";
import {
  assign,
  attribution,
  balance,
  compare,
  effects,
  freshness,
  instrumentById,
  momentum,
  playability,
  readAbc,
  readHarmony,
  realise,
  sensitivity,
  sketchOf,
  study,
  textureOf,
  writeMidi,
  writeMusicXml,
} from "ripieno";
import { erbGrid, excitationPattern } from "ripieno/hearing";
import { HARP_NATURAL, sectionSizes } from "ripieno/instruments";
import { maskingMatrix, momentSound } from "ripieno/measures";
import { buildUp, judgePlan } from "ripieno/orchestrate";
import { momentumChart } from "ripieno/show";
import { recipeOf, recipePlaces, survey } from "ripieno/survey";
import { wholePlan } from "../orchestrate/sketches.ts";
import type { Parameter } from "./public_functions.ts";
import { smallSoundFont } from "./small_sound_font.ts";

/** Two quick bars: many wrong calls of a function are answered, and each of these does the whole job. */
const SKETCH = sketchOf(
  readAbc(`X:1\nT:Small\nM:4/4\nL:1/4\nQ:1/4=240\nK:Dm\n"Dm" d2 A d | "A7" ^c2 "Dm" d2 |]\n`),
);
/** One note over one chord: a search draws and measures some eighty scorings where nothing else is asked for. */
const ONE_NOTE = sketchOf(readAbc(`X:1\nT:Small\nM:1/4\nL:1/4\nQ:1/4=240\nK:Dm\n"Dm" d |]\n`));
const PLAN = wholePlan(
  SKETCH,
  assign({ role: "lead", parts: ["Flute 1"], dynamic: "mf" }),
  assign({ role: "pulse", figure: "repeated eighths", parts: ["Violas"], dynamic: "p" }),
  assign({ role: "bass", parts: ["Cellos"], dynamic: "p" }),
);

/** Samples by type and by parameter. */
export type RightArguments = (functionName: string, parameter: Parameter) => unknown;

/**
 * Samples for every parameter.
 *
 * @param folder where files may be written
 * @returns a sample for a parameter
 * @throws {Error} for a type of which there is no sample yet
 */
export async function rightArguments(folder: string): Promise<RightArguments> {
  const score = realise(SKETCH, PLAN);
  const texture = textureOf(score);
  const heard = balance(score, { texture });
  const driving = momentum(score, { texture, balance: heard });
  const fresh = freshness(score, { texture });
  const playable = playability(score);
  const whole = study(score, { texture, name: "small" });
  const rows = [{ tempo: 96, momentum: 1 }, { tempo: 132, momentum: 2 }, { tempo: 96, momentum: 3 }];
  const flute = instrumentById("flute");
  const grid = erbGrid();
  const { excitation } = excitationPattern([440], [60], { grid });
  const table = {
    halfLifeBars: { value: 4, unit: "bars", source: "made up for this test", meaning: "time to half" },
  };
  const abc = 'X:1\nT:One\nM:4/4\nL:1/4\nK:C\n"C" c4 |]\n';
  const plan = "passage,from_bar,to_bar,role,parts\nAll,1,8,lead,Flute 1\n";

  Deno.writeTextFileSync(`${folder}/score.abc`, abc);
  const surveyed = `${folder}/survey`;
  await survey(`${folder}/score.abc`, { out: surveyed }); // what reads a survey needs one
  const recipe = recipeOf(score, { texture });

  const byType: Readonly<Record<string, unknown>> = {
    "ArrayLike<number>": [440],
    RoleCell: texture.cells[0],
    AssignmentInput: { role: "lead", parts: ["Flute 1"] },
    Attribution: attribution(score, { texture, balance: heard }),
    Balance: heard,
    Change: { set: { dynamic: "p" } },
    Chart: momentumChart(driving, score),
    "ChordTone[]": [{ pitchClass: 0, name: "C" }, { pitchClass: 4, name: "E" }],
    "ComparisonRow[]": compare([whole]),
    Constant: table.halfLifeBars,
    Effects: effects(rows, { of: "momentum" }),
    ErbGrid: grid,
    "FileToWrite[]": [{ name: "a.txt", content: "a" }],
    Float64Array: excitation,
    "Float64Array[]": [excitation],
    Freshness: fresh,
    Fullness: whole.fullness,
    Contour: whole.contour,
    Idiom: whole.idiom,
    HarpSetting: HARP_NATURAL,
    Instrument: flute,
    InstrumentQuery: { names: ["Flute"] },
    InstrumentsAsked: flute,
    "Iterable<number>": [60, 66],
    LowIntervalTable: "classroom",
    "MaskingRow[]": maskingMatrix(score, { texture }),
    MomentSound: momentSound(score, { texture, barIndex: 1 }),
    Momentum: driving,
    NoiseBand: { lowHz: 400, highHz: 500, levelDbPerHz: 40 },
    Note: score.notes[0],
    "Note[]": score.notes,
    Plan: PLAN,
    Playability: playable,
    "PlayabilityFinding[]": playable.findings,
    "RemedyChange | RemedyChange[]": { kind: "dynamic", parts: ["Violas"], steps: -1 },
    "ReportEntry[]": [{ score, texture, study: whole }],
    Recipe: recipe,
    "Recipe[]": [recipe, { ...recipe, name: "twin" }],
    "RecipePlace[]": recipePlaces([recipe, recipe]),
    Role: "lead",
    SampledSound: { sampleRate: 24_000, channels: [new Float32Array(240)] },
    "SettingToHear[]": [{ name: "small", score, texture }],
    Score: score,
    "Score[] | Readonly<Record<string, Score>>": [score],
    Sensitivity: sensitivity([score], { constants: ["slurredStrength"], measures: ["momentum"] }),
    Sketch: SKETCH,
    HarmonyReading: readHarmony(score),
    "Wish[]": [{ fromBar: 1, toBar: 1, parts: ["Violas"], role: "rest" }],
    "TickSpan[]": [{ startTicks: 0, endTicks: 4 }],
    "SoundingPitch[]": [55],
    "(SoundingPitch | null)[]": [45, null, null, null],
    Study: whole,
    "Study[]": [whole],
    SunkPassage: { fromBarIndex: 0, toBarIndex: 1 },
    StringSizes: sectionSizes()[0],
    SweepGrid: { tempo: [96] },
    "TableRow[]": rows,
    Texture: texture,
    Timed: score,
    'Pick<Score, "bars">': score,
    'Pick<Score, "ticksPerQuarter">': score,
    fnOrConstructor: (members: number) => members,
    number: 4,
    "number[]": [1, 0],
    "object[]": rows,
    string: "flute",
    unknown: rows,
    "string | Uint8Array": abc,
    "string | Readonly<Record<string, string>>": { Dm: "F" },
    T: table,
    Seconds: 1,
    Sones: 2,
    SoundingPitch: 62,
    Ticks: 4,
  };
  const byParameter: Readonly<Record<string, unknown>> = {
    "applyRemedy.options": { fromBarIndex: 0, toBarIndex: 1 },
    // One bar, at the lowest rate there is: most of a hundred calls each would play the whole otherwise.
    "audition.options": { fromBar: 1, toBar: 1, sampleRate: 22050, hall: "none" },
    "listeningPage.options": { fromBar: 1, toBar: 1, notation: false },
    "soundFile.options": { fromBar: 1, toBar: 1, sampleRate: 22050, hall: "none" },
    "assignRole.correction": { part: 0, fromBarIndex: 0, toBarIndex: 1, role: "lead" },
    "componentExcitation.levelsDbSpl": [60],
    "erbPower.levelsDbSpl": [60],
    "excitationPattern.levelsDbSpl": [60],
    "thirdOctaveLevels.levelsDbSpl": [60],
    "barsTable.measures": { momentum: driving.perBar },
    "binauralLoudnessSones.ears": { left: excitation, right: excitation },
    "capabilities.options": { bpm: 96 },
    "defineInstrument.definition": { id: "four solo violas", like: "viola" },
    "describePlace.where": { bar: 3 },
    "effects.options": { of: "momentum" },
    "defineFigure.definition": { id: "own", cellQuarters: 1, strokes: [{ at: 0, length: 1 }] },
    "equalLoudnessLevelDb.phon": 60,
    "equalLoudnessLevelDb.frequencyHz": 1000,
    "figureById.id": "held chord",
    "harpPedals.notes": [{ step: "C", alter: 1 }],
    "layersTable.texture": texture,
    "loudnessLevelPhon.levelDbSpl": 60,
    "loudnessLevelPhon.frequencyHz": 1000,
    "makeNote.input": { part: 0, onsetTicks: 0, durationTicks: 4, soundingPitch: 62 },
    "momentSound.options": { barIndex: 1 },
    "orchestra.name": "symphony",
    "novelty.similarity": [1, 0, 0, 1],
    "readInstruments.text": "instrument,like\nvillage fiddle,solo violin\n",
    "readMidi.bytes": writeMidi(score),
    "readMusicXml.source": writeMusicXml(score),
    "readMxl.bytes": zipSync({ "score.musicxml": new TextEncoder().encode(writeMusicXml(score)) }),
    "readOrchestra.text": "part,instrument\nWhistle,recorder\n",
    "readPlan.text": plan,
    "readSoundFont.file": smallSoundFont(),
    "readScore.path": `${folder}/score.abc`,
    "readScoreBytes.bytes": new TextEncoder().encode(abc),
    "readRecipes.folder": surveyed,
    "readSurvey.folder": surveyed,
    "readSurveyBars.folder": surveyed,
    "saveChart.path": `${folder}/chart.svg`,
    "speedOver.limit": { burstPerSecond: 8, sustainedPerSecond: 6 },
    "foundPlansChart.plans": [
      judgePlan(SKETCH, PLAN, { wishes: { passages: [{ name: "All", fromBar: 1, toBar: 2, momentum: 1 }] } }),
    ],
    "buildUpChart.steps": buildUp(score, { fromBar: 1, toBar: 1 }),
    "compareVersions.before": { score, texture, study: whole },
    "compareVersions.after": { score, texture, study: whole },
    "readWishes.text": "from_bar,to_bar,parts,role\n1,1,Violas,rest\n",
    "readChords.text": "bar,beat,chord\n1,1,C\n",
    "readChords.options": { score },
    "readRoles.text": "bar,part,role\n1,Violas,pad\n",
    "readPlanWishes.text": "passage,from_bar,to_bar,momentum\nAll,1,8,2\n",
    "writePlanWishes.wishes": { passages: [{ name: "All", fromBar: 1, toBar: 2 }] },
    "readRoles.options": { score, texture },
    "readSketchLines.text": "line,bar,beat,quarters,pitch\nbass line,1,1,1,D3\n",
    "readSketchLines.options": { sketch: SKETCH },
    "suggest.options": { wish: "lighter", fromBar: 1, toBar: 1, most: 1 },
    "search.from": ONE_NOTE,
    "search.options": { k: 1, scorings: 1, wishes: { passages: [{ name: "A", fromBar: 1, toBar: 1 }] } },
    "judgePlan.options": { wishes: { passages: [{ name: "All", fromBar: 1, toBar: 2 }] } },
    "take.options": { roles: ["lead"] },
    "survey.where": `${folder}/score.abc`,
    "survey.options": { out: surveyed },
    "sweep.options": { sketch: SKETCH, measures: ["momentum"] },
    "sweepChart.options": { x: "tempo", y: "tempo", of: "momentum" },
    "sweepChart.rows": rows,
    "syncopation.onsets": [1, 0],
    "textureDifferences.options": { score },
    "varyForRemedy.remedy": { what: "softer", changes: [{ kind: "dynamic", parts: ["Violas"], steps: -1 }] },
    "varyForRemedy.options": { sketch: SKETCH, setting: score, fromBarIndex: 0, toBarIndex: 1 },
    "writeFiles.folder": folder,
    "writeOrchestra.parts": [{ name: "Whistle", instrument: "recorder", players: 1 }],
    "writeStudy.folder": `${folder}/study`,
    "writePart.partIndex": 0,
    "zwickerLoudness.levelsDbSpl": Array.from({ length: 28 }, () => 40),
  };
  return (functionName, { name, type, isOptional }) => {
    const own = `${functionName}.${name}`;
    if (Object.hasOwn(byParameter, own)) return byParameter[own];
    if (Object.hasOwn(byType, type)) return byType[type];
    if (isOptional) return undefined;
    throw new Error(`Give a sample of ${type}, or of ${own}, in tests/setup/right_arguments.ts`);
  };
}
