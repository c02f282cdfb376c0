/** The sheet that is measured: a well with a traverse of 20 points, all findings in force. */
import { readFileSync } from 'node:fs'
import type { Context, Sheet } from '@liftledger/calc'
import type { Liftledger } from '@liftledger/sdk'

const golden = JSON.parse(readFileSync(new URL('../golden/2026-1/SHEET-01.json', import.meta.url), 'utf8')) as {
  sheet: Sheet
  context: Context
}

export const { sheet, context } = golden
export const sheetText = JSON.stringify(sheet)

/** The same visit at each of `count` plants that are alike: bodies to be sent in turn, and the plants to be on record. */
export function plantsAlike(count: number): {
  plants: Parameters<Liftledger['plants']['create']>[0][]
  bodies: string[]
} {
  const { plant } = context
  const { revision: _made, ...equipment } = plant.equipment!
  const codes = Array.from({ length: count }, (_, n) => `L-${String(n + 1).padStart(4, '0')}`)
  return {
    plants: codes.map((code) => ({ ...plant, code, equipment }) as Parameters<Liftledger['plants']['create']>[0]),
    bodies: codes.map((code) => JSON.stringify({ ...sheet, plant: code })),
  }
}
