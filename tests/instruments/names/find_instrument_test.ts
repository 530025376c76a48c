import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { allInstruments, findInstrument, InputError, instrumentById } from "ripieno";
import type { InstrumentQuery } from "ripieno/instruments";
import { csvRows, sharedFolder } from "../../setup/shared_data.ts";
import { musicXmlIn } from "../../setup/music_xml_in.ts";

const idOf = (name: string, more: InstrumentQuery = {}) =>
  findInstrument({ names: [name], ...more }).instrument.id;

// Names as scores print them: common practice, no source.
const NAMES: Readonly<Record<string, readonly string[]>> = {
  "piccolo": ["Piccolo", "Ottavino", "Flauto piccolo", "Kleine Flöte", "Petite flûte", "Picc."],
  "flute": ["Fl. 1", "2 Flauti", "Flöten a 2", "Grande Flûte", "Große Flöte", "flute2", "Flauto I. II."],
  "alto flute": ["Alto Flute", "Altflöte", "Flauto contralto"],
  "oboe": ["Ob. I", "Oboen", "Hautbois", "2 Oboi", "Hoboe"],
  "cor anglais": ["Cor anglais", "English Horn", "Corno inglese", "Engl. Horn", "englishhorn", "Cor. ingl."],
  "clarinet in Bb": [
    "Klarinetten in B",
    "Bb Clarinet 2",
    "Clarinetti in Si♭",
    "B-Klarinette",
    "Clarinette en si bémol",
  ],
  "clarinet in A": ["Clarinetti in La", "A Clarinet 1", "Klarinette in A", "Clarinet in A 2"],
  "clarinet in Eb": ["Es-Klarinette", "Clarinet in E-flat", "Petite clarinette", "Clarinetto piccolo in Mib"],
  "clarinet in C": ["C Clarinet 1", "Clarinetti in Ut"],
  "bass clarinet": ["Bassklarinette in B", "Clarinetto basso", "Clarinette basse en Sib", "B. Cl."],
  "bassoon": ["Fagotti", "Basson 1", "Fag. I. II.", "Bsn. 2", "Fgt. I"],
  "contrabassoon": ["Kontrafagott", "Contrafagotto", "Contrebasson", "Double Bassoon", "Cbsn."],
  "alto saxophone": ["Alto Sax", "Altsaxophon", "Saxophone alto"],
  "horn in F": [
    "Corni in F I. II.",
    "Hörner in Es",
    "Eb Horn 1",
    "Horn in D",
    "Hr. 1.2. in F",
    "Cors à pistons",
    "Cn. I",
  ],
  "trumpet in C": ["C Trumpet 1", "3 Trombe in C", "Cln. II", "Trompeten", "F Trumpet 1", "Tr. in Fa"],
  "trumpet in Bb": ["Tromba I in Sib", "Trumpet in Bb", "Trompete in B", "Tr. in B♭"],
  "trumpet in D": ["D Trumpet 2", "Trompete in D"],
  "tenor trombone": ["Trombone 1", "Posaunen", "Tenorposaune", "Tromboni I. II.", "Tbn. 2"],
  "bass trombone": ["Bass Trombone", "Bassposaune", "Trombone basso"],
  "alto trombone": ["Altposaune", "Trombone alto"],
  "tuba": ["Tuba", "Basstuba", "Basso Tuba"],
  "timpani": ["Pauken", "C, G Timpani", "Timpani in C and G", "Timp. Des", "Timbales", "Pauken in D-A"],
  "bass drum": ["Gran Cassa", "Große Trommel", "Grosse caisse", "Gr. Cassa"],
  "snare drum": ["Snare Drum", "Kleine Trommel", "Caisse claire", "Tamburo militare"],
  "cymbals": ["Piatti", "Becken", "Cymbales"],
  "triangle": ["Triangolo", "Triangel", "Triangle"],
  "glockenspiel": ["Campanelli", "Glockenspiel", "Jeu de timbres"],
  "tubular bells": ["Campane", "Röhrenglocken", "Cloches"],
  "harp": ["Arpa I", "Harfe", "Harpe 2", "Harp"],
  "celesta": ["Celesta", "Céleste"],
  "piano": ["Klavier", "Pianoforte", "Piano"],
  "violin": [
    "Vln. II",
    "Violino I",
    "Violini secondi",
    "1ers Violons",
    "Geigen",
    "Violins I",
    "violin1",
    "Viol. II.",
  ],
  "viola": ["Viole", "Bratschen", "Vla.", "Vle", "Violas"],
  "cello": ["Violoncello e Contrabasso", "Vc.", "Celli", "Violoncelles", "Vcl."],
  "double bass": ["Contrabassi", "Kontrabässe", "Basses", "doublebass", "Cb.", "Bs.", "Violone", "Bassi"],
  "solo violin": ["Solo Violin", "Violino principale", "Violine solo"],
  "soprano": ["Soprano", "Sopran", "Soprani"],
  "bass voice": ["Bass voice"],
};

