/** docs/safety-review.md: what was read, line by line, and when. */
import { CAUTIONS_OF_REPORTS, catalogue } from '@liftledger/calc'
import { defersTo, LINES, type Line, ON_PAPER, touchedBy } from './lines.ts'

const HEAD = `# Messages read for what they ask

Every remedy of a finding was read beside the cautions ([method/cautions.md](method/cautions.md)): none asks an untrained
person for an act that can hurt. Where a line touches a live panel, moving parts, pipes under pressure, a well, fuel, gas
or open water, it names who may do it or stays outside, or it is shown with the cautions named here, in reports and at
\`/v1/method/findings\`. A reading left out as unsafe is asked for by none: its finding then has nothing more to ask
(\`leftOut\`, reason \`unsafe\`). Law, local codes and licensed practice come first; no safety professional has read these
lines yet, and they need that before they are printed on anything official.

\`node tests/safety/review.ts DATE\` writes this page once the lines that changed were read. A test fails while a line of
the catalogue does not stand here as it is.
`

const cell = (text: string): string => text.replaceAll('|', '\\|')

/** The row of a line, without which the line was not read. */
export function rowOf(line: Line): string {
  const touched = touchedBy(line)
  const names = touched.map(({ name }) => name).join('; ')
  const deferred = [...new Set(touched.map((danger) => defersTo(line, danger)).filter((one) => one !== undefined))]
  const to = ON_PAPER.has(line.id) ? 'asks for nothing at the plant' : deferred.join('; ')
  return `| \`${line.id}\` | ${cell(line.text)} | ${names} | ${touched.length === 0 ? '' : cell(to)} |`
}

const ADVICE = `## Advice

Advice ranks readings by their share of the uncertainty. One that is read in a panel carries \`needsQualifiedStaff\`, and
\`offerFirst: time-utility-meter\`: in reports and in the demo it is told as a reading for qualified staff only, with the
utility meter timed from outside offered first. The actions are \`repeat\`, \`certify\`, \`better-instrument\` and \`measure\`; none
names an act in itself.

## Cautions and reports

${catalogue.cautions.length} cautions, as they stand in [method/cautions.md](method/cautions.md); they warn and do not
instruct. Each report ends with:

${CAUTIONS_OF_REPORTS.map((line) => `- ${line}\n`).join('')}`

const table = (title: string, lines: readonly Line[]): string =>
  `## ${title}\n\n| Finding | What it asks | Touches | Defers to |\n| --- | --- | --- | --- |\n${lines.map(rowOf).join('\n')}\n`

export function reviewPage(date: string): string {
  const touching = LINES.filter((line) => touchedBy(line).length > 0)
  const others = LINES.filter((line) => touchedBy(line).length === 0)
  return [
    HEAD,
    `Last read: ${date}. ${LINES.length} lines, of which ${touching.length} touch something that can hurt.\n`,
    table('Lines that touch something that can hurt', touching),
    table('All others', others),
    ADVICE,
  ].join('\n')
}
