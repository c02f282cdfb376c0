/** docs/method: the method for engineers to read, written from the declarations in the calculation. */
import { CAUTIONS_OF_REPORTS, catalogue } from '@liftledger/calc'

type Source = (typeof catalogue.formulas)[number]['source']

const HEAD = '<!-- Written by `npm run generate` from packages/calc; a change here is lost. -->\n\n'
const DEFER =
  '> Readings are taken beside machines that can hurt. The [cautions](cautions.md) warn and do not instruct; law, local ' +
  'codes and licensed practice come first.\n\n'

const cell = (text: string | number): string => String(text).replaceAll('|', '\\|').replaceAll('\n', ' ')
const row = (...cells: (string | number)[]): string => `| ${cells.map(cell).join(' | ')} |\n`
const table = (head: readonly string[], rows: readonly string[]): string =>
  `${row(...head)}${row(...head.map(() => '---'))}${rows.join('')}\n`
const sourceOf = ({ document, place, basis }: Source): string => `${document}, ${place} (${basis})`
const link = (page: string, id: string): string => `[${id}](${page}.md#${id})`
const links = (page: string, ids: readonly string[]): string => ids.map((id) => link(page, id)).join(', ')
/** A heading whose anchor is the id itself. */
const heading = (id: string, title: string): string => `## <a id="${id}"></a>${title}\n\n\`${id}\`\n\n`

function quantitiesPage(): string {
  const rows = catalogue.quantities.map(({ id, title, unit, us, metric, formulas }) =>
    row(
      `<a id="${id}"></a>${title}`,
      `\`${id}\``,
      unit,
      us,
      metric,
      formulas.map((formula) => (formula === 'reading' ? 'read itself' : link('formulas', formula))).join(', '),
    ),
  )
  return `# Quantities\n\nWhat is reported, and the formulas it comes from.\n\n${table(
    ['Quantity', 'Id', 'SI', 'US customary', 'Metric', 'Formulas'],
    rows,
  )}`
}

function formulasPage(): string {
  const parts = catalogue.formulas.map(({ id, title, expression, unit, inputs, validity, source, usedBy }) => {
    const made = catalogue.quantities.filter(({ formulas }) => formulas.includes(id)).map((quantity) => quantity.id)
    const meanings = inputs.map(({ name, symbol, means, unit, list }) =>
      row(symbol, means, `\`${name}\``, list ? `${unit}, a list` : unit),
    )
    return (
      `${heading(id, title)}**${expression}** in ${unit}\n\n` +
      table(['Symbol', 'What it is', 'Input', 'Unit'], meanings) +
      `Holds: ${validity ?? 'everywhere its inputs have values.'}\n\n` +
      `Source: ${sourceOf(source)}.\n` +
      (made.length === 0 ? '' : `\nGives: ${links('quantities', made)}.\n`) +
      (usedBy.length === 0 ? '' : `\nUsed by: ${links('methods', usedBy)}.\n`)
    )
  })
  return `# Formulas\n\nEach is one step of a trace, under the same id; values are in SI and never rounded between. g is standard gravity, 9.80665 m/s².\n\n${parts.join('\n')}`
}

function methodsPage(): string {
  const parts = catalogue.methods.map(
    ({ id, of, title, formulas, source, cautions }) =>
      `${heading(id, title)}Measures ${of}. Formulas: ${links('formulas', formulas)}.\n\n` +
      `Cautions: ${links('cautions', cautions)}.\n\nSource: ${sourceOf(source)}.\n`,
  )
  return `# Ways to measure\n\n${DEFER}${parts.join('\n')}`
}

function findingsPage(): string {
  const partsOf = (ofRecord: boolean): string =>
    catalogue.findings
      .filter(({ decidedFrom }) => (decidedFrom === 'record') === ofRecord)
      .map(findingPart)
      .join('\n')
  return (
    `# Findings\n\nWhat is asked of every sheet. A \`reject\` makes a test unsound, a \`hold\` waits for a person, a \`caution\` and a \`note\` are listed.\n\n${DEFER}${partsOf(false)}\n` +
    '# Decided from the record\n\nWhat other tests on record show of a test: of its plant, its tester, its readings, and ' +
    'the version that it revises. Nothing here changes a result or keeps one back. A firm reads nothing of tests of ' +
    `another firm in it.\n\n${partsOf(true)}`
  )
}

