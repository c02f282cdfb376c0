/** Every finding, in the order in which a reader of the catalogue meets them. */
import type { AnyFinding } from './finding.ts'

export const findings: readonly AnyFinding[] = []
