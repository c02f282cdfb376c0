/**
 * Every operation of the API description × every role × every record of another firm; and the same asked of the
 * database, through the pools that the service itself uses. How an operation is asked stands in isolation-plans.ts.
 */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { createKey } from '../packages/service/src/access/create-key.ts'
import { onConnection } from '../packages/service/src/db/testing.ts'
import { fromWire, toWire } from '../packages/service/src/http/ids.ts'
import { ROLES, type Role } from '../packages/service/src/http/principal.ts'
import { type Ask, type Noun, PLANS, type Records } from './isolation-plans.ts'
import { startTestService, type TestService } from './setup/service.ts'
import { registerContext, sheetWith, visitContext } from './setup/visit.ts'

interface Operation {
  readonly id: string
  readonly method: 'GET' | 'POST'
  readonly path: string
  readonly params: readonly string[]
  readonly query: readonly string[]
  /** Members of its body. */
  readonly members: readonly string[]
  /** Roles that may call it; undefined for a public operation. */
  readonly roles: readonly Role[] | undefined
}

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
  ofA = await recordsOf('firmA', 'A')
  ofB = await recordsOf('firmB', 'B')
  scopeless = Object.fromEntries(
    await Promise.all(ROLES.map(async (role) => [role, await keyWithoutScopes(role)] as const)),
  ) as Record<Role, string>
})
afterAll(() => service.close())

type Described = Record<string, Record<string, Record<string, unknown>>>

function operationsOf(document: Record<string, unknown>): Operation[] {
  return Object.entries(document.paths as Described).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => {
      const parameters = (operation.parameters ?? []) as { in: string; name: string }[]
      const named = (place: string) => parameters.filter((one) => one.in === place).map(({ name }) => name)
      return {
        id: String(operation.operationId),
        method: method.toUpperCase() as Operation['method'],
        path,
        params: named('path'),
        query: named('query'),
        members: membersOf(operation.requestBody, document),
        roles: operation['x-roles'] as Role[] | undefined,
      }
    }),
  )
}

function membersOf(requestBody: unknown, { components }: Record<string, unknown>): string[] {
  const content = (requestBody as { content: Record<string, { schema: { $ref: string } }> } | undefined)?.content
  if (content === undefined) return []
  const name = content['application/json']!.schema.$ref.replace('#/components/schemas/', '')
  const { schemas } = components as { schemas: Record<string, { properties: object }> }
  return Object.keys(schemas[name]!.properties)
}

/** A firm's plant, tester, instrument and test, through the routes; of firm A's two tests one is given to the program. */
async function recordsOf(caller: 'firmA' | 'firmB', letter: string): Promise<Records> {
  const codes: Record<Noun, string> = {
    plant: `${letter}M-01`,
    tester: `${letter}T-01`,
    instrument: `${letter}-sounder`,
  }
  const { plantId, testerId, instrumentIds } = await registerContext(service, caller, {
    plant: { ...visitContext.plant, code: codes.plant },
    tester: { ...visitContext.tester, code: codes.tester },
    instruments: [{ code: codes.instrument, kind: 'electric-sounder' }],
  })
  const sheet = sheetWith({
    '/plant': codes.plant,
    '/tester': codes.tester,
    '/instruments': { level: codes.instrument },
  })
  const { body } = await service.call<{ id: string }>(caller, 'POST /v1/tests', { body: sheet })
  const firmId = service[caller]
  const instrumentId = instrumentIds[codes.instrument]!
  const keyId = service.keys[caller].split('_')[2]!
  return { codes, ids: { firmId, plantId, testerId, instrumentId, testId: body.id, keyId } }
}

async function keyWithoutScopes(role: Role): Promise<string> {
  const owner = role === 'firm' ? { firmId: service.firmA } : role === 'program' ? { programId: service.program } : {}
  return (await createKey(service.deps, { role, name: 'no scope', scopes: [], ...owner })).key
}

/** Ids that look like those of records and belong to none. */
const absent = (): Record<string, string> =>
  Object.fromEntries(
    (['firm', 'plant', 'tester', 'instrument', 'test'] as const).map((noun) => [
      `${noun}Id`,
      toWire(noun, service.deps.newId()),
    ]),
  )

/** Sends an operation. Everything in the answer that changes by itself is fixed. */
async function send(
  key: string | undefined,
  operation: Operation,
  ids: Readonly<Record<string, string>>,
  { query, body }: Ask = {},
  method: Operation['method'] | 'HEAD' = operation.method,
): Promise<{ status: number; text: string }> {
  const path = operation.path.replace(/\{(\w+)\}/g, (_, name: string) => {
    const value = PLANS[operation.id]?.path?.[name] ?? ids[name]
    if (value === undefined) throw new Error(`${operation.id}: nothing known for the path parameter ${name}.`)
    return value
  })
  const { statusCode, payload } = await service.app.inject({
    method,
    url: query === undefined ? path : `${path}?${query}`,
    headers: { 'x-request-id': 'one-id-for-all', ...(key !== undefined && { authorization: `Bearer ${key}` }) },
    ...(body !== undefined && { payload: body }),
  })
  return { status: statusCode, text: payload }
}

