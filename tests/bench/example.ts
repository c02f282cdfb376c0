/** The sheet that is measured: a well with a traverse of 20 points, all findings in force. */
import { readFileSync } from 'node:fs'
import type { Context, Sheet } from '@liftledger/calc'

const golden = JSON.parse(readFileSync(new URL('../golden/2026-1/SHEET-01.json', import.meta.url), 'utf8')) as {
  sheet: Sheet
  context: Context
}

export const { sheet, context } = golden
export const sheetText = JSON.stringify(sheet)
