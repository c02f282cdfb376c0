/** One submission, from a checked sheet to a durable, numbered test. */
import { namedInstruments, type Sheet } from '@liftledger/calc'
import type { RevisionEntry } from '@liftledger/ledger'
import type { Deps } from '../deps.ts'
import { type InFlight, keyReused } from '../http/idempotency.ts'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { type LedgerDeps, sealed } from '../ledger/append.ts'
import { type FoundContext, loadContext } from '../registry/context.ts'
import { storedFieldTest, writtenFieldTest } from './answer.ts'
import { type Assessment, assess } from './assess.ts'
import type { SubmissionWriter } from './group-write.ts'
import { readTest } from './load.ts'
import { findEarlierUse, findEntry } from './queries.ts'
import type { Submission } from './write.ts'

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
  readonly text: string | Buffer
  /** The log's promise that the test stands in it, as JSON; made anew for a repeat. */
  readonly receipt: string | undefined
  /** True if an earlier request with the same key had stored it. */
  readonly replayed: boolean
}

const OPERATION = 'tests.submit'
const REVISE = 'tests.revise'

/** A sheet with the records it rests on, and what both come to. */
export interface Grounds {
  readonly found: FoundContext
  readonly salt: Buffer
  readonly assessment: Assessment
}

/** Looks at the sheet: what is left is to write it. The log is public one day, so its hashes get a salt. */
export function ground({ newSalt }: Deps, { sheet, rawSheet: raw }: SubmissionRequest, found: FoundContext): Grounds {
  const salt = newSalt()
  return { found, salt, assessment: assess({ sheet, context: found.context, raw, contextBytes: found.bytes, salt }) }
}

/** Everything about the test is decided here. `revision` where it takes another's place. */
export function prepare(
  deps: Deps,
  request: SubmissionRequest,
  { found, salt, assessment }: Grounds,
  revision?: Pick<RevisionEntry, 'kind' | 'revises' | 'reason'>,
): Submission {
  const { principal, sheet, rawSheet } = request
  const { edition, soundness, findings, main, statistics, salted } = assessment
  const id = deps.newId()
  const receivedAt = deps.now()
  const { bytes, leaf } = sealed({
    v: 1,
    ...(revision ?? { kind: 'test' }),
    at: receivedAt.toISOString(),
    firm: toWire('firm', principal.firmId),
    subject: toWire('test', id),
    rawSha256: salted.raw,
    contextSha256: salted.context,
    evaluationSha256: salted.evaluation,
    edition,
  })
  return {
    id,
    firmId: principal.firmId,
    plantId: found.plantId,
    testerId: found.testerId,
    testedOn: sheet.testedOn,
    receivedAt,
    edition,
    raw: rawSheet,
    rawSha256: Buffer.from(assessment.rawSha256, 'hex'),
    salt,
    context: found.bytes,
    contextSha256: found.sha256,
    evaluationSha256: Buffer.from(assessment.evaluationSha256, 'hex'),
    soundness,
    findings,
    main,
    statistics,
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
  const grounds = ground(deps, request, found)
  const submission = prepare(deps, request, grounds)
  const written = await deps.writer.submit(submission)
  if (written === 'taken') return (await findReplay(deps, request))!
  return {
    testId: toWire('test', submission.id),
    text: writtenFieldTest(submission, request.sheet, written.ledgerIndex, grounds.assessment),
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
