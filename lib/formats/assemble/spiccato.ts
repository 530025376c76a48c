/** Spiccato as players read it: dots under the word `spicc.`, until a word or `stacc.` says otherwise. */
import { firstIndex } from "../../base/first_index.ts";
import type { Note } from "../../score/model.ts";
import { readWords } from "./direction_words.ts";

/** Words at a place. */
interface PlacedWords {
  readonly ticks: number;
  readonly words: string;
}

/** Where dots mean spiccato, by the words over a stave in order. */
export function spiccatoCourse(placed: readonly PlacedWords[]): (ticks: number) => boolean {
  const changes = placed.flatMap(({ ticks, words }) => {
    const { stroke } = readWords(words);
    return stroke === undefined ? [] : [{ ticks, isSpiccato: stroke === "spiccato" }];
  });
  return (ticks) =>
    changes[firstIndex(changes.length, (i) => changes[i]!.ticks > ticks) - 1]?.isSpiccato ?? false;
}

/** Whether a note may bounce: what is plucked or struck with the wood has dots of its own. */
export function canBounce(
  { technique, techniques = [technique] }: Pick<Note, "technique" | "techniques">,
): boolean {
  return !techniques.includes("pizzicato") && !techniques.includes("col legno");
}

/** The words that notes of one part need, in order: `spicc.` where it begins, `stacc.` where dots mean less again. */
export function spiccatoWords(notes: readonly Note[]): readonly PlacedWords[] {
  const found: PlacedWords[] = [];
  let isInForce = false;
  let isRunning = false;
  for (const [ticks, chord] of Map.groupBy(notes, (n) => n.onsetTicks)) {
    const bounces = chord.filter(canBounce);
    const has = (sign: Note["articulations"][number]) => bounces.some((n) => n.articulations.includes(sign));
    if (has("spiccato")) {
      if (!isRunning) found.push({ ticks, words: "spicc." });
      isInForce = true;
    } else if (has("staccato") && isInForce) {
      found.push({ ticks, words: "stacc." });
      isInForce = false;
    }
    isRunning = has("spiccato");
  }
  return found;
}
