/** A report about a bundle, in lines for a terminal. */
import type { BundleProblem, BundleReport, BundleSignature, VerifiedTest } from '../verify.ts'

/** Longer lists of tests are only counted. */
const TESTS_MAX = 20
const PROBLEMS_MAX = 50

/** Text without characters that could steer a terminal: what a file says is not ours. */
export const printable = (text: string): string => text.replaceAll(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, '\ufffd')

const counted = (n: number, one: string, many = `${one}s`): string =>
  `${n.toLocaleString('en')} ${n === 1 ? one : many}`
const entry = (name: string, text: string): string => `${name.padEnd(12)}${printable(text)}`
const time = (at: string): string => at.replace('T', ' ').replace(/(:\d\d)\.\d+Z$/, '$1 UTC')

function signatureLine({ name, by, at }: BundleSignature): string {
  if (by === 'unknown') return entry('Not checked', `signature of ${name}: no key given`)
  return by === 'log' ? entry('Signed by', name) : entry('Witness', `${name}${at === undefined ? '' : `, ${time(at)}`}`)
}

const REPLAY = {
  identical: 'evaluated again: identical',
  differs: 'EVALUATED AGAIN: DIFFERS',
  'not-done': 'not evaluated again',
} as const

function testLine({ id, kind, at, edition, replay, ok }: VerifiedTest): string {
  const what = kind === 'test' ? '' : `${kind}, `
  return printable(`  ${ok ? 'ok' : '--'} ${id}  ${what}received ${time(at)}, edition ${edition}, ${REPLAY[replay]}`)
}

function problemLines({ code, message, line, test }: BundleProblem): string[] {
  const place = [line === undefined ? [] : `line ${line}`, test ?? []].flat().join(', ')
  return [printable(`  ${code}${place === '' ? '' : ` (${place})`}`), printable(`    ${message}`)]
}

/** What was verified, and the verdict last. */
export function reportLines(file: string, report: BundleReport): string[] {
  const { checkpoint, continues, tests, counts, problems } = report
  const lines = [entry('Bundle', `${file}, ${counted(counts.bytes, 'byte')}`)]
  if (checkpoint !== undefined) {
    lines.push(entry('Log', `${checkpoint.origin}, ${counted(checkpoint.size, 'entry', 'entries')}`))
    lines.push(entry('Root', checkpoint.root), ...checkpoint.signatures.map(signatureLine))
  }
  if (continues !== undefined) lines.push(entry('Continues', `the log of ${counted(continues, 'entry', 'entries')}`))
  const kinds = Object.entries(counts.kinds).map(([kind, n]) => `${n} ${kind}`)
  if (kinds.length > 0) lines.push(entry('Entries', kinds.join(', ')))
  if (tests.length > 0) {
    lines.push(
      entry('Tests', `${tests.length}, of which ${counts.replayed} evaluated again, ${counts.identical} identical`),
    )
    if (tests.length <= TESTS_MAX) lines.push(...tests.map(testLine))
  }
  lines.push('')
  if (report.ok) return [...lines, verdict(report)]
  lines.push(`NOT VERIFIED: ${counted(problems.length, 'problem')}`)
  lines.push(...problems.slice(0, PROBLEMS_MAX).flatMap(problemLines))
  if (problems.length > PROBLEMS_MAX) lines.push(`  and ${problems.length - PROBLEMS_MAX} more`)
  return lines
}

function verdict({ counts }: BundleReport): string {
  if (counts.tests === 0) return 'VERIFIED: the checkpoint is signed by the log, and the entries are in it.'
  const received = 'signed by the log, in the log, and as received'
  if (counts.replayed === counts.tests) return `VERIFIED: ${received}; the same calculation gives the same evaluation.`
  return `VERIFIED: ${received}. The calculation was not repeated.`
}
