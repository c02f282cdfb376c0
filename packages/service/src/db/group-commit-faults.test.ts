/** Drives the group commit against a database that fails in every way it knows, in any order, and holds it to its laws. */
import fc from 'fast-check'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { Problem } from '../http/problem.ts'
import { GroupCommit, type GroupCommitLimits } from './group-commit.ts'
import { Failure, FaultyDatabase, type Item, type Mood, type Row } from './testing-faults.ts'

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setImmediate', 'clearImmediate', 'performance'] })
})
afterEach(() => {
  vi.useRealTimers()
})

const LIMITS: GroupCommitLimits = {
  batchItemsMax: 5,
  batchBytesMax: 60,
  batchesMax: 2,
  waitingItemsMax: 12,
  waitingBytesMax: 200,
  waitMsMax: 1_000,
  settleMsMax: 1_500,
}

/** Broke off: the server had committed before, never did, or does so some time after. */
const broken: fc.Arbitrary<Mood> = fc.oneof(
  fc.constant<Mood>({ kind: 'commits-then-drops' }),
  fc.constant<Mood>({ kind: 'drops' }),
  fc.record({ kind: fc.constant('commits-late' as const), afterMs: fc.integer({ min: 0, max: 400 }) }),
  fc.record({ kind: fc.constant('hangs' as const), ms: fc.integer({ min: 1, max: 3_000 }), commits: fc.boolean() }),
)
const retryable: fc.Arbitrary<Mood> = fc.constant({ kind: 'retryable' })
const slow: fc.Arbitrary<Mood> = fc.record({ kind: fc.constant('slow' as const), ms: fc.integer({ min: 0, max: 300 }) })
const refused: fc.Arbitrary<Mood> = fc.constant({ kind: 'no-connection' })

const someItems = fc.array(
  fc.record({
    bytes: fc.integer({ min: 1, max: 70 }),
    afterMs: fc.integer({ min: 0, max: 600 }),
    // Without a key, with one of its own, or with one that another process has used; what the database can't store.
    nature: fc.constantFrom('keyless', 'keyed', 'keyed', 'keyed', 'used', 'poisoned'),
  }),
  { minLength: 1, maxLength: 30 },
)

interface Case {
  readonly items: readonly { bytes: number; nature: string; afterMs: number }[]
  readonly moods: readonly Mood[]
  /** How often in a row each look-up is refused. */
  readonly silences: readonly number[]
  readonly limits?: Partial<GroupCommitLimits>
}

interface Sent {
  readonly item: Item
  readonly outcome: Row | 'taken' | undefined
  readonly error: unknown
}

/** Sends all at their times, lets all time pass, and answers what became of each. */
async function drive({ items, moods, silences, limits }: Case) {
  const database = new FaultyDatabase(moods, silences, ['used'])
  const group = new GroupCommit<Item, Row | 'taken'>(database, { ...LIMITS, ...limits })
  const settled: Sent[] = []
  let waitingMost = 0
  for (const [place, { bytes, nature, afterMs }] of items.entries()) {
    const item: Item = {
      id: `id-${place}`,
      key: nature === 'keyless' ? undefined : nature === 'used' ? 'used' : `key-${place}`,
      bytes,
      poisoned: nature === 'poisoned',
    }
    setTimeout(() => {
      group.submit(item).then(
        (outcome) => settled.push({ item, outcome, error: undefined }),
        (error: unknown) => settled.push({ item, outcome: undefined, error }),
      )
      waitingMost = Math.max(waitingMost, group.load.waiting)
    }, afterMs)
  }
  await vi.runAllTimersAsync()
  let drained = false
  void group.drain().then(() => {
    drained = true
  })
  await vi.runAllTimersAsync()
  return { database, settled, waitingMost, drained }
}

