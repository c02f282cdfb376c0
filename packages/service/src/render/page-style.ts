/** How pages look on a phone, on a screen and on paper, in the colours of the reader's system. */
import { createHash } from 'node:crypto'

export const STYLE = `
:root { color-scheme: light dark; --ink: #1c2329; --paper: #fdfdfb; --line: #c9ced2; --quiet: #56616b; }
@media (prefers-color-scheme: dark) { :root { --ink: #e6e9eb; --paper: #15191c; --line: #3c454c; --quiet: #a3adb5; } }
@page { margin: 16mm 15mm 18mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 46rem; padding: 1rem; font: 1rem/1.5 system-ui, sans-serif; color: var(--ink); background: var(--paper); overflow-wrap: anywhere; }
h1 { font-size: 1.5rem; line-height: 1.25; margin: 0 0 .5rem; }
.code { display: inline-block; max-width: 100%; }
h2 { font-size: 1.15rem; margin: 2rem 0 .5rem; border-bottom: 1px solid var(--line); }
h3 { font-size: 1rem; margin: 0 0 .2rem; }
.parts section { margin-bottom: 1.2rem; }
a { color: inherit; text-decoration-color: var(--quiet); text-underline-offset: .15em; }
dl.facts { display: grid; grid-template-columns: minmax(6rem, max-content) 1fr; gap: 0 1rem; margin: 0 0 1rem; color: var(--quiet); }
dl.facts dd { margin: 0; }
.answer p { font-size: 1.1rem; margin: .5rem 0; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem .3rem 0; border-bottom: 1px solid var(--line); }
th[scope=row] { font-weight: normal; width: 42%; }
.proof td { font-family: ui-monospace, monospace; font-size: .85rem; }
p.formula { font-size: 1.1rem; margin-bottom: 0; }
ul { padding-left: 1.2rem; }
li { margin: .35rem 0; }
.quiet { color: var(--quiet); }
h1, h2, h3, p, li, dt, dd, th, td { unicode-bidi: isolate; }
.whole { white-space: nowrap; }
@media (max-width: 34rem) {
  table.figures thead { position: absolute; clip-path: inset(50%); }
  table.figures tr { display: block; padding: .35rem 0; border-bottom: 1px solid var(--line); }
  table.figures th, table.figures td { display: block; border: 0; padding: 0; }
  table.figures th[scope=row] { width: auto; color: var(--quiet); }
  table.figures td + td::before { content: "95 %: "; }
}
@media print {
  :root { --ink: #000; --paper: #fff; --line: #999; --quiet: #333; }
  html { font-size: 10pt; }
  body { max-width: none; padding: 0; line-height: 1.4; orphans: 3; widows: 3; }
  h2, h3, thead, h2 + .quiet, p:has(+ ul) { break-after: avoid; }
  tr, li, dl.facts, .parts section, .proof { break-inside: avoid; }
  .parts { columns: 2; column-gap: 8mm; }
  h2 { margin-top: 1.4rem; }
  th, td { padding: .18rem .5rem .18rem 0; }
  a { text-decoration: none; }
}
`

/** What a page may do: show its own style. */
export const PAGE_POLICY = `default-src 'none'; style-src 'sha256-${createHash('sha256').update(STYLE).digest('base64')}'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'`
