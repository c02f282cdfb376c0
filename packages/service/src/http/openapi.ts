/**
 * The API description (OpenAPI 3.1), made from the route schemas alone.
 *
 * Each titled object becomes a named component. What a route need not say, since it follows from who may call it
 * and what it takes, is added here: the problems it can answer, its security, the fields of its answers.
 */
import { STATUS_CODES } from 'node:http'
import swagger from '@fastify/swagger'
import type { FastifyInstance, RouteOptions } from 'fastify'
import type { Access } from './auth.ts'
import { isList } from './caching.ts'
import { hoistNamed, sorted } from './named-schemas.ts'
import { CATALOGUE, type ProblemCode, ProblemDocument } from './problem.ts'

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Problems of this operation beside those that follow from access, path, query and body. */
    problems?: readonly ProblemCode[]
    /** What the description calls the rest of a path that ends in `*`. */
    wildcard?: string
  }
  interface FastifyInstance {
    /** The API description; the same bytes for the same routes. */
    apiDocument(): Promise<Record<string, unknown>>
  }
}

const SECURITY = 'apiKey'

/** What each group of operations is for. */
const TAGS: Readonly<Record<string, string>> = {
  Context: 'The records an evaluation leans on, for work without a signal.',
  Decisions: 'What programs decide on findings that hold a test up.',
  Evaluations: 'The calculation alone: a sheet in, results and findings out, nothing stored.',
  Firms: 'Firms that test pumping plants.',
  Health: 'Whether a process lives and can be sent requests.',
  Instruments: 'Instruments of a firm with their certificates, by revision.',
  Ledger: 'The log of everything that happened: signed checkpoints, proofs, and files to verify offline.',
  Keys: 'API keys: make, list, rotate, end; and whom tokens stand for.',
  Method: 'How figures come about: editions, formulas with their sources, units, findings, cautions.',
  Notes: 'Names, telephone numbers and free text beside a test; erasable.',
  Plants: 'Pumping plants with their equipment, by revision, and the firms that may see them.',
  Programs: 'Programs that tests are given to.',
  'Quality visits': 'Tests that are tested again by another firm: how they are drawn, and how both compare.',
  'Rule sets': 'What programs pay for, as versions of rules; and how a test is judged by them.',
  Statistics: 'Grouped figures over tests, with intervals, and what was left out.',
  Testers: 'People who test, by code, with their qualifications.',
  Tests: 'Submit a test; read its results, its findings and the trace of each figure.',
  'Work lists': 'What needs a person: plants that are due or fall, papers that lapse, levels that fall.',
}

export async function registerOpenApi(app: FastifyInstance, version: string): Promise<void> {
  const routes = new Map<string, RouteOptions>()
  app.addHook('onRoute', (route) => {
    const { operationId, hide } = route.schema ?? {}
    if (route.method === 'HEAD' || hide === true) return
    if (operationId === undefined) throw new Error(`Route ${route.method} ${route.url} needs an operationId.`)
    if (!/^[a-z][A-Za-z]*\.[a-z][A-Za-z]*$/.test(operationId)) {
      throw new Error(`operationId '${operationId}' must be written noun.verb.`)
    }
    if (routes.has(operationId)) throw new Error(`operationId '${operationId}' is used twice.`)
    routes.set(operationId, route)
  })
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Liftledger',
        version,
        description:
          'Irrigation pump tests: readings in; results with uncertainty, findings, trace and a tamper-evident record out.',
        license: { name: 'Apache-2.0', identifier: 'Apache-2.0' } as { name: string },
      },
      servers: [{ url: '/' }],
      components: {
        securitySchemes: {
          [SECURITY]: {
            type: 'http',
            scheme: 'bearer',
            description:
              'An API key, as Authorization: Bearer llk_…; or a token of the OpenID Connect issuer that the service trusts, ' +
              'where it trusts one.',
          },
        },
      },
    },
    hideUntagged: false,
  })
  let document: Record<string, unknown> | undefined
  app.decorate('apiDocument', async () => {
    await app.ready()
    document ??= complete(app.swagger() as unknown as Json, routes)
    return document
  })
}

type Json = Record<string, unknown>

function complete(document: Json, routes: ReadonlyMap<string, RouteOptions>): Json {
  nameWildcards(document, routes)
  const tags = new Set<string>()
  for (const operation of operations(document)) {
    const route = routes.get(String(operation.operationId))
    if (route === undefined) throw new Error(`Operation ${String(operation.operationId)} belongs to no route.`)
    for (const tag of (operation.tags as string[] | undefined) ?? []) tags.add(tag)
    describe(operation, route)
  }
  document.tags = [...tags].toSorted().map((name) => ({ name, description: TAGS[name] }))
  return sorted(hoistNamed(document)) as Json
}

/** A description has no word for the rest of a path: it becomes a parameter, whose own description says what it holds. */
function nameWildcards(document: Json, routes: ReadonlyMap<string, RouteOptions>): void {
  const paths = document.paths as Record<string, Record<string, Json>>
  for (const [path, methods] of Object.entries(paths)) {
    if (!path.endsWith('{*}')) continue
    const [operation] = Object.values(methods)
    const { wildcard } = routes.get(String(operation?.operationId))?.config ?? {}
    if (wildcard === undefined) throw new Error(`Route ${path} must say what the rest of its path is called.`)
    delete paths[path]
    paths[path.replace('{*}', `{${wildcard}}`)] = methods
    for (const parameter of (operation?.parameters ?? []) as Json[]) {
      if (parameter.name === '*') parameter.name = wildcard
    }
  }
}

function* operations(document: Json): Generator<Json> {
  for (const path of Object.values(document.paths as Record<string, Json>)) {
    for (const operation of Object.values(path)) yield operation as Json
  }
}

