/** The W3C schema of MusicXML 4.0, where it is beside the checkout, as a validator. */
import { XmlBufferInputProvider, XmlDocument, xmlRegisterInputProvider, XsdValidator } from "libxml2-wasm";
import { sharedFolder } from "./shared_data.ts";

let ready: ((text: string) => readonly string[]) | undefined;

/**
 * A validator.
 *
 * @returns a function that gives the faults of a MusicXML text, none for a valid one; undefined where the schema is not here
 */
export function musicXmlValidator(): ((text: string) => readonly string[]) | undefined {
  const folder = sharedFolder("musicxml-schema");
  if (!folder || ready) return ready;
  const bytes = (name: string) => Deno.readFileSync(new URL(name, folder));
  const address = (name: string) => `http://www.musicxml.org/xsd/${name}`;
  const imports = Object.fromEntries(["xml.xsd", "xlink.xsd"].map((name) => [address(name), bytes(name)]));
  xmlRegisterInputProvider(new XmlBufferInputProvider(imports));
  const validator = XsdValidator.fromDoc(XmlDocument.fromBuffer(bytes("musicxml.xsd")));
  ready = (text) => {
    using document = XmlDocument.fromBuffer(new TextEncoder().encode(text));
    try {
      validator.validate(document);
      return [];
    } catch (error) {
      const details = (error as { details?: readonly { message: string }[] }).details;
      return details?.map((d) => d.message) ?? [String(error)];
    }
  };
  return ready;
}