const findingPart = ({
  id,
  group,
  severity,
  rule,
  why,
  remedy,
  limits,
  withholds,
  cautions,
  source,
}: (typeof catalogue.findings)[number]): string =>
  `## <a id="${id}"></a>${id}\n\n${rule} **${severity}**, ${group}.\n\n${why}\n\nTo do: ${remedy}\n\n` +
  (cautions.length === 0 ? '' : `Cautions: ${links('cautions', cautions)}.\n\n`) +
  (limits.length === 0 ? '' : `Limits: ${limits.map((name) => `\`${name}\``).join(', ')}.\n\n`) +
  (withholds.length === 0 ? '' : `Not reported while it stands: ${links('quantities', withholds)}.\n\n`) +
  `Source: ${sourceOf(source)}.\n`

function unitsPage(): string {
  const parts = catalogue.units.map(
    ({ dimension, si, units }) =>
      `## ${dimension}\n\nComputed in ${si}.\n\n${table(
        ['Unit', 'UCUM', `Size in ${si}`],
        units.map(({ symbol, ucum, factor, offset }) =>
          row(
            symbol,
            ucum ?? '',
            offset === undefined ? factor : `(value ${offset < 0 ? '−' : '+'} ${Math.abs(offset)}) × ${factor}`,
          ),
        ),
      )}`,
  )
  return `# Units\n\nExact sizes, from the definitions of inch, pound, US gallon and standard gravity (NIST Special Publication 811, appendix B.8, 2008).\n\n${parts.join('')}`
}

function cautionsPage(): string {
  const parts = catalogue.cautions.map(({ id, title, text }) => `${heading(id, title)}${text}\n`)
  return (
    '# Cautions\n\nThey warn and do not instruct. Law, local codes, the owner’s rules and licensed practice come first; ' +
    'nothing here certifies that a plant, an electrical installation or a well is safe. No safety professional has ' +
    `checked these words yet.\n\n${parts.join('\n')}\n## On every report\n\n${CAUTIONS_OF_REPORTS.map((text) => `- ${text}\n`).join('')}`
  )
}

function editionPage({
  id,
  inForceFrom,
  settings,
  defaults,
  limits,
  findings,
}: (typeof catalogue.editions)[number]): string {
  return (
    `# Method edition ${id}\n\nIn force from ${inForceFrom}.\n\n## Settings\n\n` +
    table(
      ['Setting', 'Value'],
      settings.map(({ name, value }) => row(`\`${name}\``, value)),
    ) +
    '## Uncertainties where no certificate says better\n\n' +
    table(
      ['Default', 'What', 'Amount', 'Shape', 'Source'],
      defaults.map((one) =>
        row(`\`${one.name}\``, one.title, `${one.value} ${one.unit}`, one.shape, sourceOf(one.source)),
      ),
    ) +
    '## Limits of findings\n\n' +
    table(
      ['Limit', 'What', 'Value', 'Source'],
      limits.map((one) => row(`\`${one.name}\``, one.title, `${one.value} ${one.unit}`, sourceOf(one.source))),
    ) +
    `## Findings in force\n\n${findings.length}: ${links('findings', findings)}.\n`
  )
}

function startPage(): string {
  const { formulas, quantities, methods, findings, editions } = catalogue
  return (
    '# The method\n\nFrom readings at a pumping plant to results with uncertainty. From a result to its formula it is two ' +
    'steps: the [quantity](quantities.md), then the formula. The same as data: `GET /v1/method/quantities/{id}`, ' +
    '`GET /v1/method/formulas/{id}`.\n\n' +
    `- [Quantities](quantities.md): ${quantities.length} that are reported\n` +
    `- [Formulas](formulas.md): ${formulas.length}, each with expression, symbols, validity and source\n` +
    `- [Ways to measure](methods.md): ${methods.length}, of flow, level and power\n` +
    `- [Findings](findings.md): ${findings.length}\n` +
    '- [Units](units.md)\n- [Cautions](cautions.md)\n' +
    editions.map(({ id }) => `- [Edition ${id}](edition-${id}.md): settings, uncertainties, limits\n`).join('')
  )
}

/** Each page by its path. */
export function methodPages(): Record<string, string> {
  const pages: Record<string, string> = {
    README: startPage(),
    quantities: quantitiesPage(),
    formulas: formulasPage(),
    methods: methodsPage(),
    findings: findingsPage(),
    units: unitsPage(),
    cautions: cautionsPage(),
    ...Object.fromEntries(catalogue.editions.map((edition) => [`edition-${edition.id}`, editionPage(edition)])),
  }
  return Object.fromEntries(Object.entries(pages).map(([name, text]) => [`docs/method/${name}.md`, HEAD + text]))
}
