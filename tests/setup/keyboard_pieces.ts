/** Two keyboard pieces of our own, as data that MusicXML and ABC are made of: a hymn in four parts, and a piece whose tune begins in the left hand. */

/** One voice on a stave: bars of notes such as `G4:2`, `r:1` for rests, `A4+C5:2` for chords; `~` ties to the next, brackets slur. */
interface PieceVoice {
  readonly staff: 1 | 2;
  readonly bars: readonly string[];
}

/** A piece on two staves. */
export interface KeyboardPiece {
  readonly title: string;
  readonly fifths: number;
  readonly beats: number;
  readonly beatType: number;
  readonly quartersPerMinute: number;
  readonly voices: readonly PieceVoice[];
}

/** Bars of a voice in lines of four. */
const bars = (...lines: readonly string[]): readonly string[] =>
  lines.flatMap((line) => line.split("|").map((bar) => bar.trim()));

/** E flat, three crotchets: four voices, of which alto and tenor move where the tune holds. Lengths in quarters. */
export const LANDING_HYMN: KeyboardPiece = {
  title: "Landing Hymn",
  fifths: -3,
  beats: 3,
  beatType: 4,
  quartersPerMinute: 76,
  voices: [
    {
      staff: 1,
      bars: bars(
        "G4:2 F4:1 | G4:2 Ab4:1 | Bb4:2 Ab4:1 | G4:3",
        "Bb4:2 C5:1 | C5:2 Bb4:1 | D5:2 Eb5:1 | (C5:1 A4:1) Bb4:1",
        "C5:2 Bb4:1 | Ab4:2 G4:1 | Ab4:2 Bb4:1 | G4:3",
        "Bb4:1 Eb5:2 | C5:2 Ab4:1 | G4:2 F4:1 | Eb4:3",
      ),
    },
    {
      staff: 1,
      bars: bars(
        "Eb4:2 D4:1 | Eb4:2 Eb4:1 | (F4:1 Eb4:1 D4:1) | Eb4:1 D4:1 Eb4:1",
        "G4:2 Ab4:1 | (Ab4:1 G4:1) F4:1 | G4:2 G4:1 | F4:1 Eb4:1 D4:1",
        "Eb4:1 F4:1 Eb4:1 | F4:2 E4:1 | F4:2 F4:1 | Eb4:3",
        "G4:1 G4:2 | Eb4:2 F4:1 | Eb4:2 D4:1 | Bb3:3",
      ),
    },
    {
      staff: 2,
      bars: bars(
        "Bb3:2 Bb3:1 | G3:1 Bb3:1 C4:1 | Bb3:2 Bb3:1~ | Bb3:3",
        "(Eb4:1 Db4:1 Eb4:1) | C4:2 D4:1 | (Bb3:1 D4:1) C4:1 | A3:1 C4:1 Bb3:1",
        "C4:2 Bb3:1 | C4:2 C4:1 | C4:1 Eb4:1 D4:1 | (Bb3:1 C4:1 Bb3:1)",
        "Eb4:1 (Eb4:1 D4:1) | C4:2 C4:1 | Bb3:2 Ab3:1 | G3:3",
      ),
    },
    {
      staff: 2,
      bars: bars(
        "Eb3:2 Bb2:1 | C3:2 Ab2:1 | Bb2:2 D3:1 | Eb3:3",
        "G3:2 Ab3:1 | F3:2 Bb3:1 | G3:2 C3:1 | F3:2 Bb2:1",
        "Ab3:2 G3:1 | F3:2 C3:1 | F3:1 C3:1 Bb2:1 | Eb3:1 Ab2:1 Eb3:1",
        "Eb3:1 C3:2 | Ab2:2 F2:1 | Bb2:3 | Eb3:3",
      ),
    },
  ],
};

