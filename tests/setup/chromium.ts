import type { Browser } from "playwright-core";
import { installDebianPackages } from "./debian_packages.ts";
import { findProgram } from "./find_program.ts";

/** How the tests start Chromium: nothing fetched, nothing kept, runs as root too. */
export const CHROMIUM_FLAGS: readonly string[] = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

const MISSING =
  "Chromium is missing and could not be installed: install Debian's package chromium, or put a chromium on PATH.";

function findChromium(): string | undefined {
  return findProgram("chromium", "chromium-browser", "google-chrome");
}

/**
 * Path of the Chromium on this machine.
 *
 * @throws when there is none; the message says what to install
 */
export function chromiumPath(): string {
  const path = findChromium();
  if (path === undefined) throw new Error(MISSING);
  return path;
}

/** Installs Chromium from Debian's packages where there is none. */
export async function installChromium(): Promise<void> {
  if (findChromium() !== undefined) return;
  await installDebianPackages("chromium", "fonts-dejavu-core");
  chromiumPath();
}

/** Starts Chromium without a window, with a new empty profile that goes when it is closed. */
export async function launchChromium(): Promise<Browser> {
  const { chromium } = await import("playwright-core");
  return await chromium.launch({ executablePath: chromiumPath(), args: [...CHROMIUM_FLAGS] });
}

let shared: Promise<Browser> | undefined;

/**
 * The Chromium that all tests of a file work in, each in pages of its own, which it closes. It is started when it is first asked
 * for and ends with the file: it goes when nobody holds the other end of its line any more.
 */
export function sharedChromium(): Promise<Browser> {
  return shared ??= launchChromium();
}
