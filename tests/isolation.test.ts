/**
 * Every operation of the API description × every role × every record of another firm; and the same asked of the
 * database, through the pools that the service itself uses. How an operation is asked stands in isolation-plans.ts.
 */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { createKey } from '../packages/service/src/access/create-key.ts'
import { ROLES, type Role } from '../packages/service/src/http/principal.ts'
import { type Ask, type Noun, PLANS, type Records } from './isolation-plans.ts'
import {
  absentIds,
  everyRow,
  giveToProgram,
  introduce,
  type Operation,
  operationsOf,
  recordsOf,
  routesOf,
  send,
} from './isolation-world.ts'
import { startTestService, type TestService } from './setup/service.ts'

let service: TestService
let operations: Operation[]
let ofA: Records
let ofB: Records
/** Keys of each role that have no scope at all. */
let scopeless: Record<Role, string>
const keyOf: Record<Role, () => string> = {
  firm: () => service.keys.firmA,
  program: () => service.keys.program,
  auditor: () => service.keys.auditor,
  keeper: () => service.keys.keeper,
  admin: () => service.keys.admin,
}

beforeAll(async () => {
  service = await startTestService()
  operations = operationsOf(await service.app.apiDocument())
  ofA = await recordsOf(service, 'firmA', 'A')
  ofB = await recordsOf(service, 'firmB', 'B')
  ;[ofA, ofB] = await introduce(service, ofA, ofB)
  scopeless = Object.fromEntries(
    await Promise.all(ROLES.map(async (role) => [role, await keyWithoutScopes(role)] as const)),
  ) as Record<Role, string>
})
afterAll(() => service.close())

async function keyWithoutScopes(role: Role): Promise<string> {
  const owner = role === 'firm' ? { firmId: service.firmA } : role === 'program' ? { programId: service.program } : {}
  return (await createKey(service.deps, { role, name: 'no scope', scopes: [], ...owner })).key
}

const needsKey = () => operations.filter((operation) => operation.roles !== undefined)
const withIds = () => needsKey().filter(({ params }) => params.some((name) => name.endsWith('Id')))
let turn = 0
const rightAsk = (operation: Operation, own: Records): Ask => PLANS[operation.id]?.ask?.(own, ++turn) ?? {}

describe('the API description', () => {
  test('has a plan for every operation here, and no other', () => {
    expect(Object.keys(PLANS).toSorted()).toEqual(operations.map(({ id }) => id).toSorted())
  })

  test('knows every route but two, which are open to everyone', () => {
    // The rest of a path, which the description gives a name.
    const ending = (path: string) => path.replace(/(\/tile(?:\/entries)?)\/\{\w+\}$/, '$1/*')
    const described = new Set(operations.map(({ method, path }) => `${method} ${ending(path)}`))
    const hidden = routesOf(service.app.printRoutes()).filter((route) => !described.has(route))
    expect(hidden.toSorted()).toEqual(['GET /method/quantities/{id}', 'GET /openapi.json', 'GET /problems/{code}'])
  })

  test('leaves nothing public but health, what the ledger makes of hashes, the method, and published rules', () => {
    const open = operations.filter(({ roles }) => roles === undefined).map(({ id }) => id)
    expect(open.toSorted()).toEqual([
      'health.live',
      'health.ready',
      'ledger.checkpoint',
      'ledger.consistency',
      'ledger.inclusion',
      'ledger.keys',
      'ledger.tile',
      'methodCautions.get',
      'methodCautions.list',
      'methodEditions.get',
      'methodEditions.list',
      'methodFindings.get',
      'methodFindings.list',
      'methodFormulas.get',
      'methodFormulas.list',
      'methodMethods.get',
      'methodMethods.list',
      'methodQuantities.get',
      'methodQuantities.list',
      'methodUnits.list',
      'programs.getRuleSet',
      'programs.listRuleSets',
      'statistics.listPublications',
      'statistics.readPublication',
    ])
  })

  test('has for everything that names a record by its code a plan that names it', () => {
    const naming: Record<string, Noun> = { plant: 'plant', tester: 'tester', instruments: 'instrument' }
    let found = 0
    for (const { id, query, members } of operations) {
      for (const name of [...query, ...members]) {
        if (naming[name] === undefined) continue
        expect(Object.keys(PLANS[id]!.naming ?? {}), id).toContain(naming[name])
        found++
      }
    }
    expect(found).toBe(13)
  })
})

