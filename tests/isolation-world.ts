/** What the isolation test works with: the operations of the API, the records of two firms, and requests. */
import { onConnection } from '../packages/service/src/db/testing.ts'
import { fromWire, toWire } from '../packages/service/src/http/ids.ts'
import type { Role } from '../packages/service/src/http/principal.ts'
import { publishMonth } from '../packages/service/src/statistics/published/publish.ts'
import {
  type Ask,
  CONSENT,
  DECISION,
  HOLD,
  type Noun,
  PLANS,
  PUBLISHED_MONTH,
  type Records,
} from './isolation-plans.ts'
import { compareAll } from './setup/comparing.ts'
import { visitsToRead } from './setup/quality-visits.ts'
import { draftRules, officeKey, rulesOf } from './setup/rule-sets.ts'
import type { TestService } from './setup/service.ts'
import { registerContext, sheetWith, visitContext } from './setup/visit.ts'

export interface Operation {
  readonly id: string
  readonly method: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE'
  readonly path: string
  readonly params: readonly string[]
  readonly query: readonly string[]
  /** Members of its body. */
  readonly members: readonly string[]
  /** Roles that may call it; undefined for a public operation. */
  readonly roles: readonly Role[] | undefined
}

type Described = Record<string, Record<string, Record<string, unknown>>>

/** Every operation of the API description. */
export function operationsOf(document: Record<string, unknown>): Operation[] {
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
  const { schemas } = components as { schemas: Record<string, { properties?: object }> }
  // A choice of forms has no members of its own.
  return Object.keys(schemas[name]!.properties ?? {})
}