/** What must hold whatever happens. */
function expectLaws(sent: number, { database, settled, waitingMost, drained }: Awaited<ReturnType<typeof drive>>) {
  // Every promise settles, and with them the drain.
  expect(settled).toHaveLength(sent)
  expect(drained).toBe(true)
  // One row for an id, and one for a key.
  const ids = database.rows.map(({ id }) => id)
  expect(new Set(ids).size).toBe(ids.length)
  const keys = database.rows.flatMap(({ key }) => key ?? [])
  expect(new Set(keys).size).toBe(keys.length)
  for (const { item, outcome, error } of settled) {
    const row = database.rows.find(({ id }) => id === item.id)
    // Never an answer without a row.
    if (outcome === 'taken') expect(keys).toContain(item.key)
    else if (outcome !== undefined) expect(outcome).toEqual(row)
    // Nothing falsely refused: only "unknown" may have a row.
    else if (!(error instanceof Problem && error.code === 'timeout')) expect(row, String(error)).toBeUndefined()
    // A poisoned item fails, and alone.
    if (item.poisoned) expect(row).toBeUndefined()
    else expect((error as Failure | undefined)?.message).not.toBe('poisoned')
  }
  // Bounds.
  expect(database.underWayMost).toBeLessThanOrEqual(LIMITS.batchesMax)
  expect(waitingMost).toBeLessThanOrEqual(LIMITS.waitingItemsMax)
  for (const batch of database.batches) {
    expect(batch.length).toBeLessThanOrEqual(LIMITS.batchItemsMax)
    const bytes = batch.reduce((sum, one) => sum + one.bytes, 0)
    expect(batch.length === 1 || bytes <= LIMITS.batchBytesMax).toBe(true)
  }
}

/** Nothing is refused because too much waits or waits too long. */
const ROOMY = { waitingItemsMax: 12, waitingBytesMax: 10_000, waitMsMax: 1e9, settleMsMax: 10_000 }

describe('whatever the database does', () => {
  test('everyone is answered, no answer lacks its row, nothing is doubled and nothing falsely refused', async () => {
    const property = fc.asyncProperty(
      someItems,
      fc.array(fc.oneof(broken, retryable, slow, refused), { maxLength: 25 }),
      fc.array(fc.integer({ min: 0, max: 12 }), { maxLength: 6 }),
      async (items, moods, silences) => expectLaws(items.length, await drive({ items, moods, silences })),
    )
    await fc.assert(property, { numRuns: 1_500 })
  })

  test('two faults are not felt by anyone: all that is not poisoned is stored or was before', async () => {
    const property = fc.asyncProperty(
      someItems.map((items) => items.slice(0, 12)),
      fc.array(fc.oneof(broken, retryable), { maxLength: 2 }),
      fc.array(fc.integer({ min: 0, max: 4 }), { maxLength: 6 }),
      async (items, moods, silences) => {
        const driven = await drive({ items, moods, silences, limits: ROOMY })
        expectLaws(items.length, driven)
        for (const { item, outcome } of driven.settled) expect(outcome === undefined).toBe(item.poisoned)
      },
    )
    await fc.assert(property, { numRuns: 1_500 })
  })

  test('a database without a fault stores all but the poisoned, whatever their number', async () => {
    const property = fc.asyncProperty(someItems, fc.array(slow, { maxLength: 3 }), async (items, moods) => {
      const limits = { waitingItemsMax: items.length, waitingBytesMax: 10_000, waitMsMax: 1e9 }
      const { database, settled } = await drive({ items, moods, silences: [], limits })
      const good = items.flatMap(({ nature }, place) => (nature.startsWith('key') ? [`id-${place}`] : []))
      expect(
        database.rows
          .map(({ id }) => id)
          .filter((id) => id !== 'of another process')
          .toSorted(),
      ).toEqual(good.toSorted())
      for (const { item, error } of settled) expect(error instanceof Failure).toBe(item.poisoned)
    })
    await fc.assert(property, { numRuns: 200 })
  })
})
