/** MusicXML 4.0 standard sounds (W3C Music Notation Community Group, sounds.xml). */
import { assert, assertEquals } from "@std/assert";
import { allInstruments, findInstrument } from "ripieno";
import { sharedFolder } from "../setup/shared_data.ts";

Deno.test("MusicXML sounds: every sound id of the catalogue is in the standard's list", () => {
  const folder = sharedFolder("musicxml-schema");
  if (!folder) {
    assertEquals(findInstrument({ soundId: "wind.reed.english-horn" }).instrument.id, "cor anglais");
    return;
  }
  const text = Deno.readTextFileSync(new URL("sounds.xml", folder));
  const standard = [...text.matchAll(/<sound id="([^"]+)"/g)].map((match) => match[1]!);
  assert(standard.length > 800);
  const unknown = allInstruments().filter((each) => !standard.includes(each.soundId)).map((each) =>
    each.soundId
  );
  assertEquals(unknown, []);
  const found = standard.filter((soundId) => findInstrument({ soundId }).from === "sound id");
  console.log(`${standard.length} standard sounds, ${found.length} lead to an instrument of the catalogue`);
});

Deno.test("MusicXML sounds: an instrument's own sound id leads back to it, or to one of its kind", () => {
  for (const instrument of allInstruments()) {
    const found = findInstrument({ soundId: instrument.soundId, names: [instrument.id] });
    assertEquals([found.instrument.id, found.from], [instrument.id, "sound id"]);
    assertEquals(findInstrument({ soundId: instrument.soundId }).instrument.soundId, instrument.soundId);
  }
});