function describe(operation: Json, route: RouteOptions): void {
  const access = route.config?.access as Access
  if (access === 'public') {
    operation.security = []
  } else {
    operation.security = [{ [SECURITY]: [] }]
    operation['x-roles'] = access.roles
    operation['x-scope'] = access.scope
    if (route.config?.readLog !== undefined) operation['x-read-log'] = route.config.readLog.of
  }
  // What has a default may be left out.
  for (const parameter of (operation.parameters as Json[] | undefined) ?? []) {
    if ((parameter.schema as Json | undefined)?.default !== undefined) delete parameter.required
  }
  if (route.config?.deprecated !== undefined) operation.deprecated = true
  const responses = operation.responses as Record<string, Json>
  if (
    route.method === 'GET' &&
    (access !== 'public' || route.url.startsWith('/v1/')) &&
    !isList(route.schema?.querystring)
  ) {
    responses['304'] = { description: 'What If-None-Match names is still what would be answered.', headers: TAGGED }
    responses['200']!.headers = TAGGED
  }
  for (const [status, response] of Object.entries(responses)) {
    if (response.description === 'Default Response') response.description = STATUS_CODES[status]
    if (status === '201')
      response.headers = {
        Location: header('Address of what was created, or of the record or list that it was added to.'),
        ...ofRepeats(route),
        ...ofReceipts(route),
      }
  }
  for (const [status, codes] of byStatus(problemsOf(route))) responses[status] = problemResponse(status, codes)
}

/** Every problem an operation can answer: what follows from its declaration, and what it adds. */
export function problemsOf(route: Pick<RouteOptions, 'config' | 'method' | 'schema'>): ProblemCode[] {
  const { config, method, schema } = route
  // A key in the address is refused everywhere.
  const codes = new Set<ProblemCode>(['internal', 'invalid-request', ...(config?.problems ?? [])])
  const add = (...more: ProblemCode[]) => {
    for (const code of more) codes.add(code)
  }
  if (config?.access !== 'public') {
    add('unauthenticated', 'forbidden', 'issuer-unavailable', 'database-unavailable', 'timeout')
  }
  if (config?.probe !== true) add('rate-limited', 'overloaded')
  if (method !== 'GET') add('too-large', 'unsupported-media-type', 'request-timeout')
  if (schema?.body !== undefined) add('malformed-json', 'number-out-of-range')
  const query = (schema?.querystring as { properties?: object } | undefined)?.properties
  if (query !== undefined && 'cursor' in query) add('invalid-cursor')
  if (schema?.params !== undefined) add('not-found')
  return [...codes].toSorted()
}

function byStatus(codes: readonly ProblemCode[]): Map<string, ProblemCode[]> {
  const groups = new Map<string, ProblemCode[]>()
  for (const code of codes) {
    const status = String(CATALOGUE[code].status)
    groups.set(status, [...(groups.get(status) ?? []), code])
  }
  return groups
}

function problemResponse(status: string, codes: readonly ProblemCode[]): Json {
  const waits = status === '429' || status === '503' || codes.includes('idempotency-in-progress')
  return {
    description: codes.map((code) => `\`${code}\`: ${CATALOGUE[code].title}.`).join(' '),
    content: { 'application/problem+json': { schema: structuredClone({ ...ProblemDocument }) } },
    'x-codes': codes,
    ...(waits && { headers: { 'Retry-After': RETRY_AFTER, ...(status === '429' && RATE_LIMIT) } }),
    ...(status === '401' && { headers: { 'WWW-Authenticate': header('`Bearer`.') } }),
  }
}

/** Where a submission has a key of its own, its answer says whether it is a repeated one. */
const ofRepeats = ({ schema }: RouteOptions): Json => {
  const fields = (schema?.headers as { properties?: object } | undefined)?.properties ?? {}
  if (!('idempotency-key' in fields)) return {}
  return {
    'Idempotent-Replayed': header('`true` where the submission was stored before and this is its answer again.'),
  }
}

/** What appends an entry to the ledger is promised. */
const ofReceipts = ({ config }: RouteOptions): Json => {
  if (config?.receipted !== true) return {}
  return {
    'Ledger-Receipt': header(
      'The log’s signed promise that the entry stands in it, as JSON: `origin`, `first`, `count`, `at`, `index`, ' +
        '`leafHash`, `path`, `keyId`, `signature`. Signed (Ed25519, by the key with that id of `/v1/ledger/keys`) is a ' +
        'text of six lines, each ended by a newline: `liftledger-receipt/v1`, `origin`, `first`, `count`, a root in ' +
        'base 64, `at`. The root is that of the tree over the `count` leaves from `first` on (RFC 6962), to which ' +
        '`path` leads from `leafHash` at place `index - first`.',
      // Name of the log, and a hash for each doubling of what is stored together.
      2_000,
    ),
  }
}

/** A short strong tag; If-None-Match is left to HTTP, as its caches know it. */
const TAGGED: Json = {
  ETag: {
    description: 'Tag of this state and encoding, for If-None-Match and If-Match.',
    schema: { type: 'string', maxLength: 60 },
  },
}

const header = (description: string, maxLength = 200): Json => ({ description, schema: { type: 'string', maxLength } })
/** On every answer to a key, in truth; told where it matters. */
const RATE_LIMIT: Json = {
  RateLimit: header('What is left, `r`, and the seconds until all is there again, `t`; on every answer to a key.'),
  'RateLimit-Policy': header('Requests, `q`, in a number of seconds, `w`; on every answer to a key.'),
}
const RETRY_AFTER: Json = {
  description: 'Seconds to wait before repeating.',
  schema: { type: 'integer', minimum: 0, maximum: 86_400 },
}
