/** The hands of a keyboard player, read as two players: each stave of a part as a part of its own. */
import { memo, memoOf } from "../../base/memo.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { recognise } from "../../texture/recognise/recognise.ts";

/** A part on several staves, stave by stave. */
export interface Hands {
  /** The staves, from the top; hand i of the score is that of stave i. */
  readonly staves: readonly number[];
  /** A score of these staves alone, each as a part. */
  readonly score: Score;
  /** What each does, as it is read. */
  readonly texture: Texture;
}

/** The staves of a part on several; undefined where it has one. */
export const handsOf = memoOf((score: Score) => {
  const kept = memo<Hands | undefined, number>(score.parts.length * 2);
  return (part: number) => kept(part, () => readHands(score, part));
});

function readHands(score: Score, part: number): Hands | undefined {
  const notes = score.notes.filter((n) => n.part === part);
  const staves = [...new Set(notes.map((n) => n.staff))].sort((a, b) => a - b);
  if (staves.length < 2) return undefined;
  const { layers: _told, ...plain } = score;
  const hands: Score = {
    ...plain,
    parts: staves.map((staff) => ({ ...score.parts[part]!, id: `${part} ${staff}` })),
    notes: notes.map((n) => ({ ...n, part: staves.indexOf(n.staff) })),
  };
  return { staves, score: hands, texture: recognise(hands) };
}