for (const [id, names] of Object.entries(NAMES)) {
  Deno.test(`names of the ${id} are found`, () => {
    for (const name of names) assertEquals(idOf(name), id, name);
  });
}

Deno.test("a name shared by two instruments is decided by sound id or MIDI program", () => {
  assertEquals(idOf("Alto"), "alto");
  assertEquals(idOf("Alto", { midiProgram: 41 }), "viola");
  assertEquals(idOf("Bass", { soundId: "voice.bass" }), "bass voice");
  assertEquals(idOf("Bass", { midiProgram: 43 }), "double bass");
});

Deno.test("a sound id that is only a group or a parent is made precise by the name", () => {
  assertEquals(idOf("viola", { soundId: "strings.group" }), "viola");
  assertEquals(idOf("Bass Trombone", { soundId: "brass.trombone" }), "bass trombone");
  assertEquals(idOf("Clarinet", { soundId: "wind.reed.clarinet" }), "clarinet in Bb");
  assertEquals(idOf("Violone", { soundId: "strings.viol.violone" }), "double bass");
});

Deno.test("a crooked horn is a horn, and the match says that the transposition is the score's", () => {
  const match = findInstrument({ names: ["Horn in D"], soundId: "brass.natural-horn" });
  assertEquals([match.instrument.id, match.from], ["horn in F", "sound id"]);
  assert(findInstrument({ names: ["Horn in D"] }).confidenceNote.includes("written in D"));
});

Deno.test("a line for two instruments goes to the first, and the match names the second", () => {
  const match = findInstrument({ names: ["Violoncello e Contrabasso"] });
  assert(match.confidenceNote.includes("double bass"));
});

Deno.test("the first instrument named has the line, unless it only says percussion", () => {
  // Common practice, no source: how scores name a player who changes.
  assertEquals(idOf("Oboe I (auch Englisch Horn)"), "oboe");
  assertEquals(idOf("3. Flöte (kl. Flöte)"), "flute");
  assertEquals(idOf("Picc./Fl. 3"), "piccolo");
  assertEquals(idOf("3 Tromboni e Tuba"), "tenor trombone");
  assertEquals(idOf("Triangolo, Piatti e Gran Cassa"), "triangle");
  assertEquals(idOf("Percussion 1 (Snare Drum)"), "snare drum");
  assertEquals(idOf("Cl. (A)"), "clarinet in A");
  assertEquals(idOf("Corni in E 1.2"), "horn in F");
});

Deno.test("a group or a relative without an entry gets a stand-in, and the match says so", () => {
  for (
    const [name, id] of [["Streicher", "violin"], ["Low Brass", "tenor trombone"], [
      "Viola da gamba",
      "cello",
    ]] as const
  ) {
    const match = findInstrument({ names: [name] });
    assertEquals(match.instrument.id, id);
    assert(match.confidenceNote.includes("stands in"), name);
  }
});

