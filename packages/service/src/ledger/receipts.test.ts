/** Whatever appends an entry answers with a receipt for that entry. */
import { parseReceipt, parseVerifierKey, toHex, type VerifierKey, verifyReceipt } from '@liftledger/ledger'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith } from '../../../../tests/setup/visit.ts'

let service: TestService
let key: VerifierKey
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const { body } = await service.call<{ items: { key: string }[] }>('nobody', 'GET /v1/ledger/keys')
  key = parseVerifierKey(body.items[0]!.key)
})
afterAll(() => service.close())

interface Entries {
  items: { index: number; leafHash: string; kind: string }[]
}

/** The kind of the entry that the answer's receipt is for; undefined where the answer has none. */
async function promised(answer: { headers: Record<string, unknown>; status: number }): Promise<string | undefined> {
  expect(answer.status).toBeLessThan(300)
  const header = answer.headers['ledger-receipt']
  if (header === undefined) return undefined
  const receipt = parseReceipt(String(header))
  await verifyReceipt(receipt, key)
  const { body } = await service.call<Entries>('auditor', `GET /v1/ledger/entries?from=${receipt.index}&limit=1`)
  expect(body.items[0]).toMatchObject({ index: receipt.index, leafHash: toHex(receipt.leafHash) })
  return body.items[0]!.kind
}

test('submission, note, decision, their erasure, revision and withdrawal are each promised', async () => {
  const held = sheetWith({ '/runs/0/dischargePressure/reading/value': -3 })
  const stored = await service.call<{ id: string; findings: { id: string; severity: string; place: string }[] }>(
    'firmA',
    'POST /v1/tests',
    { body: held },
  )
  expect(await promised(stored)).toBe('test')
  const at = `/v1/tests/${stored.body.id}`
  const consent = { givenAt: '2026-05-04T09:30:00Z', by: 'grower', evidence: 'E-1' }
  await service.call('firmA', `POST ${at}/programs`, { body: { programId: service.program, consent } })

  const note = await service.call<{ id: string }>('firmA', `POST ${at}/notes`, {
    body: { kind: 'remark', text: 'Gate was locked.' },
  })
  expect(await promised(note)).toBe('note')
  expect(await promised(await service.call('firmA', `DELETE ${at}/notes/${note.body.id}`))).toBe('note-erased')
  expect(await promised(await service.call('firmA', `DELETE ${at}/notes/${note.body.id}`))).toBeUndefined()

  const hold = stored.body.findings.find(({ severity }) => severity === 'hold')!
  const decision = await service.call<{ id: string }>('program', `POST ${at}/decisions`, {
    body: {
      finding: hold.id,
      ...('run' in hold && { run: hold.run }),
      place: hold.place,
      outcome: 'does-not-stand',
      reader: 'R-07',
      reason: 'The needle sits below zero at rest.',
    },
  })
  expect(await promised(decision)).toBe('finding-decision')
  const words = `${at}/decisions/${decision.body.id}/words`
  expect(await promised(await service.call('program', `DELETE ${words}`))).toBe('finding-decision-erased')
  expect(await promised(await service.call('program', `DELETE ${words}`))).toBeUndefined()

  const revised = await service.call<{ id: string }>('firmA', `POST ${at}/revisions?reason=misread`, { body: held })
  expect(await promised(revised)).toBe('revision')
  const withdrawal = `POST /v1/tests/${revised.body.id}/withdrawal` as const
  expect(await promised(await service.call('firmA', withdrawal, { body: { reason: 'practice' } }))).toBe('withdrawal')
})
