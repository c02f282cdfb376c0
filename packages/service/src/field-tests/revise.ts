/**
 * A corrected sheet takes the place of an earlier one; a test is taken back. Neither is frequent, so each is one
 * transaction of its own, in which the head of the ledger is the last lock.
 */
import { codeOf } from '../db/roles.ts'
import type { Deps } from '../deps.ts'
import { type InFlight, keyReused } from '../http/idempotency.ts'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { Problem } from '../http/problem.ts'
import { callAppending, type LedgerDeps, type StoredEntry, sealed } from '../ledger/append.ts'
import type { StatisticsPart } from '../statistics/rollup.ts'
import { writtenFieldTest } from './answer.ts'
import {
  findContext,
  findReplay,
  ground,
  onceAtATime,
  prepare,
  type SubmissionRequest,
  type Submitted,
} from './submit.ts'
import { insistOnOpen, type OpenVersion, REVISIONS_MAX } from './versions.ts'
import { type MainQuantities, REPLAY, type Submission } from './write.ts'

export interface RevisionRequest extends SubmissionRequest {
  /** UUID of the version whose place it takes. */
  readonly revised: string
  readonly reason: string
}

/** In the order of the columns. */
const FIGURES = [
  'flowM3S',
  'headM',
  'liftM',
  'inputPowerW',
  'efficiency',
  'efficiencyU',
  'specificCapacityM2S',
  'energyPerVolumeJM3',
] as const satisfies readonly (keyof MainQuantities)[]

/** For statistics, in the order of their columns. */
const MORE_FIGURES = [
  'standingLevelM',
  'annualEnergyJ',
  'annualVolumeM3',
  'costPerVolume',
] as const satisfies readonly (keyof StatisticsPart)[]

/** Constraints that fail where the version was closed between the look and the write. */
const CLOSED = new Set(['field_test_successor', 'test_closure_pkey'])

const isClosed = (error: unknown): boolean =>
  codeOf(error) === '23505' && CLOSED.has(String((error as { constraint?: unknown }).constraint))

/**
 * Stores the sheet as the next version; the same key and bytes always get the same answer. Throws `not-found` where the
 * caller does not see the version, `conflict` where it is no longer the latest, was withdrawn, or is of another plant.
 */
export const reviseTest = (
  deps: LedgerDeps,
  inFlight: InFlight<Submitted>,
  request: RevisionRequest,
): Promise<Submitted> => onceAtATime(inFlight, request, () => reviseOnce(deps, request))

async function reviseOnce(deps: LedgerDeps, request: RevisionRequest): Promise<Submitted> {
  const { sheet, principal, revised, reason } = request
  // First, since the version that was revised is closed by then.
  const earlier = await findReplay(deps, request)
  if (earlier !== undefined) return earlier
  const found = await findContext(deps, request)
  if ('replayed' in found) return found
  const version = await openVersion(deps, principal, revised)
  insistOnSamePlant(version, sheet.plant)
  const grounds = ground(deps, request, found)
  const revises = toWire('test', revised)
  const submission = prepare(deps, request, grounds, { kind: 'revision', revises, reason })
  const revision = version.revision + 1
  try {
    const ledgerIndex = await writeRevision(deps, submission, { revised, reason, revision })
    const text = writtenFieldTest(submission, sheet, ledgerIndex, grounds.assessment, { revision, revises })
    const [receipt] = deps.ledger.appended([{ index: ledgerIndex, leafHash: submission.leafHash }])
    return { testId: toWire('test', submission.id), text, receipt, replayed: false }
  } catch (error) {
    if (codeOf(error) === REPLAY) {
      // Another process used the key between the look and the write.
      const stored = await findReplay(deps, request)
      if (stored !== undefined) return stored
      throw keyReused()
    }
    if (!isClosed(error)) throw error
    await openVersion(deps, principal, revised)
    throw error
  }
}

/** Throws `conflict`, naming the latest version, where it is closed. */
const openVersion = (deps: Deps, principal: Principal, testId: string): Promise<OpenVersion> =>
  deps.databases.asPrincipal(principal, (tx) => insistOnOpen(tx, testId))

function insistOnSamePlant({ plant, revision }: OpenVersion, named: string): void {
  if (named !== plant) {
    throw new Problem(
      'conflict',
      `The test is of plant '${plant}', the sheet of '${named}'. A revision keeps its plant: withdraw the test and submit the sheet as a test of its own.`,
    )
  }
  if (revision >= REVISIONS_MAX)
    throw new Problem('conflict', `The test was revised ${revision - 1} times; no more versions are taken.`)
}

async function writeRevision(
  { databases }: Deps,
  one: Submission,
  { revised, reason, revision }: { readonly revised: string; readonly reason: string; readonly revision: number },
): Promise<number> {
  const values = [
    ...[one.id, one.firmId, one.plantId, one.testerId, one.testedOn, one.receivedAt, one.edition],
    ...[one.raw, one.rawSha256, one.salt, one.contextSha256, one.context, one.evaluationSha256, one.soundness],
    JSON.stringify(one.findings),
    FIGURES.map((name) => one.main[name] ?? null),
    ...[one.keyId, revision, revised, reason],
    one.idempotency?.key ?? null,
    one.idempotency?.fingerprint ?? null,
    one.idempotency?.operation ?? null,
    ...[one.leafHash, one.entry, one.statistics.groups],
    MORE_FIGURES.map((name) => one.statistics[name] ?? null),
  ]
  const places = values.map((_, place) => `$${place + 1}`).join(', ')
  const { rows } = await databases.writer.query<{ index: number }>({
    name: 'write_revision',
    text: `select ll.write_revision(${places}) as index`,
    values,
  })
  return Number(rows[0]!.index)
}

/** Takes the test back, for good. Throws as {@link reviseTest} does. */
export async function withdrawTest(
  deps: Deps,
  { principal, testId, reason }: { readonly principal: Principal; readonly testId: string; readonly reason: string },
): Promise<{ readonly withdrawnAt: Date; readonly stored: StoredEntry | undefined }> {
  const { firmId } = await openVersion(deps, principal, testId)
  const withdrawnAt = deps.now()
  const entry = sealed({
    v: 1,
    kind: 'withdrawal',
    at: withdrawnAt.toISOString(),
    firm: toWire('firm', firmId),
    subject: toWire('test', testId),
    reason,
    blind: deps.newSalt().toString('hex'),
  })
  try {
    const values = [testId, firmId, reason, principal.keyId, withdrawnAt]
    const stored = await callAppending(deps.databases.writer, { name: 'write_withdrawal', values }, entry)
    return { withdrawnAt, stored }
  } catch (error) {
    if (isClosed(error)) await openVersion(deps, principal, testId)
    throw error
  }
}
