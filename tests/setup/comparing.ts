/** Test help: two firms with their plants, and the comparing caught up at once. */
import type { Sheet } from '@liftledger/calc'
import { goldenCase } from '@liftledger/calc/testing'
import type { FieldTest } from '../../packages/service/src/field-tests/schemas.ts'
import { type Between, RecordComparer } from '../../packages/service/src/record-findings/compare.ts'
import type { TestService } from './service.ts'

export const { sheet: firstSheet, context: firstContext } = goldenCase('SHEET-01')
/** A visit to another plant, three weeks later, with the traverse and the timings of the first. */
export const { sheet: reusedSheet, context: reusedContext } = goldenCase('FAULT-01')

export const comparerOf = ({ deps, app }: TestService): RecordComparer =>
  new RecordComparer({ ...deps, ledger: app.ledger })

/** Compares all that waits, with a process of its own. */
export async function compareAll(service: TestService, between?: Between): Promise<RecordComparer['counts']> {
  const comparer = comparerOf(service)
  while (await comparer.step(undefined, { ...(between && { between }) }));
  return comparer.counts
}

export async function submitBy(service: TestService, firm: 'firmA' | 'firmB', sheet: Sheet): Promise<FieldTest> {
  const { status, body } = await service.call<FieldTest>(firm, 'POST /v1/tests', { body: sheet })
  if (status !== 201) throw new Error(`The sheet was answered with ${status}: ${JSON.stringify(body)}`)
  return body
}
