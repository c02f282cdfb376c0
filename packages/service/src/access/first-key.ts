/**
 * `node packages/service/src/access/first-key.ts [name]`: the first administrator's key, printed once.
 *
 * Nobody can ask the API for it, since asking takes a key. So it is made by whoever may log in to the database:
 * DATABASE_URL and KEY_PEPPER must be those of the service. It is a command rather than a setting, because a key
 * in the environment would lie there for as long as the service runs.
 */
import { loadConfig } from '../config.ts'
import { openDatabases } from '../db/database.ts'
import { makeLog } from '../log.ts'
import { createKey } from './create-key.ts'

try {
  await printKey(process.argv[2] ?? 'First administrator')
} catch (error) {
  // Of settings, of the server: its reader is the operator, to whom a stack says nothing.
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
}

async function printKey(name: string): Promise<void> {
  const config = loadConfig(process.env, 'access-keys')
  if (config.databaseUrl === undefined) {
    throw new Error(
      'DATABASE_URL is missing: the embedded Postgres belongs to a running demo, which prints its own keys.',
    )
  }
  const { production } = config
  const databases = await openDatabases(config.databaseUrl, { production, log: makeLog('warn', process.stderr) })
  try {
    const { key, id, expiresAt } = await createKey(
      { databases, config, now: () => new Date() },
      { role: 'admin', name },
    )
    console.error(`Key ${id} of role admin, valid until ${expiresAt}. It is not stored and not shown again:`)
    console.log(key)
  } finally {
    await databases.close()
  }
}
