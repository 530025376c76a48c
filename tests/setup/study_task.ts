import { join } from "node:path";
import { PROJECT } from "./run_command.ts";

/** What deno.json has for each task. */
export const TASKS: Readonly<Record<string, string>> =
  JSON.parse(Deno.readTextFileSync(join(PROJECT, "deno.json"))).tasks;

/** The words after `deno` by which the task `study` starts, without its command; they work in any folder. */
export const STUDY_TASK: readonly string[] = TASKS["study"]!.split(" ").slice(1, -1)
  .map((word) => word.endsWith(".ts") ? join(PROJECT, word) : word);
