/** A thread that reads textures and measures scores by itself, to see what two threads gain on a machine. */
import { parentPort, workerData } from "node:worker_threads";
import { study, textureOf } from "ripieno";
import { generatedSetting } from "./generated_settings.ts";

const { count } = workerData as { readonly count: number };
const scores = Array.from({ length: count }, (_, seed) => generatedSetting(seed).score);
parentPort!.postMessage("ready");
parentPort!.once("message", () => {
  for (const score of scores) study(score, { texture: textureOf(score) });
  parentPort!.postMessage("done");
});
