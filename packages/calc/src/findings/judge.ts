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
  /** Places of the needs in `Prepared.names`. */
  readonly needed: readonly number[]
  readonly limits: Readonly<Record<never, number>>
  readonly ofRun: boolean
}

/** Findings of an edition, and every fact that one of them needs: each is looked up once a run. */
interface Prepared {
  readonly inForce: readonly InForce[]
  readonly names: readonly FactName[]
  /** 1 for each of `names` that the run in judgement has. */
  readonly known: Uint8Array
}

const preparedOf = new WeakMap<AnyEdition, Prepared>()

/** Findings of an edition with their limits in SI, prepared once. */
function findingsInForce(edition: AnyEdition): Prepared {
  let prepared = preparedOf.get(edition)
  if (prepared === undefined) {
    const admitted = new Set(edition.findings)
    const own = findings.filter(({ id }) => admitted.has(id))
    const names = [...new Set(own.flatMap(({ needs }) => needs as readonly FactName[]))]
    const inForce = own.map((finding) => ({
      finding,
      needs: finding.needs as readonly FactName[],
      needed: (finding.needs as readonly FactName[]).map((name) => names.indexOf(name)),
      limits: limitValues(finding, edition.limits),
      ofRun: finding.place.includes('*'),
    }))
    prepared = { inForce, names, known: new Uint8Array(names.length) }
    preparedOf.set(edition, prepared)
  }
  return prepared
}

function everyNeedIsThere(needed: readonly number[], known: Uint8Array): boolean {
  for (let i = 0; i < needed.length; i++) if (known[needed[i]!] === 0) return false
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
  const { finding, needs, limits, ofRun } = inForce
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
  if (ofRun) described.run = run
  return described
}

export interface Judgement {
  readonly findings: Finding[]
  /** Quantities that can't be reported, with the id of the finding each depends on. */
  spoiledBy(quantities: Quantities): Map<QuantityId, string>
}

/** Raises what is to be raised. A finding about the whole sheet is raised with the first run only. */
export function judge(visit: Visit, run: number, facts: Facts, units: PreferredUnits): Judgement {
  const { inForce: all, names, known } = findingsInForce(visit.edition)
  for (let i = 0; i < names.length; i++) known[i] = facts[names[i]!] === undefined ? 0 : 1
  const raised: InForce[] = []
  for (let i = 0; i < all.length; i++) {
    const inForce = all[i]!
    if (run > 0 && !inForce.ofRun) continue
    if (everyNeedIsThere(inForce.needed, known) && inForce.finding.raised(facts as never, inForce.limits))
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
