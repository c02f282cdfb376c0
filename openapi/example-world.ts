/**
 * The play behind the examples: an office registers, a firm tests a well, someone errs in each common way.
 *
 * Every operation is asked at least once with success; the first success is its example.
 */
import { readFileSync } from 'node:fs'
import { playLedger } from './example-ledger.ts'
import { playMethod } from './example-method.ts'
import { playQuality } from './example-quality.ts'
import { playRules } from './example-rules.ts'
import { playSharing } from './example-sharing.ts'
import { playStatistics } from './example-statistics.ts'
import { playVersions } from './example-versions.ts'
import { playWorkLists } from './example-work-lists.ts'
import type { Json, Recorder } from './recorder.ts'

type Made = Json & { readonly id: string }

interface BasinFile {
  readonly program: Json
  readonly firms: readonly { readonly [kind in 'testers' | 'instruments' | 'plants']: readonly Json[] }[]
}

const read = <T>(file: string): T => JSON.parse(readFileSync(new URL(`../seed/${file}`, import.meta.url), 'utf8')) as T

const KEY_OF_THE_VISIT = { 'idempotency-key': '"01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10"' }
/** Well-formed and never made. */
const UNKNOWN_ID = '01932C6E7B1D7C1E9A550D6C1C'

/** What happens beside the requests. */
export interface Beside {
  /** Waits for the tree of the ledger. */
  settle(): Promise<void>
  /** Makes the statistics of a month public. */
  publish(month: string): Promise<void>
  /** Compares the tests that wait for it with the record. */
  compare(): Promise<void>
}

/** Plays the whole of it. `admin` is the key of an administrator. */
export async function playExamples(
  recorder: Recorder,
  admin: string,
  { settle, publish, compare }: Beside,
): Promise<void> {
  await recorder.play('health.live', 200)
  await recorder.play('health.ready', 200)
  const firm = await office(recorder, admin)
  const plantId = await registry(recorder, admin, firm)
  await tests(recorder, firm)
  await playSharing(recorder, admin, firm)
  await playVersions(recorder, admin, firm, compare)
  await playRules(recorder, admin)
  await playStatistics(recorder, firm, publish)
  await playWorkLists(recorder, firm)
  await playQuality(recorder, admin, firm)
  await playLedger(recorder, admin, settle)
  await playMethod(recorder)
  await mistakes(recorder, firm, plantId)
}

/** Firms, programs and keys. Answers the key of the firm that tests. */
async function office(recorder: Recorder, admin: string): Promise<string> {
  await recorder.play('programs.create', 201, { key: admin, body: read<BasinFile>('basin.json').program })
  await recorder.play('programs.list', 200, { key: admin, query: { limit: 20 } })
  const { body: firm } = await recorder.play<Made>('firms.create', 201, {
    key: admin,
    body: { name: 'Ostrel Field Measurement (invented)' },
  })
  await recorder.play('firms.get', 200, { key: admin, path: { firmId: firm.id } })
  await recorder.play('firms.create', 201, { key: admin, body: { name: 'Sedgewater Field Services (invented)' } })
  await recorder.play('firms.list', 200, { key: admin, query: { limit: 1 } })
  const { body: made } = await recorder.play<Made & { key: string }>('keys.create', 201, {
    key: admin,
    body: { role: 'firm', firmId: firm.id, name: 'Field software of the firm' },
  })
  const { body: lost } = await recorder.play<Made>('keys.create', 201, {
    key: admin,
    body: { role: 'firm', firmId: firm.id, name: 'A tablet that was lost', scopes: ['tests:write'] },
  })
  await recorder.play('keys.revoke', 200, { key: admin, path: { keyId: lost.id } })
  await recorder.play('keys.get', 200, { key: admin, path: { keyId: made.id } })
  await recorder.play('keys.rotate', 201, { key: admin, path: { keyId: made.id }, body: {} })
  await recorder.play('keys.list', 200, { key: admin, query: { limit: 50 } })
  await tokens(recorder, admin, firm.id)
  return made.key
}

/** An office whose people come with tokens of an issuer. */
async function tokens(recorder: Recorder, admin: string, firmId: string): Promise<void> {
  const { body: made } = await recorder.play<Made>('tokenPrincipals.create', 201, {
    key: admin,
    body: {
      issuer: 'https://accounts.ostrel.example',
      subject: 'field-software',
      role: 'firm',
      firmId,
      name: 'Field software, by token',
      scopes: ['tests:read', 'tests:write', 'evaluations:write'],
    },
  })
  const path = { principalId: made.id }
  await recorder.play('tokenPrincipals.get', 200, { key: admin, path })
  await recorder.play('tokenPrincipals.list', 200, { key: admin, query: { limit: 20 } })
  await recorder.play('tokenPrincipals.remove', 200, { key: admin, path })
}

