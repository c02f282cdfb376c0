/** Writes what came of comparing tests, each with its entry in the ledger, in one transaction of the role that writes. */

import type { RecordFinding } from '@liftledger/calc'
import { basisSha256, type RecordFindingText, recordFindingsBytes } from '@liftledger/ledger'
import type pg from 'pg'
import { fromWire, toWire } from '../http/ids.ts'
import { sha256Hex } from '../http/sha256.ts'
import { type StoredEntry, sealed } from '../ledger/append.ts'
import type { WaitingTest } from './queue.ts'

/** A test, and what was found. */
export interface ComparedTest extends WaitingTest {
  readonly edition: string
  /** 16 random bytes. */
  readonly salt: Buffer
  readonly findings: readonly RecordFinding[]
  /** See `windowsOf`. */
  readonly windows: readonly string[]
}

/** What a finding rests on, as it is hashed and kept apart from its words. */
export const basisOf = ({ against, valuesOfOthers }: RecordFinding) => ({ against, values: valuesOfOthers })

const textOf = (finding: RecordFinding, salt: Buffer): RecordFindingText => {
  const { id, severity, run, place, message, remedy, values, limits } = finding
  return {
    ...{ id, severity, place, message, remedy, values, limits },
    ...(run !== undefined && { run }),
    basisSha256: basisSha256(salt, basisOf(finding)),
  }
}

/**
 * Stores the tests that come after the first `compared` ones; answers their entries, in order. Undefined, and nothing is
 * stored, where another process did it meanwhile.
 */
export async function writeComparisons(
  pool: pg.Pool,
  compared: number,
  tests: readonly ComparedTest[],
  at: Date,
): Promise<StoredEntry[] | undefined> {
  const rows = tests.map((test, n) => rowOf(test, compared + n, at))
  const { rows: answer } = await pool.query<{ first: number | null }>({
    name: 'write_comparisons',
    text: 'select ll.write_comparisons($1, $2, $3, $4::bigint[], $5::bigint[], $6) as first',
    values: [
      compared,
      JSON.stringify(rows.map(({ row }) => row)),
      JSON.stringify(rows.flatMap(({ found }) => found)),
      tests.flatMap(({ windows }) => windows),
      tests.flatMap(({ windows }, n) => windows.map(() => compared + n)),
      at,
    ],
  })
  const first = answer[0]?.first ?? null
  return first === null ? undefined : rows.map(({ leaf }, n) => ({ index: Number(first) + n, leafHash: leaf }))
}

function rowOf(test: ComparedTest, ordinal: number, at: Date) {
  const { id, firmId, plantId, ledgerIndex, edition, salt, findings } = test
  const texts = findings.map((finding) => textOf(finding, salt))
  const subject = toWire('test', id)
  const hash = sha256Hex(salt, recordFindingsBytes({ test: subject, before: ledgerIndex, edition, findings: texts }))
  const entry = sealed({
    v: 1,
    kind: 'record-findings',
    at: at.toISOString(),
    firm: toWire('firm', firmId),
    subject,
    before: ledgerIndex,
    edition,
    findingsSha256: hash,
  })
  const count = (severity: RecordFinding['severity']): number =>
    findings.filter((finding) => finding.severity === severity).length
  const row = {
    ...{ test: id, firm: firmId, plant: plantId, ordinal, ledger_index: ledgerIndex, edition },
    ...{ sha256: hash, salt: salt.toString('hex') },
    ...{ rejects: count('reject'), holds: count('hold'), cautions: count('caution'), notes: count('note') },
    ...{ entry: entry.bytes.toString('hex'), leaf: entry.leaf.toString('hex') },
  }
  const found = findings.map((finding, n) => ({
    ...{ test: id, n, firm: firmId, finding: finding.id, severity: finding.severity, run: finding.run ?? null },
    ...{ place: finding.place, message: finding.message, remedy: finding.remedy },
    basis_sha256: texts[n]!.basisSha256,
    against: finding.against.map((other) => fromWire('test', other)),
    ...{ figures: finding.values, limits: finding.limits, figures_of_others: finding.valuesOfOthers },
  }))
  return { row, found, leaf: entry.leaf }
}
