/** A quantity as a page: its formulas in full, so that who clicks on a figure of a report needs no second page. */
import { catalogue } from '@liftledger/calc'
import { html } from 'hono/html'
import { pageFrame } from '../render/page-frame.ts'
import { unitInWords } from '../render/units.ts'

const inUnit = (unit: string): string => (unit === '1' ? 'a ratio' : `in ${unitInWords(unit)}`)

type Formula = (typeof catalogue.formulas)[number]

const formulaPart = ({ id, title, expression, unit, inputs, validity, source }: Formula) => html`<section>
<h2 id="${id}">${title}</h2>
<p class="formula">${expression}</p>
<p class="quiet">${inUnit(unit)}</p>
<table class="pairs"><tbody>${inputs.map((input) => html`<tr><th scope="row">${input.symbol}</th><td>${input.means}, ${inUnit(input.unit)}</td></tr>`)}</tbody></table>
<p>Holds: ${validity ?? 'everywhere its inputs have values.'}</p>
<p>Source: ${source.document}, ${source.place} (${source.basis}).</p>
</section>`

/** Undefined where the method has no such quantity. */
export function quantityPage(id: string): string | undefined {
  const quantity = catalogue.quantities.find((one) => one.id === id)
  if (quantity === undefined) return undefined
  const { title, unit, us, metric, formulas } = quantity
  const own = catalogue.formulas.filter((formula) => formulas.includes(formula.id))
  return pageFrame(
    title,
    html`<header>
<h1>${title}</h1>
<p>Computed ${unit === '1' ? 'as a ratio' : inUnit(unit)}, shown ${[...new Set([us, metric])].map(inUnit).join(' or ')}. ${formulas.includes('reading') ? 'It may be read itself. ' : ''}${own.length > 1 ? 'How it was measured decides which of these formulas it comes from; g is standard gravity, 9.80665 m/s².' : 'g is standard gravity, 9.80665 m/s².'}</p>
${own.length > 1 ? html`<ul>${own.map((formula) => html`<li><a href="#${formula.id}">${formula.title}</a></li>`)}</ul>` : ''}
</header>
<main>
${own.map(formulaPart)}
</main>`,
  )
}
