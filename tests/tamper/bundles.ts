/** Changes in a bundle: a byte, a member of a sheet, a line taken out, doubled or put elsewhere. */

import { goldenCases } from '@liftledger/calc/testing'
import { canonicalBytes } from '@liftledger/ledger'
import { bundleOf, logSigner, sampleLog, witnessSigner } from '@liftledger/ledger/testing'
import { precheck } from '../../packages/sdk/src/precheck.ts'
import { type BundleReport, verifyBundle } from '../../packages/sdk/src/verify.ts'
import { Chance } from './chance.ts'
import type { Outcome } from './trials.ts'

const KEYS = [logSigner.key, witnessSigner.key]

/** Of tests that can be evaluated again, with the proof that the log continues an earlier one. */
function honestBundle(): Buffer {
  const samples = goldenCases().map(({ sheet, context }) => ({
    raw: Buffer.from(JSON.stringify(sheet, null, 1)),
    context: canonicalBytes(context),
    evaluation: canonicalBytes(precheck(sheet, context)),
    edition: '2026-1',
  }))
  return Buffer.from(bundleOf(sampleLog(samples), { since: 5 }))
}

interface Changed {
  readonly bytes: Buffer
  /** Lines of the honest bundle, from 0, where it was changed: of a line that was moved, from where and to where. */
  readonly lines: readonly number[]
}

const WAYS: Readonly<Record<string, (bundle: Buffer, chance: Chance) => Changed>> = {
  byte: (bundle, chance) => {
    const at = chance.below(bundle.length)
    const bytes = Buffer.from(bundle)
    bytes[at] = bytes[at]! ^ (1 + chance.below(255))
    return { bytes, lines: [linesOf(bundle.subarray(0, at)).length - 1] }
  },
  member: (bundle, chance) => {
    const lines = linesOf(bundle)
    const line = chance.of(lines.flatMap((text, n) => (/^\s*"value": [0-9.]+/.test(text) ? [n] : [])))
    const other = lines[line]!.replace(/[0-9](?=[^0-9]*$)/, (digit) =>
      String((Number(digit) + 1 + chance.below(8)) % 10),
    )
    return { bytes: joined(lines.with(line, other)), lines: [line] }
  },
  dropped: (bundle, chance) => {
    const lines = linesOf(bundle)
    const line = chance.below(lines.length - 1)
    return { bytes: joined(lines.toSpliced(line, 1)), lines: [line] }
  },
  doubled: (bundle, chance) => {
    const lines = linesOf(bundle)
    const line = chance.below(lines.length - 1)
    return { bytes: joined(lines.toSpliced(line, 0, lines[line]!)), lines: [line] }
  },
  moved: (bundle, chance) => {
    const lines = linesOf(bundle)
    const line = chance.below(lines.length - 1)
    const rest = lines.toSpliced(line, 1)
    const to = chance.below(rest.length - 1)
    return { bytes: joined(rest.toSpliced(to, 0, lines[line]!)), lines: [line, to] }
  },
}

const linesOf = (bundle: Buffer): string[] => bundle.toString('latin1').split('\n')
const joined = (lines: readonly string[]): Buffer => Buffer.from(lines.join('\n'), 'latin1')

export async function tryInBundles({ seed, trials }: { seed: number; trials: number }): Promise<Outcome[]> {
  const chance = new Chance(seed + 3)
  const bundle = honestBundle()
  const honest = await verifyBundle(bundle, { keys: KEYS })
  if (!honest.ok) throw new Error(`An honest bundle is not verified: ${JSON.stringify(honest.problems)}`)
  const parts = partsOf(bundle)
  const outcomes: Outcome[] = []
  for (let n = 0; n < trials; n++) {
    const way = Object.keys(WAYS)[n % Object.keys(WAYS).length]!
    const { bytes, lines } = WAYS[way]!(bundle, chance)
    const target = { kind: 'in-bundle', table: `bundle ${way}` } as const
    const nothing = { found: false, placed: false, column: false, guard: undefined, codes: [] }
    if (bytes.equals(bundle)) {
      outcomes.push({ target, refused: true, why: 'holds-nothing', ...nothing })
      continue
    }
    const report = await verifyBundle(bytes, { keys: KEYS })
    const placed = lines.some((line) => isPlaced(report, parts, line))
    const missed = `${way} at line ${lines.map((line) => line + 1).join(' to ')}: ${JSON.stringify(report.problems.slice(0, 3))}`
    outcomes.push({
      target,
      ...nothing,
      refused: false,
      found: !report.ok,
      placed,
      codes: [...new Set(report.problems.map(({ code }) => code))],
      ...(!(placed && !report.ok) && { missed }),
    })
  }
  return outcomes
}

/** Part of the bundle that each line belongs to: the head is one, each test and each entry is another. */
function partsOf(bundle: Buffer): number[] {
  let part = 0
  return linesOf(bundle).map((text) => {
    if (/^(test|entry|end)\b/.test(text)) part += 1
    return part
  })
}

/**
 * Whether a problem names the part that was changed, or the one beside it, where a part was made shorter or longer
 * and the next one is not found. What is wrong with the head may be told of the file as a whole.
 */
function isPlaced({ problems }: BundleReport, parts: readonly number[], line: number): boolean {
  const due = parts[line]!
  return problems.some((problem) => {
    if (problem.line === undefined) return due === 0
    const told = parts[Math.min(problem.line - 1, parts.length - 1)]!
    return Math.abs(told - due) <= 1
  })
}
