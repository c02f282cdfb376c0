/**
 * Types of the tables, made from a migrated database. Development only: `npm run generate` writes them
 * to `schema.ts`, or compares.
 */
import { Kysely, PostgresDialect } from 'kysely'
import { PostgresDialect as GeneratorDialect, generate } from 'kysely-codegen'
import pg from 'pg'
import { OWNER_ROLE } from './roles.ts'

/** Text of `schema.ts` for the database at this URL. */
export async function generateSchema(url: string): Promise<string> {
  const pool = new pg.Pool({ connectionString: url, options: `-c role=${OWNER_ROLE} -c search_path=ll`, max: 1 })
  // A connection that the server cuts while it is being closed is no loss.
  pool.on('connect', (client) => client.on('error', () => undefined))
  const db = new Kysely<unknown>({ dialect: new PostgresDialect({ pool }) })
  try {
    const text = await generate({
      db,
      dialect: new GeneratorDialect({ dateParser: 'string' }),
      defaultSchemas: ['ll'],
      includePattern: 'll.*',
      excludePattern: 'll.migration',
      // As the pools parse them.
      typeMapping: { int8: 'number' },
      outFile: null,
    })
    return text.replace('export interface DB {', 'export interface Database {')
  } finally {
    await db.destroy()
  }
}
