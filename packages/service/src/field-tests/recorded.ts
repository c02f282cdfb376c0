/**
 * The evaluation that was recorded with a test: made again, or taken from what was kept.
 *
 * Made again it must have the recorded hash. Where it hasn't, because bytes or the calculation changed, the kept
 * document answers, if its hash is the recorded one; else what the row of the test tells: main quantities and findings.
 */
import { zstdDecompressSync } from 'node:zlib'
import { type Context, type Evaluation, evaluate, type Finding, type MethodEdition, type Sheet } from '@liftledger/calc'
import { canonicalJson } from '@liftledger/ledger'
import type { Transaction } from 'kysely'
import type { StoredTest } from '../db/read-tests.ts'
import type { Database } from '../db/schema.ts'
import { sha256 } from '../http/sha256.ts'
import type { MainQuantities, StoredFinding } from './write.ts'

export interface LoadedTest {
  readonly stored: StoredTest
  readonly sheet: Sheet
  readonly context: Context
  readonly edition: MethodEdition
}

/** What the database tells of an evaluation beside its hash. */
export interface Kept {
  readonly document: Buffer | null
  readonly soundness: string
  readonly findings: readonly StoredFinding[]
  readonly main: MainQuantities
}

export interface Recorded {
  /** With `from: 'record'` without results, and with findings that lack their words. */
  readonly evaluation: Evaluation
  /** The same as canonical JSON. */
  readonly canonical: string
  /** Whether evaluating again gave the recorded evaluation to the last bit. */
  readonly replay: 'identical' | 'differs'
  readonly from: 'replay' | 'document' | 'record'
  /** With `from: 'record'` alone. */
  readonly main?: MainQuantities
}

/** No honest evaluation comes near; a damaged document must not fill the memory. */
const DOCUMENT_BYTES_MAX = 16 * 1024 * 1024

/** An evaluation, and its canonical JSON. */
export interface Evaluated {
  readonly evaluation: Evaluation
  readonly canonical: string
}

/** The evaluation made again, whatever its hash; undefined where sheet and context can't be evaluated (any more). */
export function evaluateAgain({ sheet, context, edition }: LoadedTest): Evaluated | undefined {
  try {
    const evaluation = evaluate(sheet, context, edition)
    // A broken calculation may give numbers that no JSON holds.
    return { evaluation, canonical: canonicalJson(evaluation) }
  } catch {
    // What is stored is no sheet, or the calculation is broken: either way it is not what was recorded.
    return undefined
  }
}

/**
 * The recorded evaluation of a test: at once where evaluating again gives it, so that others who ask meanwhile find it
 * made. `findKept` is asked only where it gives another one.
 */
export function recordedEvaluation(loaded: LoadedTest, findKept: () => Promise<Kept>): Recorded | Promise<Recorded> {
  const again = evaluateAgain(loaded)
  if (again !== undefined && sha256(again.canonical).equals(loaded.stored.evaluationSha256)) {
    return { ...again, replay: 'identical', from: 'replay' }
  }
  return asKept(loaded, findKept)
}

async function asKept(loaded: LoadedTest, findKept: () => Promise<Kept>): Promise<Recorded> {
  const kept = await findKept()
  const document = kept.document && documentOf(kept.document, loaded.stored.evaluationSha256)
  if (document) return { ...document, replay: 'differs', from: 'document' }
  const evaluation = fromRow(loaded, kept)
  return { evaluation, canonical: canonicalJson(evaluation), replay: 'differs', from: 'record', main: kept.main }
}

/** The evaluation in a document; undefined where it is damaged or not the recorded one. */
function documentOf(body: Buffer, recordedHash: Buffer): Evaluated | undefined {
  try {
    const canonical = zstdDecompressSync(body, { maxOutputLength: DOCUMENT_BYTES_MAX }).toString('utf8')
    if (!sha256(canonical).equals(recordedHash)) return undefined
    return { evaluation: JSON.parse(canonical) as Evaluation, canonical }
  } catch {
    return undefined
  }
}

function fromRow({ stored }: LoadedTest, { soundness, findings }: Kept): Evaluation {
  return {
    edition: stored.edition,
    soundness: soundness as Evaluation['soundness'],
    results: [],
    withheld: [],
    findings: findings.map(
      ({ id, severity, run, place }): Finding => ({
        id,
        severity: severity as Finding['severity'],
        ...(run !== undefined && { run }),
        place,
        message:
          'Recorded when the test was submitted. Evaluating it again gives something else, so its words are not told.',
        remedy: 'Ask for the replay of the test, which lists what differs.',
        values: [],
        limits: [],
      }),
    ),
    advice: [],
    handChecks: [],
  }
}

/** What is kept of a test that the caller sees. */
export async function findKept(tx: Transaction<Database>, testId: string): Promise<Kept> {
  const row = await tx
    .selectFrom('field_test as test')
    .leftJoin('evaluation_document as document', 'document.test_id', 'test.id')
    .select(['document.body', 'test.soundness', 'test.findings', 'flow_m3_s', 'head_m', 'lift_m', 'input_power_w'])
    .select(['efficiency', 'efficiency_u', 'specific_capacity_m2_s', 'energy_per_volume_j_m3'])
    .where('test.id', '=', testId)
    .executeTakeFirstOrThrow()
  return {
    document: row.body,
    soundness: row.soundness,
    findings: row.findings as unknown as StoredFinding[],
    main: {
      ...figure('flowM3S', row.flow_m3_s),
      ...figure('headM', row.head_m),
      ...figure('liftM', row.lift_m),
      ...figure('inputPowerW', row.input_power_w),
      ...figure('efficiency', row.efficiency),
      ...figure('efficiencyU', row.efficiency_u),
      ...figure('specificCapacityM2S', row.specific_capacity_m2_s),
      ...figure('energyPerVolumeJM3', row.energy_per_volume_j_m3),
    },
  }
}

const figure = <K extends keyof MainQuantities>(name: K, value: number | null): { [_ in K]?: number } =>
  value === null ? {} : ({ [name]: value } as { [_ in K]: number })
