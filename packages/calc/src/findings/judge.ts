/** Runs the findings in force over the facts of a run. */
import type { Finding, SOUNDNESS } from '../evaluation.ts'
import type { FlowPart, FlowRole } from '../flow/flow-method.ts'
import type { PreferredUnits } from '../preferred-units.ts'
import { PURPOSES, type Purpose } from '../purposes.ts'
import type { QuantityId } from '../quantities.ts'
import type { LeftOut } from '../sheet.ts'
import type { AnyEdition } from '../surroundings.ts'
import type { Quantities, Visit } from '../visit.ts'
import { type FactName, type Facts, factMeanings } from './facts.ts'
import { type AnyFinding, limitValues } from './finding.ts'
import { findings } from './list.ts'
import { type Say, sayIn } from './say.ts'

interface InForce {
  readonly finding: AnyFinding
  /** That of the finding, at hand in an object of one shape for all findings. */
  readonly raised: (facts: never, limits: Readonly<Record<never, number>>) => boolean
  readonly needs: readonly FactName[]
  readonly limits: Readonly<Record<never, number>>
  readonly ofRun: boolean
}

/** Findings by when they are raised: with each run, with the first run, over the whole visit, without any run. */
interface Prepared {
  readonly run: readonly InForce[]
  readonly firstRun: readonly InForce[]
  readonly visit: readonly InForce[]
  /** Those of one flow, which each of several pipes raises by itself. */
  readonly flow: readonly InForce[]
  readonly visitWithoutRun: readonly InForce[]
}

/** Place of the flow readings of a run, in the places of findings. */
const OF_FLOW = '/runs/*/flow'

function prepare(edition: AnyEdition, purpose: Purpose): Prepared {
  const admitted = new Set(edition.findings)
  const own = findings.filter(
    ({ id, promisedBy }) => admitted.has(id) && (promisedBy === undefined || promisedBy.includes(purpose)),
  )
  const all = own.map((finding) => ({
    finding,
    raised: finding.raised,
    needs: finding.needs as readonly FactName[],
    limits: limitValues(finding, edition.limits),
    ofRun: finding.place.includes('*'),
  }))
  const firstRun = all.filter(({ finding }) => finding.scope !== 'visit')
  const visit = all.filter(({ finding }) => finding.scope === 'visit')
  return {
    run: firstRun.filter(({ ofRun }) => ofRun),
    flow: firstRun.filter(({ finding }) => finding.place.startsWith(OF_FLOW)),
    firstRun,
    visit,
    visitWithoutRun: [...visit, ...firstRun.filter(({ ofRun }) => !ofRun)],
  }
}

const preparedOf = new WeakMap<AnyEdition, Map<Purpose, Prepared>>()

/** Findings of an edition that ask for what the visit promised, with their limits in SI, prepared once. */
function findingsInForce({ edition, sheet }: Visit): Prepared {
  let byPurpose = preparedOf.get(edition)
  if (byPurpose === undefined) {
    byPurpose = new Map(PURPOSES.map((purpose) => [purpose, prepare(edition, purpose)]))
    preparedOf.set(edition, byPurpose)
  }
  return byPurpose.get(sheet.purpose ?? 'full')!
}

function everyNeedIsThere(needs: readonly FactName[], facts: Facts): boolean {
  for (let i = 0; i < needs.length; i++) if (facts[needs[i]!] === undefined) return false
  return true
}

/** Why the reading whose absence is found was left out, if it was. Of two reasons the one of safety counts. */
function reasonLeftOut({ absenceOf }: AnyFinding, run: number, { sheet }: Visit): LeftOut['reason'] | undefined {
  if (absenceOf === undefined || sheet.leftOut === undefined) return undefined
  const reasons = sheet.leftOut
    .filter((left) => left.reading === absenceOf && (left.run === undefined || left.run === run))
    .map(({ reason }) => reason)
  return reasons.find((reason) => reason === 'unsafe') ?? reasons[0]
}

/** What is said instead of a remedy: nobody is asked again for a reading that was unsafe or out of reach. */
const REMEDY_LEFT_OUT: Readonly<Record<LeftOut['reason'], string>> = {
  unsafe: 'Nothing is asked: the reading was left out because it was unsafe. Results that need it are not reported.',
  'no-access': 'Nothing is asked: there was no access to the reading. Results that need it are not reported.',
}

