/** The report as a page: one file, no script, nothing fetched; readable on a phone and on paper. */
import { html } from 'hono/html'
import { pageFrame } from '../render/page-frame.ts'
import type { Report } from './report.ts'

/** The code of the plant goes to the next line as a whole, where it fits there. */
function headline(title: string) {
  const at = title.lastIndexOf(' ') + 1
  return html`${title.slice(0, at)}<span class="code">${title.slice(at)}</span>`
}

/** Longer words may break anywhere, lest they leave a phone's screen. */
const UNBROKEN_MAX = 20

/** A unit like `kWh/acre-ft` is not broken at its hyphen. */
const unbroken = (text: string) =>
  text
    .split(' ')
    .map((word, n) => [
      n === 0 ? '' : ' ',
      word.includes('-') && word.length <= UNBROKEN_MAX ? html`<span class="whole">${word}</span>` : word,
    ])

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
  return pageFrame(
    title,
    html`<header>
<h1>${headline(title)}</h1>
<dl class="facts">${facts.map(([label, value]) => html`<dt>${label}</dt><dd>${value}</dd>`)}</dl>
</header>
<main>
<section class="answer" aria-label="The answer">${answer.map((sentence) => html`<p>${unbroken(sentence)}</p>`)}</section>
${runs.map(
  (run) => html`<section>
<h2>${run.title}</h2>
<table class="figures">
<thead><tr><th scope="col">Quantity</th><th scope="col">Value</th><th scope="col">95 % interval</th></tr></thead>
<tbody>${run.figures.map(({ label, value, interval, explained }) => html`<tr><th scope="row"><a href="${explained}">${label}</a></th><td>${unbroken(value)}</td><td>${unbroken(interval)}</td></tr>`)}</tbody>
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
${readings.note === undefined ? '' : html`<p class="quiet">${readings.note}</p>`}
<div class="parts">
${readings.parts.map(
  (part) => html`<section>
<h3>${part.title}</h3>
<table class="pairs"><tbody>${part.lines.map(({ label, value }) => html`<tr><th scope="row">${label}</th><td>${value}</td></tr>`)}</tbody></table>
</section>
`,
)}</div>
</section>
<section>
<h2>Cautions</h2>
<ul>${cautions.map((caution) => html`<li><strong>${caution.title}.</strong> ${caution.text}</li>`)}</ul>
</section>
<section>
<h2>What these figures are</h2>
<ul>${closing.map((line) => html`<li>${line}</li>`)}</ul>
</section>
<section class="proof">
<h2>To verify it</h2>
<table class="pairs"><tbody>${proof.map(([label, value]) => html`<tr><th scope="row">${label}</th><td>${value}</td></tr>`)}</tbody></table>
</section>
</main>`,
  )
}
