/** What a sheet and its context come to: the part of a submission that only their bytes decide. */
import { type Context, type Evaluation, evaluate, latestEdition, type QuantityId, type Sheet } from '@liftledger/calc'
import { canonicalJson, sha256Hex } from '@liftledger/ledger'
import { type FiguresBeside, type StatisticsPart, statisticsPart } from '../statistics/rollup.ts'
import type { MainQuantities, StoredFinding, Submission } from './write.ts'

export interface Assessable {
  readonly sheet: Sheet
  readonly context: Context
  /** The sheet as received, and the context as canonical JSON. */
  readonly raw: Uint8Array
  readonly contextBytes: Uint8Array
  /** Put before what is hashed for the ledger. */
  readonly salt: Uint8Array
}

/** Hashes are SHA-256 in hexadecimal; those that are `salted` are over salt and bytes. */
export interface Assessment {
  readonly edition: string
  readonly soundness: Submission['soundness']
  readonly findings: readonly StoredFinding[]
  readonly main: MainQuantities
  readonly statistics: StatisticsPart
  readonly rawSha256: string
  readonly evaluationSha256: string
  readonly salted: { readonly raw: string; readonly context: string; readonly evaluation: string }
  /** The evaluation as canonical JSON, in UTF-8. */
  readonly evaluation: Uint8Array
}

const utf8 = new TextEncoder()

/** Under the latest edition. Pure. */
export function assess({ sheet, context, raw, contextBytes, salt }: Assessable): Assessment {
  const evaluation = evaluate(sheet, context, latestEdition)
  const bytes = utf8.encode(canonicalJson(evaluation))
  const { main, beside } = figuresOf(sheet, evaluation)
  return {
    edition: evaluation.edition,
    soundness: evaluation.soundness,
    findings: evaluation.findings.map(({ id, severity, run, place }) => ({
      id,
      severity,
      place,
      ...(run !== undefined && { run }),
    })),
    main,
    statistics: statisticsPart(sheet, context, main, beside),
    rawSha256: sha256Hex(raw),
    evaluationSha256: sha256Hex(bytes),
    salted: {
      raw: sha256Hex(salt, raw),
      context: sha256Hex(salt, contextBytes),
      evaluation: sha256Hex(salt, bytes),
    },
    evaluation: bytes,
  }
}

/** Which quantity goes into which column. */
const MAIN: Readonly<Partial<Record<QuantityId, keyof MainQuantities>>> = {
  flow: 'flowM3S',
  'total-dynamic-head': 'headM',
  lift: 'liftM',
  'input-power': 'inputPowerW',
  'overall-plant-efficiency': 'efficiency',
  'specific-capacity': 'specificCapacityM2S',
  'energy-per-volume': 'energyPerVolumeJM3',
}

/** Quantities of the run that stands for the plant's normal condition, and what statistics take beside them. */
function figuresOf(sheet: Sheet, { results }: Evaluation): { main: MainQuantities; beside: FiguresBeside } {
  const main: { -readonly [K in keyof MainQuantities]: number } = {}
  const beside: { -readonly [K in keyof FiguresBeside]: number } = {}
  for (const { run, quantity, value, expandedUncertainty } of results) {
    if (run !== (sheet.normalRun ?? 0)) continue
    const column = MAIN[quantity]
    if (column !== undefined) main[column] = value
    if (quantity === 'overall-plant-efficiency') main.efficiencyU = expandedUncertainty
    else if (quantity === 'standing-water-level') beside.standingLevelM = value
    else if (quantity === 'cost-per-volume') beside.costPerVolume = value
  }
  return { main, beside }
}

export const mainQuantities = (sheet: Sheet, evaluation: Evaluation): MainQuantities =>
  figuresOf(sheet, evaluation).main
