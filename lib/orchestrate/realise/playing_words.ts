/** Words over the stave for who plays: div. where a line divides, unis. where it comes together again. */
import type { Note, Playing } from "../../score/model.ts";
import { stringsOf } from "../../instruments/special/stops.ts";
import { divisionOf, hasDesks } from "../plan/division.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import type { LayerTurn, PlainNote } from "./layers/task.ts";

/**
 * Words for one part, each once where it changes: `div.`, with the number of groups from three on; `non div.` before double
 * stops of a section; and where all play one line again `unis.`, of winds `a 2`. Of desks that take turns, which they are;
 * of a bass that is plucked and bowed, both.
 *
 * @param seat the part
 * @param layers its layers, in order
 * @param notes its notes
 * @param turnsIn whose turn it is in a layer
 */
export function playingWords(
  seat: Seat,
  layers: readonly PlacedAssignment[],
  notes: readonly Note[],
  turnsIn: (layer: PlacedAssignment) => readonly LayerTurn[] | undefined,
): readonly Playing[] {
  const { players } = seat.part;
  if (players === 1) return [];
  const playing: Playing[] = [];
  const notesOf = Map.groupBy(notes, (n) => n.layer);
  let words = "";
  for (const placed of layers) {
    const { layer, assignment } = placed;
    const own = notesOf.get(layer) ?? [];
    const [first] = own;
    if (first === undefined) continue;
    const apart = inDesks(seat, placed, { notes: own, turns: turnsIn(placed) });
    if (apart.length > 0) {
      playing.push(...apart);
      words = apart.at(-1)!.words;
      continue;
    }
    if (words === SAME_TURNS || words === PLUCKED_AND_BOWED) {
      playing.push({ fromTicks: first.onsetTicks, kind: "all", words: "tutti" });
      words = "";
    }
    const { tones, isStopped } = divisionOf(assignment.divisi, seat);
    const isDivided = tones > 1 && !isStopped;
    if (!isDivided && !isStopped && !words.startsWith("div.")) {
      words = "";
      continue;
    }
    const next = isStopped ? "non div." : isDivided ? dividedWords(tones) : togetherWords(seat);
    if (next === words) continue;
    words = next;
    playing.push({
      fromTicks: first.onsetTicks,
      // A bare div. is in two, as readers of the page take it.
      ...(isDivided ? { kind: "divided", ...(tones > 2 ? { count: tones } : {}) } : { kind: "unison" }),
      words,
    });
  }
  return playing;
}

/** Words for desks that take turns, and for those after the first two. */
const DESKS = ["odd desks", "even desks"] as const;
const SAME_TURNS = "desks in turn";

const PLUCKED_AND_BOWED = "half pizz., half arco";

/** Words of a layer in which half of a section plays, or plays otherwise than the rest; none in others. */
function inDesks(
  seat: Seat,
  { assignment, seats }: PlacedAssignment,
  { notes, turns }: { readonly notes: readonly Note[]; readonly turns: readonly LayerTurn[] | undefined },
): readonly Playing[] {
  if (!hasDesks(seat)) return [];
  if (assignment.divisi === "half pizzicato") {
    return [{ fromTicks: notes[0]!.onsetTicks, kind: "unison", words: PLUCKED_AND_BOWED }];
  }
  if (turns === undefined || seats.length > 1) return [];
  const starts = turns.flatMap(({ fromTicks, toTicks }) => {
    const first = notes.find((n) => n.onsetTicks >= fromTicks && n.onsetTicks < toTicks);
    return first === undefined ? [] : [first.onsetTicks];
  });
  const count = Math.ceil(seat.part.players / 2);
  return [...DESKS, SAME_TURNS].flatMap((words, i): readonly Playing[] =>
    starts[i] === undefined ? [] : [{ fromTicks: starts[i], kind: "solo", count, words }]
  );
}

const dividedWords = (groups: number) => groups === 2 ? "div." : `div. a ${groups}`;

const togetherWords = ({ part, instrument }: Seat) =>
  stringsOf(instrument).length > 0 ? "unis." : `a ${part.players}`;

/** Notes of a part, those of a divided one with heads tied where the others move, so that they stand as one chord. */
export function inOneRhythm<N extends PlainNote>(
  notes: readonly N[],
): readonly (N & Partial<Pick<Note, "noteheads">>)[] {
  if (notes.every((n) => n.group === undefined)) return notes;
  const edges = [...new Set(notes.flatMap((n) => [n.onsetTicks, n.onsetTicks + n.durationTicks]))];
  return notes.map((n) => ({
    ...n,
    noteheads: 1 + edges.filter((at) => at > n.onsetTicks && at < n.onsetTicks + n.durationTicks).length,
  }));
}

/** The notes of all groups of a part; what begins under a slur of another group is under it as well, since they are one chord. */
export function underOneSlur(groups: readonly (readonly Note[])[]): readonly Note[] {
  const notes = groups.flat();
  if (groups.length === 1) return notes;
  const slurred = new Set(notes.filter((n) => n.slurred).map((n) => n.onsetTicks));
  return notes.map((n) => slurred.has(n.onsetTicks) ? { ...n, slurred: true } : n);
}
