/** The look of the listening page: light and dark, wide and narrow. */
import { DARK_COLOURS, NOTE_COLOURS } from "../drawing/theme.ts";

const DARK_CHARTS = Object.entries(DARK_COLOURS).map(([name, colour]) => `${name}: ${colour};`).join(" ");
const notes = (which: 0 | 1) =>
  Object.entries(NOTE_COLOURS).map(([role, colours]) => `--note-${role}: ${colours[which]};`).join(" ");
const rows = Object.keys(NOTE_COLOURS).map((role) =>
  `#lines .${role} .notes g { fill: var(--note-${role}); }`
).join("\n");

export const LISTENING_STYLE = `
:root { color-scheme: light dark; --page: #fbfaf7; --ink: #1d1e24; --soft: #55575f; --line: #cfcdc5; --card: #ffffff;
  --accent: #981230; --on-accent: #ffffff; --ripieno-paper: #ffffff; --ripieno-ink: #1d1e24; ${notes(0)} }
@media (prefers-color-scheme: dark) { :root { --page: #16181d; --ink: #e7e6e1; --soft: #b4b6be; --line: #4a4e58; --card: #1f222a;
  --accent: #ff8fa3; --on-accent: #2b0310; ${DARK_CHARTS} ${notes(1)} } }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; scroll-padding-top: 9em; }
body { margin: 0; background: var(--page); color: var(--ink); font: 17px/1.5 Charter, "Iowan Old Style", Georgia, "DejaVu Serif", serif; }
header, main, footer { max-width: 980px; margin: 0 auto; padding: 0 20px; }
header { padding-top: 28px; } footer { padding: 16px 20px 48px; color: var(--soft); font-size: 15px; }
h1 { font-size: 32px; line-height: 1.15; margin: 0; } h2 { font-size: 22px; margin: 34px 0 8px; } h3 { font-size: 18px; margin: 0; }
.by { color: var(--soft); margin: 4px 0 10px; } p { margin: 8px 0; max-width: 66ch; }
#here { position: sticky; top: 0; z-index: 2; background: var(--page); border-bottom: 2px solid var(--ink); padding: 10px 0 12px; }
.row { display: flex; flex-wrap: wrap; gap: 8px 16px; align-items: center; max-width: none; }
fieldset { border: 0; margin: 0 0 8px; padding: 0; display: flex; flex-wrap: wrap; gap: 2px 18px; }
legend { float: left; margin-right: 18px; color: var(--soft); padding: 6px 0; } fieldset label { padding: 6px 0; }
input[type=radio] { width: 1.15em; height: 1.15em; vertical-align: -2px; accent-color: var(--accent); }
input[type=range] { flex: 1 1 180px; min-width: 120px; accent-color: var(--accent); height: 32px; }
button { font: inherit; color: var(--ink); background: var(--card); border: 1.5px solid var(--ink); border-radius: 4px;
  padding: 6px 14px; min-height: 40px; cursor: pointer; }
button:hover { border-color: var(--accent); color: var(--accent); }
:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
#listen { background: var(--accent); color: var(--on-accent); border-color: var(--accent); min-width: 10em; font-weight: 600; }
#place { min-width: 11em; font-weight: 600; } label[for=bar] { color: var(--soft); }
#passages, #guesses { display: flex; flex-wrap: wrap; gap: 8px; }
#passages [aria-current] { border-width: 3px; font-weight: 600; padding: 4.5px 12.5px; }
#lines { list-style: none; margin: 12px 0 0; padding: 0; display: grid; gap: 16px; grid-template-columns: repeat(auto-fill, minmax(285px, 1fr)); }
#lines li { background: var(--card); border: 1px solid var(--line); border-radius: 8px; padding: 14px 16px; display: flex; flex-direction: column; gap: 8px; }
#lines li[hidden] { display: none; }
.about { display: grid; grid-template-columns: 24px 1fr; gap: 0 10px; align-items: center; } .sign { width: 24px; height: 16px; }
.who, .what { grid-column: 2; font-size: 15px; line-height: 1.35; } .what { color: var(--soft); }
.notes { height: 60px; } .notes svg { width: 100%; height: 60px; display: block; }
.bar-line { stroke: var(--line); stroke-width: 1; vector-effect: non-scaling-stroke; } .bar-now { fill: var(--accent); opacity: 0.16; }
.do { display: flex; gap: 8px; flex-wrap: wrap; margin-top: auto; } .do button { flex: 1 1 auto; }
#lines .away { background: transparent; border-style: dashed; } .away h3, .away .who, .away .what { text-decoration: line-through; color: var(--soft); } .away .notes { opacity: 0.28; }
${rows}
#figures { display: grid; grid-template-columns: 1fr 1fr; gap: 24px; } .how, small { color: var(--soft); font-size: 15px; font-weight: 400; }
.gauge { position: relative; height: 16px; background: var(--card); border: 1px solid var(--line); margin: 8px 0; }
.gauge .left { position: absolute; inset: 0 auto 0 0; background: var(--accent); transition: width 0.2s; }
.gauge .all { position: absolute; top: -5px; bottom: -5px; width: 3px; margin-left: -1.5px; background: var(--ink); outline: 1px solid var(--page); }
#walk { border-left: 4px solid var(--accent); padding: 2px 0 4px 16px; margin-top: 12px; } #question { font-weight: 600; }
#question:focus { outline: 0; } #end-walk { margin-top: 12px; }
#notation { overflow-x: auto; background: var(--ripieno-paper); border: 1px solid var(--line); min-height: 120px; padding: 6px; }
#notation svg { max-width: none; display: block; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
@media (max-width: 760px) { body { font-size: 16px; } h1 { font-size: 26px; } header, main, footer { padding-left: 14px; padding-right: 14px; }
  #figures { grid-template-columns: 1fr; gap: 12px; } #place { min-width: 0; flex: 1 1 9em; }
  label[for=bar] { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); } legend { float: none; padding: 0; } }
@media (prefers-reduced-motion: reduce) { .gauge .left { transition: none; } }
@media print { #here { position: static; } button { display: none; } }
`.trim();
