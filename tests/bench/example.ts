/** The sheet that is measured: a well with a traverse of 20 points, all findings in force. */
import { readFileSync } from 'node:fs'
import type { Context, Sheet } from '@liftledger/calc'
import { Liftledger } from '@liftledger/sdk'

const golden = JSON.parse(readFileSync(new URL('../golden/2026-1/SHEET-01.json', import.meta.url), 'utf8')) as {
  sheet: Sheet
  context: Context
}

export const { sheet, context } = golden
export const sheetText = JSON.stringify(sheet)

/** Plants of a load: a firm visits one once in years, so that the tests that come together are of many. */
const PLANTS = 500

/** The same visit at each of many plants that are alike, which are registered with the service: bodies to be sent in turn. */
export async function bodiesOfPlants({ url, key }: { readonly url: string; readonly key: string }): Promise<string[]> {
  const { plants } = new Liftledger({ baseUrl: url, apiKey: key })
  const { revision: _made, ...equipment } = context.plant.equipment!
  const codes = Array.from({ length: PLANTS }, (_, n) => `L-${String(n + 1).padStart(4, '0')}`)
  for (let at = 0; at < codes.length; at += 20) {
    const some = codes.slice(at, at + 20)
    await Promise.all(some.map((code) => plants.create({ ...context.plant, code, equipment } as NewPlant)))
  }
  return codes.map((code) => JSON.stringify({ ...sheet, plant: code }))
}

type NewPlant = Parameters<Liftledger['plants']['create']>[0]
