/** Test help: two firms with their plants, and the comparing caught up at once. */
import type { Sheet } from '@liftledger/calc'
import { goldenCase } from '@liftledger/calc/testing'
import { afterEach, beforeEach } from 'vitest'
import { onConnection } from '../../packages/service/src/db/testing.ts'
import type { FieldTest } from '../../packages/service/src/field-tests/schemas.ts'
import { type Between, RecordComparer } from '../../packages/service/src/record-findings/compare.ts'
import { startTestService, type TestService } from './service.ts'
import { registerContext } from './visit.ts'

export const { sheet: firstSheet, context: firstContext } = goldenCase('SHEET-01')
/** A visit to another plant, three weeks later, with the traverse and the timings of the first. */
export const { sheet: reusedSheet, context: reusedContext } = goldenCase('FAULT-01')

/** The second sheet as a visit to the plant of the first. */
export const atFirstPlant: Sheet = { ...reusedSheet, plant: firstSheet.plant }

type Caller = Parameters<TestService['call']>[0]

/**
 * A service of its own for each test of the file, with what the first firm registers; and how to look at it: as a caller,
 * and as a superuser.
 */
export function eachWithFirst() {
  let current: TestService
  const service = (): TestService => current
  beforeEach(async () => {
    current = await startTestService()
    await registerContext(current, 'firmA', firstContext)
  })
  afterEach(() => current.close())
  const get = async <B = FieldTest>(caller: Caller, path: string): Promise<B> => {
    const { status, body } = await service().call<B>(caller, `GET ${path}`)
    if (status !== 200) throw new Error(`${path} was answered with ${status}: ${JSON.stringify(body)}`)
    return body
  }
  return {
    service,
    get,
    read: (caller: Caller, { id }: Pick<FieldTest, 'id'>): Promise<FieldTest> => get(caller, `/v1/tests/${id}`),
    sql: <T extends object>(text: string, values: unknown[] = []): Promise<T[]> =>
      onConnection(service().databaseUrl, undefined, async (client) => (await client.query<T>(text, values)).rows),
  }
}

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
