/** Used idempotency keys against the tests they name. */
import { fingerprint } from '../http/idempotency.ts'
import { toWire } from '../http/ids.ts'
import type { Recording } from './entries.ts'
import type { Report } from './findings.ts'
import type { RecordReader } from './rows.ts'
import type { TestRow } from './test-row.ts'

export interface KeyRow {
  readonly of: string | null
  readonly firm_id: string
  readonly key: string
  readonly fingerprint: Buffer
  readonly operation: string
  readonly status: number
}

interface KeysOfTest {
  readonly keys: readonly KeyRow[]
  readonly test: TestRow | undefined
  readonly recording: Recording | undefined
  readonly reader: RecordReader
  readonly report: Report
}

/** What a test came in by, as its entry tells. */
const useOf = (recording: Recording | undefined) =>
  recording?.kind === 'revision'
    ? {
        operation: 'tests.revise',
        route: '/v1/tests/:testId/revisions',
        pathValues: [recording.revises, recording.reason],
      }
    : { operation: 'tests.submit', route: '/v1/tests', pathValues: [] }

export function checkKeys({ keys, test, recording, reader, report }: KeysOfTest): void {
  const places = keys.map(({ firm_id, key }) => ({ table: 'idempotency', row: `${firm_id}/${key}` }))
  for (const [place, row] of keys.entries()) {
    const named = row.of === null ? 'no test' : `test ${toWire('test', row.of)}`
    if (test === undefined || place > 0) {
      if (reader.broken.has('field_test')) return
      const why = test === undefined ? 'which is not there' : 'which came in under another key'
      const or = [...(row.of === null ? [] : [{ table: 'field_test', row: row.of }]), ...places]
      const message = `A used key names ${named}, ${why}.`
      report({ code: 'key-of-nothing', ...places[place]!, column: 'resource_id', message, or })
      continue
    }
    for (const column of wrongColumns(row, test, recording)) {
      const message = `${column} of a used key does not belong to ${named}.`
      report({ code: 'key-wrong', ...places[place]!, column, message })
    }
  }
}

function wrongColumns(row: KeyRow, test: TestRow, recording: Recording | undefined): string[] {
  const { operation, ...use } = useOf(recording)
  const print = fingerprint({ method: 'POST', ...use, rawBody: test.raw })
  return [
    ...(row.firm_id === test.firm_id ? [] : ['firm_id']),
    ...(row.operation === operation ? [] : ['operation']),
    ...(row.status === 201 ? [] : ['status']),
    ...(row.fingerprint.equals(print) ? [] : ['fingerprint']),
  ]
}
