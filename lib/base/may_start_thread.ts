/** Whether threads can be started here. */
import { denoPart } from "./deno.ts";

/** Whether the program may read the file that a thread starts from; never from the net. */
export function mayStartThread(file: URL): boolean {
  if (file.protocol !== "file:") return false;
  return (denoPart()?.permissions.querySync({ name: "read", path: file }).state ?? "granted") === "granted";
}
