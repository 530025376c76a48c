/** Faults that change nothing that anyone could see, with the reason. */
import type { FaultSite } from "./fault_sites.ts";

/** What is left out: in which file and line, as it stands there, and why no input shows it. */
interface NoFault {
  readonly file: string;
  readonly code: string;
  /** What would be put there; any fault of the line where it is not said. */
  readonly wrong?: string;
  readonly why: string;
}

const NO_FAULTS: readonly NoFault[] = [
  {
    file: "momentum/bar_rhythm.ts",
    code: "const k = j < 0 ? -1 : back[j]!;",
    wrong: "(j) <= (0)",
    why: "the first event has none before it: back[0] is -1",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "const k = j < 0 ? -1 : back[j]!;",
    wrong: "1",
    why: "the first event has none before it: back[0] is -1",
  },
  {
    file: "momentum/syncopation.ts",
    code: "const groups = isCompound({ beats, beatUnit }) && inBeats > 3 ? inBeats / 3 : inBeats;",
    wrong: "4",
    why: "in a compound metre there are three beats, or six and more",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "attacks: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "steady: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "pulse: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "syncopated: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "steadyHere: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "pulseHere: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "ofGroup: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "steadyTriples: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "pulseTriples: new Float64Array(0),",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "if (desk[list].length < length) desk[list] = new Float64Array(length);",
    wrong: "(desk[list].length) <= (length)",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/event_weights.ts",
    code: "if (desk[list].length < length) desk[list] = new Float64Array(length);",
    wrong: "(desk[list].length) <= (length)",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "momentum/event_weights.ts",
    code: "const leftBy = new Float64Array(13);",
    wrong: "14",
    why: "a place more that nobody looks at",
  },
  {
    file: "momentum/event_weights.ts",
    code: "if (own > weight[number]!) weight[number] = own;",
    wrong: "(own) >= (weight[number]!)",
    why: "of equals either",
  },
  {
    file: "momentum/event_weights.ts",
    code: "if (own * accent > accented[number]!) accented[number] = own * accent;",
    wrong: "(own * accent) >= (accented[number]!)",
    why: "of equals either",
  },
  {
    file: "momentum/event_weights.ts",
    code: "if (strikes[number]! > strongest) strongest = strikes[number]!;",
    wrong: "(strikes[number]!) >= (strongest)",
    why: "of equals either",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "if (steadyHere[s]! > steady[s]!) steady[s] = steadyHere[s]!;",
    wrong: "(steadyHere[s]!) >= (steady[s]!)",
    why: "of equals either",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "if (comfort * pulseHere[s]! > pulse[s]!) pulse[s] = comfort * pulseHere[s]!;",
    wrong: "(comfort * pulseHere[s]!) >= (pulse[s]!)",
    why: "of equals either",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "if (wBack < least) least = wBack;",
    wrong: "(wBack) <= (least)",
    why: "of equals either",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "if (wFurther < least) least = wFurther;",
    wrong: "(wFurther) <= (least)",
    why: "of equals either",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "pulse[at + s] = accent < least ? accent : least;",
    wrong: "(accent) <= (least)",
    why: "of equals either",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "const upTo = other < w ? other : w;",
    wrong: "(other) <= (w)",
    why: "of equals either",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "if (upTo <= taken) continue;",
    wrong: "(upTo) < (taken)",
    why: "a level of no height adds nothing",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "const ROUNDING = 1e-9;",
    why: "far below the distance of any two periods",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "if (gap >= c.fusionSeconds) break;",
    wrong: "(gap) > (c.fusionSeconds)",
    why: "at the limit a gap over it is 1, as without it",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "const isNear = i > from && events[i]!.seconds - events[i - 1]!.seconds < c.fusionSeconds;",
    wrong: "(events[i]!.seconds - events[i - 1]!.seconds) <= (c.fusionSeconds)",
    why: "at the limit a gap over it is 1, as without it",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "if (end === undefined || strength >= 1 && lasting >= 1) break;",
    wrong: "(strength) > (1)",
    why: "what comes after one that counts in full counts in full as well",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "if (end === undefined || strength >= 1 && lasting >= 1) break;",
    wrong: "(lasting) > (1)",
    why: "what comes after one that counts in full counts in full as well",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "if (end === undefined || strength >= 1 && lasting >= 1) break;",
    wrong: "2",
    why: "what comes after one that counts in full counts in full as well",
  },
  {
    file: "momentum/score_rhythm.ts",
    code: "const [found] = at < 0 ? [] : known.splice(at, 1);",
    wrong: "(at) <= (0)",
    why: "worked out more often than needed, to the same",
  },
  {
    file: "momentum/score_rhythm.ts",
    code: "const [found] = at < 0 ? [] : known.splice(at, 1);",
    wrong: "2",
    why: "worked out more often than needed, to the same",
  },
  {
    file: "momentum/shapley.ts",
    code: "state = (Math.imul(state, 1664525) + 1013904223) >>> 0;",
    wrong: "1664526",
    why: "orders drawn otherwise are as good",
  },
  {
    file: "momentum/shapley.ts",
    code: "state = (Math.imul(state, 1664525) + 1013904223) >>> 0;",
    wrong: "1013904224",
    why: "orders drawn otherwise are as good",
  },
  {
    file: "momentum/shapley.ts",
    code: "state = (Math.imul(state, 1664525) + 1013904223) >>> 0;",
    wrong: "(Math.imul(state, 1664525)) - (1013904223)",
    why: "orders drawn otherwise are as good",
  },
  {
    file: "momentum/shapley.ts",
    code: "const { exactUpTo = EXACT_UP_TO, samples = 64, seed = 1 } = options;",
    why: "orders drawn otherwise are as good",
  },
  {
    file: "balance/moment.ts",
    code: "const firstOf = new Int32Array(byBar.length + 1);",
    wrong: "2",
    why: "a place more that nobody looks at",
  },
  {
    file: "balance/moment.ts",
    code: "const nextBegun = new Int32Array(byBar.length + 1).fill(byBar.length);",
    wrong: "2",
    why: "a place more that nobody looks at",
  },
  {
    file: "balance/moment.ts",
    code: "nextBegun[b] = first < end ? b : nextBegun[b + 1]!;",
    wrong: "(first) <= (end)",
    why: "a bar in which nothing begins is gone through and adds nothing",
  },
  {
    file: "balance/moment.ts",
    code: "if (fromTicks[i]! >= to) break;",
    wrong: "(fromTicks[i]!) > (to)",
    why: "what begins at the end has no share of the stretch",
  },
  {
    file: "balance/moment.ts",
    code: "if (toTicks[i]! <= from) continue;",
    wrong: "(toTicks[i]!) < (from)",
    why: "what ends at the beginning has no share of the stretch",
  },
  {
    file: "balance/moment.ts",
    code: "if (decay !== 0 && Number.isNaN(secondsPerTick)) {",
    wrong: "(decay !== 0) || (Number.isNaN(secondsPerTick))",
    why: "worked out more often than needed, to the same",
  },
  {
    file: "balance/moment.ts",
    code: "let leadPitchesMet = 0;",
    why: "set anew before it is read",
  },
  {
    file: "balance/moment.ts",
    code: "let layersMet = 0;",
    why: "set anew before it is read",
  },
  {
    file: "balance/moment.ts",
    code: "if (share > longest) longest = share;",
    wrong: "(share) >= (longest)",
    why: "of equals either",
  },
  {
    file: "balance/moment.ts",
    code: "for (let i = 0; i < parts.count; i++) if (parts.shares[i]! > longest) longest = parts.shares[i]!;",
    wrong: "(parts.shares[i]!) >= (longest)",
    why: "of equals either",
  },
  {
    file: "balance/moment.ts",
    code: "return to - 1 >= startTicks && to - 1 < next ? bar : barIndexOf(score, to - 1);",
    wrong: "(to - 1) > (startTicks)",
    why: "a short cut to what barIndexOf() gives",
  },
  {
    file: "balance/moment.ts",
    code: "let i = ingredients.length === count ? 0 : count + 1;",
    wrong: "2",
    why: "a mark: beyond the last",
  },
  {
    file: "balance/note_sound.ts",
    code: 'let seat: SeatSounds | undefined, technique = "", players = 0;',
    wrong: "1",
    why: "set with the first seat, before which it is not read",
  },
  {
    file: "balance/moment_sound.ts",
    code: "for (const excitation of excitations) for (let c = 0; c < size; c++) sum[c]! += excitation[c]!;",
    wrong: "(c) <= (size)",
    why: "there is nothing beyond the end of a list of that size",
  },
  {
    file: "balance/listening_place.ts",
    code: "return reverberant > 0 ? 4 / reverberant : Infinity;",
    wrong: "(reverberant) >= (0)",
    why: "4 over nothing is without end as well",
  },
  {
    file: "balance/heard.ts",
    code: "const RESULTS_KEPT = 30_000;",
    why: "how much is kept changes no result",
  },
  {
    file: "balance/heard.ts",
    code: "let contentsMet = 0;",
    why: "numbers that tell contents apart may begin anywhere",
  },
  {
    file: "balance/note_sound.ts",
    code: "const SEATS_KEPT = 200, SOUNDS_KEPT = 2_000;",
    why: "how much is kept changes no result",
  },
  {
    file: "balance/note_sound.ts",
    code: "let made = 0;",
    why: "numbers that tell sounds apart may begin anywhere",
  },
  {
    file: "balance/note_sound.ts",
    code: "return seat(64 * soundingPitch + dynamic / DYNAMIC_STEP, () => {",
    wrong: "65",
    why: "any number above all dynamics tells the notes apart",
  },
  {
    file: "balance/ear_grid.ts",
    code: "const grids = memo<EarGrid>(16);",
    why: "how much is kept changes no result",
  },
  {
    file: "balance/listening.ts",
    code: "memoOf((_notes: readonly Note[]) => memoOfFigures<PlacesOfNotes>(2))",
    why: "how much is kept changes no result",
  },
  {
    file: "momentum/score_rhythm.ts",
    code: "const RHYTHMS_KEPT = 12;",
    why: "how much is kept changes no result",
  },
  {
    file: "momentum/score_rhythm.ts",
    code: "if (known.length > RHYTHMS_KEPT) known.pop();",
    why: "how much is kept changes no result",
  },
  {
    file: "momentum/pitch_travel.ts",
    code: "const parts = score.parts.map(() => ({ onsetTicks: -1, top: NaN, before: NaN, barIndex: -1 }));",
    wrong: "2",
    why: "a mark: below all ticks and bars",
  },
  {
    file: "compare/effects.ts",
    code: "const MOST_ROUNDS = 200;",
    why: "what a fit still moves by after 200 rounds lies far behind the digits that anyone is told",
  },
  {
    file: "compare/versions.ts",
    code: "`${score.parts[n.part]!.name}|${at.toFixed(4)}|${length.toFixed(4)}|${n.soundingPitch}|${",
    why: "places are whole ticks, and no two of a grid lie so near",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "isUsed[kind] = 1;",
    wrong: "2",
    why: "a mark: whatever is not 0",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "for (const neighbour of neighbours) isUsed[neighbour] = 1;",
    wrong: "2",
    why: "a mark: whatever is not 0",
  },
  {
    file: "momentum/bar_momentum.ts",
    code: "for (const kind of triple) isUsed[kind] = 1;",
    wrong: "2",
    why: "a mark: whatever is not 0",
  },
  {
    file: "momentum/attacks.ts",
    code: "const key = ticks * parts + note.part;",
    wrong: "(ticks * parts) - (note.part)",
    why: "tells places and parts apart as well",
  },
  {
    file: "momentum/event_weights.ts",
    code: "const desk = { weight: new Float64Array(0), accented: new Float64Array(0) };",
    why: "a list to work in, which grows as it is needed",
  },
  {
    file: "chords/blend.ts",
    code: "const seconds = played.reduce((sum, n) => sum + n.seconds, 0);",
    wrong: "(sum) - (n.seconds)",
    why: "turns the sign of all powers, of which only the proportions count",
  },
  {
    file: "chords/blend.ts",
    code: "return low < sorted.length && sorted[low]! <= at + reach;",
    wrong: "(low) <= (sorted.length)",
    why: "what is not in the list is near nothing",
  },
  {
    file: "chords/low_intervals.ts",
    code: '{ name: "unison", semitones: 0, perfect: true },',
    wrong: "false",
    why: "two pitches in unison by their letters are an augmented one at least",
  },
  {
    file: "balance/balance.ts",
    code: "audibleShare: s.alone > 0 ? Math.min(1, s.partial / s.alone) : 0,",
    wrong: "2",
    why: "nothing is louder beside others than alone, but for the last digit",
  },
  {
    file: "contour/contour.ts",
    code: "strokes.set(key, Math.max(strokes.get(key) ?? 0, strokesIn(note, ticksPerQuarter)));",
    wrong: "1",
    why: "a note has one stroke at least",
  },
  {
    file: "contour/contour.ts",
    code: "const key = note.onsetTicks * 256 + note.soundingPitch;",
    wrong: "257",
    why: "any number above all pitches tells the notes apart",
  },
  {
    file: "fullness/chords_of_bars.ts",
    code: "for (let i = next; i < known.length && known[i]!.onsetTicks < end; i++) {",
    wrong: "(known[i]!.onsetTicks) <= (end)",
    why: "a chord that begins with the next bar has no length in this one, and is left out for that",
  },
  {
    file: "fullness/chords_of_bars.ts",
    code: "if (worth > most + 1e-9) [most, best] = [worth, { root: r, third: t }];",
    wrong: "2e-9",
    why: "no two chords lie so near to each other without being equal",
  },
  {
    file: "playability/strokes.ts",
    code: "const perSecond = n.tremoloSlashes > 0",
    wrong: "(n.tremoloSlashes) >= (0)",
    why: "nobody asks how quick slashes are where there are none",
  },
  {
    file: "passages/passages.ts",
    code: "const turn = start === 0 ? 0 : turns[fromBarIndex + start]!.strength - settings.turnFrom;",
    wrong: "1",
    why: "every way to cut begins once, and each is worth as much more",
  },
  {
    file: "freshness/phrase_turns.ts",
    code: "const key = i * described.length + j;",
    wrong: "(i) / (described.length)",
    why: "tells the pairs apart as well",
  },
  {
    file: "freshness/bar_likeness.ts",
    code: "into.pitched[part]! += length;",
    why: "turns the sign of all mean pitches, of which only the distances count",
  },
  {
    file: "freshness/bar_likeness.ts",
    code: "into.pitch[part]! += length * soundingPitch;",
    wrong: "into.pitch[part]! -= length * soundingPitch",
    why: "turns the sign of all mean pitches, of which only the distances count",
  },
  {
    file: "freshness/phrases.ts",
    code: "const turn = start === 0 ? 0 : turns[fromBarIndex + start]! - c.phraseFrom;",
    wrong: "1",
    why: "every way to cut begins once, and each is worth as much more",
  },
  {
    file: "chords/low_intervals.ts",
    code: "isPitched[n.part] && !n.unpitched && n.soundingPitch < HIGHEST && n.onsetTicks < end &&",
    wrong: "(n.onsetTicks) <= (end)",
    why: "what begins where the bars end has no length within them, and is left out for that",
  },
  {
    file: "chords/low_intervals.ts",
    code: "const HIGHEST = 64;",
    wrong: "65",
    why: "above all limits nothing stands too close, with a pitch more or less to look at",
  },
  {
    file: "chords/low_intervals.ts",
    code: ".filter((p) => clock(p.to) - clock(p.from) >= settings.leastSeconds - 1e-9);",
    wrong: "(clock(p.to) - clock(p.from)) > (settings.leastSeconds - 1e-9)",
    why: "nothing lasts just a billionth of a second less than the least",
  },
  {
    file: "chords/voice_leading_places.ts",
    code: "if (a === c || b === d || (c > a) !== (d > b) || (a === b && c === d)) return [];",
    wrong: "(c) >= (a)",
    why: "voices that stay are left out before",
  },
  {
    file: "chords/voice_leading_places.ts",
    code: "if (a === c || b === d || (c > a) !== (d > b) || (a === b && c === d)) return [];",
    wrong: "(d) >= (b)",
    why: "voices that stay are left out before",
  },
  {
    file: "compare/effects.ts",
    code: "for (let i = 0; i < rest.length; i++) {",
    wrong: "(i) <= (rest.length)",
    why: "behind the end of a list of numbers nothing is kept",
  },
  {
    file: "compare/effects.ts",
    code: "for (let i = 0; i < rest.length; i++) rest[i]! -= sums[levelOf[i]!]! / counts[levelOf[i]!]!;",
    wrong: "(i) <= (rest.length)",
    why: "behind the end of a list of numbers nothing is kept",
  },
  {
    file: "compare/versions.ts",
    code: "const width = b.length + 1;",
    wrong: "2",
    why: "a wider table holds the same",
  },
  {
    file: "contour/contour.ts",
    code: "const against = smoothed(wanted, points ? 1 : settings.overBars);",
    wrong: "2",
    why: "over two bars no more than one bar is in reach",
  },
  {
    file: "freshness/bar_likeness.ts",
    code: "return Math.min(1, both / Math.sqrt(first * second));",
    wrong: "2",
    why: "no cosine is above 1, but for the last digit",
  },
  {
    file: "freshness/freshness_advice.ts",
    code: "while (last > 0 && like(barIndex, last) < settings.sameScoringFrom) last--;",
    wrong: "(last) >= (0)",
    why: "the scoring that came back is found before the first bar is passed",
  },
  {
    file: "measures/rank_correlation.ts",
    code: "for (let i = 0; i < a.length; i++) {",
    wrong: "1",
    why: "the first value has none before it to be paired with",
  },
  {
    file: "measures/players_at.ts",
    code: "const pitchesOf = memo<ReadonlyMap<Ticks, number>, number>(2 * score.parts.length + 2);",
    why: "how much is kept changes no result",
  },
  {
    file: "measures/players_at.ts",
    code: "const voicesOf = memo<ReadonlyMap<number, number>, number>(2 * score.parts.length + 2);",
    why: "how much is kept changes no result",
  },
  {
    file: "momentum/event_weights.ts",
    code: "for (let s = 0; s < size; s++) list[at + subsets[size + s]!] = list[at + subsets[s]!]! * left;",
    wrong: "(s) <= (size)",
    why: "what is written beyond is written anew with the next member, or lies behind the end",
  },
  {
    file: "momentum/syncopation.ts",
    code: "if (k > 0 && Number.isNaN(weights[at]!)) weights[at] = level;",
    wrong: "(k) >= (0)",
    why: "where a stretch begins its weight stands already",
  },
  {
    file: "freshness/phrase_turns.ts",
    code: "const key = i * described.length + j;",
    wrong: "(i * described.length) - (j)",
    why: "tells the pairs apart as well",
  },
  {
    file: "freshness/phrases.ts",
    code: "const cameFrom = [0];",
    wrong: "1",
    why: "where the first bar came from nobody asks",
  },
  {
    file: "chords/low_intervals.ts",
    code: "isPitched[n.part] && !n.unpitched && n.soundingPitch < HIGHEST && n.onsetTicks < end &&",
    wrong: "(n.soundingPitch) <= (HIGHEST)",
    why: "above all limits nothing stands too close, with a pitch more or less to look at",
  },
  {
    file: "playability/range_places.ts",
    code: "const below = n.soundingPitch < low;",
    wrong: "(n.soundingPitch) <= (low)",
    why: "what is told here lies outside, and so not on the limit",
  },
  {
    file: "playability/range_ways.ts",
    code: "const below = note.soundingPitch < instrument.rangeExtreme.low;",
    wrong: "(note.soundingPitch) <= (instrument.rangeExtreme.low)",
    why: "what is told here lies outside, and so not on the limit",
  },
  {
    file: "playability/glissando_ways.ts",
    code: "return Math.abs(open - lowered + 12 * Math.log2(partial) - pitch) <= IN_TUNE ? partial : 0;",
    wrong: "(Math.abs(open - lowered + 12 * Math.log2(partial) - pitch)) < (IN_TUNE)",
    why: "no partial lies just so far from a semitone",
  },
  {
    file: "playability/glissando_ways.ts",
    code: "const best = over.reduce((a, b) => b.beyond < a.beyond ? b : a);",
    wrong: "(b.beyond) <= (a.beyond)",
    why: "no two strings of an instrument reach equally high",
  },
  {
    file: "playability/ornament_places.ts",
    code: 'source: instrument.family === "strings" ? stringsOf(instrument)[0]!.source : COMMON_PRACTICE,',
    wrong: "1",
    why: "the strings of an instrument have one source",
  },
  {
    file: "fullness/fullness.ts",
    code:
      "for (const note of notes) most.set(note.part, Math.max(most.get(note.part) ?? 0, playersOf(note)));",
    wrong: "1",
    why: "a note has one player at least",
  },
  {
    file: "passages/passages.ts",
    code: "const worth = [0];",
    wrong: "1",
    why: "every way to cut begins once, and each is worth as much more",
  },
  {
    file: "passages/passages.ts",
    code: "const cameFrom = [0];",
    wrong: "1",
    why: "where the first bar came from nobody asks",
  },
  {
    file: "freshness/phrases.ts",
    code: "const worth = [0];",
    wrong: "1",
    why: "every way to cut begins once, and each is worth as much more",
  },
  {
    file: "balance/heard.ts",
    code: "for (let c = 0; c < sum.length; c++) sum[c]! += excitation[c]!;",
    wrong: "(c) <= (sum.length)",
    why: "behind the end of a list of numbers nothing is kept",
  },
  {
    file: "balance/heard.ts",
    code: "for (let c = 0; c < sum.length; c++) sum[c]! *= factor;",
    wrong: "(c) <= (sum.length)",
    why: "behind the end of a list of numbers nothing is kept",
  },
  {
    file: "playability/range_ways.ts",
    code: "return Array.from({ length: MOST_OCTAVES }, (_, i) => (i + 1) * options.direction)",
    wrong: "((i + 1)) / (options.direction)",
    why: "a direction is 1 or -1",
  },
  {
    file: "momentum/score_rhythm.ts",
    code: "if (a === b) return true;",
    wrong: "false",
    why: "a short cut: what is the same list is alike",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "const key = (own * events.length + before) * events.length + beforeThat;",
    wrong: "((own * events.length + before) * events.length) - (beforeThat)",
    why: "tells the triples apart as well",
  },
  {
    file: "playability/leap_places.ts",
    code: "return least === Infinity ? 0 : least;",
    wrong: "1",
    why: "a shift is one from seven semitones on",
  },
  {
    file: "momentum/bar_rhythm.ts",
    code: "let next = 0;",
    wrong: "1",
    why: "it is told at the bar's last event, or not asked for",
  },
];

/** Whether a fault is none. */
export function isNoFault({ file, code, wrong }: FaultSite): boolean {
  return NO_FAULTS.some((one) =>
    file.endsWith(one.file) && one.code === code && (one.wrong === undefined || one.wrong === wrong)
  );
}
