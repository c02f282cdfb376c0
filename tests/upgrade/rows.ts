/** The rows of a database as SQL, and back: what an earlier version had stored, without its tables and roles. */
import pg from 'pg'

interface Column {
  readonly table: string
  readonly column: string
}

const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true })

/** Bytes as text where they are some, else as hexadecimal digits. */
function bytesLiteral(client: pg.Client, bytes: Buffer): string {
  try {
    const text = decoder.decode(bytes)
    if (!text.includes('\0')) return `convert_to(${client.escapeLiteral(text)}, 'UTF8')`
  } catch {
    // Not UTF-8: a hash, a salt.
  }
  return `'\\x${bytes.toString('hex')}'`
}

/** The row that a migration made moves forward, which is all that it may. */
const ON_CONFLICT: Readonly<Record<string, string>> = {
  ledger_head: ' on conflict (one) do update set next = excluded.next',
}

/** Statements that put all rows of schema `ll` into a database to which the same migrations were just applied. */
export async function dumpRows(url: string): Promise<string> {
  const client = new pg.Client(url)
  await client.connect()
  try {
    await client.query(`set timezone = 'UTC'`)
    const { rows: columns } = await client.query<Column>(
      `select table_name as table, column_name as column from information_schema.columns
       join information_schema.tables using (table_schema, table_name)
       where table_schema = 'll' and table_type = 'BASE TABLE' and is_generated = 'NEVER'
       order by table_name, ordinal_position`,
    )
    const lines = ["set timezone = 'UTC';", 'set session_replication_role = replica;']
    for (const [table, own] of Map.groupBy(columns, ({ table }) => table)) {
      const names = own.map(({ column }) => client.escapeIdentifier(column))
      const { rows, fields } = await client.query<(string | Buffer | null)[]>({
        text: `select ${names.join(', ')} from ll.${table} order by ctid`,
        rowMode: 'array',
        types: { getTypeParser: (type: number) => (type === pg.types.builtins.BYTEA ? fromHex : asText) },
      })
      const into = `insert into ll.${table} (${fields.map(({ name }) => client.escapeIdentifier(name)).join(', ')})`
      if (table === 'migration') lines.push('delete from ll.migration;')
      for (const row of rows) {
        const values = row.map((value) => {
          if (value === null) return 'null'
          return typeof value === 'string' ? client.escapeLiteral(value) : bytesLiteral(client, value)
        })
        lines.push(`${into} values (${values.join(', ')})${ON_CONFLICT[table] ?? ''};`)
      }
    }
    lines.push('set session_replication_role = origin;', '')
    return lines.join('\n')
  } finally {
    await client.end()
  }
}

const asText = (text: string): string => text
const fromHex = (text: string): Buffer => Buffer.from(text.slice(2), 'hex')

/** Puts such rows in; as a superuser, since triggers must not run and keys come in any order. */
export async function loadRows(url: string, sql: string): Promise<void> {
  const client = new pg.Client(url)
  await client.connect()
  try {
    await client.query(sql)
  } finally {
    await client.end()
  }
}
