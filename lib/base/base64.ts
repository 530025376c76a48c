/** Bytes as text for a page. */
const PIECE = 0x8000;

/** Bytes in base64 (RFC 4648). */
export function base64Of(bytes: Uint8Array): string {
  let text = "";
  for (let at = 0; at < bytes.length; at += PIECE) {
    text += String.fromCharCode(...bytes.subarray(at, at + PIECE));
  }
  return btoa(text);
}
