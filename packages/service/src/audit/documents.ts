/** Kept evaluations: each belongs to its test and has the hash that was recorded with it. */
import { zstdDecompressSync } from 'node:zlib'
import { sha256 } from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import type { Report } from './findings.ts'
import type { RecordReader } from './rows.ts'
import type { TestRow } from './test-row.ts'

export interface DocumentRow {
  readonly of: string
  readonly firm_id: string
  readonly encoding: string
  readonly body: Buffer
}

interface DocumentsOfTest {
  readonly documents: readonly DocumentRow[]
  readonly test: TestRow | undefined
  /** Salted hash of the evaluation, as the entry says. */
  readonly recorded: string | undefined
  readonly reader: RecordReader
  readonly report: Report
}

const TABLE = 'evaluation_document'
/** No honest evaluation comes near. */
const BYTES_MAX = 16 * 1024 * 1024

export function checkDocuments({ documents, test, recorded, reader, report }: DocumentsOfTest): void {
  for (const { of, firm_id, encoding, body } of documents) {
    const place = { table: TABLE, row: of }
    const tell = (column: string, message: string): void =>
      report({
        code: 'document-changed',
        ...place,
        column,
        message: `Kept evaluation of test ${toWire('test', of)}: ${message}`,
      })
    if (test === undefined) {
      if (reader.broken.has('field_test')) continue
      const message = `An evaluation is kept of test ${toWire('test', of)}, which is not there.`
      report({ code: 'document-surplus', ...place, message, or: [{ table: 'field_test', row: of }] })
      continue
    }
    if (firm_id !== test.firm_id) tell('firm_id', 'it is stored as another firm’s.')
    if (encoding !== 'zstd') tell('encoding', `its encoding is ${encoding}, which nothing writes.`)
    const bytes = unpacked(body)
    if (bytes === undefined) tell('body', 'it can not be unpacked.')
    else if (recorded !== undefined && Buffer.from(sha256(test.salt, bytes)).toString('hex') !== recorded) {
      tell('body', 'it does not have the hash that was recorded.')
    }
  }
}

function unpacked(body: Buffer): Buffer | undefined {
  try {
    return zstdDecompressSync(body, { maxOutputLength: BYTES_MAX })
  } catch {
    return undefined
  }
}
