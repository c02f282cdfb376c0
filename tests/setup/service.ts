/** A whole service on a database of its own: keys of each role, two firms, a clock that can be moved. */
import type { FastifyInstance, InjectOptions } from 'fastify'
import { pino } from 'pino'
import { createKey } from '../../packages/service/src/access/create-key.ts'
import { buildApp } from '../../packages/service/src/app.ts'
import { type Config, loadConfig } from '../../packages/service/src/config.ts'
import { openDatabases } from '../../packages/service/src/db/database.ts'
import type { Deps } from '../../packages/service/src/deps.ts'
import { toWire, uuidMaker } from '../../packages/service/src/http/ids.ts'
import type { Principal, Role } from '../../packages/service/src/http/principal.ts'
import { newSalt } from '../../packages/service/src/http/random.ts'
import { makeLog } from '../../packages/service/src/log.ts'
import { type Answer, AnswerCheck } from './answers.ts'
import { cloneDatabase } from './database.ts'

export const TEST_PEPPER = 'a pepper for tests, at least 32 characters long'

/** Who calls; `nobody` sends no key. */
export type Caller = 'firmA' | 'firmB' | 'program' | 'auditor' | 'keeper' | 'admin' | 'nobody'

export interface Call {
  /** Sent as JSON; a text or bytes are sent as they are, as JSON too. */
  readonly body?: unknown
  readonly headers?: Readonly<Record<string, string>>
}

export interface TestService {
  readonly app: FastifyInstance
  readonly deps: Deps
  /** URL of its database. */
  readonly databaseUrl: string
  /** Keys by caller. */
  readonly keys: Readonly<Record<Exclude<Caller, 'nobody'>, string>>
  /** Wire ids of the firms and the program. */
  readonly firmA: string
  readonly firmB: string
  readonly program: string
  /** Every line logged so far. */
  readonly log: readonly string[]
  /** Moves the clock of the service forward. */
  advance(ms: number): void
  /** Calls without a socket; the answer is held against the API description. `body` is parsed where it is JSON. */
  call<B = Record<string, unknown>>(
    caller: Caller,
    route: `${string} ${string}`,
    call?: Call,
  ): Promise<Answer & { readonly body: B }>
  /** Opens a socket and answers its URL. */
  listen(): Promise<string>
  close(): Promise<void>
}

/** Without limits: tests ask more than anyone would, on a machine that does more than test. */
export const UNLIMITED = {
  RATE_PER_MINUTE: '0',
  FAILURES_PER_MINUTE: '0',
  PUBLIC_PER_MINUTE: '0',
  EVENT_LOOP_DELAY_MS_MAX: '0',
  QUEUE_AGE_MS_MAX: '0',
}

/** Signs nothing but tests. */
export const TEST_SIGNING_KEY = Buffer.from(`302e020100300506032b657004220420${'5a'.repeat(32)}`, 'hex').toString(
  'base64',
)
const LEDGER = { LEDGER_SIGNING_KEY: TEST_SIGNING_KEY, LEDGER_ORIGIN: 'liftledger.example' }

const OPERATOR: Principal = { role: 'admin', keyId: 'operator', scopes: [] }

/** `environment` holds settings by the name of their variable. */
export async function startTestService(environment: Readonly<Record<string, string>> = {}): Promise<TestService> {
  const database = await cloneDatabase()
  const log: string[] = []
  const logger = makeLog('info', { write: (line) => void log.push(line) })
  const databases = await openDatabases(database.url, { production: false, log: pino({ level: 'silent' }) })
  const config: Config = {
    ...loadConfig({ DATABASE_URL: database.url, KEY_PEPPER: TEST_PEPPER, ...LEDGER, ...UNLIMITED, ...environment }),
    publicUrl: 'https://liftledger.example',
  }
  let shiftMs = 0
  const now = () => new Date(Date.now() + shiftMs)
  const deps: Deps = {
    databases,
    config,
    log: logger,
    now,
    newId: uuidMaker(() => now().getTime()),
    newSalt,
  }
  const world = await populate(deps)
  const app = await buildApp(deps)
  const check = new AnswerCheck(await app.apiDocument())
  return {
    app,
    deps,
    databaseUrl: database.url,
    ...world,
    log,
    advance: (ms) => {
      shiftMs += ms
    },
    async call(caller, route, call = {}) {
      const [method, url] = route.split(' ') as [NonNullable<InjectOptions['method']>, string]
      const response = await app.inject(
        requestOf(method, url, call, caller === 'nobody' ? undefined : world.keys[caller]),
      )
      const isJson = /json/.test(String(response.headers['content-type']))
      const answer = {
        status: response.statusCode,
        headers: response.headers,
        body: isJson ? response.json() : response.body,
      }
      check.expectDeclared(method, url, answer)
      return answer
    },
    listen: () => app.listen({ host: '127.0.0.1', port: 0 }),
    async close() {
      await app.close()
      await databases.close()
      await database.drop()
    },
  }
}

function requestOf(
  method: NonNullable<InjectOptions['method']>,
  url: string,
  { body, headers }: Call,
  key: string | undefined,
): InjectOptions {
  const raw = typeof body === 'string' || body instanceof Uint8Array ? body : JSON.stringify(body)
  return {
    method,
    url,
    headers: {
      ...(key !== undefined && { authorization: `Bearer ${key}` }),
      ...(body !== undefined && { 'content-type': 'application/json' }),
      ...headers,
    },
    ...(raw !== undefined && { payload: typeof raw === 'string' ? raw : Buffer.from(raw) }),
  }
}

async function populate(deps: Deps): Promise<Pick<TestService, 'keys' | 'firmA' | 'firmB' | 'program'>> {
  const [firmA, firmB, program] = [deps.newId(), deps.newId(), deps.newId()]
  await deps.databases.asPrincipal(OPERATOR, async (tx) => {
    await tx
      .insertInto('firm')
      .values([
        { id: firmA, name: 'Ambermoor Pump Testing (invented)' },
        { id: firmB, name: 'Sedgewater Field Services (invented)' },
      ])
      .execute()
    await tx.insertInto('program').values({ id: program, name: 'Ambermoor Basin Program (invented)' }).execute()
  })
  const keyOf = async (
    role: Role,
    owner: { firmId?: string; programId?: string; holder?: string } = {},
  ): Promise<string> => (await createKey(deps, { role, name: `${role} of a test`, ...owner })).key
  return {
    keys: {
      firmA: await keyOf('firm', { firmId: toWire('firm', firmA) }),
      firmB: await keyOf('firm', { firmId: toWire('firm', firmB) }),
      program: await keyOf('program', { programId: toWire('program', program), holder: 'P-1' }),
      auditor: await keyOf('auditor'),
      keeper: await keyOf('keeper'),
      admin: await keyOf('admin'),
    },
    firmA: toWire('firm', firmA),
    firmB: toWire('firm', firmB),
    program: toWire('program', program),
  }
}
