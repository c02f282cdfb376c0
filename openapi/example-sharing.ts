/**
 * The second part of the play: records are corrected, plants found, tests and histories shared with the grower's
 * consent, and notes written and erased.
 */
import type { Json, Recorder } from './recorder.ts'

type Made = Json & { readonly id: string }
type Listed = { readonly items: readonly Made[] }

const MERGE_PATCH = 'application/merge-patch+json'
const CONSENT = { givenAt: '2026-05-12T09:30:00-07:00', by: 'grower', evidence: 'CONS-17' }
const WITHDRAWAL = { withdrawnAt: '2026-05-12T10:15:00-07:00' }

/** `admin` and `firm` are the keys of an administrator and of the firm that tests. */
export async function playSharing(recorder: Recorder, admin: string, firm: string): Promise<void> {
  const first = async (operationId: string, key: string): Promise<Made> =>
    (await recorder.play<Listed>(operationId, 200, { key })).body.items[0]!
  const { body: firms } = await recorder.play<Listed>('firms.list', 200, { key: admin })
  const neighbour = firms.items[1]!
  const { body: made } = await recorder.play<Made & { key: string }>('keys.create', 201, {
    key: admin,
    body: { role: 'firm', firmId: neighbour.id, name: 'Field software of the neighbour' },
  })
  const program = await first('programs.list', admin)
  await office(recorder, admin, firms.items[0]!, program)
  const instrument = await first('instruments.list', firm)
  await records(recorder, firm, await first('testers.list', firm), instrument)
  const plants = (await recorder.play<Listed>('plants.list', 200, { key: firm })).body.items
  await plant(recorder, firm, plants[0]!)
  await access(recorder, { admin, neighbour: made.key }, String(plants[1]!.code))
  await history(recorder, firm, plants[0]!.id, neighbour.id)
  const test = await first('tests.list', firm)
  await programs(recorder, firm, test.id, program.id)
  await notes(recorder, firm, test.id)
  await mistakes(recorder, firm, plants[0]!.id)
}

/** Reads a record, changes it under the ETag it was read with, and reads its changes. */
async function change(recorder: Recorder, noun: string, key: string, path: Record<string, string>, body: Json) {
  const { headers } = await recorder.play(`${noun}.get`, 200, { key, path })
  await recorder.play(`${noun}.update`, 200, {
    key,
    path,
    body,
    headers: { 'if-match': headers.etag!, 'content-type': MERGE_PATCH },
  })
  await recorder.play(`${noun}.changes`, 200, { key, path })
}

async function office(recorder: Recorder, admin: string, firm: Made, program: Made): Promise<void> {
  await change(
    recorder,
    'firms',
    admin,
    { firmId: firm.id },
    { name: 'Ostrel Field Measurement Cooperative (invented)' },
  )
  const renamed = { name: 'Ambermoor Basin pump testing and repair (invented)' }
  await change(recorder, 'programs', admin, { programId: program.id }, renamed)
}

async function records(recorder: Recorder, firm: string, tester: Made, instrument: Made): Promise<void> {
  await change(recorder, 'testers', firm, { testerId: tester.id }, { name: 'Aldous Ferrant' })
  const path = { instrumentId: instrument.id }
  await change(recorder, 'instruments', firm, path, { kind: 'pressure-transducer' })
  await recorder.play('instruments.addCheck', 201, {
    key: firm,
    path,
    body: { checkedOn: '2026-05-11', referenceValue: 50, shownValue: 50.5, unit: 'psi' },
  })
  await recorder.play('instruments.listChecks', 200, { key: firm, path })
}

async function plant(recorder: Recorder, firm: string, { id, code }: Made): Promise<void> {
  const path = { plantId: id }
  await change(recorder, 'plants', firm, path, { reference: 'north well, by the road' })
  const meter = { number: '40-118-2207', from: '2020-01-01' }
  await recorder.play('plants.addMeter', 201, { key: firm, path, body: meter })
  await recorder.play('plants.listMeters', 200, { key: firm, path })
  await recorder.play('plants.lookUp', 200, { key: firm, query: { code: String(code) } })
}

/** The neighbour finds a plant that is registered and asks for access to it. */
async function access(recorder: Recorder, key: { admin: string; neighbour: string }, plantCode: string): Promise<void> {
  await recorder.play('plants.lookUp', 200, { key: key.neighbour, query: { code: plantCode } })
  const { body } = await recorder.play<Made>('accessRequests.create', 201, {
    key: key.neighbour,
    body: { plantCode, consent: CONSENT },
  })
  await recorder.play('accessRequests.list', 200, { key: key.admin, query: { state: 'open' } })
  const path = { accessRequestId: body.id }
  await recorder.play('accessRequests.decide', 201, { key: key.admin, path, body: { outcome: 'granted' } })
  await recorder.play('accessRequests.get', 200, { key: key.neighbour, path })
}

async function history(recorder: Recorder, firm: string, plantId: string, firmId: string): Promise<void> {
  const path = { plantId }
  await recorder.play('plants.history', 200, { key: firm, path, headers: { accept: 'application/json' } })
  await recorder.play('plants.shareHistory', 201, { key: firm, path, body: { firmId, consent: CONSENT } })
  await recorder.play('plants.listHistoryConsents', 200, { key: firm, path })
  await recorder.play('plants.closeHistory', 201, { key: firm, path: { plantId, firmId }, body: WITHDRAWAL })
}

async function programs(recorder: Recorder, firm: string, testId: string, programId: string): Promise<void> {
  const path = { testId }
  await recorder.play('tests.giveToProgram', 201, { key: firm, path, body: { programId, consent: CONSENT } })
  await recorder.play('tests.listPrograms', 200, { key: firm, path })
  await recorder.play('tests.takeFromProgram', 201, { key: firm, path: { testId, programId }, body: WITHDRAWAL })
}

async function notes(recorder: Recorder, firm: string, testId: string): Promise<void> {
  const path = { testId }
  const contact = { kind: 'contact', role: 'grower', name: 'Osric Penhallow', telephone: '555-0182' }
  const { body } = await recorder.play<Made>('notes.create', 201, { key: firm, path, body: contact })
  await recorder.play('notes.list', 200, { key: firm, path })
  await recorder.play('notes.erase', 200, { key: firm, path: { testId, noteId: body.id } })
}

async function mistakes(recorder: Recorder, firm: string, plantId: string): Promise<void> {
  const patch = (status: number, headers: Record<string, string>) =>
    recorder.play('plants.update', status, {
      key: firm,
      path: { plantId },
      body: { reference: 'south well' },
      headers: { 'content-type': MERGE_PATCH, ...headers },
    })
  await patch(428, {})
  await patch(412, { 'if-match': '"MDEyMzQ1Njc4OWFiY2RlZg"' })
  await recorder.play('plants.history', 406, { key: firm, path: { plantId }, headers: { accept: 'image/png' } })
}