Deno.test("every name is found in capitals, with points, and with numbers before and after", () => {
  let tried = 0;
  for (const { names } of allInstruments()) {
    for (const name of names) {
      const id = idOf(name);
      // "a 2" means two players, so what ends in a single a cannot take a number.
      const ways = /(^| )a$/.test(name) ? [] : [`${name} 2`, `${name} a 2`, `${name}1`, `${name} (2)`];
      for (const way of [name.toUpperCase(), `1. ${name}`, `${name}. I.`, ...ways]) {
        tried++;
        assertEquals(idOf(way), id, way);
      }
    }
  }
  assert(tried > 5000);
});

Deno.test("a crook in brackets is no double bass", () => {
  const id = (name: string) => findInstrument({ names: [name] }).instrument.id;
  assertEquals(id("Bb (basso) Horn 1"), "horn in F");
  assertEquals(id("Corni in B (basso)"), "horn in F");
  assertEquals(id("Trumpet in Bb (alto)"), "trumpet in Bb");
  assertEquals(id("Bass (Basso)"), "double bass");
});

Deno.test("nothing known is said to be a fallback, never passed off as a find", () => {
  for (const names of [["Part 1"], ["MusicXML Part"], [""], []]) {
    const match = findInstrument({ names });
    assertEquals(match.from, "fallback");
    assert(match.confidenceNote.length > 20);
  }
});

Deno.test("MIDI: programs and percussion keys", () => {
  // General MIDI 1 sound set and percussion map, from memory.
  const programs: readonly (readonly [number, string])[] = [
    [0, "piano"],
    [40, "violin"],
    [46, "harp"],
    [47, "timpani"],
    [60, "horn in F"],
    [68, "oboe"],
    [73, "flute"],
  ];
  for (const [midiProgram, id] of programs) {
    const match = findInstrument({ midiProgram });
    assertEquals([match.instrument.id, match.from], [id, "program"]);
  }
  const drum = (percussionKey?: number) =>
    findInstrument({ percussionChannel: true, percussionKey }).instrument.id;
  assertEquals([drum(38), drum(49), drum(81), drum()], ["snare drum", "cymbals", "triangle", "drum set"]);
});

Deno.test("open scores: every part name resolves, by its name alone and as the file describes it", () => {
  const scores = sharedFolder("openscore-orchestra");
  if (!scores) return assertEquals(idOf("Bb Clarinet 2"), "clarinet in Bb");
  const names = new Set(csvRows(new URL("reference_counts.csv", scores)).map((row) => row.part_name!.trim()));
  const lost = [...names].filter((name) => findInstrument({ names: [name] }).from !== "name");
  console.log(`${names.size} part names, ${names.size - lost.length} resolved`);
  assert(names.size > 60);
  assertEquals(lost, []);
});

Deno.test("open scores: the name alone, the sound id alone and the MIDI program alone agree on the family", () => {
  const folders = ["openscore-orchestra", "s3-symphonies"].map(sharedFolder).filter((url) =>
    url !== undefined
  );
  if (folders.length === 0) {
    return assertEquals(findInstrument({ soundId: "drum.timpani" }).instrument.id, "timpani");
  }
  let parts = 0;
  const wrong: string[] = [];
  for (const folder of folders) {
    for (const file of scoresIn(folder)) {
      const xml = musicXmlIn(Deno.readFileSync(file));
      for (const [part] of xml.matchAll(/<score-part [\s\S]*?<\/score-part>/g)) {
        const text = (tag: string) => new RegExp(`<${tag}[^>]*>([^<]*)</${tag}>`).exec(part)?.[1]?.trim();
        const name = text("part-name"), soundId = text("instrument-sound"), program = text("midi-program");
        if (!name || !soundId || !program || soundId.includes("group")) continue;
        parts++;
        const families = [{ names: [name] }, { soundId }, { midiProgram: Number(program) - 1 }]
          .map((query) => findInstrument(query).instrument.family);
        if (new Set(families).size > 1) wrong.push(`${name}: ${families.join(", ")}`);
      }
    }
  }
  console.log(`${parts} parts described three ways, ${wrong.length} disagree`);
  assert(parts > 130);
  assertEquals(wrong, []);
});

