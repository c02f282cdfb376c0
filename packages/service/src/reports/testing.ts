/** A golden sheet as a test that was stored and read again, for tests of what is made of it. */
import { editionById, evaluate } from '@liftledger/calc'
import type { goldenCases } from '@liftledger/calc/testing'
import { canonicalJson } from '@liftledger/ledger'
import type { ReadTest } from '../field-tests/load.ts'

export function readTestOf({ sheet, context }: ReturnType<typeof goldenCases>[number]): ReadTest {
  const edition = editionById('2026-1')!
  const evaluation = evaluate(sheet, context, edition)
  const stored = {
    id: '01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10',
    edition: edition.id,
    rawSha256: Buffer.alloc(32, 1),
    evaluationSha256: Buffer.alloc(32, 2),
  } as ReadTest['stored']
  const standing = { soundness: evaluation.soundness, successor: null, compared: null }
  const canonical = canonicalJson(evaluation)
  return {
    stored,
    sheet,
    context,
    edition,
    evaluation,
    canonical,
    replay: 'identical',
    from: 'replay',
    standing,
    record: { compared: false },
  }
}
