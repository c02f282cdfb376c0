import { once } from 'node:events'
import { type AddressInfo, connect as connectTo, createServer, type Socket } from 'node:net'
import { sql } from 'kysely'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import type { Principal } from '../http/principal.ts'
import { type Databases, openDatabases } from './database.ts'
import { auditor, connect, type RegisteredFirm, registerFirm } from './testing.ts'

const log = pino({ level: 'silent' })
let database: ClonedDatabase
let databases: Databases
let firm: RegisteredFirm

beforeAll(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log, poolSizes: { ll_firm: 2 } })
  firm = await registerFirm(databases)
})
afterAll(async () => {
  await databases.close()
  await database.drop()
})

const testers = () => databases.asPrincipal(firm.principal, (tx) => tx.selectFrom('tester').select('code').execute())
const rename = (code: string) => (tx: Parameters<Parameters<Databases['asPrincipal']>[1]>[0]) =>
  tx.insertInto('tester').values({ id: crypto.randomUUID(), firm_id: firm.firmId, code }).execute()

describe('a transaction as a principal', () => {
  test('keeps what it did when it ends well, and nothing when it throws', async () => {
    await databases.asPrincipal(firm.principal, rename('T-2'))
    await expect(
      databases.asPrincipal(firm.principal, async (tx) => {
        await rename('T-3')(tx)
        throw new Error('changed my mind')
      }),
    ).rejects.toThrow('changed my mind')
    expect(await testers()).toEqual([{ code: 'T-1' }, { code: 'T-2' }])
  })

  test('keeps nothing when a query in it failed, even if the failure was swallowed', async () => {
    await expect(
      databases.asPrincipal(firm.principal, async (tx) => {
        await rename('T-4')(tx)
        await rename('T-4')(tx).catch(() => undefined)
      }),
    ).rejects.toThrow()
    expect(await testers()).toHaveLength(2)
  })

  test('leaves its connection without a firm: the next one on it sees its own', async () => {
    const other = await registerFirm(databases)
    const all = Array.from({ length: 40 }, (_, turn) => (turn % 2 === 0 ? firm : other))
    const seen = await Promise.all(
      all.map(({ principal }) =>
        databases.asPrincipal(principal, async (tx) => {
          const before = await tx.selectFrom('tester').select('firm_id').distinct().execute()
          await sql`select pg_sleep(0.001)`.execute(tx)
          const after = await tx.selectFrom('tester').select('firm_id').distinct().execute()
          return [...before, ...after].map((row) => row.firm_id)
        }),
      ),
    )
    expect(seen).toEqual(all.map(({ firmId }) => [firmId, firmId]))
  })

  test('is refused for a firm that is none, and never opened without one', async () => {
    for (const firmId of [undefined, '', "' or true --"]) {
      const principal = { ...firm.principal, firmId } as Principal
      const attempt = databases.asPrincipal(principal, (tx) => tx.selectFrom('tester').selectAll().execute())
      await expect(attempt).rejects.toThrow(/names no firm/)
    }
  })

  test('tells of a connection that broke, and the next one works', async () => {
    await expect(
      databases.asPrincipal(firm.principal, async (tx) => {
        const { rows } = await sql<{ pid: number }>`select pg_backend_pid() as pid`.execute(tx)
        const client = await connect(database.url)
        await client.query('select pg_terminate_backend($1)', [rows[0]?.pid])
        return await tx.selectFrom('tester').selectAll().execute()
      }),
    ).rejects.toThrow()
    expect(await testers()).toHaveLength(2)
  })
})

test('a day comes back as it was written, a moment as a Date, an index as a number', async () => {
  const read = await databases.asPrincipal(auditor, (tx) =>
    sql<object>`select date '2026-03-29' as day, timestamptz '2026-03-29 01:30:00.25Z' as moment, 9007199254740991::int8 as index`.execute(
      tx,
    ),
  )
  expect(read.rows).toEqual([
    { day: '2026-03-29', moment: new Date('2026-03-29T01:30:00.250Z'), index: 9007199254740991 },
  ])
})

describe('a pool', () => {
  test('has its limits on every connection, also when the URL brings options of its own', async () => {
    const url = new URL(database.url)
    url.searchParams.set('options', '-c statement_timeout=1h -c role=none -c work_mem=5MB')
    const opened = await openDatabases(url.href, { production: false, log })
    try {
      const { rows } = await opened.asPrincipal(firm.principal, (tx) =>
        sql<object>`select current_user::text as role, current_setting('statement_timeout') as statement,
          current_setting('lock_timeout') as lock, current_setting('idle_in_transaction_session_timeout') as idle,
          current_setting('synchronous_commit') as durable, current_setting('work_mem') as memory`.execute(tx),
      )
      expect(rows).toEqual([
        { role: 'll_firm', statement: '5s', lock: '2s', idle: '10s', durable: 'on', memory: '5MB' },
      ])
    } finally {
      await opened.close()
    }
  })

  test('connects only when it is used', async () => {
    const client = await connect(database.url)
    const { rows } = await client.query(
      "select application_name as name from pg_stat_activity where datname = current_database() and application_name like 'liftledger%'",
    )
    expect(rows.map((row) => row.name)).not.toContain('liftledger ll_keeper')
  })
})

describe('a ping', () => {
  test('is answered by a database that is up, and not once all is closed', async () => {
    const opened = await openDatabases(database.url, { production: false, log })
    expect(await opened.ping(2_000)).toBe(true)
    await opened.close()
    expect(await opened.ping(2_000)).toBe(false)
  })

  test('is given up when the database hangs', async () => {
    const line = await lineTo(database.url)
    const opened = await openDatabases(line.url, { production: false, log })
    expect(await opened.ping(2_000)).toBe(true)
    line.hang()
    expect(await opened.ping(50)).toBe(false)
    line.cut()
    await opened.close()
  })
})

/** A line to the database that can be made to hang, or cut. */
async function lineTo(databaseUrl: string) {
  const target = new URL(databaseUrl)
  const sockets: Socket[] = []
  const server = createServer((near) => {
    const far = connectTo(Number(target.port), target.hostname)
    for (const socket of [near, far]) sockets.push(socket.on('error', () => undefined))
    near.pipe(far).pipe(near)
  })
  server.listen(0, '127.0.0.1')
  await once(server, 'listening')
  const url = new URL(databaseUrl)
  url.hostname = '127.0.0.1'
  url.port = String((server.address() as AddressInfo).port)
  const cut = () => {
    for (const socket of sockets) socket.destroy()
    server.close()
  }
  return {
    url: url.href,
    hang: () => {
      for (const socket of sockets) socket.unpipe().pause()
    },
    cut,
  }
}
