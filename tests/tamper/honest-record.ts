/** An honest record: two firms, their plants and instruments, some hundred tests, notes, erasures, programs; all through the API. */
import { readFileSync } from 'node:fs'
import type { Context, Sheet } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import type { FastifyInstance } from 'fastify'
import { createKey } from '../../packages/service/src/access/create-key.ts'
import { buildApp } from '../../packages/service/src/app.ts'
import { loadConfig } from '../../packages/service/src/config.ts'
import { openDatabases } from '../../packages/service/src/db/database.ts'
import type { Deps } from '../../packages/service/src/deps.ts'
import { DocumentKeeper } from '../../packages/service/src/evaluation-documents/keep.ts'
import { uuidMaker } from '../../packages/service/src/http/ids.ts'
import { newSalt } from '../../packages/service/src/http/random.ts'
import { makeLog } from '../../packages/service/src/log.ts'
import { RecordComparer } from '../../packages/service/src/record-findings/compare.ts'
import type { Chance } from './chance.ts'
import { type Call, drawVisits, type Made } from './honest-visits.ts'

/** Signs nothing but trials. */
const SIGNING_KEY = Buffer.from(`302e020100300506032b657004220420${'7e'.repeat(32)}`, 'hex').toString('base64')
const UNLIMITED = {
  RATE_PER_MINUTE: '0',
  FAILURES_PER_MINUTE: '0',
  PUBLIC_PER_MINUTE: '0',
  EVENT_LOOP_DELAY_MS_MAX: '0',
  QUEUE_AGE_MS_MAX: '0',
}

const FIRMS = [
  'Ostrel Field Measurement (invented)',
  'Sedgewater Field Services (invented)',
  'Vennhollow Water Testing (invented)',
]

/** A firm with what it registered, ready to test. */
interface Firm {
  readonly key: string
  readonly visits: readonly { readonly sheet: Sheet; readonly context: Context }[]
}

/**
 * Fills the migrated database at this URL and leaves it at rest, every entry under a checkpoint.
 *
 * @param tests how many are submitted, revisions apart
 */
export async function makeHonestRecord(
  url: string,
  { tests, chance }: { tests: number; chance: Chance },
): Promise<void> {
  const log = makeLog('silent')
  const databases = await openDatabases(url, { production: false, log })
  const deps: Deps = {
    databases,
    config: loadConfig({
      DATABASE_URL: url,
      KEY_PEPPER: 'a pepper for trials, at least 32 characters',
      LEDGER_SIGNING_KEY: SIGNING_KEY,
      LEDGER_ORIGIN: 'liftledger.example',
      ...UNLIMITED,
    }),
    log,
    now: () => new Date(),
    newId: uuidMaker(Date.now),
    newSalt,
  }
  const app = await buildApp(deps)
  try {
    await play(app, deps, { tests, chance })
    await app.ledger.settle()
    const keeper = new DocumentKeeper(deps)
    while (await keeper.step());
    const comparer = new RecordComparer({ ...deps, ledger: app.ledger })
    while (await comparer.step());
    await app.ledger.settle()
  } finally {
    await app.close()
    await databases.close()
  }
}

async function play(
  app: FastifyInstance,
  deps: Deps,
  { tests, chance }: { tests: number; chance: Chance },
): Promise<void> {
  const call = caller(app)
  const { key: admin } = await createKey(deps, { role: 'admin', name: 'Administrator' })
  const program = await call(admin, 'POST /v1/programs', { name: 'Ambermoor Basin Program (invented)' })
  const reader = await call<{ key: string }>(admin, 'POST /v1/keys', {
    role: 'program',
    programId: program.id,
    name: 'Reader of the program',
  })
  await publishRules(call, admin, program.id)
  const firms: Firm[] = []
  for (const [place, name] of FIRMS.entries()) firms.push(await openFirm(call, admin, name, place))
  for (let n = 0; n < tests; n++) {
    const firm = firms[n % firms.length]!
    const { sheet } = chance.of(firm.visits)
    const submitted = await call<Tested>(firm.key, 'POST /v1/tests', varied(sheet, chance), keyed(n, chance))
    const life = new Life({ call, firm: firm.key, reader: reader.key, program: program.id, chance })
    await life.go(submitted, sheet, n)
    // So that there are many checkpoints, of few entries and of many.
    if (chance.below(20) === 0) await app.ledger.settle()
    if (n % DRAW_AFTER === DRAW_AFTER - 1) await drawVisits(call, admin, program.id, chance)
  }
}

