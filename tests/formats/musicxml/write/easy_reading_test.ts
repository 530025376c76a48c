import { assertEquals } from "@std/assert";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../../lib/formats/musicxml/write/write_musicxml.ts";
import type { Score, Spelling } from "../../../../lib/score/model.ts";
import { pitchOfSpelling } from "../../../../lib/score/spelling.ts";
import { generatedSetting } from "../../../setup/generated_settings.ts";
import { type BarText, line, partOf, scoreOf } from "../../small_scores.ts";

const NAMES: Readonly<Record<string, number>> = { "": 0, "#": 1, "b": -1, "##": 2, "bb": -2 };

/** A spelling such as `F#4`. */
function spelt(text: string): Spelling {
  const [, step, sign, octave] = /^([A-G])([#b]*)(\d)$/.exec(text)!;
  return { step: step!, alter: NAMES[sign!]!, octave: Number(octave) };
}

/** Quarter notes by their sounding spelling, for a horn, oboe or clarinet. */
function quarters(
  notes: string,
  instrument: "horn in F" | "oboe" | "clarinet in Bb" = "oboe",
  bars: BarText[] = [{}],
) {
  const [transposeSemitones, transposeSteps] = {
    "horn in F": [-7, -4],
    "oboe": [0, 0],
    "clarinet in Bb": [-2, -1],
  }[
    instrument
  ] as [number, number];
  const spellings = notes.split(" ").map(spelt);
  const texts = line(spellings.map((s) => [1, pitchOfSpelling(s)] as const));
  return scoreOf(bars, {
    parts: [partOf("Player", { instrument, transposeSemitones, transposeSteps })],
    notes: texts.map((n, i) => ({ ...n, spelling: spellings[i]! })),
  });
}

interface WrittenNote {
  readonly name: string;
  readonly key: number;
}

/** Written notes, bar by bar and part by part. */
function barsOf(xml: string): readonly (readonly WrittenNote[])[] {
  return (xml.match(/<part id[\s\S]*?<\/part>/g) ?? []).flatMap((part) => {
    let key = 0;
    return part.match(/<measure [\s\S]*?<\/measure>/g)!.map((bar) => {
      key = Number(/<fifths>(-?\d+)/.exec(bar)?.[1] ?? key);
      return [...bar.matchAll(/<step>(\w)<\/step>\s*(?:<alter>(-?\d+)<\/alter>)?/g)]
        .map(([, step, alter]) => ({ name: `${step}${alter ?? 0}`, key }));
    });
  });
}

const namesOf = (score: Score) => barsOf(writeMusicXml(score)).map((bar) => bar.map((n) => n.name).join(" "));

/** Signs in front of heads, a courtesy in brackets. */
function signsOf(xml: string): readonly string[] {
  return (xml.match(/<note>[\s\S]*?<\/note>/g) ?? []).map((note) => {
    const [, courtesy, name] = /<accidental( cautionary="yes")?>([\w-]+)</.exec(note) ?? [];
    return name === undefined ? "-" : courtesy ? `(${name})` : name;
  });
}

Deno.test("easy reading: E sharp, C flat and double accidentals become the plain note, unless its letter is taken", () => {
  assertEquals(namesOf(quarters("E#4 G4 Cb5 A4")), ["F0 G0 B0 A0"]);
  assertEquals(namesOf(quarters("E#4 F#4 G#4 A4")), ["E1 F1 G1 A0"]);
  assertEquals(namesOf(quarters("F##4 E4 D4 C4")), ["G0 E0 D0 C0"]);
  assertEquals(namesOf(quarters("F##4 G#4 A#4 B4", "oboe", [{ keyFifths: 5 }])), ["F2 G1 A1 B0"]);
  assertEquals(namesOf(quarters("E#4 F4 G4 F#4")), ["F0 F0 G0 F1"]);
});

Deno.test("easy reading: what the key has stays, and a clarinet in B major reads five flats, not seven sharps", () => {
  assertEquals(namesOf(quarters("E#4 F#4 G#4 A#4", "oboe", [{ keyFifths: 6 }])), ["E1 F1 G1 A1"]);
  const xml = writeMusicXml(quarters("B4 C#5 D#5 E5", "clarinet in Bb", [{ keyFifths: 5 }]));
  assertEquals(barsOf(xml)[0]!.map((n) => [n.name, n.key]), [["D-1", -5], ["E-1", -5], ["F0", -5], [
    "G-1",
    -5,
  ]]);
});

Deno.test("easy reading: what belongs to the key or its minor stays: C flat in E flat, E sharp as the third of C sharp seven in A", () => {
  assertEquals(namesOf(quarters("Cb5 D5 F5 Ab5", "oboe", [{ keyFifths: -3 }])), ["C-1 D0 F0 A-1"]);
  assertEquals(namesOf(quarters("C#5 E#5 G#5 B5", "oboe", [{ keyFifths: 3 }])), ["C1 E1 G1 B0"]);
  // As a clarinet in B flat has them, too.
  assertEquals(namesOf(quarters("Cb5 D5 F5 Ab5", "clarinet in Bb", [{ keyFifths: -3 }])), ["D-1 E0 G0 B-1"]);
  assertEquals(namesOf(quarters("Cb5 D5 F5 A5", "oboe", [{ keyFifths: -1 }])), ["B0 D0 F0 A0"]);
});

Deno.test("easy reading: courtesies after an altered bar and beside another octave, each once", () => {
  const signs = (notes: string, bars: BarText[]) => signsOf(writeMusicXml(quarters(notes, "oboe", bars)));
  assertEquals(
    signs("F#4 G4 A4 B4 F4 F4 G4 A4 F4 G4 A4 B4", [{}, {}, {}]).join(" "),
    "sharp - - - (natural) - - - - - - -",
  );
  assertEquals(signs("F#4 F5 G4 F5", [{}]).join(" "), "sharp (natural) - -");
  assertEquals(signs("F4 G4 A4 F#4 F#4 G4 A4 B4", [{}, {}]).join(" "), "- - - sharp sharp - - -");
  assertEquals(
    signs("C5 D5 E5 Bb4 Bb4 B4 A4 G4", [{ keyFifths: 1 }, { keyFifths: -1 }]).join(" "),
    "- - - flat - natural - -",
  );
});

Deno.test("easy reading: courtesies change nothing that is read back, and a page's own are left to it", () => {
  const xml = writeMusicXml(quarters("F#4 G4 A4 B4 F4 F4 G4 A4", "horn in F", [{}, {}]));
  const back = readMusicXml(xml);
  assertEquals(back.notes.map((n) => n.soundingPitch), [66, 67, 69, 71, 65, 65, 67, 69]);
  assertEquals(signsOf(writeMusicXml(back)).some((s) => s.startsWith("(")), false);
});

Deno.test("easy reading: generated settings, in all their keys and transpositions, hold no double accidental and no E sharp beside F", () => {
  let notes = 0;
  for (let seed = 1; seed <= 40; seed++) {
    for (const bar of barsOf(writeMusicXml(generatedSetting(seed).score))) {
      notes += bar.length;
      const names = new Set(bar.map((n) => n.name));
      for (const { name, key } of bar) {
        const alter = Number(name.slice(1));
        const isTaken = (letter: string) =>
          [...names].some((other) => other[0] === letter && other !== `${letter}0`);
        assertEquals(Math.abs(alter) > 1, false, `seed ${seed}: ${name} in ${key}`);
        const plain = { E1: "F", B1: "C", "C-1": "B", "F-1": "E" }[name];
        // From the flattened second of the key to the leading note of its minor, on the line of fifths.
        const inKey = { E1: [3, 16], B1: [4, 17], "C-1": [-12, -2], "F-1": [-13, -3] }[name];
        if (plain === undefined || (inKey && key >= inKey[0]! && key <= inKey[1]!)) continue;
        assertEquals(names.has(`${plain}0`), false, `seed ${seed}: ${name} beside ${plain}`);
        assertEquals(isTaken(plain), true, `seed ${seed}: ${name} without need`);
      }
    }
  }
  assertEquals(notes > 10_000, true);
});
