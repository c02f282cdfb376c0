/** Soundness of a test for one program: its findings under the program's limits and severities, and its decisions. */
import { type Evaluation, evaluate, findings, type MethodEdition, recordFindingList } from '@liftledger/calc'
import type { Material } from './material.ts'
import { boundValueOfLimit } from './may-change.ts'
import type { RuleSetContent } from './schema.ts'

/** What of a rule set changes findings. */
type Changing = Pick<RuleSetContent, 'findings'>

type Finding = Evaluation['findings'][number]
export type SoundnessForProgram = 'sound' | 'in-question' | 'unsound' | 'superseded' | 'withdrawn'

export interface FindingForProgram {
  readonly id: string
  readonly severity: Finding['severity']
  readonly run: number | undefined
  readonly place: string
  /** What the rule set changed. */
  readonly changed?: 'limit' | 'severity'
  readonly decision?: 'stands' | 'does-not-stand'
}

export interface Standing {
  readonly soundness: SoundnessForProgram
  /** Gravest first, as in the evaluation. */
  readonly findings: readonly FindingForProgram[]
}

const declared = new Map([...findings, ...recordFindingList].map(({ id, severity }) => [id, severity]))

/** Editions with the limits of a rule set, by finding; made once, since findings are prepared by edition. */
const derived = new WeakMap<Changing, Map<string, MethodEdition>>()

function editionWith(rules: Changing, finding: string, edition: MethodEdition): MethodEdition {
  const known = derived.get(rules) ?? new Map<string, MethodEdition>()
  derived.set(rules, known)
  const name = `${edition.id}/${finding}`
  let own = known.get(name)
  if (own === undefined) {
    const limits = Object.fromEntries(
      Object.entries(rules.findings!.limits![finding]!).flatMap(([limit, bound]) => {
        const asIs = edition.limits[limit as keyof typeof edition.limits]
        const si = boundValueOfLimit(bound, asIs)
        return typeof si === 'number' ? [[limit, { ...asIs, si }]] : []
      }),
    )
    own = { ...edition, limits: { ...edition.limits, ...limits } }
    known.set(name, own)
  }
  return own
}

/** A finding under another limit: only itself is taken from the other evaluation, so that results stay the edition's. */
function withLimits(
  rules: Changing,
  { sheet, context, evaluation, edition }: Material,
): readonly (Finding & { readonly limitChanged?: true })[] {
  const changed = Object.keys(rules.findings?.limits ?? {})
  if (changed.length === 0) return evaluation.findings
  const kept = evaluation.findings.filter(({ id }) => !changed.includes(id))
  const anew = changed.flatMap((id) => {
    const found = evaluate(sheet, context, editionWith(rules, id, edition)).findings
    return found.filter((finding) => finding.id === id).map((finding) => ({ ...finding, limitChanged: true as const }))
  })
  return [...kept, ...anew]
}

/** Raised where the program says so; what was left out for safety stays as lenient as it is. */
function severityFor(rules: Changing, { id, severity }: Pick<Finding, 'id' | 'severity'>): Finding['severity'] {
  const wanted = rules.findings?.severity?.[id]
  if (wanted === undefined || severity !== declared.get(id)) return severity
  return wanted
}

const GRAVITY = ['reject', 'hold', 'caution', 'note'] as const

export function standingUnder(rules: Changing, material: Material): Standing {
  // Limits of a program are about one sheet; what other tests say of it stands as it is.
  const findings = [...withLimits(rules, material), ...material.beside]
    .map((finding): FindingForProgram => {
      const { id, run, place } = finding
      const severity = severityFor(rules, finding)
      const changed = severity !== finding.severity ? 'severity' : 'limitChanged' in finding ? 'limit' : undefined
      const decision = severity === 'hold' ? decisionOn(material, id, run, place) : undefined
      return { id, severity, run, place, ...(changed && { changed }), ...(decision && { decision }) }
    })
    .toSorted((one, other) => GRAVITY.indexOf(one.severity) - GRAVITY.indexOf(other.severity))
  return { soundness: material.closed ?? soundnessOf(findings), findings }
}

const decisionOn = ({ decisions }: Material, finding: string, run: number | undefined, place: string) =>
  decisions.find((one) => one.finding === finding && one.run === run && one.place === place)?.outcome

function soundnessOf(findings: readonly FindingForProgram[]): SoundnessForProgram {
  if (findings.some(({ severity, decision }) => severity === 'reject' || decision === 'stands')) return 'unsound'
  return findings.some(({ severity, decision }) => severity === 'hold' && decision === undefined)
    ? 'in-question'
    : 'sound'
}