/** Quality visits are drawn each time that so many tests came in. */
const DRAW_AFTER = 8
const VERSIONS = 12
const RULES = JSON.parse(
  readFileSync(new URL('../../seed/rule-sets/ambermoor-1.json', import.meta.url), 'utf8'),
) as object

/** A version for a year; every third comes after a pause of a month. */
function rulesOf(version: number): object {
  const year = 2014 + version
  const pause = version > 1 && version % 3 === 0
  const days = { inForceFrom: `${year}-${pause ? '02' : '01'}-01`, inForceTo: `${year}-12-31` }
  return { ...RULES, version, ...days, ...(pause && { pausedFrom: `${year}-01-01` }) }
}

/** Versions of rules, written by one person and published by another. */
async function publishRules(call: Call, admin: string, programId: string): Promise<void> {
  const keyOf = async (holder: string): Promise<string> =>
    (await call<{ key: string }>(admin, 'POST /v1/keys', { role: 'program', programId, name: 'Office', holder })).key
  const [author, publisher] = [await keyOf('P-1'), await keyOf('P-2')]
  for (let version = 1; version <= VERSIONS; version++) {
    const { id } = await call(author, 'POST /v1/rule-sets', rulesOf(version))
    const run = await call(author, `POST /v1/rule-sets/${id}/dry-runs`)
    while ((await call<{ state: string }>(author, `GET /v1/dry-runs/${run.id}`)).state === 'running');
    // What was read is what is published: whatever its tag.
    await call(publisher, `POST /v1/rule-sets/${id}/publication`, undefined, { 'if-match': '*' })
  }
}

/** Most requests come with a key. */
const keyed = (n: number, chance: Chance): Record<string, string> =>
  chance.below(10) > 0 ? { 'idempotency-key': `trial-${n}-${chance.below(1_000_000)}` } : {}

interface Tested extends Made {
  readonly findings: readonly {
    readonly id: string
    readonly severity: string
    readonly run?: number
    readonly place: string
  }[]
}

interface Parties {
  readonly call: Call
  /** Keys. */
  readonly firm: string
  readonly reader: string
  readonly program: string
  readonly chance: Chance
}

/** What else happens to one test and another. */
class Life {
  readonly #with: Parties

  constructor(parties: Parties) {
    this.#with = parties
  }

  async go(test: Tested, sheet: Sheet, n: number): Promise<void> {
    const { chance } = this.#with
    if (chance.below(2) === 0) await this.#note(test.id, n)
    if (chance.below(3) === 0) await this.#give(test, n)
    if (chance.below(6) === 0) await this.#revise(test.id, sheet, n)
    else if (chance.below(8) === 0) await this.#withdraw(test.id)
  }

