/** Test help: a firm with a plant and a tester, entered as the roles that enter them. */
import { randomUUID } from 'node:crypto'
import pg from 'pg'
import { onTestFinished } from 'vitest'
import type { Principal } from '../http/principal.ts'
import type { Databases } from './database.ts'

export const admin: Principal = { role: 'admin', keyId: 'adminadmin01', scopes: [] }
export const auditor: Principal = { role: 'auditor', keyId: 'auditaudit01', scopes: [] }
export const keeper: Principal = { role: 'keeper', keyId: 'keeperkeep01', scopes: [] }

export interface RegisteredFirm {
  readonly principal: Principal
  readonly firmId: string
  readonly plantId: string
  readonly testerId: string
}

export async function registerFirm(
  databases: Databases,
  name = 'Ambermoor Pump Testing (invented)',
): Promise<RegisteredFirm> {
  const [firmId, plantId, testerId] = [randomUUID(), randomUUID(), randomUUID()]
  const principal: Principal = { role: 'firm', keyId: 'firmfirmfirm', firmId, scopes: [] }
  await databases.asPrincipal(admin, (tx) => tx.insertInto('firm').values({ id: firmId, name }).execute())
  await databases.asPrincipal(principal, async (tx) => {
    const code = `P-${plantId.slice(0, 8)}`
    await tx.insertInto('plant').values({ id: plantId, code, kind: 'well', registered_by: firmId }).execute()
    await tx.insertInto('firm_plant').values({ firm_id: firmId, plant_id: plantId }).execute()
    await tx.insertInto('tester').values({ id: testerId, firm_id: firmId, code: 'T-1' }).execute()
  })
  return { principal, firmId, plantId, testerId }
}

export async function registerProgram(databases: Databases): Promise<Principal & { programId: string }> {
  const programId = randomUUID()
  await databases.asPrincipal(admin, (tx) =>
    tx.insertInto('program').values({ id: programId, name: 'Ambermoor Basin pump testing (invented)' }).execute(),
  )
  return { role: 'program', keyId: 'progprogprog', programId, scopes: [] }
}

/** Runs fn on a bare connection in a role, or as the login user. */
export async function onConnection<T>(
  url: string,
  role: string | undefined,
  fn: (client: pg.Client) => Promise<T>,
): Promise<T> {
  const client = bare(url, role)
  await client.connect()
  try {
    return await fn(client)
  } finally {
    await client.end()
  }
}

/** A bare connection in a role, or as the login user; it ends with the test. */
export async function connect(url: string, role?: string): Promise<pg.Client> {
  const client = bare(url, role)
  await client.connect()
  onTestFinished(() => client.end())
  return client
}

const bare = (url: string, role: string | undefined): pg.Client =>
  new pg.Client({ connectionString: url, ...(role ? { options: `-c role=${role} -c search_path=ll` } : {}) })
