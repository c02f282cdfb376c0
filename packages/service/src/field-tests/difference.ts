/** What differs between two documents, and between two versions of a test. */
import type { Evaluation, Finding } from '@liftledger/calc'
import type { ReadTest } from './load.ts'
import type { NamedFinding, VersionDifference } from './revision-schemas.ts'

export interface MemberChange {
  /** JSON Pointer (RFC 6901). */
  readonly pointer: string
  /** Absent, not undefined, where nothing stands there. */
  readonly from?: unknown
  readonly to?: unknown
}

const isTree = (value: unknown): value is object => value !== null && typeof value === 'object'
const isEmpty = (value: object): boolean => Object.keys(value).length === 0
const escaped = (name: string): string => name.replaceAll('~', '~0').replaceAll('/', '~1')

/**
 * Every leaf that differs between two JSON values, in the order of the first, then of the second. What stands on one
 * side alone is told leaf by leaf; an empty list or object is a leaf.
 */
export function memberChanges(from: unknown, to: unknown, pointer = ''): MemberChange[] {
  if (isTree(from) && isTree(to) && Array.isArray(from) === Array.isArray(to)) {
    const names = new Set([...Object.keys(from), ...Object.keys(to)])
    if (names.size > 0 && !isEmpty(from) && !isEmpty(to)) {
      return [...names].flatMap((name) => {
        const at = `${pointer}/${escaped(name)}`
        const [had, has] = [Object.hasOwn(from, name), Object.hasOwn(to, name)]
        const [before, after] = [from[name as keyof typeof from], to[name as keyof typeof to]] as [unknown, unknown]
        if (had && has) return memberChanges(before, after, at)
        return had
          ? leaves(before, at).map(([place, value]) => ({ pointer: place, from: value }))
          : leaves(after, at).map(([place, value]) => ({ pointer: place, to: value }))
      })
    }
    if (isEmpty(from) && isEmpty(to)) return []
  } else if (!isTree(from) && !isTree(to)) {
    // Two zeros differ by their sign, which canonical JSON does not tell.
    return from === to ? [] : [{ pointer, from, to }]
  }
  // Of another kind, or empty on one side.
  return [
    ...leaves(from, pointer).map(([place, value]) => ({ pointer: place, from: value })),
    ...leaves(to, pointer).map(([place, value]) => ({ pointer: place, to: value })),
  ]
}

function leaves(value: unknown, pointer: string): [string, unknown][] {
  if (!isTree(value) || isEmpty(value)) return [[pointer, value]]
  return Object.entries(value).flatMap(([name, member]) => leaves(member, `${pointer}/${escaped(name)}`))
}

const keyOfFinding = ({ id, run, place }: Pick<Finding, 'id' | 'run' | 'place'>) => `${id} ${run ?? ''} ${place}`
const named = ({ id, severity, run, place }: Finding): NamedFinding => ({
  id,
  severity,
  ...(run !== undefined && { run }),
  place,
})

const without = (findings: readonly Finding[], others: readonly Finding[]): NamedFinding[] => {
  const known = new Set(others.map(keyOfFinding))
  return findings.filter((finding) => !known.has(keyOfFinding(finding))).map(named)
}

type Result = Evaluation['results'][number]
const figureOf = ({ value, unit, expandedUncertainty }: Result) => ({ value, unit, expandedUncertainty })

/** Results by run and quantity, those of the one version first. */
function changedResults(from: readonly Result[], to: readonly Result[]): VersionDifference['results'] {
  const keyOf = ({ run, quantity }: Result) => `${run} ${quantity}`
  const [before, after] = [from, to].map((results) => new Map(results.map((one) => [keyOf(one), one]))) as [
    Map<string, Result>,
    Map<string, Result>,
  ]
  return [...new Map([...before, ...after])]
    .map(([key, { run, quantity }]) => {
      const [had, has] = [before.get(key), after.get(key)]
      return { run, quantity, ...(had && { from: figureOf(had) }), ...(has && { to: figureOf(has) }) }
    })
    .filter(
      ({ from: had, to: has }) => had?.value !== has?.value || had?.expandedUncertainty !== has?.expandedUncertainty,
    )
    .toSorted((a, b) => a.run - b.run)
}

/** What changed between two versions: readings by pointer, results by quantity, findings by name and place. */
export function versionDifference(
  from: ReadTest,
  to: ReadTest,
): Pick<VersionDifference, 'readings' | 'results' | 'appeared' | 'vanished'> {
  const [before, after] = [from.evaluation, to.evaluation]
  return {
    readings: memberChanges(from.sheet, to.sheet),
    results: changedResults(before.results, after.results),
    appeared: without(after.findings, before.findings),
    vanished: without(before.findings, after.findings),
  }
}
