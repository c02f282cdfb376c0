/** Evaluates a stored test again, under its own edition or another, and lists what differs from what is stored. */
import type { Evaluation, MethodEdition } from '@liftledger/calc'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { mainQuantities } from './assess.ts'
import { type MemberChange, memberChanges } from './difference.ts'
import type { ReadTest } from './load.ts'
import { evaluateAgain } from './recorded.ts'
import type { TestReplay } from './revision-schemas.ts'

/** Never throws for what is stored, nor for what comes out: a difference is an answer. */
export function replayTest(test: ReadTest, edition: MethodEdition = test.edition): TestReplay {
  const { stored } = test
  const again = evaluateAgain({ ...test, edition })
  const hash = again && sha256(again.canonical)
  const told = {
    test: toWire('test', stored.id),
    recordedEdition: stored.edition,
    edition: edition.id,
    comparedWith: test.from,
    storedSha256: stored.evaluationSha256.toString('hex'),
    ...(hash !== undefined && { recomputedSha256: hash.toString('hex') }),
  }
  if (again === undefined) return { ...told, outcome: 'not-evaluable', differences: [] }
  if (hash?.equals(stored.evaluationSha256)) return { ...told, outcome: 'identical', differences: [] }
  return { ...told, outcome: 'differs', differences: differences(test, again.evaluation).map(toDifference) }
}

const toDifference = (change: MemberChange) => ({
  pointer: change.pointer,
  ...('from' in change && { stored: change.from }),
  ...('to' in change && { recomputed: change.to }),
})

function differences(test: ReadTest, again: Evaluation): MemberChange[] {
  if (test.from !== 'record') return memberChanges(test.evaluation, again)
  const { soundness, findings } = test.evaluation
  return memberChanges(
    { soundness, findings: findings.map(nameOf), main: test.main ?? {} },
    { soundness: again.soundness, findings: again.findings.map(nameOf), main: mainQuantities(test.sheet, again) },
  )
}

const nameOf = ({ id, severity, run, place }: Evaluation['findings'][number]) => ({
  id,
  severity,
  ...(run !== undefined && { run }),
  place,
})
