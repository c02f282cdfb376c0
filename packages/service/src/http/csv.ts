/** Tables as CSV (RFC 4180), safe to open in a spreadsheet; and answers that are JSON or such a table. */
import type { FastifyReply } from 'fastify'

export const CSV = 'text/csv'
/** Forms that a table is offered in; who has no preference gets JSON. */
export const TABLE_FORMS = ['application/json', CSV] as const

/** Answers in the form that was accepted. */
export const sendTable = (
  reply: FastifyReply,
  form: (typeof TABLE_FORMS)[number],
  answer: object,
  table: () => string,
): FastifyReply =>
  form === CSV
    ? reply.type(`${CSV}; charset=utf-8; header=present`).send(table())
    : reply.type('application/json; charset=utf-8').send(answer)

export type Cell = string | number | undefined

/** A cell that begins like this is run as a formula by spreadsheets, unless it is a number. */
const FORMULA = /^[=+\-@\t\r]/
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/

function cell(value: Cell): string {
  if (value === undefined) return ''
  const plain = String(value)
  const text = FORMULA.test(plain) && !NUMBER.test(plain) ? `'${plain}` : plain
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}

/** Header line and rows, each ended by CR LF; an absent value is an empty cell. */
export function toCsv<Row extends object>(columns: readonly (keyof Row & string)[], rows: readonly Row[]): string {
  const lines = [columns.map(cell), ...rows.map((row) => columns.map((column) => cell(row[column] as Cell)))]
  return lines.map((line) => `${line.join(',')}\r\n`).join('')
}
