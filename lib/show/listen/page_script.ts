/** The script of a listening page, written as functions of this library, so that it is checked like all else. */
import * as begin from "./client/begin_listening.ts";
import * as figures from "./client/figures_now.ts";
import * as page from "./client/page_now.ts";
import * as sound from "./client/sound_now.ts";
import * as walk from "./client/walk_now.ts";

/** The functions of the page, and the call that begins. They use each other by name, and nothing else: so every one of them is exported. */
export function pageScript(): string {
  const functions = [figures, sound, page, walk, begin].flatMap((file) => Object.values(file));
  return `${functions.map(String).join("\n")}\nwindow.listening = ${begin.beginListening.name}(document);`;
}
