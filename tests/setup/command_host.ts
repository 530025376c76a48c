/** Takes commands, a line each, and answers with what the command line of the library made of them. */
import process from "node:process";
import { command } from "../../lib/main.ts";

const write = process.stdout.write.bind(process.stdout);
let out = "";
let errors = "";
console.log = (text: string) => out += `${text}\n`;
console.error = (text: string) => errors += `${text}\n`;
process.stderr.write = ((text: string) => {
  errors += text;
  return true;
}) as typeof process.stderr.write;

let waiting = "";
for await (const piece of Deno.stdin.readable.pipeThrough(new TextDecoderStream())) {
  const lines = (waiting + piece).split("\n");
  waiting = lines.pop()!;
  for (const line of lines) {
    const { cwd, args } = JSON.parse(line);
    Deno.chdir(cwd);
    [out, errors, process.exitCode] = ["", "", 0];
    await command(args).catch((error: Error) => {
      errors += `Uncaught ${error.stack}\n`;
      process.exitCode = 1;
    });
    write(`${JSON.stringify({ code: process.exitCode, out, errors })}\n`);
  }
}
