/** A folder of scores to survey: generated settings in several tempos, with folders, files that are no scores and twins. */
import { join } from "node:path";
import { writeMidi, writeMusicXml } from "ripieno";
import { generatedSetting } from "./generated_settings.ts";

/** Tempos by which one setting becomes several scores. */
const TEMPOS = [60, 66, 72, 80, 96, 108, 120, 132, 144, 160] as const;

/**
 * Writes generated scores, the same for the same number: every tenth a MIDI file, the others MusicXML, in folders of a
 * hundred.
 *
 * @param folder where they go
 * @param count how many
 */
export async function writeCorpus(folder: string, count: number): Promise<void> {
  for (let seed = 0; seed * TEMPOS.length < count; seed++) {
    const { score } = generatedSetting(seed);
    for (let i = 0; i < TEMPOS.length && seed * TEMPOS.length + i < count; i++) {
      const number = seed * TEMPOS.length + i;
      const place = join(folder, `set ${Math.floor(number / 100)}`);
      await Deno.mkdir(place, { recursive: true });
      const tempos = [{ onsetTicks: 0, quartersPerMinute: TEMPOS[i]!, origin: "marked" as const }];
      const paced = { ...score, tempos };
      const name = join(place, `score ${number}`);
      if (i === 9) await Deno.writeFile(`${name}.mid`, writeMidi(paced));
      else await Deno.writeTextFile(`${name}.musicxml`, writeMusicXml(paced));
    }
  }
}

/** Bytes of the tables of a survey, by name. */
export async function tablesOf(folder: string): Promise<Readonly<Record<string, Uint8Array>>> {
  const tables: Record<string, Uint8Array> = {};
  for await (const { name, isFile } of Deno.readDir(folder)) {
    if (isFile && !name.startsWith(".")) tables[name] = await Deno.readFile(join(folder, name));
  }
  return tables;
}

/** Names of tables that differ in any byte, or that one of the two folders lacks. */
export async function tablesThatDiffer(one: string, other: string): Promise<readonly string[]> {
  const [a, b] = await Promise.all([tablesOf(one), tablesOf(other)]);
  const same = (x: Uint8Array | undefined, y: Uint8Array | undefined) =>
    x !== undefined && y !== undefined && x.length === y.length && x.every((byte, i) => byte === y[i]);
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].filter((name) => !same(a[name], b[name]));
}
