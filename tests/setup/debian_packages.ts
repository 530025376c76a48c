import { findProgram } from "./find_program.ts";
import { runCommand } from "./run_command.ts";

/** Installs packages of a Debian-like system, as root or through `sudo` without a password; says whether it could. */
export async function installDebianPackages(...names: readonly string[]): Promise<boolean> {
  if (findProgram("apt-get") === undefined) return false;
  const asRoot = Deno.uid() === 0 ? [] : ["sudo", "-n"];
  const apt = [...asRoot, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-qq"];
  if (!(await runCommand([...apt, "update"])).ok) return false;
  return (await runCommand([...apt, "install", "-y", "--no-install-recommends", ...names])).ok;
}