describe('every operation', () => {
  test('asks for a key, and says nothing without one', async () => {
    for (const operation of needsKey()) {
      for (const key of [
        undefined,
        'nonsense',
        service.keys.firmA.replace(/.$/, (last) => (last === 'A' ? 'B' : 'A')),
      ]) {
        const { status, text } = await send(service, key, operation, ofA.ids, rightAsk(operation, ofA))
        expect(status, operation.id).toBe(401)
        expect(JSON.parse(text), operation.id).toMatchObject({ code: 'unauthenticated' })
      }
    }
  })

  test.each(ROLES)('is closed to the role %s where it is not open to it, and changes nothing', async (role) => {
    const before = await everyRow(service)
    let closed = 0
    for (const operation of needsKey()) {
      if (operation.roles!.includes(role)) continue
      const { status, text } = await send(service, keyOf[role](), operation, ofA.ids, rightAsk(operation, ofA))
      expect(status, operation.id).toBe(403)
      expect(JSON.parse(text), operation.id).toMatchObject({ code: 'forbidden' })
      closed++
    }
    expect(closed).toBeGreaterThan(3)
    expect(await everyRow(service)).toEqual(before)
  })

  test.each(ROLES)('is closed to a key of the role %s without scopes, and changes nothing', async (role) => {
    const before = await everyRow(service)
    for (const operation of needsKey()) {
      const { status } = await send(service, scopeless[role], operation, ofA.ids, rightAsk(operation, ofA))
      expect(status, operation.id).toBe(403)
    }
    expect(await everyRow(service)).toEqual(before)
  })

  test('is answered to those it is open to, so that the refusals mean something', async () => {
    await giveToProgram(service, ofA.ids.testId!)
    for (const operation of needsKey()) {
      for (const role of operation.roles!) {
        // What is revoked or rotated is a key that nothing needs any more.
        const spare = { 'keys.revoke': scopeless.auditor, 'keys.rotate': scopeless.keeper }[operation.id]
        const own = spare === undefined ? ofA.ids : { ...ofA.ids, keyId: spare.split('_')[2]! }
        const { status, text } = await send(service, keyOf[role](), operation, own, rightAsk(operation, ofA))
        expect([200, 201, 202], `${operation.id} as ${role}: ${text}`).toContain(status)
      }
    }
  })
})

