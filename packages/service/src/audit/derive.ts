/**
 * What the columns of a test must hold, from sheet and context alone. On its own, beside the code that writes the
 * columns: a fault shared by both would not show.
 */
import { type Context, type Evaluation, editionById, evaluate, type QuantityId, type Sheet } from '@liftledger/calc'
import { canonicalBytes } from '@liftledger/ledger'

/** What evaluating again gives. */
export interface Derived {
  readonly sheet: Pick<Sheet, 'plant' | 'tester' | 'testedOn'>
  readonly context: { readonly plantCode: string; readonly testerCode: string }
  /** Canonical bytes of the evaluation. */
  readonly canonical: Uint8Array
  /** Columns that hold what the evaluation says, as text; null where it says nothing. */
  readonly columns: Readonly<Record<DerivedColumn, string | null>>
}

/** From the bytes of sheet and context; throws where they are none, or where the edition isn't here. */
export type Derive = (raw: Buffer, context: Buffer, edition: string) => Derived

const FIGURES = {
  flow_m3_s: 'flow',
  head_m: 'total-dynamic-head',
  lift_m: 'lift',
  input_power_w: 'input-power',
  efficiency: 'overall-plant-efficiency',
  specific_capacity_m2_s: 'specific-capacity',
  energy_per_volume_j_m3: 'energy-per-volume',
} as const satisfies Readonly<Record<string, QuantityId>>

export type DerivedColumn = keyof typeof FIGURES | 'efficiency_u' | 'soundness' | 'findings'
export const FIGURE_COLUMNS = [...(Object.keys(FIGURES) as (keyof typeof FIGURES)[]), 'efficiency_u'] as const
export const DERIVED_COLUMNS: readonly DerivedColumn[] = [...FIGURE_COLUMNS, 'soundness', 'findings']

export class UnknownEdition extends Error {}

export const derive: Derive = (raw, context, editionId) => {
  const edition = editionById(editionId)
  if (edition === undefined) throw new UnknownEdition(editionId)
  const sheet = JSON.parse(raw.toString('utf8')) as Sheet
  const records = JSON.parse(context.toString('utf8')) as Context
  const evaluation = evaluate(sheet, records, edition)
  return {
    sheet: { plant: sheet.plant, tester: sheet.tester, testedOn: sheet.testedOn },
    context: { plantCode: records.plant.code, testerCode: records.tester.code },
    canonical: canonicalBytes(evaluation),
    columns: { ...figures(sheet, evaluation), soundness: evaluation.soundness, findings: findingsText(evaluation) },
  }
}

/** Of the run that stands for the plant's normal condition, which is the first unless the sheet names another. */
function figures({ normalRun = 0 }: Sheet, { results }: Evaluation) {
  const of = (quantity: QuantityId) =>
    results.find((result) => result.quantity === quantity && result.run === normalRun)
  const text = (value: number | undefined): string | null => (value === undefined ? null : floatText(value))
  const named = Object.entries(FIGURES).map(([column, quantity]) => [column, text(of(quantity)?.value)])
  return {
    ...(Object.fromEntries(named) as Record<keyof typeof FIGURES, string | null>),
    efficiency_u: text(of('overall-plant-efficiency')?.expandedUncertainty),
  }
}

/** One text for one number: the sign of zero counts. */
export const floatText = (value: number): string => (Object.is(value, -0) ? '-0' : String(value))

function findingsText({ findings }: Evaluation): string {
  return JSON.stringify(
    findings.map(({ id, severity, run, place }) => ({ id, severity, place, ...(run !== undefined && { run }) })),
  )
}