/** Method and template of each line of the router's tree; HEAD goes with GET. */
export function routesOf(tree: string): string[] {
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

/** A firm's plant, tester, instrument and test, made through the routes. */
export async function recordsOf(service: TestService, caller: 'firmA' | 'firmB', letter: string): Promise<Records> {
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
  const submit = async (changes: Readonly<Record<string, unknown>> = {}): Promise<string> => {
    const changed = sheetWith({
      '/plant': codes.plant,
      '/tester': codes.tester,
      '/instruments': { level: codes.instrument },
      ...changes,
    })
    return (await service.call<{ id: string }>(caller, 'POST /v1/tests', { body: changed })).body.id
  }
  const testId = await submit()
  const firmId = service[caller]
  const instrumentId = instrumentIds[codes.instrument]!
  const keyId = service.keys[caller].split('_')[2]!
  const { body: principal } = await service.call<{ id: string }>('admin', 'POST /v1/token-principals', {
    body: { issuer: 'https://issuer.example', subject: `person of ${letter}`, role: 'firm', firmId, name: 'a token' },
  })
  const note = { body: { kind: 'remark', text: `A remark of ${caller}` } }
  const { body: noted } = await service.call<{ id: string }>(caller, `POST /v1/tests/${testId}/notes`, note)
  // Plants for others to ask access to: what stands in a request is no secret to who made it.
  for (const number of ['02', '03']) {
    await service.call(caller, 'POST /v1/plants', { body: { code: `${letter}M-${number}`, kind: 'well' } })
  }
  const [noteId, principalId] = [noted.id, principal.id]
  // What a deed closes is a test that nothing else needs.
  const deeds = {
    testToReviseId: await submit(),
    testToWithdrawId: await submit(),
    testInQuestionId: await submit(HOLD),
    decisionId: toWire('decision', service.deps.newId()),
  }
  return { codes, ids: { firmId, plantId, testerId, instrumentId, testId, noteId, keyId, principalId, ...deeds } }
}

/** What two firms have to do with each other and with programs, added to the records of both. */
export async function introduce(service: TestService, ofA: Records, ofB: Records): Promise<[Records, Records]> {
  const second = { body: { name: 'Second Program (invented)' } }
  const { body: program } = await service.call<{ id: string }>('admin', 'POST /v1/programs', second)
  const programs = [service.program, program.id]
  const request = async (caller: 'firmA' | 'firmB', plantCode: string): Promise<string> => {
    const call = { body: { plantCode, consent: CONSENT } }
    return (await service.call<{ id: string }>(caller, 'POST /v1/access-requests', call)).body.id
  }
  const decisionId = await decided(service, ofA.ids.testInQuestionId!)
  const given = { body: { programId: program.id, consent: CONSENT } }
  await service.call('firmB', `POST /v1/tests/${ofB.ids.testId}/programs`, given)
  const officeOf = async (programId: string) => ({
    ...(await rulesToRead(service, programId)),
    ...(await visitsToRead(service, programId)),
  })
  const ofPrograms = { [programs[0]!]: await officeOf(programs[0]!), [programs[1]!]: await officeOf(programs[1]!) }
  // At the end of a year its tests come in, however few they are.
  const end = new Date(Date.UTC(2100, 0, 1))
  await publishMonth(service.deps.databases.statistics, { month: PUBLISHED_MONTH, end, at: end })
  const add = (own: Records, other: Records, accessRequestId: string, [programId, otherProgramId]: string[]) => ({
    ...own,
    askable: other.codes.plant.replace(/01$/, '03'),
    ids: {
      ...own.ids,
      accessRequestId,
      programId: programId!,
      otherProgramId: otherProgramId!,
      otherFirmId: other.ids.firmId!,
      ...ofPrograms[programId!]!,
    },
  })
  await compareAll(service)
  const ofADecided = { ...ofA, ids: { ...ofA.ids, decisionId } }
  return [
    add(ofADecided, ofB, await request('firmA', 'BM-02'), programs),
    add(ofB, ofA, await request('firmB', 'AM-02'), programs.toReversed()),
  ]
}

/** Drafts of somebody in the office of a program, each tried: one to change, one for another to publish. */
async function rulesToRead(service: TestService, programId: string): Promise<Record<string, string>> {
  const author = await officeKey(service, programId, 'P-9')
  const { ruleSetId, dryRunId } = await draftRules(service, author, rulesOf('ambermoor-1'))
  const toPublish = await draftRules(service, author, rulesOf('ambermoor-1'))
  return { ruleSetId, dryRunId, ruleSetToPublishId: toPublish.ruleSetId }
}

/** The program is given the test and decides on it. Answers the id of the decision. */
async function decided(service: TestService, testId: string): Promise<string> {
  await giveToProgram(service, testId)
  const address = `POST /v1/tests/${testId}/decisions` as const
  const { status, body } = await service.call<{ id: string }>('program', address, { body: DECISION })
  if (status !== 201) throw new Error(`The decision answered ${status}: ${JSON.stringify(body)}`)
  return body.id
}

/** Ids that look like those of records and belong to none. */
export const absentIds = ({ deps }: TestService): Record<string, string> => ({
  ...Object.fromEntries(
    (['firm', 'program', 'plant', 'tester', 'instrument', 'test', 'note', 'decision'] as const).map((noun) => [
      `${noun}Id`,
      toWire(noun, deps.newId()),
    ]),
  ),
  accessRequestId: toWire('access request', deps.newId()),
  otherFirmId: toWire('firm', deps.newId()),
  otherProgramId: toWire('program', deps.newId()),
  ruleSetId: toWire('rule set', deps.newId()),
  ruleSetToPublishId: toWire('rule set', deps.newId()),
  dryRunId: toWire('dry run', deps.newId()),
  drawId: toWire('quality draw', deps.newId()),
  drawToDrawId: toWire('quality draw', deps.newId()),
  visitId: toWire('quality visit', deps.newId()),
  testToReviseId: toWire('test', deps.newId()),
  testToWithdrawId: toWire('test', deps.newId()),
  testInQuestionId: toWire('test', deps.newId()),
})

/** Sends an operation. Everything in the answer that changes by itself is fixed. */
export async function send(
  service: TestService,
  key: string | undefined,
  operation: Operation,
  ids: Readonly<Record<string, string>>,
  { query, body }: Ask = {},
  method: Operation['method'] | 'HEAD' = operation.method,
): Promise<{ status: number; text: string }> {
  const path = operation.path.replace(/\{(\w+)\}/g, (_, name: string) => {
    const plan = PLANS[operation.id]
    const value = plan?.path?.[name] ?? ids[plan?.alias?.[name] ?? name]
    if (value === undefined) throw new Error(`${operation.id}: nothing known for the path parameter ${name}.`)
    return value
  })
  const { statusCode, payload } = await service.app.inject({
    method,
    url: query === undefined ? path : `${path}?${query}`,
    headers: {
      'x-request-id': 'one-id-for-all',
      ...(key !== undefined && { authorization: `Bearer ${key}` }),
      ...(operation.method !== 'GET' && { 'if-match': '*' }),
    },
    ...(body !== undefined && { payload: body }),
  })
  return { status: statusCode, text: payload }
}

/**
 * Every row of every table, in one hash, with the tree of the ledger grown over all entries. Not who read what: that
 * grows with every read, and a moment after it.
 */
export const everyRow = async ({ app, databaseUrl }: TestService) => {
  await app.ledger.settle()
  return onConnection(databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ name: string }>(
      "select relname::text as name from pg_class where relnamespace = 'll'::regnamespace and relkind = 'r' and relname not like 'read\\_log%'",
    )
    const hashes = rows.map(
      ({ name }) => `(select md5(string_agg(row::text, ',' order by row::text)) from ll.${name} row) as "${name}"`,
    )
    return (await client.query(`select ${hashes.join(', ')}`)).rows[0] as Record<string, string>
  })
}

/** The grower's consent, recorded by firm A. */
export async function giveToProgram(service: TestService, testId: string): Promise<void> {
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
