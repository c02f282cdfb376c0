import { readFileSync } from 'node:fs'
import { editions, evaluate, fromSi, quantities, toSi, traceQuantity } from '@liftledger/calc'
import { type ExpectedResult, goldenCases } from '@liftledger/calc/testing'
import { describe, expect, test } from 'vitest'
import { evaluationHash, type FrozenHashes } from './hashes.ts'

const RELATIVE = 1e-6

/** A value in SI, in the unit that was expected. */
function inUnit(value: number, { quantity, unit }: ExpectedResult): number {
  // Money for a volume: the volume is below the stroke.
  if (quantity === 'cost-per-volume') return value * toSi({ value: 1, unit: unit.slice(4) }, 'volume')
  return fromSi(value, unit, quantities[quantity].dimension)
}

describe.each(editions)('the golden corpus under edition $id', (edition) => {
  const cases = goldenCases(edition.id)
  const { hashes, released } = JSON.parse(
    readFileSync(new URL(`${edition.id}/hashes.json`, import.meta.url), 'utf8'),
  ) as FrozenHashes

  test('every case has a hash and every hash a case', () => {
    expect(Object.keys(hashes)).toEqual(cases.map(({ id }) => id))
  })

  describe.each(cases)('$id: $title', (golden) => {
    const { sheet, context, expected, honest } = golden
    const evaluation = evaluate(sheet, context, edition)
    const raised = evaluation.findings.map(({ id }) => id)

    test.each(expected.results.map((row) => [row.quantity, row.unit, row] as const))('%s in %s', (_, __, row) => {
      const result = evaluation.results.find(({ quantity, run }) => quantity === row.quantity && run === row.run)
      // A finding may withhold what a faulty sheet gives; an honest one keeps all its results.
      if (result === undefined) expect(honest).toBe(false)
      const { quantity, run } = row
      const computed = result ?? traceQuantity(sheet, context, edition, { quantity, run })!
      const value = inUnit(computed.value, row)
      expect(Math.abs(value / row.value - 1)).toBeLessThan(RELATIVE)
    })

    test('the hand check is as expected, and within 0.15 % of the exact figure', () => {
      const exact = evaluation.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')
      const [check] = evaluation.handChecks
      if (exact === undefined) {
        expect(honest).toBe(false)
        expect(check).toBeUndefined()
        return
      }
      // Written with six decimals.
      expect(Math.abs(check!.atExactHead - expected.handCheck)).toBeLessThan(5.001e-7)
      expect(Math.abs(check!.atExactHead / exact.value - 1)).toBeLessThan(0.0015)
    })

    test('raises what it must', () => {
      expect(raised).toEqual(expect.arrayContaining([...expected.mustRaise]))
    })

    if (honest)
      test('is sound: no reject, no hold', () => {
        const grave = evaluation.findings.filter(({ severity }) => severity === 'reject' || severity === 'hold')
        expect(grave).toEqual([])
        expect(evaluation.soundness).toBe('sound')
      })
    else if (expected.raisedFromOtherTests.length === 0)
      test('is not sound', () => {
        expect(evaluation.soundness).not.toBe('sound')
      })
    // Copied readings are as believable as the originals; only the other tests of the firm show them.
    else
      test(`is betrayed by other tests only: ${expected.raisedFromOtherTests.join(', ')}`, () => {
        for (const id of expected.raisedFromOtherTests) expect(raised).not.toContain(id)
      })

    test('evaluates to the frozen bytes', () => {
      const remedy = released
        ? 'The edition is released: its numbers never change. Open a new edition for the change.'
        : `The edition is not released yet: if the change is meant, run "node tests/golden/freeze.ts ${edition.id}".`
      expect(evaluationHash(golden, edition.id), remedy).toBe(hashes[golden.id])
    })
  })
})
