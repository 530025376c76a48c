/** What stands in a folder. */

/** Everything below a folder by name: folders as `name/` with nothing, files with their text, links as `-> target`. */
export async function treeOf(folder: string): Promise<Record<string, string>> {
  const tree: Record<string, string> = {};
  for await (const entry of Deno.readDir(folder)) {
    const path = `${folder}/${entry.name}`;
    if (entry.isSymlink) tree[entry.name] = `-> ${await Deno.readLink(path)}`;
    else if (entry.isDirectory) {
      tree[`${entry.name}/`] = "";
      for (const [name, text] of Object.entries(await treeOf(path))) tree[`${entry.name}/${name}`] = text;
    } else tree[entry.name] = await Deno.readTextFile(path);
  }
  return tree;
}

/** Runs a test in a temporary folder that is gone afterwards. */
export async function inFolder(work: (folder: string) => Promise<void>): Promise<void> {
  const folder = await Deno.makeTempDir({ prefix: "ripieno" });
  try {
    await work(folder);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
}