/** Every row of every table, in one hash. */
const everything = () =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ name: string }>(
      "select relname::text as name from pg_class where relnamespace = 'll'::regnamespace and relkind = 'r'",
    )
    const hashes = rows.map(
      ({ name }) => `(select md5(string_agg(row::text, ',' order by row::text)) from ll.${name} row) as "${name}"`,
    )
    return (await client.query(`select ${hashes.join(', ')}`)).rows[0] as Record<string, string>
  })

const needsKey = () => operations.filter((operation) => operation.roles !== undefined)
const withIds = () => operations.filter(({ params }) => params.some((name) => name.endsWith('Id')))
let turn = 0
const rightAsk = (operation: Operation, own: Records): Ask => PLANS[operation.id]?.ask?.(own, ++turn) ?? {}

describe('the API description', () => {
  test('has a plan for every operation here, and no other', () => {
    expect(Object.keys(PLANS).toSorted()).toEqual(operations.map(({ id }) => id).toSorted())
  })

  test('knows every route but two, which are open to everyone', () => {
    const described = new Set(operations.map(({ method, path }) => `${method} ${path}`))
    const hidden = routesOf(service.app.printRoutes({ commonPrefix: false })).filter((route) => !described.has(route))
    expect(hidden).toEqual(['GET /openapi.json', 'GET /problems/{code}'])
  })

  test('leaves nothing public but the health of the service', () => {
    const open = operations.filter(({ roles }) => roles === undefined).map(({ id }) => id)
    expect(open).toEqual(['health.live', 'health.ready'])
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
    expect(found).toBe(10)
    // A new parameter or member belongs in one list or the other: does it name a record of a firm?
    const others = new Set(operations.flatMap(({ query, members }) => [...query, ...members]))
    expect([...others].filter((name) => naming[name] === undefined).toSorted()).toMatchInlineSnapshot(`
      [
        "accuracy",
        "bowlDepth",
        "certificate",
        "code",
        "cursor",
        "dischargeCentreAboveDatum",
        "dischargeInsideDiameter",
        "driver",
        "economics",
        "effectiveFrom",
        "equipment",
        "expiresAt",
        "firmId",
        "fullScale",
        "highestFlow",
        "kind",
        "leftOut",
        "limit",
        "meterConstant",
        "meterMultiplier",
        "motorEfficiency",
        "name",
        "normalRun",
        "programId",
        "pumpStoppedBefore",
        "qualifications",
        "ratedPower",
        "ratedVoltage",
        "reference",
        "region",
        "resolution",
        "role",
        "run",
        "runs",
        "scopes",
        "serviceFactor",
        "stages",
        "standingLevel",
        "testedFrom",
        "testedOn",
        "testedTo",
        "trace",
        "validFrom",
        "validUntil",
        "wellDepth",
      ]
    `)
  })
})

/** Method and template of each line of the router's tree; HEAD goes with GET. */
function routesOf(tree: string): string[] {
  const parents: string[] = []
  return tree.split('\n').flatMap((line) => {
    const found = /^([│ ]*)[├└]── (\S+)(?: \((.*)\))?$/.exec(line)
    if (found === null) return []
    const depth = found[1]!.length / 4
    parents.length = depth
    parents.push(found[2]!)
    const path = parents.join('').replace(/:(\w+)/g, '{$1}')
    const methods = (found[3] ?? '').split(', ').filter((method) => method !== '' && method !== 'HEAD')
    return methods.map((method) => `${method} ${path}`)
  })
}

describe('every operation', () => {
  test('asks for a key, and says nothing without one', async () => {
    for (const operation of needsKey()) {
      for (const key of [
        undefined,
        'nonsense',
        service.keys.firmA.replace(/.$/, (last) => (last === 'A' ? 'B' : 'A')),
      ]) {
        const { status, text } = await send(key, operation, ofA.ids, rightAsk(operation, ofA))
        expect(status, operation.id).toBe(401)
        expect(JSON.parse(text), operation.id).toMatchObject({ code: 'unauthenticated' })
      }
    }
  })

  test.each(ROLES)('is closed to the role %s where it is not open to it, and changes nothing', async (role) => {
    const before = await everything()
    let closed = 0
    for (const operation of needsKey()) {
      if (operation.roles!.includes(role)) continue
      const { status, text } = await send(keyOf[role](), operation, ofA.ids, rightAsk(operation, ofA))
      expect(status, operation.id).toBe(403)
      expect(JSON.parse(text), operation.id).toMatchObject({ code: 'forbidden' })
      closed++
    }
    expect(closed).toBeGreaterThan(3)
    expect(await everything()).toEqual(before)
  })

  test.each(ROLES)('is closed to a key of the role %s without scopes, and changes nothing', async (role) => {
    const before = await everything()
    for (const operation of needsKey()) {
      const { status } = await send(scopeless[role], operation, ofA.ids, rightAsk(operation, ofA))
      expect(status, operation.id).toBe(403)
    }
    expect(await everything()).toEqual(before)
  })

  test('is answered to those it is open to, so that the refusals mean something', async () => {
    await giveToProgram(ofA.ids.testId!)
    for (const operation of needsKey()) {
      for (const role of operation.roles!) {
        // What is revoked is a key that nothing needs any more.
        const own = operation.id === 'keys.revoke' ? { ...ofA.ids, keyId: scopeless.auditor.split('_')[2]! } : ofA.ids
        const { status, text } = await send(keyOf[role](), operation, own, rightAsk(operation, ofA))
        expect([200, 201], `${operation.id} as ${role}: ${text}`).toContain(status)
      }
    }
  })
})

