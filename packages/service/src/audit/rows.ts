/** Rows of a long query, some hundred at a time, so that memory does not grow with the record. */
import type pg from 'pg'
import type { Report } from './findings.ts'

const ROWS_AT_ONCE = 200

/**
 * Reads the record in one transaction. What the database can't read is found rather than thrown: the rows before it
 * are given, and the table is marked broken, so that nobody calls missing what could not be read.
 */
export class RecordReader {
  readonly broken = new Set<string>()
  readonly #client: pg.ClientBase
  readonly #report: Report
  #cursors = 0

  constructor(client: pg.ClientBase, report: Report) {
    this.#client = client
    this.#report = report
  }

  /**
   * `table` is what is called unreadable. A row in which something is missing that is not in `mayBeNull` is told of and
   * left out: no statement can write it, a damaged page can.
   */
  async *rows<R extends object>(table: string, sql: string, mayBeNull: readonly string[] = []): AsyncGenerator<R> {
    const cursor = `audit_${this.#cursors++}`
    const opened = await this.#attempt(table, `declare ${cursor} no scroll cursor for ${sql}`)
    if (opened === undefined) return
    for (;;) {
      const rows = await this.#attempt(table, `fetch ${ROWS_AT_ONCE} from ${cursor}`)
      if (rows === undefined) return
      for (const row of rows as R[]) {
        const hole = Object.entries(row).find(([name, value]) => value === null && !mayBeNull.includes(name))
        if (hole === undefined) yield row
        else this.#reportHole(table, row, hole[0])
      }
      if (rows.length < ROWS_AT_ONCE) break
    }
    await this.#client.query(`close ${cursor}`)
  }

  async all<R extends object>(table: string, sql: string): Promise<R[]> {
    const rows: R[] = []
    for await (const row of this.rows<R>(table, sql)) rows.push(row)
    return rows
  }

  #reportHole(table: string, row: object, column: string): void {
    const { of, id, index, size } = row as Readonly<Record<string, unknown>>
    const name = id ?? of ?? index ?? size
    const message = `A row of ${table} has no ${column}, without which there is no such row.`
    this.#report({ code: 'unreadable', table, ...(typeof name === 'string' && { row: name }), column, message })
  }

  /** In a savepoint, so that the transaction outlives a page that can't be read. */
  async #attempt(table: string, sql: string): Promise<object[] | undefined> {
    try {
      await this.#client.query('savepoint audit_read')
      const { rows } = await this.#client.query(sql)
      await this.#client.query('release savepoint audit_read')
      return rows
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error)
      this.broken.add(table)
      this.#report({ code: 'unreadable', table, message: `Rows of ${table} can not be read: ${reason}.` })
      // Where the server itself went away, this fails too, and so does the audit.
      await this.#client.query('rollback to savepoint audit_read')
      return undefined
    }
  }
}

/** A time as the ledger writes it, down to the microsecond of the database, so that no bit of it goes unseen. */
export const instant = (column: string): string =>
  `to_char(${column} at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"')`

/** A time of an entry, spelled as {@link instant} does. */
export const inMicroseconds = (at: string): string => at.replace(/Z$/, '000Z')