/** D minor, two dotted crotchets: the tune in the left hand under after-beats, in the right over broken chords, in the left again. Lengths in eighths. */
export const TOWPATH: KeyboardPiece = {
  title: "Towpath",
  fifths: -1,
  beats: 6,
  beatType: 8,
  quartersPerMinute: 84,
  voices: [
    {
      staff: 1,
      bars: bars(
        ...["A4+D5+F5", "Bb4+D5+G5", "A4+C#5+G5", "A4+D5+F5", "A4+C5+F5", "Bb4+D5+F5", "A4+C#5+G5"].map((c) =>
          `r:1 ${c}:1 ${c}:1 r:1 ${c}:1 ${c}:1`
        ),
        "A4+D5+F5:6",
        "(C5:2 D5:1) (F5:2 E5:1) | G5:3 (E5:2 D5:1) | (F5:2 E5:1) (D5:2 A4:1) | Bb4:3 D5:3",
        "(Bb4:2 C5:1) (D5:2 G5:1) | F5:3 (E5:2 D5:1) | (C#5:2 D5:1) (E5:2 G5:1) | F5:3 D5:3",
        "F4+Bb4+D5:6 | G4+Bb4+D5:6 | G4+A4+C#5:3 E4+A4+C#5:3 | F4+A4+D5:6",
      ),
    },
    {
      staff: 2,
      bars: bars(
        "(D3:2 E3:1) (F3:2 A3:1) | Bb3:3 (A3:2 G3:1) | (E3:2 F3:1) (G3:2 E3:1) | F3:3 D3:3",
        "(A3:2 Bb3:1) (C4:2 A3:1) | D4:3 (C4:2 Bb3:1) | (A3:2 G3:1) (F3:2 E3:1) | D3:6",
        "F2:1 C3:1 F3:1 A3:1 F3:1 C3:1 | C3:1 G3:1 C4:1 E4:1 C4:1 G3:1",
        "D3:1 A3:1 D4:1 F4:1 D4:1 A3:1 | Bb2:1 F3:1 Bb3:1 D4:1 Bb3:1 F3:1",
        "G2:1 D3:1 G3:1 Bb3:1 G3:1 D3:1 | A2:1 D3:1 F3:1 A3:1 F3:1 D3:1",
        "A2:1 E3:1 A3:1 C#4:1 A3:1 E3:1 | D3:1 A3:1 D4:1 F4:1 D4:1 A3:1",
        "(D3:2 F3:1) (Bb3:2 A3:1) | G3:3 Bb3:3 | (A3:2 G3:1) (F3:2 E3:1) | D3:6",
      ),
    },
  ],
};

/** One note, chord or rest of a bar. */
interface Token {
  readonly pitches: readonly string[];
  /** In units of the metre's lower figure. */
  readonly length: number;
  readonly opens: boolean;
  readonly closes: boolean;
  readonly ties: boolean;
}

function tokensOf(bar: string): readonly Token[] {
  return bar.split(/\s+/).map((word) => {
    const [, opens, what, length, ties, closes] = word.match(/^(\(?)([^:]+):(\d+)(~?)(\)?)$/)!;
    return {
      pitches: what === "r" ? [] : what!.split("+"),
      length: Number(length),
      opens: opens !== "",
      closes: closes !== "",
      ties: ties !== "",
    };
  });
}

const TYPES: Readonly<Record<string, string>> = {
  "0.5": "eighth",
  "1": "quarter",
  "1.5": "quarter dotted",
  "2": "half",
  "3": "half dotted",
};

