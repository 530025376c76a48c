/** The look of the report: light and dark, wide and narrow, screen and paper. */
import { DARK_COLOURS } from "../drawing/theme.ts";

const DARK_CHARTS = Object.entries(DARK_COLOURS).map(([name, colour]) => `${name}: ${colour};`).join(" ");

export const REPORT_STYLE = `
:root { color-scheme: light dark; --page: #fbfaf7; --ink: #1d1e24; --soft: #5a5c66; --line: #d9d7d0; --band: #f1efe9;
  --accent: #981230; --card: #ffffff; --ripieno-paper: #ffffff; --ripieno-ink: #1d1e24; }
@media screen and (prefers-color-scheme: dark) { :root { --page: #16181d; --ink: #e7e6e1; --soft: #a9abb4; --line: #3a3d46;
  --band: #20232a; --accent: #ff8fa3; --card: #1b1e24; ${DARK_CHARTS} } }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: var(--page); color: var(--ink); font: 16px/1.55 Charter, "Iowan Old Style", Georgia,
  "DejaVu Serif", serif; overflow-wrap: break-word; }
header, main, footer { max-width: 1200px; margin: 0 auto; padding: 0 20px; }
header { padding-top: 36px; } footer { padding-bottom: 48px; color: var(--soft); font-size: 14px; }
h1, h2, h3, table, nav, dl, summary, .tag { font-family: system-ui, "Helvetica Neue", Arial, sans-serif; }
h1 { font-size: 30px; line-height: 1.2; margin: 0 0 4px; }
h2 { font-size: 22px; line-height: 1.25; margin: 52px 0 10px; padding-top: 14px; border-top: 3px solid var(--accent); }
h3 { font-size: 17px; margin: 34px 0 6px; }
h4 { font: 600 15px/1.4 system-ui, "Helvetica Neue", Arial, sans-serif; margin: 22px 0 4px; }
p, ul { margin: 8px 0; max-width: 74ch; } ul { padding-left: 1.2em; } li { margin: 4px 0; }
.by { color: var(--soft); margin: 0 0 14px; }
.caution { border-left: 4px solid var(--accent); padding: 2px 0 2px 14px; }
nav { font-size: 14px; margin: 18px 0; } nav a { display: inline-block; margin: 0 14px 4px 0; }
a { color: var(--accent); }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 2px 18px; font-size: 14px; margin: 14px 0; }
dt { color: var(--soft); } dd { margin: 0; min-width: 0; }
figure { margin: 14px 0; } .wide { overflow-x: auto; border: 1px solid var(--line); border-radius: 6px;
  background: var(--card); } .chart { background: var(--ripieno-paper); } .wide:focus-visible { outline: 2px solid var(--accent); }
.wide svg { min-width: 880px; } .notes { background: var(--ripieno-paper); } .notes svg { min-width: 0; max-width: none !important; } .wide table { border: 0; margin: 0; }
table { border-collapse: collapse; font-size: 13.5px; line-height: 1.4; width: 100%; font-variant-numeric: tabular-nums; }
caption { text-align: left; padding: 8px 10px; font-weight: 600; }
th, td { padding: 6px 10px; text-align: left; vertical-align: top; border-top: 1px solid var(--line); }
thead th { font-weight: 600; white-space: nowrap; background: var(--band); }
td.n, th.n { text-align: right; } td.n { white-space: nowrap; } thead th.n { white-space: normal; } td.s { white-space: nowrap; }
td.t { min-width: 12em; } td.p { min-width: 7.5em; } td.a { min-width: 5.5em; }
.chart { display: grid; } .chart > svg { grid-area: 1 / 1; width: 100%; } .chart > .names, .systems { display: none; }
.bar-place:target { fill: var(--accent); fill-opacity: 0.35; stroke: var(--accent); scroll-margin: 40vh; }
a.to-bar { color: inherit; text-decoration-color: var(--accent); text-underline-offset: 2px; }
.key dt { font-weight: 600; } .key dd { max-width: 80ch; } ul.ways { margin: 2px 0; }
tbody th.b { white-space: nowrap; } code { font-size: 12.5px; } tbody th { font-weight: 600; white-space: nowrap; }
.tag svg { width: 13px; height: 13px; vertical-align: -2px; margin-right: 5px; min-width: 0; display: inline; }
.to-hear { list-style: none; padding: 0; max-width: none; display: grid; gap: 10px 22px; grid-template-columns: repeat(auto-fill, minmax(250px, 1fr)); }
.to-hear li { margin: 0; } .to-hear span { display: block; font-size: 14.5px; } audio { width: 100%; height: 40px; }
details { margin: 10px 0; } summary { cursor: pointer; font-size: 14.5px; padding: 4px 0; }
.source { color: var(--soft); font-size: 12.5px; }
@media (max-width: 640px) { body { font-size: 15px; } header, main, footer { padding-left: 14px; padding-right: 14px; }
  h1 { font-size: 25px; } dl { grid-template-columns: 1fr; } dt { margin-top: 6px; } }
@media screen and (max-width: 940px) { .chart::before { content: "goes on to the right →"; position: sticky; left: 0;
  width: max-content; padding: 6px 10px 0; color: var(--soft); font: 12px system-ui, "Helvetica Neue", Arial, sans-serif; }
  .chart > svg { grid-area: 2 / 1; } .chart > .names { display: block; position: sticky; left: 0; min-width: 0;
  width: calc(880px * var(--share)); background: var(--ripieno-paper); box-shadow: 1px 0 var(--line); align-self: start;
  clip-path: inset(var(--top) -1px 0 0); }
  tbody th, thead th:first-child { position: sticky; left: 0; background: var(--card); } thead th:first-child { background: var(--band); }
  tbody th { max-width: 40vw; } }
@page { size: A4; margin: 12mm 13mm; }
@media print { :root { --page: #fff; --ink: #000; --soft: #444; --line: #bbb; --band: #eee; --card: #fff; --ripieno-paper: #fff;
  --ripieno-ink: #000; } body { font-size: 10.5pt; } nav { display: none; } .wide { overflow: visible; border: 0; }
  .wide svg { min-width: 0; max-width: 100%; } .notes > svg { max-width: 100% !important; height: auto; } table { font-size: 7.5pt; }
  th, td, thead th, td.n, th.n, td.s, td.t, td.p, td.a, tbody th { white-space: normal; min-width: 0; padding: 3px 5px; overflow-wrap: normal;
  hyphens: auto; } .source { font-size: 6.5pt; } code { font-size: 7pt; overflow-wrap: anywhere; } tbody th.b, th.s, .s:has(.to-bar) { white-space: nowrap; }
  thead { display: table-header-group; } tr, figure, h2, h3, h4 { break-inside: avoid; } h2, h3, h4 { break-after: avoid; }
  details:not([open]), .on-screen { display: none; } section:has(> #notices):not(:has(table)),
  section:has(> #settings, > #tables):not(:has(> [open])) { display: none; } h2 { margin: 18px 0 4px; padding-top: 6px; font-size: 15pt; }
  h3 { margin: 8px 0 2px; font-size: 11pt; } figure { margin: 4px 0; } p, ul { margin: 3px 0; } li { margin: 1px 0; }
  .chart > .names { display: none; } h1 { font-size: 18pt; margin: 0; } header { padding-top: 0; }
  figure:has(+ .systems) { height: 0; margin: 0; overflow: hidden; } .systems { display: block; }
  .systems > svg { display: block; width: 100%; break-inside: avoid; }
  .setting, .setting + section:not(.setting) { break-before: page; }
  .chart > svg { max-height: 78mm; width: auto; margin: 0 auto; } .chart:has(> .names) > svg { max-height: 225mm; }
  section:has(> #comparison) .chart > svg { max-height: 170mm; width: 100%; }
  dl { display: block; margin: 2px 0; font-size: 8.5pt; } dt, dd { display: inline; } dt::after { content: " "; white-space: pre; } dd::after { content: " · "; white-space: pre; } dd:last-of-type::after { content: ""; }
  .key { columns: 2; column-gap: 8mm; } .key dt:not(:first-child)::before { content: "\\a"; white-space: pre; } .key dd::after { content: ""; }
  .wide:has(table):not(:has(tr:nth-child(9))) { break-inside: avoid; }
  p, ul { max-width: none; font-size: 9.5pt; line-height: 1.35; } .caution { padding: 0 0 0 8px; }
  header, main, footer { max-width: none; padding-left: 0; padding-right: 0; } }
`.trim();