function describe(inForce: InForce, run: number, facts: Facts, say: Say, visit: Visit, part?: FlowPart): Finding {
  const { finding, needs, limits, ofRun } = inForce
  const leftOut = reasonLeftOut(finding, run, visit)
  const grave = finding.severity === 'reject' || finding.severity === 'hold'
  // The test does not rest on what its flow is only compared with.
  const beside = part !== undefined && part.role !== 'tested'
  const described: Finding = {
    id: finding.id,
    severity: (leftOut !== undefined || beside) && grave ? 'caution' : finding.severity,
    place: part === undefined ? finding.place.replace('*', String(run)) : finding.place.replace(OF_FLOW, part.place),
    message: finding.message(facts as never, say, limits),
    remedy: leftOut === undefined ? finding.remedy : REMEDY_LEFT_OUT[leftOut],
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

/** The quantity that stands for the flow of a part: what spoils the one spoils the other. */
const FLOW_OF: Readonly<Record<FlowRole, QuantityId>> = {
  tested: 'flow',
  comparison: 'comparison-flow',
  'growers-meter': 'growers-meter-flow',
}

export interface Judgement {
  readonly findings: Finding[]
  /** Quantities that can't be reported, with the id of the finding each depends on. */
  spoiledBy(quantities: Quantities): Map<QuantityId, string>
}

/**
 * Those that are raised, without those that only follow from another. The rule is asked first: most answer no, and a
 * comparison with a fact that is not there is false. Whatever it answers, nothing is raised without its needs.
 */
function raise(among: readonly InForce[], facts: Facts): readonly InForce[] {
  const raised: InForce[] = []
  for (let i = 0; i < among.length; i++) {
    const inForce = among[i]!
    if (inForce.raised(facts as never, inForce.limits) && everyNeedIsThere(inForce.needs, facts)) raised.push(inForce)
  }
  if (raised.length === 0) return raised
  const silenced = new Set(raised.flatMap(({ finding }) => finding.silences ?? []))
  return silenced.size === 0 ? raised : raised.filter(({ finding }) => !silenced.has(finding.id))
}

/** What the visit as a whole raises; without any run, also what is otherwise raised with the first. */
export function judgeVisit(visit: Visit, facts: Facts, units: PreferredUnits): Finding[] {
  const prepared = findingsInForce(visit)
  const heard = raise(visit.sheet.runs.length > 0 ? prepared.visit : prepared.visitWithoutRun, facts)
  if (heard.length === 0) return []
  const say = sayIn(units)
  return heard.map((inForce) => describe(inForce, 0, facts, say, visit))
}

function judgementOf(
  heard: readonly InForce[],
  visit: Visit,
  run: number,
  facts: Facts,
  units: PreferredUnits,
  part?: FlowPart,
): Judgement {
  if (heard.length === 0) return { findings: [], spoiledBy: () => new Map() }
  const say = sayIn(units)
  return {
    findings: heard.map((inForce) => describe(inForce, run, facts, say, visit, part)),
    spoiledBy(quantities) {
      const spoiled = new Map<QuantityId, string>()
      for (const { finding } of heard) {
        if (finding.spoils === undefined) continue
        const roots = finding.spoils.flatMap((id) => {
          const node = quantities.get(part !== undefined && id === 'flow' ? FLOW_OF[part.role] : id)
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

/** Raises what one of the flows of a run is to raise, be it one of several pipes or one that is compared. */
export function judgeFlow(visit: Visit, run: number, part: FlowPart, units: PreferredUnits): Judgement {
  const heard = raise(findingsInForce(visit).flow, part.facts)
  return judgementOf(heard, visit, run, part.facts, units, part)
}

/** Raises what a run is to raise. A finding about the whole sheet is raised with the first run only. */
export function judge(visit: Visit, run: number, facts: Facts, units: PreferredUnits): Judgement {
  const prepared = findingsInForce(visit)
  const heard = raise(run === 0 ? prepared.firstRun : prepared.run, facts)
  return judgementOf(heard, visit, run, facts, units)
}

/** What the findings make of the test. */
export function soundnessOf(findings: readonly Finding[]): (typeof SOUNDNESS)[number] {
  if (findings.some(({ severity }) => severity === 'reject')) return 'unsound'
  return findings.some(({ severity }) => severity === 'hold') ? 'in-question' : 'sound'
}
