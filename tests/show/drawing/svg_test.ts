import { assertEquals } from "@std/assert";
import { h } from "../../../lib/show/drawing/svg.ts";

Deno.test("h() leaves out what is undefined, puts what pops up first, and keeps words as words", () => {
  const group = h("g", { x: 0, fill: undefined, title: "a < b" }, h("rect"), "<i>");
  assertEquals(group.getAttribute("x"), "0");
  assertEquals(group.hasAttribute("fill") || group.hasAttribute("title"), false);
  assertEquals([...group.childNodes].map((n) => n.nodeName.toLowerCase()), ["title", "rect", "#text"]);
  assertEquals(group.firstChild?.textContent, "a < b");
  assertEquals(group.lastChild?.textContent, "<i>");
});
