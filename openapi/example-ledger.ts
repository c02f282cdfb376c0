/** An auditor reads the ledger over the visit that was submitted. */
import type { Json, Recorder } from './recorder.ts'

type Made = Json & { readonly id: string }

export async function playLedger(recorder: Recorder, admin: string, settle: () => Promise<void>): Promise<void> {
  const { body: made } = await recorder.play<Made & { key: string }>('keys.create', 201, {
    key: admin,
    body: { role: 'auditor', name: 'An auditor' },
  })
  const { key } = made
  await settle()
  await recorder.play('ledger.keys', 200)
  await recorder.play('ledger.checkpoint', 200)
  await recorder.play('ledger.tile', 200, { path: { tile: '0/000.p/2' } })
  await recorder.play('ledger.entryBundle', 200, { key, path: { bundle: '000.p/2' } })
  const { body: entries } = await recorder.play<{ items: { index: number; kind: string; test?: string }[] }>(
    'ledger.entries',
    200,
    {
      key,
      query: { from: 0, limit: 20 },
    },
  )
  const { index, test: testId = '' } = entries.items.find(({ kind }) => kind === 'test')!
  await recorder.play('ledger.inclusion', 200, { query: { index } })
  await recorder.play('ledger.consistency', 200, { query: { from: 1 } })
  await recorder.play('ledger.bundle', 200, { key, path: { testId } })
  await recorder.play('tests.get', 200, { key, path: { testId } })
  const { body: reads } = await recorder.play<{ items: { hour: string }[] }>('tests.reads', 200, {
    key,
    path: { testId },
    query: { limit: 2 },
  })
  const { hour } = reads.items[0]!
  await recorder.play('ledger.reads', 200, { key, query: { hour, limit: 2 } })
  // Of an hour without reads: the root of others hangs on ids of keys, which are drawn by chance.
  await recorder.play('ledger.readHour', 200, { key, path: { hour: '2026-05-12T09:00:00.000Z' } })
  await recorder.play('ledger.bundles', 200, { key, body: { testedFrom: '2026-01-01', testedTo: '2026-12-31' } })
}
