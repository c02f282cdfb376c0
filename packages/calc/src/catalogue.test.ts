import { describe, expect, test } from 'vitest'
import { catalogue } from './catalogue.ts'
import { editionById } from './editions/list.ts'
import { evaluate } from './evaluate.ts'
import { goldenCases } from './testing.ts'
import { traceQuantity } from './trace.ts'

const formulaIds = new Set(catalogue.formulas.map(({ id }) => id))

describe.each(catalogue.editions.map(({ id }) => id))('in edition %s', (id) => {
  const edition = editionById(id)!
  test.each(goldenCases(id).map((golden) => [golden.id, golden] as const))(
    'every quantity of %s comes from a formula that the catalogue names for it',
    (_, { sheet, context }) => {
      const { results, withheld } = evaluate(sheet, context, edition)
      for (const { quantity, run } of [...results, ...withheld]) {
        const root = traceQuantity(sheet, context, edition, { quantity, run })?.nodes[0]?.id
        if (root === undefined) continue
        expect(catalogue.quantities.find((one) => one.id === quantity)?.formulas, quantity).toContain(root)
      }
    },
  )
})

test('what the catalogue names, it has', () => {
  for (const { id, formulas } of [...catalogue.quantities, ...catalogue.methods])
    for (const formula of formulas) if (formula !== 'reading') expect([...formulaIds], id).toContain(formula)
  const cautions = new Set<string>(catalogue.cautions.map(({ id }) => id))
  for (const { id, cautions: named } of [...catalogue.methods, ...catalogue.findings])
    for (const caution of named) expect([...cautions], id).toContain(caution)
  for (const { findings, limits } of catalogue.editions) {
    const names = new Set(limits.map(({ name }) => name))
    for (const id of findings) {
      const finding = catalogue.findings.find((one) => one.id === id)
      expect(finding, id).toBeDefined()
      for (const limit of finding!.limits) expect([...names], id).toContain(limit)
    }
  }
})

test('every method that opens a panel, a well or a pipe says what can hurt', () => {
  for (const { id, cautions } of catalogue.methods) expect(cautions.length, id).toBeGreaterThan(0)
})

test.each(catalogue.formulas.map((formula) => [formula.id, formula] as const))(
  'the expression of %s has the symbol of each input',
  (_, { expression, inputs }) => {
    for (const { symbol, means } of inputs) {
      expect(expression).toContain(symbol.replace('ᵢ', '').trim())
      expect(means).not.toBe('')
    }
  },
)
