/** Runs the findings in force over the facts of a run. */
import type { Finding, SOUNDNESS } from '../evaluation.ts'
import type { PreferredUnits } from '../preferred-units.ts'
import type { QuantityId } from '../quantities.ts'
import type { AnyEdition } from '../surroundings.ts'
import type { Quantities, Visit } from '../visit.ts'
import { type FactName, type Facts, factMeanings } from './facts.ts'
import { type AnyFinding, limitValues } from './finding.ts'
import { findings } from './list.ts'
import { type Say, sayIn } from './say.ts'

interface InForce {
  readonly finding: AnyFinding
  readonly needs: readonly FactName[]
  readonly limits: Readonly<Record<never, number>>
}

const inForceOf = new WeakMap<AnyEdition, readonly InForce[]>()

/** Findings of an edition with their limits in SI, prepared once. */
function findingsInForce(edition: AnyEdition): readonly InForce[] {
  let prepared = inForceOf.get(edition)
  if (prepared === undefined) {
    const admitted = new Set(edition.findings)
    prepared = findings
      .filter(({ id }) => admitted.has(id))
      .map((finding) => ({
        finding,
        needs: finding.needs as readonly FactName[],
        limits: limitValues(finding, edition.limits),
      }))
    inForceOf.set(edition, prepared)
  }
  return prepared
}

function everyNeedIsThere(needs: readonly FactName[], facts: Facts): boolean {
  for (let i = 0; i < needs.length; i++) if (facts[needs[i]!] === undefined) return false
  return true
}

/** Whether the reading whose absence is found was left out because it was unsafe. */
function leftOutAsUnsafe({ absenceOf }: AnyFinding, run: number, { sheet }: Visit): boolean {
  if (absenceOf === undefined || sheet.leftOut === undefined) return false
  return sheet.leftOut.some(
    (left) => left.reading === absenceOf && left.reason === 'unsafe' && (left.run === undefined || left.run === run),
  )
}

/** What is said instead of a remedy: nobody is asked again for a reading that was unsafe. */
const NOTHING_TO_DO =
  'Nothing is asked: the reading was left out because it was unsafe. Results that need it are not reported.'

function describe(inForce: InForce, run: number, facts: Facts, say: Say, visit: Visit): Finding {
  const { finding, needs, limits } = inForce
  const unsafe = leftOutAsUnsafe(finding, run, visit)
  const grave = finding.severity === 'reject' || finding.severity === 'hold'
  const described: Finding = {
    id: finding.id,
    severity: unsafe && grave ? 'caution' : finding.severity,
    place: finding.place.replace('*', String(run)),
    message: finding.message(facts as never, say, limits),
    remedy: unsafe ? NOTHING_TO_DO : finding.remedy,
    values: needs.flatMap((name) => {
      const value = facts[name]
      return typeof value === 'number' && Number.isFinite(value) ? [{ name, value, unit: factMeanings[name][0] }] : []
    }),
    limits: (finding.limits as readonly string[]).map((name) => {
      const { value, unit } = visit.edition.limits[name as keyof AnyEdition['limits']]
      return { name, value, unit }
    }),
  }
  if (finding.place.includes('*')) described.run = run
  return described
}

export interface Judgement {
  readonly findings: Finding[]
  /** Quantities that can't be reported, with the id of the finding each depends on. */
  spoiledBy(quantities: Quantities): Map<QuantityId, string>
}

/** Raises what is to be raised. A finding about the whole sheet is raised with the first run only. */
export function judge(visit: Visit, run: number, facts: Facts, units: PreferredUnits): Judgement {
  const raised: InForce[] = []
  for (const inForce of findingsInForce(visit.edition)) {
    if (run > 0 && !inForce.finding.place.includes('*')) continue
    if (everyNeedIsThere(inForce.needs, facts) && inForce.finding.raised(facts as never, inForce.limits))
      raised.push(inForce)
  }
  if (raised.length === 0) return { findings: [], spoiledBy: () => new Map() }
  const silenced = new Set(raised.flatMap(({ finding }) => finding.silences ?? []))
  const heard = silenced.size === 0 ? raised : raised.filter(({ finding }) => !silenced.has(finding.id))
  const say = sayIn(units)
  return {
    findings: heard.map((inForce) => describe(inForce, run, facts, say, visit)),
    spoiledBy(quantities) {
      const spoiled = new Map<QuantityId, string>()
      for (const { finding } of heard) {
        if (finding.spoils === undefined) continue
        const roots = finding.spoils.flatMap((id) => {
          const node = quantities.get(id)
          return node === undefined ? [] : [node]
        })
        if (roots.length === 0) continue
        const follows = visit.graph.dependents(roots)
        for (const [quantity, node] of quantities)
          if (follows[node] === 1 && !spoiled.has(quantity)) spoiled.set(quantity, finding.id)
      }
      return spoiled
    },
  }
}

/** What the findings make of the test. */
export function soundnessOf(findings: readonly Finding[]): (typeof SOUNDNESS)[number] {
  if (findings.some(({ severity }) => severity === 'reject')) return 'unsound'
  return findings.some(({ severity }) => severity === 'hold') ? 'in-question' : 'sound'
}
