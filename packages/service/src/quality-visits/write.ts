/**
 * Writes draws and steps of visits, each with its entry in the ledger in one transaction, as the role that appends to it.
 * Whoever calls has looked with the program’s own eyes; the database looks once more behind the head of the ledger.
 */
import { canonicalBytes } from '@liftledger/ledger'
import type pg from 'pg'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { callAppending, type StoredEntry, sealed } from '../ledger/append.ts'
import { drawPeopleBytes, type StepContent, stepBytes } from './people.ts'
import type { DrawToAnnounce } from './schemas.ts'

/** SQLSTATE of a draw that was drawn, or of a visit with a step that came first. */
export const OVERTAKEN = 'LL003'
/** SQLSTATE of a firm without access to the plant. */
export const WITHOUT_ACCESS = 'LL004'

interface Deed {
  readonly programId: string
  readonly keyId: string
  readonly at: Date
  /** 16 random bytes. */
  readonly salt: Buffer
}

export interface Announcement extends Deed {
  readonly id: string
  readonly terms: DrawToAnnounce
  /** 32 random bytes. */
  readonly seed: Buffer
  readonly announcer: string
}

export const termsBytes = (terms: DrawToAnnounce): Buffer => Buffer.from(canonicalBytes({ ...terms }))

export async function announceDraw(pool: pg.Pool, announcement: Announcement): Promise<StoredEntry> {
  const { id, programId, keyId, at, salt, seed, announcer } = announcement
  const terms = termsBytes(announcement.terms)
  const [termsHash, seedHash] = [sha256(terms), sha256(seed)]
  const people = sha256(salt, drawPeopleBytes(announcer))
  const entry = sealed({
    v: 1,
    kind: 'quality-draw',
    at: at.toISOString(),
    program: toWire('program', programId),
    draw: toWire('quality draw', id),
    seedSha256: seedHash.toString('hex'),
    termsSha256: termsHash.toString('hex'),
    peopleSha256: people.toString('hex'),
  })
  const values = [id, programId, terms, termsHash, seed, seedHash, announcer, keyId, at, salt, people]
  return (await callAppending(pool, { name: 'announce_quality_draw', values }, entry))!
}

/** The seed of a draw that is not drawn yet; undefined where it is. */
export async function seedOf(pool: pg.Pool, id: string, programId: string): Promise<Buffer | undefined> {
  const { rows } = await pool.query<{ seed: Buffer }>({
    name: 'quality_draw_seed',
    text: 'select seed from ll.quality_draw where id = $1 and program_id = $2 and drawn_at is null',
    values: [id, programId],
  })
  return rows[0]?.seed
}

export interface VisitToMake {
  readonly visitId: string
  readonly testId: string
  readonly plantId: string
  readonly firmId: string
}

export interface Drawing extends Deed {
  readonly id: string
  readonly announcer: string
  readonly drawer: string
  readonly seed: Buffer
  readonly outcome: Buffer
  readonly visits: readonly VisitToMake[]
}

/** Fails with {@link OVERTAKEN} where it was drawn before, with 23505 where a test was drawn by another draw meanwhile. */
export async function writeDrawing(pool: pg.Pool, drawing: Drawing): Promise<StoredEntry> {
  const { id, programId, keyId, at, salt, announcer, drawer, seed, outcome, visits } = drawing
  const outcomeHash = sha256(outcome)
  const people = sha256(salt, drawPeopleBytes(announcer, drawer))
  const entry = sealed({
    v: 1,
    kind: 'quality-drawing',
    at: at.toISOString(),
    program: toWire('program', programId),
    draw: toWire('quality draw', id),
    seed: seed.toString('hex'),
    outcomeSha256: outcomeHash.toString('hex'),
    peopleSha256: people.toString('hex'),
  })
  const column = (of: (visit: VisitToMake) => string): string[] => visits.map(of)
  const values = [
    ...[id, programId, drawer, keyId, at, outcome, outcomeHash, salt, people],
    ...[
      column((one) => one.visitId),
      column((one) => one.testId),
      column((one) => one.plantId),
      column((one) => one.firmId),
    ],
  ]
  return (await callAppending(pool, { name: 'write_quality_drawing', values }, entry))!
}

export interface Step extends Deed {
  readonly visitId: string
  readonly turn: number
  readonly step: string
  /** UUIDs and days, where the step has them. */
  readonly assignedFirm?: string
  readonly testFrom?: string
  readonly testUntil?: string
  readonly retestId?: string
  readonly reason?: string
}

export const stepContent = ({
  step,
  assignedFirm,
  testFrom,
  testUntil,
  retestId,
  reason,
}: Omit<Step, keyof Deed | 'visitId' | 'turn'>): StepContent => ({
  step,
  ...(assignedFirm !== undefined && { assignedFirm: toWire('firm', assignedFirm) }),
  ...(testFrom !== undefined && { testFrom }),
  ...(testUntil !== undefined && { testUntil }),
  ...(retestId !== undefined && { retest: toWire('test', retestId) }),
  ...(reason !== undefined && { reason }),
})

/** The step holds what it inherits from the one before, so that it is hashed as it is stored. */
export async function writeStep(pool: pg.Pool, made: Step): Promise<StoredEntry> {
  const { visitId, programId, turn, step, keyId, at, salt } = made
  const hash = sha256(salt, stepBytes(stepContent(made)))
  const entry = sealed({
    v: 1,
    kind: 'quality-visit-step',
    at: at.toISOString(),
    program: toWire('program', programId),
    visit: toWire('quality visit', visitId),
    turn,
    contentSha256: hash.toString('hex'),
  })
  const { assignedFirm = null, testFrom = null, testUntil = null, retestId = null, reason = null } = made
  const values = [
    ...[visitId, programId, turn, step, assignedFirm, testFrom, testUntil, retestId, reason, keyId, at, salt, hash],
  ]
  return (await callAppending(pool, { name: 'write_quality_visit_step', values }, entry))!
}
