/** The report as plain text. */
import { linesOf } from '../render/lines.ts'
import type { Report } from './report.ts'

const underlined = (text: string, line: string): string => `${text}\n${line.repeat(text.length)}\n`
const WIDTH = 92

/** Lines of at most 92 characters, indented after the first. */
const folded = (text: string, indent = ''): string => `${linesOf(text, WIDTH - indent.length).join(`\n${indent}`)}\n`

const columns = (rows: readonly (readonly string[])[]): string => {
  const widths = (rows[0] ?? []).map((_, n) => Math.max(...rows.map((row) => row[n]!.length)))
  return rows
    .map((row) => `${row.map((cell, n) => (n === row.length - 1 ? cell : cell.padEnd(widths[n]! + 2))).join('')}\n`)
    .join('')
}

export function reportText(report: Report): string {
  const parts = [
    underlined(report.title, '='),
    columns(report.facts),
    report.answer.map((sentence) => folded(sentence)).join('\n'),
    ...report.runs.map(
      ({ title, figures, notReported }) =>
        underlined(title, '-') +
        columns([
          ['Quantity', 'Value', '95 % interval'],
          ...figures.map(({ label, value, interval }) => [label, value, interval]),
        ]) +
        (notReported.length === 0
          ? ''
          : `\nNot reported\n${notReported.map((line) => folded(`- ${line}`, '  ')).join('')}`),
    ),
    underlined('Findings', '-') +
      (report.findings.length === 0
        ? 'None.\n'
        : report.findings
            .map(({ weight, where, message, remedy }) => folded(`- ${weight} (${where}): ${message} ${remedy}`, '  '))
            .join('')),
    underlined('Readings, as they were taken', '-') +
      (report.readings.note === undefined ? '' : folded(report.readings.note)) +
      report.readings.parts
        .map(
          ({ title, lines }) =>
            `\n${title}\n${lines.map((line) => folded(`  ${line.label}: ${line.value}`, '    ')).join('')}`,
        )
        .join(''),
    underlined('Cautions', '-') +
      report.cautions.map(({ title, text }) => folded(`- ${title}. ${text}`, '  ')).join(''),
    underlined('What these figures are', '-') + report.closing.map((line) => folded(`- ${line}`, '  ')).join(''),
    underlined('To verify it', '-') + columns(report.proof),
  ]
  return parts.join('\n')
}
