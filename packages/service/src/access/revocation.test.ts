/** A key that ends: where it still works, for how long, and what becomes of what was sent with it. */
import type { FastifyInstance } from 'fastify'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { buildApp } from '../app.ts'
import { openDatabases } from '../db/database.ts'
import { onConnection } from '../db/testing.ts'
import { createKey } from './create-key.ts'
import type { MadeKey } from './schemas.ts'

/** What is promised where processes hear of it. */
const SOON_MS = 1_000

let service: TestService
let other: { app: FastifyInstance; close(): Promise<void> }
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const databases = await openDatabases(service.databaseUrl, { production: false, log: service.deps.log })
  const app = await buildApp({ ...service.deps, databases })
  other = {
    app,
    async close() {
      await app.close()
      await databases.close()
    },
  }
})
afterAll(async () => {
  await other.close()
  await service.close()
})

const newKey = () => createKey(service.deps, { role: 'firm', firmId: service.firmA, name: 'To be revoked' })
const plants = async (app: FastifyInstance, key: string): Promise<number> =>
  (await app.inject({ url: '/v1/plants', headers: { authorization: `Bearer ${key}` } })).statusCode
const revoke = async ({ id }: MadeKey) =>
  expect((await service.call('admin', `POST /v1/keys/${id}/revocation`)).status).toBe(200)

/** Both processes have let the key in and remember it. */
async function knownEverywhere(): Promise<MadeKey> {
  const made = await newKey()
  for (const app of [service.app, other.app]) expect(await plants(app, made.key)).toBe(200)
  return made
}

async function msUntilRefused(key: string): Promise<number> {
  const before = performance.now()
  await vi.waitFor(
    async () => expect(await Promise.all([plants(service.app, key), plants(other.app, key)])).toEqual([401, 401]),
    { timeout: 4_900, interval: 5 },
  )
  return performance.now() - before
}

const listeners = (sql: string) =>
  onConnection(service.databaseUrl, undefined, (client) =>
    client.query<{ n: number }>(
      `select ${sql} from pg_stat_activity where application_name = 'liftledger listener' and datname = current_database()`,
    ),
  )
const heard = async (processes: number) =>
  vi.waitFor(async () => expect((await listeners('count(*)::int as n')).rows[0]!.n).toBe(processes), {
    timeout: 10_000,
  })

describe('a revoked key', () => {
  test('works nowhere within a second, and with no clock moved', async () => {
    await heard(2)
    for (let round = 0; round < 5; round++) {
      const made = await knownEverywhere()
      await revoke(made)
      expect(await msUntilRefused(made.key)).toBeLessThan(SOON_MS)
    }
  })

  test('works nowhere either if it was revoked by hand in the database', async () => {
    const made = await knownEverywhere()
    await onConnection(service.databaseUrl, undefined, (client) =>
      client.query('update ll.api_key set revoked_at = now() where id = $1', [made.id]),
    )
    expect(await msUntilRefused(made.key)).toBeLessThan(SOON_MS)
  })

  test('works nowhere within a second also where the listening connections were cut at that moment', async () => {
    const made = await knownEverywhere()
    await listeners('pg_terminate_backend(pid)')
    await revoke(made)
    expect(await msUntilRefused(made.key)).toBeLessThan(SOON_MS)
    await heard(2)
  })

  test('works nowhere after five seconds where word never came', async () => {
    const made = await knownEverywhere()
    await onConnection(service.databaseUrl, undefined, async (client) => {
      await client.query('alter table ll.api_key disable trigger tell_of_credential')
      await client.query('update ll.api_key set revoked_at = now() where id = $1', [made.id])
      await client.query('alter table ll.api_key enable trigger tell_of_credential')
    })
    expect(await plants(service.app, made.key)).toBe(200)
    service.advance(5_000)
    expect(await msUntilRefused(made.key)).toBeLessThan(SOON_MS)
  })
})

interface Answered {
  readonly name: string
  readonly status: number
  readonly id?: string
}

describe('submissions while their key is revoked', () => {
  /** Sends one, and says what was answered. */
  async function submit(app: FastifyInstance, key: string, name: string): Promise<Answered> {
    const { statusCode, payload } = await app.inject({
      method: 'POST',
      url: '/v1/tests',
      headers: {
        authorization: `Bearer ${key}`,
        'content-type': 'application/json',
        'idempotency-key': `"${name}"`,
      },
      payload: JSON.stringify(visitSheet),
    })
    return { name, status: statusCode, ...(statusCode === 201 && { id: (JSON.parse(payload) as { id: string }).id }) }
  }

  /** Idempotency keys under which the database holds a test, and how many tests, entries and keys there are. */
  async function stored(prefix: string): Promise<{ names: Set<string>; whole: boolean }> {
    return onConnection(service.databaseUrl, undefined, async (client) => {
      const { rows } = await client.query<{ key: string; whole: boolean }>(
        `select key, exists (select from ll.field_test where id = resource_id)
                     and exists (select from ll.ledger_entry where subject = resource_id) as whole
         from ll.idempotency where key like $1`,
        [`${prefix}-%`],
      )
      return { names: new Set(rows.map(({ key }) => key)), whole: rows.every(({ whole }) => whole) }
    })
  }

  test('are stored and answered, or refused and not stored; none is answered and lost', async () => {
    for (let round = 0; round < 6; round++) {
      const made = await knownEverywhere()
      const prefix = `race-${round}`
      const answers: Answered[] = []
      const tenth = Promise.withResolvers<void>()
      // Each sends without a pause until it is refused, every other one to the other process.
      const sender = async (n: number): Promise<void> => {
        for (let turn = 0; ; turn++) {
          const answer = await submit(n % 2 === 0 ? service.app : other.app, made.key, `${prefix}-${n}-${turn}`)
          answers.push(answer)
          if (answers.length === 10) tenth.resolve()
          if (answer.status !== 201) return
        }
      }
      const sending = Promise.all(Array.from({ length: 8 }, (_, n) => sender(n)))
      await tenth.promise
      await revoke(made)
      await sending
      const created = answers.filter(({ status }) => status === 201)
      expect(created.length).toBeGreaterThan(9)
      expect(answers.filter(({ status }) => status === 401)).toHaveLength(8)
      expect(answers).toHaveLength(created.length + 8)
      expect(await stored(prefix)).toEqual({ names: new Set(created.map(({ name }) => name)), whole: true })
      // What was answered is there to be read with another key.
      expect((await service.call('firmA', `GET /v1/tests/${created.at(-1)!.id}`)).status).toBe(200)
      expect((await submit(other.app, made.key, `${prefix}-late`)).status).toBe(401)
    }
  })

  test('that are held up in the database until after the revocation are stored and answered', async () => {
    const made = await knownEverywhere()
    const answer = await onConnection(service.databaseUrl, undefined, async (client) => {
      await client.query('begin')
      await client.query('lock table ll.ledger_head in exclusive mode')
      const waiting = submit(service.app, made.key, 'held-1')
      await vi.waitFor(async () => {
        const { rows } = await client.query<{ n: number }>(
          "select count(*)::int as n from pg_locks where not granted and relation = 'll.ledger_head'::regclass",
        )
        expect(rows[0]!.n).toBe(1)
      })
      await revoke(made)
      expect(await msUntilRefused(made.key)).toBeLessThan(SOON_MS)
      await client.query('commit')
      return waiting
    })
    expect(answer.status).toBe(201)
    expect(await stored('held')).toEqual({ names: new Set(['held-1']), whole: true })
  })
})
