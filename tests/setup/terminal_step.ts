/** Steps of a long work as they are told: one line that changes in a terminal, a line for each in a log. */
export function terminalStep(): { readonly say: (words: string) => void; readonly end: () => void } {
  const isTerminal = Deno.stderr.isTerminal();
  const write = (text: string) => Deno.stderr.writeSync(new TextEncoder().encode(text));
  let isOpen = false;
  return {
    say: (words) => {
      write(isTerminal ? `\r\x1b[2K${words}` : `${words}\n`);
      isOpen = isTerminal;
    },
    end: () => {
      if (isOpen) write("\r\x1b[2K");
      isOpen = false;
    },
  };
}
