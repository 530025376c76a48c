/** What tempo words say where no figure stands. */

/**
 * Beats a minute taken for tempo words where the source gives no figure. Common practice, no source; they
 * only stand in until the user gives a tempo, and every tempo made from them says `assumed`.
 */
export const TEMPO_WORDS: Readonly<Record<string, number>> = {
  grave: 42,
  largo: 50,
  lento: 54,
  larghetto: 63,
  adagio: 66,
  andante: 84,
  andantino: 92,
  moderato: 108,
  allegretto: 112,
  allegro: 132,
  vivace: 152,
  presto: 176,
  prestissimo: 200,
  langsam: 56,
  mäßig: 96,
  mässig: 96,
  lebhaft: 132,
  schnell: 152,
  lent: 56,
  modéré: 100,
  vif: 144,
};

/** The first tempo word in some text, such as a heading or a title, with its beats a minute. */
export function tempoWordIn(
  text: string,
): { readonly word: string; readonly beatsPerMinute: number } | undefined {
  const word = text.toLowerCase().match(/\p{L}+/gu)?.find((each) => Object.hasOwn(TEMPO_WORDS, each));
  return word === undefined ? undefined : { word, beatsPerMinute: TEMPO_WORDS[word]! };
}