  async #note(id: string, n: number): Promise<void> {
    const { call, firm, chance } = this.#with
    const note = await call(firm, `POST /v1/tests/${id}/notes`, {
      kind: 'remark',
      text: `The gate sticks, visit ${n}.`,
    })
    if (chance.below(3) === 0) await call(firm, `DELETE /v1/tests/${id}/notes/${note.id}`)
  }

  async #give({ id, findings }: Tested, n: number): Promise<void> {
    const { call, firm, reader, program, chance } = this.#with
    const consent = { by: 'grower', givenAt: '2026-06-10T09:00:00Z', evidence: `C-${n}` }
    await call(firm, `POST /v1/tests/${id}/programs`, { programId: program, consent })
    for (const { id: finding, run, place } of findings.filter(({ severity }) => severity === 'hold')) {
      const about = { finding, ...(run !== undefined && { run }), place }
      for (const outcome of chance.below(2) === 0 ? ['stands'] : ['stands', 'does-not-stand']) {
        const words = { reader: 'R-07', reason: `The photograph of visit ${n} shows the gauge at rest.` }
        const decision = await call(reader, `POST /v1/tests/${id}/decisions`, { ...about, outcome, ...words })
        if (chance.below(3) === 0) await call(reader, `DELETE /v1/tests/${id}/decisions/${decision.id}/words`)
      }
    }
    if (chance.below(3) > 0) return
    await call(firm, `POST /v1/tests/${id}/programs/${program}/withdrawal`, { withdrawnAt: '2026-06-11T09:00:00Z' })
  }

  async #revise(id: string, sheet: Sheet, n: number): Promise<void> {
    const { call, firm, chance } = this.#with
    const route = (of: string, reason: string) => `POST /v1/tests/${of}/revisions?reason=${reason}`
    const next = await call(firm, route(id, 'misread'), varied(sheet, chance), keyed(n, chance))
    const then = chance.below(3)
    if (then === 0) await call(firm, route(next.id, 'mistyped'), varied(sheet, chance), keyed(n, chance))
    if (then === 1) await this.#withdraw(next.id)
  }

  async #withdraw(id: string): Promise<void> {
    const { call, firm, chance } = this.#with
    await call(firm, `POST /v1/tests/${id}/withdrawal`, { reason: chance.of(['sent-twice', 'practice']) })
  }
}

/** Registers a firm with the plants, people and instruments of those visits whose records don't contradict each other. */
async function openFirm(call: Call, admin: string, name: string, place: number): Promise<Firm> {
  const firm = await call(admin, 'POST /v1/firms', { name })
  const { key } = await call<{ key: string }>(admin, 'POST /v1/keys', {
    role: 'firm',
    firmId: firm.id,
    name: 'Field software',
  })
  const registered = new Map<string, string>()
  const visits: Firm['visits'][number][] = []
  for (const { sheet, context } of goldenCases()) {
    // A plant belongs to whoever registers it, so each firm has codes of its own.
    const code = `${context.plant.code}-${place + 1}`
    const own = { sheet: { ...sheet, plant: code }, context: { ...context, plant: { ...context.plant, code } } }
    const records = recordsOf(own.context)
    if (records.some(({ id, body }) => registered.has(id) && registered.get(id) !== JSON.stringify(body))) continue
    for (const { id, noun, body } of records) {
      if (registered.has(id)) continue
      registered.set(id, JSON.stringify(body))
      await call(key, `POST /v1/${noun}`, body)
    }
    visits.push(own)
  }
  return { key, visits }
}

function recordsOf({ plant, tester, instruments }: Context) {
  const { equipment, ...rest } = plant
  const { revision: _, ...facts } = equipment ?? { revision: 0 }
  return [
    { id: `plant ${plant.code}`, noun: 'plants', body: { ...rest, ...(equipment && { equipment: facts }) } },
    { id: `tester ${tester.code}`, noun: 'testers', body: tester },
    ...instruments.map((instrument) => ({
      id: `instrument ${instrument.code}`,
      noun: 'instruments',
      body: { ...instrument, effectiveFrom: '2025-01-01' },
    })),
  ]
}

/** The visit with other readings of pressure, so that no two sheets are alike. */
export function varied(sheet: Sheet, chance: Chance): Sheet {
  const factor = 0.97 + 0.06 * chance.share()
  const text = JSON.stringify(sheet).replaceAll(
    /("value":)([0-9.]+)(,"unit":"(?:psi|kPa)")/g,
    (_, before: string, value: string, after: string) =>
      `${before}${Number((Number(value) * factor).toFixed(3))}${after}`,
  )
  const other = JSON.parse(text) as Sheet
  return { ...other, pumpStoppedBefore: sheet.pumpStoppedBefore } as Sheet
}

const caller =
  (app: FastifyInstance): Call =>
  async (key, route, body, headers = {}) => {
    const [method, url] = route.split(' ') as ['POST', string]
    const response = await app.inject({
      method,
      url,
      headers: {
        authorization: `Bearer ${key}`,
        ...(body !== undefined && { 'content-type': 'application/json' }),
        ...headers,
      },
      ...(body !== undefined && { payload: JSON.stringify(body) }),
    })
    if (response.statusCode >= 300) throw new Error(`${route} answered ${response.statusCode}: ${response.body}`)
    return response.json()
  }
