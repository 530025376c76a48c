import { assert, assertEquals } from "@std/assert";
import fc from "fast-check";
import { changeNames } from "../../../lib/show/panels/change_names.ts";
import { fitText, textWidth } from "../../../lib/show/drawing/text_width.ts";
import { numbersTogether } from "../../../lib/show/drawing/words.ts";

const room = { xOf: (bar: number) => 52 + bar * 9.3, left: 52, right: 52 + 96 * 9.3, size: 10 };
const what = "Horn 1 + Horn 2 + Horn 3 + Horn 4 take the lead; Piccolo, Flute 2 and 5 more rest";
const changeAt = (barIndex: number, change = 0.5) => ({
  barIndex,
  bar: String(barIndex + 1),
  change,
  beginsPhrase: true,
  what,
});

Deno.test("changeNames(): no name stands on another, on another's stalk, or outside the bars", () => {
  const bars = fc.uniqueArray(fc.integer({ min: 1, max: 95 }), { minLength: 1, maxLength: 24 });
  fc.assert(fc.property(bars, (list) => {
    const named = changeNames(list.map((bar) => changeAt(bar, (bar % 7 + 1) / 8)), room);
    assert(named.length >= 1);
    const boxes = named.map((n) => ({
      x: room.xOf(n.change.barIndex),
      left: n.left,
      right: n.left + Math.max(...n.lines.map((line) => textWidth(line, room.size))),
      first: n.line,
      last: n.line + n.lines.length - 1,
    }));
    for (const a of boxes) {
      assert(a.left >= room.left && a.right <= room.right);
      for (const b of boxes.filter((other) => other !== a)) {
        const sameLine = a.first <= b.last && b.first <= a.last;
        assert(!sameLine || a.right <= b.left || b.right <= a.left, "two names on one line");
        // A stalk goes from the first line of its name to the foot.
        assert(!(b.x > a.left && b.x < a.right && b.first <= a.last), "a name on a stalk");
      }
    }
  }));
});

Deno.test("changeNames(): a change near the right end keeps its verb, and so do those before it", () => {
  for (const last of [84, 90, 95]) {
    const named = changeNames([changeAt(10), changeAt(40), changeAt(last)], room);
    assertEquals(named.length, 3);
    for (const { lines } of named) assert(lines.join(" ").includes("take the lead"), lines.join(" "));
  }
});

Deno.test("changeNames(): the largest change has its name, whatever else there is, and a smaller one never costs a larger its own", () => {
  const bars = fc.uniqueArray(fc.integer({ min: 1, max: 95 }), { minLength: 1, maxLength: 24 });
  fc.assert(fc.property(bars, (list) => {
    const changes = list.map((bar, i) => changeAt(bar, 1 - i / 100));
    const all = changeNames(changes, room).map((n) => n.change);
    assert(all.includes(changes[0]!), `the largest, in bar ${changes[0]!.bar}`);
    const few = changes.slice(0, 7);
    if (changes.length < 7) return;
    const kept = changeNames(few, room).map((n) => n.change);
    for (const change of kept) assert(all.includes(change), `${change.bar} gave way to a smaller one`);
  }));
});

Deno.test("changeNames(): where there is little room names say it in fewer words, and none is cut", () => {
  const many = Array.from({ length: 16 }, (_, i) => changeAt(5 + 5 * i, 1 - i / 100));
  const said = changeNames(many, room).map((n) => n.lines.join(" "));
  assert(said.length > 4);
  for (const name of said) {
    assert(!name.includes("…"), name);
    assert(/^\d+: (Horn.1–4|Horn 1 and 3 more|4 parts) take the lead/.test(name), name);
  }
});

Deno.test("numbersTogether() says numbered parts together, and only those that follow each other", () => {
  const said: readonly (readonly [string, string])[] = [
    ["Horn 1 + Horn 2 + Horn 3 + Horn 4 take the lead", "Horn 1–4 take the lead"],
    ["Bassoon 1, Bassoon 2 and Tuba enter", "Bassoon 1–2 and Tuba enter"],
    ["Oboe 1, Horn 1 and Horn 2 rest; Bass trombone rests", "Oboe 1 and Horn 1–2 rest; Bass trombone rests"],
    ["Horn 1 and Horn 3 enter", "Horn 1 and Horn 3 enter"],
    ["Violins I and Violins II turn to pad", "Violins I and Violins II turn to pad"],
    ["Clarinet 1 and Horn 2 rest", "Clarinet 1 and Horn 2 rest"],
  ];
  for (const [text, shorter] of said) assertEquals(numbersTogether(text).replaceAll("\u00a0", " "), shorter);
});

Deno.test("fitText() cuts no letter where the width was added up and taken apart again", () => {
  for (const name of ["Bassoon 1", "Double basses", "Trombone 2", "Violins II"]) {
    for (const margin of [8, 14, 0.1, 18.7]) {
      assertEquals(fitText(name, 11, textWidth(name, 11) + margin - margin), name);
    }
  }
});
