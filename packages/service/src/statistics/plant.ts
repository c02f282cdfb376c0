/**
 * Which tests of a plant count, for whom. A function of what happened at the plant, in its order, and of nothing else:
 * so cells are the sum of what their plants add, and can be made again.
 */
import type { FactRow, Soundness } from './facts.ts'
import type { Reason } from './sums.ts'

/** For whom tests are counted: all of them, those of a firm, or those that a program has. */
export type Scope = { readonly of: 'all' } | { readonly of: 'firm' | 'program'; readonly id: string }

/** Of all tests, in the table of cells. */
export const ALL = '00000000-0000-0000-0000-000000000000'

export interface Considered {
  readonly test: FactRow
  /** Why it isn't counted; absent where it is. */
  readonly left?: Reason
}

interface History {
  readonly tests: readonly FactRow[]
  readonly closed: ReadonlyMap<string, 'superseded' | 'withdrawn'>
  /** What own findings and those from the record make of a test, where it is not what its own do. */
  readonly compared: ReadonlyMap<string, Soundness>
  /** By program: the tests it has, and what it decided. */
  readonly programs: ReadonlyMap<string, ProgramView>
}
interface ProgramView {
  readonly has: Set<string>
  readonly verdicts: Map<string, Soundness>
}

/** What happened at one plant, up to a place. Rows in their order. */
export function historyOf(rows: readonly FactRow[], upTo = Number.POSITIVE_INFINITY): History {
  const tests: FactRow[] = []
  const closed = new Map<string, 'superseded' | 'withdrawn'>()
  const compared = new Map<string, Soundness>()
  const programs = new Map<string, ProgramView>()
  const viewOf = (id: string): ProgramView => {
    const known = programs.get(id) ?? { has: new Set(), verdicts: new Map() }
    programs.set(id, known)
    return known
  }
  for (const row of rows) {
    if (row.place > upTo) break
    switch (row.happened) {
      case 'test':
        tests.push(row)
        break
      case 'superseded':
      case 'withdrawn':
        closed.set(row.test_id, row.happened)
        break
      case 'compared':
        compared.set(row.test_id, row.soundness!)
        break
      case 'decided':
        viewOf(row.program_id!).verdicts.set(row.test_id, row.soundness!)
        break
      case 'given':
        viewOf(row.program_id!).has.add(row.test_id)
        break
      case 'taken-back':
        viewOf(row.program_id!).has.delete(row.test_id)
        break
    }
  }
  return { tests, closed, compared, programs }
}

/** A later day comes after; of one day, what was stored later. */
const isAfter = (a: FactRow, b: FactRow): boolean =>
  a.tested_on! > b.tested_on! || (a.tested_on === b.tested_on && a.place > b.place)

/** The tests of the plant in a scope: of each year the last sound one counts, the others are told why not. */
export function consider(history: History, scope: Scope): Considered[] {
  const view = scope.of === 'program' ? history.programs.get(scope.id) : undefined
  const inScope = ({ test_id, firm_id }: FactRow): boolean => {
    if (scope.of === 'all') return true
    return scope.of === 'firm' ? firm_id === scope.id : view?.has.has(test_id) === true
  }
  const verdictOf = (test: FactRow): Soundness =>
    view?.verdicts.get(test.test_id) ?? history.compared.get(test.test_id) ?? test.soundness!
  const tests = history.tests.filter(inScope)
  const last = new Map<string, FactRow>()
  const reasons = tests.map((test): Reason | undefined => {
    const closed = history.closed.get(test.test_id)
    if (closed !== undefined) return closed
    const verdict = verdictOf(test)
    if (verdict !== 'sound') return verdict
    const year = test.tested_on!.slice(0, 4)
    const rival = last.get(year)
    if (rival === undefined || isAfter(test, rival)) last.set(year, test)
    return undefined
  })
  return tests.map((test, n) => {
    const reason = reasons[n]
    if (reason !== undefined) return { test, left: reason }
    return last.get(test.tested_on!.slice(0, 4)) === test ? { test } : { test, left: 'another-in-the-year' }
  })
}

/** The scopes whose cells hold tests of the plant. A firm's statistics are made from its rows. */
export const scopesOf = ({ programs }: History): Scope[] => [
  { of: 'all' },
  ...[...programs.keys()].map((id) => ({ of: 'program', id }) as const),
]
export const scopeId = (scope: Scope): string => (scope.of === 'all' ? ALL : scope.id)
