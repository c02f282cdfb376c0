/** One submission, from a checked sheet to a durable, numbered test. */
import { createHash, randomBytes } from 'node:crypto'
import {
  type Evaluation,
  evaluate,
  latestEdition,
  namedInstruments,
  type QuantityId,
  type Sheet,
} from '@liftledger/calc'
import { canonicalBytes, entryBytes, leafHash, type RevisionEntry } from '@liftledger/ledger'
import type { Deps } from '../deps.ts'
import { type InFlight, keyReused } from '../http/idempotency.ts'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { type FoundContext, loadContext } from '../registry/context.ts'
import { storedFieldTest, writtenFieldTest } from './answer.ts'
import { readTest } from './load.ts'
import { findEarlierUse } from './queries.ts'
import type { FieldTest } from './schemas.ts'
import { type MainQuantities, ReplayInBatch, type Submission, write } from './write.ts'

export interface SubmissionRequest {
  readonly principal: Principal & { readonly firmId: string }
  readonly sheet: Sheet
  readonly rawSheet: Buffer
  readonly key: string | undefined
  readonly fingerprint: Buffer
}

export interface Submitted {
  readonly test: FieldTest
  /** True if an earlier request with the same key had stored it. */
  readonly replayed: boolean
}

const OPERATION = 'tests.submit'
const REVISE = 'tests.revise'
const SALT_BYTES = 16

const sha256 = (...parts: readonly Uint8Array[]): Buffer => {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest()
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

/** Quantities of the run that stands for the plant's normal condition. */
export function mainQuantities(sheet: Sheet, { results }: Evaluation): MainQuantities {
  const main: { -readonly [K in keyof MainQuantities]: number } = {}
  for (const { run, quantity, value, expandedUncertainty } of results) {
    if (run !== (sheet.normalRun ?? 0)) continue
    const column = MAIN[quantity]
    if (column !== undefined) main[column] = value
    if (quantity === 'overall-plant-efficiency') main.efficiencyU = expandedUncertainty
  }
  return main
}

/** Everything about the test is decided here; what is left is to write it. `revision` where it takes another's place. */
export function prepare(
  deps: Deps,
  request: SubmissionRequest,
  found: FoundContext,
  evaluation: Evaluation,
  revision?: Pick<RevisionEntry, 'kind' | 'revises' | 'reason'>,
): Submission {
  const { principal, sheet, rawSheet } = request
  const id = deps.newId()
  const receivedAt = deps.now()
  const salt = randomBytes(SALT_BYTES)
  const context = Buffer.from(canonicalBytes(found.context))
  const evaluated = canonicalBytes(evaluation)
  // The log is public one day: its hashes are salted, so that nobody finds a sheet by guessing.
  const salted = (bytes: Uint8Array) => sha256(salt, bytes).toString('hex')
  const entry = entryBytes({
    v: 1,
    ...(revision ?? { kind: 'test' }),
    at: receivedAt.toISOString(),
    firm: toWire('firm', principal.firmId),
    subject: toWire('test', id),
    rawSha256: salted(rawSheet),
    contextSha256: salted(context),
    evaluationSha256: salted(evaluated),
    edition: evaluation.edition,
  })
  return {
    id,
    firmId: principal.firmId,
    plantId: found.plantId,
    testerId: found.testerId,
    testedOn: sheet.testedOn,
    receivedAt,
    edition: evaluation.edition,
    raw: rawSheet,
    rawSha256: sha256(rawSheet),
    salt,
    context,
    contextSha256: sha256(context),
    evaluationSha256: sha256(evaluated),
    soundness: evaluation.soundness,
    findings: evaluation.findings.map(({ id: finding, severity, run, place }) => ({
      id: finding,
      severity,
      place,
      ...(run !== undefined && { run }),
    })),
    main: mainQuantities(sheet, evaluation),
    keyId: principal.keyId,
    ...(request.key !== undefined && {
      idempotency: {
        key: request.key,
        fingerprint: request.fingerprint,
        operation: revision === undefined ? OPERATION : REVISE,
      },
    }),
    entry: Buffer.from(entry),
    leafHash: Buffer.from(leafHash(entry)),
  }
}

/** What an earlier request with the same key stored, or the records that a new test rests on. */
export async function lookUp(deps: Deps, request: SubmissionRequest): Promise<Submitted | FoundContext> {
  const { principal, sheet, key, fingerprint } = request
  return deps.databases.asPrincipal(principal, async (tx) => {
    const earlier = key === undefined ? undefined : await findEarlierUse(tx, principal.firmId, key)
    if (earlier !== undefined) {
      if (!earlier.fingerprint.equals(fingerprint)) throw keyReused()
      return { test: storedFieldTest(await readTest(tx, earlier.testId)), replayed: true }
    }
    return loadContext(tx, {
      plantCode: sheet.plant,
      testerCode: sheet.tester,
      instruments: namedInstruments(sheet),
      testedOn: sheet.testedOn,
    })
  })
}

async function submitOnce(deps: Deps, request: SubmissionRequest): Promise<Submitted> {
  const found = await lookUp(deps, request)
  if ('replayed' in found) return found
  const { sheet } = request
  const evaluation = evaluate(sheet, found.context, latestEdition)
  const submission = prepare(deps, request, found, evaluation)
  try {
    const [written] = await write(deps.databases.writer, [submission])
    const test = writtenFieldTest(submission, sheet, written!.ledgerIndex, evaluation)
    return { test, replayed: false }
  } catch (error) {
    // Another process stored it between the look-up and the write.
    if (!(error instanceof ReplayInBatch)) throw error
    const stored = await lookUp(deps, request)
    if ('replayed' in stored) return stored
    throw error
  }
}

/** Stores, evaluates and answers; the same key and bytes always get the same answer. */
export async function submitTest(
  deps: Deps,
  inFlight: InFlight<Submitted>,
  request: SubmissionRequest,
): Promise<Submitted> {
  const { key, fingerprint, principal } = request
  if (key === undefined) return submitOnce(deps, request)
  const { outcome, joined } = await inFlight.run({ owner: principal.firmId, key, fingerprint }, () =>
    submitOnce(deps, request),
  )
  return joined ? { ...outcome, replayed: true } : outcome
}