async function giveToProgram(testId: string): Promise<void> {
  const firmId = fromWire('firm', service.firmA)!
  const principal = { role: 'firm', keyId: 'firmfirmfirm', firmId, scopes: [] } as const
  await service.deps.databases.asPrincipal(principal, (tx) =>
    tx
      .insertInto('test_program')
      .values({
        test_id: fromWire('test', testId)!,
        program_id: fromWire('program', service.program)!,
        firm_id: firmId,
        tested_on: '2026-05-12',
        turn: 1,
        consent: 'given',
        consented_at: service.deps.now(),
        key_id: principal.keyId,
      })
      .execute(),
  )
}

describe('another firm', () => {
  const isFirms = ({ roles }: Operation) => roles!.includes('firm')

  test('finds at every id what it finds at an id of nobody, and changes nothing', async () => {
    const before = await everything()
    const foreign = withIds().filter(isFirms)
    expect(foreign.length).toBeGreaterThan(8)
    for (const operation of foreign) {
      const [none, ask] = [absent(), rightAsk(operation, ofB)]
      const wrong = {
        plantId: ofA.ids.testId!,
        testerId: ofA.ids.plantId!,
        instrumentId: 'not-an-id',
        testId: ofA.ids.plantId!,
      }
      const same = (text: string, ids: Readonly<Record<string, string>>) =>
        operation.params.reduce((left, name) => (ids[name] ? left.replaceAll(ids[name], 'ID') : left), text)
      const missing = await send(service.keys.firmB, operation, none, ask)
      expect(missing.status, operation.id).toBe(404)
      for (const ids of [ofA.ids, wrong]) {
        const { status, text } = await send(service.keys.firmB, operation, ids, ask)
        expect(status, operation.id).toBe(404)
        expect(same(text, ids), operation.id).toBe(same(missing.text, none))
      }
      if (operation.method !== 'GET') continue
      for (const ids of [ofA.ids, none]) {
        const { status } = await send(service.keys.firmB, operation, ids, ask, 'HEAD')
        expect(status, `HEAD of ${operation.id}`).toBe(404)
      }
    }
    expect(await everything()).toEqual(before)
  })

  test('finds nothing of the first in any list or answer without an id', async () => {
    const secrets = [...Object.values(ofA.ids), ...Object.values(ofA.codes)]
    for (const operation of needsKey().filter(
      (one) => one.method === 'GET' && one.params.length === 0 && isFirms(one),
    )) {
      const { status, text } = await send(service.keys.firmB, operation, {}, rightAsk(operation, ofB))
      expect(status, operation.id).toBe(200)
      for (const secret of secrets) expect(text, operation.id).not.toContain(secret)
    }
    // And the first finds its own there.
    const own = await Promise.all(
      ['plants.list', 'testers.list', 'instruments.list', 'tests.list'].map((id) =>
        send(service.keys.firmA, operations.find((one) => one.id === id)!, {}),
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
    const before = await everything()
    let named = 0
    for (const operation of operations) {
      for (const [noun, ask] of Object.entries(PLANS[operation.id]!.naming ?? {})) {
        const [theirs, nobodys] = [ofA.codes[noun as Noun], `${ofA.codes[noun as Noun]}-none`]
        const foreign = await send(service.keys.firmB, operation, {}, ask(ofB, theirs))
        const unknown = await send(service.keys.firmB, operation, {}, ask(ofB, nobodys))
        expect(foreign.status, operation.id).toBe(unknown.status)
        expect(foreign.text.replaceAll(theirs, 'CODE'), operation.id).toBe(unknown.text.replaceAll(nobodys, 'CODE'))
        if (operation.id.endsWith('.list')) expect(JSON.parse(foreign.text), operation.id).toEqual({ items: [] })
        else expect([foreign.status, JSON.parse(foreign.text).code], operation.id).toEqual([422, 'reference-not-found'])
        named++
      }
    }
    expect(named).toBe(13)
    expect(await everything()).toEqual(before)
  })
})

test('a program finds tests that were not given to it as it finds those of nobody', async () => {
  for (const operation of withIds().filter(({ roles }) => roles!.includes('program'))) {
    const foreign = await send(service.keys.program, operation, ofB.ids)
    const none = absent()
    const missing = await send(service.keys.program, operation, none)
    expect([foreign.status, missing.status], operation.id).toEqual([404, 404])
    expect(foreign.text.replaceAll(ofB.ids.testId!, 'ID')).toBe(missing.text.replaceAll(none.testId!, 'ID'))
  }
})