describe('another firm', () => {
  const isFirms = ({ roles }: Operation) => roles!.includes('firm')

  test('finds at every id what it finds at an id of nobody, and changes nothing', async () => {
    const before = await everyRow(service)
    const foreign = withIds().filter((one) => isFirms(one) && !PLANS[one.id]!.directory)
    expect(foreign.length).toBeGreaterThan(8)
    for (const operation of foreign) {
      const [none, ask] = [absentIds(service), rightAsk(operation, ofB)]
      const wrong = {
        plantId: ofA.ids.testId!,
        testerId: ofA.ids.plantId!,
        instrumentId: 'not-an-id',
        testId: ofA.ids.plantId!,
        testToReviseId: ofA.ids.plantId!,
        testToWithdrawId: 'not-an-id',
        noteId: ofA.ids.testId!,
        accessRequestId: ofA.ids.firmId!,
        otherFirmId: ofA.ids.plantId!,
        otherProgramId: ofA.ids.noteId!,
        programId: ofA.ids.programId!,
      }
      const same = (text: string, ids: Readonly<Record<string, string>>) =>
        Object.values(ids).reduce((left, id) => left.replaceAll(id, 'ID'), text)
      const missing = await send(service, service.keys.firmB, operation, none, ask)
      expect(missing.status, operation.id).toBe(404)
      for (const ids of [ofA.ids, wrong]) {
        const { status, text } = await send(service, service.keys.firmB, operation, ids, ask)
        expect(status, operation.id).toBe(404)
        expect(same(text, ids), operation.id).toBe(same(missing.text, none))
      }
      if (operation.method !== 'GET') continue
      for (const ids of [ofA.ids, none]) {
        const { status } = await send(service, service.keys.firmB, operation, ids, ask, 'HEAD')
        expect(status, `HEAD of ${operation.id}`).toBe(404)
      }
    }
    expect(await everyRow(service)).toEqual(before)
  })

  test('finds nothing of the first in any list or answer without an id', async () => {
    // Programs are a directory, and the other firm is the one that asks.
    const { programId: _, otherProgramId: __, otherFirmId: ___, ...ids } = ofA.ids
    const secrets = [...Object.values(ids), ...Object.values(ofA.codes)]
    for (const operation of needsKey().filter(
      (one) => one.method === 'GET' && one.params.length === 0 && isFirms(one),
    )) {
      const { status, text } = await send(service, service.keys.firmB, operation, {}, rightAsk(operation, ofB))
      expect(status, operation.id).toBe(200)
      for (const secret of secrets) expect(text, operation.id).not.toContain(secret)
    }
    // And the first finds its own there.
    const own = await Promise.all(
      ['plants.list', 'testers.list', 'instruments.list', 'tests.list'].map((id) =>
        send(service, service.keys.firmA, operations.find((one) => one.id === id)!, {}),
      ),
    )
    for (const noun of ['plantId', 'testerId', 'instrumentId', 'testId']) {
      expect(
        own.some(({ text }) => text.includes(ofA.ids[noun]!)),
        noun,
      ).toBe(true)
    }
  })

  test('gets for a code of the first what it gets for a code of nobody, and changes nothing', async () => {
    const before = await everyRow(service)
    let named = 0
    for (const operation of operations) {
      for (const [noun, ask] of Object.entries(PLANS[operation.id]!.naming ?? {})) {
        const [theirs, nobodys] = [ofA.codes[noun as Noun], `${ofA.codes[noun as Noun]}-none`]
        const foreign = await send(service, service.keys.firmB, operation, ofB.ids, ask(ofB, theirs))
        const unknown = await send(service, service.keys.firmB, operation, ofB.ids, ask(ofB, nobodys))
        expect(foreign.status, operation.id).toBe(unknown.status)
        expect(foreign.text.replaceAll(theirs, 'CODE'), operation.id).toBe(unknown.text.replaceAll(nobodys, 'CODE'))
        if (operation.id.endsWith('.list')) expect(JSON.parse(foreign.text), operation.id).toEqual({ items: [] })
        else expect([foreign.status, JSON.parse(foreign.text).code], operation.id).toEqual([422, 'reference-not-found'])
        named++
      }
    }
    expect(named).toBe(16)
    expect(await everyRow(service)).toEqual(before)
  })
})

test('a program finds tests that were not given to it as it finds those of nobody', async () => {
  for (const operation of withIds().filter(({ roles }) => roles!.includes('program'))) {
    const foreign = await send(service, service.keys.program, operation, ofB.ids, rightAsk(operation, ofB))
    const none = absentIds(service)
    const missing = await send(service, service.keys.program, operation, none, rightAsk(operation, ofB))
    expect([foreign.status, missing.status], operation.id).toEqual([404, 404])
    const same = (text: string, ids: Readonly<Record<string, string>>) =>
      Object.values(ids).reduce((left, id) => left.replaceAll(id, 'ID'), text)
    expect(same(foreign.text, ofB.ids), operation.id).toBe(same(missing.text, none))
  }
})
