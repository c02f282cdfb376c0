/** A report about a bundle, in lines for a terminal. */
import {
  counted,
  detailsInWords,
  entriesInWords,
  isToBeMinded,
  laterInWords,
  reachInWords,
  SIGNATURE_TITLES,
  signatureInWords,
  time,
  verdictInWords,
} from '../report-words.ts'
import type { BundleProblem, BundleReport, VerifiedTest } from '../verify.ts'

/** Of longer lists, only tests that there is something to say of are named, and no more than so many. */
const TESTS_MAX = 20
const PROBLEMS_MAX = 50

/** Text without characters that could steer a terminal: what a file says is not ours. */
export const printable = (text: string): string => text.replaceAll(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, '\ufffd')

const entry = (name: string, text: string): string => `${name.padEnd(13)}${printable(text)}`

const REPLAY = {
  identical: 'evaluated again: identical',
  differs: 'EVALUATED AGAIN: DIFFERS',
  'not-done': 'not evaluated again',
} as const

function testLines(test: VerifiedTest): string[] {
  const { id, kind, at, edition, replay, ok } = test
  const what = kind === 'test' ? '' : `${kind}, `
  const details = detailsInWords(test)
  const outcome = details === undefined || details.outcome === '' ? [] : `overall plant efficiency ${details.outcome}`
  return [
    `  ${ok ? 'ok' : '--'} ${id}  ${what}received ${time(at)}, edition ${edition}, ${REPLAY[replay]}`,
    ...[details?.visit ?? [], outcome].flat().map((line) => `     ${line}`),
    ...laterInWords(test).map((line) => `   ! ${line}`),
  ].map(printable)
}

function linesOfTests({ tests, counts }: BundleReport): string[] {
  if (tests.length === 0) return []
  const told = tests.length <= TESTS_MAX ? tests : tests.filter(isToBeMinded)
  return [
    entry('Tests', `${tests.length}, of which ${counts.replayed} evaluated again, ${counts.identical} identical`),
    ...told.slice(0, TESTS_MAX).flatMap(testLines),
    ...(told.length > TESTS_MAX ? [`  and ${told.length - TESTS_MAX} more that there is something to say of`] : []),
  ]
}

function problemLines({ code, message, line, test }: BundleProblem): string[] {
  const place = [line === undefined ? [] : `line ${line}`, test ?? []].flat().join(', ')
  return [printable(`  ${code}${place === '' ? '' : ` (${place})`}`), printable(`    ${message}`)]
}

/** What was verified, then the verdict, and last how far it reaches. */
export function reportLines(file: string, report: BundleReport): string[] {
  const { checkpoint, continues, counts, problems } = report
  const lines = [entry('Bundle', `${file}, ${counted(counts.bytes, 'byte')}`)]
  if (checkpoint !== undefined) {
    lines.push(
      entry('Log', `${checkpoint.origin}, ${counted(checkpoint.size, 'entry', 'entries')}`),
      entry('Root', checkpoint.root),
      entry('', `${checkpoint.rootBase64} as the checkpoint spells it`),
      ...checkpoint.signatures.map((one) => entry(SIGNATURE_TITLES[one.by], signatureInWords(one))),
    )
  }
  if (continues !== undefined) lines.push(entry('Continues', `the log of ${counted(continues, 'entry', 'entries')}`))
  const entries = entriesInWords(report)
  if (entries !== '') lines.push(entry('Entries', entries))
  lines.push(...linesOfTests(report), '')
  if (report.ok) {
    lines.push(`VERIFIED${verdictInWords(report).rest}`)
    return checkpoint === undefined ? lines : [...lines, reachInWords(checkpoint.size)]
  }
  lines.push(`NOT VERIFIED: ${counted(problems.length, 'problem')}`)
  lines.push(...problems.slice(0, PROBLEMS_MAX).flatMap(problemLines))
  if (problems.length > PROBLEMS_MAX) lines.push(`  and ${problems.length - PROBLEMS_MAX} more`)
  return lines
}
