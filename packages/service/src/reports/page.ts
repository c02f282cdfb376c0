/** The report as a page: one file, no script, nothing fetched; readable on a phone and on paper. */
import { createHash } from 'node:crypto'
import { html, raw } from 'hono/html'
import type { Report } from './report.ts'

const STYLE = `
:root { color-scheme: light dark; --ink: #1c2329; --paper: #fdfdfb; --line: #c9ced2; --quiet: #56616b; }
@media (prefers-color-scheme: dark) { :root { --ink: #e6e9eb; --paper: #15191c; --line: #3c454c; --quiet: #a3adb5; } }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 46rem; padding: 1rem; font: 1rem/1.5 system-ui, sans-serif; color: var(--ink); background: var(--paper); overflow-wrap: anywhere; }
h1 { font-size: 1.5rem; line-height: 1.25; margin: 0 0 .5rem; }
h2 { font-size: 1.15rem; margin: 2rem 0 .5rem; border-bottom: 1px solid var(--line); }
dl.facts { display: grid; grid-template-columns: max-content 1fr; gap: 0 1rem; margin: 0 0 1rem; color: var(--quiet); }
dl.facts dd { margin: 0; }
.answer p { font-size: 1.1rem; margin: .5rem 0; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem .3rem 0; border-bottom: 1px solid var(--line); }
th[scope=row] { font-weight: normal; width: 45%; }
li { margin: .35rem 0; }
.quiet { color: var(--quiet); }
@media (max-width: 34rem) {
  table.figures thead { position: absolute; clip-path: inset(50%); }
  table.figures tr { display: block; padding: .35rem 0; border-bottom: 1px solid var(--line); }
  table.figures th, table.figures td { display: block; border: 0; padding: 0; }
  table.figures td + td::before { content: "95 %: "; }
}
@media print {
  :root { --ink: #000; --paper: #fff; --line: #999; --quiet: #333; }
  body { max-width: none; font-size: 10pt; padding: 0; }
  h2 { break-after: avoid; } tr, li { break-inside: avoid; }
}
`

/** What the page may do: show its own style. */
export const PAGE_POLICY = `default-src 'none'; style-src 'sha256-${createHash('sha256').update(STYLE).digest('base64')}'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'`

export function reportPage({
  title,
  facts,
  answer,
  runs,
  findings,
  readings,
  cautions,
  closing,
  proof,
}: Report): string {
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${raw(STYLE)}</style>
</head>
<body>
<header>
<h1>${title}</h1>
<dl class="facts">${facts.map(([label, value]) => html`<dt>${label}</dt><dd>${value}</dd>`)}</dl>
</header>
<main>
<section class="answer" aria-label="The answer">${answer.map((sentence) => html`<p>${sentence}</p>`)}</section>
${runs.map(
  (run) => html`<section>
<h2>${run.title}</h2>
<table class="figures">
<thead><tr><th scope="col">Quantity</th><th scope="col">Value</th><th scope="col">95 % interval</th></tr></thead>
<tbody>${run.figures.map(({ label, value, interval }) => html`<tr><th scope="row">${label}</th><td>${value}</td><td>${interval}</td></tr>`)}</tbody>
</table>
${run.notReported.length === 0 ? '' : html`<p>Not reported:</p><ul>${run.notReported.map((line) => html`<li>${line}</li>`)}</ul>`}
</section>`,
)}
<section>
<h2>Findings</h2>
${findings.length === 0 ? html`<p>None.</p>` : html`<ul>${findings.map(({ weight, where, message, remedy }) => html`<li><strong>${weight}</strong> <span class="quiet">(${where})</span>: ${message} ${remedy}</li>`)}</ul>`}
</section>
<section>
<h2>Readings, as they were taken</h2>
<table><tbody>${readings.map(({ label, value }) => html`<tr><th scope="row">${label}</th><td>${value}</td></tr>`)}</tbody></table>
</section>
<section>
<h2>Cautions</h2>
<ul>${cautions.map((caution) => html`<li><strong>${caution.title}.</strong> ${caution.text}</li>`)}</ul>
</section>
<section>
<h2>What these figures are</h2>
<ul>${closing.map((line) => html`<li>${line}</li>`)}</ul>
</section>
<section>
<h2>To verify it</h2>
<table><tbody>${proof.map(([label, value]) => html`<tr><th scope="row">${label}</th><td>${value}</td></tr>`)}</tbody></table>
</section>
</main>
</body>
</html>
`
  return String(page)
}
