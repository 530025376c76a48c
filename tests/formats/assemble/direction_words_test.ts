import { assertEquals } from "@std/assert";
import { beatQuarters, readDynamicWords, readWords } from "../../../lib/formats/assemble/direction_words.ts";
import { TEMPO_WORDS } from "../../../lib/score/tempo_words.ts";

// Left: words as they stand in printed orchestral scores; right: what a player does. Common practice, no source.
const WORDS: readonly (readonly [string, ReturnType<typeof readWords>])[] = [
  ["pizz.", { manner: "pizzicato" }],
  ["sempre pizz.", { manner: "pizzicato" }],
  ["arco", { manner: "ordinario" }],
  ["(arco)", { manner: "ordinario" }],
  ["[arco]", { manner: "ordinario" }],
  ["con sordini", { muted: true }],
  ["mit Dämpfer", { muted: true }],
  ["senza sordini", { muted: false }],
  ["ohne Dämpfer", { muted: false }],
  ["sul pont.", { manner: "sul ponticello" }],
  ["am Steg", { manner: "sul ponticello" }],
  ["sul tasto", { manner: "sul tasto" }],
  ["col legno", { manner: "col legno" }],
  ["Flatterzunge", { manner: "flutter" }],
  ["gestopft", { manner: "stopped" }],
  ["cresc.", { growth: 1 }],
  ["cresc. poco a poco", { growth: 1 }],
  ["decresc.", { growth: -1 }],
  ["dimin.", { growth: -1 }],
  ["senza cresc.", {}],
  ["sempre ff", { dynamic: "ff" }],
  ["più f", { dynamic: "more" }],
  ["a 2", { players: { kind: "unison", count: 2 } }],
  ["a2", { players: { kind: "unison", count: 2 } }],
  ["zu 3", { players: { kind: "unison", count: 3 } }],
  ["1.", { players: { kind: "solo", count: 1 } }],
  ["II.", { players: { kind: "solo", count: 1 } }],
  ["1 solo", { players: { kind: "solo", count: 1 } }],
  ["I. II.", { players: { kind: "solo" } }],
  ["Solo I.", { players: { kind: "solo", count: 1 } }],
  ["Soli", { players: { kind: "solo" } }],
  ["div.", { players: { kind: "divided" } }],
  ["div. a 3", { players: { kind: "divided", count: 3 } }],
  ["unis.", { players: { kind: "unison" } }],
  ["tutti", { players: { kind: "all" } }],
  ["div. pizz.", { manner: "pizzicato", players: { kind: "divided" } }],
  ["rall.", { bendsTempo: "slower" }],
  ["poco rit.", { bendsTempo: "slower" }],
  ["accel.", { bendsTempo: "quicker" }],
  ["a tempo", { bendsTempo: "a tempo" }],
  ["Tempo I.", { bendsTempo: "first tempo" }],
  ["Allegro con brio", { beatsPerMinute: 132 }],
  ["Poco Allegretto", { beatsPerMinute: 112 }],
  ["Sehr langsam", { beatsPerMinute: 56 }],
  ["dolce", {}],
  ["marcato", {}],
  ["", {}],
];

Deno.test("words over the music are understood as a player would", () => {
  for (const [text, meaning] of WORDS) assertEquals([text, readWords(text)], [text, meaning]);
});

Deno.test("dynamics in words", () => {
  const read = ["ff sempre", "(p)", "meno f", "poco f", "mezza voce", "forte", "dolce", "sfffz", "n"].map(
    readDynamicWords,
  );
  assertEquals(read, ["ff", "p", "less", "mf", "mp", "f", undefined, "sfffz", undefined]);
});

Deno.test("the beat of a tempo word is the dotted value in compound metres and the half note in 2/2", () => {
  const of = (beats: number, beatUnit: number) => beatQuarters({ beats, beatUnit });
  assertEquals([of(4, 4), of(3, 4), of(6, 8), of(12, 8), of(3, 8), of(2, 2), of(6, 4)], [
    1,
    1,
    1.5,
    1.5,
    1,
    2,
    1,
  ]);
});

Deno.test("tempo words rise in the order musicians learn them", () => {
  const order = [
    "grave",
    "largo",
    "larghetto",
    "adagio",
    "andante",
    "moderato",
    "allegro",
    "vivace",
    "presto",
    "prestissimo",
  ];
  const figures = order.map((word) => TEMPO_WORDS[word]!);
  assertEquals(figures, [...figures].sort((a, b) => a - b));
});
