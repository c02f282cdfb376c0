/** What entries say of a test after it was received: that it was taken back, replaced, or decided on. */
import type { Caveats, LaterEntry, VerifiedTest } from './bundle-report.ts'

/** What an entry says; undefined for one that says nothing about what became of a test. */
export function laterEntry(index: number, members: Readonly<Record<string, unknown>>): LaterEntry | undefined {
  const text = (name: string): string => (typeof members[name] === 'string' ? members[name] : '')
  const said = { index, at: text('at'), test: text('subject') }
  if (members.kind === 'withdrawal') return { kind: 'withdrawal', ...said, reason: text('reason') }
  if (members.kind === 'revision') {
    return { kind: 'revision', ...said, test: text('revises'), supersededBy: said.test, reason: text('reason') }
  }
  if (members.kind !== 'finding-decision') return undefined
  return {
    kind: 'finding-decision',
    ...said,
    program: text('program'),
    finding: text('finding'),
    ...(typeof members.run === 'number' && { run: members.run }),
    place: text('place'),
    outcome: members.outcome === 'does-not-stand' ? 'does-not-stand' : 'stands',
  }
}

/** Tests with what entries say of each and, one after the other, of the versions that took its place. */
export function withLater(tests: readonly VerifiedTest[], entries: readonly LaterEntry[]): readonly VerifiedTest[] {
  if (entries.length === 0) return tests
  const about = new Map<string, LaterEntry[]>()
  for (const entry of entries) {
    const own = about.get(entry.test)
    if (own === undefined) about.set(entry.test, [entry])
    else own.push(entry)
  }
  return tests.map((test) => {
    const later = storyOf(test.id, about)
    return later.length === 0 ? test : { ...test, later }
  })
}

function storyOf(id: string, about: ReadonlyMap<string, readonly LaterEntry[]>): LaterEntry[] {
  const story: LaterEntry[] = []
  const seen = new Set<string>()
  let version: string | undefined = id
  while (version !== undefined && !seen.has(version)) {
    seen.add(version)
    const own: readonly LaterEntry[] = about.get(version) ?? []
    // What was decided on another sheet, or found of it, is not about this one.
    story.push(
      ...(version === id ? own : own.filter(({ kind }) => kind !== 'finding-decision' && kind !== 'record-findings')),
    )
    version = own.find((entry) => entry.kind === 'revision')?.supersededBy
  }
  return story
}

const isOf = (id: string, kind: LaterEntry['kind']) => (entry: LaterEntry) => entry.test === id && entry.kind === kind

/** The decisions on a test that count: of each program the latest on each finding. */
export function decisionsThatCount({ later = [] }: Pick<VerifiedTest, 'later'>) {
  const latest = new Map<string, Extract<LaterEntry, { kind: 'finding-decision' }>>()
  for (const entry of later) {
    if (entry.kind !== 'finding-decision') continue
    const { program, finding, run, place } = entry
    latest.set(JSON.stringify([program, finding, run, place]), entry)
  }
  return [...latest.values()]
}

/** What own findings and those from the record make of a test; undefined where neither is known to speak against it. */
function verdictOf({ id, details, later = [] }: VerifiedTest): 'unsound' | 'in-question' | undefined {
  const beside = later.flatMap((entry) => (entry.kind === 'record-findings' && entry.test === id ? entry.found : []))
  if (details?.soundness === 'unsound' || beside.some(({ severity }) => severity === 'reject')) return 'unsound'
  const inQuestion = details?.soundness === 'in-question' || beside.some(({ severity }) => severity === 'hold')
  return inQuestion ? 'in-question' : undefined
}

export function caveatsOf(tests: readonly VerifiedTest[]): Caveats {
  const count = { withdrawn: 0, superseded: 0, holdStands: 0, unsound: 0, inQuestion: 0 }
  for (const test of tests) {
    const { id, later } = test
    const verdict = verdictOf(test)
    if (verdict === 'unsound') count.unsound++
    if (verdict === 'in-question') count.inQuestion++
    if (later === undefined) continue
    if (later.some(isOf(id, 'withdrawal'))) count.withdrawn++
    if (later.some(isOf(id, 'revision'))) count.superseded++
    if (decisionsThatCount(test).some(({ outcome }) => outcome === 'stands')) count.holdStands++
  }
  return count
}
