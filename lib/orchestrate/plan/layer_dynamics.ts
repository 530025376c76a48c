/** The dynamics of a layer: steady, on the way from one mark to another, or a swell over a third between them. */
import { dynamicOf } from "../../score/dynamics.ts";

/** What a layer's dynamics are, ppp to fff. */
export interface LayerDynamics {
  /** Dynamic at the start. */
  readonly dynamic: string;
  /** Dynamic halfway, for a swell; left out where it goes straight to its end. */
  readonly dynamicMiddle?: string;
  /** Dynamic at the end, for a crescendo or diminuendo; the same as `dynamic` when steady. */
  readonly dynamicEnd: string;
}

/** Dynamics in the words of a plan, `mf`, `p to f` or `p to mf to p`; undefined where there are more. */
export function readDynamics(text: string): LayerDynamics | undefined {
  const marks = text.trim().split(/\s+to\s+/i);
  const [dynamic = "", second = dynamic, third] = marks;
  if (marks.length > 3) return undefined;
  return third === undefined
    ? { dynamic, dynamicEnd: second }
    : { dynamic, dynamicMiddle: second, dynamicEnd: third };
}

/** Dynamics as {@linkcode readDynamics} reads them. */
export function dynamicsInWords(dynamics: LayerDynamics): string {
  const marks = marksOf(dynamics);
  return marks.every((mark) => mark === marks[0]) ? marks[0]! : marks.join(" to ");
}

/** The marks of a layer, two or three. */
export function marksOf({ dynamic, dynamicMiddle, dynamicEnd }: LayerDynamics): readonly string[] {
  return dynamicMiddle === undefined ? [dynamic, dynamicEnd] : [dynamic, dynamicMiddle, dynamicEnd];
}

/** Their numbers, 1 ppp to 8 fff, at even distances from the start of the layer to its end. */
export function levelsOf(dynamics: LayerDynamics): readonly number[] {
  return marksOf(dynamics).map((mark) => dynamicOf(mark)!);
}

/** The same course with every mark changed. */
export function withEachMark(dynamics: LayerDynamics, change: (mark: string) => string): LayerDynamics {
  const { dynamic, dynamicMiddle, dynamicEnd } = dynamics;
  return {
    dynamic: change(dynamic),
    ...(dynamicMiddle === undefined ? {} : { dynamicMiddle: change(dynamicMiddle) }),
    dynamicEnd: change(dynamicEnd),
  };
}
