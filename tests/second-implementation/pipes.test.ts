/** Flow in pipes beside an implementation of its own, written in another language from the text of the method. */
import { readFileSync } from 'node:fs'
import { type Context, evaluate, latestEdition, type QuantityId, type Sheet, sheetProblems } from '@liftledger/calc'
import { expect, test } from 'vitest'

interface Case {
  readonly id: string
  readonly sheet: Sheet
  readonly expected: readonly {
    readonly quantity: QuantityId
    readonly value: number
    readonly standardUncertainty: number
  }[]
}

const { cases } = JSON.parse(readFileSync(new URL('pipes.json', import.meta.url), 'utf8')) as {
  readonly cases: readonly Case[]
}

const context: Context = {
  plant: { code: 'AM-90', kind: 'well' },
  tester: { code: 'T-09', qualifications: [] },
  instruments: [],
}

/** Relative. */
const WITHIN = 1e-9

test('there are enough sheets to speak of', () => {
  expect(cases.length).toBeGreaterThanOrEqual(10)
  expect(new Set(cases.map(({ id }) => id)).size).toBe(cases.length)
})

test.each(cases.map((one) => [one.id, one] as const))('%s comes out the same to 1e-9', (_, { sheet, expected }) => {
  expect(sheetProblems(sheet)).toEqual([])
  const { results } = evaluate(sheet, context, latestEdition)
  expect(expected.length).toBeGreaterThan(0)
  for (const { quantity, value, standardUncertainty } of expected) {
    const result = results.find((one) => one.quantity === quantity)
    expect(result, quantity).toBeDefined()
    expect(Math.abs(result!.value / value - 1), `${quantity}: ${result!.value}, not ${value}`).toBeLessThan(WITHIN)
    const ratio = result!.standardUncertainty / standardUncertainty
    expect(
      Math.abs(ratio - 1),
      `uncertainty of ${quantity}: ${result!.standardUncertainty}, not ${standardUncertainty}`,
    ).toBeLessThan(WITHIN)
  }
})
