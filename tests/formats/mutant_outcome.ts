/** What becomes of a mutant: read, looked through, measured where it is small, written and read again; or refused. */
import { describePlace, InputError } from "../../lib/base/errors.ts";
import { demoSketch } from "../../lib/demo.ts";
import { tableText } from "../../lib/formats/files/decode.ts";
import { readMidi } from "../../lib/formats/midi/read_midi.ts";
import { writeMidi } from "../../lib/formats/midi/write_midi.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { readScoreBytes } from "../../lib/formats/read_score_bytes.ts";
import { study } from "../../lib/measures/compare/compare.ts";
import { readPlan } from "../../lib/orchestrate/plan/plan_table.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../lib/score/model.ts";
import { musicXmlValidator } from "../setup/music_xml_schema.ts";
import type { Mutant } from "../setup/mutants/mutants.ts";
import { faultOf } from "./score_faults.ts";

/** Longest message of a refusal, in characters. */
const LONGEST_MESSAGE = 300;
/** Most note heads and bars of a mutant that is measured. */
const [MOST_NOTES, MOST_BARS] = [120, 40];

const FILE = "mutant";

/** Throws where a refusal is longer than a person reads, or does not say where. */
function checkRefusal(error: unknown): asserts error is InputError {
  if (!(error instanceof InputError)) throw error;
  if (error.message.length > LONGEST_MESSAGE) {
    throw new Error(`a refusal of ${error.message.length} characters: ${error.message}`);
  }
  if (describePlace(error.where) === "") throw new Error(`a refusal without a place: ${error.message}`);
}

function checkSound(score: Score, what: string): void {
  const fault = faultOf(score);
  if (fault !== undefined) throw new Error(`${what}: ${fault}`);
}

/** Most bars of all parts together, and heads tied over them, of a mutant that is written: what more costs, benches say. */
const MOST_WRITTEN = 8000;

/** How much there is to write, in bars of parts and note heads. */
function amountOf(score: Score): number {
  const barTicks = score.bars.reduce((sum, b) => sum + b.durationTicks, 0) / score.bars.length;
  const heads = score.notes.reduce((sum, n) => sum + 1 + n.durationTicks / barTicks, 0);
  return heads + score.bars.length * score.parts.length;
}

/** A score that was read is sound, can be measured, and can be written in a form that is read again. */
async function useScore(score: Score): Promise<void> {
  checkSound(score, "read");
  if (score.notes.length <= MOST_NOTES && score.bars.length <= MOST_BARS) await study(score);
  if (amountOf(score) > MOST_WRITTEN) return;
  const xml = writeMusicXml(score);
  const faults = musicXmlValidator()?.(xml) ?? [];
  if (faults.length > 0) throw new Error(`MusicXML is not valid: ${faults[0]}`);
  // A score of rests is written, and refused as a score of nothing.
  if (score.notes.length > 0) {
    const again = readMusicXml(xml, { file: FILE });
    checkSound(again, "MusicXML written and read");
    if (again.notes.length !== score.notes.length) {
      throw new Error(`${score.notes.length} notes are ${again.notes.length} after MusicXML`);
    }
  }
  checkSound(readMidi(writeMidi(score), { file: FILE }), "MIDI written and read");
}

/**
 * Takes a mutant all the way.
 *
 * @param mutant the file
 * @returns whether it was read
 * @throws {Error} when it was neither a sound result nor refused in a sentence with a place
 */
export async function outcomeOf({ kind, bytes }: Mutant): Promise<"read" | "refused"> {
  if (kind === "plan") {
    try {
      realise(demoSketch(), readPlan(tableText(bytes), { file: FILE }));
      return "read";
    } catch (error) {
      checkRefusal(error);
      return "refused";
    }
  }
  let score: Score;
  try {
    score = readScoreBytes(bytes, { file: FILE });
  } catch (error) {
    checkRefusal(error);
    return "refused";
  }
  await useScore(score);
  return "read";
}
