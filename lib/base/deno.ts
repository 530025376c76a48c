/** What only one of the programs that run this library has. */

/** An open file, as far as it is used here. */
export interface DenoFile {
  /** Holds it for this process alone; false where another holds it. */
  readonly tryLock: (exclusive: boolean) => Promise<boolean>;
  readonly stat: () => Promise<{ readonly ino: number | null }>;
  readonly close: () => void;
}

/** The part of Deno that Node and Bun have nothing like. */
export interface DenoPart {
  readonly open: (
    path: string,
    options: { readonly create: boolean; readonly write: boolean },
  ) => Promise<DenoFile>;
  /** What it has been allowed. */
  readonly permissions: {
    readonly querySync: (what: { readonly name: "read"; readonly path: URL }) => { readonly state: string };
  };
  /** The notebook it runs in; elsewhere reading it may throw. */
  readonly jupyter?: {
    readonly display: (thing: unknown, options: { readonly raw: boolean }) => Promise<void>;
  };
}

/** That part, where Deno runs the library; undefined in Node and Bun. */
export function denoPart(): DenoPart | undefined {
  return (globalThis as { readonly Deno?: DenoPart }).Deno;
}
