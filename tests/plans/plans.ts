/** How the database answers each hot query, in the role and for the reader it is asked for. */
import { type Connections, connectAs, type Explained, explain } from './explain.ts'
import type { Size } from './fill.ts'
import { hotQueries } from './hot-queries.ts'

export interface Plan {
  readonly reader: string
  readonly name: string
  readonly found: Explained
}

/** One after the other, in a database that was filled; `url` is a superuser's. */
export async function* plansOf(url: string, size: Size): AsyncGenerator<Plan> {
  const connections = new Map<string, Connections>()
  try {
    for (const { reader, name, asked } of await hotQueries(size)) {
      const own = connections.get(reader.role) ?? (await connectAs(url, reader.role))
      connections.set(reader.role, own)
      yield { reader: reader.name, name, found: await explain(own, reader.settings, asked) }
    }
  } finally {
    for (const own of connections.values()) await own.end()
  }
}

/** Tables that grow with the tests. Of the others a few pages are read from end to end, and rightly. */
const LARGE = new Set([
  'field_test',
  'context_snapshot',
  'ledger_entry',
  'test_program',
  'idempotency',
  'plant',
  'firm_plant',
  'plant_history_consent',
  'read_log',
  'record_comparison',
  'reading_window',
])

/** Those of them that a plan reads from end to end. */
export const largeTablesIn = ({ wholeTables }: Explained): string[] => [
  ...new Set(wholeTables.filter((table) => LARGE.has(table))),
]