function noteXml(
  token: Token,
  { voice, staff, unit, tied }: {
    readonly voice: number;
    readonly staff: number;
    readonly unit: number;
    readonly tied: boolean;
  },
): string {
  const [type, dotted] = TYPES[String(token.length * unit)]!.split(" ");
  const shape = `<duration>${token.length * unit * 2}</duration>${tied ? `<tie type="stop"/>` : ""}${
    token.ties ? `<tie type="start"/>` : ""
  }<voice>${voice}</voice><type>${type}</type>${dotted ? "<dot/>" : ""}<staff>${staff}</staff>`;
  if (token.pitches.length === 0) return `<note><rest/>${shape}</note>`;
  return token.pitches.map((pitch, i) => {
    const [, step, sign, octave] = pitch.match(/^([A-G])([#b]?)(\d)$/)!;
    const alter = sign === "" ? "" : `<alter>${sign === "#" ? 1 : -1}</alter>`;
    const slurs = i > 0 ? "" : (token.opens ? `<slur type="start" number="${voice}"/>` : "") +
      (token.closes ? `<slur type="stop" number="${voice}"/>` : "");
    return `<note>${
      i > 0 ? "<chord/>" : ""
    }<pitch><step>${step}</step>${alter}<octave>${octave}</octave></pitch>${shape}${
      slurs === "" ? "" : `<notations>${slurs}</notations>`
    }</note>`;
  }).join("");
}

/** A piece as MusicXML: a piano on two staves. */
export function keyboardXml(piece: KeyboardPiece): string {
  const unit = 4 / piece.beatType;
  const whole = piece.beats * unit * 2;
  const measures = piece.voices[0]!.bars.map((_, b) => {
    const attributes = b > 0
      ? ""
      : `<attributes><divisions>2</divisions><key><fifths>${piece.fifths}</fifths></key><time><beats>${piece.beats}</beats><beat-type>${piece.beatType}</beat-type></time><staves>2</staves><clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef></attributes><direction><sound tempo="${piece.quartersPerMinute}"/></direction>`;
    const voices = piece.voices.map(({ staff, bars }, v) => {
      const before = b === 0 ? undefined : tokensOf(bars[b - 1]!).at(-1);
      const tokens = tokensOf(bars[b]!);
      return tokens.map((token, i) =>
        noteXml(token, {
          voice: v + 1,
          staff,
          unit,
          tied: (i > 0 ? tokens[i - 1]! : before)?.ties === true,
        })
      ).join("");
    });
    return `<measure number="${b + 1}">${attributes}${
      voices.join(`<backup><duration>${whole}</duration></backup>`)
    }</measure>`;
  });
  return `<?xml version="1.0"?><score-partwise version="4.0"><work><work-title>${piece.title}</work-title></work><part-list><score-part id="P1"><part-name>Piano</part-name></score-part></part-list><part id="P1">${
    measures.join("")
  }</part></score-partwise>`;
}

function abcPitch(pitch: string): string {
  const [, step, sign, octave] = pitch.match(/^([A-G])([#b]?)(\d)$/)!;
  const height = Number(octave) - 4;
  const letter = height > 0 ? step!.toLowerCase() : step!;
  const accidental = sign === "" ? "=" : sign === "#" ? "^" : "_";
  return accidental + letter + (height > 1 ? "'".repeat(height - 1) : ",".repeat(Math.max(0, -height)));
}

/** A piece as ABC, one voice after the other; the tune's voice first where chord symbols stand over it. */
export function keyboardAbc(piece: KeyboardPiece, chords: readonly string[] = []): string {
  const voices = piece.voices.map(({ staff, bars }, v) => {
    const music = bars.map((bar, b) => {
      const symbol = v === 0 && chords[b] !== undefined ? `"${chords[b]}"` : "";
      return symbol + tokensOf(bar).map(({ pitches, length, opens, closes, ties }) => {
        const notes = pitches.map(abcPitch);
        const sound = notes.length === 0 ? "z" : notes.length === 1 ? notes[0] : `[${notes.join("")}]`;
        return `${opens ? "(" : ""}${sound}${length}${ties ? "-" : ""}${closes ? ")" : ""}`;
      }).join(" ");
    });
    return `V:${v + 1}${staff === 2 ? " clef=bass" : ""}\n${music.join(" | ")} |]`;
  });
  return `X:1\nT:${piece.title}\nM:${piece.beats}/${piece.beatType}\nL:1/${piece.beatType}\nQ:1/4=${piece.quartersPerMinute}\nK:C\n${
    voices.join("\n")
  }\n`;
}
