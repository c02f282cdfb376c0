/** Published vectors that the package is held against, for its tests and for `npm run checks`. */
import { merkleSuite, referenceTreeSuite } from './merkle-vectors.ts'
import type { VectorSuite } from './suite.ts'

export { runSuite, type VectorOutcome, type VectorSuite, vectorLine } from './suite.ts'

export const vectorSuites: readonly VectorSuite[] = [merkleSuite, referenceTreeSuite]