/** People, instruments and plants. Answers the id of the plant that is tested. */
async function registry(recorder: Recorder, admin: string, firm: string): Promise<string> {
  const { testers, instruments, plants } = read<BasinFile>('basin.json').firms[0]!
  const testerIds: string[] = []
  for (const body of testers)
    testerIds.push((await recorder.play<Made>('testers.create', 201, { key: firm, body })).body.id)
  await recorder.play('testers.get', 200, { key: firm, path: { testerId: testerIds[0]! } })
  await recorder.play('testers.addQualification', 201, {
    key: firm,
    path: { testerId: testerIds[0]! },
    body: { code: 'electrical-measurements', validFrom: '2026-01-15', validUntil: '2029-01-14' },
  })
  await recorder.play('testers.list', 200, { key: firm, query: { limit: 20 } })

  const instrumentIds: string[] = []
  for (const body of instruments) {
    instrumentIds.push((await recorder.play<Made>('instruments.create', 201, { key: firm, body })).body.id)
  }
  await recorder.play('instruments.get', 200, { key: firm, path: { instrumentId: instrumentIds[0]! } })
  const { code: _code, kind: _kind, ...facts } = instruments[0]!
  await recorder.play('instruments.addRevision', 201, {
    key: firm,
    path: { instrumentId: instrumentIds[0]! },
    body: {
      ...facts,
      effectiveFrom: '2026-04-01',
      certificate: { number: 'AMB-041', validFrom: '2026-04-01', validUntil: '2027-09-30' },
    },
  })
  await recorder.play('instruments.list', 200, { key: firm, query: { code: String(instruments[0]!.code) } })
  const plantIds: string[] = []
  for (const body of plants)
    plantIds.push((await recorder.play<Made>('plants.create', 201, { key: firm, body })).body.id)
  return plantRecords(recorder, admin, firm, plantIds[0]!)
}

async function plantRecords(recorder: Recorder, admin: string, firm: string, plantId: string): Promise<string> {
  const path = { plantId }
  await recorder.play('plants.get', 200, { key: firm, path })
  await recorder.play('plants.list', 200, { key: firm, query: { limit: 1 } })
  await recorder.play('plants.addEquipment', 201, {
    key: firm,
    path,
    body: {
      ...(read<BasinFile>('basin.json').firms[0]!.plants[0]!.equipment as Json),
      effectiveFrom: '2026-03-02',
      stages: 6,
    },
  })
  await recorder.play('plants.listEquipment', 200, { key: firm, path, query: { limit: 20 } })
  const { body: neighbour } = await recorder.play<{ items: Made[] }>('firms.list', 200, { key: admin })
  await recorder.play('plants.grantAccess', 201, { key: admin, path, body: { firmId: neighbour.items[1]!.id } })
  return plantId
}

/** One visit: evaluated on the spot, submitted, read back. */
async function tests(recorder: Recorder, firm: string): Promise<void> {
  const sheet = read<Json>('field-sheet.json')
  const instruments = Object.values(sheet.instruments as Record<string, string>)
  await recorder.play('context.get', 200, {
    key: firm,
    query: {
      plant: String(sheet.plant),
      tester: String(sheet.tester),
      instruments: instruments.join(','),
      testedOn: String(sheet.testedOn),
    },
  })
  await recorder.play('evaluations.create', 200, { key: firm, query: { trace: 'lift' }, body: sheet })
  const { body } = await recorder.play<Made>('tests.submit', 201, { key: firm, headers: KEY_OF_THE_VISIT, body: sheet })
  const path = { testId: body.id }
  await recorder.play('tests.get', 200, { key: firm, path })
  await recorder.play('tests.results', 200, { key: firm, path })
  await recorder.play('tests.findings', 200, { key: firm, path })
  // A quantity whose derivation fits on a page.
  await recorder.play('tests.trace', 200, { key: firm, path: { ...path, quantity: 'lift' }, query: { run: 0 } })
  await recorder.play('tests.report', 200, { key: firm, path, headers: { accept: 'text/plain' } })
  await recorder.play('tests.sheet', 200, { key: firm, path })
  await recorder.play('tests.context', 200, { key: firm, path })
  await recorder.play('tests.list', 200, { key: firm, query: { plant: String(sheet.plant), testedFrom: '2026-01-01' } })
}

/** One problem of each kind that a caller can meet by a mistake of his own. */
async function mistakes(recorder: Recorder, firm: string, plantId: string): Promise<void> {
  const sheet = read<Json>('field-sheet.json')
  const submit = (status: number, body: unknown, headers: Record<string, string> = {}) =>
    recorder.play('tests.submit', status, { key: firm, body, headers })
  await submit(400, '{"plant":"AM-01","plant":"AM-02"}')
  await submit(
    400,
    '{"plant":"AM-01","standingLevel":{"method":"electric-sounder","reading":{"value":1e999,"unit":"ft"}}}',
  )
  await submit(400, {
    ...sheet,
    testr: 'T-01',
    standingLevel: { method: 'electric-sounder', reading: { value: 118.4, unit: 'feet' } },
  })
  await submit(422, { ...sheet, plant: 'AM-99' })
  await submit(422, { ...sheet, normalRun: 0 }, KEY_OF_THE_VISIT)
  await submit(415, 'plant AM-01', { 'content-type': 'text/plain' })
  await submit(413, `${JSON.stringify(sheet)}${' '.repeat(300_000)}`)
  await recorder.play('tests.get', 401, { path: { testId: `tst_${UNKNOWN_ID}` } })
  await recorder.play('tests.get', 404, { key: firm, path: { testId: `tst_${UNKNOWN_ID}` } })
  await recorder.play('tests.list', 400, { key: firm, query: { cursor: 'AAAA' } })
  await recorder.play('firms.list', 403, { key: firm })
  await recorder.play('plants.create', 409, { key: firm, body: { code: 'AM-01', kind: 'well' } })
  await recorder.play('plants.get', 200, { key: firm, path: { plantId } })
}
