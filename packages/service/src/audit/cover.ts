/** How it is declared what an audit covers. */
import type { AuditCode } from './findings.ts'

/** Codes by which a change is found, or the reason why it isn't. */
export type Cover = readonly AuditCode[] | string

export interface TableCoverage {
  /** What the rows are. */
  readonly holds: string
  /** SQL that names a row as findings do. Absent where nothing of the table is covered. */
  readonly row?: string
  /** A row put in by hand, and one taken out. */
  readonly added: Cover
  readonly removed: Cover
  readonly columns: Readonly<Record<string, Cover>>
  /** Columns that are covered in some rows only: which ones, for a reader and in SQL. */
  readonly only?: Readonly<Record<string, { readonly says: string; readonly where: string }>>
}
