/** Loads a stored test and evaluates it again: every read is a replay, checked against the recorded hash. */

import { type Context, type Evaluation, editionById, evaluate, type MethodEdition, type Sheet } from '@liftledger/calc'
import { canonicalBytes, sha256 } from '@liftledger/ledger'
import type { Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { toWire } from '../http/ids.ts'
import { notFound, Problem } from '../http/problem.ts'
import { findStoredTest, type StoredTest } from './queries.ts'
import type { FieldTest } from './schemas.ts'

export interface LoadedTest {
  readonly stored: StoredTest
  readonly sheet: Sheet
  readonly context: Context
  readonly edition: MethodEdition
}

/** Canonical bytes and hash of an evaluation. */
export function evaluationHash(evaluation: Evaluation): Buffer {
  return Buffer.from(sha256(canonicalBytes(evaluation)))
}

/**
 * What `calculate` makes of stored bytes. Bytes changed behind the service's back may be no sheet any more: then the
 * reader is told so, with `conflict`.
 */
export function fromStored<T>(testId: string, calculate: () => T): T {
  try {
    return calculate()
  } catch (cause) {
    if (cause instanceof Problem) throw cause
    const problem = new Problem(
      'conflict',
      `What is stored of test '${toWire('test', testId)}' can not be evaluated: it is not what was received, or a later version reads it differently. Its entry in the ledger tells which.`,
    )
    problem.cause = cause
    throw problem
  }
}

/** A test by its UUID. Throws `not-found` where the caller may not see it, `conflict` where it is no test any more. */
export async function loadTest(tx: Transaction<Database>, testId: string): Promise<LoadedTest> {
  const stored = await findStoredTest(tx, testId)
  if (stored === undefined) throw notFound('test', toWire('test', testId))
  const edition = editionById(stored.edition)
  if (edition === undefined) throw new Error(`Test ${testId} names the edition ${stored.edition}, which is not here.`)
  return fromStored(testId, () => ({
    stored,
    sheet: JSON.parse(stored.raw.toString('utf8')) as Sheet,
    context: JSON.parse(stored.context.toString('utf8')) as Context,
    edition,
  }))
}

/** The evaluation of a loaded test, and whether it is the recorded one to the last bit. */
export function replay({ stored, sheet, context, edition }: LoadedTest): {
  evaluation: Evaluation
  outcome: FieldTest['replay']
} {
  return fromStored(stored.id, () => {
    const evaluation = evaluate(sheet, context, edition)
    const same = evaluationHash(evaluation).equals(stored.evaluationSha256)
    return { evaluation, outcome: same ? 'identical' : 'differs' }
  })
}
