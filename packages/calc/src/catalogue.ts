/**
 * The method as data: every declaration, without its code. `/v1/method` answers from it, `docs/method` is written from it.
 */
import { type CautionId, cautions } from './cautions.ts'
import { editions } from './editions/list.ts'
import type { AnyFinding } from './findings/finding.ts'
import { findings } from './findings/list.ts'
import { flowMethods } from './flow/flow-of-run.ts'
import type { AnyFormula, Source } from './formula.ts'
import { formulas } from './formulas/list.ts'
import { levelMethods } from './level/list.ts'
import { powerMethods } from './power/list.ts'
import { QUANTITY_IDS, type QuantityId, quantities } from './quantities.ts'
import { FORMULAS_OF_QUANTITIES } from './quantity-formulas.ts'
import { recordFindingList } from './record/findings/list.ts'
import type { AnyRecordFinding } from './record/record-finding.ts'
import type { AnyEdition } from './surroundings.ts'
import { siUnit, unitTable } from './units.ts'

export const METHODS_OF = ['flow', 'level', 'power'] as const

interface CatalogueMethod {
  readonly id: string
  readonly of: (typeof METHODS_OF)[number]
  readonly title: string
  readonly formulas: readonly string[]
  readonly source: Source
  readonly cautions: readonly CautionId[]
}

interface MethodDeclaration {
  readonly id: string
  readonly title: string
  readonly formulas: readonly AnyFormula[]
  readonly source: Source
  readonly cautions: readonly CautionId[]
}

const methodsOf = (of: CatalogueMethod['of'], methods: readonly MethodDeclaration[]): CatalogueMethod[] =>
  methods.map(({ id, title, formulas, source, cautions }) => ({
    ...{ id, of, title, source, cautions },
    formulas: formulas.map((formula) => formula.id),
  }))

const methods = [
  ...methodsOf('flow', flowMethods as unknown as readonly MethodDeclaration[]),
  ...methodsOf('level', levelMethods as unknown as readonly MethodDeclaration[]),
  ...methodsOf('power', powerMethods as unknown as readonly MethodDeclaration[]),
]

const unitOf = (unit: string | readonly [string]) =>
  typeof unit === 'string' ? { unit, list: false } : { unit: unit[0], list: true }

const formulaData = formulas.map((formula) => ({
  id: formula.id,
  title: formula.title,
  expression: formula.expression,
  unit: formula.unit,
  inputs: Object.entries(formula.inputs).map(([name, unit]) => {
    const [symbol, means] = formula.symbols?.[name] ?? [name, '']
    return { name, symbol, means, ...unitOf(unit) }
  }),
  validity: formula.validity,
  source: formula.source,
  usedBy: methods.filter((method) => method.formulas.includes(formula.id)).map(({ id }) => id),
}))

const quantityData = QUANTITY_IDS.map((id: QuantityId) => {
  const { title, dimension, us, metric } = quantities[id]
  return { id, title, unit: siUnit(dimension), us, metric, formulas: FORMULAS_OF_QUANTITIES[id] }
})

const told = ({ id, group, severity, place, rule, why, remedy, limits, source }: AnyFinding | AnyRecordFinding) => ({
  ...{ id, group, severity, place, rule, why, remedy, source },
  limits: limits as readonly string[],
})

interface CatalogueFinding extends ReturnType<typeof told> {
  readonly decidedFrom: AnyFinding['decidedFrom'] | 'record'
  readonly withholds: readonly QuantityId[]
  readonly absenceOf: AnyFinding['absenceOf']
  readonly cautions: readonly CautionId[]
}

const findingData: CatalogueFinding[] = [
  ...findings.map((finding) => ({
    ...told(finding),
    decidedFrom: finding.decidedFrom,
    withholds: finding.spoils ?? [],
    absenceOf: finding.absenceOf,
    cautions: finding.cautions ?? [],
  })),
  ...recordFindingList.map((finding) => ({
    ...told(finding),
    decidedFrom: 'record' as const,
    withholds: [],
    absenceOf: undefined,
    cautions: [],
  })),
]

const amount = ({ title, value, unit, source }: { title: string; value: number; unit: string; source: Source }) => ({
  ...{ title, value, unit, source },
})

const editionData = ({ id, inForceFrom, settings, defaults, limits, ...inForce }: AnyEdition) => {
  const { expected, ...figures } = settings
  return {
    id,
    inForceFrom,
    settings: Object.entries(figures).map(([name, value]) => ({ name, value: String(value) })),
    defaults: Object.entries(defaults).map(([name, one]) => ({ name, ...amount(one), shape: one.shape })),
    limits: Object.entries(limits).map(([name, one]) => ({ name, ...amount(one) })),
    findings: [...inForce.findings, ...inForce.recordFindings],
  }
}

export const catalogue = {
  editions: editions.map(editionData),
  formulas: formulaData,
  quantities: quantityData,
  units: unitTable(),
  methods,
  findings: findingData,
  cautions,
}
