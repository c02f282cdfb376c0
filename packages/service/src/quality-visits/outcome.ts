/** What came of a draw, as it is stored and hashed: every test considered, so that anyone with the seed can draw again. */
import { canonicalBytes } from '@liftledger/ledger'
import { fromWire, toWire } from '../http/ids.ts'
import type { Considered } from './draw.ts'

export interface OutcomeTest extends Considered {
  /** UUID of the visit, where it was drawn. */
  readonly visitId?: string
}

interface Written {
  readonly seed: string
  readonly tests: readonly (Omit<Considered, 'testId'> & { readonly test: string; readonly visit?: string })[]
}

export const outcomeBytes = (seed: Buffer, tests: readonly OutcomeTest[]): Buffer =>
  Buffer.from(
    canonicalBytes({
      seed: seed.toString('hex'),
      tests: tests.map(({ testId, visitId, reasons, ...rest }) => ({
        test: toWire('test', testId),
        reasons: [...reasons],
        ...rest,
        ...(visitId !== undefined && { visit: toWire('quality visit', visitId) }),
      })),
    }),
  )

export function readOutcome(bytes: Buffer): { readonly seed: string; readonly tests: readonly OutcomeTest[] } {
  const { seed, tests } = JSON.parse(bytes.toString('utf8')) as Written
  return {
    seed,
    tests: tests.map(({ test, visit, ...rest }) => ({
      ...rest,
      testId: fromWire('test', test)!,
      ...(visit !== undefined && { visitId: fromWire('quality visit', visit)! }),
    })),
  }
}
