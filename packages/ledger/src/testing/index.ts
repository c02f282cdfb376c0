/** For tests and for `npm run checks`: published vectors that the package is held against, and an invented log. */
import { canonicalSuite } from './canonical-vectors.ts'
import { ed25519Suite } from './ed25519-vectors.ts'
import { merkleSuite, referenceTreeSuite } from './merkle-vectors.ts'
import { numberSuite } from './number-vectors.ts'
import { rfc8032Suite } from './rfc8032.ts'
import type { VectorSuite } from './suite.ts'

export {
  bundleOf,
  checkpointAt,
  decisionOn,
  logSigner,
  ORIGIN,
  PROGRAM,
  plainTests,
  revisionOf,
  type SampleLog,
  type SampleTest,
  sampleLog,
  testId,
  withdrawalOf,
  witnessSigner,
} from './sample-bundle.ts'
export { runSuite, type VectorOutcome, type VectorSuite, vectorLine } from './suite.ts'

export const vectorSuites: readonly VectorSuite[] = [
  merkleSuite,
  referenceTreeSuite,
  canonicalSuite,
  numberSuite,
  ed25519Suite,
  rfc8032Suite,
]
