/** Published test vectors: what is at hand, and how many of them the package passes. */
import { existsSync } from 'node:fs'
import { join } from 'node:path'

export interface VectorCase {
  readonly name: string
  /** How many vectors the case stands for; 1 if absent. */
  readonly count?: number
  /** Throws if the package says otherwise than the vector. */
  readonly check: () => void | Promise<void>
}

export interface VectorSuite {
  readonly id: `vectors.${string}`
  /** Who publishes it: document or repository. */
  readonly source: string
  /** False where the folder of published files is absent, and the small table of the same facts stands in. */
  readonly full: boolean
  readonly cases: readonly VectorCase[]
}

export interface VectorOutcome {
  readonly id: string
  readonly source: string
  readonly full: boolean
  readonly passed: number
  readonly total: number
  /** Name and reason of each case that failed. */
  readonly failures: readonly string[]
}

export async function runSuite({ id, source, full, cases }: VectorSuite): Promise<VectorOutcome> {
  const failures: string[] = []
  let [passed, total] = [0, 0]
  for (const { name, count = 1, check } of cases) {
    total += count
    try {
      await check()
      passed += count
    } catch (error) {
      failures.push(`${name}: ${error instanceof Error ? error.message : String(error)}`)
    }
  }
  return { id, source, full, passed, total, failures }
}

/** `vectors.merkle 196/196`, and what is missing. */
export function vectorLine({ id, source, full, passed, total }: VectorOutcome): string {
  return `${id} ${passed}/${total}  ${source}${full ? '' : ' (small table; the full suite is not at hand)'}`
}

/** A folder of published vectors below `VECTORS_DIR`; undefined if it isn’t there. */
export function vectorFolder(name: string): string | undefined {
  const root = process.env.VECTORS_DIR
  if (root === undefined || root === '') return undefined
  const folder = join(root, name)
  return existsSync(folder) ? folder : undefined
}

/** Throws unless the two are the same. */
export function same(got: unknown, due: unknown, what: string): void {
  if (got !== due) throw new Error(`${what} is ${String(got)}, not ${String(due)}`)
}
