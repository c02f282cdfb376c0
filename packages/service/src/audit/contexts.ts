/** Contexts by themselves: each has the hash it is stored under, and some test rests on it. */
import { sha256, toHex } from '@liftledger/ledger'
import type { Report } from './findings.ts'
import type { RecordReader } from './rows.ts'

interface ContextRow {
  readonly firm_id: string
  readonly sha256: Buffer
  readonly body: Buffer
  readonly used: boolean
}

const TABLE = 'context_snapshot'

const CONTEXTS = `select c.firm_id::text, c.sha256, c.body,
    exists (select from ll.field_test t where t.firm_id = c.firm_id and t.context_sha256 = c.sha256) as used
  from ll.context_snapshot c order by c.firm_id, c.sha256`

/** Answers how many there are. */
export async function auditContexts(reader: RecordReader, report: Report): Promise<number> {
  let count = 0
  for await (const { firm_id, sha256: stored, body, used } of reader.rows<ContextRow>(TABLE, CONTEXTS)) {
    count += 1
    const hash = stored.toString('hex')
    const place = { table: TABLE, row: `${firm_id}/${hash}` }
    if (toHex(sha256(body)) !== hash) {
      const or = [{ ...place, column: 'sha256' }]
      report({
        code: 'context-hash-wrong',
        ...place,
        column: 'body',
        message: `The context ${hash} has another hash.`,
        or,
      })
    }
    if (!used)
      report({ code: 'context-surplus', ...place, message: `No test of the firm rests on the context ${hash}.` })
  }
  return count
}
