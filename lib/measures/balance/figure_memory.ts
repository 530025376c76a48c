/**
 * Results kept by the figures they were made of. Text for each of ten thousand moments would cost more than what is in
 * them, so figures are asked for one by one, found by a hash, and compared one by one: nothing else is ever taken for them.
 */

/** A result and its figures; those of one hash stand in a chain. */
interface Kept {
  readonly figures: readonly number[];
  readonly made: unknown;
  readonly next: Kept | undefined;
}

/** Results by the hash of their figures. */
export interface FigureMemory {
  /** Most results that are kept; then it begins anew. */
  readonly most: number;
  readonly results: Map<number, Kept>;
  count: number;
}

/** An empty memory. */
export function figureMemory(most: number): FigureMemory {
  return { most, results: new Map(), count: 0 };
}

/** The figures asked for: a list that is taken again, since most of the time something is found. */
const asked: number[] = [];
let count = 0;

/** Begins a question. */
export function ask(figure: number): void {
  count = 0;
  asked[count++] = figure;
}

/** Goes on with a question. */
export function askAlso(figure: number): void {
  asked[count++] = figure;
}

/** Ends a question: finds what was made of the same figures, or makes it. */
export function recall<T>(memory: FigureMemory, make: () => T): T {
  const { results } = memory;
  const hash = hashOfAsked();
  for (let one = results.get(hash); one !== undefined; one = one.next) {
    if (isAsked(one.figures)) return one.made as T;
  }
  const figures = asked.slice(0, count);
  const made = make();
  if (memory.count >= memory.most) {
    results.clear();
    memory.count = 0;
  }
  results.set(hash, { figures, made, next: results.get(hash) });
  memory.count++;
  return made;
}

const oneFloat = new Float64Array(1);
const itsHalves = new Uint32Array(oneFloat.buffer);

function hashOfAsked(): number {
  let hash = count;
  for (let i = 0; i < count; i++) {
    oneFloat[0] = asked[i]!;
    hash = Math.imul(hash ^ itsHalves[0]!, 0x9e3779b1);
    hash = Math.imul(hash ^ (hash >>> 15) ^ itsHalves[1]!, 0x85ebca77);
    hash ^= hash >>> 13;
  }
  return hash;
}

function isAsked(figures: readonly number[]): boolean {
  if (figures.length !== count) return false;
  for (let i = 0; i < count; i++) if (figures[i] !== asked[i]) return false;
  return true;
}
