/** A file that one process holds at a time, so that two do not write in one place. */
import { readFile, rm, stat, writeFile } from "node:fs/promises";
import process from "node:process";
import { type DenoFile, type DenoPart, denoPart } from "./deno.ts";
import { faultCode } from "./fault_code.ts";

/** A file that is held. */
export interface HeldFile {
  /** Removes it and lets go of it. */
  readonly release: () => Promise<void>;
}

/** A file without the number of a process is believed to be held for so long. */
const BELIEVED_SECONDS = 60;

/**
 * Holds a file for this process alone, and makes it; undefined where another process holds it. Deno asks the
 * system, which lets go of it when the process ends, however it ends. Node and Bun cannot: there the file
 * holds the number of the process, and is taken over where that process is no more. The two ways do not see
 * each other.
 */
export async function holdFile(path: string): Promise<HeldFile | undefined> {
  const deno = denoPart();
  return await (deno === undefined ? holdByNumber(path) : holdByLock(deno, path));
}

async function holdByLock(deno: DenoPart, path: string): Promise<HeldFile | undefined> {
  const file = await deno.open(path, { create: true, write: true });
  // Where the file system knows no locks, the work is done without one.
  const isFree = await file.tryLock(true).catch(() => undefined);
  // Whoever held it before may have removed it meanwhile: a lock on that keeps nobody out.
  if (isFree === undefined || (isFree && await isStill(file, path))) {
    return {
      release: async () => {
        await rm(path, { force: true }).catch(() => undefined);
        file.close();
      },
    };
  }
  file.close();
  return undefined;
}

async function isStill(file: DenoFile, path: string): Promise<boolean> {
  const [held, there] = await Promise.all([file.stat(), stat(path).catch(() => undefined)]);
  return there !== undefined && held.ino === there.ino;
}

async function holdByNumber(path: string): Promise<HeldFile | undefined> {
  try {
    await writeFile(path, String(process.pid), { flag: "wx" });
    return { release: () => rm(path, { force: true }).catch(() => undefined) };
  } catch (error) {
    if (faultCode(error) !== "EEXIST") throw error;
  }
  if (await isHeld(path)) return undefined;
  await rm(path, { force: true });
  return await holdByNumber(path);
}

async function isHeld(path: string): Promise<boolean> {
  try {
    const number = Number(await readFile(path, "utf8"));
    if (number > 0) return isRunning(number);
    return Date.now() - (await stat(path)).mtimeMs < BELIEVED_SECONDS * 1000;
  } catch {
    return false; // gone meanwhile
  }
}

function isRunning(processNumber: number): boolean {
  try {
    return process.kill(processNumber, 0);
  } catch (error) {
    return faultCode(error) === "EPERM";
  }
}
