/** The library's version: the one of deno.json, which a test holds this against. */
export const VERSION = "0.1.0";