function* scoresIn(folder: URL): Generator<URL> {
  for (const entry of Deno.readDirSync(folder)) {
    if (entry.isDirectory) yield* scoresIn(new URL(`${entry.name}/`, folder));
    else if (entry.name.endsWith(".mxl")) yield new URL(entry.name, folder);
  }
}

Deno.test("role files of the symphony set: 99 % of the names resolve", () => {
  const symphonies = sharedFolder("s3-symphonies");
  if (!symphonies) return assertEquals(idOf("violoncello"), "cello");
  let found = 0, all = 0;
  for (const movement of Deno.readDirSync(symphonies)) {
    if (!movement.isDirectory) continue;
    for (const file of Deno.readDirSync(new URL(`${movement.name}/roles/`, symphonies))) {
      all++;
      if (findInstrument({ names: [file.name.replace(".csv", "")] }).from === "name") found++;
    }
  }
  console.log(`${all} role files, ${found} resolved`);
  assert(all > 100 && found / all >= 0.99);
});

Deno.test("instrumentById() finds by an id silently, and by a name that means one instrument with a note", () => {
  for (const { id } of allInstruments()) {
    assertEquals(instrumentById(id).confidenceNote, undefined, id);
    assertEquals(instrumentById(id), instrumentById(id));
  }
  const named: Readonly<Record<string, string>> = {
    horn: "horn in F",
    "Horn in F": "horn in F",
    Horns: "horn in F",
    Klarinette: "clarinet in Bb",
    "A clarinet": "clarinet in A",
    "english horn": "cor anglais",
    flutes: "flute",
    contrabass: "double bass",
    "viola ": "viola",
  };
  for (const [name, id] of Object.entries(named)) {
    const { confidenceNote, ...instrument } = instrumentById(name);
    assertEquals(instrument, instrumentById(id), name);
    assertStringIncludes(confidenceNote!, `"${name.trim()}" is taken for the ${id}.`);
    assertEquals(instrument.id, findInstrument({ names: [name] }).instrument.id);
  }
  assertStringIncludes(instrumentById("clarinet").confidenceNote!, "There are also clarinet in Eb, ");
});

Deno.test("instrumentById() refuses what another instrument would stand in for, other keys and slips", () => {
  const refused: Readonly<Record<string, string>> = {
    theremin: "is not in the catalogue",
    "horn in G": "horn in F",
    hron: "The nearest are basset horn, horn in F",
    "big horn of the hunt": "is not in the catalogue",
    "flute and oboe": "is not in the catalogue",
    "": "the name is empty",
  };
  for (const [name, says] of Object.entries(refused)) {
    assertThrows(() => instrumentById(name), InputError, says);
  }
});

Deno.test("a word for a size before another instrument is its size, not an instrument: a bass sarrusophone is no double bass", () => {
  const stand = (name: string) => {
    const { instrument, confidenceNote } = findInstrument({ names: [name] });
    assertStringIncludes(confidenceNote, `${instrument.id} stands in`, name);
    return instrument.id;
  };
  assertEquals(
    ["Bass sarrusophone", "Contrabass Sarrusophone", "Bass xylophone", "Contrabass flute", "Ophicleide"].map(
      stand,
    ),
    ["bassoon", "contrabassoon", "xylophone", "bass flute", "tuba"],
  );
  const unknown = findInstrument({ names: ["Bass waterphone"] });
  assertEquals([unknown.from, unknown.instrument.id], ["fallback", "piano"]);
  assertStringIncludes(unknown.confidenceNote, `Nothing says which instrument "Bass waterphone" is`);
  for (const name of ["Bass", "Bass 1", "Contrabass solo", "Kontrabass 1 2"]) {
    assertStringIncludes(idOf(name), "double bass");
  }
  // In front of any instrument the catalogue does not list in that size: never the size alone.
  const sizes = ["bass", "contrabass", "tenor", "alto", "soprano", "baritone"];
  const alone = sizes.map((size) => idOf(size));
  for (const { id } of allInstruments()) {
    sizes.forEach((size, i) => {
      const found = idOf(`${size} ${id}`);
      assert(found === id || found !== alone[i] || id.startsWith("solo"), `${size} ${id}: ${found}`);
    });
  }
});
