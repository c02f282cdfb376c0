/** One submission, from a checked sheet to a durable, numbered test. */
import {
  type Evaluation,
  evaluate,
  latestEdition,
  namedInstruments,
  type QuantityId,
  type Sheet,
} from '@liftledger/calc'
import { canonicalJson, type RevisionEntry } from '@liftledger/ledger'
import type { Deps } from '../deps.ts'
import { type InFlight, keyReused } from '../http/idempotency.ts'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { sha256, sha256Hex } from '../http/sha256.ts'
import { type LedgerDeps, sealed } from '../ledger/append.ts'
import { type FoundContext, loadContext } from '../registry/context.ts'
import { type FiguresBeside, statisticsPart } from '../statistics/rollup.ts'
import { storedFieldTest, writtenFieldTest } from './answer.ts'
import type { SubmissionWriter } from './group-write.ts'
import { readTest } from './load.ts'
import { findEarlierUse, findEntry } from './queries.ts'
import type { Evaluated } from './recorded.ts'
import type { MainQuantities, Submission } from './write.ts'

export interface SubmissionRequest {
  readonly principal: Principal & { readonly firmId: string }
  readonly sheet: Sheet
  readonly rawSheet: Buffer
  readonly key: string | undefined
  readonly fingerprint: Buffer
}

export interface Submitted {
  /** As on the wire, `tst_…`. */
  readonly testId: string
  /** The answer, as JSON. */
  readonly text: string
  /** The log's promise that the test stands in it, as JSON; made anew for a repeat. */
  readonly receipt: string | undefined
  /** True if an earlier request with the same key had stored it. */
  readonly replayed: boolean
}

const OPERATION = 'tests.submit'
const REVISE = 'tests.revise'

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

/** Everything about the test is decided here; what is left is to write it. `revision` where it takes another's place. */
export function prepare(
  deps: Deps,
  request: SubmissionRequest,
  found: FoundContext,
  { evaluation, canonical }: Evaluated,
  revision?: Pick<RevisionEntry, 'kind' | 'revises' | 'reason'>,
): Submission {
  const { principal, sheet, rawSheet } = request
  const id = deps.newId()
  const receivedAt = deps.now()
  const salt = deps.newSalt()
  const { main, beside } = figuresOf(sheet, evaluation)
  // The log is public one day: its hashes are salted, so that nobody finds a sheet by guessing.
  const { bytes, leaf } = sealed({
    v: 1,
    ...(revision ?? { kind: 'test' }),
    at: receivedAt.toISOString(),
    firm: toWire('firm', principal.firmId),
    subject: toWire('test', id),
    rawSha256: sha256Hex(salt, rawSheet),
    contextSha256: sha256Hex(salt, found.bytes),
    evaluationSha256: sha256Hex(salt, canonical),
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
    context: found.bytes,
    contextSha256: found.sha256,
    evaluationSha256: sha256(canonical),
    soundness: evaluation.soundness,
    findings: evaluation.findings.map(({ id: finding, severity, run, place }) => ({
      id: finding,
      severity,
      place,
      ...(run !== undefined && { run }),
    })),
    main,
    statistics: statisticsPart(sheet, found.context, main, beside),
    keyId: principal.keyId,
    ...(request.key !== undefined && {
      idempotency: {
        key: request.key,
        fingerprint: request.fingerprint,
        operation: revision === undefined ? OPERATION : REVISE,
      },
    }),
    entry: bytes,
    leafHash: leaf,
  }
}

/** What an earlier request with the same key stored; undefined where there was none. Throws `idempotency-key-reused`. */
export async function findReplay(
  { databases, ledger }: LedgerDeps,
  { principal, key, fingerprint }: SubmissionRequest,
): Promise<Submitted | undefined> {
  if (key === undefined) return undefined
  return databases.asPrincipal(principal, async (tx) => {
    const earlier = await findEarlierUse(tx, principal.firmId, key)
    if (earlier === undefined) return undefined
    if (!earlier.fingerprint.equals(fingerprint)) throw keyReused()
    const text = storedFieldTest(await readTest(tx, earlier.testId))
    const [receipt] = ledger.appended(await findEntry(tx, earlier.testId))
    return { testId: toWire('test', earlier.testId), text, receipt, replayed: true }
  })
}

/** The records that the test rests on. Where some aren't there, a repeat of what was stored once is still answered. */
export async function findContext(deps: LedgerDeps, request: SubmissionRequest): Promise<FoundContext | Submitted> {
  const { principal, sheet } = request
  try {
    return await loadContext(deps.databases, principal, {
      plantCode: sheet.plant,
      testerCode: sheet.tester,
      instruments: namedInstruments(sheet),
      testedOn: sheet.testedOn,
    })
  } catch (error) {
    const replay = await findReplay(deps, request)
    if (replay !== undefined) return replay
    throw error
  }
}

async function submitOnce(deps: SubmitDeps, request: SubmissionRequest): Promise<Submitted> {
  const found = await findContext(deps, request)
  if ('replayed' in found) return found
  const { sheet } = request
  const evaluation = evaluate(sheet, found.context, latestEdition)
  const canonical = canonicalJson(evaluation)
  const submission = prepare(deps, request, found, { evaluation, canonical })
  const written = await deps.writer.submit(submission)
  if (written === 'taken') return (await findReplay(deps, request))!
  return {
    testId: toWire('test', submission.id),
    text: writtenFieldTest(submission, sheet, written.ledgerIndex, canonical),
    receipt:
      written.receipt ?? deps.ledger.appended([{ index: written.ledgerIndex, leafHash: submission.leafHash }])[0],
    replayed: false,
  }
}

interface SubmitDeps extends LedgerDeps {
  readonly writer: SubmissionWriter
}

/** Stores, evaluates and answers; the same key and bytes always get the same answer. */
export const submitTest = (
  deps: SubmitDeps,
  inFlight: InFlight<Submitted>,
  request: SubmissionRequest,
): Promise<Submitted> => onceAtATime(inFlight, request, () => submitOnce(deps, request))

/** Who comes with a key that is at work here gets the outcome of that work. */
export async function onceAtATime(
  inFlight: InFlight<Submitted>,
  { key, fingerprint, principal }: SubmissionRequest,
  work: () => Promise<Submitted>,
): Promise<Submitted> {
  if (key === undefined) return work()
  const { outcome, joined } = await inFlight.run({ owner: principal.firmId, key, fingerprint }, work)
  return joined ? { ...outcome, replayed: true } : outcome
}
