/**
 * Formats: files in and out. MusicXML, MIDI and ABC are read; MusicXML, MIDI, tables and sound are written.
 *
 * @module
 */

export { readMusicXml } from "./formats/musicxml/read/read_musicxml.ts";
export type { ReadMusicXmlOptions } from "./formats/musicxml/read/read_musicxml.ts";
export { readMxl } from "./formats/musicxml/read/read_mxl.ts";
export { readScore } from "./formats/read_score.ts";
export { readScoreBytes } from "./formats/read_score_bytes.ts";
export type { ReadScoreOptions } from "./formats/read_score_bytes.ts";
export { readAbc } from "./formats/abc/read_abc.ts";
export type { ReadAbcOptions } from "./formats/abc/read_abc.ts";
export { readMidi } from "./formats/midi/read_midi.ts";
export type { ReadMidiOptions } from "./formats/midi/read_midi.ts";
export { writeMusicXml, writePart } from "./formats/musicxml/write/write_musicxml.ts";
export type { WriteMusicXmlOptions, WritePartOptions } from "./formats/musicxml/write/write_musicxml.ts";
export { writeMidi } from "./formats/midi/write_midi.ts";
export type { WriteMidiOptions } from "./formats/midi/write_midi.ts";
export { writeWav } from "./formats/sound/write_wav.ts";
export type { WriteWavOptions } from "./formats/sound/write_wav.ts";
export { MP3_DELAY_SAMPLES, writeMp3 } from "./formats/sound/write_mp3.ts";
export type { WriteMp3Options } from "./formats/sound/write_mp3.ts";
export { readSoundFont } from "./formats/sound/read_sound_font.ts";
export type { SoundFont, SoundFontNote, SoundFontSamples } from "./formats/sound/read_sound_font.ts";
export type { SampledSound } from "./formats/sound/sampled_sound.ts";
export { barsTable, layersTable, notesTable, tableToCsv } from "./formats/files/csv.ts";
export type { BarFacts, Cell, LayerRow, NoteRow, TableRow, TableToCsvOptions } from "./formats/files/csv.ts";
export { writeFiles } from "./formats/files/write_files.ts";
export type { FileToWrite } from "./formats/files/file_to_write.ts";
export type { WrittenFolder } from "./formats/files/write_folder.ts";
